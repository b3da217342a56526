"""Every wait for a unit ends, whatever it begins anew; a person who says stop is heard; units with slow flow control are taught.

All by a clock that runs on only where somebody waits, so that every time is known exactly.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest

import wheelside.car
from stepped import Answers, Stepped, to_car
from wheelside.car.card import PortCard
from wheelside.car.drive import Hurry, carry_out
from wheelside.car.frames import Frame, NoAnswer, PutOff, Stopped
from wheelside.car.permit import Permit
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import read_all, read_codes, read_list
from wheelside.car.talk import EXCHANGE_S, PATIENCE_S, Exchange, Talk
from wheelside.car.tape import Replay
from wheelside.car.taught import Outcome, Stage, Taught, What
from wheelside.car.teaching import FORWARD_S, STOP_S, TAIL_S, Goal, Intent
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import Habits, PracticeCar, practice_car
from wheelside.demo.practice.told import SUMMER, WINTER
from wheelside.demo.practice.wheels import NO_IDS, bytes_of

CARD: PortCard = read_port_card(port_card(), "practice.toml", dbc().decode())
ROW = CARD.lists[0]
OLD, NEW = bytes_of(SUMMER), bytes_of(WINTER)
MOST_S = 60.0
"""No more passes from when a unit begins to put off its answers to the last statement."""
EVERY_S, LASTING_S = 0.5, 150.0
SINGLE, FIRST, NEXT, FLOW = range(4)
WRITES = (0x10, 0x2E, 0x31)
REQUESTS = 9
"""So many are sent in a teaching without trouble, with the reading before it."""


def request_in(frame: Frame) -> bytes | None:
    """The service and what follows of a frame that begins a request; None for flow control and further frames."""
    kind = frame.data[0] >> 4
    return frame.data[1:] if kind == SINGLE else frame.data[2:] if kind == FIRST else None


class PutsOff:
    """From one request on a unit begins its answer to each anew, every half second and for ever. `acts`: it does what it is asked.

    ISO 14229-1: 7F, the service, 78 asks for more time. ISO 15765-2: a first frame begins a longer answer, and begins it anew.
    """

    def __init__(self, car: PracticeCar, since: int, how: str, *, acts: bool = False, until: int = 10**6) -> None:
        self.car, self.since, self.how, self.acts, self.until = car, since, how, acts, until
        self.count = 0
        self.began_s: float | None = None
        self.link = Stepped(self._answer)

    @property
    def now(self) -> bool:
        return self.since <= self.count < self.until

    def _answer(self, frame: Frame, now_s: float) -> Answers:
        asked = request_in(frame)
        if asked is not None:
            self.count += 1
            self.link.coming.clear()
        if not self.now:
            return [(t, Frame(i, data)) for t, i, data in self.car.frames(frame.can_id, frame.data, now_s)]
        whole = frame.data[0] >> 4 != FLOW
        if self.acts and whole:
            kept = self.car.frames(frame.can_id, frame.data, now_s)
            if asked is not None and frame.data[0] >> 4 == FIRST:
                return [(t, Frame(i, data)) for t, i, data in kept if data[0] >> 4 == FLOW]
        if not whole or (asked is None and not self.acts):
            return []
        self.began_s = now_s if self.began_s is None else self.began_s
        return self._anew(asked[0] if asked is not None else 0x2E)

    def _anew(self, service: int) -> Answers:
        pending, first = bytes((3, 0x7F, service, 0x78)), bytes((0x10, 0x14, service + 0x40, 0x21, 0x10, 1, 2, 3))
        data = (pending if self.how == "pending" else first).ljust(8, b"\xcc")
        return [(n * EVERY_S, Frame(CARD.unit.answer, data)) for n in range(int(LASTING_S / EVERY_S))]


@contextmanager
def teaching(link: Stepped, told: Callable[[Exchange], None] | None = None) -> Iterator[Talk]:
    with Talk(link, CARD.unit, Permit.TEACH, CARD.routines, CARD.written, told=told) as talk:
        yield talk


@dataclass
class Ran:
    """What came of a teaching: its end, the stages, and how long it took."""

    stages: list[Stage] = field(default_factory=list)
    told: list[Exchange] = field(default_factory=list)
    end: Taught | None = None
    error: Exception | None = None
    took_s: float = 0.0

    @property
    def services(self) -> list[int]:
        return [one.request[0] for one in self.told]


def run(
    link: Stepped, hurry: Hurry | None = None, at: Callable[[Stage], None] | None = None, way: Intent = Intent.NEW
) -> Ran:
    ran = Ran()

    def keep(stage: Stage, _data: str) -> None:
        ran.stages.append(stage)
        if at is not None:
            at(stage)

    start = link.clock.now_s
    with teaching(link, ran.told.append) as talk:
        try:
            ran.end = carry_out(talk, keep, Goal(way, ROW, OLD, NEW), hurry)
        except NoAnswer as error:
            ran.error = error
    ran.took_s = link.clock.now_s - start
    return ran


def held(car: PracticeCar) -> tuple[bytes, bool]:
    return bytes_of(car.unit.teaching.lists[1]), 1 in car.unit.teaching.counting


def is_true(end: Taught, car: PracticeCar) -> bool:
    """Whether what was said of the car is so."""
    now, counts = held(car)
    right = {
        Outcome.DONE: now == NEW and counts,
        Outcome.AS_BEFORE: now == OLD and counts,
        Outcome.NOT_CONFIRMED: now == OLD,
        Outcome.NEW_NOT_CONFIRMED: now == NEW,
        Outcome.OTHERWISE: now not in (OLD, NEW),
        Outcome.NOT_KNOWN: end.holds is None,
    }
    return right[end.outcome] and end.holds in (None, now)


@pytest.mark.parametrize("how", ["pending", "first frame"])
@pytest.mark.parametrize("acts", [True, False], ids=["acts", "does not act"])
@pytest.mark.parametrize("since", range(1, REQUESTS))
def test_a_teaching_ends_within_a_minute_of_a_unit_that_begins_its_answers_anew_for_ever(
    since: int, acts: bool, how: str
) -> None:
    car = practice_car()
    unit = PutsOff(car, since, how, acts=acts)
    ran = run(unit.link)
    assert unit.began_s is not None
    assert unit.link.clock.now_s - unit.began_s <= MOST_S
    assert max(one.took_s for one in ran.told) <= EXCHANGE_S + 0.2
    if since == 1:
        assert isinstance(ran.error, PutOff)
        assert set(ran.services) == {0x22}
        return
    assert ran.end is not None
    assert is_true(ran.end, car), ran
    assert ran.stages[-1] is Stage.ENDED
    if not any(service in (0x2E, 0x31) for service in ran.services):
        assert held(car) == (OLD, True)


@pytest.mark.parametrize("how", ["pending", "first frame"])
@pytest.mark.parametrize("since", range(2, REQUESTS))
def test_a_unit_that_puts_off_one_answer_alone_has_the_old_or_the_new_list_in_the_end(since: int, how: str) -> None:
    car = practice_car()
    unit = PutsOff(car, since, how, acts=True, until=since + 1)
    ran = run(unit.link)
    assert ran.end is not None
    assert is_true(ran.end, car)
    assert ran.end.outcome in (Outcome.DONE, Outcome.AS_BEFORE)
    assert ran.took_s <= MOST_S


@pytest.mark.parametrize("how", ["pending", "first frame"])
def test_reading_ends_too_and_asks_no_more_once_it_has_waited_for_long(how: str) -> None:
    """Today's lists, values and codes of the practising car are more than twenty questions."""
    unit = PutsOff(practice_car(), 1, how)
    with Talk(unit.link, CARD.unit) as talk:
        known = read_all(talk, CARD)
        with pytest.raises(NoAnswer, match="has let us wait for too long"):
            read_codes(talk, CARD)
    assert known.lists == ()
    assert len(known.missing) == len(CARD.lists) + len(CARD.values)
    assert unit.count == PATIENCE_S / EXCHANGE_S
    assert unit.began_s is not None
    assert unit.link.clock.now_s - unit.began_s <= PATIENCE_S + 1


def test_a_unit_that_says_nothing_is_not_asked_for_longer_than_the_patience() -> None:
    link = Stepped(lambda _frame, _now_s: [])
    start = link.clock.now_s
    with Talk(link, CARD.unit) as talk:
        read_all(talk, CARD)
    assert link.clock.now_s - start <= PATIENCE_S + 1


def test_a_unit_that_needs_fifteen_seconds_is_waited_for() -> None:
    """ISO 14229-1 sets no number of responses that ask for more time."""
    car = practice_car(Habits(pending=30, pending_s=0.5))
    with Talk(to_car(car), CARD.unit) as talk:
        assert read_list(talk, ROW).raw == OLD


@pytest.mark.published
@pytest.mark.parametrize(("waits", "late_s"), [(0, 0.45), (1, 0.0), (3, 0.0), (6, 0.0), (3, 0.45)], ids=str)
@pytest.mark.parametrize("block", [0, 1])
def test_units_with_slow_flow_control_are_taught(block: int, waits: int, late_s: float) -> None:
    """ISO 15765-2: flow control comes within N_Bs (1 s) of the frame before it, and may say wait; ISO 14229-2: P2 begins with the request's end."""
    car = practice_car(Habits(block_size=block, waits=waits, wait_s=0.5))

    def other_end(frame: Frame, now_s: float) -> Answers:
        came = car.frames(frame.can_id, frame.data, now_s)
        return [(t + late_s * (data[0] >> 4 == FLOW), Frame(can_id, data)) for t, can_id, data in came]

    ran = run(Stepped(other_end))
    assert ran.end is not None
    assert (ran.end.outcome, ran.end.trouble) == (Outcome.DONE, ())
    assert held(car) == (NEW, True)


def test_a_unit_that_says_wait_for_ever_does_not_get_its_request() -> None:
    """N_WFTmax is ours to choose."""
    car = practice_car(Habits(waits=100, wait_s=0.5))
    ran = run(to_car(car))
    assert ran.end is not None
    assert is_true(ran.end, car)
    assert ran.took_s <= MOST_S


STAGES = (Stage.SAVED, Stage.SESSION, Stage.BEGUN, Stage.WRITTEN, Stage.FINISHED, Stage.READ_BACK)


def saying(stop: Stage, times: int, hurry: Hurry) -> Callable[[Stage], None]:
    """Says stop so often when a stage is kept, the first time that it is."""

    def at(stage: Stage) -> None:
        if stage is stop and not hurry.times:
            hurry.times = times

    return at


@pytest.mark.parametrize("stage", STAGES)
def test_said_once_stop_ends_where_the_old_or_the_new_list_is_whole(stage: Stage) -> None:
    car, hurry = practice_car(), Hurry()
    ran = run(to_car(car), hurry, saying(stage, 1, hurry))
    assert ran.end is not None
    before = stage in (Stage.SAVED, Stage.SESSION)
    assert ran.end.outcome is (Outcome.AS_BEFORE if before else Outcome.DONE)
    assert held(car) == ((OLD, True) if before else (NEW, True))
    assert is_true(ran.end, car)
    if before:
        assert not set(ran.services) & {0x2E, 0x31}
        assert [one.what for one in ran.end.trouble] == [What.STOPPED]
        assert not ran.end.touched


@pytest.mark.parametrize("stage", STAGES)
def test_said_twice_stop_puts_the_old_list_back(stage: Stage) -> None:
    car, hurry = practice_car(), Hurry()
    ran = run(to_car(car), hurry, saying(stage, 2, hurry))
    if stage is Stage.SAVED:
        assert isinstance(ran.error, Stopped)
        assert (held(car), set(ran.services)) == ((OLD, True), {0x22})
        return
    assert ran.end is not None
    assert ran.end.outcome is Outcome.AS_BEFORE
    assert held(car) == (OLD, True)
    assert What.STOPPED in [one.what for one in ran.end.trouble]
    assert ran.took_s <= STOP_S + TAIL_S
    assert ran.stages[-1] is Stage.ENDED


@pytest.mark.parametrize("times", [1, 2])
@pytest.mark.parametrize("stage", STAGES)
def test_stop_said_on_the_way_back_does_not_end_it_halfway(stage: Stage, times: int) -> None:
    """The unit refuses to end the new list, so that the old one is put back; the person says stop at a stage of that."""
    car, hurry = practice_car(), Hurry()
    stages: list[Stage] = []
    plain = car.unit.teaching.stop
    refused: list[int] = []

    def stop() -> int:
        if not refused:
            refused.append(1)
            from wheelside.demo.practice.uds import CONDITIONS_NOT_CORRECT, RefusedRequest

            raise RefusedRequest(CONDITIONS_NOT_CORRECT)
        return plain()

    car.unit.teaching.stop = stop  # type: ignore[method-assign]

    def at(reached: Stage) -> None:
        stages.append(reached)
        if Stage.UNDO in stages and reached is (Stage.UNDO if stage is Stage.SAVED else stage) and not hurry.times:
            hurry.times = times

    ran = run(to_car(car), hurry, at)
    assert ran.end is not None
    assert hurry.times == times
    assert (ran.end.outcome, held(car)) == (Outcome.AS_BEFORE, (OLD, True))


@pytest.mark.parametrize("how", ["pending", "first frame"])
@pytest.mark.parametrize("since", range(1, REQUESTS))
@pytest.mark.parametrize("times", [1, 2])
def test_stop_said_while_a_unit_puts_off_its_answer(since: int, times: int, how: str) -> None:
    """Said again and again, from the first exchange that is put off on; what is said of the car stays true, and it ends in time."""
    car, hurry = practice_car(), Hurry()
    unit = PutsOff(car, since, how, acts=True)
    plain = unit.link.receive

    def receive(timeout_s: float) -> Frame | None:
        if unit.began_s is not None and unit.link.clock.now_s > unit.began_s + 1:
            hurry.times = times if times == 1 else hurry.times + 1
        return plain(timeout_s)

    unit.link.receive = receive  # type: ignore[method-assign]
    ran = run(unit.link, hurry)
    assert unit.began_s is not None
    lasted = unit.link.clock.now_s - unit.began_s
    if since == 1:
        assert isinstance(ran.error, Stopped if times == 2 else PutOff)
        assert set(ran.services) == {0x22}
        return
    assert ran.end is not None
    assert is_true(ran.end, car)
    assert lasted <= (MOST_S if times == 1 else 1.5 + STOP_S + 2 * TAIL_S)


@pytest.mark.parametrize("stage", [Stage.BEGUN, Stage.WRITTEN])
@pytest.mark.parametrize("times", [1, 2])
def test_finishing_a_teaching_that_was_broken_off_is_stopped_with_a_whole_list(stage: Stage, times: int) -> None:
    car, hurry = practice_car(), Hurry()
    car.unit.teaching.lists[1] = NO_IDS
    car.unit.teaching.counting.discard(1)
    ran = run(to_car(car), hurry, saying(stage, times, hurry), Intent.FINISH)
    assert ran.end is not None
    assert ran.end.outcome is (Outcome.DONE if times == 1 else Outcome.AS_BEFORE)
    assert held(car) == ((NEW if times == 1 else OLD), True)


def test_a_whole_teaching_lasts_no_longer_than_is_said() -> None:
    """A unit that takes four seconds for each answer, and says at last that it is not done."""
    car = practice_car(Habits(pending=8, pending_s=0.5, break_off_at=4))
    ran = run(to_car(car))
    assert ran.end is not None
    assert is_true(ran.end, car)
    assert ran.took_s <= FORWARD_S + MOST_S


def test_a_recording_without_the_answers_ends_at_once() -> None:
    """Nobody waits for a recording: its own clock runs on, not the machine's."""
    link = to_car(practice_car())
    frames: list[Frame] = []
    with Talk(link, CARD.unit, heard=lambda frame, sent: frames.append(frame) if sent else None) as talk:
        read_all(talk, CARD)
    replay = Replay(frames, CARD.unit.request, CARD.unit.answer)
    with Talk(replay, CARD.unit) as talk:
        known = read_all(talk, CARD)
        with pytest.raises(NoAnswer):
            read_codes(talk, CARD)
    assert known.lists == ()
    assert 0 < replay.at_s <= PATIENCE_S + 1
    assert sys.modules["wheelside.car.tape"].__dict__.get("time") is None


def test_nothing_in_this_room_reads_a_clock_sleeps_or_runs_beside() -> None:
    for file in Path(wheelside.car.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not {"time", "threading", "asyncio", "sched"} & set(names), file.name
