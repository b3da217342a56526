"""A unit of another hand, told by itself from the services of ISO 14229-1, with every fault at every step of teaching, finishing and undoing.

Held against what the unit really holds: what is said is true, the book says the same, a list that the book takes for settled counts, and
once the fault is gone there is a way to an end. Two kinds of unit are left out, for no question can find them out: one that says 'done' of
an earlier teaching after it has begun a new one, and one that goes on storing after it has refused to end.
"""

from __future__ import annotations

import copy
import itertools
import random
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, cast

import pytest

from books import NOON
from stepped import Clock
from wheelside.book.cars import CarRecord
from wheelside.car.address import UnitAddress
from wheelside.car.card import IdList, Layout, PortCard
from wheelside.car.drive import Hurry
from wheelside.car.frames import LinkLost, NoAnswer, PutOff, Stopped, Time
from wheelside.car.negative import Refused
from wheelside.car.permit import Permit, check
from wheelside.car.talk import EXCHANGE_S, READ_TRIES, WaitLimit
from wheelside.car.talk import Talk as RealTalk
from wheelside.car.taught import Outcome, Taught
from wheelside.errors import BadRequest, Outside
from wheelside.jobs.car.teach import drafted, teach
from wheelside.jobs.car.visit import Visit as RealVisit
from wheelside.jobs.car.visit import way_back
from wheelside.jobs.car.ways_back import finish_teaching, undo
from wheelside.sensor.ident import SensorId
from wheelside.units.moment import Moment

PLACES = ("front left", "front right", "rear right", "rear left")
EMPTY = b"\xff" * 16
OLD = b"".join(bytes([1 + i]) * 4 for i in range(4))
NEW = b"".join(bytes([0x11 + i]) * 4 for i in range(4))
WANTED: dict[str, SensorId | None] = {
    place: SensorId("", 32, int.from_bytes(NEW[4 * i : 4 * i + 4], "big")) for i, place in enumerate(PLACES)
}
CODES = (0x10, 0x21, 0x22, 0x24, 0x25, 0x31, 0x33, 0x72, 0x7E, 0x7F, 0x93)
STEPS = ("extended", "begin", "write", "finish", "result", "list", "default", "serial")
CASES = 6_000
MOST_S = 60.0
"""No more passes from when a unit begins to put off its answers to the last statement, once anything was begun."""
FAULT_FREE = 87
"""So many kinds of unit and card there are."""


class Killed(BaseException):
    """The program ends here."""


@dataclass(frozen=True)
class Fault:
    """What happens to a step, and how often: 99 is for ever. `acted`: the unit does it all the same."""

    step: str
    kind: str
    times: int = 1
    code: int = 0
    acted: bool = False


NO_FAULT = Fault("none", "none")


@dataclass
class Unit:
    """A control unit with one list. `keeps`: leaving the session does not end a teaching. `again`: what it answers to a second begin."""

    row: IdList
    empties: bool
    late: bool
    keeps: bool
    again: int
    held: bytes = OLD
    counts: bool = True
    session: int = 1
    begun: bool = False
    written: bytes | None = None
    result: int = 0
    fault: Fault = NO_FAULT
    met: int = 0
    gone: bool = False
    sent: list[str] = field(default_factory=list)

    def leave(self) -> None:
        self.session = 1
        if self.begun and not self.keeps:
            self.begun, self.written, self.result = False, None, 3

    def restart(self) -> None:
        self.session = 1
        if not self.keeps:
            self.begun, self.written, self.result = False, None, 0

    def step(self, request: bytes) -> str:
        known = {
            b"\x10\x03": "extended",
            b"\x10\x01": "default",
            self.row.begin: "begin",
            self.row.finish: "finish",
            self.row.result: "result",
        }
        return known.get(request) or {0x2E: "write", 0x22: "list" if request[1] == 0x21 else "serial"}[request[0]]

    def act(self, request: bytes, step: str) -> bytes:
        if step in ("begin", "write", "finish"):
            self._want(self.session == 3, request, 0x7F)
        {"begin": self._begin, "write": self._write, "finish": self._finish}.get(step, self._other)(request)
        told = {"list": self.held, "serial": b"S1", "result": bytes([self.result])}.get(step, b"")
        return bytes([request[0] + 0x40]) + request[1:] + told

    def _want(self, right: bool, request: bytes, code: int) -> None:
        if not right:
            raise Refused(request[0], code)

    def _other(self, request: bytes) -> None:
        if request == b"\x10\x03":
            self.session = 3
        elif request == b"\x10\x01":
            self.leave()

    def _begin(self, request: bytes) -> None:
        self._want(not (self.begun and self.again), request, self.again)
        self.begun, self.written, self.result = True, None, 1
        if self.empties:
            self.held, self.counts = EMPTY, False

    def _write(self, request: bytes) -> None:
        self._want(not self.row.begin or self.begun, request, 0x22)
        self.written = request[3:]
        if not (self.late and self.row.finish):
            self.held, self.counts = request[3:], False
        if not self.row.finish:
            self._done()

    def _finish(self, request: bytes) -> None:
        self._want(self.written is not None and (self.begun or not self.row.begin), request, 0x24)
        self._done()

    def _done(self) -> None:
        self.held = self.written if self.written is not None else self.held
        self.counts, self.begun, self.written, self.result = True, False, None, 2


@dataclass
class Talk:
    """Asks the unit as a conversation does. Time passes only while it waits. A person says stop with the request numbered `stop_at`."""

    unit: Unit
    stop_at: int = 0
    times: int = 0
    hurry: Hurry = field(default_factory=Hurry)
    began_s: float | None = None
    permit: Permit = Permit.TEACH
    routines: frozenset[int] = frozenset((0x310,))
    lists: frozenset[int] = frozenset((0x2110,))
    clock: Clock = field(default_factory=Clock)

    @property
    def time(self) -> Time:
        return self.clock.time

    def ask(self, request: bytes, limit: WaitLimit | None = None) -> bytes:
        for left in reversed(range(READ_TRIES)):
            try:
                return self.once(request, limit)
            except (PutOff, Stopped):
                raise
            except NoAnswer:
                if not left:
                    raise
            except Refused as error:
                if error.code != 0x21 or not left:
                    raise
        raise AssertionError

    def once(self, request: bytes, limit: WaitLimit | None = None) -> bytes:
        check(request, self.permit, self.routines, self.lists)
        unit, fault = self.unit, self.unit.fault
        limit = limit or WaitLimit(self.clock.now_s + EXCHANGE_S)
        if self.clock.now_s >= limit.until_s:
            raise NoAnswer("the time is over")
        step = unit.step(request)
        unit.sent.append(step)
        if len(unit.sent) == self.stop_at:
            self.hurry.times = self.times
        if unit.gone:
            raise LinkLost("the link is gone")
        if step != fault.step or unit.met >= fault.times:
            return unit.act(request, step)
        unit.met += 1
        if fault.acted:
            unit.act(request, step)
        self._fails(request, fault, limit)
        self.clock.wait(1.0)
        raise NoAnswer("no answer")

    def _fails(self, request: bytes, fault: Fault, limit: WaitLimit) -> None:
        """What a fault does beyond that no answer comes."""
        if fault.kind == "refused":
            raise Refused(request[0], fault.code)
        if fault.kind == "killed":
            raise Killed
        if fault.kind == "put off":
            self._put_off(limit)
        if fault.kind == "link":
            self.unit.gone = True
            raise LinkLost("the link is gone")
        if fault.kind == "restart":
            self.unit.restart()

    def _put_off(self, limit: WaitLimit) -> None:
        """The unit begins its answer anew for as long as it is waited for."""
        self.began_s = self.clock.now_s if self.began_s is None else self.began_s
        if limit.stopped():
            raise Stopped("not waited for")
        self.clock.wait(min(EXCHANGE_S, limit.until_s - self.clock.now_s))
        raise PutOff("put off")


@dataclass
class Book:
    """What is kept of the car, in memory."""

    rows: list[CarRecord] = field(default_factory=list)
    car: str = "estate"
    minute: int = 0

    @property
    def desk(self) -> Book:
        return self

    @property
    def conn(self) -> Book:
        return self

    def clock(self) -> Moment:
        self.minute += 2
        return Moment(NOON.us + self.minute * 60_000_000, 0)

    @contextmanager
    def writing(self, _what: str) -> Iterator[Book]:
        yield self

    def add(self, _writing: object, what: str, **body: Any) -> int:
        self.rows.append(CarRecord(len(self.rows) + 1, self.car, "visit", self.clock(), what, body))
        return len(self.rows)

    @contextmanager
    def alone(self, _work: object) -> Iterator[None]:
        yield

    def keep(self, what: str, **body: Any) -> int:
        return self.add(None, what, **body)


def units() -> Iterator[Unit]:
    layout = Layout(PLACES, 4, True, b"\xff" * 4)
    for begin, finish, result in ((1, 1, 1), (1, 1, 0), (1, 0, 1), (1, 0, 0), (0, 1, 1), (0, 0, 0)):
        row = IdList(
            0x2110, "set 1", layout, b"\x31\x01\x03\x10\x01" if begin else None, b"\x31\x02\x03\x10" if finish else None,
            b"\x31\x03\x03\x10" if result else None, b"\x02" if result else None, True, True, None,
        )  # fmt: skip
        for empties, late, (keeps, again) in itertools.product(
            (True, False) if begin else (False,),
            (True, False) if finish else (False,),
            ((False, 0), (False, 0x22), (False, 0x24), (True, 0), (True, 0x22), (True, 0x24), (True, 0x7E))
            if begin
            else ((False, 0),),
        ):
            yield Unit(row, empties, late, keeps, again)


def faults() -> Iterator[Fault]:
    for step, times in itertools.product(STEPS, (1, 2, 3, 99)):
        for acted in (False, True):
            yield Fault(step, "unanswered", times, acted=acted)
            yield Fault(step, "restart", times, acted=acted)
            yield Fault(step, "link", times, acted=acted)
            yield Fault(step, "put off", times, acted=acted)
        yield from (Fault(step, "refused", times, code) for code in CODES)
    for step, code in itertools.product(("begin", "write", "finish"), (0x10, 0x22, 0x72, 0x93)):
        yield Fault(step, "refused", 1, code, acted=True)


def card(unit: Unit) -> PortCard:
    return PortCard("card", "card", UnitAddress(0x6A3, 0x6AB), lists=(unit.row,), values=())


def go(way: str, unit: Unit, book: Book, ours: Talk | None = None) -> Taught:
    ours = ours or Talk(unit)
    talk, visit = cast("RealTalk", ours), cast("RealVisit", book)
    if way == "teach":
        return teach(visit, talk, card(unit), drafted(talk, unit.row, WANTED), ours.hurry)
    last = way_back(tuple(book.rows))
    assert last is not None
    return {"finish": finish_teaching, "undo": undo}[way](visit, talk, card(unit), last, hurry=ours.hurry)


def copied(unit: Unit, book: Book) -> tuple[Unit, Book]:
    """The same unit and book, the fault gone, the session left."""
    other = copy.copy(unit)
    other.fault, other.gone, other.met, other.sent = NO_FAULT, False, 0, []
    other.leave()
    return other, Book(list(book.rows), minute=book.minute)


def wrong(unit: Unit, book: Book, taught: Taught | None) -> Iterator[str]:
    """What is not as it was said."""
    last = way_back(tuple(book.rows))
    if taught is not None:
        held, counts = unit.held, unit.counts
        true = {
            Outcome.DONE: held == NEW and counts, Outcome.AS_BEFORE: held == OLD and counts, Outcome.NOT_CONFIRMED: held == OLD,
            Outcome.NEW_NOT_CONFIRMED: held == NEW, Outcome.OTHERWISE: held not in (OLD, NEW), Outcome.NOT_KNOWN: True,
        }[taught.outcome]  # fmt: skip
        if not true:
            yield f"said {taught.outcome.name}"
        if taught.holds not in (None, unit.held):
            yield "said another list"
        if not taught.touched and {"begin", "write"} & set(unit.sent):
            yield "said that nothing was written"
        if last is None or last.ended != taught.outcome.value:
            yield "the book says something else"
    if last is None:
        return
    if last.touched and last.settled and not (unit.counts and unit.held in (OLD, NEW)):
        yield "the book takes a list for settled that does not count"
    if last.old != OLD:
        yield "the old list is not in the book"
    if not last.settled and not any(led_to_an_end(way, unit, book) for way in ("finish", "undo")):
        yield "there is no way to an end"


def led_to_an_end(way: str, unit: Unit, book: Book) -> bool:
    unit, book = copied(unit, book)
    for _ in range(2):
        try:
            go(way, unit, book)
        except (Outside, BadRequest):
            return False
        last = way_back(tuple(book.rows))
        if last is not None and last.settled:
            return unit.counts and unit.held in (OLD, NEW)
    return False


def tried(way: str, unit: Unit, book: Book, fault: Fault, stop_at: int = 0, times: int = 0) -> tuple[str, list[str]]:
    unit.fault = fault
    taught, talk = None, Talk(unit, stop_at, times)
    try:
        taught = go(way, unit, book, talk)
    except (Outside, BadRequest) as error:
        outcome = type(error).__name__
    else:
        outcome = taught.outcome.name
    found = list(wrong(unit, book, taught))
    if talk.began_s is not None and taught is not None and talk.clock.now_s - talk.began_s > MOST_S:
        found.append(f"took {talk.clock.now_s - talk.began_s:.0f} s")
    return outcome, [f"{way}: {what}; {unit}; sent {' '.join(unit.sent)}; stop {stop_at} {times}" for what in found]


def killed(unit: Unit, step: str, *, acted: bool) -> Book | None:
    """What the book has of a teaching in which the program was killed at a step; None where it did not come to anything that can be undone."""
    book, unit.fault = Book(), Fault(step, "killed", acted=acted)
    try:
        go("teach", unit, book)
    except Killed:
        last = way_back(tuple(book.rows))
        return book if last is not None and last.touched else None
    return None


@pytest.fixture(autouse=True)
def in_memory_and_without_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wheelside.jobs.car.teach.records_of", lambda book, _car: tuple(book.rows))


def test_without_a_fault_every_unit_gets_its_new_list() -> None:
    every = list(units())
    assert len(every) == FAULT_FREE
    for unit in every:
        assert tried("teach", unit, Book(), NO_FAULT) == ("DONE", [])


@pytest.mark.parametrize("way", ["teach", "finish", "undo"])
def test_what_is_said_is_true_whatever_a_unit_does_at_whichever_step(
    way: str, capfd: pytest.CaptureFixture[str]
) -> None:
    dice = random.Random(way)
    every, kinds = list(units()), list(faults())
    ends: Counter[str] = Counter()
    lines: list[str] = []
    while sum(ends.values()) < CASES:
        unit, fault = copy.copy(dice.choice(every)), dice.choice(kinds)
        unit.sent = []
        book: Book | None = Book()
        if way != "teach":
            book = killed(unit, dice.choice(STEPS[:6]), acted=dice.random() < 0.5)
            if book is None:
                continue
            unit, book = copied(unit, book)
        assert book is not None
        end, found = tried(way, unit, book, fault)
        ends[end] += 1
        lines += found
    with capfd.disabled():
        sys.stdout.write(f"\n{way}: {CASES} cases, {dict(ends)}\n")
    assert lines[:20] == []
    assert ends["DONE"] > CASES // 10 or way == "undo"
    assert ends["AS_BEFORE"] > CASES // 50


@pytest.mark.parametrize("times", [1, 2])
@pytest.mark.parametrize("way", ["teach", "finish", "undo"])
def test_what_is_said_is_true_whenever_a_person_says_stop(
    way: str, times: int, capfd: pytest.CaptureFixture[str]
) -> None:
    """With every second case a unit without a fault: then the old or the new list counts in the end."""
    dice = random.Random(f"{way} {times}")
    every, kinds = list(units()), list(faults())
    ends: Counter[str] = Counter()
    lines: list[str] = []
    while sum(ends.values()) < CASES // 3:
        unit, fault = copy.copy(dice.choice(every)), dice.choice((NO_FAULT, dice.choice(kinds)))
        unit.sent = []
        book: Book | None = Book()
        if way != "teach":
            book = killed(unit, dice.choice(STEPS[:6]), acted=dice.random() < 0.5)
            if book is None:
                continue
            unit, book = copied(unit, book)
        assert book is not None
        end, found = tried(way, unit, book, fault, dice.randint(1, 14), times)
        ends[end] += 1
        lines += found
        if fault is NO_FAULT and end not in ("DONE", "AS_BEFORE", "Stopped", "NoAnswer"):
            lines.append(f"{end}: {unit}; sent {' '.join(unit.sent)}")
    with capfd.disabled():
        sys.stdout.write(f"\n{way}, stop said {times}: {CASES // 3} cases, {dict(ends)}\n")
    assert lines[:20] == []
    assert ends["AS_BEFORE"] > CASES // 60
