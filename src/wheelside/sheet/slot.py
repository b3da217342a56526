"""Which of a car's lists a teaching goes into, before it begins: else it may overwrite another set's IDs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.finding import Basis, Ground
from wheelside.garage import acts
from wheelside.garage.words import WhenFull
from wheelside.identity.roll import Roll
from wheelside.sheet import ask
from wheelside.sheet.context import Job
from wheelside.sheet.option import Taken
from wheelside.sheet.step import Channel, Does, OnCard, Stage, Step, step_id


def several_lists(job: Job) -> bool:
    """Whether the car remembers more than one set, and so has more than one list to be taught into."""
    return job.teaches and job.car.slots is not None and job.car.slots > 1


def chosen_first(job: Job) -> tuple[str, ...]:
    """What a teaching waits for: that its list is chosen, where the car has several."""
    return (step_id(Does.CHOOSE_LIST),) if several_lists(job) else ()


def choose_list(job: Job) -> Iterator[Step]:
    """The step before a teaching at which its list is chosen; none for a car that has one list."""
    if not several_lists(job):
        return
    goal, how = _goal(job)
    others = _others(job)
    kept = ", ".join(others) or "the other sets"
    yield Step(
        does=Does.CHOOSE_LIST,
        card=OnCard.TEACH,
        stage=Stage.TEACH,
        title=f"Choose the list that {job.coming.name} goes into",
        what=(how, f"No such menu: say so; look at the end whether the car still knows {kept}."),
        where=f"in the menu of {job.car.name}",
        expect="the list that is chosen is not one of a set that is to be kept",
        evidence=(Channel.TYPED,),
        minutes=acts.CHOOSE_LIST,
        basis=job.car.basis("holds")
        if job.car.holds is not None
        else Basis(Ground.UNKNOWN, "what its lists hold is not noted"),
        asks=(_ask(job, goal),),
    )


def _ask(job: Job, goal: Taken | None) -> ask.Ask:
    """The list that is chosen, the one to choose first; any but one that is to be kept will do where that is not known. The one that this set
    has already always does, though nobody has noted it, unless another set goes by it."""
    first = goal or Taken.EMPTY
    good = (Taken.OWN, Taken.EMPTY, Taken.GIVEN_UP)
    shared = any(_goes_by(job, n) for n, held in enumerate(job.car.holds or ()) if held.set == job.coming.id)
    also = (Taken.NO_MENU, *(good if goal is None else () if shared else (Taken.OWN,)))
    options = (first, *(one for one in Taken if one is not first))
    one = ask.pick("list", "The list that is chosen", options, first, also=also)
    return replace(one, bars=True)


def _others(job: Job) -> list[str]:
    """The sets in the car's list, besides the one that is taught; a list without a set's name is told as that."""
    names = []
    for n, held in enumerate(job.car.holds or ()):
        if held.set != job.coming.id:
            names.append(job.garage.sets[held.set].name if held.set in job.garage.sets else "the IDs of no set")
        elif other := _goes_by(job, n):
            names.append(f"{job.garage.sets[other].name}, which has the IDs that {job.coming.name} had")
    return list(dict.fromkeys(names))


def _goes_by(job: Job, n: int) -> str | None:
    """Another set that the car knows by the list that the coming set had, the numbers being the same."""
    return Roll(job.garage, job.plan.day).goes_by(job.car, n, job.coming.id)


def _goal(job: Job) -> tuple[Taken | None, str]:
    """Which list to take and how to find it; None where that can only be seen in the car."""
    car, others = job.car, _others(job)
    if car.holds is None:
        return (
            None,
            "Look what is in its lists, for that is not noted. Take an empty one, else that of a set you give up.",
        )
    if any(h.set == job.coming.id and _goes_by(job, n) is None for n, h in enumerate(car.holds)):
        left = ", ".join(others) or "the others"
        return Taken.OWN, f"Choose the list that {job.coming.name} has already; leave {left} alone."
    if len(car.holds) < (car.slots or 1):
        used = f" ({', '.join(others)})" if others else ""
        return Taken.EMPTY, f"Choose an empty list. In use: {len(car.holds)} of {car.slots}{used}."
    return Taken.GIVEN_UP, _when_full(job, others)


def _when_full(job: Job, others: list[str]) -> str:
    """What a full car forgets, by its rule."""
    full = f"All {job.car.slots} lists are taken ({', '.join(others)})."
    if job.car.when_full is WhenFull.ALL:
        return f"{full} This car forgets all of them when it is taught: each has to be taught again. Choose the first."
    if job.car.when_full is WhenFull.CHOSEN:
        return f"{full} Choose the one of a set that you give up, or that goes on last."
    oldest = others[0] if others else "the oldest"
    unknown = (
        "" if job.car.when_full is WhenFull.OLDEST else " What this car forgets is not noted; the oldest is taken."
    )
    return f"{full} Choose {oldest}, taught longest ago.{unknown}"
