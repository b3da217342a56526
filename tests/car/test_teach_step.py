"""From an event to the next thing to do, row by row: the frozen progress and the pure step of a teaching.

Requests are those of ISO 14229-1 (10 session, 2E write, 31 routine, 22 read); what follows what is worked out by hand from docs/car.md.
"""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace
from typing import Any

import pytest

from wheelside.car.card import IdList, Layout
from wheelside.car.frames import LinkLost, NoAnswer, PutOff
from wheelside.car.negative import Refused
from wheelside.car.taught import Outcome, Stage, Trouble, What
from wheelside.car.teach import RESULT_TRIES, UNDO_TRIES, start, step
from wheelside.car.teaching import (
    BACK_S,
    FORWARD_S,
    STOP_S,
    TAIL_S,
    Answered,
    Closed,
    End,
    Event,
    Failed,
    Goal,
    Intent,
    Keep,
    LastDone,
    Leg,
    Next,
    NotKept,
    Pause,
    Progress,
    Raise,
    Send,
    StageKept,
    Waited,
    begun,
)

PLACES = ("front left", "front right")
OLD, NEW, OTHER = b"\x01\x01\x02\x02", b"\x11\x11\x12\x12", b"\x21\x21\x22\x22"
BEGIN, FINISH, RESULT = b"\x31\x01\x03\x10", b"\x31\x02\x03\x10", b"\x31\x03\x03\x10"
ROW = IdList(0x2110, "set 1", Layout(PLACES, 2, True, b"\xff\xff"), BEGIN, FINISH, RESULT, b"\x02", writable=True)
BARE = replace(ROW, begin=None, finish=None, result=None, done=None)
GOAL = Goal(Intent.NEW, ROW, OLD, NEW)
NOW_S = 100.0
EXTENDED, DEFAULT, READ = b"\x10\x03", b"\x10\x01", b"\x22\x21\x10"
WRITE_NEW, WRITE_OLD = b"\x2e\x21\x10" + NEW, b"\x2e\x21\x10" + OLD

SILENT, GONE = NoAnswer("no answer"), LinkLost("unplugged")
OK, BUSY, NO, ACTED = (
    Answered(b"\x50\x03"),
    Failed(Refused(0x31, 0x21)),
    Failed(Refused(0x31, 0x22)),
    Failed(Refused(0x31, 0x72)),
)
DONE, NOT_DONE = Answered(b"\x71\x03\x03\x10\x02"), Answered(b"\x71\x03\x03\x10\x01")


def holds(data: bytes) -> Answered:
    return Answered(b"\x62\x21\x10" + data)


def told(todo: Next) -> str:
    """The next thing to do in a few words: stages and pauses in front of what follows them."""
    if isinstance(todo, Keep):
        return f"{todo.stage} > {told(todo.then)}"
    if isinstance(todo, Pause):
        return f"{todo.seconds:g} s > {told(todo.then)}"
    if isinstance(todo, Send):
        names = {
            EXTENDED: "extended", DEFAULT: "default", READ: "read", BEGIN: "begin", FINISH: "finish", RESULT: "result", WRITE_NEW: "new",
            WRITE_OLD: "old",
        }  # fmt: skip
        return names[todo.request] + (" once" if todo.once else "")
    return "end" if isinstance(todo, End) else type(todo.error).__name__


def at(doing: LastDone, part: Leg = Leg.FORWARD, **other: Any) -> Progress:
    """A teaching under way; what was sent may have been acted on, unless it is said otherwise."""
    return replace(begun(GOAL, NOW_S), part=part, doing=doing, **{"acted": True, **other})


BACK = Leg.BACK
LAST_TRY = UNDO_TRIES - 1
FORWARD_ROWS: list[tuple[Progress, Event, str]] = [
    (at(LastDone.CHECK, Leg.LOOK, acted=False), holds(OLD), "session > extended"),
    (at(LastDone.CHECK, Leg.LOOK, acted=False), holds(OTHER), "BadRequest"),
    (at(LastDone.CHECK, Leg.LOOK, acted=False), Failed(SILENT), "NoAnswer"),
    (at(LastDone.CHECK, Leg.LOOK, acted=False), Answered(b"\x62\x21\x10\x01"), "BadAnswer"),
    (at(LastDone.CHECK, Leg.LOOK, acted=False), Failed(GONE), "LinkLost"),
    (at(LastDone.SESSION, acted=False), OK, "begun > begin once"),
    (at(LastDone.SESSION, acted=False), NO, "read"),
    (at(LastDone.SESSION, acted=False), Failed(GONE), "default"),
    (at(LastDone.BEGIN), OK, "written > new once"),
    (at(LastDone.BEGIN), NO, "read"),
    (at(LastDone.BEGIN), ACTED, "undo > session > extended"),
    (at(LastDone.BEGIN), Failed(SILENT), "undo > session > extended"),
    (at(LastDone.BEGIN), BUSY, "read"),
    (at(LastDone.UNTOUCHED, acted=False), holds(OLD), "default"),
    (at(LastDone.UNTOUCHED, acted=False), holds(OTHER), "undo > session > extended"),
    (at(LastDone.UNTOUCHED, acted=False), Failed(SILENT), "default"),
    (at(LastDone.WRITE), OK, "finished > finish once"),
    (at(LastDone.WRITE), NO, "undo > session > extended"),
    (at(LastDone.WRITE), Failed(SILENT), "undo > session > extended"),
    (at(LastDone.FINISH), OK, "read-back > result"),
    (at(LastDone.FINISH), NO, "undo > session > extended"),
    (at(LastDone.FINISH), Failed(SILENT), "finish once"),
    (at(LastDone.FINISH_AGAIN), OK, "read-back > result"),
    (at(LastDone.FINISH_AGAIN), NO, "result"),
    (at(LastDone.RESULT, closed=Closed.ANSWERED), DONE, "read"),
    (at(LastDone.RESULT, closed=Closed.ANSWERED, left=1), NOT_DONE, "0.2 s > result"),
    (at(LastDone.RESULT, closed=Closed.ANSWERED), NOT_DONE, "undo > session > extended"),
    (at(LastDone.RESULT, closed=Closed.ANSWERED), Failed(SILENT), "undo > session > extended"),
    (at(LastDone.READ, unread=True), holds(NEW), "default"),
    (at(LastDone.READ, unread=True, left=1), holds(OTHER), "0.2 s > read"),
    (at(LastDone.READ, unread=True), holds(OTHER), "undo > session > extended"),
    (at(LastDone.READ, unread=True), Failed(SILENT), "default"),
    (at(LastDone.READ, unread=True, left=1), Failed(PutOff("later")), "read"),
    (at(LastDone.LEAVE, Leg.END), Failed(SILENT), "ended > end"),
]
BACK_ROWS: list[tuple[Progress, Event, str]] = [
    (at(LastDone.SESSION, BACK), OK, "begun > begin once"),
    (at(LastDone.SESSION, BACK), NO, "1 s > session > default"),
    (at(LastDone.SESSION, BACK, tried=1), NO, "2 s > session > default"),
    (at(LastDone.SESSION, BACK, tried=LAST_TRY), NO, "result"),
    (at(LastDone.LEFT, BACK, tried=1), NO, "extended"),
    (at(LastDone.LEFT, BACK, tried=1), OK, "extended"),
    (at(LastDone.BEGIN, BACK, left=2), BUSY, "0.2 s > begin once"),
    (at(LastDone.BEGIN, BACK, left=1), Failed(SILENT), "begin once"),
    (at(LastDone.BEGIN, BACK), Failed(SILENT), "1 s > session > default"),
    (at(LastDone.BEGIN, BACK), Failed(Refused(0x31, 0x24)), "written > old"),
    (at(LastDone.BEGIN, BACK, tried=LAST_TRY), Failed(SILENT), "written > old"),
    (at(LastDone.BEGIN, BACK, tried=LAST_TRY, acted_before=False), NO, "read"),
    (at(LastDone.BEGIN, BACK, tried=LAST_TRY, acted_before=True), NO, "written > old"),
    (at(LastDone.WRITE, BACK), OK, "finished > finish once"),
    (at(LastDone.WRITE, BACK), Failed(SILENT), "read"),
    (at(LastDone.WRITE, BACK), NO, "1 s > session > default"),
    (at(LastDone.WRITE_LOOK, BACK, why=SILENT), holds(OLD), "finished > finish once"),
    (at(LastDone.WRITE_LOOK, BACK, why=SILENT), holds(NEW), "1 s > session > default"),
    (at(LastDone.WRITE_LOOK, BACK, why=SILENT), NO, "1 s > session > default"),
    (at(LastDone.RESULT, BACK, closed=Closed.ANSWERED), DONE, "read"),
    (at(LastDone.READ, BACK, unread=True), holds(OLD), "default"),
    (at(LastDone.READ, BACK, unread=True, closed=Closed.ANSWERED), Failed(SILENT), "read"),
    (at(LastDone.READ, BACK), Failed(GONE), "default"),
    (at(LastDone.LAST_RESULT, BACK, left=RESULT_TRIES), NOT_DONE, "0.2 s > result"),
    (at(LastDone.LAST_RESULT, BACK), NOT_DONE, "read"),
    (at(LastDone.LAST_RESULT, BACK), NO, "read"),
    (at(LastDone.LAST_READ, Leg.END), holds(OLD), "default"),
]
STOP_ROWS: list[tuple[Progress, Event, int, str]] = [
    (at(LastDone.CHECK, Leg.LOOK, acted=False), holds(OLD), 1, "default"),
    (at(LastDone.SESSION, acted=False), OK, 1, "read"),
    (at(LastDone.UNTOUCHED, acted=False), holds(OTHER), 1, "undo > session > extended"),
    (at(LastDone.UNTOUCHED, acted=False), holds(OTHER), 2, "undo > session > default"),
    (at(LastDone.BEGIN), OK, 1, "written > new once"),
    (at(LastDone.WRITE), OK, 1, "finished > finish once"),
    (at(LastDone.SESSION, acted=False), OK, 2, "read"),
    (at(LastDone.BEGIN), OK, 2, "undo > session > default"),
    (at(LastDone.BEGIN), NO, 2, "read"),
    (at(LastDone.WRITE), Failed(SILENT), 2, "undo > session > default"),
    (at(LastDone.RESULT, left=5), NOT_DONE, 2, "undo > session > default"),
    (at(LastDone.READ), holds(NEW), 2, "default"),
    (at(LastDone.BEGIN, BACK), OK, 2, "written > old"),
    (at(LastDone.SESSION, BACK), NO, 2, "session > default"),
    (at(LastDone.SESSION, BACK, tried=LAST_TRY), NO, 2, "result"),
    (at(LastDone.LAST_RESULT, BACK, left=5), NOT_DONE, 2, "read"),
]


def ids(rows: list[Any]) -> list[str]:
    return [f"{row[0].part} {row[0].doing} {n}" for n, row in enumerate(rows)]


@pytest.mark.parametrize(("progress", "event", "wanted"), FORWARD_ROWS, ids=ids(FORWARD_ROWS))
def test_on_the_way_forward(progress: Progress, event: Event, wanted: str) -> None:
    assert told(step(progress, event, NOW_S)[1]) == wanted


@pytest.mark.parametrize(("progress", "event", "wanted"), BACK_ROWS, ids=ids(BACK_ROWS))
def test_on_the_way_back(progress: Progress, event: Event, wanted: str) -> None:
    assert told(step(progress, event, NOW_S)[1]) == wanted


@pytest.mark.parametrize(("progress", "event", "times", "wanted"), STOP_ROWS, ids=ids(STOP_ROWS))
def test_where_a_person_says_stop(progress: Progress, event: Event, times: int, wanted: str) -> None:
    assert told(step(progress, event, NOW_S, times)[1]) == wanted


@pytest.mark.parametrize(
    ("goal", "wanted"),
    [
        (GOAL, "saved > read"),
        (replace(GOAL, way=Intent.FINISH), "saved > session > extended"),
        (replace(GOAL, way=Intent.FINISH, end_answered=True), "saved > result"),
        (replace(GOAL, way=Intent.PUT_BACK), "undo > session > extended"),
        (replace(GOAL, way=Intent.PUT_BACK, end_answered=True), "result"),
        (replace(GOAL, way=Intent.PUT_BACK, ended=Outcome.AS_BEFORE, end_answered=True), "read"),
        (replace(GOAL, way=Intent.PUT_BACK, ended=Outcome.DONE, end_answered=True), "undo > session > extended"),
        (replace(GOAL, way=Intent.FINISH, row=BARE, end_answered=True), "saved > read"),
    ],
)
def test_how_a_teaching_begins(goal: Goal, wanted: str) -> None:
    assert told(start(goal, NOW_S)[1]) == wanted


@pytest.mark.parametrize(
    ("found", "acted", "outcome"),
    [
        (OLD, True, Outcome.NOT_CONFIRMED), (NEW, True, Outcome.NEW_NOT_CONFIRMED), (OTHER, True, Outcome.OTHERWISE),
        (OLD, False, Outcome.AS_BEFORE),
    ],
)  # fmt: skip
def test_after_all_tries_the_end_is_what_is_in_the_car(found: bytes, acted: bool, outcome: Outcome) -> None:
    progress, _ = step(at(LastDone.LAST_READ, Leg.END, acted=acted), holds(found), NOW_S)
    assert (progress.outcome, progress.holds) == (outcome, found)


def test_a_list_with_no_routines_is_done_once_it_is_read_back() -> None:
    progress = replace(at(LastDone.SESSION, acted=False), goal=replace(GOAL, row=BARE))
    progress, todo = step(progress, OK, NOW_S)
    assert told(todo) == "written > new once"
    progress, todo = step(progress, StageKept(Stage.WRITTEN), NOW_S)
    assert (told(todo), progress.acted, progress.touched) == ("new once", True, True)
    progress, todo = step(progress, OK, NOW_S)
    assert told(todo) == "read-back > read"
    progress, _ = step(*_kept(progress, Stage.READ_BACK))
    progress, todo = step(progress, holds(NEW), NOW_S)
    assert (progress.outcome, told(todo)) == (Outcome.DONE, "default")


def _kept(progress: Progress, stage: Stage) -> tuple[Progress, Event, float]:
    return progress, StageKept(stage), NOW_S


def test_a_stage_is_kept_before_what_it_stands_for_and_only_then_may_the_unit_have_acted() -> None:
    progress, todo = step(at(LastDone.SESSION, acted=False), OK, NOW_S)
    assert (told(todo), progress.acted, progress.touched) == ("begun > begin once", False, False)
    progress, todo = step(progress, StageKept(Stage.BEGUN), NOW_S)
    assert (told(todo), progress.acted, progress.touched, progress.last) == ("begin once", True, True, Stage.BEGUN)
    progress, _ = step(progress, NO, NOW_S)
    assert not progress.acted


def test_a_book_that_keeps_no_more_does_not_stop_the_way_and_is_told() -> None:
    progress, todo = step(at(LastDone.WRITE, touched=True), OK, NOW_S)
    why = Trouble(What.NOT_KEPT, "full", stage=Stage.FINISHED)
    progress, todo = step(progress, NotKept(Stage.FINISHED, why), NOW_S)
    assert (told(todo), progress.trouble) == ("finish once", (why,))


def test_a_pause_is_followed_by_what_it_was_for() -> None:
    progress, todo = step(at(LastDone.SESSION, BACK), NO, NOW_S)
    assert isinstance(todo, Pause)
    progress, todo = step(progress, Waited(), NOW_S + todo.seconds)
    assert (told(todo), progress.tried) == ("session > default", 1)


def test_from_the_first_trouble_on_the_time_is_short_and_it_is_not_lengthened_by_the_next() -> None:
    progress, _ = step(at(LastDone.FINISH), Failed(SILENT), NOW_S + 10)
    assert progress.until_s == NOW_S + 10 + BACK_S
    progress, _ = step(progress, NO, NOW_S + 20)
    assert progress.until_s == NOW_S + 10 + BACK_S
    assert at(LastDone.FINISH).until_s == NOW_S + FORWARD_S


@pytest.mark.parametrize(
    ("progress", "event", "wanted"),
    [
        (at(LastDone.SESSION, BACK), NO, "read"),
        (at(LastDone.BEGIN, BACK, left=2), Failed(SILENT), "read"),
        (at(LastDone.RESULT, BACK, closed=Closed.ANSWERED, left=5), NOT_DONE, "read"),
        (at(LastDone.LAST_RESULT, BACK, left=5), NOT_DONE, "read"),
    ],
)
def test_when_the_time_is_over_what_is_in_the_car_is_read_and_told(
    progress: Progress, event: Event, wanted: str
) -> None:
    late = replace(progress, troubled=True, until_s=NOW_S)
    _, todo = step(late, event, NOW_S)
    assert told(todo) == wanted
    assert isinstance(todo, Send)
    assert todo.until_s == NOW_S + TAIL_S


def test_who_says_stop_twice_waits_for_the_way_back_a_short_while_only() -> None:
    progress, todo = step(at(LastDone.WRITE), Failed(SILENT), NOW_S, 2)
    assert (progress.until_s, progress.part) == (NOW_S + STOP_S, Leg.BACK)
    assert What.STOPPED in [one.what for one in progress.trouble]
    progress, todo = step(*_kept(progress, Stage.UNDO))
    progress, todo = step(*_kept(progress, Stage.SESSION))
    assert isinstance(todo, Send)
    assert not todo.breaks_off


def test_steps_change_nothing_that_they_were_given() -> None:
    before = at(LastDone.WRITE)
    again = replace(before)
    assert step(before, OK, NOW_S) == step(before, OK, NOW_S)
    assert before == again
    with pytest.raises(FrozenInstanceError):
        before.tried = 2  # type: ignore[misc]


def test_nothing_begun_is_raised_and_nothing_is_kept() -> None:
    _, todo = step(at(LastDone.CHECK, Leg.LOOK, acted=False), Failed(GONE), NOW_S)
    assert isinstance(todo, Raise)
    assert todo.error is GONE
