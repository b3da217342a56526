"""What one job has shown, wheel by wheel, worked out from its claims alone: codes and typed values, never words.

A proof seals this. `RULES` is the version of the rules by which it is worked out: it goes up when the same evidence would give
another record, and then only. A proof of other rules is shown as it was, and its level is not judged again.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from wheelside.proof.level import Level, level_of
from wheelside.proof.shown import Answered, ShownAnswer, newest, newest_saying, of, shown_by
from wheelside.said import Coded
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import TAIL, Asked, Tells
from wheelside.sheet.claim import Kept
from wheelside.sheet.option import Clearing, Codes, Instead, Listed, YesNo
from wheelside.sheet.progress import Standing, StepState, progress
from wheelside.sheet.start import JobStart, PlannedWheel
from wheelside.sheet.step import Channel
from wheelside.units import GaugePressure, PressureSpan, Temperature
from wheelside.units.moment import Moment

RULES = 3
"""Rules 1 sealed sentences, under the version of the program that wrote them. Rules 2 knew of no sensor that is silent and not missed yet,
of no codes that are cleared, and took a typed receiver's answer for the car's list."""
LAMP_TOLD_BY = (
    Tells.LAMP_BEFORE, Tells.LAMP_DRIVING, Tells.LAMP_OUT_AFTER, Tells.LAMP_AGAIN, Tells.LAMP_TOLD, Tells.LAMP_LIT, Tells.LAMP_OUT,
    Tells.LAMP_WEEK,
)  # fmt: skip
"""What is told of the lamp, in this order."""
CODES_TOLD_BY = (
    Tells.CODES_BEFORE, Tells.CODES_NOW, Tells.CODES_CLEARED, Tells.CODES_AFTER, Tells.CLEARED_LATER, Tells.CODES_WEEK,
)  # fmt: skip
"""What is told of codes, in this order."""
_READ_BEFORE = {
    Tells.CODES_CLEARED: (Tells.CODES_BEFORE, Tells.CODES_NOW),
    Tells.CLEARED_LATER: (Tells.CODES_BEFORE, Tells.CODES_NOW, Tells.CODES_AFTER),
}
"""The readings of which the newest names what was cleared."""


@dataclass(frozen=True, slots=True)
class Pressure:
    """One gauging: what the gauge showed, at which temperature of the tyre, by which instrument, when.

    `instrument`: its name, '' where none is noted; `bias`: how much it reads too high, None where that is not known.
    """

    shown: GaugePressure
    planned: GaugePressure | None
    as_planned: bool | None
    temperature: Temperature | None
    instrument: str
    bias: PressureSpan | None
    own: bool
    at: Moment


class IdSaid(Coded):
    """How an ID was shown."""

    REPORTED = "reported", "the writer reports it"
    FAILED = "failed", "the writer reports that it failed"
    NO_ANSWER = "no-answer", "no answer within two minutes"
    TAIL_PLANNED = "tail-as-planned", "…{digits}, last digits as planned"
    CONFIRMED = "confirmed", "…{digits}, confirmed by a tap"
    PLANNED = "as-planned", "{digits}, as planned"
    OTHER = "other", "{digits}, not as planned"
    NOTED = "noted", "{digits}"


@dataclass(frozen=True, slots=True)
class IdShown:
    """An ID as it was shown; `digits` as they were said."""

    how: IdSaid
    digits: str = ""


class CarSaid(Coded):
    """What the car did when a wheel was taught."""

    CONFIRMED = "confirmed", "the car confirmed it"
    NOT_CONFIRMED = "not-confirmed", "the car did not confirm it"


@dataclass(frozen=True, slots=True)
class WheelShown:
    """One wheel: planned, written, read back, awake at its corner, known to the car; each None where not shown."""

    wheel: str
    name: str
    corner: str
    refit: bool
    choice: str
    hex: str
    written: IdShown | None
    read_back: IdShown | None
    awake: IdShown | None
    listed: Listed | None
    confirmed: CarSaid | None
    pressure: Pressure | None


@dataclass(frozen=True, slots=True)
class ToldAnswer:
    """One answer of a step: what it is about, what was said, as a code or in the person's own words, and the words beside it.

    Where codes were cleared, the words are the codes that were read last before.
    """

    step: str
    ask: str
    tells: Tells
    said: str
    words: str
    at: Moment


@dataclass(frozen=True, slots=True)
class LostAir:
    """A wheel that had lost its air: what it lay at, where that was noted, what became of it, and the words beside that."""

    wheel: str
    step: str
    lay: GaugePressure | None
    cause: str
    words: str
    at: Moment


class Otherwise(Coded):
    """How something is not as planned."""

    TWO_CLAIMS = "two-claims", "two phones claim two things, and nobody has said which holds"
    NOT_READABLE = "not-readable", "{about}: '{said}' can't be read"
    NOT_ANSWERED = "not-answered", "{about}: not answered"
    AS_READ_BEFORE = "not-as-before", "{about}: {said}; read before: {planned}"
    AT_TEMPERATURE = "not-at-temperature", "{about}: {said}; planned at this temperature: {planned}"
    AT_LEAST = "too-little", "{about}: {said}; planned: at least {expect}"
    STILL = "dash-still", "{about}: {said}, though by the dash's own figures, before and after, it hardly moved"
    OPTION = "another", "{about}: {said}; planned: {expect}"
    PLAIN = "not-as-planned", "{about}: {said}"


@dataclass(frozen=True, slots=True)
class NotAsPlanned:
    """Something that is not as planned."""

    step: str
    how: Otherwise
    ask: str = ""
    tells: Tells = Tells.NOTHING
    said: str = ""
    expect: str = ""
    planned: GaugePressure | None = None


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A step that was not done; `skipped` where somebody left it out, with the reason given."""

    step: str
    skipped: bool
    reason: str


@dataclass(frozen=True, slots=True)
class TypedOnly:
    """A finished step that no photo and no machine stands behind, and where its answers came from."""

    step: str
    channels: tuple[Channel, ...]


@dataclass(frozen=True, slots=True)
class FromCar:
    """A finished step whose answers this program read from the car itself, by which port card and unit."""

    step: str
    answers: tuple[ToldAnswer, ...]
    instrument: str


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo that was taken at a step, by its name."""

    step: str
    name: str


@dataclass(frozen=True, slots=True)
class Record:
    """All that follows from a job's start and its claims."""

    aimed: str
    level: Level
    wheels: tuple[WheelShown, ...]
    lamp: tuple[ToldAnswer, ...]
    codes: tuple[ToldAnswer, ...]
    otherwise: tuple[NotAsPlanned, ...]
    left_out: tuple[LeftOut, ...]
    typed_only: tuple[TypedOnly, ...]
    photos: tuple[Photo, ...]
    from_car: tuple[FromCar, ...]
    lost: tuple[LostAir, ...] = ()


def record_of(start: JobStart, claims: Iterable[Kept]) -> Record:
    """The record of a job. The same start and claims always give the same."""
    states = progress(start.sheet, claims, start.units)
    shown = shown_by(states)
    return Record(
        aimed=start.sheet.aim.level,
        level=level_of(start, states),
        wheels=tuple(_wheel(start, w, shown) for w in start.wheels),
        lamp=_lines(_but_never_lit(shown), LAMP_TOLD_BY),
        codes=tuple(_with_cleared(_lines(shown, CODES_TOLD_BY), shown)),
        otherwise=tuple(_otherwise(states)),
        left_out=tuple(_left_out(states)),
        typed_only=tuple(_typed(states)),
        photos=tuple(Photo(s.step.id, a.photo) for s in states for a in s.answers if a.photo),
        from_car=tuple(_from_car(states)),
        lost=tuple(_lost(shown)),
    )


def _wheel(start: JobStart, w: PlannedWheel, shown: Answered) -> WheelShown:
    mine = [s for s in shown if s.wheel == w.wheel]
    listed = newest(of(shown, Tells.KNOWN_IDS))
    return WheelShown(
        wheel=w.wheel,
        name=w.name,
        corner=w.corner,
        refit=w.refit,
        choice=w.choice,
        hex=w.id.hex if w.id else "",
        written=_id_shown(mine, Tells.WRITTEN),
        read_back=_id_shown(mine, Tells.READ_BACK),
        awake=_id_shown(mine, Tells.AWAKE),
        listed=Listed(listed.answer.said) if listed else None,
        confirmed=_confirmed(mine),
        pressure=_pressure(start, mine, shown),
    )


def _id_shown(mine: list[ShownAnswer], tells: Tells) -> IdShown | None:
    found = [s for s in mine if s.tells is tells]
    if not found:
        return None
    last = found[-1].answer
    if last.ask.kind is not Asked.ID:
        return IdShown(IdSaid.REPORTED if last.said == YesNo.YES else IdSaid.FAILED)
    if last.said == Instead.NO_ANSWER:
        return IdShown(IdSaid.NO_ANSWER)
    if last.tapped and last.id is not None:
        return IdShown(IdSaid.CONFIRMED, last.id.hex[-TAIL:])
    if last.as_planned and last.tail_only:
        return IdShown(IdSaid.TAIL_PLANNED, last.said.strip().upper())
    if last.as_planned:
        return IdShown(IdSaid.PLANNED, last.id.hex if last.id else "")
    return IdShown(IdSaid.OTHER if last.ask.wanted else IdSaid.NOTED, last.said)


def _confirmed(mine: list[ShownAnswer]) -> CarSaid | None:
    taught = [s for s in mine if s.tells is Tells.TAUGHT]
    if not taught:
        return None
    return CarSaid.CONFIRMED if taught[-1].answer.said == YesNo.YES else CarSaid.NOT_CONFIRMED


def _pressure(start: JobStart, mine: list[ShownAnswer], shown: Answered) -> Pressure | None:
    gauged = [s for s in mine if s.tells is Tells.SET_PRESSURE and s.answer.pressure is not None]
    if not gauged:
        return None
    last = gauged[-1]
    pressure = last.answer.pressure
    assert pressure is not None, "only gaugings with a figure are taken"
    same = [s.answer.temperature for s in shown if s.step == last.step and s.tells is Tells.TYRE_TEMPERATURE]
    named = last.kept.claim.instrument
    own = not named or named == start.gauge
    return Pressure(
        shown=pressure,
        planned=last.answer.planned,
        as_planned=last.answer.as_planned,
        temperature=next((one for one in reversed(same) if one is not None), None),
        instrument=start.gauge if own else named,
        bias=start.gauge_bias if own else None,
        own=own,
        at=last.kept.claim.at,
    )


def _lines(shown: Answered, tells: tuple[Tells, ...]) -> tuple[ToldAnswer, ...]:
    return tuple(
        ToldAnswer(s.step, s.answer.ask.id, s.tells, s.answer.said, s.answer.words, s.kept.claim.at)
        for kind in tells
        for s in shown
        if s.tells is kind
    )


def _but_never_lit(shown: Answered) -> Answered:
    """All but what is said of the going out of a lamp that did not come on."""
    never = {s.step for s in of(shown, Tells.LAMP_LIT) if s.answer.said == YesNo.NO}
    return tuple(s for s in shown if s.tells is not Tells.LAMP_OUT or s.step not in never)


def _with_cleared(lines: tuple[ToldAnswer, ...], shown: Answered) -> Iterable[ToldAnswer]:
    """The lines about codes; one that says that they were cleared names which, by what was read last before."""
    for line in lines:
        if line.said != Clearing.CLEARED or line.words:
            yield line
            continue
        before = (s for s in of(shown, *_READ_BEFORE[line.tells]) if s.at <= line.at.us)
        read = newest_saying(before, Codes.SOME)
        yield replace(line, words=read.answer.words) if read else line


def _lost(shown: Answered) -> Iterable[LostAir]:
    """The wheels whose loss of air has a cause, or is with a workshop."""
    for s in of(shown, Tells.CAUSE):
        lay = newest(
            one for one in of(shown, Tells.FETCHED) if one.wheel == s.wheel and one.answer.pressure is not None
        )
        pressure = lay.answer.pressure if lay else None
        yield LostAir(s.wheel, s.step, pressure, s.answer.said, s.answer.words, s.kept.claim.at)


def _otherwise(states: tuple[StepState, ...]) -> Iterable[NotAsPlanned]:
    for state in states:
        if state.standing is Standing.TWO_CLAIMS:
            yield NotAsPlanned(state.step.id, Otherwise.TWO_CLAIMS)
        for a in state.answers:
            if a.problem is not None:
                how = Otherwise.NOT_READABLE if a.said else Otherwise.NOT_ANSWERED
                yield NotAsPlanned(state.step.id, how, a.ask.id, a.ask.tells, a.said)
            elif a.as_planned is False and not (a.ask.tells in _SHOWS_NOTHING and _not_lit(state)):
                yield _wanted(state.step.id, a)


_SHOWS_NOTHING = (Tells.LAMP_LIT, Tells.LAMP_OUT)


def _not_lit(state: StepState) -> bool:
    """Whether the lamp was not seen to come on below the limit, which shows nothing, so that it is told under the lamp and is no remark."""
    return any(a.ask.tells is Tells.LAMP_LIT and a.said == YesNo.NO for a in state.answers)


def _wanted(step: str, a: ReadAnswer) -> NotAsPlanned:
    """What was said, with what would have been as planned where that is to be told."""
    about = (step, Otherwise.PLAIN, a.ask.id, a.ask.tells, a.said)
    if a.planned is not None and (a.ask.beside or a.ask.by_temperature):
        how = Otherwise.AS_READ_BEFORE if a.ask.beside else Otherwise.AT_TEMPERATURE
        return NotAsPlanned(step, how, *about[2:], planned=a.planned)
    if not (expect := a.ask.wanted.hex if a.ask.wanted else a.ask.expect):
        return NotAsPlanned(*about)
    how = Otherwise.AT_LEAST if a.ask.kind is Asked.MINUTES else Otherwise.OPTION
    if a.ask.moved and a.said == expect:
        how = Otherwise.STILL
    return NotAsPlanned(step, how, *about[2:], expect=expect)


def _left_out(states: tuple[StepState, ...]) -> Iterable[LeftOut]:
    for state in states:
        if state.standing is Standing.SKIPPED and state.kept is not None:
            yield LeftOut(state.step.id, skipped=True, reason=state.kept.claim.reason)
        elif state.standing is Standing.OPEN and state.to_do:
            yield LeftOut(state.step.id, skipped=False, reason="")


def _typed(states: tuple[StepState, ...]) -> Iterable[TypedOnly]:
    """Finished steps whose claims no photo and no machine stands behind."""
    for state in states:
        read_itself = state.kept is not None and state.kept.claim.visit
        if state.standing is Standing.DONE and not read_itself and not any(a.photo for a in state.answers):
            channels = tuple(dict.fromkeys(a.ask.channel for a in state.answers if a.said))
            yield TypedOnly(state.step.id, channels or (Channel.TYPED,))


def _from_car(states: tuple[StepState, ...]) -> Iterable[FromCar]:
    """Finished steps whose answers this program read from the car itself."""
    for state in states:
        if state.standing is Standing.DONE and state.kept is not None and state.kept.claim.visit:
            claim = state.kept.claim
            answers = tuple(
                ToldAnswer(state.step.id, a.ask.id, a.ask.tells, a.said, a.words, claim.at)
                for a in state.answers
                if a.said
            )
            yield FromCar(state.step.id, answers, claim.instrument)
