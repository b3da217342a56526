"""A claim: what one person says at one step, as it came in."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wheelside.units.moment import Moment


class ClaimKind(StrEnum):
    """What a claim does to its step."""

    DONE = "done"
    SKIPPED = "skipped"
    REOPENED = "reopened"
    SETTLED = "settled"


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer as it was said: to which ask, in which words; `photo` is a photo's name."""

    ask: str
    said: str = ""
    words: str = ""
    photo: str = ""


@dataclass(frozen=True, slots=True)
class Claim:
    """One claim at one step of a job.

    `client` is the identifier that the sender made; `device` is the browser or program that sent it. `at`: when it was
    observed, `spread_s` how uncertain that is. `seen`: the last number of this job that the sender knew. `reason`: why
    a step was skipped. `keep`: of two claims that differ, the client of the one that holds ('settled'). `visit`: the visit to the car in which this
    program read the answers itself; '' where a person says them.
    """

    client: str
    job: str
    step: str
    kind: ClaimKind
    at: Moment
    person: str
    device: str
    seen: int
    answers: tuple[Answer, ...] = ()
    reason: str = ""
    keep: str = ""
    instrument: str = ""
    spread_s: float = 0.0
    visit: str = ""

    @property
    def content(self) -> tuple[object, ...]:
        """What it says, without who, when and from where."""
        return self.kind, self.answers, self.reason


@dataclass(frozen=True, slots=True)
class Kept:
    """A claim as the book keeps it: with its number, and when it was recorded."""

    num: int
    recorded: Moment
    claim: Claim
