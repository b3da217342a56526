"""Will the car hear the sensors, and can it be made to accept them."""

from __future__ import annotations

import math

from wheelside.declared.row import Row
from wheelside.finding import Basis, Ground
from wheelside.fit.facts import N
from wheelside.fit.gather import writable
from wheelside.fit.number import Grade, Mask, grade, known, no, unknown
from wheelside.fit.pair import Pair
from wheelside.fit.rule import NOT_KNOWN, Rule, Told, View
from wheelside.fit.use import pressure_of_use
from wheelside.fit.verdict import MEASURE, NO_MATTER, WITH_PART, Part, Question
from wheelside.garage.ids import car_band, car_bits, sensor_band, sensor_bits
from wheelside.garage.rates import sensor_life, sensor_life_basis
from wheelside.garage.words import Monitor, Teaching
from wheelside.sensor.life import age_years, near_end

SNAP_IN_KMH, SNAP_IN_KPA = 210.0, 450.0
"""Rubber valves are for no more; speed from memory, pressure from a valve reference page."""

_WAKE = (
    "bring it to 2 bar or more, hold the trigger at the sidewall beside the valve for ten seconds; no answer: let half a bar out at once, wait a "
    "minute, try again; still none: roll or drive it for ten minutes. Keep other wheels a metre away"
)
_SNAP_IN = Basis(Ground.PRACTICE, "rubber valves up to 210 km/h and 4.5 bar; from memory")


def unheard(p: Pair[N]) -> Mask:
    """Where no sensor matters: the car has no receiver for them."""
    return p.car.direct == 0


def _there(p: Pair[N]) -> Grade:
    return grade(
        part=p.wheel.has_sensor == 0, measure=unknown(p.wheel.has_sensor) | unknown(p.car.direct), idle=unheard(p)
    )


def _tell_there(v: View, g: int) -> Told:
    rests = v.rests((v.car, "monitor"))
    if g == NO_MATTER:
        how = "by wheel speed alone" if v.car.monitor is Monitor.INDIRECT else "not at all"
        return Told(
            f"The car watches its tyres {how}: sensors in these wheels would be heard by nobody. Pay nothing for them.",
            rests,
        )
    if g == WITH_PART:
        return Told(
            "There is no sensor in it.",
            (v.parts.wheel.basis("joined"), *rests),
            "reckon with a sensor, its kit and the fitting",
        )
    if v.car.monitor is None:
        return Told(
            "Not known: whether the car listens for sensors at all.",
            (NOT_KNOWN,),
            "look in the handbook; note 'monitor'",
        )
    if g == MEASURE:
        return Told(
            "Not known: whether there is a sensor in it.",
            (NOT_KNOWN,),
            f"a metal valve may have one, a plain rubber one mostly has none; {_WAKE}",
        )
    return Told(
        "There is a sensor in it.",
        v.rests((v.sensor, "answers")) if v.sensor and v.sensor.answers is not None else rests,
    )


def _idle(p: Pair[N]) -> Mask:
    return unheard(p) | (p.wheel.has_sensor != 1)


def _wrong_band(p: Pair[N]) -> Mask:
    return (p.car.band != p.wheel.band) & known(p.car.band, p.wheel.band)


def _wrong_family(p: Pair[N]) -> Mask:
    return _wrong_band(p) | (p.both.unlike == 1)


def _wrong_width(p: Pair[N]) -> Mask:
    return (p.car.bits != p.wheel.bits) & known(p.car.bits, p.wheel.bits)


def _useless(p: Pair[N]) -> Mask:
    """Where a sensor is proven to be for another car: what else is not known of it does not matter."""
    return _wrong_family(p) | _wrong_width(p)


def _band(p: Pair[N]) -> Grade:
    return grade(part=_wrong_band(p), measure=unknown(p.car.band, p.wheel.band), idle=_idle(p))


def _said(v: View, key: str) -> tuple[Basis, ...]:
    """Who says something of sensor and car: they themselves, else their families."""
    rows: list[tuple[Row | None, str]] = []
    for one in (v.sensor, v.car):
        own = getattr(one, key, None) is not None
        rows.append((one if own else v.garage.families.get((one.family if one else None) or ""), key))
    return v.rests(*rows)


def _tell_band(v: View, g: int) -> Told:
    ours = car_band(v.garage, v.car)
    theirs = sensor_band(v.garage, v.sensor) if v.sensor else None
    rests = _said(v, "band") if ours and theirs else (NOT_KNOWN,)
    if ours is None or theirs is None:
        whose = "the car's" if ours is None else "the sensor's"
        text = (
            f"Not known: {whose} band. A sensor that answers the trigger may yet speak on the other continent's band."
        )
        return Told(
            text,
            rests,
            "listen on both bands while it is triggered; the band on which it is heard is its own. Note 'band'",
        )
    if g == WITH_PART:
        text = f"It speaks on {theirs.value}, the car listens on {ours.value}: good sensors, for another car."
        return Told(text, rests, "reckon with new sensors, and take their price off")
    return Told(f"Both are on {ours.value}.", rests)


def _family(p: Pair[N]) -> Grade:
    unlike, same = p.both.unlike == 1, p.car.family == p.wheel.family
    return grade(part=unlike, measure=no(same) & no(unlike), idle=_idle(p) | _wrong_band(p))


def _tell_family(v: View, g: int) -> Told:
    ours, theirs = v.car.family, v.sensor.family if v.sensor else None
    rests = v.rests((v.sensor, "family"), (v.car, "family"))
    names = v.garage.families
    if g == WITH_PART:
        assert ours
        assert theirs
        return Told(
            f"{names[theirs].name} is proven not to be {names[ours].name}: the car would not understand it.",
            rests,
            "reckon with new sensors",
        )
    if g == MEASURE:
        if ours and theirs:
            text = f"{names[theirs].name} may or may not be {names[ours].name}."
            way = "put one wheel on and drive until the car shows its pressure, or the lamp flashes; note 'unlike' if they differ"
            return Told(text, rests, way)
        whose = "the car's" if ours is None else "the sensor's"
        way = "compare the print on the sensor, or what a trigger shows of it, with one that works in the car; note 'family'"
        return Told(f"Not known: {whose} family.", (NOT_KNOWN,), way)
    assert ours
    return Told(f"Both are {names[ours].name}.", rests)


def _width(p: Pair[N]) -> Grade:
    lacks = unknown(p.car.bits, p.wheel.bits)
    return grade(part=_wrong_width(p), measure=lacks, idle=_idle(p) | _wrong_family(p))


def _tell_width(v: View, g: int) -> Told:
    ours = car_bits(v.garage, v.car)
    theirs = sensor_bits(v.garage, v.sensor) if v.sensor else None
    if ours is None or theirs is None:
        whose = "the car's" if ours is None else "the sensor's"
        return Told(
            f"Not known: how wide {whose} IDs are.",
            (NOT_KNOWN,),
            "count the digits that the trigger shows: 6, 7 or 8 hex digits are 24, 28 or 32 bits; note 'bits'",
        )
    rests = _said(v, "bits")
    if g == WITH_PART:
        return Told(f"Its ID has {theirs} bits, the car's have {ours}.", rests, "reckon with new sensors")
    return Told(f"Both have IDs of {ours} bits.", rests)


def _state(p: Pair[N]) -> Grade:
    w = p.wheel
    silent = no(w.answers == 1) & no(w.battery_low == 1)
    return grade(part=w.battery_low == 1, measure=silent, idle=_idle(p) | _useless(p))


def _tell_state(v: View, g: int) -> Told:
    sensor = v.sensor
    rests = v.rests((sensor, "answers"))
    aged, basis = _age(v)
    if g == WITH_PART:
        return Told(
            f"It says that its battery is low: a few months are left.{aged}",
            (*v.rests((sensor, "battery_low")), *basis),
            "reckon with a new sensor, and take its price off",
        )
    if sensor is not None and sensor.answers is False:
        way = f"{_WAKE}. Answers: keep it. No answer after all that: reckon with a new sensor"
        return Told(f"It gave no answer when it was triggered. It may only be asleep.{aged}", (*rests, *basis), way)
    if g == MEASURE:
        way = f"{_WAKE}. Compare the pressure that it says with the gauge: more than 15 kPa apart is suspect, as is 5 °C beside the air"
        return Told(f"Not known: whether it answers.{aged}", (NOT_KNOWN, *basis), way)
    return Told(f"It answered when it was triggered.{aged}", (*rests, *basis))


def _age(v: View) -> tuple[str, tuple[Basis, ...]]:
    """How old the sensor is, or may be."""
    sensor = v.sensor
    if sensor is not None and sensor.first_used is not None:
        years = age_years(sensor.first_used, v.day)
        old = " Its battery is near the end that most reach." if near_end(years, sensor_life(v.garage)) else ""
        return f" It is {v.units.number(years, 1)} years old.{old}", (
            *v.rests((sensor, "first_used")),
            *((sensor_life_basis(v.garage),) if old else ()),
        )
    if not math.isnan(v.wheel.age_most):
        return (
            f" Its own age is not known; the tyre is {v.units.number(v.wheel.age_most, 1)} years old, and it may be older.",
            (),
        )
    return "", ()


def _accepted(p: Pair[N]) -> Grade:
    c, w = p.car, p.wheel
    locked = c.one_set_locked == 1
    return grade(
        part=locked & (w.fixed == 1),
        measure=unknown(c.one_set_locked) | (locked & unknown(w.fixed)),
        idle=_idle(p) | _useless(p),
    )


def _tell_accepted(v: View, g: int) -> Told:
    car, sensor = v.car, v.sensor
    rests = v.rests((car, "taught_by"), (car, "remembers_sets" if car.remembers_sets is not None else "remembers_ids"))
    if car.taught_by is None:
        return Told(
            "Not known: how the car comes to accept IDs, or how many sets it remembers.",
            (NOT_KNOWN,),
            "look in the handbook; note 'taught_by' and 'remembers_sets'",
        )
    room = "an unknown number of sets" if car.slots is None else f"{car.slots} {'set' if car.slots == 1 else 'sets'}"
    corners = " It tells corners apart: each wheel belongs to its own." if car.corner_aware else ""
    said = f"The car is taught {_taught(car.taught_by)} and remembers {room}.{corners}"
    if g == WITH_PART:
        return Told(
            f"{said} With a list of one set that you can't teach, sensors have to be written; this one can't be.",
            rests,
            "reckon with a sensor that can be written, or with paying for each change",
        )
    if g == MEASURE:
        return Told(
            f"{said} Whether its sensors can be written, should they have to be, is not known.",
            (*rests, NOT_KNOWN),
            "original sensors mostly can't; ask, and note 'writing'",
        )
    can = (
        ""
        if sensor is None or sensor.writing is None
        else " Its sensor can be written."
        if writable(sensor)
        else " Its sensor can't be written."
    )
    return Told(f"{said}{can}", rests)


def _taught(how: Teaching) -> str:
    return {
        Teaching.DRIVING: "by driving", Teaching.DRIVING_CORNERS: "by driving, and finds corners", Teaching.STEPS: "step by step",
        Teaching.PORT: "through the port", Teaching.LOCKED: "in a locked session only",
    }[how]  # fmt: skip


def _taken(p: Pair[N]) -> Grade:
    w = p.wheel
    return grade(part=w.id_taken == 1, measure=unknown(w.id_taken), idle=_idle(p) | _useless(p) | _taken_for_good(p))


def _taken_for_good(p: Pair[N]) -> Mask:
    """Where an ID is taken and can't be written over, or it is not known whether it can."""
    return (p.wheel.id_taken == 1) & (p.wheel.fixed != 0)


def _taken_fixed(p: Pair[N]) -> Grade:
    there = _taken_for_good(p) & no(_idle(p)) & no(_useless(p))
    return grade(part=there, idle=no(there))


def _tell_taken(v: View, g: int) -> Told:
    if g == MEASURE and v.sensor is not None and (v.sensor.sends or v.sensor.printed):
        return Told(
            "Several wheels of this set are said to have one ID.",
            (NOT_KNOWN,),
            "trigger each, a metre from the others",
        )
    if g == MEASURE:
        return Told(
            "Not known: its ID.", (NOT_KNOWN,), "trigger it and write down what it says, digit by digit; note 'sends'"
        )
    rests = v.rests((v.sensor, "sends" if v.sensor and v.sensor.sends else "printed"))
    if g == WITH_PART:
        can = v.wheel.fixed == 0
        way = (
            "write a fresh one before it comes near the car"
            if can
            else "reckon with a new sensor, unless it can be written"
        )
        return Told("Its ID is in the garage already: two voices with one name.", rests, way)
    return Told("Nothing else in the garage has its ID.", rests)


def _fast(p: Pair[N]) -> Mask:
    return p.car.top_speed > SNAP_IN_KMH


def _valve(p: Pair[N]) -> Grade:
    strained = _fast(p) | (pressure_of_use(p) > SNAP_IN_KPA)
    return grade(part=strained, idle=no(p.wheel.rubber == 1) | no(strained))


def _tell_valve(v: View, _: int) -> Told:
    why = (
        v.units.show_speed(v.car.top_speed)
        if v.car.top_speed and v.car.top_speed.km_h > SNAP_IN_KMH
        else v.kpa(pressure_of_use(v.pair))
    )
    return Told(f"Its rubber valve is too weak for {why}.", (_SNAP_IN,), "have a metal one fitted")


_W = Question.RADIO
RULES = (
    Rule(_W, "sensor", "A sensor in it", _there, _tell_there, Part.SENSOR),
    Rule(_W, "band", "Band", _band, _tell_band, Part.SENSOR),
    Rule(_W, "family", "Family", _family, _tell_family, Part.SENSOR),
    Rule(_W, "width", "Width of the ID", _width, _tell_width, Part.SENSOR),
    Rule(_W, "state", "Whether it answers", _state, _tell_state, Part.SENSOR),
    Rule(_W, "accepted", "Accepted by the car", _accepted, _tell_accepted, Part.SENSOR),
    Rule(_W, "id", "An ID of its own", _taken, _tell_taken, Part.REWRITING),
    Rule(_W, "id-taken", "An ID of its own", _taken_fixed, _tell_taken, Part.SENSOR),
    Rule(_W, "valve", "Valve", _valve, _tell_valve, Part.VALVE),
)
"""Rules of the radio, in the order in which they are told."""
