"""Every line of the report told a second time, for one pair and one corner, in plain Python with None for what is not known.

Told from what each line means. A verdict of None marks a case on which the two tellings are not held against one another.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from wheelside.garage.ids import RETIRED, car_band, car_bits, known_ids, sensor_band, sensor_bits
from wheelside.garage.joined import Parts, joining_on, parts_on
from wheelside.garage.model import Car, Garage, PlacardRow, Rim, Sensor, Tyre, WheelSet
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
from wheelside.tyre.load import capacity as capacity_of
from wheelside.tyre.load import load_of, load_rule, pressure_for
from wheelside.tyre.speed import load_share_at, pressure_for_speed, speed_of
from wheelside.tyre.speedometer import Allowed, stays_allowed, stays_with
from wheelside.units import Mass, Speed

FITS, PART, MEASURE, NOT = "fits", "with-part", "measure", "not"
NOTHING = "no-matter"
Said = str | None
FRONT_LEFT, FRONT_RIGHT, REAR_LEFT, REAR_RIGHT = ROAD_CORNERS
YEAR = 365.25
ROUNDING = 1e-6


@dataclass(frozen=True)
class Wheel:
    """One wheel of a set: its parts, None each where not known."""

    parts: Parts
    day: date

    @property
    def rim(self) -> Rim | None:
        return self.parts.rim

    @property
    def tyre(self) -> Tyre | None:
        return self.parts.tyre

    @property
    def sensor(self) -> Sensor | None:
        return self.parts.sensor

    @property
    def name(self) -> Designation | None:
        return self.tyre.designation if self.tyre else None

    @property
    def width(self) -> float | None:
        return self.rim.width_in.width_mm if self.rim and self.rim.width_in else None

    @property
    def section(self) -> float | None:
        return section_of(self.name, self.width)

    @property
    def rim_inches(self) -> float | None:
        stamped = self.rim.width_in.diameter_in if self.rim and self.rim.width_in else None
        return stamped if stamped is not None else inches_of(self.name)

    @property
    def age(self) -> tuple[float, float] | None:
        """Youngest and oldest that it can be, in years."""
        if self.tyre is None or self.tyre.date_code is None:
            return None
        weeks = read_date_code(self.tyre.date_code)
        youngest = min(max(0, (self.day - week.last).days) for week in weeks)
        return youngest / YEAR, max(max(0, (self.day - week.first).days) for week in weeks) / YEAR

    @property
    def made_later(self) -> bool:
        """Whether its week is yet to come."""
        if self.tyre is None or self.tyre.date_code is None:
            return False
        return all(week.first > self.day for week in read_date_code(self.tyre.date_code))

    @property
    def has_sensor(self) -> bool | None:
        if self.sensor is None:
            return None if joining_on(self.parts.wheel, self.day) is None else False
        s = self.sensor
        return (
            True
            if any(
                x is not None
                for x in (s.printed, s.sends, s.family, s.band, s.answers, s.stem, s.first_used, s.battery_low, s.note)
            )
            else None
        )


def inches_of(tyre: Designation | None) -> float | None:
    """Rims from 240 on are marked in millimetres."""
    if tyre is None:
        return None
    return tyre.rim_code if tyre.rim_code < 240 else tyre.rim_code / 25.4


def section_of(tyre: Designation | None, rim_mm: float | None) -> float | None:
    if tyre is None:
        return None
    return section_mm(tyre) if rim_mm is None else section_on_mm(tyre, rim_mm)


@dataclass(frozen=True)
class Pair:
    """One set held against one car; `on`: the set that is on the car now."""

    garage: Garage
    car: Car
    wheel_set: WheelSet
    on: WheelSet | None
    day: date

    def _wheels(self, one: WheelSet | None) -> dict[Corner, Wheel]:
        named = one.wheels if one else ()
        return {c: Wheel(parts_on(self.garage, w, self.day), self.day) for c, w in named if c in ROAD_CORNERS}

    @cached_property
    def wheels(self) -> dict[Corner, Wheel]:
        return self._wheels(self.wheel_set)

    @cached_property
    def now(self) -> dict[Corner, Wheel]:
        return self._wheels(self.on)

    def named(self, corner: Corner | None = None) -> list[Designation]:
        """The tyres that placard and papers name, for one axle or at all."""
        rows = [row.tyre for row in self.car.placard if corner is None or self._is_for(row, corner)]
        return rows + list(self.car.approved)

    @staticmethod
    def _is_for(row: PlacardRow, corner: Corner) -> bool:
        own, other = (row.front, row.rear) if corner.axle == "front" else (row.rear, row.front)
        return own is not None or other is None

    def meant(self, corner: Corner) -> Designation | None:
        return next(iter(self.named(corner)), None)

    def of_size(self, corner: Corner) -> Designation | None:
        """The tyre that is named in the size of the wheel at a corner, the weakest where there are several."""
        name = self.wheels[corner].name
        same = [one for one in self.named(corner) if name and one.size == name.size]
        indexed = [one for one in same if one.load_index is not None]
        return min(indexed, key=lambda one: one.load_index or 0) if indexed else next(iter(same), None)

    def half_axle(self, corner: Corner) -> float | None:
        load = self.car.axle_load_front if corner.axle == "front" else self.car.axle_load_rear
        return load.kg / 2 if load else None

    def placard_kpa(self, corner: Corner, size: str | None) -> float | None:
        """The highest pressure for the axle, of one size or of all."""
        rows = [row for row in self.car.placard if size is None or row.tyre.size == size]
        cold = [row.front if corner.axle == "front" else row.rear for row in rows]
        return max((p.kpa for p in cold if p is not None), default=None)

    def kpa_of_use(self, corner: Corner) -> float | None:
        name = self.wheels[corner].name
        own = self.placard_kpa(corner, name.size) if name else None
        if own is None or name is None:
            return self.placard_kpa(corner, None)
        return max([own, *(p.kpa for load in self.loads_of_rows(corner) if (p := pressure_for(name, Mass(load))))])

    def loads_of_rows(self, corner: Corner) -> list[float]:
        """What the placard's tyres of the wheel's size carry at the pressures of their rows; of passenger tyres alone."""
        name = self.wheels[corner].name
        if name is None or name.load_index is None or not name.iso_passenger:
            return []
        out = []
        for row in self.car.placard:
            cold = row.front if corner.axle == "front" else row.rear
            if row.tyre.size == name.size and row.tyre.iso_passenger and cold is not None:
                carries = capacity_of(row.tyre, cold)
                out += [carries.kg] if carries is not None else []
        return out

    @property
    def speed(self) -> Speed:
        symbol = self.car.speed_symbol
        return self.car.top_speed or (speed_of(symbol) if symbol else Speed(160.0))

    @cached_property
    def others(self) -> dict[tuple[int, int], set[str | None]]:
        """Who holds each ID."""
        found: dict[tuple[int, int], set[str | None]] = {}
        voices = (one for one in known_ids(self.garage) if one.sensor or one.about is RETIRED)
        for one in voices:
            found.setdefault((one.id.bits, one.id.number), set()).add(one.sensor)
        return found

    @property
    def one_list_locked(self) -> bool | None:
        """Whether the car holds one set's IDs and its owner can't teach it others."""
        if self.car.taught_by is None:
            return None
        if self.car.taught_by is Teaching.NOT:
            return True
        if self.car.taught_by is not Teaching.LOCKED:
            return False
        holds = self.car.remembers_sets
        if holds is None and self.car.remembers_ids is not None:
            holds = self.car.remembers_ids // (5 if self.car.spare_counted else 4)
        return None if holds is None else holds == 1


# --- rim and hub ---------------------------------------------------------------------------------


def bolt_circle(p: Pair, c: Corner) -> Said:
    rim, car = p.wheels[c].rim, p.car.bolt_circle
    if rim is None or rim.bolt_circle is None or car is None:
        return MEASURE
    near = abs(rim.bolt_circle.diameter_mm - car.diameter_mm) <= 0.35
    return FITS if rim.bolt_circle.count == car.count and near else NOT


def centre_bore(p: Pair, c: Corner) -> Said:
    rim, hub = p.wheels[c].rim, p.car.centre_bore
    if rim is None or rim.centre_bore is None or hub is None:
        return MEASURE
    play = rim.centre_bore.mm - hub.mm
    if play < -0.01:
        return MEASURE if play >= -0.21 else NOT
    return PART if play > 0.41 else FITS


def side(p: Pair, c: Corner, inward: bool) -> Said:
    wheel, now = p.wheels[c], p.now.get(c)
    width = (now.width if now else None) or (p.car.width_in.width_mm if p.car.width_in else None)
    inset = now.rim.inset if now and now.rim and now.rim.inset is not None else p.car.inset
    if wheel.rim is None or wheel.rim.inset is None or inset is None:
        return MEASURE
    theirs, ours = wheel.section, section_of((now.name if now else None) or p.meant(c), width)
    room = p.car.room_inside if inward else p.car.room_outside
    if None in (theirs, ours, wheel.width, width):
        return None if room is not None else MEASURE  # what is known says too little, unless even that finds no room
    assert theirs is not None
    assert ours is not None
    assert wheel.width is not None
    assert width is not None
    wider = (max(theirs, wheel.width) - max(ours, width)) / 2
    nearer = wider + (wheel.rim.inset.mm - inset.mm) * (1 if inward else -1)
    if room is not None and nearer > room.mm:
        return NOT
    if nearer <= 0.05 or (room is not None and nearer <= room.mm - 5 + ROUNDING):
        return FITS
    return MEASURE


def brakes(p: Pair, c: Corner) -> Said:
    inches = p.wheels[c].rim_inches
    named = [across for one in p.named() if (across := inches_of(one)) is not None]
    least = p.car.least_rim or min(named, default=None)
    if inches is None or least is None:
        return MEASURE
    if inches >= least:
        return FITS
    return NOT if p.car.least_rim else MEASURE


def tyre_on_rim(p: Pair, c: Corner) -> Said:
    wheel = p.wheels[c]
    stamped = wheel.rim.width_in.diameter_in if wheel.rim and wheel.rim.width_in else None
    if stamped is None or wheel.name is None:
        return NOTHING
    meant = inches_of(wheel.name)
    return FITS if meant is not None and abs(stamped - meant) <= 0.01 else NOT


def seat(p: Pair, c: Corner) -> Said:
    rim = p.wheels[c].rim
    if rim is None or rim.seat is None or p.car.seat is None:
        return MEASURE
    return FITS if rim.seat is p.car.seat else PART


def engagement(p: Pair, c: Corner) -> Said:
    rim, car = p.wheels[c].rim, p.car
    other_seat = rim is not None and rim.seat is not None and car.seat is not None and rim.seat is not car.seat
    if other_seat and car.fastening is Fastening.BOLTS:
        return PART  # other bolts come anyway
    if rim is None or rim.seat_depth is None or car.fastener_length is None or car.thread is None:
        return MEASURE
    reach = car.fastener_length.mm - rim.seat_depth.mm
    short, long = reach < car.thread.diameter_mm, reach > 1.6 * car.thread.diameter_mm
    if car.fastening is None:
        return MEASURE if short or long or other_seat else FITS
    if car.fastening is Fastening.NUTS:
        return NOT if short else FITS
    return PART if short else MEASURE if long else FITS


def height(p: Pair, c: Corner) -> Said:
    mine, meant = (diameter_mm(one) if one else None for one in (p.wheels[c].name, p.meant(c)))
    if mine is None or meant is None:
        return MEASURE
    return FITS if p.of_size(c) or abs(mine / meant - 1) <= 0.015 else MEASURE


def rim_load(p: Pair, c: Corner) -> Said:
    rim, half = p.wheels[c].rim, p.half_axle(c)
    if rim is None or rim.max_load is None or half is None:
        return MEASURE
    return FITS if rim.max_load.kg >= half else NOT


def rim_pressure(p: Pair, c: Corner) -> Said:
    rim, used = p.wheels[c].rim, p.kpa_of_use(c)
    if used is None:
        return MEASURE
    if rim is None or rim.max_pressure is None:
        return NOTHING
    return FITS if rim.max_pressure.kpa >= used - ROUNDING else NOT


def valve_hole(p: Pair, c: Corner) -> Said:
    rim, sensor = p.wheels[c].rim, p.wheels[c].sensor
    if rim is None or rim.valve_hole is None or sensor is None or sensor.valve_hole is None:
        return NOTHING
    return FITS if abs(rim.valve_hole.mm - sensor.valve_hole.mm) <= 0.4 else PART


def damage(what: Rim | Tyre | None) -> Said:
    if what is None or what.damaged is None:
        return MEASURE
    return NOT if what.damaged else FITS


# --- tyre ----------------------------------------------------------------------------------------


def size(p: Pair, c: Corner) -> Said:
    return FITS if p.of_size(c) else MEASURE


def rim_width(p: Pair, c: Corner) -> Said:
    wheel = p.wheels[c]
    if wheel.width is None or wheel.tyre is None or wheel.name is None:
        return MEASURE
    measured = measuring_rim_mm(wheel.name)
    if wheel.tyre.rim_widths:
        low, high = wheel.tyre.rim_widths
        return FITS if low.width_mm - 0.1 <= wheel.width <= high.width_mm + 0.1 else NOT
    if measured is None:
        return MEASURE
    beside = abs(wheel.width - measured) / 25.4
    return FITS if beside < 0.51 else MEASURE if beside < 2.01 else NOT


def speedometer(p: Pair, c: Corner) -> Said:
    name = p.wheels[c].name
    if name and name.size in {one.size for one in p.named()}:
        return FITS
    around = circumference_mm(name) if name else None
    first = p.meant(FRONT_LEFT)
    should = circumference_mm(first) if first else None
    if around is None or should is None:
        return MEASURE
    shown, true = p.car.speedometer_shows, p.car.speedometer_true
    if shown and true:
        return FITS if stays_with(around / should, shown, true) else NOT
    return {Allowed.ALWAYS: FITS, Allowed.DEPENDS: MEASURE, Allowed.NEVER: NOT}[stays_allowed(around / should)]


def load_index(p: Pair, c: Corner) -> Said:
    name, half = p.wheels[c].name, p.half_axle(c)
    if name is None or name.load_index is None:
        return MEASURE
    if p.car.load_index is not None:
        return FITS if name.load_index >= p.car.load_index else NOT
    like, meant = p.of_size(c), p.meant(c)
    index = like.load_index if like and like.load_index is not None else meant.load_index if meant else None
    if index is not None:
        return FITS if name.load_index >= index else MEASURE
    if half is None:
        return MEASURE
    return FITS if load_of(name.load_index).kg >= half else NOT


def speed_symbol(p: Pair, c: Corner) -> Said:
    wheel = p.wheels[c]
    like, meant = p.of_size(c), p.meant(c)
    symbol = p.car.speed_symbol
    for other in (like, meant):
        symbol = symbol or (other.speed_symbol if other else None)
    need = speed_of(symbol) if symbol else p.car.top_speed
    if wheel.tyre is None or wheel.name is None or wheel.name.speed_symbol is None or need is None:
        return MEASURE
    mine = speed_of(wheel.name.speed_symbol)
    if mine >= need:
        return FITS
    for_winter = wheel.tyre.season in (None, Season.WINTER) or wheel.tyre.winter_mark is WinterMark.SNOWFLAKE
    outright = p.car.speed_symbol is not None or (p.car.top_speed is not None and mine < p.car.top_speed)
    return NOT if outright and not for_winter else MEASURE


def perhaps_extra(p: Pair, c: Corner) -> bool:
    """Whether XL may have been left out: three steps of the index above a standard-load tyre that is named."""
    name, like = p.wheels[c].name, p.of_size(c)
    if name is None or like is None or name.load_index is None or like.load_index is None or name.extra_load:
        return False
    rule = load_rule(like)
    return rule is not None and rule.reference.kpa == 250 and name.load_index >= like.load_index + 3


def as_named(p: Pair, c: Corner) -> bool:
    """Whether it is as the placard's own tyre of its size, for which the pressures are made."""
    name, like = p.wheels[c].name, p.of_size(c)
    if name is None or like is None or p.placard_kpa(c, name.size) is None or perhaps_extra(p, c):
        return False
    if None in (name.load_index, like.load_index) or not name.speed_symbol or not like.speed_symbol:
        return False
    rules = load_rule(name), load_rule(like)
    same = rules[0] is not None and rules[1] is not None and rules[0].reference == rules[1].reference
    return (
        same
        and (name.load_index or 0) >= (like.load_index or 0)
        and speed_of(name.speed_symbol) >= speed_of(like.speed_symbol)
    )


def capacity(p: Pair, c: Corner) -> Said:
    name, half = p.wheels[c].name, p.half_axle(c)
    index_load = load_of(name.load_index).kg if name and name.load_index is not None else None
    too_little = index_load is not None and half is not None and index_load < half
    if as_named(p, c):
        return MEASURE if too_little else FITS  # the placard's own tyre: one of the two is noted wrongly
    if too_little:
        return NOT
    if name is None or name.load_index is None or name.speed_symbol is None or half is None:
        return MEASURE
    speed = min(p.speed, speed_of(name.speed_symbol))
    most = load_of(name.load_index).kg * load_share_at(name.speed_symbol, speed)
    if most < half:
        return NOT
    if perhaps_extra(p, c):
        return MEASURE
    rule, cold = load_rule(name), p.placard_kpa(c, name.size)
    if rule is None or cold is None:
        return MEASURE
    for_load = cold - pressure_for_speed(name.speed_symbol, p.speed).kpa
    return FITS if most * min(1.0, max(0.0, for_load) / rule.reference.kpa) ** rule.exponent >= half else MEASURE


def load_capacity(p: Pair, c: Corner) -> Said:
    """The placard's tyre carries so much at each of its rows; this one carries its index at most."""
    loads, name = p.loads_of_rows(c), p.wheels[c].name
    if not loads or name is None or name.load_index is None:
        return NOTHING
    mine = load_of(name.load_index).kg + ROUNDING
    return NOT if mine < min(loads) else MEASURE if mine < max(loads) else FITS


def tread_law(p: Pair, c: Corner) -> Said:
    tyre = p.wheels[c].tyre
    return NOT if tyre is not None and tyre.tread is not None and tyre.tread.mm < 1.6 else NOTHING


def tyre_pressure(p: Pair, c: Corner) -> Said:
    tyre, used = p.wheels[c].tyre, p.kpa_of_use(c)
    if tyre is None or tyre.max_pressure is None or used is None:
        return MEASURE
    return FITS if tyre.max_pressure.kpa >= used - ROUNDING else NOT


def age(p: Pair, c: Corner) -> Said:
    years = p.wheels[c].age
    if years is None:
        return MEASURE
    if years[0] > 9:
        return NOT
    return MEASURE if years[1] > 9 or p.wheels[c].made_later else FITS


def worn_mm(p: Pair, tyre: Tyre) -> float:
    plan = p.garage.plan
    if tyre.season is Season.WINTER:
        return plan.worn_at_winter.mm if plan.worn_at_winter else 4.0
    return plan.worn_at.mm if plan.worn_at else 3.0


def tread(p: Pair, c: Corner) -> Said:
    tyre = p.wheels[c].tyre
    if tyre is None or tyre.tread is None:
        return MEASURE
    return FITS if tyre.tread.mm > max(1.6, worn_mm(p, tyre)) else NOT


def winter_mark(p: Pair, c: Corner) -> Said:
    tyre = p.wheels[c].tyre
    if tyre is not None and tyre.season in (Season.SUMMER, Season.ALL_YEAR):
        return NOTHING
    if tyre is None:
        return MEASURE
    return FITS if tyre.winter_mark is WinterMark.SNOWFLAKE else MEASURE


# --- radio ---------------------------------------------------------------------------------------


def listens(p: Pair) -> bool | None:
    return None if p.car.monitor is None else p.car.monitor is Monitor.DIRECT


def sensor_there(p: Pair, c: Corner) -> Said:
    there = p.wheels[c].has_sensor
    if listens(p) is False:
        return NOTHING
    return MEASURE if there is None or listens(p) is None else FITS if there else PART


def heard(p: Pair, c: Corner) -> Sensor | None:
    """The sensor, where it is one that matters."""
    wheel = p.wheels[c]
    return wheel.sensor if listens(p) is not False and wheel.has_sensor else None


def other_band(p: Pair, sensor: Sensor) -> bool:
    return alike(car_band(p.garage, p.car), sensor_band(p.garage, sensor)) == PART


def other_family(p: Pair, sensor: Sensor) -> bool:
    return other_band(p, sensor) or proven(p, sensor)


def useless(p: Pair, sensor: Sensor) -> bool:
    """Proven to be for another car: nothing else about it matters."""
    return other_family(p, sensor) or alike(car_bits(p.garage, p.car), sensor_bits(p.garage, sensor)) == PART


def proven(p: Pair, sensor: Sensor) -> bool:
    if sensor.family is None or p.car.family is None or sensor.family == p.car.family:
        return False
    a, b = p.garage.families[sensor.family], p.garage.families[p.car.family]
    told = a.id in b.unlike or b.id in a.unlike
    return told or any(x is not None and y is not None and x != y for x, y in ((a.band, b.band), (a.bits, b.bits)))


def alike(ours: object, theirs: object) -> str:
    return MEASURE if ours is None or theirs is None else FITS if ours == theirs else PART


def band(p: Pair, c: Corner) -> Said:
    sensor = heard(p, c)
    return alike(car_band(p.garage, p.car), sensor_band(p.garage, sensor)) if sensor else NOTHING


def width(p: Pair, c: Corner) -> Said:
    sensor = heard(p, c)
    if sensor is None or other_family(p, sensor):
        return NOTHING
    return alike(car_bits(p.garage, p.car), sensor_bits(p.garage, sensor))


def family(p: Pair, c: Corner) -> Said:
    sensor = heard(p, c)
    if sensor is None or other_band(p, sensor):
        return NOTHING
    if sensor.family is None or p.car.family is None:
        return MEASURE
    return FITS if sensor.family == p.car.family else PART if proven(p, sensor) else MEASURE


def state(p: Pair, c: Corner) -> Said:
    sensor = heard(p, c)
    if sensor is None or useless(p, sensor):
        return NOTHING
    return PART if sensor.battery_low else FITS if sensor.answers else MEASURE


def can_write(sensor: Sensor) -> bool | None:
    if sensor.writing is None or unclear(sensor):
        return None
    return sensor.writing is Writing.REWRITABLE or (sensor.writing is Writing.WRITE_ONCE and sensor.written is False)


def unclear(sensor: Sensor) -> bool:
    """A sensor that can be written once, and nobody says whether it has been."""
    return sensor.writing is Writing.WRITE_ONCE and sensor.written is None


def accepted(p: Pair, c: Corner) -> Said:
    sensor = heard(p, c)
    if sensor is None or useless(p, sensor):
        return NOTHING
    if p.one_list_locked is None:
        return MEASURE
    if not p.one_list_locked:
        return FITS
    can = can_write(sensor)
    return MEASURE if can is None else FITS if can else PART


def taken(p: Pair, sensor: Sensor) -> bool | None:
    """Whether something else goes by one of its IDs."""
    mine = [holders for holders in p.others.values() if sensor.id in holders]
    together = {w.sensor.id for w in p.wheels.values() if w.sensor}
    if any(holders - together for holders in mine):
        return True
    return None if not mine or any(holders - {sensor.id} for holders in mine) else False


def own_id(p: Pair, c: Corner) -> Said:
    sensor = heard(p, c)
    if sensor is None or useless(p, sensor):
        return NOTHING
    is_taken = taken(p, sensor)
    if is_taken is None:
        return MEASURE
    if not is_taken:
        return FITS
    return PART if can_write(sensor) else NOTHING


def taken_for_good(p: Pair, c: Corner) -> Said:
    sensor = heard(p, c)
    if sensor is None or useless(p, sensor) or not taken(p, sensor):
        return NOTHING
    return NOTHING if can_write(sensor) else PART


def valve(p: Pair, c: Corner) -> Said:
    sensor = p.wheels[c].sensor
    if sensor is None or sensor.stem is not Stem.RUBBER:
        return NOTHING
    cold = p.kpa_of_use(c)
    fast = p.car.top_speed is not None and p.car.top_speed.km_h > 210
    return PART if fast or (cold is not None and cold > 450) else NOTHING


# --- the set as one ------------------------------------------------------------------------------


def complete(p: Pair) -> Said:
    return FITS if len(p.wheels) == 4 else MEASURE


def around_of(p: Pair, c: Corner) -> float | None:
    wheel = p.wheels.get(c)
    return circumference_mm(wheel.name) if wheel and wheel.name else None


def round_even(p: Pair) -> Said:
    left, right = ((around_of(p, f), around_of(p, r)) for f, r in ((FRONT_LEFT, REAR_LEFT), (FRONT_RIGHT, REAR_RIGHT)))
    if left != right:
        return None  # its sides are unlike; that is another line's
    treads = [w.tyre.tread.mm for w in p.wheels.values() if w.tyre and w.tyre.tread]
    worn = bool(treads) and max(treads) - min(treads) > 3
    driven, watched = p.car.all_wheel_drive, None if p.car.monitor is None else p.car.monitor is Monitor.INDIRECT
    if worn and driven:
        return NOT
    apart = driven is False and watched is False
    if left[0] is None or left[1] is None:
        return NOTHING if apart else MEASURE
    meant = [circumference_mm(one) if one else None for one in (p.meant(FRONT_LEFT), p.meant(REAR_LEFT))]
    made = meant[0] / meant[1] if meant[0] and meant[1] else 1.0
    even = abs(left[0] / left[1] / made - 1) <= 0.01
    if not even and (driven or watched):
        return NOT
    if worn and driven is None:
        return MEASURE
    return FITS if even or apart else MEASURE


def mixed(p: Pair) -> Said:
    for one, other in ((FRONT_LEFT, FRONT_RIGHT), (REAR_LEFT, REAR_RIGHT)):
        a, b = p.wheels.get(one), p.wheels.get(other)
        if a and b and differ(a, b):
            return NOT
    seasons = {w.tyre.season for w in p.wheels.values() if w.tyre and w.tyre.season}
    if len(seasons) > 1:
        return NOT
    if len(p.wheels) < 4 or any(w.tyre is None or w.name is None or w.tyre.pattern is None for w in p.wheels.values()):
        return MEASURE
    for one, other in ((FRONT_LEFT, FRONT_RIGHT), (REAR_LEFT, REAR_RIGHT)):
        if apart(p.wheels[one], p.wheels[other]):
            return MEASURE
    for wheel in p.wheels.values():
        name = wheel.name
        if (
            wheel.tyre is None
            or wheel.tyre.season is None
            or name is None
            or name.load_index is None
            or name.speed_symbol is None
        ):
            return MEASURE
    return FITS


def apart(a: Wheel, b: Wheel) -> bool:
    """Whether two tyres are worn unlike, or years apart."""
    if a.tyre and b.tyre and a.tyre.tread and b.tyre.tread and abs(a.tyre.tread.mm - b.tyre.tread.mm) > 2:
        return True
    return a.age is not None and b.age is not None and abs(a.age[1] - b.age[1]) > 3


def differ(a: Wheel, b: Wheel) -> bool:
    facts = []
    for wheel in (a, b):
        pattern = wheel.tyre.pattern.casefold() if wheel.tyre and wheel.tyre.pattern else None
        name = wheel.name
        facts.append((pattern, name and name.size, name and name.load_index, name and name.speed_symbol))
    return any(x is not None and y is not None and x != y for x, y in zip(*facts, strict=True))


def to_turn(p: Pair) -> int:
    """How many tyres run the wrong way round: two for each side where wheels can change axles, else one for each side of an axle."""
    fronts, rears = (
        [p.wheels[c] for c in pair if c in p.wheels] for pair in ((FRONT_LEFT, FRONT_RIGHT), (REAR_LEFT, REAR_RIGHT))
    )
    first, last = (p.wheels[c].name if c in p.wheels else None for c in (FRONT_LEFT, REAR_LEFT))
    if first and last and first.size == last.size:
        return over(fronts + rears, 2)
    return over(fronts, 1) + over(rears, 1)


def over(wheels: list[Wheel], room: int) -> int:
    sides = [w.tyre.direction for w in wheels if w.tyre]
    return max(0, sides.count(Direction.LEFT) - room, sides.count(Direction.RIGHT) - room)


def direction(p: Pair) -> Said:
    if len(p.wheels) < 4 or any(w.tyre is None or w.tyre.direction is None for w in p.wheels.values()):
        return MEASURE
    return PART if to_turn(p) else FITS


CORNER_RULES: dict[str, Callable[[Pair, Corner], Said]] = {
    "bolt-circle": bolt_circle, "centre-bore": centre_bore, "inside": lambda p, c: side(p, c, True), "outside": lambda p, c: side(p, c, False),
    "height": height, "brakes": brakes,
    "tyre-on-rim": tyre_on_rim, "seat": seat, "engagement": engagement, "rim-load": rim_load, "rim-pressure": rim_pressure,
    "valve-hole": valve_hole, "rim-damage": lambda p, c: damage(p.wheels[c].rim), "size": size, "rim-width": rim_width,
    "speedometer": speedometer, "load-index": load_index, "speed-symbol": speed_symbol, "capacity": capacity, "load-capacity": load_capacity,
    "tread-law": tread_law, "tyre-pressure": tyre_pressure,
    "age": age, "tread": tread, "winter-mark": winter_mark, "tyre-damage": lambda p, c: damage(p.wheels[c].tyre), "sensor": sensor_there,
    "band": band, "family": family, "width": width, "state": state, "accepted": accepted, "id": own_id, "id-taken": taken_for_good, "valve": valve,
}  # fmt: skip
SET_RULES: dict[str, Callable[[Pair], Said]] = {
    "complete": complete, "round-even": round_even, "mixed": mixed, "direction": direction,
}  # fmt: skip
OF_SENSOR = ("sensor", "band", "family", "width", "state", "accepted", "id-taken")


def told(p: Pair) -> dict[tuple[str, Corner | None], Said]:
    """The verdict of every line, by its code and corner; the corner is None for lines on the set as one."""
    out: dict[tuple[str, Corner | None], Said] = {(code, None): rule(p) for code, rule in SET_RULES.items()}
    for code, rule in CORNER_RULES.items():
        for corner in ROAD_CORNERS:
            out[code, corner] = rule(p, corner) if corner in p.wheels else NOTHING
    return out


def parts(p: Pair) -> dict[str, int] | None:
    """How many of each part; None where a line that asks for one is not told."""
    all_told = told(p)
    codes = (*OF_SENSOR, "id", "valve", "valve-hole")
    if any(all_told[code, corner] is None for code in codes for corner in p.wheels):
        return None

    def wants(corner: Corner, *codes: str) -> bool:
        return any(all_told[code, corner] == PART for code in codes)

    new = {corner for corner in p.wheels if wants(corner, *OF_SENSOR)}
    old = set(p.wheels) - new
    found = {
        "sensor": len(new),
        "valve": sum(wants(corner, "valve", "valve-hole") for corner in old),
        "turning": to_turn(p) if direction(p) == PART else 0,
        "rings": int(any(wants(corner, "centre-bore") for corner in p.wheels)),
        "fasteners": int(any(wants(corner, "seat", "engagement") for corner in p.wheels)),
        "rewriting": sum(wants(corner, "id") for corner in old),
    }
    return {part: count for part, count in found.items() if count}


def seasons(p: Pair) -> tuple[float, float] | None:
    """Seasons that are left, least and most: each tyre by tread and by age, and the set by its worst."""
    km = p.car.season_distance.metres / 1000 if p.car.season_distance else 7500.0
    least, most = [], []
    for wheel in p.wheels.values():
        if wheel.tyre is None or wheel.tyre.tread is None or wheel.age is None:
            return None
        left = max(0.0, wheel.tyre.tread.mm - max(1.6, worn_mm(p, wheel.tyre)))
        least.append(min(left * 5_000 / km, max(0.0, 6 - wheel.age[1])))
        most.append(min(left * 10_000 / km, max(0.0, 10 - wheel.age[0])))
    return (min(least), min(most)) if least else None


def total(p: Pair, needs: dict[str, int]) -> float | None:
    """What the set comes to in money: asked, parts, and the owner's time."""
    if p.wheel_set.price is None:
        return None
    costs = p.garage.costs

    def rate(name: str, otherwise: float) -> float:
        money = getattr(costs, name)
        return float(money.amount) if money else otherwise

    fitting, kit = rate("fitting", 20), rate("kit", 5)
    each = {
        "sensor": rate("sensor", 45) + kit + fitting, "valve": kit + fitting, "turning": fitting,
        "rings": rate("ring_set", 12), "fasteners": rate("fastener_set", 35), "rewriting": 0.0,
    }  # fmt: skip
    shop = any(needs.get(part) for part in ("sensor", "valve", "turning"))
    minutes = (costs.shop_trip.minutes if costs.shop_trip else 60.0) * shop
    minutes += (costs.write_mounted.minutes if costs.write_mounted else 12.0) * needs.get("rewriting", 0)
    return (
        float(p.wheel_set.price.amount) + sum(each[k] * n for k, n in needs.items()) + rate("hour", 15) * minutes / 60
    )
