"""What a wheel set's buyer gets to know of it: wheel by wheel, as it is noted, and what is not known as not known.

Nothing in it names a person, a place, a car, or a wheel that stays.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from wheelside.air.atmosphere import SEA_LEVEL
from wheelside.air.loss import normal_loss
from wheelside.book.events import Happened, Line
from wheelside.book.reading import Purpose, Reading
from wheelside.book.series import absolute
from wheelside.errors import BadText
from wheelside.garage.ids import print_beside, sensor_band, sensor_readings
from wheelside.garage.joined import joining_on, parts_on
from wheelside.garage.model import Garage, Rim, Sensor, Tyre
from wheelside.garage.words import Band, Corner, Season, Seat, Writing
from wheelside.rim.size import BoltCircle, RimSize
from wheelside.sensor.ident import PrintForm, SensorId
from wheelside.tyre.age import Years, age_on
from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.designation import Designation
from wheelside.units import Duration, GaugePressure, Length, Mass, PressureSpan

GAUGE = "gauge"
"""The channel of what was gauged by hand."""
_AS_IT_IS = (Purpose.NOT_KNOWN, Purpose.GAUGING, Purpose.SET, Purpose.STORED, Purpose.AS_IT_LAY)
"""What a pressure that was gauged for is the wheel's own, and not one that it had for a test or for writing."""
_LYING = (Purpose.GAUGING, Purpose.AS_IT_LAY)


@dataclass(frozen=True, slots=True)
class BookSays:
    """What a book has beside the garage: what happened to each wheel and was gauged at it, newest first; and for sensors that told of
    their battery whether it was low. A garage file has nothing of it."""

    lines: Mapping[str, Sequence[Line]] = field(default_factory=dict)
    batteries: Mapping[str, bool] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SoldTyre:
    """A tyre; None for each fact that is not known. `age`: on the day of the sale, in years. `repairs`: as its owner wrote it."""

    size: Designation | None
    season: Season | None
    date_code: str | None
    age: Years | None
    tread: Length | None
    max_pressure: GaugePressure | None
    damaged: bool | None
    repairs: str | None


@dataclass(frozen=True, slots=True)
class SoldRim:
    """A rim; None for each fact that is not known."""

    size: RimSize | None
    bolt_circle: BoltCircle | None
    centre_bore: Length | None
    inset: Length | None
    seat: Seat | None
    max_pressure: GaugePressure | None
    max_load: Mass | None
    damaged: bool | None


@dataclass(frozen=True, slots=True)
class SoldSensor:
    """A sensor; None for each fact that is not known.

    `ids`: every ID that it may send, more than one where it can be read in several ways; none where it is not known. `form`: how its
    family prints IDs, `family` as its owner calls it. `never_written`: it has no ID yet. `printed`: the IDs that its print can be, where it
    sends another one.
    """

    ids: tuple[SensorId, ...]
    printed: tuple[SensorId, ...]
    form: PrintForm | None
    family: str | None
    band: Band | None
    in_use_since: date | None
    battery_low: bool | None
    battery: str | None
    answers: bool | None
    writing: Writing | None
    never_written: bool


@dataclass(frozen=True, slots=True)
class Gauged:
    """A cold or warm tyre's pressure as it was gauged, and the day."""

    pressure: GaugePressure
    day: date


@dataclass(frozen=True, slots=True)
class Lay:
    """What a wheel lost while it lay: from what it was stored with to what it was found with; below nothing where it gained.

    `at_one_temperature`: whether the tyre's temperature was noted both times, and what cold takes off is not counted. Else it is as it
    was read. `sound`: the least and the most that a sound tyre loses in that time; None where the loss is as it was read.
    """

    stored: Gauged
    found: Gauged
    loss: PressureSpan
    at_one_temperature: bool
    sound: tuple[PressureSpan, PressureSpan] | None


@dataclass(frozen=True, slots=True)
class SoldWheel:
    """One wheel of the set. `fitted`: whether it has a sensor; None where that is not known."""

    corner: Corner
    wheel: str
    tyre: SoldTyre | None
    rim: SoldRim | None
    fitted: bool | None
    sensor: SoldSensor | None
    gauged: Gauged | None
    lay: Lay | None


@dataclass(frozen=True, slots=True)
class ForBuyer:
    """A set on the day on which it is handed over. `stays`: corners whose wheel is in another set as well, and is not part of the sale."""

    set: str
    day: date
    wheels: tuple[SoldWheel, ...]
    stays: tuple[Corner, ...]


def goes_with(garage: Garage, set_id: str, day: date) -> tuple[tuple[Corner, str], ...]:
    """The wheels that leave with a set on a day: those that no other set has by then."""
    others = {s.id for s in garage.set if s.id != set_id and not s.gone_by(day)}
    return tuple((c, w) for c, w in garage.sets[set_id].wheels if not others & set(garage.sets_of[w]))


def for_buyer(garage: Garage, set_id: str, day: date, kept: BookSays) -> ForBuyer:
    """What the buyer of a set gets to know, as of the day on which it is handed over."""
    one = garage.sets[set_id]
    going = goes_with(garage, set_id, day)
    wheels = tuple(_wheel(garage, corner, wheel, day, kept) for corner, wheel in going)
    stays = tuple(corner for corner, wheel in one.wheels if (corner, wheel) not in going)
    return ForBuyer(one.name, day, wheels, stays)


def _wheel(garage: Garage, corner: Corner, wheel: str, day: date, kept: BookSays) -> SoldWheel:
    parts = parts_on(garage, wheel, day)
    lines = tuple(line for line in kept.lines.get(wheel, ()) if line.at.day <= day and not line.mistaken)
    joined = joining_on(parts.wheel, day)
    return SoldWheel(
        corner=corner,
        wheel=parts.wheel.name,
        tyre=_tyre(parts.tyre, day) if parts.tyre else None,
        rim=_rim(parts.rim) if parts.rim else None,
        fitted=None if joined is None else joined.sensor is not None,
        sensor=_sensor(garage, parts.sensor, kept.batteries) if parts.sensor else None,
        gauged=next((_gauged(line) for line in lines if _is_gauged(line) and line.purpose in _AS_IT_IS), None),
        lay=_lay(garage, lines),
    )


def _tyre(tyre: Tyre, day: date) -> SoldTyre:
    return SoldTyre(
        size=tyre.designation,
        season=tyre.season,
        date_code=tyre.date_code,
        age=_age(tyre.date_code, day),
        tread=tyre.tread,
        max_pressure=tyre.max_pressure,
        damaged=tyre.damaged,
        repairs=tyre.repairs,
    )


def _age(code: str | None, day: date) -> Years | None:
    try:
        return age_on(read_date_code(code), day) if code else None
    except BadText:
        return None


def _rim(rim: Rim) -> SoldRim:
    return SoldRim(
        size=rim.width_in,
        bolt_circle=rim.bolt_circle,
        centre_bore=rim.centre_bore,
        inset=rim.inset,
        seat=rim.seat,
        max_pressure=rim.max_pressure,
        max_load=rim.max_load,
        damaged=rim.damaged,
    )


def _sensor(garage: Garage, sensor: Sensor, batteries: Mapping[str, bool]) -> SoldSensor:
    family = garage.families.get(sensor.family or "")
    found = sensor_readings(garage, sensor)
    ids = found.ids if found else ()
    return SoldSensor(
        ids=ids,
        printed=_other_print(garage, sensor, ids),
        form=family.printed if family else None,
        family=family.name if family else None,
        band=sensor_band(garage, sensor),
        in_use_since=sensor.first_used,
        battery_low=batteries.get(sensor.id, sensor.battery_low),
        battery=sensor.battery,
        answers=sensor.answers,
        writing=sensor.writing,
        never_written=sensor.written is False and not ids,
    )


def _other_print(garage: Garage, sensor: Sensor, ids: tuple[SensorId, ...]) -> tuple[SensorId, ...]:
    """What the print on a sensor says where it sends another ID."""
    beside = print_beside(garage, sensor)
    printed = beside.ids if beside else ()
    return () if {one.key for one in printed} & {one.key for one in ids} else printed


def _is_gauged(line: Line) -> bool:
    return line.kind == "reading" and line.channel == GAUGE and isinstance(line.pressure, GaugePressure)


def _gauged(line: Line) -> Gauged:
    assert isinstance(line.pressure, GaugePressure), "only lines that were gauged are asked"
    return Gauged(line.pressure, line.at.day)


def _lay(garage: Garage, lines: Sequence[Line]) -> Lay | None:
    """The newest time that the wheel lay between two gaugings, and nothing was done to its air meanwhile."""
    stored: Line | None = None
    newest: tuple[Line, Line] | None = None
    for line in reversed(lines):
        if _is_gauged(line):
            if line.purpose in _LYING:
                newest = (stored, line) if stored else newest
            else:
                stored = line if line.purpose is Purpose.STORED else None
        elif line.kind == Happened.FITTED.value:
            stored = None
    return _loss(garage, *newest) if newest else None


def _loss(garage: Garage, stored: Line, found: Line) -> Lay:
    """The law of a closed volume: absolute pressures in the proportion of the absolute temperatures."""
    before, after = _gauged(stored), _gauged(found)
    if stored.tyre is None or found.tyre is None:
        return Lay(before, after, PressureSpan(before.pressure.kpa - after.pressure.kpa), False, None)
    first, last = _absolute(garage, stored, found)
    loss = PressureSpan(first - last * stored.tyre.kelvin / found.tyre.kelvin)
    over = Duration((found.at.us - stored.at.us) / 1e6)
    return Lay(before, after, loss, True, normal_loss(over, stored.tyre, max(stored.tyre, found.tyre)))


def _absolute(garage: Garage, *lines: Line) -> list[float]:
    """Both against vacuum, in kPa; where the air around was not known both times, at sea level: they are compared, and differ little by it."""
    heights = {p.id: p.height for p in garage.place if p.height is not None}
    found = [absolute(_reading(line), heights).kpa for line in lines]
    if not any(math.isnan(kpa) for kpa in found):
        return found
    return [_gauged(line).pressure.absolute(SEA_LEVEL).kpa for line in lines]


def _reading(line: Line) -> Reading:
    return Reading(("wheel", ""), line.at.us, line.channel or "", line.pressure, place=line.place, air=line.air)
