"""The sensor IDs that a garage speaks of, read under what it says of their families."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta

from wheelside.errors import BadText
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Sensor
from wheelside.garage.words import Band
from wheelside.said import Coded, Said, say
from wheelside.sensor.ident import WIDTHS, PrintForm, SensorId
from wheelside.sensor.reading import Readings, read_id
from wheelside.units import Duration


def sensor_bits(garage: Garage, sensor: Sensor) -> int | None:
    """The width of a sensor's ID: its own word, else its family's."""
    family = garage.families.get(sensor.family or "")
    return sensor.bits or (family.bits if family else None)


def sensor_band(garage: Garage, sensor: Sensor) -> Band | None:
    """The band of a sensor: its own word, else its family's."""
    family = garage.families.get(sensor.family or "")
    return sensor.band or (family.band if family else None)


def rest_interval(garage: Garage, sensor: Sensor) -> Duration | None:
    """How often a sensor sends at rest: its own word, else its family's; None where neither says."""
    family = garage.families.get(sensor.family or "")
    return sensor.rest_interval or (family.rest_interval if family else None)


def car_bits(garage: Garage, car: Car) -> int | None:
    """The width of the IDs that a car holds: its family's."""
    family = garage.families.get(car.family or "")
    return family.bits if family else None


def car_band(garage: Garage, car: Car) -> Band | None:
    """The band that a car listens on: its own word, else its family's."""
    family = garage.families.get(car.family or "")
    return car.band or (family.band if family else None)


def sensor_readings(garage: Garage, sensor: Sensor) -> Readings | None:
    """What the sensor's ID can be: from what it sent when triggered, else from its print; None where neither is known.

    Print is read in the family's print form; what a handheld showed is read in both forms. Raises BadText.
    """
    if sensor.sends:
        return _read(garage, sensor.sends, sensor.family, sensor_bits(garage, sensor), shown=True)
    if sensor.printed:
        return _read(garage, sensor.printed, sensor.family, sensor_bits(garage, sensor), shown=False)
    return None


def print_beside(garage: Garage, sensor: Sensor) -> Readings | None:
    """What the print of a sensor can be whose ID goes by what it sent; None where there is none, or it can't be read."""
    if not sensor.sends or not sensor.printed:
        return None
    try:
        return _read(garage, sensor.printed, sensor.family, sensor_bits(garage, sensor), shown=False)
    except BadText:
        return None


def family_readings(garage: Garage, text: str, family_id: str | None) -> Readings:
    """What an ID shown by a car or noted as retired can be. Raises BadText."""
    family = garage.families.get(family_id or "")
    return _read(garage, text, family_id, family.bits if family else None, shown=True)


def _read(garage: Garage, text: str, family_id: str | None, bits: int | None, *, shown: bool) -> Readings:
    family = garage.families.get(family_id or "")
    printed = family.printed if family and not shown else None
    forms = (printed,) if printed else tuple(PrintForm)
    return read_id(text, family_id or "", (bits,) if bits else WIDTHS, forms)


def proven_different(garage: Garage, a: str | None, b: str | None) -> bool:
    """Whether two families are known not to understand one another. Unknown families never are."""
    if a == b:
        return False
    one, two = garage.families.get(a or ""), garage.families.get(b or "")
    if one is None or two is None:
        return False
    if two.id in one.unlike or one.id in two.unlike:
        return True
    bands = one.band is not None and two.band is not None and one.band is not two.band
    widths = one.bits is not None and two.bits is not None and one.bits != two.bits
    return bands or widths


class Nobody(Coded):
    """What an ID belongs to that is no sensor's and in no list."""

    RETIRED = "retired"


RETIRED = Nobody.RETIRED
"""What an ID belongs to that is nobody's any more."""


@dataclass(frozen=True, slots=True)
class KnownId:
    """An ID of the garage and what it belongs to. `sensor` is the id of the sensor, None for others."""

    id: SensorId
    about: Said | Nobody
    sensor: str | None = None


def known_ids(garage: Garage) -> tuple[KnownId, ...]:
    """Every ID that is or was used anywhere in the garage, each possible reading of it; what stands for no sensor is no ID."""
    return tuple(each_known_id(garage))


def each_known_id(garage: Garage) -> Iterator[KnownId]:
    """The same one after the other, so that those of many thousand wheels need not be held at once."""
    left = dict(_left(garage))
    for sensor in garage.sensor:
        said = [r for r in (sensor_readings(garage, sensor), print_beside(garage, sensor)) if r is not None]
        about = left.get(sensor.id) or say("sensor {sensor}", sensor=sensor.name)
        yield from (KnownId(one, about, sensor.id) for one in _once(said))
    for car in garage.car:
        held = [family_readings(garage, text, car.family) for of in car.holds or () for _, text in of.texts]
        about = say("list of {car}", car=car.name)
        yield from (KnownId(one, about) for one in _once(held))
    gone = [family_readings(garage, row.id, row.family) for row in garage.retired]
    yield from (KnownId(one, RETIRED) for one in _once(gone))


def _left(garage: Garage) -> Iterator[tuple[str, Said]]:
    """The sensors that leave with a set, by id, each with that set, how it leaves and when."""
    for wheel_set in garage.set:
        leaves = wheel_set.leaves
        for _, wheel in wheel_set.wheels if leaves is not None else ():
            sensor = parts_on(garage, wheel, leaves - timedelta(days=1)).sensor if leaves else None
            if sensor is not None and garage.leaves_with(wheel) is wheel_set:
                pattern = (
                    "sensor {sensor} ({set}, sold {day})"
                    if wheel_set.sold
                    else "sensor {sensor} ({set}, scrapped {day})"
                )
                yield sensor.id, say(pattern, sensor=sensor.name, set=wheel_set.name, day=leaves)


def _once(readings: list[Readings]) -> Iterable[SensorId]:
    """The IDs of several readings, each once."""
    return dict.fromkeys(one for r in readings for one in r.ids)
