"""The evidence level that a job's evidence reaches, worked out rung by rung. Write it like this."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from wheelside.garage.words import Monitor
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import HEARD, LAMP_TOLD, LISTED, Tells
from wheelside.sheet.claim import Kept
from wheelside.sheet.option import LAMP_IS_OFF, Lamp, in_words, lamp_of
from wheelside.sheet.progress import StepState
from wheelside.sheet.prove import DIRECT_LADDER, INDIRECT_LADDER
from wheelside.sheet.start import JobStart

NONE = "none"


@dataclass(frozen=True, slots=True)
class Shown:
    """One answer that counts: of a finished step, with the claim that it came in."""

    tells: Tells
    wheel: str
    step: str
    answer: ReadAnswer
    kept: Kept


@dataclass(frozen=True, slots=True)
class Rung:
    """One level of the ladder: whether the evidence reaches it, and what is lacking where it does not."""

    level: str
    shown_by: str
    leaves_open: str
    lacking: tuple[str, ...]

    @property
    def reached(self) -> bool:
        return not self.lacking


@dataclass(frozen=True, slots=True)
class Level:
    """The highest level whose rungs are all reached, with what it can't exclude, and every rung."""

    reached: str
    leaves_open: str
    rungs: tuple[Rung, ...]


def shown_by(states: Iterable[StepState]) -> tuple[Shown, ...]:
    """Every answer of a finished step that could be read and says something for the proof."""
    return tuple(
        Shown(a.ask.tells, a.ask.wheel, s.step.id, a, s.kept)
        for s in states
        if s.finished and s.kept is not None
        for a in s.answers
        if a.ask.tells is not Tells.NOTHING and not a.problem and not a.empty
    )


def level_of(start: JobStart, states: Iterable[StepState]) -> Level:
    """The level that the finished steps of a job show."""
    shown = shown_by(states)
    if start.monitor not in (Monitor.DIRECT.value, Monitor.INDIRECT.value):
        return Level(NONE, "everything between two gaugings", ())
    direct = start.monitor == Monitor.DIRECT.value
    ladder = DIRECT_LADDER if direct else INDIRECT_LADDER
    lacking = {
        "E0": _lamp_off(shown),
        "E1": _lit_and_out(shown),
        "E2": [*_driven(shown), *([] if direct else _stored(shown))],
        "E3": [*_codes(shown), *(_listed(shown) if direct else [])],
        "E4": _corners(start, shown),
        "E5": _challenged(shown),
    }
    rungs = tuple(Rung(level, by, leaves, tuple(lacking[level])) for level, (by, leaves) in ladder.items())
    reached, leaves = NONE, "everything"
    for rung in rungs:
        if not rung.reached:
            break
        reached, leaves = rung.level, rung.leaves_open
    return Level(reached, leaves, rungs)


def _of(shown: tuple[Shown, ...], tells: Tells) -> list[Shown]:
    return [s for s in shown if s.tells is tells]


def _said(shown: tuple[Shown, ...], tells: Tells, *wanted: str) -> bool:
    found = _of(shown, tells)
    return bool(found) and all(s.answer.said in wanted for s in found)


def _lamp_off(shown: tuple[Shown, ...]) -> list[str]:
    """What was seen last and what the car told last: each that there is has to say off."""
    looked = _newest(_of(shown, Tells.LAMP_AGAIN) + _of(shown, Tells.LAMP_DRIVING))
    told = _newest([s for s in _of(shown, Tells.LAMP_TOLD) if s.answer.said != LAMP_TOLD[-1]])
    if looked is None and told is None:
        return ["nobody has looked at the lamp since the work"]
    lacking = []
    if looked is not None and lamp_of(looked.answer.said) not in LAMP_IS_OFF:
        lacking.append(f"the lamp: {in_words(looked.answer.said)}")
    if told is not None and told.answer.said != LAMP_TOLD[0]:
        lacking.append(f"the lamp, as the car tells it: {told.answer.said}")
    return lacking


def _newest(found: list[Shown]) -> Shown | None:
    return max(found, key=lambda s: s.kept.claim.at.us, default=None)


def _lit_and_out(shown: tuple[Shown, ...]) -> list[str]:
    seen = _of(shown, Tells.LAMP_AGAIN)
    if not seen:
        return ["the lamp was not watched at ignition-on after the work"]
    if all(lamp_of(s.answer.said) is Lamp.LIGHTS_GOES_OUT for s in seen):
        return []
    return [f"at ignition-on the lamp {in_words(seen[-1].answer.said)}"]


def _driven(shown: tuple[Shown, ...]) -> list[str]:
    minutes = _of(shown, Tells.DRIVEN)
    again = _of(shown, Tells.LAMP_AGAIN)
    if not minutes:
        return ["no drive is noted"]
    lacking = []
    if any(s.answer.as_planned is False for s in minutes):
        short = minutes[-1].answer
        lacking.append(f"the drive lasted {short.minutes:g} minutes, {short.ask.expect} are wanted")
    lamp = _of(shown, Tells.LAMP_DRIVING)
    if not lamp or not all(s.answer.as_planned for s in lamp):
        lacking.append("the lamp did not stay off while driving")
    if again and again[-1].kept.claim.at.us < minutes[-1].kept.claim.at.us:
        lacking.append("the second start was seen before the drive")
    return lacking


def _stored(shown: tuple[Shown, ...]) -> list[str]:
    return [] if _said(shown, Tells.REFERENCE, "yes") else ["the reference was not stored"]


def _codes(shown: tuple[Shown, ...]) -> list[str]:
    if not _of(shown, Tells.CODES_AFTER):
        return ["codes were not read after the work"]
    return [] if _said(shown, Tells.CODES_AFTER, "none") else ["codes are stored or pending, or could not be read"]


def _listed(shown: tuple[Shown, ...]) -> list[str]:
    if not _of(shown, Tells.KNOWN_IDS):
        return ["the car's list was not held against the fitted IDs"]
    good = (LISTED[0], LISTED[1], HEARD)
    return (
        [] if _said(shown, Tells.KNOWN_IDS, *good) else ["the car's list is not just the fitted IDs, or can't be read"]
    )


def _corners(start: JobStart, shown: tuple[Shown, ...]) -> list[str]:
    moved = {s.wheel: s for s in _of(shown, Tells.CORNER)}
    lacking = []
    for wheel in start.wheels:
        if wheel.corner == "spare":
            continue
        seen = moved.get(wheel.wheel)
        if seen is None:
            lacking.append(f"{wheel.corner}: no change was tried")
        elif not seen.answer.as_planned:
            lacking.append(f"{wheel.corner}: the figure that moved was {seen.answer.said}")
        elif not any(s.wheel == wheel.wheel for s in _of(shown, Tells.BACK)):
            lacking.append(f"{wheel.corner}: it was not gauged again after the change")
    return lacking


def _challenged(shown: tuple[Shown, ...]) -> list[str]:
    if not _of(shown, Tells.LAMP_LIT):
        return ["the lamp was not made to come on"]
    lacking = [] if _said(shown, Tells.LAMP_LIT, "yes") else ["the lamp did not come on below the limit"]
    return lacking if _said(shown, Tells.LAMP_OUT, "yes") else [*lacking, "it was not seen to go out after inflating"]
