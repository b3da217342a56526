"""Two plans of one garage held side by side: what the second does otherwise, line by line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheelside.finding import Weight
from wheelside.garage.model import Garage
from wheelside.identity.choice import IdChoice, on_its_day, sensor_and_id
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.said import Said, count, say


@dataclass(frozen=True, slots=True)
class PlanDifference:
    """What another plan does otherwise. The extras are None where one of the two plans is not possible."""

    lines: tuple[Said, ...]
    extra_seconds: int | None
    extra_hundredths: int | None
    extra_weight: int | None


def difference(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> PlanDifference:
    """What `after` does otherwise than `before`. `garage`: the one that `after` is for."""
    lines = tuple(dict.fromkeys(_lines(garage, before, after)))
    if not (before.possible and after.possible):
        return PlanDifference(lines, None, None, None)
    extra = after.total - before.total
    return PlanDifference(lines, extra.seconds, extra.hundredths, after.weight - before.weight)


def _lines(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> Iterator[Said]:
    if before.possible and not after.possible:
        yield say("no plan is possible any more")
    if after.possible and not before.possible:
        yield say("a plan becomes possible")
    if before.possible and after.possible:
        yield from _wheels(garage, before, after)
        yield from _teachings(garage, before, after)
        yield from _places(garage, before, after)
    yield from _findings(before, after)


def _done(w: WheelPlan) -> Said:
    """What is done about a wheel; equal where the same is done."""
    said = sensor_and_id(w.action, w.choice, w.source if w.choice is IdChoice.CLONE else None, own=w.own)
    return on_its_day(said, w.when)


def _wheels(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> Iterator[Said]:
    old = {w.wheel: w for w in before.wheels}
    for w in after.wheels:
        name = garage.wheels[w.wheel].name
        was = old.pop(w.wheel, None)
        if was is None:
            yield say("wheel {wheel} comes to be planned: {what}", wheel=name, what=_done(w))
        elif _done(was) != _done(w):
            yield say("wheel {wheel}: {what}, instead of {was}", wheel=name, what=_done(w), was=_done(was))
    for wheel in old:
        name = garage.wheels[wheel].name if wheel in garage.wheels else wheel
        yield say("wheel {wheel} is not planned any more", wheel=name)


def _teachings(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> Iterator[Said]:
    for car in garage.car:
        was, now = (sum(t.needed for t in plan.teachings if t.car == car.id) for plan in (before, after))
        if was != now:
            yield say("{car} is taught {now}, instead of {was}", car=car.name, now=_times(now), was=_times(was))


def _times(n: int) -> Said:
    return say("twice") if n == 2 else count(n, "once", "{n} times") if n else say("never")


def _places(garage: Garage, before: IdentityPlan, after: IdentityPlan) -> Iterator[Said]:
    old = {(p.set, p.since): p.place for p in before.picked}
    for p in after.picked:
        was = old.get((p.set, p.since), p.place)
        if was != p.place:
            yield say(
                "{set} is kept at {place}, instead of {was}", set=garage.sets[p.set].name,
                place=garage.places[p.place].name, was=garage.places[was].name if was in garage.places else was,
            )  # fmt: skip


def _findings(before: IdentityPlan, after: IdentityPlan) -> Iterator[Said]:
    """What comes to be said and what falls away, notes and what is said of no plan left out."""
    told = {f.code for f in (*before.findings, *after.findings)} - {"no-plan", "clone-pair", "taken-out"}
    patterns = "now said of {about}: {text}", "no longer said of {about}: {text}"
    for pattern, one, other in ((patterns[0], after, before), (patterns[1], before, after)):
        there = {(f.code, f.about) for f in other.findings}
        for f in one.findings:
            if f.weight is not Weight.NOTE and f.code in told and (f.code, f.about) not in there:
                yield say(pattern, about=f.about, text=f.text)
