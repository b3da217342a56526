"""Jobs made by hand, step by step, and what people said at them: for tests of what a history of answers shows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from itertools import count

from books import NOON, later
from wheelside.garage.words import ROAD_CORNERS, Monitor
from wheelside.proof.record import Record, record_of
from wheelside.sensor.ident import SensorId
from wheelside.sheet import ask
from wheelside.sheet.ask import Ask, Asked, Tells, When, slug
from wheelside.sheet.claim import Answer, Claim, ClaimKind, Kept
from wheelside.sheet.ladder import EvidenceAim, Reason
from wheelside.sheet.option import (
    LAMP,
    LAMP_DRIVING,
    Battery,
    Cause,
    Clearing,
    Codes,
    Instead,
    Lamp,
    LampLater,
    LampTold,
    Listed,
    YesNo,
)
from wheelside.sheet.start import JobStart, PlannedWheel
from wheelside.sheet.step import Channel, Does, RunSheet, Stage, Step, step_id
from wheelside.units import GaugePressure, PressureSpan, Temperature, UnitChoice

CORNERS = tuple(c.value for c in ROAD_CORNERS)
WHEELS = dict(zip(("W1", "W2", "W3", "W4"), CORNERS, strict=True))
"""Wheels by the corner where each belongs."""
IDS = {w: SensorId("", 32, 0x2C41A700 + n) for n, w in enumerate(WHEELS)}
COLD, WARM = 230.0, 250.0
"""What the gauge has to show at 5 °C and at 25 °C, straight between."""
CURVE = tuple((Temperature.from_celsius(c), GaugePressure(p)) for c, p in ((5.0, COLD), (25.0, WARM)))


def step(does: Does, *asks: Ask, wheel: str = "", calls: tuple[When, ...] = (), optional: bool = False) -> Step:
    """A step that asks for these."""
    return Step(
        does=does, wheel=wheel, stage=Stage.PROOF, evidence=(Channel.TYPED,), minutes=1, asks=asks, calls=calls, optional=optional
    )  # fmt: skip


def _pressure(wheel: str, tells: Tells, name: str = "", channel: Channel = Channel.GAUGE, **more: object) -> Ask:
    one = Ask(name or slug("pressure", wheel), Asked.PRESSURE, channel, f"{wheel}", tells, wheel)
    return replace(one, **more)  # type: ignore[arg-type]


def _set_pressure(wheel: str, corner: str) -> Step:
    """A wheel's pressure, and which figure on the dash followed."""
    moved = ask.pick(
        "moved", "Which figure followed", (*CORNERS, Instead.NOT_PARKED), corner, Tells.CORNER, Channel.DASH, wheel=wheel,
        also=(Instead.NOT_PARKED,),
    )  # fmt: skip
    return step(
        Does.SET_PRESSURE,
        ask.temperature("The tyre's own temperature", Temperature.from_celsius(15)),
        _pressure(wheel, Tells.DASH_BEFORE, "dash-before", Channel.DASH, required=False),
        _pressure(
            wheel, Tells.SET_PRESSURE, pressure=GaugePressure(240.0), within=PressureSpan(5.0), by_temperature=CURVE
        ),
        _pressure(wheel, Tells.DASH_NOW, "dash-now", Channel.DASH, required=False),
        replace(moved, moved=("dash-before", "dash-now")),
        wheel=wheel,
    )


def _show_corner(wheel: str, corner: str) -> tuple[Step, Step]:
    """A corner after the drive, where it was not shown while parked."""
    calls = (When(f"{step_id(Does.SET_PRESSURE, wheel)}/moved", (Instead.NOT_PARKED,)),)
    moved = ask.pick("moved", "Which figure moved", (*CORNERS, Instead.NO_FIGURE), corner, Tells.CORNER, wheel=wheel)
    show = step(Does.SHOW_CORNER, _pressure(wheel, Tells.NOTHING), moved, wheel=wheel, calls=calls)
    beside = f"{step_id(Does.SHOW_CORNER, wheel)}/{slug('pressure', wheel)}"
    back = _pressure(wheel, Tells.BACK, beside=beside, within=PressureSpan(5.0))
    return show, step(Does.FILL_CORNER, back, wheel=wheel, calls=calls)


def _id(wheel: str, tells: Tells) -> Ask:
    return Ask(slug("id", wheel), Asked.ID, Channel.TRIGGER, f"ID of {wheel}", tells, wheel, wanted=IDS[wheel])


def _codes(name: str, tells: Tells, *, required: bool = True, expect: str = "") -> Ask:
    return ask.pick(name, "Codes", Codes, expect, tells, Channel.PORT, words=True, required=required)


def _wheel_steps(wheel: str) -> tuple[Step, ...]:
    lay = _pressure(wheel, Tells.FETCHED, least=GaugePressure(150.0))
    low = When(f"{step_id(Does.FETCH, wheel)}/{slug('pressure', wheel)}", below=GaugePressure(150.0))
    cause = replace(
        ask.pick("cause", "The cause", Cause, Cause.MENDED, Tells.CAUSE, words=True, wheel=wheel), only=(low,)
    )
    battery = ask.pick("battery", "Its battery", Battery, "", Tells.BATTERY, required=False, wheel=wheel)
    return (
        step(Does.FETCH, lay, cause, wheel=wheel),
        step(Does.TRIGGER, _id(wheel, Tells.SENT_BEFORE), battery, wheel=wheel),
    )


def direct_steps() -> tuple[Step, ...]:
    """A whole change of wheels on a car with sensors, taught step by step, whose dash can show corners while parked."""
    taught = (
        step(Does.TEACH_WHEEL, ask.pick("heard", "It confirmed", YesNo, YesNo.YES, Tells.TAUGHT, wheel=w), wheel=w)
        for w in WHEELS
    )
    return (
        step(Does.LOOK, ask.pick("lamp", "Lamp", LAMP, Lamp.LIGHTS_GOES_OUT, Tells.LAMP_BEFORE)),
        step(Does.CODES_BEFORE, _codes("codes", Tells.CODES_BEFORE)),
        *(one for w in WHEELS for one in _wheel_steps(w)),
        *(step(Does.WAKE, _id(w, Tells.AWAKE), wheel=w) for w in WHEELS),
        *taught,
        *(_set_pressure(w, corner) for w, corner in WHEELS.items()),
        *rest_of_steps(listed=True),
        *(one for w, corner in WHEELS.items() for one in _show_corner(w, corner)),
        *after_steps(),
    )


def indirect_steps() -> tuple[Step, ...]:
    """The same on a car that watches by wheel speed."""
    stored = step(Does.STORE_REFERENCE, ask.pick("done", "Stored", YesNo, YesNo.YES, Tells.REFERENCE))
    return (
        step(Does.CODES_BEFORE, _codes("codes", Tells.CODES_BEFORE)), stored, *rest_of_steps(listed=False), *after_steps()
    )  # fmt: skip


def rest_of_steps(*, listed: bool) -> tuple[Step, ...]:
    """Codes, drive, second start, codes, list."""
    some = (When(f"{Does.CODES_NOW.value}/codes", (Codes.SOME,)),)
    still = (When(f"{Does.CODES_AFTER.value}/codes", (Codes.SOME,)),)
    also = (Lamp.WAS_LIT_GOES_OUT,)
    ids = step(Does.COMPARE_IDS, ask.pick("list", "IDs", Listed, Listed.JUST_THESE, Tells.KNOWN_IDS, words=True))
    told = ask.pick("lamp", "Lamp as told", LampTold, LampTold.OFF, Tells.LAMP_TOLD, Channel.PORT, required=False)
    return (
        step(Does.CODES_NOW, _codes("codes", Tells.CODES_NOW)),
        step(
            Does.CLEAR_CODES, ask.pick("cleared", "Clearing", Clearing, "", Tells.CODES_CLEARED, words=True), calls=some
        ),
        step(
            Does.DRIVE,
            Ask("minutes", Asked.MINUTES, Channel.TYPED, "Minutes", Tells.DRIVEN, expect="20"),
            ask.pick("lamp", "Lamp", LAMP_DRIVING, Lamp.STAYS_OFF, Tells.LAMP_DRIVING, also=also),
            Ask("out-after", Asked.MINUTES, Channel.TYPED, "Out after", Tells.LAMP_OUT_AFTER, required=False),
        ),
        step(Does.START_AGAIN, ask.pick("lamp", "Lamp", LAMP, Lamp.LIGHTS_GOES_OUT, Tells.LAMP_AGAIN)),
        step(Does.CODES_AFTER, _codes("codes", Tells.CODES_AFTER, expect=Codes.NONE), told),
        step(
            Does.CLEAR_LATER,
            ask.pick("cleared", "Clearing", Clearing, "", Tells.CLEARED_LATER, words=True),
            calls=still,
        ),
        *((ids,) if listed else ()),
    )


def after_steps() -> tuple[Step, ...]:
    """The lamp made to come on, and the look in a week."""
    return (
        step(
            Does.CHALLENGE,
            ask.pick("lit", "It came on", YesNo, YesNo.YES, Tells.LAMP_LIT),
            ask.pick("out", "It went out", YesNo, YesNo.YES, Tells.LAMP_OUT),
            optional=True,
        ),
        step(
            Does.LOOK_LATER,
            ask.pick("lamp", "Lamp", LampLater, LampLater.STILL_OFF, Tells.LAMP_WEEK, also=(LampLater.TOO_EARLY,)),
            _codes("codes", Tells.CODES_WEEK, required=False),
        ),
    )


def job(steps: tuple[Step, ...], monitor: Monitor = Monitor.DIRECT) -> JobStart:
    """A job of these steps."""
    wheels = tuple(
        PlannedWheel(
            wheel=w, name=w, corner=corner, sensor=f"s-{w}", refit=False, choice="keep", writes=False, id=IDS[w]
        )
        for w, corner in WHEELS.items()
    )
    aim = EvidenceAim("E4", (Reason.LEAST,), monitor)
    sheet = RunSheet("car", "winter", "summer", stays_on=False, day=date(2026, 11, 28), aim=aim, steps=steps)
    return JobStart(
        car="car", car_name="Car", coming="winter", coming_name="Winter set", going="summer", going_name="Summer set",
        day=sheet.day, monitor=monitor.value, taught=True, gauge="Gauge", units=UnitChoice(), wheels=wheels, sheet=sheet,
    )  # fmt: skip


def _as_it_goes(one: Ask) -> str:
    """What is said where nothing is out of the way: no figure shown while parked, no code, no loss, tyres at 15 °C."""
    if one.tells in (Tells.CODES_BEFORE, Tells.CODES_NOW, Tells.CODES_AFTER):
        return Codes.NONE
    if one.tells is Tells.CAUSE:
        return ""
    if Instead.NOT_PARKED in one.options:
        return Instead.NOT_PARKED
    if one.kind is Asked.ID:
        return one.wanted.hex if one.wanted else ""
    plain = {Asked.MINUTES: "20" if one.expect else "", Asked.TEMPERATURE: "15 °C"}
    if one.kind is Asked.PRESSURE:
        return "" if one.channel is Channel.DASH else "240 kPa"
    return plain.get(one.kind, one.expect)


@dataclass(frozen=True)
class Said:
    """What was said at one step, by the asks' names; what is not named went as it should. `day`: so many days after the work."""

    step: str
    answers: dict[str, str]
    words: str = ""
    day: float = 0.0


def said(step: str, *, words: str = "", day: float = 0.0, **answers: str) -> Said:
    """What was said at a step, with _ for - in its id and in the asks' names."""
    named = {name.replace("_", "-"): text for name, text in answers.items()}
    return Said(step.replace("_", "-"), named, words, day)


CALLED = (
    *(does.value for does in (Does.CLEAR_CODES, Does.CLEAR_LATER, Does.CHALLENGE, Does.LOOK_LATER)),
    *(step_id(does, w) for w in WHEELS for does in (Does.SHOW_CORNER, Does.FILL_CORNER)),
)
"""Steps that are done only where a history names them."""


def claims(start: JobStart, history: tuple[Said, ...], without: tuple[str, ...] = ()) -> tuple[Kept, ...]:
    """Every step in its order ten minutes apart, as it goes or as a history says; then what was said again of a step."""
    first: dict[str, Said] = {}
    again = [one for one in history if first.setdefault(one.step, one) is not one]
    steps = {s.id: s for s in start.sheet.steps}
    done = [first.get(name, Said(name, {})) for name in steps if name in first or name not in (*CALLED, *without)]
    numbers = count(1)
    return tuple(_kept(steps[one.step], one, next(numbers)) for one in (*done, *again))


def _kept(step: Step, one: Said, n: int) -> Kept:
    answers = tuple(
        Answer(a.id, one.answers.get(a.id, _as_it_goes(a)), one.words if a.words else "") for a in step.asks
    )
    at = later(10 * n + 1440 * one.day, NOON)
    return Kept(n, at, Claim(f"client-{n}", "job", step.id, ClaimKind.DONE, at, "Ada", "phone", 10**9, answers))


def shown(*history: Said, monitor: Monitor = Monitor.DIRECT, without: tuple[str, ...] = ()) -> Record:
    """The record of a job that went as it should, but for this."""
    start = job(direct_steps() if monitor is Monitor.DIRECT else indirect_steps(), monitor)
    return record_of(start, claims(start, history, without))
