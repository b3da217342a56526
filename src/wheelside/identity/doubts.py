"""What the plan would like to know, and what in the garage deserves a second look."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from wheelside.earshot.report import path_findings
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.ids import (
    RETIRED,
    KnownId,
    car_band,
    car_bits,
    family_readings,
    known_ids,
    proven_different,
)
from wheelside.garage.model import Car, Garage
from wheelside.garage.season import Spell
from wheelside.identity.choice import Member
from wheelside.identity.kinds import width_doubts
from wheelside.identity.naming import wheel_named, wheels_named
from wheelside.identity.read_doubts import reading_doubts
from wheelside.identity.roll import Roll
from wheelside.identity.whereabouts import Lines
from wheelside.said import Joined, Key, Said, Table, count, listed, say
from wheelside.sensor.ident import SensorId
from wheelside.sensor.near import Alike, likenesses, look_alikes

_UNKNOWN = (Basis(Ground.UNKNOWN),)
_FILE = (Basis(Ground.OWNER, "garage file"),)


def _ask(code: str, about: str | Said, text: Said, way_out: Said) -> Finding:
    """A question, which a fact that is noted answers."""
    return Finding(Weight.ASK, code, about, text, _UNKNOWN, note(way_out))


def doubts(
    garage: Garage, members: tuple[Member, ...], line: tuple[Spell, ...], day: date, end: date
) -> tuple[Finding, ...]:
    """Everything to find out or look at again, cars first, then sensors, then the season line."""
    found = [f for car in garage.own_cars for f in _car_doubts(garage, car, line)]
    found += _empty_retired(garage)
    found += [f for car in garage.car for f in _empty_slots(car, Roll(garage, day))]
    heard_by_any = any(car.direct for car in garage.car)
    found += [f for member in members if heard_by_any for f in _id_doubts(garage, member)]
    found += width_doubts(garage, members) if heard_by_any else ()
    found += _near_ids(garage, members)
    found += _retired_in_use(garage, members, day)
    found += _missing_wheels(garage, line)
    found += _same_names(garage, day)
    found += _gaps(garage, line, day, end)
    found += path_findings(garage) if heard_by_any else ()
    return tuple(dict.fromkeys(found))


def _car_doubts(garage: Garage, car: Car, line: tuple[Spell, ...]) -> Iterator[Finding]:
    if car.monitor is None:
        text = say("It is not known how this car watches its tyres, so no IDs are planned for it.")
        way = say(
            "note {key}: a metal valve stem, or four pressures on the dash, speak for wheel sensors (direct)",
            key=Key("car", "monitor", car.id),
        )
        yield _ask("monitor", car.name, text, way)
    if not car.direct:
        return
    sets = len({s.set for s in line if s.on == car.id})
    if not sets:
        text = say("The season line puts no wheel set on this car.")
        way = say("add a row to {table} that puts one on it", table=Table("stay"))
        yield Finding(Weight.NOTE, "no-set", car.name, text, _UNKNOWN, note(way))
    for missing, code, text, way in _car_gaps(garage, car, sets):
        if missing:
            yield _ask(code, car.name, text, way)


def _car_gaps(garage: Garage, car: Car, sets: int) -> tuple[tuple[bool, str, Said, Said], ...]:
    """What may be missing about a car: whether it is, and what is done without it, and how to find out."""

    def key(name: str) -> Key:
        return Key("car", name, car.id)

    return (
        (
            car.holds is None,
            "holds",
            say(
                "What the car's list holds is not known; it is taken to know nothing, so nothing is cloned and every set is taught."
            ),
            say("read the list with an adapter, or note the set it was last taught: {key}", key=key("holds")),
        ),
        (
            any(h.set and not h.as_of and _has_changed(garage, h.set) for h in car.holds or ()),
            "holds-as-of",
            say(
                "Its list is noted by wheel set, and a wheel of that set has been put together differently since it was made."
            ),
            say("add to {key} the day on which the car was taught: the set is taken as it was then", key=key("holds")),
        ),
        (
            car.slots is None and sets > 1,
            "slots",
            say(
                "How many sets the car remembers is not known; {taken} is taken.",
                taken=max(1, len(car.holds or ())),
            ),
            say("note {key} from the handbook: two would save the teaching at every change", key=key("remembers_sets")),
        ),
        (
            car.when_full is None and sets > (car.slots or sets) > 1,
            "when-full",
            say("What the full list forgets is not known; the oldest set is taken."),
            say("note {key}", key=key("when_full")),
        ),
        (
            car.taught_by is None,
            "taught-by",
            say(
                "How the car is taught is not known; it is planned for as step by step, and as one that may adopt what it hears."
            ),
            say("note {key} from the handbook", key=key("taught_by")),
        ),
        (
            car.corner_aware is None,
            "corner-aware",
            say("Whether the car tells corners apart is not known; it is taken to."),
            say("note {key}", key=key("corner_aware")),
        ),
        (
            car.family is None or car_bits(garage, car) is None or car_band(garage, car) is None,
            "family",
            say(
                "Family, band or ID width of the car is not fully known, so whether a sensor suits it can't be said for certain."
            ),
            _read_the_family(car),
        ),
        (
            car.stands_at is None,
            "stands-at",
            say("Where the car stands is not known, so every stored set counts as heard by it."),
            say("note {key}", key=key("stands_at")),
        ),
    )


def _read_the_family(car: Car) -> Said:
    if car.family is None:
        text = "read them off the sensors that work in it: {family}, with band and bits in {table}"
        return say(text, family=Key("car", "family", car.id), table=Table("family"))
    band, bits = Key("family", "band", car.family), Key("family", "bits", car.family)
    return say("read them off the sensors that work in it: {band} and {bits}", band=band, bits=bits)


def _empty_slots(car: Car, roll: Roll) -> Iterator[Finding]:
    """Slots of the car's list that hold no ID."""
    slots = roll.empty_slots(car)
    if slots:
        at = listed((corner.value for corner in slots if corner), Joined.COMMA)
        many = count(len(slots), "an empty slot", "{n} empty slots")
        if at.parts:
            many = say("{slots} ({corners})", slots=many, corners=at)
        text = say("Its list has {slots}: all zeros or ones stand for no sensor.", slots=many)
        yield Finding(Weight.NOTE, "empty-slot", car.name, text, (car.basis("holds"),))


def _empty_retired(garage: Garage) -> Iterator[Finding]:
    """Rows of retired IDs that are none."""
    for row in garage.retired:
        if empty := family_readings(garage, row.id, row.family).empty:
            text = "'{id}' is {empty}, which stands for no sensor: there is nothing to retire."
            way = note(say("read the ID again, or take the row out of {table}", table=Table("retired")))
            said = say(text, id=row.id, empty=empty)
            yield Finding(Weight.WARNING, "empty-id", say("retired"), said, _FILE, way)


def _has_changed(garage: Garage, set_id: str) -> bool:
    return any(len(garage.wheels[wheel].joined) > 1 for _, wheel in garage.sets[set_id].wheels)


def _id_doubts(garage: Garage, member: Member) -> Iterator[Finding]:
    sensor = garage.sensors.get(member.sensor or "")
    about = wheel_named(garage, member.wheel)
    if sensor is None and not garage.wheels[member.wheel].joined:
        text = say("Nothing is known of what it is made of; it is taken to have a sensor that suits.")
        way = say(
            "look at the valve and trigger it; note its sensor, or that it has none, as {key}",
            key=Key("wheel", "joined", member.wheel),
        )
        yield _ask("unknown-wheel", about, text, way)
    if sensor is None:
        return
    if sensor.written is False and not member.ids:
        return  # it has none yet, and is written
    yield from reading_doubts(garage, sensor, about)
    yield from _odd_ids(garage, member, about)
    if sensor.family is None:
        text = say("The family of its sensor is not known, so whether the car hears it can't be said.")
        way = say("compare the print with a sensor that works, and note {key}", key=Key("sensor", "family", sensor.id))
        yield _ask("sensor-family", about, text, way)
    if sensor.answers is None:
        way = say("trigger it, and note {key}", key=Key("sensor", "answers", sensor.id))
        yield _ask("not-triggered", about, say("Nothing says that its sensor answers."), way)


def _odd_ids(garage: Garage, member: Member, about: Said) -> Iterator[Finding]:
    """IDs that no sensor of its family comes with: without the prefix that they share."""
    sensor = garage.sensors.get(member.sensor or "")
    family = garage.families.get(sensor.family or "") if sensor else None
    for one in member.ids:
        if family and family.prefix and not one.hex.startswith(family.prefix.upper()):
            text = say(
                "{id} does not begin with {prefix}, as the IDs of {family} do.",
                id=one.hex, prefix=family.prefix.upper(), family=family.name,
            )  # fmt: skip
            way = note(say("read it again, or correct {key}", key=Key("family", "prefix", family.id)))
            yield Finding(Weight.WARNING, "prefix", about, text, _FILE, way)


def _near_ids(garage: Garage, members: tuple[Member, ...]) -> Iterator[Finding]:
    """Printed IDs that may be a misreading of another, each two once. What was triggered is not misread.

    Within a set serial numbers differ by a character as a matter of course; there only the reversed form counts.
    """
    sets_of = {m.sensor: {name for name, _ in m.serves} for m in members}
    triggered = {s.id for s in garage.sensor if s.sends}
    known: dict[tuple[int, int], list[KnownId]] = defaultdict(list)
    for k in known_ids(garage):
        if k.about != RETIRED:
            known[k.id.key].append(k)
    told: set[frozenset[SensorId]] = set()
    for member in members:
        if len(member.ids) != 1 or member.sensor in triggered:
            continue
        own = member.ids[0]
        alike = [k for number in sorted(look_alikes(own)) for k in known.get((own.bits, number), ())]
        others = [
            k for k in alike if k.sensor != member.sensor and not proven_different(garage, k.id.family, own.family)
        ]
        for like in likenesses(own, [k.id for k in others]):
            other = next(k for k in others if k.id == like.known)
            beside = bool(sets_of.get(other.sensor, set()) & {name for name, _ in member.serves})
            if (
                like.how is Alike.SAME
                or frozenset((own, like.known)) in told
                or (beside and like.how is not Alike.REVERSED)
            ):
                continue
            told.add(frozenset((own, like.known)))
            text = say(
                "{id} is {how} {other} ({whose}); one of them may be a misreading.",
                id=own.hex, how=like.text, other=like.known.hex, whose=other.about,
            )  # fmt: skip
            way = Way(WayKind.FIND_OUT, say("read both once more, by trigger where you can"))
            yield Finding(Weight.WARNING, "near-id", wheel_named(garage, member.wheel), text, _FILE, way)


def _retired_in_use(garage: Garage, members: tuple[Member, ...], day: date) -> Iterator[Finding]:
    roll = Roll(garage, day)
    retired = roll.retired - roll.scrapped
    for member in members:
        for one in member.ids:
            if one.key in retired:
                text = say("{id} is retired (sold, scrapped or noted so), and its sensor carries it.", id=one.hex)
                way = Way(WayKind.FIND_OUT, say("see that no two of them are alive, or read the sensor again"))
                yield Finding(Weight.WARNING, "retired-id", wheel_named(garage, member.wheel), text, _FILE, way)


def _missing_wheels(garage: Garage, line: tuple[Spell, ...]) -> Iterator[Finding]:
    for car in garage.car:
        on = sorted({s.set for s in line if s.on == car.id}) if car.planned else []
        for set_id in on:
            there = {corner for corner, _ in garage.sets[set_id].wheels}
            lacking = [c for c in car.monitored_corners if c not in there]
            if lacking:
                text = "{car} watches these corners, and the set names no wheel for them: {corners}."
                if car.direct:
                    text += " Taught without their sensors, its lamp stays on."
                said = say(text, car=car.name, corners=listed((c.value for c in lacking), Joined.COMMA))
                others = {w for name in on for c, w in garage.sets[name].wheels if c in lacking}
                yield _ask("missing-wheel", garage.sets[set_id].name, said, _add_wheels(garage, set_id, car.id, others))


def _add_wheels(garage: Garage, set_id: str, car: str, others: set[str]) -> Said:
    """`others`: the wheels that other sets of the car have there, which may stay on."""
    wheels, spare = Key("set", "wheels", set_id), Key("car", "spare_counted", car)
    if others:
        text = "add {others} to {wheels}, too, where it stays on, or correct {spare}"
        return say(text, others=wheels_named(garage, sorted(others)), wheels=wheels, spare=spare)
    return say("add them to {wheels}, or correct {spare}", wheels=wheels, spare=spare)


def _same_names(garage: Garage, day: date) -> Iterator[Finding]:
    """Things that a sheet would call by one name."""
    sets = [s for s in garage.set if not s.gone_by(day)]
    wheels = [w for w in garage.wheel if not garage.wheel_gone_by(w.id, day)]
    for kind, things in (("car", garage.car), ("place", garage.place), ("set", sets), ("wheel", wheels)):
        named: dict[str, str] = {}
        for one in things:
            if named.setdefault(one.name, one.id) != one.id:
                text = say(
                    "{table} has this name more than once: no sheet can say which one it means.", table=Table(kind)
                )
                way = say("give it another name: {key}", key=Key(kind, "label", one.id))
                yield _ask("same-name", one.name, text, way)


def _gaps(garage: Garage, line: tuple[Spell, ...], day: date, end: date) -> Iterator[Finding]:
    direct = any(car.direct for car in garage.car)
    lines = Lines(garage, day, end, line)
    for wheel_set in garage.set if direct else ():
        gap = next((s for s in lines.of_set(wheel_set.id) if s.fact.kind == "unplaced"), None)
        if gap is not None:
            text = "The season line does not say where it is from {day}; it counts as heard by every car then."
            way = say("add a row to {table} with the place", table=Table("stay"))
            yield _ask("whereabouts", wheel_set.name, say(text, day=gap.since), way)
