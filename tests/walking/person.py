"""A person who carries out a sheet to the letter: what the cards and the steps' own words say, on a household as it really is.

A step is told apart by `does`. Which wheel, which corner, which figure, which ID: that is read from the step's text, as somebody
does who stands at the car. Where the text names something else than `moves` does, that is a fault (`SaysOtherwise`). `acts.py` has what
is done at a step, `answers.py` what is said of it, `cards_read.py` what the card around it says.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from enum import StrEnum
from itertools import pairwise
from random import Random

import roadside
from acts import ACTS
from answers import BY_KIND
from cards_read import read_card, read_deck
from reading import Moved, SaysOtherwise, corner_in, figure_in, named
from things import CantBeDone, Car, Wheel
from world import World

from spoken import words
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.doing import Doing, doing, take_claims
from wheelside.sheet.answers import ReadAnswer, read_answer
from wheelside.sheet.ask import Ask, Asked, Tells
from wheelside.sheet.claim import Answer, Claim, ClaimKind
from wheelside.sheet.progress import StepState, called
from wheelside.sheet.step import Card, Does, Stage, Step
from wheelside.speech.speech import Speech
from wheelside.units.moment import Moment

_RETORQUE_DAYS, _WEEK = 2, 7
LIE_BESIDE = (Stage.OFF, Stage.SHOP, Stage.IN_WHEEL, Stage.SWAP, Stage.AIR, Stage.AWAY)
BEFORE_TEACHING = (Does.CHOOSE_LIST, Does.WAKE)
BEGIN_AGAIN = (Does.TEACH_BEGIN, Does.TEACH_WHEEL)


class Stuck(Exception):
    """A sheet that can't be ended: steps are left that wait for something that will never be done."""


class Walked(StrEnum):
    """How far a walk came: to the end, to where it was to stop, or to where an answer keeps the rest from opening."""

    ENDED = "to the end"
    STOPPED = "stopped"
    BARRED = "barred"


@dataclass
class Clock:
    """The time in the household."""

    now: Moment

    def __call__(self) -> Moment:
        return self.now

    @property
    def minute(self) -> float:
        return self.now.us / 6e7

    def wait(self, span: timedelta) -> None:
        self.now = Moment(self.now.us + round(span.total_seconds() * 1e6), self.now.offset_min)


@dataclass
class Person:
    """Somebody with a phone at one job. `gauge_bias`: what their gauge reads too much, kPa.

    `tags`: where a wheel is to go, by the name that is tied to it; `noted`: what the gauge read before; `card`: the card that lies open.
    `way`: how they go on from a flat tyre.
    `dash`: what the dash showed for each corner before a pressure was set, and `now` after. `careless`: leaves a wheel lying where it
    answers the trigger, once. `skips`: leaves out, with a reason, what can't be done. `quiet`: how often they answer what need not be.
    """

    world: World
    desk: Desk
    clock: Clock
    random: Random
    gauge_bias: float
    places: dict[str, str]
    set_names: dict[str, str]
    family_names: dict[str, str]
    put_at: str = ""
    list_taken: str = ""
    way: str = ""
    tags: set[str] = field(default_factory=set)
    noted: dict[str, float] = field(default_factory=dict)
    taken: dict[str, Wheel] = field(default_factory=dict)
    dash: dict[str, float | None] = field(default_factory=dict)
    then: dict[str, float | None] = field(default_factory=dict)
    card: Card | None = None
    careless: bool = False
    skips: bool = False
    quiet: float = 0.3
    count: int = 0
    log: list[str] = field(default_factory=list)

    # --- the job

    def walk(
        self,
        job: str,
        most: int | None = None,
        leave: tuple[Does, ...] = (),
        until: Callable[[Step], bool] | None = None,
    ) -> Walked:
        """Does one step after the other; at most so many, or `until` one was done. What is in `leave` is not done. Raises Stuck."""
        done = 0
        read_deck(doing(self.desk, job).start.sheet)
        while True:
            now = doing(self.desk, job)
            step = self._next(now, leave)
            if step is None:
                left = [s for s in now.states if s.to_do and s.step.does not in leave]
                if left and any(s.barred for s in now.states):
                    return Walked.BARRED
                if left:
                    raise Stuck(f"these steps never open: {', '.join(s.step.id for s in left)}")
                return Walked.ENDED
            if most is not None and done >= most:
                return Walked.STOPPED
            self.do(now, step)
            done += 1
            if until is not None and until(step):
                return Walked.STOPPED

    def _next(self, now: Doing, leave: tuple[Does, ...]) -> Step | None:
        if now.next is None or now.next.step.does not in leave:
            return now.next.step if now.next else None
        ready = (s.step for s in now.states if s.to_do and not s.waits)
        return next((s for s in ready if s.does not in leave), None)

    def do(self, now: Doing, step: Step) -> None:
        """Does one step, says so, and looks whether it was taken."""
        self.log.append(f"{self.clock.now.short()} {step.id}: {step.title}")
        if step.does is None:
            raise SaysOtherwise(f"{step.id}: it does not say what is done")
        self._stops_writing(now, step)
        car = self.world.cars.get(now.start.car)
        self._open_card(now, step, car)
        self._take_time(step)
        moved: Moved = []
        act = (ACTS | roadside.ACTS).get(step.does)
        try:
            if act is not None:
                act(self, step, car, moved)
        except CantBeDone:
            if not self.skips:
                raise
            self.log.append("  it can't be done, and is left out")
            self._say(now, step, ClaimKind.SKIPPED, reason="it can't be done")
            return
        if not (step.stage in LIE_BESIDE and step.does is not Does.CARRY_AWAY and self._shares_ids(now)):
            proven = step.stage in (Stage.TEACH, Stage.DRIVE, Stage.PROOF) and step.does not in BEFORE_TEACHING
            self.world.look_for_equal_ids(proven=proven)
        if not self.skips:
            self._hold_against_moves(step, moved)
        self._claim(now, step, car)

    def _stops_writing(self, now: Doing, step: Step) -> None:
        """Once a sensor reads back otherwise, nothing comes but inflating its wheel, and finding out what each sensor holds."""
        wrong = any(s.step.does is Does.READ_BACK and s.finished and not s.as_planned for s in now.states)
        found = any(s.step.does is Does.WRITTEN_WRONGLY and s.finished for s in now.states)
        if wrong and not found and step.does not in (Does.INFLATE, Does.WRITTEN_WRONGLY):
            raise SaysOtherwise(f"{step.id}: it comes next, and a sensor was written wrongly")

    def _open_card(self, now: Doing, step: Step, car: Car | None) -> None:
        """Turns to the card on which the step stands, and reads it."""
        mine = next((c for c in now.start.sheet.cards if step.id in c.steps), None)
        if mine is None:
            raise SaysOtherwise(f"{step.id}: it stands on no card")
        if mine is not self.card:
            self.card = mine
            read_card(self, mine, [s.step for s in now.states if s.step.id in mine.steps], car)

    def card_says(self, text: str) -> bool:
        """Whether the card that lies open has these words."""
        card = self.card
        return card is not None and any(text in words(one) for one in (card.title, card.line, *card.how))

    def _take_time(self, step: Step) -> None:
        if step.does in (Does.TORQUE_AGAIN, Does.LOOK_LATER):
            self.clock.wait(timedelta(days=_RETORQUE_DAYS if step.does is Does.TORQUE_AGAIN else _WEEK))
            self.world.cool_down()
        self.clock.wait(timedelta(minutes=max(1, step.minutes), seconds=step.wait_s or 0))

    def _shares_ids(self, now: Doing) -> bool:
        """Whether wheels with one ID may lie beside the car while they are changed: what came off is carried away before all else."""
        away = next((s.step for s in now.states if s.step.does is Does.CARRY_AWAY), None)
        return away is not None and away.lock

    def _hold_against_moves(self, step: Step, moved: Moved) -> None:
        claimed = sorted(f"{m.wheel} {m.on} {m.corner} {m.at}" for m in step.moves)
        really = sorted(f"{w} {on} {corner} {at}" for w, on, corner, at in moved)
        if claimed != really:
            raise SaysOtherwise(
                f"{step.id}: by its text {really or 'nothing moves'}, by its moves {claimed or 'nothing does'}"
            )

    # --- saying

    def _claim(self, now: Doing, step: Step, car: Car | None) -> None:
        said = {one.id: Answer(one.id, BY_KIND[one.kind](self, step, one, car)) for one in step.asks}
        self._say(now, step, ClaimKind.DONE, tuple(a for a in self._only_asked(now, step, said) if a.said))
        state = self._state(now.row.id, step)
        if not state.finished:
            told = "; ".join(map(Speech().text, state.problems))
            raise Stuck(f"{step.id} is done and answered, and stays {state.standing.value}: {told}")
        self._look_at(now.row.id, state, car)

    def _only_asked(self, now: Doing, step: Step, said: dict[str, Answer]) -> list[Answer]:
        """The answers to what is asked, as far as this person answers what need not be answered."""
        out: list[Answer] = []
        for one in step.asks:
            told = {f"{step.id}/{a.ask.id}": a for a in self._read(now, step, out)}
            asked = called(one.only, told)
            wanted = one.required or one.kind is Asked.ID or one.tells in (Tells.DASH_BEFORE, Tells.DASH_NOW)
            if asked and (wanted or self.random.random() >= self.quiet):
                out.append(said[one.id])
        return out

    def _read(self, now: Doing, step: Step, said: list[Answer]) -> list[ReadAnswer]:
        by_ask = {a.ask: a for a in said}
        return [read_answer(one, by_ask.get(one.id), now.start.units) for one in step.asks]

    def _say(self, now: Doing, step: Step, kind: ClaimKind, answers: tuple[Answer, ...] = (), reason: str = "") -> None:
        self.count += 1
        client = f"{now.row.id}-{step.id}-{self.count}"
        claim = Claim(client, now.row.id, step.id, kind, self.clock.now, "Ada", "phone", 10**9, answers, reason)
        take_claims(self.desk, now.row.id, [claim])

    def skip(self, job: str, step_id: str, reason: str) -> None:
        """Leaves a step out, with a reason."""
        now = doing(self.desk, job)
        step = next(s.step for s in now.states if s.step.id == step_id)
        self.log.append(f"{self.clock.now.short()} {step.id} is left out: {reason}")
        self._say(now, step, ClaimKind.SKIPPED, reason=reason)

    def reopen(self, job: str, *steps: Step) -> None:
        """Takes back that steps were done."""
        now = doing(self.desk, job)
        for step in steps:
            if self._state(job, step).kept is not None:
                self._say(now, step, ClaimKind.REOPENED)
        self.card = None

    def _state(self, job: str, step: Step) -> StepState:
        return next(s for s in doing(self.desk, job).states if s.step.id == step.id)

    def _look_at(self, job: str, state: StepState, car: Car | None) -> None:
        """What this person sees at once in what was said: a figure that was set as the sheet says is as planned, an ID is the wheel's own."""
        step = state.step
        off = [a for a in state.answers if a.as_planned is False]
        if step.does in (Does.SET_PRESSURE, Does.INFLATE, Does.FILL_CORNER) and any(
            a.ask.kind is Asked.PRESSURE for a in off
        ):
            raise SaysOtherwise(f"{step.id}: it was set as its text says, and is not as planned: {off[-1].said}")
        if step.does is Does.SET_PRESSURE and any(a.ask.tells is Tells.CORNER for a in off):
            raise SaysOtherwise(
                f"{step.id}: its own figure followed, and that is not as planned: {[a.said for a in state.answers]}"
            )
        if step.does is not Does.TEACH_WHEEL or car is None:
            return
        another = self.taken.pop(step.wheel, None)
        if another is not None and another.id != step.wheel:
            if not off:
                raise SaysOtherwise(f"{step.id}: {another.name} answered in its place, and that is as planned")
            self.begin_teaching_again(job, car)

    def begin_teaching_again(self, job: str, car: Car) -> None:
        """Finishes or stops as the handbook says, and begins again; nothing lies at hand any more."""
        self.log.append(f"{self.clock.now.short()}   begins to teach again")
        car.break_off()
        self.world.at_hand = set()
        self.careless = False
        self.reopen(job, *(s.step for s in doing(self.desk, job).states if s.step.does in BEGIN_AGAIN))

    # --- reading

    def wheels_in(self, text: str) -> list[Wheel]:
        """The wheels that a text names, in the order in which it does."""
        found = [(at, w) for w in self.world.wheels.values() if (at := named(w.name, text)) >= 0]
        return [w for _, w in sorted(found, key=lambda f: f[0])]

    def wheel_of(self, step: Step) -> Wheel:
        """The one wheel that a step's title names, or its place."""
        found = self.wheels_in(step.title) or self.wheels_in(step.where)
        if len(found) != 1:
            raise SaysOtherwise(f"{step.id}: it names {[w.name for w in found]}: '{step.title}', '{step.where}'")
        return found[0]

    def corner_of(self, step: Step) -> str:
        """The one corner that a step is at: title and place must not name two."""
        found = corner_in(f"{step.title}; {step.where}")
        if len(found) != 1:
            raise SaysOtherwise(f"{step.id}: it is at {sorted(found) or 'no corner'}: '{step.title}', '{step.where}'")
        return found.pop()

    def place_in(self, text: str) -> str | None:
        found = [p for p, name in self.places.items() if named(name, text) >= 0]
        return found[0] if len(found) == 1 else None

    def sets_in(self, text: str) -> list[str]:
        return [s for s, name in self.set_names.items() if named(name, text) >= 0]

    def shows(self, wheel: Wheel) -> float:
        """What this person's gauge shows at a wheel, kPa."""
        return wheel.gauge + self.gauge_bias

    def fill(self, wheel: Wheel, shows: float) -> None:
        """Sets a wheel so that this person's gauge shows a figure, kPa, and gauges it."""
        self.world.set_pressure(wheel, shows - self.gauge_bias)

    def figure_for(self, one: Ask, otherwise: str) -> float:
        """The figure that a table has for the temperature of the tyre, kPa; else the first one of a text."""
        at = self.world.kelvin
        rows = [(t.kelvin, p.kpa) for t, p in one.by_temperature]
        for (low, less), (high, more) in pairwise(rows):
            if low <= at <= high:
                return less + (more - less) * (at - low) / (high - low)
        figure = figure_in(otherwise)
        if figure is None:
            raise SaysOtherwise(f"it names no pressure: '{otherwise}'")
        return figure

    def get_cold(self, car: Car) -> None:
        """Waits, as a card or a step says, until tyres that were driven are cold again."""
        if any(w is not None and w.kelvin != self.world.kelvin for w in car.hubs.values()):
            self.clock.wait(timedelta(hours=3))
            self.world.cool_down()


__all__ = ["Ask", "Clock", "Person", "SaysOtherwise", "Stuck", "Walked"]
