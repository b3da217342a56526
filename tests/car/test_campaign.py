"""Whatever goes wrong with one frame, or with the link, of a teaching: what is said of the car then is true, and the old list comes back.

On the bus all waits are those that are used with a car, by a clock that runs on only where somebody waits. Through an adapter, over TCP, an
answer, flow control and the next segment are waited for 0.3 s by the machine's clock.
"""

from __future__ import annotations

import sys
import time
from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

import pytest

from stepped import to_car
from wheelside.car.at import AtFrames
from wheelside.car.card import PortCard
from wheelside.car.drive import carry_out
from wheelside.car.frames import Frame, Frames, LinkLost
from wheelside.car.link import Segments
from wheelside.car.permit import Permit
from wheelside.car.portcard import read_port_card
from wheelside.car.talk import EXCHANGE_S, P2_S, Exchange, Talk
from wheelside.car.taught import Outcome, Stage, Taught
from wheelside.car.teaching import BACK_S, TAIL_S, Goal, Intent
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import AdapterHabits, Habits, PracticeCar, practice_car, serve_tcp
from wheelside.demo.practice.told import SUMMER, WINTER
from wheelside.demo.practice.wheels import bytes_of
from wheelside.errors import BadRequest, Outside
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.car.teach import drafted, list_of, teach
from wheelside.jobs.car.visit import KeptTeaching, Visit, last_teaching, records
from wheelside.jobs.car.ways_back import undo
from wheelside.jobs.source import RUNNING
from wheelside.sensor.ident import SensorId

ADAPTER_P2_S = 0.3
DELAY = 1.6
"""So many times the wait for an answer is a frame put off."""
LONGEST_S = EXCHANGE_S + BACK_S + TAIL_S + 1.0
"""No teaching lasts longer, from the first trouble on."""
BITS = tuple((byte, 3 * byte % 8) for byte in range(8))
"""Byte and bit of a frame that are turned: each byte once, each bit once."""
STRIDE = 5
"""The link to the adapter is cut after each fifth byte."""
ADAPTERS_AT_ONCE = 8
"""So many cases run side by side: they mostly wait."""
SLACK_S = 1.5
"""So long a machine on which much else runs may stand still; a wait without an end is found by LONGEST_S all the same."""
CARD: PortCard = read_port_card(port_card(), "practice.toml", dbc().decode())
ROW = list_of(CARD, "set 1")
OLD, NEW = bytes_of(SUMMER), bytes_of(WINTER)
WANTED: dict[str, SensorId | None] = {
    place: SensorId("", 32, number) for place, number in zip(ROW.layout.places, WINTER, strict=True)
}
WRITES = (0x10, 0x14, 0x2E, 0x31)


class Fault(StrEnum):
    """What happens to one frame."""

    NONE = "none"
    LOST = "lost"
    DOUBLED = "doubled"
    DELAYED = "delayed"
    CORRUPTED = "corrupted"
    CUT = "cut"
    SILENT = "silent"
    """Lost, and all that follow."""


class Faulty:
    """Frames, of which the one numbered `at`, sent or come, meets a fault; a delay holds back those behind it, too."""

    def __init__(self, frames: Frames, fault: Fault, at: int, turned: tuple[int, int] = (0, 0)) -> None:
        self.frames, self.fault, self.at, self.turned = frames, fault, at, turned
        self.count, self.cut = 0, False
        self.time = frames.time
        self.going: deque[tuple[float, Frame]] = deque()
        self.coming: deque[tuple[float, Frame]] = deque()

    def _met(self, frame: Frame, line: deque[tuple[float, Frame]]) -> None:
        """Puts a frame in line, as often and as late as the fault wants it."""
        self.count += 1
        hit = self.fault if self.count == self.at else Fault.NONE
        due = max(self.time.seconds(), line[-1][0] if line else 0.0)
        if hit is Fault.CUT:
            self.cut = True
        self._alive()
        if self.fault is Fault.SILENT and self.count >= self.at:
            return
        if hit is Fault.CORRUPTED:
            frame = Frame(frame.can_id, _turned(frame.data, *self.turned), frame.wide, frame.at_s)
        if hit is Fault.DELAYED:
            due += DELAY * P2_S
        line.extend([(due, frame)] * {Fault.LOST: 0, Fault.DOUBLED: 2}.get(hit, 1))

    def _alive(self) -> None:
        if self.cut:
            raise LinkLost("the link was cut")

    def _go(self) -> None:
        while self.going and self.going[0][0] <= self.time.seconds():
            self.frames.send(self.going.popleft()[1])

    def send(self, frame: Frame) -> None:
        self._alive()
        self._met(frame, self.going)
        self._go()

    def receive(self, timeout_s: float) -> Frame | None:
        self._alive()
        self._go()
        held = self.going or self.coming
        frame = None if self._due() else self.frames.receive(min(timeout_s, 0.005) if held else timeout_s)
        if frame is not None:
            self._met(frame, self.coming)
        return self.coming.popleft()[1] if self._due() else None

    def _due(self) -> bool:
        return bool(self.coming) and self.coming[0][0] <= self.time.seconds()

    def settle(self) -> None:
        """Whatever was put off arrives now."""
        while self.going and not self.cut:
            self.frames.send(self.going.popleft()[1])

    def listen_to(self, answer: int, *, wide: bool) -> None:
        self.frames.listen_to(answer, wide=wide)

    def supply_v(self) -> float | None:
        return None

    def close(self) -> None:
        self.frames.close()


def _turned(data: bytes, byte: int, bit: int) -> bytes:
    byte = min(byte, len(data) - 1)
    return data[:byte] + bytes([data[byte] ^ 1 << bit]) + data[byte + 1 :]


@dataclass
class Came:
    """What came of one case."""

    case: str
    car: PracticeCar
    taught: Taught | None = None
    error: str = ""
    took_s: float = 0.0
    told: list[Exchange] = field(default_factory=list)

    @property
    def held(self) -> bytes:
        return bytes_of(self.car.unit.teaching.lists[1])

    @property
    def counts(self) -> bool:
        return 1 in self.car.unit.teaching.counting

    @property
    def wrote(self) -> bool:
        return any(one.request[0] in WRITES for one in self.told)

    @property
    def outcome(self) -> str:
        return self.error or (self.taught.outcome.name if self.taught else "nothing")


@contextmanager
def to_teach(frames: Frames, told: Callable[[Exchange], None] | None = None, p2_s: float = P2_S) -> Iterator[Talk]:
    """A conversation that may teach; a short wait holds in all layers."""
    talk = Talk(frames, CARD.unit, Permit.TEACH, CARD.routines, CARD.written, None, told, p2_s=p2_s)
    assert isinstance(talk._wire, Segments)
    for wait in ("rx_consecutive_frame_timeout", "rx_flowcontrol_timeout"):
        talk._wire.layer.params.set(wait, round(1000 * p2_s))
    with talk:
        yield talk


@contextmanager
def through_adapter(car: PracticeCar, close_at: int = 0) -> Iterator[Counted]:
    """A link to a car behind an adapter that is cut after so many bytes."""
    with serve_tcp(car, AdapterHabits(close_at=close_at)) as (host, port), ExitStack() as end:
        frames = Counted(f"socket://{host}:{port}", RUNNING)
        end.callback(frames.close)
        yield frames


class Counted(AtFrames):
    """Counts what the adapter sends."""

    came = 0

    def _read(self) -> bytes:
        data = super()._read()
        self.came += len(data)
        return data


def taught(desk: Desk, came: Came, frames: Frames, p2_s: float = P2_S) -> None:
    """One whole teaching: the list is read, a draft is made, and written, all of it kept."""
    start = frames.time.seconds()
    try:
        with to_teach(frames, came.told.append, p2_s) as talk:
            drafted_ = drafted(talk, ROW, WANTED)
            came.taught = teach(Visit(desk, came.case), talk, CARD, drafted_)
    except (Outside, BadRequest) as error:
        came.error = type(error).__name__
    came.took_s = frames.time.seconds() - start


def last_kept(desk: Desk, came: Came) -> KeptTeaching | None:
    return last_teaching(records(desk, came.case))


def settled(frames: Frames) -> None:
    if isinstance(frames, Faulty):
        frames.settle()
    else:
        time.sleep(0.03)


def untrue(desk: Desk, came: Came, p2_s: float, slack_s: float = SLACK_S) -> list[str]:
    """What is wrong with what was said, kept, or how long it took."""
    end, known = came.taught, last_kept(desk, came)
    holds = end.holds if end else None
    checks: dict[str, bool] = {
        "too long": came.took_s <= LONGEST_S,
        "a request too long": all(one.took_s <= 2 * p2_s + slack_s for one in came.told),
        "wrote, and the old list is not in the book": not came.wrote or (known is not None and known.old == OLD),
        "an error after writing": end is not None or not came.wrote,
        "an error, and the old list is gone": end is not None or (came.held == OLD and came.counts),
    }
    if end is not None:
        checks |= {
            "the book has another end": known is not None and known.ended == end.outcome.value,
            "the statement has another content": (holds is None) == (end.outcome is Outcome.NOT_KNOWN),
            "holds something else": holds is None or holds == came.held,
            "a content is named that nobody read": holds is not None or OLD.hex(" ").upper() not in end.statement,
        }
        checks |= {
            Outcome.DONE: {"not the new list": came.held == NEW, "the new list does not count": came.counts},
            Outcome.AS_BEFORE: {"not the old list": came.held == OLD, "the old list does not count": came.counts},
            Outcome.OTHERWISE: {"the old or the new list": came.held not in (OLD, NEW)},
            Outcome.NOT_CONFIRMED: {"not the old list": came.held == OLD},
            Outcome.NEW_NOT_CONFIRMED: {"not the new list": came.held == NEW},
        }.get(end.outcome, {})
    return [f"{came.case}: {what} ({came.outcome})" for what, right in checks.items() if not right]


def not_back(desk: Desk, came: Came, frames: Frames) -> list[str]:
    """What is wrong with undoing, once the fault is gone; there must be nothing to undo where the book says that nothing was begun."""
    known = last_kept(desk, came)
    assert known is not None
    with to_teach(frames) as talk:
        if not known.touched:
            with pytest.raises(BadRequest, match="nothing to undo"):
                undo(Visit(desk, came.case), talk, CARD, known)
            said = came.taught is None or "Nothing was written" in came.taught.statement
            return [] if (came.held, came.counts, said) == (OLD, True, True) else [f"{came.case}: it was touched"]
        end = undo(Visit(desk, came.case), talk, CARD, known)
    right = end.outcome is Outcome.AS_BEFORE and came.held == OLD and came.counts
    return [] if right else [f"{came.case}: not undone: {end.outcome.name}, {end.trouble}"]


def to_undo(came: Came) -> bool:
    return came.wrote and (came.taught is None or came.taught.outcome not in (Outcome.DONE, Outcome.AS_BEFORE))


def bus_case(
    desk: Desk, fault: Fault, at: int, turned: tuple[int, int] = (0, 0), habits: Habits | None = None
) -> tuple[Came, list[str], int]:
    came = Came(f"{fault} {at} {turned} {habits}", practice_car(habits))
    frames = to_car(came.car)
    faulty = Faulty(frames, fault, at, turned)
    taught(desk, came, faulty)
    settled(faulty)
    sending_s = habits.waits * habits.wait_s * 2 if habits else 0.0
    wrong = untrue(desk, came, P2_S, SLACK_S + sending_s)
    if to_undo(came):
        came.car.unit.teaching._habits = Habits()
        wrong += not_back(desk, came, frames)
    return came, wrong, faulty.count


def adapter_case(desk: Desk, close_at: int) -> tuple[Came, list[str], tuple[int, int]]:
    came, set_up, total = Came(f"adapter {close_at}", practice_car()), 0, 0
    with ExitStack() as end:
        try:
            frames = end.enter_context(through_adapter(came.car, close_at))
        except LinkLost as error:
            came.error = type(error).__name__
        else:
            set_up = frames.came
            taught(desk, came, frames, ADAPTER_P2_S)
            total = frames.came
            settled(frames)
    wrong = untrue(desk, came, ADAPTER_P2_S)
    if to_undo(came):
        with through_adapter(came.car) as frames:
            wrong += not_back(desk, came, frames)
    return came, wrong, (set_up, total)


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Desk]:
    made = new_desk(str(tmp_path / "campaign.book"), tmp_path / "photos")
    yield made
    made.close()


def told(name: str, came: Iterable[Came], capfd: pytest.CaptureFixture[str]) -> Counter[str]:
    """Prints how often each end came, and the longest."""
    came = list(came)
    counts = Counter(one.outcome for one in came)
    undone, longest = sum(map(to_undo, came)), max(one.took_s for one in came)
    with capfd.disabled():
        sys.stdout.write(f"\n{name}: {len(came)} cases, {dict(counts)}, {undone} undone, longest {longest:.2f} s\n")
    return counts


def frames_of_one(desk: Desk) -> int:
    came, wrong, frames = bus_case(desk, Fault.NONE, 0)
    assert (came.outcome, wrong) == ("DONE", [])
    return frames


@pytest.mark.parametrize(
    ("fault", "turned", "least"),
    [
        (Fault.LOST, BITS[:1], {"DONE": 8, "AS_BEFORE": 3}),
        (Fault.DOUBLED, BITS[:1], {"DONE": 20}),
        (Fault.DELAYED, BITS[:1], {"DONE": 8}),
        (Fault.CORRUPTED, BITS, {"DONE": 30, "AS_BEFORE": 20, "BadRequest": 3}),
        (Fault.CUT, BITS[:1], {"NOT_KNOWN": 15, "LinkLost": 8}),
        (Fault.SILENT, BITS[:1], {"NOT_KNOWN": 15, "NoAnswer": 8}),
    ],
)
def test_what_is_said_of_the_car_is_true_whichever_frame_meets_a_fault(
    kept: Desk,
    fault: Fault,
    turned: tuple[tuple[int, int], ...],
    least: dict[str, int],
    capfd: pytest.CaptureFixture[str],
) -> None:
    frames = frames_of_one(kept)
    assert frames >= 28
    cases = [(at, one) for at in range(1, frames + 1) for one in turned]
    done = [bus_case(kept, fault, *case) for case in cases]
    counts = told(f"{fault}", (one for one, _, _ in done), capfd)
    assert [line for _, wrong, _ in done for line in wrong] == []
    assert not {end: counts[end] for end, fewest in least.items() if counts[end] < fewest}


@pytest.mark.parametrize(
    ("habits", "end"),
    [
        (Habits(write_wrong=True), "OTHERWISE"),
        (Habits(refuse_write=True), "OTHERWISE"),
        (Habits(break_off_at=4), "NOT_CONFIRMED"),
    ],
    ids=["writes wrong", "refuses", "breaks off"],
)
def test_what_is_said_of_the_car_is_true_where_undoing_fails_and_a_frame_meets_a_fault(
    kept: Desk, habits: Habits, end: str, capfd: pytest.CaptureFixture[str]
) -> None:
    came, wrong, frames = bus_case(kept, Fault.NONE, 0, habits=habits)
    assert (came.outcome, wrong) == (end, [])
    assert frames > 60
    faults = (Fault.LOST, Fault.CUT)
    cases = [(faults[at % 2], at) for at in range(12, frames + 1, 3)]
    done = [bus_case(kept, case[0], case[1], habits=habits) for case in cases]
    counts = told("undoing fails", (one for one, _, _ in done), capfd)
    assert [line for _, wrong, _ in done for line in wrong] == []
    assert counts[end] >= 3
    assert counts["NOT_KNOWN"] >= 3


@pytest.mark.parametrize("fault", [Fault.LOST, Fault.DELAYED, Fault.CUT])
def test_what_is_said_of_the_car_is_true_with_slow_flow_control_whichever_frame_meets_a_fault(
    kept: Desk, fault: Fault, capfd: pytest.CaptureFixture[str]
) -> None:
    """ISO 15765-2: the unit lets each frame go by itself, and says wait twice for half a second before it does."""
    habits = Habits(block_size=1, waits=2, wait_s=0.5)
    came, wrong, frames = bus_case(kept, Fault.NONE, 0, habits=habits)
    assert (came.outcome, wrong) == ("DONE", [])
    assert frames >= 30
    done = [bus_case(kept, fault, at, habits=habits) for at in range(1, frames + 1)]
    counts = told(f"slow flow control, {fault}", (one for one, _, _ in done), capfd)
    assert [line for _, wrong, _ in done for line in wrong] == []
    assert counts["DONE" if fault is not Fault.CUT else "NOT_KNOWN"] >= 8


def test_what_is_said_of_the_car_is_true_wherever_the_link_to_an_adapter_is_cut(
    kept: Desk, capfd: pytest.CaptureFixture[str]
) -> None:
    came, wrong, (set_up, total) = adapter_case(kept, 0)
    assert (came.outcome, wrong) == ("DONE", [])
    assert total - set_up > 300
    with ThreadPoolExecutor(ADAPTERS_AT_ONCE) as pool:
        done = list(pool.map(lambda at: adapter_case(kept, at), range(set_up, total, STRIDE)))
    counts = told(f"adapter, bytes {set_up} to {total} by {STRIDE}", (one for one, _, _ in done), capfd)
    assert [line for _, wrong, _ in done for line in wrong] == []
    assert counts["NOT_KNOWN"] >= 20
    assert counts["LinkLost"] >= 20


class Full(Outside):
    """No room is left on the disk."""


@pytest.mark.parametrize("stage", [Stage.SAVED, Stage.SESSION])
def test_nothing_but_reads_is_sent_while_nothing_can_be_kept(stage: Stage) -> None:
    def keep(reached: Stage, data: str) -> None:
        if reached is stage:
            raise Full(f"no room for {reached} with {len(data)} digits")

    came = Came(f"full at {stage}", practice_car())
    with to_teach(to_car(came.car), came.told.append) as talk:
        drafted_ = drafted(talk, ROW, WANTED)
        with pytest.raises(Full):
            carry_out(talk, keep, Goal(Intent.NEW, ROW, drafted_.old.raw, drafted_.new))
    assert {one.request[0] for one in came.told} == {0x22}
    assert (came.held, came.counts) == (OLD, True)


def test_nothing_but_reads_is_sent_while_the_book_can_not_be_written(
    kept: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise Full("no room")

    came = Came("full book", practice_car())
    with to_teach(to_car(came.car), came.told.append) as talk:
        drafted_ = drafted(talk, ROW, WANTED)
        monkeypatch.setattr("wheelside.jobs.car.visit.add_record", full)
        with pytest.raises(Full):
            teach(Visit(kept, came.case), talk, CARD, drafted_)
    assert {one.request[0] for one in came.told} == {0x22}
    assert (came.held, came.counts) == (OLD, True)
    assert last_kept(kept, came) is None


@pytest.mark.parametrize("stage", [Stage.BEGUN, Stage.WRITTEN, Stage.FINISHED, Stage.READ_BACK, Stage.ENDED])
def test_a_disk_that_is_full_in_the_middle_leaves_no_list_half_written(
    kept: Desk, stage: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = Visit.keep

    def keep(self: Visit, what: str, **body: object) -> None:
        if body.get("stage") == stage.value:
            raise Full(f"no room for {stage}")
        plain(self, what, **body)

    came = Came(f"full at {stage}", practice_car())
    frames = to_car(came.car)
    with monkeypatch.context() as patch:
        patch.setattr(Visit, "keep", keep)
        taught(kept, came, frames)
    if came.taught is None:
        assert (stage, came.outcome, came.held, came.counts) == (Stage.BEGUN, "Full", OLD, True)
    else:
        assert (came.outcome, came.held, came.counts) == ("DONE", NEW, True)
        assert any(one.stage is stage for one in came.taught.trouble)
    known = last_kept(kept, came)
    assert known is not None
    assert known.old == OLD
    assert not_back(kept, came, frames) == []
