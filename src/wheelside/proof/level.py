"""The evidence level that a job's evidence reaches, worked out rung by rung. Write it like this."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from wheelside.garage.words import Monitor
from wheelside.said import Coded
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import Tells
from wheelside.sheet.claim import Kept
from wheelside.sheet.ladder import NONE, ladder_of
from wheelside.sheet.option import LAMP_IS_OFF, Codes, Lamp, LampTold, Listed, YesNo
from wheelside.sheet.progress import StepState
from wheelside.sheet.start import JobStart
from wheelside.sheet.step import Does


@dataclass(frozen=True, slots=True)
class ShownAnswer:
    """One answer that counts: of a finished step, with the claim that it came in."""

    tells: Tells
    wheel: str
    step: str
    does: Does
    answer: ReadAnswer
    kept: Kept


class Lack(Coded):
    """What a rung lacks."""

    NOT_LOOKED = "not-looked", "nobody has looked at the lamp since the work"
    LAMP_SEEN = "lamp-seen", "the lamp: {said}"
    LAMP_TOLD = "lamp-told", "the lamp, as the car tells it: {said}"
    NOT_WATCHED = "not-watched", "the lamp was not watched at ignition-on after the work"
    AT_IGNITION = "at-ignition", "at ignition-on the lamp {said}"
    NO_DRIVE = "no-drive", "no drive is noted"
    SHORT_DRIVE = "short-drive", "the drive lasted {minutes} minutes, {wanted} are wanted"
    LAMP_DRIVING = "lamp-driving", "the lamp did not stay off while driving"
    START_FIRST = "start-first", "the second start was seen before the drive"
    NOT_STORED = "not-stored", "the reference was not stored"
    CODES_NOT_READ = "codes-not-read", "codes were not read after the work"
    CODES_THERE = "codes-there", "codes are stored or pending, or could not be read"
    LIST_NOT_HELD = "list-not-held", "the car's list was not held against the fitted IDs"
    LIST_OTHER = "list-other", "the car's list is not just the fitted IDs, or can't be read"
    CORNER_NOT_TRIED = "corner-not-tried", "{corner}: no change was tried"
    CORNER_OTHER = "corner-other", "{corner}: the figure that moved was {said}"
    CORNER_NOT_GAUGED = "corner-not-gauged", "{corner}: it was not gauged again after the change"
    NOT_CHALLENGED = "not-challenged", "the lamp was not made to come on"
    NOT_LIT = "not-lit", "the lamp did not come on below the limit"
    NOT_OUT = "not-out", "it was not seen to go out after inflating"


@dataclass(frozen=True, slots=True)
class Lacking:
    """One thing that a rung lacks, with what its words name: an answer's code, a corner, minutes."""

    lack: Lack
    said: str = ""
    corner: str = ""
    minutes: float | None = None
    wanted: float | None = None


@dataclass(frozen=True, slots=True)
class Rung:
    """One level of the ladder, and what is lacking where the evidence does not reach it."""

    level: str
    lacking: tuple[Lacking, ...]

    @property
    def reached(self) -> bool:
        return not self.lacking


@dataclass(frozen=True, slots=True)
class Level:
    """The highest level whose rungs are all reached, and every rung of the car's ladder."""

    reached: str
    rungs: tuple[Rung, ...]


def shown_by(states: Iterable[StepState]) -> tuple[ShownAnswer, ...]:
    """Every answer of a finished step that could be read and says something for the proof."""
    return tuple(
        ShownAnswer(a.ask.tells, a.ask.wheel, s.step.id, s.step.does, a, s.kept)
        for s in states
        if s.finished and s.kept is not None
        for a in s.answers
        if a.ask.tells is not Tells.NOTHING and a.problem is None and not a.empty
    )


def level_of(start: JobStart, states: Iterable[StepState]) -> Level:
    """The level that the finished steps of a job show."""
    shown = shown_by(states)
    direct = start.monitor == Monitor.DIRECT.value
    lacking = {
        "E0": _lamp_off(shown),
        "E1": _lit_and_out(shown),
        "E2": [*_driven(shown), *([] if direct else _stored(shown))],
        "E3": [*_codes(shown), *(_listed(shown) if direct else [])],
        "E4": _corners(start, shown),
        "E5": _challenged(shown),
    }
    rungs = tuple(Rung(rung.level, tuple(lacking[rung.level])) for rung in ladder_of(start.monitor))
    reached = NONE
    for rung in rungs:
        if not rung.reached:
            break
        reached = rung.level
    return Level(reached, rungs)


def _of(shown: tuple[ShownAnswer, ...], tells: Tells) -> list[ShownAnswer]:
    return [s for s in shown if s.tells is tells]


def _said(shown: tuple[ShownAnswer, ...], tells: Tells, *wanted: str) -> bool:
    found = _of(shown, tells)
    return bool(found) and all(s.answer.said in wanted for s in found)


def _lamp_off(shown: tuple[ShownAnswer, ...]) -> list[Lacking]:
    """What was seen last and what the car told last: each that there is has to say off."""
    looked = _newest(_of(shown, Tells.LAMP_AGAIN) + _of(shown, Tells.LAMP_DRIVING))
    told = _newest([s for s in _of(shown, Tells.LAMP_TOLD) if s.answer.said != LampTold.NOT_TOLD])
    if looked is None and told is None:
        return [Lacking(Lack.NOT_LOOKED)]
    lacking = []
    if looked is not None and looked.answer.said not in LAMP_IS_OFF:
        lacking.append(Lacking(Lack.LAMP_SEEN, looked.answer.said))
    if told is not None and told.answer.said != LampTold.OFF:
        lacking.append(Lacking(Lack.LAMP_TOLD, told.answer.said))
    return lacking


def _newest(found: list[ShownAnswer]) -> ShownAnswer | None:
    return max(found, key=lambda s: s.kept.claim.at.us, default=None)


def _lit_and_out(shown: tuple[ShownAnswer, ...]) -> list[Lacking]:
    seen = _of(shown, Tells.LAMP_AGAIN)
    if not seen:
        return [Lacking(Lack.NOT_WATCHED)]
    if all(s.answer.said == Lamp.LIGHTS_GOES_OUT for s in seen):
        return []
    return [Lacking(Lack.AT_IGNITION, seen[-1].answer.said)]


def _driven(shown: tuple[ShownAnswer, ...]) -> list[Lacking]:
    minutes = _of(shown, Tells.DRIVEN)
    again = _of(shown, Tells.LAMP_AGAIN)
    if not minutes:
        return [Lacking(Lack.NO_DRIVE)]
    lacking = []
    if any(s.answer.as_planned is False for s in minutes):
        short = minutes[-1].answer
        lacking.append(Lacking(Lack.SHORT_DRIVE, minutes=short.minutes, wanted=float(short.ask.expect)))
    lamp = _of(shown, Tells.LAMP_DRIVING)
    if not lamp or not all(s.answer.as_planned for s in lamp):
        lacking.append(Lacking(Lack.LAMP_DRIVING))
    if again and again[-1].kept.claim.at.us < minutes[-1].kept.claim.at.us:
        lacking.append(Lacking(Lack.START_FIRST))
    return lacking


def _stored(shown: tuple[ShownAnswer, ...]) -> list[Lacking]:
    return [] if _said(shown, Tells.REFERENCE, YesNo.YES) else [Lacking(Lack.NOT_STORED)]


def _codes(shown: tuple[ShownAnswer, ...]) -> list[Lacking]:
    if not _of(shown, Tells.CODES_AFTER):
        return [Lacking(Lack.CODES_NOT_READ)]
    return [] if _said(shown, Tells.CODES_AFTER, Codes.NONE) else [Lacking(Lack.CODES_THERE)]


def _listed(shown: tuple[ShownAnswer, ...]) -> list[Lacking]:
    if not _of(shown, Tells.KNOWN_IDS):
        return [Lacking(Lack.LIST_NOT_HELD)]
    good = (Listed.JUST_THESE, Listed.NO_CORNERS, Listed.HEARD)
    return [] if _said(shown, Tells.KNOWN_IDS, *good) else [Lacking(Lack.LIST_OTHER)]


def _corners(start: JobStart, shown: tuple[ShownAnswer, ...]) -> list[Lacking]:
    moved = {s.wheel: s for s in _of(shown, Tells.CORNER)}
    lacking = []
    for wheel in start.wheels:
        if wheel.corner == "spare":
            continue
        seen = moved.get(wheel.wheel)
        if seen is None:
            lacking.append(Lacking(Lack.CORNER_NOT_TRIED, corner=wheel.corner))
        elif not seen.answer.as_planned:
            lacking.append(Lacking(Lack.CORNER_OTHER, seen.answer.said, wheel.corner))
        elif not any(s.wheel == wheel.wheel for s in _of(shown, Tells.BACK)):
            lacking.append(Lacking(Lack.CORNER_NOT_GAUGED, corner=wheel.corner))
    return lacking


def _challenged(shown: tuple[ShownAnswer, ...]) -> list[Lacking]:
    if not _of(shown, Tells.LAMP_LIT):
        return [Lacking(Lack.NOT_CHALLENGED)]
    lacking = [] if _said(shown, Tells.LAMP_LIT, YesNo.YES) else [Lacking(Lack.NOT_LIT)]
    return lacking if _said(shown, Tells.LAMP_OUT, YesNo.YES) else [*lacking, Lacking(Lack.NOT_OUT)]
