"""What one job has shown, wheel by wheel, worked out from its claims alone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from wheelside.proof.level import Level, Shown, level_of, shown_by
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import NO_ANSWER, Asked, Tells
from wheelside.sheet.claim import Kept
from wheelside.sheet.option import in_words
from wheelside.sheet.progress import Standing, StepState, progress
from wheelside.sheet.start import JobStart, PlannedWheel
from wheelside.units import GaugePressure, Temperature

LAMP_TOLD_BY = (
    Tells.LAMP_BEFORE, Tells.LAMP_DRIVING, Tells.LAMP_OUT_AFTER, Tells.LAMP_AGAIN, Tells.LAMP_TOLD, Tells.LAMP_LIT, Tells.LAMP_OUT,
)  # fmt: skip
"""What is told of the lamp, in this order."""


@dataclass(frozen=True, slots=True)
class Pressure:
    """One gauging: what the gauge showed, at which temperature of the tyre, by which instrument, when."""

    shown: str
    planned: str
    as_planned: bool | None
    temperature: str
    instrument: str
    at: str


@dataclass(frozen=True, slots=True)
class WheelShown:
    """One wheel: planned, written, read back, awake at its corner, known to the car; each in words, '' where not shown."""

    wheel: str
    name: str
    corner: str
    planned: str
    hex: str
    written: str
    read_back: str
    awake: str
    known: str
    pressure: Pressure | None


@dataclass(frozen=True, slots=True)
class Noted:
    """A line about one step: something that was skipped, is otherwise than planned, or rests on typing alone."""

    step: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class Record:
    """All that follows from a job's start and its claims."""

    aimed: str
    level: Level
    wheels: tuple[WheelShown, ...]
    lamp: tuple[Noted, ...]
    codes: tuple[Noted, ...]
    otherwise: tuple[Noted, ...]
    left_out: tuple[Noted, ...]
    typed_only: tuple[Noted, ...]
    photos: tuple[Noted, ...]
    from_car: tuple[Noted, ...] = ()


def record_of(start: JobStart, claims: Iterable[Kept]) -> Record:
    """The record of a job. The same start and claims always give the same."""
    states = progress(start.sheet, claims, start.units)
    shown = shown_by(states)
    return Record(
        aimed=start.sheet.aim.level,
        level=level_of(start, states),
        wheels=tuple(_wheel(start, w, shown) for w in start.wheels),
        lamp=_lines(states, shown, LAMP_TOLD_BY),
        codes=_lines(states, shown, (Tells.CODES_BEFORE, Tells.CODES_AFTER)),
        otherwise=tuple(_otherwise(start, states)),
        left_out=tuple(_left_out(states)),
        typed_only=tuple(_typed(states)),
        photos=tuple(_photos(states)),
        from_car=tuple(_from_car(states)),
    )


def _wheel(start: JobStart, w: PlannedWheel, shown: tuple[Shown, ...]) -> WheelShown:
    mine = [s for s in shown if s.wheel == w.wheel]
    sensor = "sensor changed" if w.refit else "sensor stays"
    return WheelShown(
        wheel=w.wheel,
        name=w.name,
        corner=w.corner,
        planned=f"{sensor}, ID {w.choice}",
        hex=w.hex,
        written=_id_words(mine, Tells.WRITTEN),
        read_back=_id_words(mine, Tells.READ_BACK),
        awake=_id_words(mine, Tells.AWAKE),
        known=_known(shown, mine),
        pressure=_pressure(start, mine, shown),
    )


def _id_words(mine: list[Shown], tells: Tells) -> str:
    found = [s for s in mine if s.tells is tells]
    if not found:
        return ""
    last = found[-1].answer
    if last.ask.kind is not Asked.ID:
        return "the writer reports it" if last.said == "yes" else "the writer reports that it failed"
    if last.said == NO_ANSWER:
        return NO_ANSWER
    if last.as_planned and last.tail_only:
        return f"…{last.said.strip().upper()}, last digits as planned"
    if last.as_planned:
        return f"{last.hex}, as planned"
    return f"{last.said}, not as planned" if last.ask.expect else last.said


def _known(shown: tuple[Shown, ...], mine: list[Shown]) -> str:
    listed = [s for s in shown if s.tells is Tells.KNOWN_IDS]
    if listed:
        return listed[-1].answer.said
    taught = [s for s in mine if s.tells is Tells.TAUGHT]
    if taught:
        return "the car confirmed it" if taught[-1].answer.said == "yes" else "the car did not confirm it"
    return ""


def _pressure(start: JobStart, mine: list[Shown], shown: tuple[Shown, ...]) -> Pressure | None:
    gauged = [s for s in mine if s.tells is Tells.SET_PRESSURE and s.answer.kpa is not None]
    if not gauged:
        return None
    last = gauged[-1]
    kpa, planned = last.answer.kpa, last.answer.planned_kpa
    assert kpa is not None, "only gaugings with a figure are taken"
    same = [s for s in shown if s.step == last.step and s.tells is Tells.TYRE_TEMPERATURE and s.answer.kelvin]
    kelvin = same[-1].answer.kelvin if same else None
    return Pressure(
        shown=start.units.show_pressure(GaugePressure(kpa)),
        planned=start.units.show_pressure(GaugePressure(planned)) if planned is not None else "",
        as_planned=last.answer.as_planned,
        temperature=start.units.show_temperature(Temperature(kelvin)) if kelvin else "not noted",
        instrument=_instrument(start, last.kept.claim.instrument),
        at=last.kept.claim.at.short(),
    )


def _instrument(start: JobStart, named: str) -> str:
    """The gauge that was named, else the one of the job, with what is known of its bias."""
    if named and named != start.gauge:
        return named
    if not start.gauge:
        return "not noted"
    return f"{start.gauge}, {start.gauge_bias}" if start.gauge_bias else f"{start.gauge}, bias not known"


def _lines(states: tuple[StepState, ...], shown: tuple[Shown, ...], tells: tuple[Tells, ...]) -> tuple[Noted, ...]:
    titles = {s.step.id: s.step.title for s in states}
    return tuple(
        Noted(s.step, titles[s.step], f"{s.tells.value}: {_with_words(s)} ({s.kept.claim.at.short()})")
        for kind in tells
        for s in shown
        if s.tells is kind
    )


def _with_words(s: Shown) -> str:
    said = s.answer.in_words
    return f"{said}: {s.answer.words}" if s.answer.words else said


def _otherwise(start: JobStart, states: tuple[StepState, ...]) -> Iterable[Noted]:
    for state in states:
        if state.standing is Standing.TWO_CLAIMS:
            yield Noted(state.step.id, state.step.title, "two phones claim two things, and nobody has said which holds")
        for a in state.answers:
            if a.problem:
                yield Noted(state.step.id, state.step.title, a.problem)
            elif a.as_planned is False:
                yield Noted(state.step.id, state.step.title, f"{a.ask.label}: {a.in_words}{_wanted(start, a)}")


def _wanted(start: JobStart, a: ReadAnswer) -> str:
    """What would have been as planned, behind a semicolon; '' where nothing is to be said."""
    if a.planned_kpa is not None and (a.ask.beside or a.ask.by_temperature):
        figure = start.units.show_pressure(GaugePressure(a.planned_kpa))
        return f"; {'read before' if a.ask.beside else 'planned at this temperature'}: {figure}"
    if not a.ask.expect:
        return ""
    return f"; planned: {f'at least {a.ask.expect}' if a.ask.kind is Asked.MINUTES else in_words(a.ask.expect)}"


def _left_out(states: tuple[StepState, ...]) -> Iterable[Noted]:
    for state in states:
        if state.standing is Standing.SKIPPED and state.kept is not None:
            yield Noted(state.step.id, state.step.title, f"skipped: {state.kept.claim.reason or 'no reason given'}")
        elif state.standing is Standing.OPEN and not state.step.optional:
            yield Noted(state.step.id, state.step.title, "not done")


def _typed(states: tuple[StepState, ...]) -> Iterable[Noted]:
    """Finished steps whose claims no photo and no machine stands behind."""
    for state in states:
        read_itself = state.kept is not None and state.kept.claim.visit
        if state.standing is Standing.DONE and not read_itself and not any(a.photo for a in state.answers):
            channels = dict.fromkeys(a.ask.channel.value for a in state.answers if a.said)
            yield Noted(state.step.id, state.step.title, f"typed in by hand, from: {', '.join(channels) or 'typed'}")


def _from_car(states: tuple[StepState, ...]) -> Iterable[Noted]:
    """Finished steps whose answers this program read from the car itself."""
    for state in states:
        if state.standing is Standing.DONE and state.kept is not None and state.kept.claim.visit:
            said = "; ".join(
                f"{a.ask.label}: {a.in_words}{f', {a.words}' if a.words else ''}" for a in state.answers if a.said
            )
            yield Noted(state.step.id, state.step.title, f"{said} ({state.kept.claim.instrument})")


def _photos(states: tuple[StepState, ...]) -> Iterable[Noted]:
    for state in states:
        for a in state.answers:
            if a.photo:
                yield Noted(state.step.id, state.step.title, a.photo)
