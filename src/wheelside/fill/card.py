"""One air card: for each wheel of a set on a car, what to set now. Write it like this."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from wheelside.air.gas import gauge_elsewhere
from wheelside.fill.lamp import LampDue, lamp_due
from wheelside.fill.situation import Situation, situation
from wheelside.fill.target import Target, target
from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.joined import Parts, parts_on
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.words import Corner, Monitor
from wheelside.units import AbsolutePressure, GaugePressure, PressureSpan

COVERAGE = 2.0
LEAST_SETTING = GaugePressure(150.0)
_GAS = Basis(Ground.COMPUTED, "gas law at constant volume, absolute pressure and kelvin")
_MAXIMUM = Basis(Ground.STANDARD, "49 CFR 571.139 S3: the marked maximum is a cold pressure")


@dataclass(frozen=True, slots=True)
class Readings:
    """What is seen here after setting, and there in use: by hand gauge and on a dash with a fixed offset."""

    gauge_here: GaugePressure
    gauge_there: GaugePressure
    dash_here: GaugePressure | None
    dash_there: GaugePressure | None


@dataclass(frozen=True, slots=True)
class UncertaintyPart:
    """One input's share in the setting's uncertainty: standard uncertainty of the setting due to it."""

    source: str
    standard: PressureSpan
    basis: Basis


@dataclass(frozen=True, slots=True)
class WheelSetting:
    """One wheel's line: the true pressure to set, what this gauge shows then, and how sure that is.

    `spread` is the expanded uncertainty with coverage factor 2 of the reading in use that the setting
    leads to, seen from here.
    """

    corner: Corner
    wheel: str
    target: Target
    set_to: GaugePressure
    gauge_shows: GaugePressure
    spread: PressureSpan
    parts: tuple[UncertaintyPart, ...]
    limited_by: str
    highest: GaugePressure | None
    reads: Readings
    lamp: tuple[LampDue, ...]


@dataclass(frozen=True, slots=True)
class AirCard:
    """The card of one set on one car on one day. `situation` is None where it could not be worked out."""

    car: str
    set: str
    day: date
    situation: Situation | None
    wheels: tuple[WheelSetting, ...]
    findings: tuple[Finding, ...]


def air_card(garage: Garage, car: Car, wheel_set: WheelSet, day: date) -> AirCard:
    """The air card for `wheel_set` on `car` under the garage's conditions."""
    s = situation(garage, car)
    if not isinstance(s, Situation):
        return AirCard(car.id, wheel_set.id, day, None, (), s)
    findings = list(s.findings)
    wheels = []
    for corner, wheel_id in wheel_set.wheels:
        parts = parts_on(garage, wheel_id, day)
        goal = target(garage, car, corner, parts, f"{corner.value}, wheel {parts.wheel.name}")
        if isinstance(goal, Target):
            findings += goal.findings
            wheels.append(_setting(car, s, corner, parts, goal, findings))
        else:
            findings += goal
    return AirCard(car.id, wheel_set.id, day, s, tuple(wheels), tuple(dict.fromkeys(findings)))


def _setting(
    car: Car, s: Situation, corner: Corner, parts: Parts, goal: Target, findings: list[Finding]
) -> WheelSetting:
    about = f"{corner.value}, wheel {parts.wheel.name}"
    set_to, limited_by, highest = _bounded(s, goal.pressure, parts, about, findings)
    parts_of = uncertainty(s, goal.pressure)
    tyre = parts.tyre.designation if parts.tyre else None
    assert tyre is not None, "a target is only found for a tyre with a designation"
    lamp = () if car.monitor is Monitor.NONE else lamp_due(car, s, set_to, goal.placard, tyre)
    findings += _lamp_before_check(s, lamp, about)
    return WheelSetting(
        corner=corner,
        wheel=parts.wheel.id,
        target=goal,
        set_to=set_to,
        gauge_shows=set_to + s.gauge_bias,
        spread=expanded(parts_of),
        parts=parts_of,
        limited_by=limited_by,
        highest=highest,
        reads=_readings(car, s, set_to),
        lamp=lamp,
    )


def wanted(s: Situation, in_use: GaugePressure) -> GaugePressure:
    """The gauge pressure to set now so that the tyre reads `in_use` there: (in use + air there) T now / T use - air here."""
    return gauge_elsewhere(in_use, s.use, s.air_there, s.now, s.air_here)


def _bounded(
    s: Situation, in_use: GaugePressure, parts: Parts, about: str, findings: list[Finding]
) -> tuple[GaugePressure, str, GaugePressure | None]:
    """The setting after its floor and ceiling, which of them bound it, and the ceiling."""
    set_to, limited_by = wanted(s, in_use), ""
    if set_to < in_use:
        reads = gauge_elsewhere(in_use, s.now, s.air_here, s.use, s.air_there)
        text = (
            f"Going somewhere warmer or higher the rule says {s.units.show_pressure(set_to)}, less than the {s.units.show_pressure(in_use)} of the "
            f"placard for this load. The placard is set; in use it will read {s.units.show_pressure(reads)}."
        )
        findings.append(Finding(Weight.NOTE, "placard-floor", about, text, (_GAS,)))
        set_to, limited_by = in_use, "placard"
    highest = _highest(s, parts, about, findings)
    if highest is not None and highest < set_to:
        findings.append(_over(s, set_to, highest, in_use, about))
        set_to, limited_by = highest, "maximum"
    if set_to < LEAST_SETTING:
        text = f"{s.units.show_pressure(set_to)} is below {s.units.show_pressure(LEAST_SETTING)}, which no car in scope may be driven on."
        findings.append(
            Finding(
                Weight.FORBIDDEN,
                "too-low",
                about,
                text,
                (Basis(Ground.PRACTICE, "no source"),),
                "check placard and conditions",
            )
        )
    return set_to, limited_by, highest


def _highest(s: Situation, parts: Parts, about: str, findings: list[Finding]) -> GaugePressure | None:
    """The highest setting at which every cold reading to come stays within tyre's and rim's maximum."""
    marks = [(name, part.max_pressure) for name, part in (("tyre", parts.tyre), ("rim", parts.rim)) if part]
    if not any(name == "tyre" and mark for name, mark in marks):
        text = "The tyre's marked maximum is not known, so the setting is not held against it."
        findings.append(
            Finding(
                Weight.ASK,
                "no-maximum",
                about,
                text,
                (Basis(Ground.UNKNOWN),),
                "read it off the sidewall (MAX PRESS) into 'max_pressure'",
            )
        )
    known = [mark for _, mark in marks if mark]
    if not known:
        return None
    least = min(known)
    warm = gauge_elsewhere(least, s.warmest, s.air_there, s.now, s.air_here)
    return min(least, warm)


def _over(s: Situation, set_to: GaugePressure, highest: GaugePressure, in_use: GaugePressure, about: str) -> Finding:
    reads = gauge_elsewhere(highest, s.now, s.air_here, s.use, s.air_there)
    most = s.units.show_pressure(highest)
    bound = f"{s.units.show_pressure(set_to)} would pass the cold maximum of tyre or rim before the next check; {most} is the most."
    if highest < in_use:
        text = f"{bound} That is below the {s.units.show_pressure(in_use)} wanted for this load, so these wheels are not for this use."
        return Finding(
            Weight.FORBIDDEN,
            "over-maximum",
            about,
            text,
            (_MAXIMUM,),
            "fit tyres and rims marked for the placard's pressure",
        )
    text = (
        f"{bound} In use it will read {s.units.show_pressure(reads)}, below the {s.units.show_pressure(in_use)} wanted."
    )
    return Finding(
        Weight.WARNING,
        "over-maximum",
        about,
        text,
        (_MAXIMUM, _GAS),
        "set them outside, after three hours there, to the placard",
    )


def _lamp_before_check(s: Situation, lamp: tuple[LampDue, ...], about: str) -> list[Finding]:
    """A lamp that falls due before the next check, by cold or by normal loss, under a rule that may be the car's."""
    weeks = s.next_check.seconds / (7 * 86400) if s.next_check else 0.0
    due = [d for d in lamp if d.applies is not False and (d.weeks.soonest <= weeks or d.tyre_temperature >= s.coldest)]
    if not due:
        return []
    text = f"Before the next check the lamp may be due under {due[0].rule}, by cold or by normal loss."
    return [Finding(Weight.WARNING, "lamp-soon", about, text, (due[0].basis,), "check sooner, or when the cold comes")]


def _readings(car: Car, s: Situation, set_to: GaugePressure) -> Readings:
    there = gauge_elsewhere(set_to, s.now, s.air_here, s.use, s.air_there)
    offset = car.dash_offset if car.dash_shows else None
    return Readings(
        gauge_here=set_to,
        gauge_there=there,
        dash_here=_dash(set_to, s.air_here, offset),
        dash_there=_dash(there, s.air_there, offset),
    )


def _dash(reads: GaugePressure, air: AbsolutePressure, offset: AbsolutePressure | None) -> GaugePressure | None:
    """What a dash shows that takes a fixed air pressure off the sensor's absolute one."""
    return None if offset is None else reads.absolute(air).gauge(offset)


def uncertainty(s: Situation, in_use: GaugePressure) -> tuple[UncertaintyPart, ...]:
    """The setting's uncertainty by input, first order: half-widths taken as rectangular, divided by the root of three.

    Source: JCGM 100:2008 (GUM), 4.3.7 and 5.1.2.
    """
    ratio = s.now.kelvin / s.use.kelvin
    absolute = in_use.absolute(s.air_there).kpa
    rows = (
        ("tyre temperature now", absolute / s.use.kelvin, s.spread_now),
        ("temperature of use", absolute * ratio / s.use.kelvin, s.spread_use),
        ("gauge", 1.0, s.spread_gauge),
        ("air pressure here", 1.0, s.spread_air_here),
        ("air pressure there", ratio, s.spread_air_there),
    )
    return tuple(
        UncertaintyPart(name, PressureSpan(slope * given.half_width / math.sqrt(3.0)), given.basis)
        for name, slope, given in rows
    )


def expanded(parts: tuple[UncertaintyPart, ...]) -> PressureSpan:
    """The expanded uncertainty with coverage factor 2."""
    return PressureSpan(COVERAGE * math.sqrt(sum(p.standard.kpa**2 for p in parts)))
