"""Will the car hear the sensors, and can it be made to accept them."""

from __future__ import annotations

import math

from wheelside.declared.row import Row
from wheelside.finding import Basis, Ground
from wheelside.fit.facts import N
from wheelside.fit.gather import writable
from wheelside.fit.match import Match
from wheelside.fit.number import Grade, Mask, grade, known, no, unknown
from wheelside.fit.rule import NOT_KNOWN, Rule, ToldLine, View
from wheelside.fit.use import pressure_of_use
from wheelside.fit.verdict import MEASURE, NO_MATTER, WITH_PART, Part, Question
from wheelside.garage.ids import car_band, car_bits, sensor_band, sensor_bits
from wheelside.garage.rates import sensor_life, sensor_life_basis
from wheelside.garage.words import Monitor, Teaching
from wheelside.said import Figure, Said, say
from wheelside.sensor.life import age_years, near_end

SNAP_IN_KMH, SNAP_IN_KPA = 210.0, 450.0
"""Rubber valves are for no more; speed from memory, pressure from a valve reference page."""

_WAKE = say(
    "bring it to 2 bar or more, hold the trigger at the sidewall beside the valve for ten seconds; no answer: let half a bar out at once, "
    "wait a minute, try again; still none: roll or drive it for ten minutes. Keep other wheels a metre away"
)
_SNAP_IN = Basis(Ground.PRACTICE, "rubber valves up to 210 km/h and 4.5 bar; from memory")


def unheard(m: Match[N]) -> Mask:
    """Where no sensor matters: the car has no receiver for them."""
    return m.car.direct == 0


def _there(m: Match[N]) -> Grade:
    return grade(
        part=m.wheel.has_sensor == 0, measure=unknown(m.wheel.has_sensor) | unknown(m.car.direct), idle=unheard(m)
    )


def _tell_there(v: View, g: int) -> ToldLine:
    rests = v.rests((v.car, "monitor"))
    if g == NO_MATTER:
        how = say("by wheel speed alone") if v.car.monitor is Monitor.INDIRECT else say("not at all")
        return ToldLine(
            say(
                "The car watches its tyres {how}: sensors in these wheels would be heard by nobody. Pay nothing for them.",
                how=how,
            ),
            rests,
        )
    if g == WITH_PART:
        return ToldLine(
            say("There is no sensor in it."),
            (v.parts.wheel.basis("joined"), *rests),
            say("allow for a sensor, its kit and the fitting"),
        )
    if v.car.monitor is None:
        return ToldLine(
            say("Not known: whether the car listens for sensors at all."),
            (NOT_KNOWN,),
            say("look in the handbook; note {monitor}", monitor=v.key("car", "monitor")),
        )
    if g == MEASURE:
        return ToldLine(
            say("Not known: whether there is a sensor in it."),
            (NOT_KNOWN,),
            say("a metal valve may have one, a plain rubber one mostly has none; {wake}", wake=_WAKE),
        )
    return ToldLine(
        say("There is a sensor in it."),
        v.rests((v.sensor, "answers")) if v.sensor and v.sensor.answers is not None else rests,
    )


def _idle(m: Match[N]) -> Mask:
    return unheard(m) | (m.wheel.has_sensor != 1)


def _wrong_band(m: Match[N]) -> Mask:
    return (m.car.band != m.wheel.band) & known(m.car.band, m.wheel.band)


def _wrong_family(m: Match[N]) -> Mask:
    return _wrong_band(m) | (m.both.unlike == 1)


def _wrong_width(m: Match[N]) -> Mask:
    return (m.car.bits != m.wheel.bits) & known(m.car.bits, m.wheel.bits)


def _useless(m: Match[N]) -> Mask:
    """Where a sensor is proven to be for another car: what else is not known of it does not matter."""
    return _wrong_family(m) | _wrong_width(m)


def _band(m: Match[N]) -> Grade:
    return grade(part=_wrong_band(m), measure=unknown(m.car.band, m.wheel.band), idle=_idle(m))


def _said(v: View, key: str) -> tuple[Basis, ...]:
    """Who says something of sensor and car: they themselves, else their families."""
    rows: list[tuple[Row | None, str]] = []
    for one in (v.sensor, v.car):
        own = getattr(one, key, None) is not None
        rows.append((one if own else v.garage.families.get((one.family if one else None) or ""), key))
    return v.rests(*rows)


def _tell_band(v: View, g: int) -> ToldLine:
    ours = car_band(v.garage, v.car)
    theirs = sensor_band(v.garage, v.sensor) if v.sensor else None
    rests = _said(v, "band") if ours and theirs else (NOT_KNOWN,)
    if ours is None or theirs is None:
        whose = say("the car's") if ours is None else say("the sensor's")
        text = say(
            "Not known: {whose} band. A sensor that answers the trigger may yet speak on the other continent's band.",
            whose=whose,
        )
        return ToldLine(
            text,
            rests,
            say(
                "listen on both bands while it is triggered; the band on which it is heard is its own. Note {band}",
                band=v.key("sensor", "band"),
            ),
        )
    if g == WITH_PART:
        text = say(
            "It speaks on {theirs}, the car listens on {ours}: good sensors, for another car.",
            theirs=theirs.value,
            ours=ours.value,
        )
        return ToldLine(text, rests, say("allow for new sensors, and take their price off"))
    return ToldLine(say("Both are on {ours}.", ours=ours.value), rests)


def _family(m: Match[N]) -> Grade:
    unlike, same = m.both.unlike == 1, m.car.family == m.wheel.family
    return grade(part=unlike, measure=no(same) & no(unlike), idle=_idle(m) | _wrong_band(m))


def _tell_family(v: View, g: int) -> ToldLine:
    ours, theirs = v.car.family, v.sensor.family if v.sensor else None
    rests = v.rests((v.sensor, "family"), (v.car, "family"))
    names = v.garage.families
    if g == WITH_PART:
        assert ours
        assert theirs
        return ToldLine(
            say(
                "{name} is proven not to be {name_2}: the car would not understand it.",
                name=names[theirs].name,
                name_2=names[ours].name,
            ),
            rests,
            say("allow for new sensors"),
        )
    if g == MEASURE:
        if ours and theirs:
            text = say("{name} may or may not be {name_2}.", name=names[theirs].name, name_2=names[ours].name)
            way = say(
                "put one wheel on and drive until the car shows its pressure, or the lamp flashes; note {unlike} if they differ",
                unlike=v.key("family", "unlike"),
            )
            return ToldLine(text, rests, way)
        whose = say("the car's") if ours is None else say("the sensor's")
        way = say(
            "compare the print on the sensor, or what a trigger shows of it, with one that works in the car; note {family}",
            family=v.key("sensor", "family"),
        )
        return ToldLine(say("Not known: {whose} family.", whose=whose), (NOT_KNOWN,), way)
    assert ours
    return ToldLine(say("Both are {name}.", name=names[ours].name), rests)


def _width(m: Match[N]) -> Grade:
    lacks = unknown(m.car.bits, m.wheel.bits)
    return grade(part=_wrong_width(m), measure=lacks, idle=_idle(m) | _wrong_family(m))


def _tell_width(v: View, g: int) -> ToldLine:
    ours = car_bits(v.garage, v.car)
    theirs = sensor_bits(v.garage, v.sensor) if v.sensor else None
    if ours is None or theirs is None:
        whose = say("the car's") if ours is None else say("the sensor's")
        return ToldLine(
            say("Not known: how wide {whose} IDs are.", whose=whose),
            (NOT_KNOWN,),
            say(
                "count the digits that the trigger shows: 6, 7 or 8 hex digits are 24, 28 or 32 bits; note {bits}",
                bits=v.key("sensor", "bits"),
            ),
        )
    rests = _said(v, "bits")
    if g == WITH_PART:
        return ToldLine(
            say("Its ID has {theirs} bits, the car's have {ours}.", theirs=theirs, ours=ours),
            rests,
            say("allow for new sensors"),
        )
    return ToldLine(say("Both have IDs of {ours} bits.", ours=ours), rests)


def _state(m: Match[N]) -> Grade:
    w = m.wheel
    silent = no(w.answers == 1) & no(w.battery_low == 1)
    return grade(part=w.battery_low == 1, measure=silent, idle=_idle(m) | _useless(m))


def _tell_state(v: View, g: int) -> ToldLine:
    sensor = v.sensor
    rests = v.rests((sensor, "answers"))
    aged, basis = _age(v)
    if g == WITH_PART:
        return ToldLine(
            say("It says that its battery is low: a few months are left.{aged}", aged=aged),
            (*v.rests((sensor, "battery_low")), *basis),
            say("allow for a new sensor, and take its price off"),
        )
    if sensor is not None and sensor.answers is False:
        way = say("{wake}. Answers: keep it. No answer after all that: allow for a new sensor", wake=_WAKE)
        return ToldLine(
            say("It gave no answer when it was triggered. It may only be asleep.{aged}", aged=aged),
            (*rests, *basis),
            way,
        )
    if g == MEASURE:
        way = say(
            "{wake}. Compare the pressure that it says with the gauge: more than 15 kPa apart is suspect, as is 5 °C beside the air",
            wake=_WAKE,
        )
        return ToldLine(say("Not known: whether it answers.{aged}", aged=aged), (NOT_KNOWN, *basis), way)
    return ToldLine(say("It answered when it was triggered.{aged}", aged=aged), (*rests, *basis))


def _age(v: View) -> tuple[Said | str, tuple[Basis, ...]]:
    """How old the sensor is, or may be."""
    sensor = v.sensor
    if sensor is not None and sensor.first_used is not None:
        years = age_years(sensor.first_used, v.day)
        old = say(" Its battery is near the end that most reach.") if near_end(years, sensor_life(v.garage)) else ""
        return say(" It is {years} years old.{old}", years=Figure(years, 1), old=old), (
            *v.rests((sensor, "first_used")),
            *((sensor_life_basis(v.garage),) if old else ()),
        )
    if not math.isnan(v.wheel.age_most):
        return (
            say(
                " Its own age is not known; the tyre is {age_most} years old, and it may be older.",
                age_most=Figure(v.wheel.age_most, 1),
            ),
            (),
        )
    return "", ()


def _accepted(m: Match[N]) -> Grade:
    c, w = m.car, m.wheel
    locked = c.one_set_locked == 1
    return grade(
        part=locked & (w.fixed == 1),
        measure=unknown(c.one_set_locked) | (locked & unknown(w.fixed)),
        idle=_idle(m) | _useless(m),
    )


def _tell_accepted(v: View, g: int) -> ToldLine:
    car, sensor = v.car, v.sensor
    rests = v.rests((car, "taught_by"), (car, "remembers_sets" if car.remembers_sets is not None else "remembers_ids"))
    if car.taught_by is None:
        return ToldLine(
            say("Not known: how the car comes to accept IDs, or how many sets it remembers."),
            (NOT_KNOWN,),
            say(
                "look in the handbook; note {taught_by} and {remembers_sets}",
                taught_by=v.key("car", "taught_by"),
                remembers_sets=v.key("car", "remembers_sets"),
            ),
        )
    room = (
        say("an unknown number of sets")
        if car.slots is None
        else say("{slots} {value}", slots=car.slots, value="set" if car.slots == 1 else "sets")
    )
    corners = say(" It tells corners apart: each wheel belongs to its own.") if car.corner_aware else ""
    said = say(
        "The car is taught {taught} and remembers {room}.{corners}",
        taught=_taught(car.taught_by),
        room=room,
        corners=corners,
    )
    if g == WITH_PART:
        return ToldLine(
            say(
                "{said} With a list of one set that you can't teach, sensors have to be written; this one can't be.",
                said=said,
            ),
            rests,
            say("allow for a sensor that can be written, or for paying for each change"),
        )
    if g == MEASURE:
        return ToldLine(
            say("{said} Whether its sensors can be written, should they have to be, is not known.", said=said),
            (*rests, NOT_KNOWN),
            say("original sensors mostly can't; ask, and note {writing}", writing=v.key("sensor", "writing")),
        )
    can = (
        ""
        if sensor is None or sensor.writing is None
        else say(" Its sensor can be written.")
        if writable(sensor)
        else say(" Its sensor can't be written.")
    )
    return ToldLine(say("{said}{can}", said=said, can=can), rests)


def _taught(how: Teaching) -> str:
    return {
        Teaching.DRIVING: "by driving", Teaching.DRIVING_CORNERS: "by driving, and finds corners", Teaching.STEPS: "step by step",
        Teaching.PORT: "through the port", Teaching.LOCKED: "in a locked session only", Teaching.NOT: "not at all",
    }[how]  # fmt: skip


def _taken(m: Match[N]) -> Grade:
    w = m.wheel
    return grade(part=w.id_taken == 1, measure=unknown(w.id_taken), idle=_idle(m) | _useless(m) | _taken_for_good(m))


def _taken_for_good(m: Match[N]) -> Mask:
    """Where an ID is taken and can't be written over, or it is not known whether it can."""
    return (m.wheel.id_taken == 1) & (m.wheel.fixed != 0)


def _taken_fixed(m: Match[N]) -> Grade:
    there = _taken_for_good(m) & no(_idle(m)) & no(_useless(m))
    return grade(part=there, idle=no(there))


def _tell_taken(v: View, g: int) -> ToldLine:
    if g == MEASURE and v.sensor is not None and (v.sensor.sends or v.sensor.printed):
        return ToldLine(
            say("Several wheels of this set are said to have one ID."),
            (NOT_KNOWN,),
            say("trigger each, a metre from the others"),
        )
    if g == MEASURE:
        return ToldLine(
            say("Not known: its ID."),
            (NOT_KNOWN,),
            say("trigger it and write down what it says, digit by digit; note {sends}", sends=v.key("sensor", "sends")),
        )
    rests = v.rests((v.sensor, "sends" if v.sensor and v.sensor.sends else "printed"))
    if g == WITH_PART:
        can = v.wheel.fixed == 0
        way = (
            say("write a fresh one before it comes near the car")
            if can
            else say("allow for a new sensor, unless it can be written")
        )
        return ToldLine(say("Its ID is in the garage already: two voices with one name."), rests, way)
    return ToldLine(say("Nothing else in the garage has its ID."), rests)


def _fast(m: Match[N]) -> Mask:
    return m.car.top_speed > SNAP_IN_KMH


def _valve(m: Match[N]) -> Grade:
    strained = _fast(m) | (pressure_of_use(m) > SNAP_IN_KPA)
    return grade(part=strained, idle=no(m.wheel.rubber == 1) | no(strained))


def _tell_valve(v: View, _: int) -> ToldLine:
    why = (
        (v.car.top_speed) if v.car.top_speed and v.car.top_speed.km_h > SNAP_IN_KMH else v.kpa(pressure_of_use(v.match))
    )
    return ToldLine(
        say("Its rubber valve is too weak for {why}.", why=why), (_SNAP_IN,), say("have a metal one fitted")
    )


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
