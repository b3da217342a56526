"""Why no plan is possible: a smallest set of facts that can't all hold, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from wheelside.earshot.hearing import heard_between
from wheelside.finding import Basis, Ground
from wheelside.garage.model import Garage
from wheelside.garage.stay import Stay
from wheelside.identity.choice import Fact
from wheelside.identity.problem import Problem
from wheelside.identity.roll import carried_by
from wheelside.identity.solve import PlanModel, fewest_hitting

MOST_ROUNDS = 150
"""After so many rounds the set found is one that nothing can be taken from, though perhaps not the smallest."""


@dataclass(frozen=True, slots=True)
class ConflictFact:
    """One fact of a conflict, in words, and what it rests on."""

    kind: str
    about: str
    text: str
    basis: Basis


def smallest_conflict(model: PlanModel, some_of: Sequence[int] = ()) -> tuple[Fact, ...]:
    """A smallest set of facts of a loosened model under which no plan is possible; none of them can be left out.

    `some_of`: no plan with one of these candidates. Every set of facts whose dropping helps has to be hit
    by the conflict; smallest hitting sets are tried until one of them is a conflict itself.
    """
    groups: list[frozenset[Fact]] = []
    for _ in range(MOST_ROUNDS):
        core = fewest_hitting(groups)
        dropped = model.fewest_dropped(core, some_of=some_of)
        if dropped is None or not dropped:
            return tuple(sorted(core)) if dropped is None else ()
        groups.append(dropped)
    return _shrunk(model, some_of)


def _shrunk(model: PlanModel, some_of: Sequence[int]) -> tuple[Fact, ...]:
    """A conflict from which one fact after another has been left out, as far as that goes."""
    kept = sorted(model.facts)
    for fact in tuple(kept):
        rest = [f for f in kept if f != fact]
        if model.fewest_dropped(rest, some_of=some_of) is None:
            kept = rest
    return tuple(kept)


def told(garage: Garage, task: Problem, fact: Fact, day: date) -> ConflictFact:
    """One fact in words. `task`: the loosened problem that it comes from."""
    if fact.kind in _TELLERS:
        text, basis = _TELLERS[fact.kind](garage, fact.about, day)
        return ConflictFact(fact.kind, fact.about, text, basis)
    for c in task.candidates:
        for refusal in c.refusals:
            if refusal.fact == fact:
                wheel = f"wheel {garage.wheels[c.wheel].name}: " if fact.about.split("/")[0] == c.wheel else ""
                return ConflictFact(fact.kind, fact.about, f"{wheel}{refusal.text}", refusal.basis)
    raise AssertionError(f"a fact comes from a refusal or has words of its own: {fact}")


_FILE = Basis(Ground.OWNER, "garage file")


def stay_of(garage: Garage, about: str) -> Stay:
    """The stay that a fact is about."""
    return next(stay for stay in garage.stay if f"{stay.set} {stay.since}" == about)


def _carries(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    sensor = garage.sensors[about]
    ids = " or ".join(one.hex for one in carried_by(garage, sensor))
    return f"{sensor.name} carries {ids}", sensor.basis("sends" if sensor.sends else "printed")


def _stay(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    stay = stay_of(garage, about)
    name = garage.sets[stay.set].name
    if stay.at:
        places = [garage.places[p].name for p in (stay.at, *stay.or_at)]
        where = f"is kept at {' or '.join(places)}"
    else:
        where = (
            f"is on {garage.cars[stay.on].name}" if stay.on else f"rides in {garage.cars[stay.riding_in or ''].name}"
        )
    until = f" until {stay.until}" if stay.until else ""
    return f"{name} {where} from {stay.since}{until}{', every year' if stay.yearly else ''}", stay.basis("since")


def _seen(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    return f"{garage.sets[about].name} was seen where it is", Basis(Ground.OWNER, "what was seen")


def _unplaced(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    text = f"the season line does not always say where {garage.sets[about].name} is, so it counts as heard"
    return text, Basis(Ground.UNKNOWN)


def _stand_in(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    one = next(s for s in garage.stand_in if f"{s.wheel} {s.since}" == about)
    names = garage.wheels[one.wheel].name, garage.wheels[one.instead_of].name
    return f"{names[0]} stands in for {names[1]} from {one.since} until {one.until}", _FILE


def _kept(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    sensor = garage.sensors[about]
    where = f"at {garage.places[sensor.kept_at].name}" if sensor.kept_at else "somewhere that the file does not name"
    return f"{sensor.name} is kept {where}", sensor.basis("kept_at")


def _taken_out(garage: Garage, _: str, __: date) -> tuple[str, Basis]:
    place = garage.plan.keep_at
    where = f" at {garage.places[place].name}" if place else ""
    return f"sensors that are taken out are kept{where}", garage.plan.basis("taken_out")


def _heard(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    a, b = about.split("|")
    car = next((c for c in garage.car if c.direct and c.stands_at == a), None)
    here, there = (a, b) if car else (b, a)
    listener = car or next(c for c in garage.car if c.direct)
    hearing = heard_between(garage, listener, here, there)
    return f"what is at {garage.places[there].name} is heard at {garage.places[here].name}", hearing.basis


def _parked(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    return f"where {garage.cars[about].name} stands is not known, so it counts as near everything", Basis(
        Ground.UNKNOWN
    )


def _sold(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    wheel_set = garage.sets[about]
    return f"{wheel_set.name} is sold on {wheel_set.sold}", wheel_set.basis("sold")


def _room(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    place = garage.places[about]
    return f"{place.name} has room for {place.room} set{'' if place.room == 1 else 's'}", place.basis("room")


def _blanks(garage: Garage, about: str, _: date) -> tuple[str, Basis]:
    row = next((b for b in garage.blank if b.family == about), None)
    family = garage.families[about].name if about in garage.families else "a family that is not known"
    return f"{row.count if row else 0} new sensors of {family} are in hand", row.basis("count") if row else _FILE


def _not_bought(garage: Garage, _: str, __: date) -> tuple[str, Basis]:
    return "no sensors are to be bought", garage.plan.basis("buy_sensors")


_TELLERS = {
    "carries": _carries,
    "stay": _stay,
    "seen": _seen,
    "unplaced": _unplaced,
    "stand-in": _stand_in,
    "kept": _kept,
    "taken-out": _taken_out,
    "heard": _heard,
    "parked": _parked,
    "sold": _sold,
    "room": _room,
    "blanks": _blanks,
    "not-bought": _not_bought,
}
