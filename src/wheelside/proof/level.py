"""The evidence level that a job's evidence reaches, worked out rung by rung. Write it like this."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wheelside.garage.words import Monitor
from wheelside.proof.heard import all_live, corners_lack, other_ids, silent
from wheelside.proof.lack import Lack, Lacking
from wheelside.proof.shown import Answered, ShownAnswer, newest, newest_saying, of, shown_by
from wheelside.sheet.ask import Tells
from wheelside.sheet.ladder import NONE, Leaves, ladder_of, leaves_of
from wheelside.sheet.option import LAMP_IS_OFF, LATER_IS_OFF, Clearing, Codes, Lamp, LampLater, LampTold, Listed, YesNo
from wheelside.sheet.progress import StepState
from wheelside.sheet.start import JobStart


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
    """The highest level whose rungs are all reached, every rung of the car's ladder, and what that level still can't exclude.

    `leaves`: () in records of rules 2, which said it by the level alone.
    """

    reached: str
    rungs: tuple[Rung, ...]
    leaves: tuple[Leaves, ...] = ()


def level_of(start: JobStart, states: Iterable[StepState]) -> Level:
    """The level that the finished steps of a job show."""
    shown = shown_by(states)
    direct = start.monitor == Monitor.DIRECT.value
    lacking = {
        "E0": _lamp_off(shown),
        "E1": _lit_and_out(shown),
        "E2": [*_driven(shown), *(silent(start, shown) if direct else _stored(shown))],
        "E3": [*_codes(shown), *([*_listed(shown), *other_ids(start, shown)] if direct else [])],
        "E4": corners_lack(start, shown),
        "E5": _challenged(shown),
    }
    rungs = tuple(Rung(rung.level, tuple(lacking[rung.level])) for rung in ladder_of(start.monitor))
    reached = NONE
    for rung in rungs:
        if not rung.reached:
            break
        reached = rung.level
    return Level(reached, rungs, tuple(_leaves(start, shown, reached)))


_SAYS_NO_CODES = ("E3", "E4", "E5")


def _leaves(start: JobStart, shown: Answered, reached: str) -> Iterator[Leaves]:
    """What a level leaves open, but for what this job has shown beyond it.

    A sensor's silence has been missed by now where each corner was seen live, or where the lamp was off after six starts or a week.
    """
    stays_off = newest_saying(of(shown, Tells.LAMP_WEEK), LampLater.STILL_OFF)
    live = all_live(start, shown)
    gone = {Leaves.NOT_MISSED} if live or stays_off else set[Leaves]()
    gone |= set() if _driven(shown) else {Leaves.SHORT_DRIVE}
    cleared = _cleared(shown) if reached in _SAYS_NO_CODES else None
    if cleared is not None and not (stays_off is not None and stays_off.at >= cleared.at):
        yield Leaves.CODE_BACK
        gone.add(Leaves.NOTHING)
    yield from (one for one in leaves_of(start.monitor, reached) if one not in gone)


def _said(shown: Answered, tells: Tells, *wanted: str) -> bool:
    found = of(shown, tells)
    return bool(found) and all(s.answer.said in wanted for s in found)


def _lamp_off(shown: Answered) -> list[Lacking]:
    """What was seen last and what the car told last: each that there is has to say off; what it told counts until the look in a week."""
    looked = newest(of(shown, Tells.LAMP_AGAIN, Tells.LAMP_DRIVING, Tells.LAMP_WEEK))
    told = newest(s for s in of(shown, Tells.LAMP_TOLD) if s.answer.said != LampTold.NOT_TOLD)
    if looked is not None and told is not None and looked.tells is Tells.LAMP_WEEK and looked.at >= told.at:
        told = None
    if looked is None and told is None:
        return [Lacking(Lack.NOT_LOOKED)]
    lacking = []
    if looked is not None and looked.answer.said not in LAMP_IS_OFF | LATER_IS_OFF:
        lacking.append(Lacking(Lack.LAMP_SEEN, looked.answer.said))
    if told is not None and told.answer.said != LampTold.OFF:
        lacking.append(Lacking(Lack.LAMP_TOLD, told.answer.said))
    last = max(s.at for s in (looked, told) if s is not None)
    return [*lacking, *([Lacking(Lack.STILL_LIT)] if _left_lit(shown, last) else [])]


def _left_lit(shown: Answered, last_look: int) -> bool:
    """Whether the lamp was made to come on after it was last looked at, and was not seen to go out."""
    lit = newest_saying(of(shown, Tells.LAMP_LIT), YesNo.YES)
    return lit is not None and lit.at > last_look and not _said(shown, Tells.LAMP_OUT, YesNo.YES)


def _lit_and_out(shown: Answered) -> list[Lacking]:
    seen = of(shown, Tells.LAMP_AGAIN)
    if not seen:
        return [Lacking(Lack.NOT_WATCHED)]
    if all(s.answer.said == Lamp.LIGHTS_GOES_OUT for s in seen):
        return []
    return [Lacking(Lack.AT_IGNITION, seen[-1].answer.said)]


def _driven(shown: Answered) -> list[Lacking]:
    minutes = of(shown, Tells.DRIVEN)
    again = newest(of(shown, Tells.LAMP_AGAIN))
    if not minutes:
        return [Lacking(Lack.NO_DRIVE)]
    lacking = []
    if any(s.answer.as_planned is False for s in minutes):
        short = minutes[-1].answer
        lacking.append(Lacking(Lack.SHORT_DRIVE, minutes=short.minutes, wanted=float(short.ask.expect)))
    lamp = of(shown, Tells.LAMP_DRIVING)
    if not lamp or not all(s.answer.as_planned for s in lamp):
        lacking.append(Lacking(Lack.LAMP_DRIVING))
    if again is not None and again.at < minutes[-1].at:
        lacking.append(Lacking(Lack.START_FIRST))
    return lacking


def _stored(shown: Answered) -> list[Lacking]:
    return [] if _said(shown, Tells.REFERENCE, YesNo.YES) else [Lacking(Lack.NOT_STORED)]


def _cleared(shown: Answered) -> ShownAnswer | None:
    return newest_saying(of(shown, Tells.CODES_CLEARED, Tells.CLEARED_LATER), Clearing.CLEARED)


def _codes(shown: Answered) -> list[Lacking]:
    """The newest reading after the drive decides. After clearing, only one from after a drive, or from the look in a week, does: a code whose
    cause is still there comes back within one to three starts (trade practice)."""
    read = newest_saying(of(shown, Tells.CODES_AFTER, Tells.CODES_WEEK), Codes.NONE, Codes.SOME)
    cleared, driven = _cleared(shown), newest(of(shown, Tells.DRIVEN))
    if read is None:
        return [Lacking(Lack.CODES_NOT_READ)]
    if read.answer.said == Codes.SOME:
        since = cleared is not None and cleared.at >= read.at
        return [Lacking(Lack.CLEARED_SINCE if since else Lack.CODES_STORED)]
    if driven is not None and read.at < driven.at:
        return [Lacking(Lack.CODES_EARLY)]
    if cleared is None or cleared.at > read.at or _used_between(shown, cleared, driven, read):
        return []
    return [Lacking(Lack.READ_TOO_SOON)]


def _used_between(shown: Answered, cleared: ShownAnswer, driven: ShownAnswer | None, read: ShownAnswer) -> bool:
    """Whether the car was driven, or used for six starts or a week, between clearing and reading."""
    if driven is not None and driven.at >= cleared.at:
        return True
    week = newest_saying(of(shown, Tells.LAMP_WEEK), LampLater.STILL_OFF)
    return read.tells is Tells.CODES_WEEK and week is not None and week.at >= cleared.at


_OF_LIST: dict[str, Lack] = {
    Listed.NOT_READ: Lack.LIST_NOT_READ, Listed.HEARD: Lack.LIST_HEARD, Listed.SWAPPED: Lack.LIST_SWAPPED,
    Listed.OTHERS: Lack.LIST_STRANGERS,
}  # fmt: skip


def _listed(shown: Answered) -> list[Lacking]:
    """What was last said of the car's list."""
    last = newest(of(shown, Tells.KNOWN_IDS))
    if last is None:
        return [Lacking(Lack.LIST_NOT_HELD)]
    good = last.answer.said in (Listed.JUST_THESE, Listed.NO_CORNERS)
    return [] if good else [Lacking(_OF_LIST.get(last.answer.said, Lack.LIST_STRANGERS))]


def _challenged(shown: Answered) -> list[Lacking]:
    """A lamp that lights below the limit shows that it does. One that stays off shows nothing: the rules oblige a car only while it drives
    (49 CFR 571.138 tests at 50 to 100 km/h, UN R141 from 40 km/h)."""
    if not of(shown, Tells.LAMP_LIT):
        return [Lacking(Lack.NOT_CHALLENGED)]
    if not _said(shown, Tells.LAMP_LIT, YesNo.YES):
        return [Lacking(Lack.NOT_LIT)]
    return [] if _said(shown, Tells.LAMP_OUT, YesNo.YES) else [Lacking(Lack.NOT_OUT)]
