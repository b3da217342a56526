"""What is known of a car, of a wheel and of both together: numbers of one pair, or columns of numbers of many, so that one rule judges both.

Every number is a float; what is not known is NaN, and what is a word is its number in the `Language`. A yes is 1, a no is 0. Each fact is
declared once, with what reads it. Lengths in mm, loads in kg, pressures in kPa gauge, speeds in km/h.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING, Any, Generic, TypeAlias, TypeVar

from wheelside.fit.gather import (
    CarAt,
    WheelAt,
    fixed,
    has_sensor,
    one_set_locked,
    season_km,
    section_of,
    size_numbers,
    worn_at,
)
from wheelside.fit.named import greatest_speed, most_kpa
from wheelside.fit.verdict import MEASURE
from wheelside.garage.ids import car_band, car_bits, proven_different, sensor_band, sensor_bits
from wheelside.garage.words import Direction, Fastening, Monitor, Season, Stem, WinterMark
from wheelside.tyre.geometry import circumference_mm, diameter_mm
from wheelside.tyre.load import load_rule
from wheelside.tyre.speed import load_share_at, pressure_for_speed, speed_of
from wheelside.units import Length

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Array: TypeAlias = "npt.NDArray[np.float64]"
N = TypeVar("N", float, "npt.NDArray[np.float64]")
UNKNOWN = float("nan")
Known = object
"""What a reader finds: a number, a yes or a no, None where it is not known. Of anything else no column can be made."""
NEITHER, LEFT, RIGHT = 0.0, 1.0, 2.0
"""For which side a tyre runs."""
_SIDES = {Direction.NONE: NEITHER, Direction.LEFT: LEFT, Direction.RIGHT: RIGHT}


def _of_car(read: Callable[[CarAt], Known]) -> Any:
    return field(metadata={"read": read})


def _of_wheel(read: Callable[[WheelAt], Known]) -> Any:
    return field(metadata={"read": read})


def _mm(value: Length | None) -> float | None:
    return None if value is None else value.mm


@dataclass(frozen=True, slots=True)
class CarFacts(Generic[N]):
    """One car at one corner, or many cars at all corners.

    `present_*`: the rim and tyre that are on it now, or its own as stated. `meant_*`: the tyre that the placard names first.
    `placard`: the highest pressure of that axle on the placard. `one_set_locked`: a list of one set that the owner can't teach.
    """

    bolt_count: N = _of_car(lambda at: at.car.bolt_circle and at.car.bolt_circle.count)
    bolt_mm: N = _of_car(lambda at: at.car.bolt_circle and at.car.bolt_circle.diameter_mm)
    bore: N = _of_car(lambda at: _mm(at.car.centre_bore))
    present_inset: N = _of_car(lambda at: _mm(at.inset))
    present_width: N = _of_car(lambda at: at.width and at.width.width_mm)
    present_section: N = _of_car(lambda at: section_of(at.tyre, at.width.width_mm if at.width else None))
    present_diameter: N = _of_car(lambda at: at.tyre and diameter_mm(at.tyre))
    least_rim: N = _of_car(lambda at: at.least_rim)
    least_stated: N = _of_car(lambda at: at.car.least_rim is not None)
    nuts: N = _of_car(lambda at: at.car.fastening and at.car.fastening is Fastening.NUTS)
    thread_mm: N = _of_car(lambda at: at.car.thread and at.car.thread.diameter_mm)
    seat: N = _of_car(lambda at: at.words.seats.number(at.car.seat))
    shank: N = _of_car(lambda at: _mm(at.car.fastener_length))
    room_inside: N = _of_car(lambda at: _mm(at.car.room_inside))
    room_outside: N = _of_car(lambda at: _mm(at.car.room_outside))
    half_axle: N = _of_car(lambda at: at.half_axle)
    placard: N = _of_car(lambda at: most_kpa(getattr(row, at.corner.axle) for row in at.car.placard))
    load_index: N = _of_car(lambda at: at.car.load_index)
    needs_speed: N = _of_car(lambda at: at.car.speed_symbol and speed_of(at.car.speed_symbol).km_h)
    top_speed: N = _of_car(lambda at: at.car.top_speed and at.car.top_speed.km_h)
    all_wheel: N = _of_car(lambda at: at.car.all_wheel_drive)
    indirect: N = _of_car(lambda at: at.car.monitor and at.car.monitor is Monitor.INDIRECT)
    meant_around: N = _of_car(lambda at: at.meant and circumference_mm(at.meant))
    meant_diameter: N = _of_car(lambda at: at.meant and diameter_mm(at.meant))
    meant_index: N = _of_car(lambda at: at.meant and at.meant.load_index)
    meant_speed: N = _of_car(
        lambda at: speed_of(at.meant.speed_symbol).km_h if at.meant and at.meant.speed_symbol else None
    )
    direct: N = _of_car(lambda at: None if at.car.monitor is None else at.car.direct)
    band: N = _of_car(lambda at: at.words.bands.number(car_band(at.garage, at.car)))
    family: N = _of_car(lambda at: at.words.families.number(at.car.family))
    bits: N = _of_car(lambda at: car_bits(at.garage, at.car))
    one_set_locked: N = _of_car(lambda at: one_set_locked(at.car))
    season_km: N = _of_car(lambda at: season_km(at.car))


def _size_number(at: WheelAt) -> float | None:
    """The number of a wheel's size; how far a turn goes with it is noted beside."""
    if at.numbers is None:
        return None
    at.words.around.setdefault(at.numbers.size, at.numbers.around)
    return at.words.sizes.number(at.numbers.size)


@dataclass(frozen=True, slots=True)
class WheelFacts(Generic[N]):
    """One wheel, or those of many sets. `there`: whether the set has a wheel for the corner; nothing else is known where it has none.

    `size` and `symbol` are words; `reference` and `exponent` are the tyre's load rule. `made_later`: whether the date code lies in the
    future. `id_taken`: whether its sensor's ID is known in the garage already, of something outside its set.
    """

    there: N = _of_wheel(lambda _: True)
    bolt_count: N = _of_wheel(lambda at: at.rim and at.rim.bolt_circle and at.rim.bolt_circle.count)
    bolt_mm: N = _of_wheel(lambda at: at.rim and at.rim.bolt_circle and at.rim.bolt_circle.diameter_mm)
    bore: N = _of_wheel(lambda at: at.rim and _mm(at.rim.centre_bore))
    inset: N = _of_wheel(lambda at: at.rim and _mm(at.rim.inset))
    width: N = _of_wheel(lambda at: at.width_mm)
    rim: N = _of_wheel(lambda at: at.rim and at.rim.width_in and at.rim.width_in.diameter_in)
    seat: N = _of_wheel(lambda at: at.words.seats.number(at.rim.seat) if at.rim else None)
    seat_depth: N = _of_wheel(lambda at: at.rim and _mm(at.rim.seat_depth))
    rim_load: N = _of_wheel(lambda at: at.rim and at.rim.max_load and at.rim.max_load.kg)
    rim_pressure: N = _of_wheel(lambda at: at.rim and at.rim.max_pressure and at.rim.max_pressure.kpa)
    rim_valve: N = _of_wheel(lambda at: at.rim and _mm(at.rim.valve_hole))
    rim_damaged: N = _of_wheel(lambda at: at.rim and at.rim.damaged)
    size: N = _of_wheel(_size_number)
    section: N = _of_wheel(lambda at: section_of(at.named, at.width_mm))
    diameter: N = _of_wheel(lambda at: at.numbers and at.numbers.diameter)
    around: N = _of_wheel(lambda at: at.numbers and at.numbers.around)
    tyre_rim: N = _of_wheel(lambda at: at.numbers and at.numbers.rim_in)
    measuring: N = _of_wheel(lambda at: at.numbers and at.numbers.measuring)
    narrowest: N = _of_wheel(
        lambda at: at.tyre.rim_widths[0].width_mm if at.named and at.tyre and at.tyre.rim_widths else None
    )
    widest: N = _of_wheel(
        lambda at: at.tyre.rim_widths[1].width_mm if at.named and at.tyre and at.tyre.rim_widths else None
    )
    load_index: N = _of_wheel(lambda at: at.named and at.named.load_index)
    load: N = _of_wheel(lambda at: at.numbers and at.numbers.load)
    reference: N = _of_wheel(lambda at: at.numbers and at.numbers.rule and at.numbers.rule.reference.kpa)
    exponent: N = _of_wheel(lambda at: at.numbers and at.numbers.rule and at.numbers.rule.exponent)
    iso: N = _of_wheel(lambda at: at.named and at.named.iso_passenger)
    extra: N = _of_wheel(lambda at: at.named and at.named.extra_load)
    symbol: N = _of_wheel(lambda at: at.named and at.words.symbols.number(at.named.speed_symbol))
    speed: N = _of_wheel(lambda at: at.numbers and at.numbers.speed)
    tyre_pressure: N = _of_wheel(lambda at: at.tyre and at.tyre.max_pressure and at.tyre.max_pressure.kpa)
    winter: N = _of_wheel(lambda at: at.tyre and at.tyre.season and at.tyre.season is Season.WINTER)
    marked: N = _of_wheel(lambda at: at.tyre and at.tyre.winter_mark and at.tyre.winter_mark is WinterMark.SNOWFLAKE)
    made_later: N = _of_wheel(lambda at: at.age and at.age[1] < 0)
    age_least: N = _of_wheel(lambda at: at.age and max(at.age[0], 0.0))
    age_most: N = _of_wheel(lambda at: at.age and max(at.age[1], 0.0))
    worn_at: N = _of_wheel(lambda at: at.tyre and worn_at(at.garage, at.tyre).mm)
    tread: N = _of_wheel(lambda at: at.tyre and _mm(at.tyre.tread))
    pattern: N = _of_wheel(
        lambda at: at.words.other.number(at.tyre.pattern.casefold()) if at.tyre and at.tyre.pattern else None
    )
    season: N = _of_wheel(lambda at: at.words.other.number(at.tyre.season) if at.tyre else None)
    direction: N = _of_wheel(lambda at: _SIDES[at.tyre.direction] if at.tyre and at.tyre.direction else None)
    tyre_damaged: N = _of_wheel(lambda at: at.tyre and at.tyre.damaged)
    has_sensor: N = _of_wheel(lambda at: has_sensor(at.parts, at.day))
    band: N = _of_wheel(lambda at: at.words.bands.number(sensor_band(at.garage, at.sensor)) if at.sensor else None)
    family: N = _of_wheel(lambda at: at.words.families.number(at.sensor.family) if at.sensor else None)
    bits: N = _of_wheel(lambda at: at.sensor and sensor_bits(at.garage, at.sensor))
    answers: N = _of_wheel(lambda at: at.sensor and at.sensor.answers)
    fixed: N = _of_wheel(lambda at: at.sensor and fixed(at.sensor))
    battery_low: N = _of_wheel(lambda at: at.sensor and at.sensor.battery_low)
    rubber: N = _of_wheel(lambda at: at.sensor and at.sensor.stem and at.sensor.stem is Stem.RUBBER)
    sensor_valve: N = _of_wheel(lambda at: at.sensor and _mm(at.sensor.valve_hole))
    id_taken: N = _of_wheel(lambda at: at.taken)


ReadPair = Callable[[CarAt, Any], Known]


def _of_both(word: str, read: ReadPair, *, by_corner: bool = True, missing: float = UNKNOWN) -> Any:
    """A fact by car and one word of the wheel, and by corner; `missing` where the wheel's word is not known."""
    return field(metadata={"read": read, "word": word, "by_corner": by_corner, "missing": missing})


def _speed_left(at: CarAt, symbol: str) -> float:
    return load_share_at(symbol, min(greatest_speed(at.car), speed_of(symbol)))


@dataclass(frozen=True, slots=True)
class BothFacts(Generic[N]):
    """What depends on the car and on a word of the wheel.

    `placard`: the highest pressure that the placard has for the size, unknown without a row. `named*`: the tyre of that size that placard
    or papers name. `carried_*`: what the placard's tyres of that size carry at its pressures, from the least to the most.
    `speed_share` and `speed_kpa`: the share of the load that is left at the car's speed, and the pressure that the speed adds.
    `speedometer`: the grade of the size's circumference. `unlike`: whether the families are proven different.
    """

    placard: N = _of_both("size", lambda at, size: at.placard.get(size))
    named: N = _of_both("size", lambda at, size: True if size in at.named else None)
    named_index: N = _of_both("size", lambda at, size: (named := at.named.get(size)) and named.load_index)
    named_speed: N = _of_both("size", lambda at, size: (named := at.named.get(size)) and size_numbers(named).speed)
    named_reference: N = _of_both(
        "size", lambda at, size: (named := at.named.get(size)) and (rule := load_rule(named)) and rule.reference.kpa
    )
    carried_least: N = _of_both("size", lambda at, size: min(at.carried.get(size, ()), default=None))
    carried_most: N = _of_both("size", lambda at, size: max(at.carried.get(size, ()), default=None))
    speed_share: N = _of_both("symbol", _speed_left, by_corner=False)
    speed_kpa: N = _of_both(
        "symbol", lambda at, symbol: pressure_for_speed(symbol, greatest_speed(at.car)).kpa, by_corner=False
    )
    speedometer: N = _of_both("size", lambda at, size: at.speedometer(size), by_corner=False, missing=MEASURE)
    unlike: N = _of_both(
        "family", lambda at, family: proven_different(at.garage, at.car.family, family), by_corner=False, missing=0.0
    )


def numbers_of(facts: type[Any], at: object) -> dict[str, float]:
    """Every fact of one kind read of one car or wheel, by name."""
    return {f.name: number(f.metadata["read"](at)) for f in fields(facts)}


def number(value: Any) -> float:
    """What a reader found, as a number; NaN for what is not known."""
    return UNKNOWN if value is None else float(value)
