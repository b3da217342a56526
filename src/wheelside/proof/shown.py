"""The answers of a job that count for its proof."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import Tells
from wheelside.sheet.claim import Kept
from wheelside.sheet.progress import StepState
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

    @property
    def at(self) -> int:
        """When it was seen, in microseconds of UTC."""
        return self.kept.claim.at.us


Answered = tuple[ShownAnswer, ...]


def shown_by(states: Iterable[StepState]) -> Answered:
    """Every answer of a finished step that could be read and says something for the proof."""
    return tuple(
        ShownAnswer(a.ask.tells, a.ask.wheel, s.step.id, s.step.does, a, s.kept)
        for s in states
        if s.finished and s.kept is not None
        for a in s.answers
        if a.ask.tells is not Tells.NOTHING and a.problem is None and not a.empty
    )


def of(shown: Answered, *tells: Tells) -> list[ShownAnswer]:
    """The answers that are about one of these."""
    return [s for s in shown if s.tells in tells]


def newest(found: Iterable[ShownAnswer]) -> ShownAnswer | None:
    """The one that was seen last; of several at one moment the last. None where there is none."""
    return max(reversed(list(found)), key=lambda s: s.at, default=None)


def newest_saying(found: Iterable[ShownAnswer], *said: str) -> ShownAnswer | None:
    """The newest of those that say one of these."""
    return newest(s for s in found if s.answer.said in said)
