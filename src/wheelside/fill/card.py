"""One air card: for each wheel of a set on a car, what to set now. Write it like this."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from wheelside.air.gas import gauge_elsewhere
from wheelside.air.loss import OwnLoss
from wheelside.fill.bounds import MAXIMUM, NOISE_KPA, PLACARD, Bounded, bounded
from wheelside.fill.by_temperature import SettingAt, by_temperature
from wheelside.fill.contradictions import stands_first
from wheelside.fill.lamp import LampDue, lamp_due
from wheelside.fill.situation import Situation, situation
from wheelside.fill.target import Target, target
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.fit.may import Unsettled, at_wheel, may_go
from wheelside.garage.joined import Parts, parts_on
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.words import Corner, Monitor
from wheelside.said import Key, Said, Table, say
from wheelside.units import AbsolutePressure, GaugePressure, PressureSpan

COVERAGE = 2.0
_GAS = Basis(Ground.COMPUTED, "gas law at constant volume, absolute pressure and kelvin")
_MAXIMUM = Basis(Ground.STANDARD, "49 CFR 571.139 S3: the marked maximum is a cold pressure")


@dataclass(frozen=True, slots=True)
class WillRead:
    """What is seen here after setting, and there in use: truly, by the gauge in hand, and on a dash with a fixed offset.

    The dash figures are in its own steps, where those are known.
    """

    true_there: GaugePressure
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

    `spread` is the expanded uncertainty of the setting with coverage factor 2; `limited_by` is 'placard',
    'maximum' or ''.
    `own`: its own loss, where its readings tell it. `by_temperature`: the same for a tyre that turns out warmer or colder than planned.
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
    reads: WillRead
    lamp: tuple[LampDue, ...]
    own: OwnLoss | None = None
    by_temperature: tuple[SettingAt, ...] = ()


@dataclass(frozen=True, slots=True)
class AirCard:
    """The card of one set on one car on one day, for the placard's `load` ('' where none could be chosen).

    `findings` stand before any figure, what must not be done first of all; `first` are those that a person reads before
    the figures. `situation` is None where it could not be worked out.
    """

    car: str
    set: str
    load: str
    day: date
    findings: tuple[Finding, ...]
    situation: Situation | None
    wheels: tuple[WheelSetting, ...]

    @property
    def first(self) -> tuple[Finding, ...]:
        return tuple(f for f in self.findings if stands_first(f))

    @property
    def later(self) -> tuple[Finding, ...]:
        return tuple(f for f in self.findings if not stands_first(f))


def air_card(
    garage: Garage, car: Car, wheel_set: WheelSet, day: date, own: Mapping[str, OwnLoss] | None = None
) -> AirCard:
    """The air card for `wheel_set` on `car` under the garage's conditions. `own`: how fast wheels lose by their own readings."""
    s = situation(garage, car)
    if not isinstance(s, Situation):
        return AirCard(car.id, wheel_set.id, garage.conditions.load or "", day, s, None, ())
    said = may_go(garage, car, wheel_set, day)
    findings = [*s.findings, *said]
    wheels = []
    for corner, wheel_id in wheel_set.wheels:
        parts = parts_on(garage, wheel_id, day)
        about = at_wheel(corner, parts.wheel.name)
        if (about, Unsettled.CONTRADICTION) in {(f.about, f.code) for f in said}:
            continue
        goal = target(garage, car, corner, parts, about, s.tells_apart)
        if isinstance(goal, Target):
            findings += goal.findings
            setting = _setting(car, s, corner, parts, goal, findings, (own or {}).get(wheel_id))
            wheels += [setting] if setting is not None else []
        else:
            findings += goal
    loads = dict.fromkeys(w.target.load for w in wheels)
    load = " and ".join(loads) or garage.conditions.load or ""
    return AirCard(car.id, wheel_set.id, load, day, _in_order(_once(findings)), s, tuple(wheels))


def _once(findings: list[Finding]) -> list[Finding]:
    """Without a second must not of one kind on one wheel: what holds for the load asked for, where `fit` says it for every load."""
    kinds: dict[tuple[object, ...], Finding] = {}
    for f in findings:
        kinds.setdefault((f.about, f.code) if f.weight is Weight.FORBIDDEN else (f,), f)
    return list(kinds.values())


def _in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Each finding once: what must not be done, then what makes the figures doubtful, then the rest as it came."""
    once = dict.fromkeys(findings)
    return tuple(sorted(once, key=lambda f: (f.weight is not Weight.FORBIDDEN, not stands_first(f))))


def _setting(
    car: Car, s: Situation, corner: Corner, parts: Parts, goal: Target, findings: list[Finding], own: OwnLoss | None
) -> WheelSetting | None:
    about = at_wheel(corner, parts.wheel.name)
    most = _marked(parts, about, findings)
    found = bounded(s, goal.pressure, most)
    findings += _remarks(s, found, goal.pressure, about)
    if found.set_to is None:
        return None
    set_to, highest = found.set_to, found.highest
    parts_of = uncertainty(s, goal.pressure, gauge_only=found.limited_by == PLACARD)
    if highest is not None and set_to + expanded(parts_of) > highest:
        findings.append(_close(set_to, highest, about))
    tyre = parts.tyre.designation if parts.tyre else None
    assert tyre is not None, "a target is only found for a tyre with a designation"
    lamp = () if car.monitor is Monitor.NONE else lamp_due(car, s, set_to, goal.placard, tyre, own)
    findings += _lamp_before_check(lamp, about, own)
    return WheelSetting(
        corner=corner,
        wheel=parts.wheel.id,
        target=goal,
        set_to=set_to,
        gauge_shows=set_to + s.gauge_bias,
        spread=expanded(parts_of),
        parts=parts_of,
        limited_by=found.limited_by,
        highest=highest,
        reads=_readings(car, s, set_to),
        lamp=lamp,
        own=own,
        by_temperature=by_temperature(s, goal.pressure, most, goal.need),
    )


def _marked(parts: Parts, about: Said, findings: list[Finding]) -> GaugePressure | None:
    """The lower of the maxima marked on tyre and rim; None where neither is known."""
    marks = [(name, part.max_pressure) for name, part in (("tyre", parts.tyre), ("rim", parts.rim)) if part]
    if not any(name == "tyre" and mark for name, mark in marks):
        text = say("The tyre's marked maximum is not known, so the setting is not compared with it.")
        key = Key("tyre", "max_pressure", parts.tyre.id) if parts.tyre else Table("tyre")
        way = note(say("read it off the sidewall (MAX PRESS), and note it as {key}", key=key))
        findings.append(Finding(Weight.ASK, "no-maximum", about, text, (Basis(Ground.UNKNOWN),), way))
    return min((mark for _, mark in marks if mark), default=None)


def _remarks(s: Situation, found: Bounded, in_use: GaugePressure, about: Said) -> list[Finding]:
    """What floor and ceiling did to the setting. Of a floor that the gauge can't tell apart from the rule nothing is said."""
    out = []
    if found.limited_by and in_use.kpa - found.rule.kpa >= s.tells_apart.kpa:
        out.append(_floor(s, found.rule, in_use, about))
    if found.limited_by == MAXIMUM:
        out.append(_over(s, found, in_use, about))
    return out


def _close(set_to: GaugePressure, highest: GaugePressure, about: Said) -> Finding:
    text = say(
        "The setting of {set_to} lies so close below the {highest} allowed that its uncertainty reaches over it.",
        set_to=set_to, highest=highest,
    )  # fmt: skip
    way = Way(WayKind.WORK, say("set it outside, with a gauge you trust"))
    return Finding(Weight.NOTE, "near-maximum", about, text, (_MAXIMUM,), way)


def _floor(s: Situation, rule: GaugePressure, in_use: GaugePressure, about: Said) -> Finding:
    reads = gauge_elsewhere(in_use, s.now, s.air_here, s.use, s.air_there)
    text = say(
        "Going somewhere warmer or higher the rule says {less}, less than the {placard} wanted for this load. "
        "{placard} is set; in use it will read {reads}.",
        less=rule, placard=in_use, reads=reads,
    )  # fmt: skip
    return Finding(Weight.NOTE, "placard-floor", about, text, (_GAS,))


def _over(s: Situation, found: Bounded, in_use: GaugePressure, about: Said) -> Finding:
    here, outside = found.highest, found.highest_outside
    assert here is not None, "a maximum bounds only where one is known"
    assert outside is not None, "both ceilings are known together"
    bound = say(
        "{set_to} would pass the cold maximum of tyre or rim before the next check; {here} is the most here.",
        set_to=found.floored, here=here,
    )  # fmt: skip
    if outside.kpa < in_use.kpa - NOISE_KPA:
        text = say(
            "{bound} Outside {outside} is the most, below the {wanted} wanted for this load: these wheels are not for this use.",
            bound=bound, outside=outside, wanted=in_use,
        )  # fmt: skip
        way = Way(WayKind.BUY, say("fit tyres and rims marked for the placard's pressure"))
        return Finding(Weight.FORBIDDEN, "over-maximum", about, text, (_MAXIMUM,), way)
    reads = gauge_elsewhere(here, s.now, s.air_here, s.use, s.air_there)
    text = say(
        "{bound} In use it would read {reads}, below the {wanted} wanted.", bound=bound, reads=reads, wanted=in_use
    )
    way = Way(
        WayKind.WORK,
        say("set them outside, after three hours there, to {wanted}; do not drive far before", wanted=in_use),
    )
    return Finding(Weight.WARNING, "over-maximum", about, text, (_MAXIMUM, _GAS), way)


def _lamp_before_check(lamp: tuple[LampDue, ...], about: Said, own: OwnLoss | None) -> list[Finding]:
    """A lamp that falls due before the next check, by cold or by loss, under a rule that may be the car's."""
    due = [d for d in lamp if d.before_check]
    if not due:
        return []
    loss = say("normal loss") if own is None else say("its own loss")
    text = say(
        "Before the next check the lamp may be due under {rule}, by cold and {loss} together.",
        rule=due[0].rule, loss=loss,
    )  # fmt: skip
    way = Way(WayKind.WORK, say("check sooner, or when the cold comes"))
    return [Finding(Weight.WARNING, "lamp-soon", about, text, (due[0].basis,), way)]


def _readings(car: Car, s: Situation, set_to: GaugePressure) -> WillRead:
    there = gauge_elsewhere(set_to, s.now, s.air_here, s.use, s.air_there)
    return WillRead(
        true_there=there,
        gauge_here=set_to + s.gauge_bias,
        gauge_there=there + s.gauge_bias,
        dash_here=_dash(car, set_to, s.air_here),
        dash_there=_dash(car, there, s.air_there),
    )


def _dash(car: Car, reads: GaugePressure, air: AbsolutePressure) -> GaugePressure | None:
    """What a dash shows that takes a fixed air pressure off the sensor's absolute one; None where that is not known."""
    if not car.dash_shows or car.dash_offset is None:
        return None
    shown = reads.absolute(air).gauge(car.dash_offset)
    step = car.dash_step.kpa if car.dash_step else 0.0
    return GaugePressure(round(shown.kpa / step) * step) if step > 0 else shown


def uncertainty(s: Situation, in_use: GaugePressure, *, gauge_only: bool = False) -> tuple[UncertaintyPart, ...]:
    """The setting's uncertainty by input, first order: half-widths taken as rectangular, divided by the root of three.

    `gauge_only`: for a setting that depends on nothing but the gauge, the placard itself. Source: JCGM
    100:2008 (GUM), 4.3.7 and 5.1.2.
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
        if name == "gauge" or not gauge_only
    )


def expanded(parts: tuple[UncertaintyPart, ...]) -> PressureSpan:
    """The expanded uncertainty with coverage factor 2."""
    return PressureSpan(COVERAGE * math.sqrt(sum(p.standard.kpa**2 for p in parts)))
