"""What can be said while somebody is being asked: what was said so far, and the answer as it grows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.finding import Weight
from wheelside.fit.verdict import Verdict
from wheelside.garage.model import Car, Garage
from wheelside.inquiry.course import sets_of
from wheelside.jobs.work.starting import SoFar
from wheelside.said import Joined, Listing, Said, listed, say
from wheelside.screens.air_first import air_first
from wheelside.screens.fit_first import fit_first
from wheelside.screens.plan_first import answer_lines, plan_first
from wheelside.screens.screen import Screen


def said_so_far(garage: Garage, car: Car | None) -> Listing:
    """Car and sets, by name."""
    if car is None:
        return listed([])
    sets = [
        say("{set} {wheels}", set=s.name, wheels=_wheels(garage, [w for _, w in s.wheels]))
        for s in sets_of(garage, car)
    ]
    label = [say("label {front} and {rear}", front=r.front, rear=r.rear) for r in car.placard[:1] if r.front and r.rear]
    return listed([car.name, *sets, *label], Joined.COMMA)


def _wheels(garage: Garage, wheels: list[str]) -> str:
    names = [garage.wheels[w].name for w in wheels]
    return f"{names[0]}–{names[-1]}" if len(names) > 1 else "".join(names)


def known_so_far(so_far: SoFar) -> tuple[Said, ...]:
    """What can be said now, in a sentence or two: the answer as far as it is known."""
    return tuple(_known(so_far))[:2]


def _known(so_far: SoFar) -> Iterator[Said]:
    if so_far.fit is not None:
        if so_far.fit.verdict is not Verdict.MEASURE:
            yield say("{verdict}.", verdict=so_far.fit.verdict)
        return
    plan, card = so_far.plan, so_far.card
    if plan is not None and plan.possible and plan.wheels:
        yield from (line for line in answer_lines(so_far.garage, plan))
    elif plan is not None and not plan.possible:
        yield say("No plan is possible as things stand.")
    if card is not None and card.wheels and not any(f.weight is Weight.FORBIDDEN for f in card.first):
        yield say("The pressures are known.")


def so_far_screens(so_far: SoFar) -> tuple[Screen, ...]:
    """All that comes out, the answer first."""
    garage = so_far.garage
    screens = []
    if so_far.fit is not None:
        screens.append(fit_first(garage, so_far.fit))
    if so_far.plan is not None and so_far.plan.possible and so_far.plan.wheels:
        screens.append(plan_first(garage, so_far.plan))
    if so_far.card is not None:
        screens.append(air_first(garage, so_far.card))
    return tuple(replace(s, parts=tuple(p for p in s.parts if p.code in SHOWN)) for s in screens)


SHOWN = ("must-not", "answer", "figures", "to-do", "teach", "warmer", "lamp", "to-measure", "parts")
"""What is shown of each screen: what could be asked besides is asked, so that it does not stand here too."""
