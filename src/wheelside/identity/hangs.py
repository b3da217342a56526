"""What much money hangs on: uncertain facts under whose other value the best plan is far cheaper, each tried by planning with it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from wheelside.earshot.hearing import chance_said, heard_between
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.model import Garage, Path
from wheelside.garage.present import line_now
from wheelside.garage.words import Heard, Writing
from wheelside.identity.choice import IdChoice, left_as_it_is
from wheelside.identity.costs import WEIGHT, as_money
from wheelside.identity.naming import wheels_named
from wheelside.identity.problem import problem
from wheelside.identity.solution import Solution
from wheelside.identity.solve import PlanModel
from wheelside.identity.task import PlanProblem
from wheelside.said import Key, Said, Table, listed, say
from wheelside.units import PressureSpan

_TRIED = (Basis(Ground.COMPUTED, "planned with the other answer"),)
LEAST, SHARE = 10, 0.1
"""From this saving on, in the plan's currency and as a share of its cost, it is told; judgement."""
MOST = 8
"""So many facts at most are tried."""


@dataclass(frozen=True, slots=True)
class _Doubt:
    """A fact that is not certain: about what, what hangs on it (with a place for the saving), how it is settled, and the other garage.

    It is told from a saving of `least` on, in the plan's currency, that is `share` of the plan's cost at the least.
    """

    about: str
    text: str
    values: tuple[tuple[str, object], ...]
    way: Way
    other: Garage
    least: float = LEAST
    share: float = SHARE


def hangs(garage: Garage, day: date, end: date, task: PlanProblem, best: Solution) -> Iterator[Finding]:
    """The facts on which much hangs, the most first. `best`: the plan as things are noted."""
    told: list[tuple[int, Finding]] = []
    for n, doubt in enumerate(_doubts(garage, task, best)):
        if n == MOST:
            break
        weight = _weight(doubt.other, day, end)
        saved = 0 if weight is None else best.weight - weight
        if saved >= max(doubt.least * WEIGHT, doubt.share * best.weight):
            money = as_money(saved, task.tariff.currency, "1")
            text = say(doubt.text, money=money, **dict(doubt.values))
            told.append((saved, Finding(Weight.ASK, "hangs-on", doubt.about, text, _TRIED, doubt.way)))
    yield from (finding for _, finding in sorted(told, key=lambda one: -one[0]))


def _weight(garage: Garage, day: date, end: date) -> int | None:
    """What the best plan of a garage weighs; None where there is none."""
    task = problem(garage, day, end, line_now(garage, day, end))
    best = PlanModel(task).best() if all(task.of_member) else None
    return None if best is None else best.weight


def _doubts(garage: Garage, task: PlanProblem, best: Solution) -> Iterator[_Doubt]:
    yield from _unread(garage, task, best)
    changed: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for member, i in zip(task.members, best.chosen, strict=True):
        c = task.candidates[i]
        if member.sensor is not None and not left_as_it_is(c.action, c.choice):
            changed[member.set].append((member.wheel, member.sensor))
    for set_id, own in sorted(changed.items()):
        yield from _silent(garage, set_id, own)
        yield from _writing(garage, set_id, own)
    yield from _paths(garage)


def _unread(garage: Garage, task: PlanProblem, best: Solution) -> Iterator[_Doubt]:
    """Sensors that nobody has read, and that may carry already what the list has for them: a trigger tells."""
    for member, i in zip(task.members, best.chosen, strict=True):
        sensor = garage.sensors.get(member.sensor or "")
        if sensor is None or member.ids or sensor.written is False or task.candidates[i].choice is IdChoice.KEEP:
            continue
        held = {c.definite for c in member.candidates if c.choice is IdChoice.CLONE and c.definite is not None}
        free = [one for one in held if not any(one.key in {o.key for o in m.ids} for m in task.members)]
        if len(free) == 1:
            text = "Trigger {wheel} before anything is done to it: the list holds {id} for it, as it seems. If it sends that, {money} are saved."
            name = garage.wheels[member.wheel].name
            values: tuple[tuple[str, object], ...] = (("wheel", name), ("id", free[0].aloud()))
            way = Way(WayKind.FIND_OUT, say("note {key}", key=Key("sensor", "sends", sensor.id)))
            other = _with_sensors(garage, {sensor.id}, sends=f"0x{free[0].hex}")
            yield _Doubt(garage.sets[member.set].name, text, values, way, other, least=1, share=0)


def _silent(garage: Garage, set_id: str, own: list[tuple[str, str]]) -> Iterator[_Doubt]:
    """Sensors that gave no answer may give one yet."""
    silent = [
        (w, s) for w, s in own if garage.sensors[s].answers is False and garage.sensors[s].battery_low is not True
    ]
    if not silent:
        return
    text = "Try {wheels} once more before anything is bought: answers save {money}."
    how = say(
        "bring the tyre to its pressure, trigger again, let out {span} quickly, roll the car; note {keys}",
        span=PressureSpan(50.0),
        keys=listed(Key("sensor", "answers", s) for _, s in silent),
    )
    wheels: tuple[tuple[str, object], ...] = (("wheels", wheels_named(garage, tuple(w for w, _ in silent))),)
    other = _with_sensors(garage, {s for _, s in silent}, answers=True)
    yield _Doubt(garage.sets[set_id].name, text, wheels, Way(WayKind.FIND_OUT, how), other)


def _writing(garage: Garage, set_id: str, own: list[tuple[str, str]]) -> Iterator[_Doubt]:
    """Sensors of which it is not known whether they can be written."""
    open_ones = [(w, s) for w, s in own if garage.sensors[s].writing is None]
    if not open_ones:
        return
    text = "Find out whether the sensors of {wheels} can be written: if so, that saves {money}."
    how = note(say("ask the maker or try; note {keys}", keys=listed(Key("sensor", "writing", s) for _, s in open_ones)))
    wheels: tuple[tuple[str, object], ...] = (("wheels", wheels_named(garage, tuple(w for w, _ in open_ones))),)
    other = _with_sensors(garage, {s for _, s in open_ones}, writing=Writing.REWRITABLE)
    yield _Doubt(garage.sets[set_id].name, text, wheels, how, other)


def _paths(garage: Garage) -> Iterator[_Doubt]:
    """Places of which the link budget says that they are perhaps heard."""
    for path in garage.path:
        chance = _perhaps(garage, path)
        if chance is None:
            continue
        a, b = (garage.places[place].name for place in path.between)
        text = "Whether {a} is heard at {b} is open ({chance}, by judgement): if it is not, that saves {money}."
        way = "listen there with a receiver, or measure the distance and look at the walls, and note that in {paths}"
        silent = replace(path, heard=Heard.NO, distance=None, walls=())
        other = replace(garage, path=tuple(silent if one is path else one for one in garage.path))
        values: tuple[tuple[str, object], ...] = (("a", a), ("b", b), ("chance", chance))
        yield _Doubt(a, text, values, Way(WayKind.FIND_OUT, say(way, paths=Table("path"))), other)


def _perhaps(garage: Garage, path: Path) -> Said | None:
    """The chance that the budget gives, where a car that stands at one end may perhaps hear the other."""
    here, there = path.between
    for car in garage.car:
        if car.planned and car.stands_at in path.between:
            far = there if car.stands_at == here else here
            heard = heard_between(garage, car, car.stands_at, far)
            if heard.verdict is Heard.PERHAPS and heard.chance is not None:
                return chance_said(heard.chance)
    return None


def _with_sensors(garage: Garage, those: set[str], **noted: object) -> Garage:
    """The garage with something else noted of some sensors."""
    rows = tuple(replace(s, **noted) if s.id in those else s for s in garage.sensor)  # type: ignore[arg-type]
    return replace(garage, sensor=rows)
