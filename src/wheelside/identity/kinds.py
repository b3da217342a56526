"""What is asked once about the width of IDs, for all sensors of a family, or of a set whose family is not known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.ids import car_bits, family_readings, sensor_bits, sensor_readings
from wheelside.garage.model import Garage
from wheelside.identity.choice import Member
from wheelside.sensor.kind import OneKind, WidthQuestion, one_kind
from wheelside.sensor.reading import Readings

_CODES = {
    WidthQuestion.ONE_KIND: "one-kind",
    WidthQuestion.BITS: "how-many-bits",
    WidthQuestion.NOT_ONE_KIND: "not-one-kind",
}


def width_doubts(garage: Garage, members: tuple[Member, ...]) -> Iterator[Finding]:
    """One question for each family, and for each set with sensors of no family, whose width is not known."""
    for family in garage.family:
        if family.bits is None:
            found = [*_sensors(garage, members, family.id), *_lists(garage, family.id)]
            yield from _asked(one_kind(found), family.name, f"'bits' in [[family]] {family.id}")
    by_set: dict[str, list[Member]] = defaultdict(list)
    for member in members:
        by_set[member.set].append(member)
    for set_id, own in by_set.items():
        found = list(_sensors(garage, own, None))
        yield from _asked(one_kind(found), garage.sets[set_id].name, "'bits' for each of its sensors")


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


def _asked(kind: OneKind, about: str, where: str) -> Iterator[Finding]:
    if kind.ask is None:
        return
    bits = " or ".join(str(width) for width in kind.widths)
    why = f"'{kind.by}' fits" if kind.by else "together they fit"
    texts = {
        WidthQuestion.ONE_KIND: f"Are all its sensors of one kind? Then their IDs have {bits} bits: {why} no other width.",
        WidthQuestion.BITS: f"How many bits do its IDs have? They can be read with {bits}.",
        WidthQuestion.NOT_ONE_KIND: "Its IDs fit no one width, so they are not all of one kind, or one is misread.",
    }
    ways = {
        WidthQuestion.ONE_KIND: f"if so, note {bits} as {where}",
        WidthQuestion.BITS: f"note {where}; an ID of ten decimal digits settles it for all of one kind",
        WidthQuestion.NOT_ONE_KIND: "read them again, and note 'bits' for each sensor",
    }
    yield Finding(Weight.ASK, _CODES[kind.ask], about, texts[kind.ask], (Basis(Ground.UNKNOWN),), ways[kind.ask])
