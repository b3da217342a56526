"""Reading the columns of facts out of a garage."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import lru_cache

import numpy as np

from wheelside.fit.facts import UNKNOWN, Array, CarFacts, Scene, WheelFacts
from wheelside.fit.tables import Language, known, meant_tyre, most_kpa, named_sizes, tables
from wheelside.garage.ids import RETIRED, car_band, car_bits, known_ids, sensor_band, sensor_bits
from wheelside.garage.joined import Parts, joining_on, parts_on
from wheelside.garage.model import Car, Garage, Sensor, Tyre, WheelSet
from wheelside.garage.words import (
    ROAD_CORNERS,
    Corner,
    Direction,
    Fastening,
    Monitor,
    Season,
    Stem,
    Teaching,
    WinterMark,
    Writing,
)
from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.designation import Designation
from wheelside.tyre.geometry import circumference_mm, diameter_mm, measuring_rim_mm, section_mm, section_on_mm
from wheelside.tyre.load import load_of, load_rule
from wheelside.tyre.speed import speed_of
from wheelside.tyre.wear import WORN_MM, WORN_WINTER_MM, age_on
from wheelside.units import Length

SEASON_KM = 7500.0
"""How far a set is driven in a season where the owner does not say; judgement."""


def _mm(value: Length | None) -> float:
    return UNKNOWN if value is None else value.mm


def scene(
    garage: Garage, cars: Sequence[Car], sets: Sequence[WheelSet], present: Mapping[str, str], day: date
) -> Scene:
    """Cars and sets as columns. `present`: for each car the set that is on it now, where there is one."""
    words = Language()
    taken = _taken_ids(garage)
    wheels = [row for one in sets for row in _wheels(garage, one, day, words, taken)]
    rows = [
        _car(garage, car, corner, _present(garage, car, present, corner, day), words)
        for car in cars
        for corner in ROAD_CORNERS
    ]
    return Scene(
        CarFacts(*_columns(rows, len(cars), len(CarFacts._fields), first=True)),
        WheelFacts(*_columns(wheels, len(sets), len(WheelFacts._fields), first=False)),
        tables(garage, cars, words),
        (words.other.number(Direction.LEFT), words.other.number(Direction.RIGHT)),
    )


def _columns(rows: Iterable[Sequence[float]], many: int, width: int, *, first: bool) -> list[Array]:
    grid = np.array(list(rows), dtype=np.float64).reshape(many, len(ROAD_CORNERS), width)
    columns = [np.ascontiguousarray(grid[:, :, n]) for n in range(width)]
    return [c[:, None, :] if first else c[None, :, :] for c in columns]


def present_parts(garage: Garage, wheel_set: WheelSet | None, corner: Corner, day: date) -> Parts | None:
    """What sits at a corner of a set; None where the set has no wheel for it."""
    wheel = dict(wheel_set.wheels).get(corner) if wheel_set else None
    return parts_on(garage, wheel, day) if wheel else None


def _present(garage: Garage, car: Car, present: Mapping[str, str], corner: Corner, day: date) -> Parts | None:
    return present_parts(garage, garage.sets.get(present.get(car.id, "")), corner, day)


def _car(garage: Garage, car: Car, corner: Corner, on: Parts | None, words: Language) -> CarFacts[float]:
    rim = on.rim if on else None
    meant = meant_tyre(car, corner)
    tyre = on.tyre.designation if on and on.tyre and on.tyre.designation else meant
    width = (rim.width_in if rim else None) or car.width_in
    inset = rim.inset if rim and rim.inset is not None else car.inset
    axle = getattr(car, f"axle_load_{corner.axle}")
    least = [car.least_rim] if car.least_rim else [d.rim_in for c in ROAD_CORNERS for d in named_sizes(car, c)]
    return CarFacts(
        bolt_count=known(car.bolt_circle.count if car.bolt_circle else None),
        bolt_mm=known(car.bolt_circle.diameter_mm if car.bolt_circle else None),
        bore=_mm(car.centre_bore),
        present_inset=_mm(inset),
        present_width=known(width.width_mm if width else None),
        present_section=known(_section(tyre, width.width_mm if width else None)),
        present_diameter=known(diameter_mm(tyre) if tyre else None),
        least_rim=known(min(least) if least else None),
        least_stated=float(car.least_rim is not None),
        nuts=known(None if car.fastening is None else car.fastening is Fastening.NUTS),
        thread_mm=known(car.thread.diameter_mm if car.thread else None),
        seat=words.seats.number(car.seat),
        shank=_mm(car.fastener_length),
        room_inside=_mm(car.room_inside),
        room_outside=_mm(car.room_outside),
        half_axle=known(axle.kg / 2 if axle else None),
        placard=known(most_kpa([getattr(row, corner.axle) for row in car.placard])),
        load_index=known(car.load_index),
        needs_speed=known(speed_of(car.speed_symbol).km_h if car.speed_symbol else None),
        top_speed=known(car.top_speed.km_h if car.top_speed else None),
        all_wheel=known(car.all_wheel_drive),
        indirect=known(None if car.monitor is None else car.monitor is Monitor.INDIRECT),
        meant_around=known(circumference_mm(meant) if meant else None),
        meant_diameter=known(diameter_mm(meant) if meant else None),
        meant_index=known(meant.load_index if meant else None),
        meant_speed=known(speed_of(meant.speed_symbol).km_h if meant and meant.speed_symbol else None),
        direct=known(None if car.monitor is None else car.direct),
        band=words.bands.number(car_band(garage, car)),
        family=words.families.number(car.family),
        bits=known(car_bits(garage, car)),
        one_set_locked=known(_one_set_locked(car)),
        season_km=season_km(car),
    )


def season_km(car: Car) -> float:
    """How far the car goes on one set in one season, in km."""
    return car.season_distance.metres / 1000.0 if car.season_distance else SEASON_KM


def _one_set_locked(car: Car) -> bool | None:
    if car.taught_by is None or (car.taught_by is Teaching.LOCKED and car.slots is None):
        return None
    return car.taught_by is Teaching.LOCKED and car.slots == 1


@lru_cache(maxsize=4096)
def _section(tyre: Designation | None, rim_mm: float | None) -> float | None:
    if tyre is None:
        return None
    return section_on_mm(tyre, rim_mm) if rim_mm is not None else section_mm(tyre)


def _wheels(
    garage: Garage, wheel_set: WheelSet, day: date, words: Language, taken: Taken
) -> Iterator[WheelFacts[float]]:
    """The wheels of one set, corner by corner."""
    parts = [present_parts(garage, wheel_set, corner, day) for corner in ROAD_CORNERS]
    together = frozenset(one.sensor.id for one in parts if one and one.sensor)
    return (_wheel(garage, one, day, words, lambda sensor: taken(sensor, together)) for one in parts)


def _wheel(
    garage: Garage, parts: Parts | None, day: date, words: Language, taken: Callable[[Sensor], bool | None]
) -> WheelFacts[float]:
    if parts is None:
        return WheelFacts(*[0.0, *[UNKNOWN] * (len(WheelFacts._fields) - 1)])
    return WheelFacts(
        1.0, *_rim(parts, words), *_size(parts.tyre, parts.rim.width_in.width_mm if parts.rim and parts.rim.width_in else None, words),
        *_tyre(garage, parts.tyre, day, words), *_sensor(garage, parts, day, words, taken),
    )  # fmt: skip


def _rim(parts: Parts, words: Language) -> tuple[float, ...]:
    rim = parts.rim
    if rim is None:
        return (UNKNOWN,) * 12
    return (
        known(rim.bolt_circle.count if rim.bolt_circle else None),
        known(rim.bolt_circle.diameter_mm if rim.bolt_circle else None),
        _mm(rim.centre_bore),
        _mm(rim.inset),
        known(rim.width_in.width_mm if rim.width_in else None),
        known(rim.width_in.diameter_in if rim.width_in else None),
        words.seats.number(rim.seat),
        _mm(rim.seat_depth),
        known(rim.max_load.kg if rim.max_load else None),
        known(rim.max_pressure.kpa if rim.max_pressure else None),
        _mm(rim.valve_hole),
        known(rim.damaged),
    )


@lru_cache(maxsize=4096)
def _of_size(tyre: Designation) -> tuple[str, tuple[float, ...]]:
    rule = load_rule(tyre)
    index, symbol = tyre.load_index, tyre.speed_symbol
    return tyre.size, (
        known(diameter_mm(tyre)),
        known(circumference_mm(tyre)),
        tyre.rim_in,
        known(measuring_rim_mm(tyre)),
        known(index),
        known(None if index is None else load_of(index).kg),
        known(rule.reference.kpa if rule else None),
        known(rule.exponent if rule else None),
        float(tyre.extra_load),
        known(speed_of(symbol).km_h if symbol else None),
    )


def _size(tyre: Tyre | None, rim_mm: float | None, words: Language) -> tuple[float, ...]:
    if tyre is None or tyre.designation is None:
        return (UNKNOWN,) * 15
    one = tyre.designation
    size, (diameter, around, rim, measuring, index, load, reference, exponent, extra, speed) = _of_size(one)
    if size not in words.around:
        words.around[size] = circumference_mm(one)
    narrow, wide = (tyre.rim_widths[0].width_mm, tyre.rim_widths[1].width_mm) if tyre.rim_widths else (UNKNOWN, UNKNOWN)
    return (
        words.sizes.number(size), known(_section(one, rim_mm)), diameter, around, rim, measuring, narrow, wide,
        index, load, reference, exponent, extra, words.symbols.number(one.speed_symbol), speed,
    )  # fmt: skip


@lru_cache(maxsize=4096)
def _age(code: str, day: date) -> tuple[float, float]:
    age = age_on(read_date_code(code), day)
    return age.least, age.most


def _tyre(garage: Garage, tyre: Tyre | None, day: date, words: Language) -> tuple[float, ...]:
    if tyre is None:
        return (UNKNOWN,) * 12
    least, most = _age(tyre.date_code, day) if tyre.date_code else (UNKNOWN, UNKNOWN)
    return (
        known(tyre.max_pressure.kpa if tyre.max_pressure else None),
        known(None if tyre.season is None else tyre.season is Season.WINTER),
        known(None if tyre.winter_mark is None else tyre.winter_mark is WinterMark.SNOWFLAKE),
        known(None if tyre.date_code is None else most < 0),
        least if np.isnan(least) else max(least, 0.0),
        most if np.isnan(most) else max(most, 0.0),
        worn_at(garage, tyre).mm,
        _mm(tyre.tread),
        words.other.number(tyre.pattern and tyre.pattern.casefold()),
        words.other.number(tyre.season),
        words.other.number(tyre.direction),
        known(tyre.damaged),
    )


def worn_at(garage: Garage, tyre: Tyre) -> Length:
    """The depth at which the owner replaces such a tyre, or the usual one."""
    if tyre.season is Season.WINTER:
        return garage.plan.worn_at_winter or Length(WORN_WINTER_MM)
    return garage.plan.worn_at or Length(WORN_MM)


def _sensor(
    garage: Garage, parts: Parts, day: date, words: Language, taken: Callable[[Sensor], bool | None]
) -> tuple[float, ...]:
    sensor = parts.sensor
    there = known(has_sensor(parts, day))
    if sensor is None:
        return (there, *(UNKNOWN,) * 9)
    return (
        there,
        words.bands.number(sensor_band(garage, sensor)),
        words.families.number(sensor.family),
        known(sensor_bits(garage, sensor)),
        known(sensor.answers),
        known(_fixed(sensor)),
        known(sensor.battery_low),
        known(None if sensor.stem is None else sensor.stem is Stem.RUBBER),
        _mm(sensor.valve_hole),
        known(taken(sensor)),
    )


def _fixed(sensor: Sensor) -> bool | None:
    """Whether its ID can't be written any more; None where that is not known."""
    unclear = sensor.writing is Writing.WRITE_ONCE and sensor.written is None
    return None if sensor.writing is None or unclear else not writable(sensor)


def writable(sensor: Sensor) -> bool:
    """Whether an ID can still be written to it."""
    return sensor.writing is Writing.REWRITABLE or (sensor.writing is Writing.WRITE_ONCE and sensor.written is False)


def has_sensor(parts: Parts, day: date) -> bool | None:
    """Whether there is a sensor in a wheel; None where nothing is said of the wheel, or nothing of the sensor that may be in it."""
    sensor = parts.sensor
    if sensor is None:
        return None if joining_on(parts.wheel, day) is None else False
    said = (
        sensor.printed, sensor.sends, sensor.family, sensor.band, sensor.answers, sensor.stem, sensor.first_used, sensor.battery_low,
        sensor.note,
    )  # fmt: skip
    return True if any(value is not None for value in said) else None


Taken = Callable[[Sensor, frozenset[str]], bool | None]


def _taken_ids(garage: Garage) -> Taken:
    """Says of a sensor whether something outside its set has its ID; None where its own is not known, or others of the set are said to have it.

    The second argument are the sensors of the set.
    """
    holders: dict[tuple[int, int], set[str | None]] = {}
    own: dict[str, list[tuple[int, int]]] = {}
    for one in known_ids(garage):
        if one.sensor is None and one.about != RETIRED:
            continue  # a car's list names voices, and is none
        holders.setdefault(one.id.key, set()).add(one.sensor)
        if one.sensor is not None:
            own.setdefault(one.sensor, []).append(one.id.key)

    def taken(sensor: Sensor, together: frozenset[str]) -> bool | None:
        keys = own.get(sensor.id)
        if keys is None:
            return None
        if any(holders[key] - together for key in keys):
            return True
        return None if any((holders[key] & together) - {sensor.id} for key in keys) else False

    return taken
