"""What is asked once about the width of IDs, for all sensors of a family, or of a set whose family is not known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence

from wheelside.finding import Basis, Finding, Ground, Weight, note
from wheelside.garage.ids import car_bits, family_readings, sensor_bits, sensor_readings
from wheelside.garage.model import Garage
from wheelside.identity.choice import Member
from wheelside.said import Joined, Key, Said, listed, say
from wheelside.sensor.kind import OneKind, WidthQuestion, one_kind
from wheelside.sensor.reading import Readings


def width_doubts(garage: Garage, members: tuple[Member, ...]) -> Iterator[Finding]:
    """One question for each family, and for each set with sensors of no family, whose width is not known."""
    for family in garage.family:
        if family.bits is None:
            found = [*_sensors(garage, members, family.id), *_lists(garage, family.id)]
            yield from _asked(one_kind(found), family.name, say("{key}", key=Key("family", "bits", family.id)))
    by_set: dict[str, list[Member]] = defaultdict(list)
    for member in members:
        by_set[member.set].append(member)
    for set_id, own in by_set.items():
        found = list(_sensors(garage, own, None))
        yield from _asked(one_kind(found), garage.sets[set_id].name, _each(garage, own))


def _sensors(garage: Garage, members: Sequence[Member], family: str | None) -> Iterator[Readings]:
    for member in members:
        sensor = garage.sensors.get(member.sensor or "")
        if sensor is not None and sensor.family == family and sensor_bits(garage, sensor) is None:
            found = sensor_readings(garage, sensor)
            yield from (found,) if found else ()


def _lists(garage: Garage, family: str) -> Iterator[Readings]:
    for car in garage.car:
        if car.family == family and car_bits(garage, car) is None:
            for held in car.holds or ():
                yield from (family_readings(garage, text, family) for _, text in held.texts)


def _each(garage: Garage, members: Sequence[Member]) -> Said:
    """The widths of those sensors of some wheels whose width is not known, as what is to be noted."""
    there = [s for m in members if (s := garage.sensors.get(m.sensor or "")) and s.family is None]
    open_ones = [s.id for s in there if sensor_bits(garage, s) is None]
    return say("{keys}", keys=listed(Key("sensor", "bits", one) for one in open_ones))


def _asked(kind: OneKind, about: str, where: Said) -> Iterator[Finding]:
    if kind.ask is not None:
        text, way = _TOLD[kind.ask](kind, where)
        yield Finding(Weight.ASK, kind.ask.value, about, text, (Basis(Ground.UNKNOWN),), note(way))


def _one_kind(kind: OneKind, where: Said) -> tuple[Said, Said]:
    bits = listed(kind.widths, Joined.OR)
    text = say(
        "Are all its sensors of one kind? Then their IDs have {bits} bits: together they fit no other width.", bits=bits
    )
    if kind.by:
        one = "Are all its sensors of one kind? Then their IDs have {bits} bits: '{id}' fits no other width."
        text = say(one, bits=bits, id=kind.by)
    return text, say("if so, note {bits} as {key}", bits=bits, key=where)


def _how_many(kind: OneKind, where: Said) -> tuple[Said, Said]:
    text = say("How many bits do its IDs have? They can be read with {bits}.", bits=listed(kind.widths, Joined.OR))
    return text, say("note {key}; an ID of ten decimal digits settles it for all of one kind", key=where)


def _not_one(_: OneKind, where: Said) -> tuple[Said, Said]:
    text = say("Its IDs fit no one width, so they are not all of one kind, or one is misread.")
    return text, say("read them again, and note {key}", key=where)


_TOLD: dict[WidthQuestion, Callable[[OneKind, Said], tuple[Said, Said]]] = {
    WidthQuestion.ONE_KIND: _one_kind, WidthQuestion.BITS: _how_many, WidthQuestion.NOT_ONE_KIND: _not_one,
}  # fmt: skip
