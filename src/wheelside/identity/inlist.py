"""The IDs in a car's list, as they were read, against what is on the car and what else is written down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from wheelside.garage.ids import known_ids, sensor_readings
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage, WheelSet
from wheelside.said import Coded, Said, say
from wheelside.sensor.ident import SensorId

SHOWN = 4
"""So many of its last digits are shown of an ID that is written down nowhere."""


class Seen(Coded):
    """What one place of a car's list holds."""

    SAME = "same", "as fitted"
    SWAPPED = "swapped", "of another corner"
    OTHER_SET = "other-set", "of another set"
    PLANNED = "planned", "as planned, not written yet"
    STRANGER = "stranger", "written down nowhere"
    EMPTY = "empty"
    NOT_TOLD = "not-told", "not to be told: the fitted sensor's ID is not known"


@dataclass(frozen=True, slots=True)
class ListPlace:
    """One place: its corner, the ID as hex digits (a stranger's shortened), what it is, and whose where it is somebody's."""

    corner: str
    id: str
    seen: Seen
    whose: str | Said = ""


@dataclass(frozen=True, slots=True)
class InList:
    """A whole list against one set; `lacking`: corners whose fitted sensor is in no place of it."""

    places: tuple[ListPlace, ...]
    lacking: tuple[str, ...]

    @property
    def empty(self) -> bool:
        """Whether no place of it holds an ID."""
        return all(place.seen is Seen.EMPTY for place in self.places)

    @property
    def same(self) -> bool:
        """Whether each place holds what is fitted there, and nothing that is fitted is lacking."""
        return not self.lacking and all(place.seen is Seen.SAME for place in self.places)


def in_list(
    garage: Garage, wheel_set: WheelSet | None, day: date, bits: int, ids: Iterable[tuple[str, SensorId | None]],
    planned: Mapping[int, str] = MappingProxyType({}),
) -> InList:  # fmt: skip
    """What each place of a list holds; all zeros or ones are an empty place. `wheel_set`: the set that is on the car; None where that is not known.

    `planned`: which wheel a number is planned for that no sensor sends yet.
    """
    fitted = _fitted(garage, wheel_set, day, bits)
    owners = _owners(garage, bits)
    rows = tuple((corner, None if one is None or one.empty else one.number) for corner, one in ids)
    held = {number for _, number in rows if number is not None}
    places = tuple(_place(corner, number, fitted, owners, planned, bits) for corner, number in rows)
    corners = {corner for corner, _ in rows}
    lacking = tuple(
        corner for corner, numbers in fitted.items() if corner in corners and numbers and not numbers & held
    )
    return InList(places, lacking)


def _fitted(garage: Garage, wheel_set: WheelSet | None, day: date, bits: int) -> dict[str, set[int]]:
    """By corner the numbers that the fitted sensor may have; none where its ID is not known."""
    found: dict[str, set[int]] = {}
    for corner, wheel in wheel_set.wheels if wheel_set else ():
        sensor = parts_on(garage, wheel, day).sensor
        readings = sensor_readings(garage, sensor) if sensor else None
        found[corner.value] = {one.number for one in readings.ids if one.bits == bits} if readings else set()
    return found


def _owners(garage: Garage, bits: int) -> dict[int, str | Said]:
    """Whose a number is, by the sensor that has it."""
    sensors = {one.id.number: one.sensor for one in known_ids(garage) if one.sensor and one.id.bits == bits}
    wheels = {j.sensor: wheel.id for wheel in garage.wheel for j in wheel.joined if j.sensor}
    sets = {wheel: garage.sets[names[0]].name for wheel, names in garage.sets_of.items()}
    return {
        number: sets.get(wheels.get(sensor, ""), say("sensor {sensor}", sensor=garage.sensors[sensor].name))
        for number, sensor in sensors.items()
    }


def _place(
    corner: str, number: int | None, fitted: dict[str, set[int]], owners: dict[int, str | Said], planned: Mapping[int, str], bits: int
) -> ListPlace:  # fmt: skip
    if number is None:
        return ListPlace(corner, "", Seen.EMPTY)
    text = f"{number:0{bits // 4}X}"
    if number in fitted.get(corner, ()):
        return ListPlace(corner, text, Seen.SAME)
    other = next((where for where, numbers in fitted.items() if number in numbers), None)
    if other is not None:
        return ListPlace(corner, text, Seen.SWAPPED, other)
    if number in owners:
        return ListPlace(corner, text, Seen.OTHER_SET, owners[number])
    if number in planned:
        return ListPlace(corner, text, Seen.PLANNED, planned[number])
    if corner in fitted and not fitted[corner]:
        return ListPlace(corner, f"…{text[-SHOWN:]}", Seen.NOT_TOLD)
    return ListPlace(corner, f"…{text[-SHOWN:]}", Seen.STRANGER)
