"""Why no plan is possible: a smallest set of facts that can't all hold, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from wheelside.earshot.hearing import heard_between
from wheelside.finding import Basis, Ground
from wheelside.garage.model import Garage
from wheelside.garage.stay import Stay
from wheelside.identity.choice import PlanFact
from wheelside.identity.naming import wheel_named
from wheelside.identity.roll import carried_by
from wheelside.identity.solve import PlanModel, fewest_hitting
from wheelside.identity.task import PlanProblem
from wheelside.said import Joined, Said, count, listed, say

MOST_ROUNDS = 150
"""After so many rounds the set found is one that nothing can be taken from, though perhaps not the smallest."""


@dataclass(frozen=True, slots=True)
class ConflictFact:
    """One fact of a conflict, in words, and what it rests on."""

    kind: str
    about: str
    text: Said
    basis: Basis


def smallest_conflict(model: PlanModel, some_of: Sequence[int] = ()) -> tuple[PlanFact, ...]:
    """A smallest set of facts of a loosened model under which no plan is possible; none of them can be left out.

    `some_of`: no plan with one of these candidates. Every set of facts whose dropping helps has to be hit
    by the conflict; smallest hitting sets are tried until one of them is a conflict itself.
    """
    groups: list[frozenset[PlanFact]] = []
    for _ in range(MOST_ROUNDS):
        core = fewest_hitting(groups)
        dropped = model.fewest_dropped(core, some_of=some_of)
        if dropped is None or not dropped:
            return tuple(sorted(core)) if dropped is None else ()
        groups.append(dropped)
    return _shrunk(model, some_of)


def _shrunk(model: PlanModel, some_of: Sequence[int]) -> tuple[PlanFact, ...]:
    """A conflict from which one fact after another has been left out, as far as that goes."""
    kept = sorted(model.facts)
    for fact in tuple(kept):
        rest = [f for f in kept if f != fact]
        if model.fewest_dropped(rest, some_of=some_of) is None:
            kept = rest
    return tuple(kept)


def told(garage: Garage, task: PlanProblem, fact: PlanFact, day: date) -> ConflictFact:
    """One fact in words. `task`: the loosened problem that it comes from."""
    if fact.kind in _TELLERS:
        text, basis = _TELLERS[fact.kind](garage, fact.about, day)
        return ConflictFact(fact.kind, fact.about, text, basis)
    for c in task.candidates:
        for refusal in c.refusals:
            if refusal.fact == fact:
                text = refusal.text
                if fact.about.split("/")[0] == c.wheel:
                    text = say("{wheel}: {what}", wheel=wheel_named(garage, c.wheel), what=text)
                return ConflictFact(fact.kind, fact.about, text, refusal.basis)
    raise AssertionError(f"a fact comes from a refusal or has words of its own: {fact}")


_FILE = Basis(Ground.OWNER, "garage file")
_Told = tuple[Said, Basis]


def stay_of(garage: Garage, about: str) -> Stay:
    """The stay that a fact is about."""
    return next(stay for stay in garage.stay if f"{stay.set} {stay.since}" == about)


def _carries(garage: Garage, about: str, _: date) -> _Told:
    sensor = garage.sensors[about]
    ids = listed((one.hex for one in carried_by(garage, sensor)), Joined.OR)
    basis = sensor.basis("sends" if sensor.sends else "printed")
    return say("{sensor} carries {ids}", sensor=sensor.name, ids=ids), basis


def _stay(garage: Garage, about: str, _: date) -> _Told:
    stay = stay_of(garage, about)
    name, since = garage.sets[stay.set].name, stay.since
    if stay.at:
        places = listed((garage.places[p].name for p in (stay.at, *stay.or_at)), Joined.OR)
        text = say("{set} is kept at {places} from {since}", set=name, places=places, since=since)
    elif stay.on:
        text = say("{set} is on {car} from {since}", set=name, car=garage.cars[stay.on].name, since=since)
    else:
        car = garage.cars[stay.riding_in or ""].name
        text = say("{set} rides in {car} from {since}", set=name, car=car, since=since)
    if stay.until:
        text = say("{stay} until {until}", stay=text, until=stay.until)
    return say("{stay}, every year", stay=text) if stay.yearly else text, stay.basis("since")


def _seen(garage: Garage, about: str, _: date) -> _Told:
    text = say("{set} was seen where it is", set=garage.sets[about].name)
    return text, Basis(Ground.OWNER, "what was seen")


def _unplaced(garage: Garage, about: str, _: date) -> _Told:
    name = garage.sets[about].name
    text = say("the season line does not always say where {set} is, so it counts as heard", set=name)
    return text, Basis(Ground.UNKNOWN)


def _stand_in(garage: Garage, about: str, _: date) -> _Told:
    one = next(s for s in garage.stand_in if f"{s.wheel} {s.since}" == about)
    text = say(
        "{wheel} stands in for {other} from {since} until {until}", wheel=garage.wheels[one.wheel].name,
        other=garage.wheels[one.instead_of].name, since=one.since, until=one.until,
    )  # fmt: skip
    return text, _FILE


def _kept(garage: Garage, about: str, _: date) -> _Told:
    sensor = garage.sensors[about]
    text = say("{sensor} is kept somewhere that the file does not name", sensor=sensor.name)
    if sensor.kept_at:
        text = say("{sensor} is kept at {place}", sensor=sensor.name, place=garage.places[sensor.kept_at].name)
    return text, sensor.basis("kept_at")


def _taken_out(garage: Garage, _: str, __: date) -> _Told:
    place = garage.plan.keep_at
    text = say("sensors that are taken out are kept")
    if place:
        text = say("sensors that are taken out are kept at {place}", place=garage.places[place].name)
    return text, garage.plan.basis("taken_out")


def _heard(garage: Garage, about: str, _: date) -> _Told:
    a, b = about.split("|")
    car = next((c for c in garage.car if c.direct and c.stands_at == a), None)
    here, there = (a, b) if car else (b, a)
    listener = car or next(c for c in garage.car if c.direct)
    hearing = heard_between(garage, listener, here, there)
    names = garage.places[there].name, garage.places[here].name
    return say("what is at {there} is heard at {here}", there=names[0], here=names[1]), hearing.basis


def _parked(garage: Garage, about: str, _: date) -> _Told:
    name = garage.cars[about].name
    text = say("where {car} stands is not known, so it counts as near everything", car=name)
    return text, Basis(Ground.UNKNOWN)


def _sold(garage: Garage, about: str, day: date) -> _Told:
    wheel_set = garage.sets[about]
    past = wheel_set.sold is not None and wheel_set.sold <= day
    text = "{set} was sold on {day}, and its sensors may speak somewhere" if past else "{set} is sold on {day}"
    return say(text, set=wheel_set.name, day=wheel_set.sold), wheel_set.basis("sold")


def _room(garage: Garage, about: str, _: date) -> _Told:
    place = garage.places[about]
    many = "{place} has room for {n} sets"
    return count(place.room or 0, "{place} has room for {n} set", many, place=place.name), place.basis("room")


def _blanks(garage: Garage, about: str, _: date) -> _Told:
    rows = [b for b in garage.blank if about in b.families]
    known = about in garage.families
    family = garage.families[about].name if known else say("a family that is not known")
    one, many = "{n} new sensor of {family} is in hand", "{n} new sensors of {family} are in hand"
    return count(sum(b.count for b in rows), one, many, family=family), rows[0].basis("count") if rows else _FILE


def _not_bought(garage: Garage, _: str, __: date) -> _Told:
    return say("no sensors are to be bought"), garage.plan.basis("buy_sensors")


def _no_shop(garage: Garage, _: str, __: date) -> _Told:
    return say("no tyre shop is at hand"), garage.plan.basis("shop")


def _untaught(garage: Garage, about: str, _: date) -> _Told:
    car = garage.cars[about]
    return say("{car} can't be taught", car=car.name), car.basis("taught_by")


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
    "no-shop": _no_shop,
    "untaught": _untaught,
}
