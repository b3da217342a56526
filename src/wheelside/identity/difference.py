"""Two plans of one garage held side by side: what the second does otherwise, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheelside.finding import Weight
from wheelside.garage.model import Garage
from wheelside.identity.choice import IdChoice, id_label, id_words
from wheelside.identity.plan import IdentityPlan, WheelPlan


@dataclass(frozen=True, slots=True)
class Difference:
    """What another plan does otherwise. The extras are None where one of the two plans is not possible."""

    lines: tuple[str, ...]
    extra_seconds: int | None
    extra_hundredths: int | None
    extra_weight: int | None


def difference(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> Difference:
    """What `after` does otherwise than `before`. `garage`: the one that `after` is for."""
    lines = tuple(dict.fromkeys(_lines(garage, before, after)))
    if not (before.possible and after.possible):
        return Difference(lines, None, None, None)
    extra = after.total - before.total
    return Difference(lines, extra.seconds, extra.hundredths, after.weight - before.weight)


def _lines(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> Iterator[str]:
    if before.possible and not after.possible:
        yield "no plan is possible any more"
    if after.possible and not before.possible:
        yield "a plan becomes possible"
    if before.possible and after.possible:
        yield from _wheels(garage, before, after)
        yield from _teachings(garage, before, after)
        yield from _places(garage, before, after)
    yield from _findings(before, after)


def _said(w: WheelPlan) -> str:
    source = w.source if w.choice is IdChoice.CLONE else ""
    return f"sensor {w.action.value}, ID {id_label(w.choice, own=True) if w.own else id_words(w.choice, source, own=False)}"


def _wheels(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> Iterator[str]:
    old = {w.wheel: w for w in before.wheels}
    for w in after.wheels:
        name = garage.wheels[w.wheel].name
        was = old.pop(w.wheel, None)
        if was is None:
            yield f"wheel {name} comes to be planned: {_said(w)}"
        elif _said(was) != _said(w):
            yield f"wheel {name}: {_said(w)}, instead of {_said(was)}"
    for wheel in old:
        yield f"wheel {garage.wheels[wheel].name if wheel in garage.wheels else wheel} is not planned any more"


def _teachings(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> Iterator[str]:
    for car in garage.car:
        was, now = (sum(t.needed for t in plan.teachings if t.car == car.id) for plan in (before, after))
        if was != now:
            yield f"{car.name} is taught {_times(now)}, instead of {_times(was)}"


def _times(n: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(n, f"{n} times")


def _places(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> Iterator[str]:
    old = {(p.set, p.since): p.place for p in before.picked}
    for p in after.picked:
        was = old.get((p.set, p.since), p.place)
        if was != p.place:
            yield f"{garage.sets[p.set].name} is kept at {garage.places[p.place].name}, instead of {was}"


def _findings(before: IdentityPlan, after: IdentityPlan) -> Iterator[str]:
    """What comes to be said and what falls away, notes and what is said of no plan left out."""
    told = {f.code for f in (*before.findings, *after.findings)} - {"no-plan", "clone-pair", "taken-out"}
    for word, one, other in (("now", after, before), ("no longer", before, after)):
        there = {(f.code, f.about) for f in other.findings}
        for f in one.findings:
            if f.weight is not Weight.NOTE and f.code in told and (f.code, f.about) not in there:
                yield f"{word} said of {f.about}: {f.text}"
