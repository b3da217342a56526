"""One step of a run sheet, and one run sheet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.finding import COMMON_PRACTICE, Basis, Finding
from wheelside.said import Said
from wheelside.sheet.ask import Ask, Asked, When, slug
from wheelside.sheet.extent import Extent
from wheelside.sheet.ladder import EvidenceAim
from wheelside.sheet.step_words import Channel, Does, OnCard, Sitting, Stage


@dataclass(frozen=True, slots=True)
class Move:
    """Where one wheel is once a step is done: on a car at a corner, at a place, or, with none of them, off the car."""

    wheel: str
    on: str | None = None
    corner: str = ""
    at: str | None = None


def step_id(does: Does, wheel: str = "") -> str:
    """The id of the step at which something is done, to a wheel or to none: 'air-w1', 'torque'."""
    return slug(does.value, wheel) if wheel else does.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step. `does`: what is done, to the wheel of that id; '' where it is about no single wheel.

    What people read (`title`, `what`, `why`, `where`, `expect`, `if_fails`, `cautions`) decides nothing, and no proof seals it.

    `waits_for`: the ids of the steps that must have been done, with their evidence, before this one
    opens. `lock`: no later step opens until this one is done. `timed`: the name of a group of steps
    that are done without a pause, '' for none; `optional` steps may be left out without a reason. `asks`: each answer
    that is wanted. `allowed_s`: the time allowed for it; `wait_s`: the time that it has to last.
    `moves`: where wheels are once it is done. `card`: the card that it stands on; NONE in jobs from before there were cards.
    `calls`: what calls for it, any of these; () where it always belongs to the job. `place`: the id of the place where it is done; '' where that
    is not known, or at the car.
    """

    does: Does
    wheel: str = ""
    id: str = ""
    stage: Stage
    title: str = ""
    what: tuple[str | Said, ...] = ()
    why: str | Said = ""
    where: str = ""
    expect: str = ""
    evidence: tuple[Channel, ...]
    minutes: int
    if_fails: str = ""
    basis: Basis = COMMON_PRACTICE
    cautions: tuple[str, ...] = ()
    waits_for: tuple[str, ...] = ()
    lock: bool = False
    timed: str = ""
    optional: bool = False
    asks: tuple[Ask, ...] = ()
    allowed_s: float | None = None
    wait_s: float | None = None
    moves: tuple[Move, ...] = ()
    card: OnCard = OnCard.NONE
    calls: tuple[When, ...] = ()
    place: str = ""

    @property
    def rare(self) -> bool:
        """Whether only something unusual calls for it."""
        return any(not one.way for one in self.calls)

    @property
    def gauged(self) -> tuple[str, ...]:
        """The wheels whose pressures it asks for."""
        return tuple(dict.fromkeys(a.wheel for a in self.asks if a.kind is Asked.PRESSURE and a.wheel))

    def __post_init__(self) -> None:
        """Steps of jobs that began earlier bring their ids along."""
        if not self.id:
            object.__setattr__(self, "id", step_id(self.does, self.wheel))


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One card: one thing to do, met as one screen. It is prose around its steps, which hold what the proof rests on.

    `title`: what it is called; `line`: the one line of what to do; `expect`: what is seen when it goes well. `how`, `why`, `if_not`: what is
    one tap away. `cautions`: the codes of the cautions that hold for it. `steps`: the ids of its steps, in their order.
    """

    of: OnCard
    sitting: Sitting
    title: str | Said
    line: str | Said = ""
    expect: str | Said = ""
    how: tuple[str | Said, ...] = ()
    why: str | Said = ""
    if_not: tuple[str | Said, ...] = ()
    cautions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RunSheet:
    """The run sheet of one job: a set going on a car on a day; `stays_on` where it is on it already.

    `car` is '' for work on a set that goes on no car. `due`: the day that the season line had, where it has come already.
    `extent`: of which part of the work it is; `about`: the one wheel that it is about, '' for all.
    `cards`: how its steps are met; () in jobs from before there were cards.
    """

    car: str
    coming: str
    going: str | None
    stays_on: bool
    day: date
    aim: EvidenceAim
    steps: tuple[Step, ...]
    findings: tuple[Finding, ...] = ()
    due: date | None = None
    extent: Extent = Extent.ALL
    about: str = ""
    cards: tuple[Card, ...] = ()

    @property
    def minutes(self) -> int:
        """The minutes of all steps that are neither optional nor called for by something that is still to show."""
        return sum(s.minutes for s in self.steps if not s.optional and not s.calls)


__all__ = [
    "Card",
    "Channel",
    "Does",
    "EvidenceAim",
    "Move",
    "OnCard",
    "RunSheet",
    "Sitting",
    "Stage",
    "Step",
    "step_id",
]
