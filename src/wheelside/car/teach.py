"""Writing a new list of IDs into a car, with a way back: from what has happened to the next thing to do. `drive.py` does it.

    old list read and kept -> extended session -> begin -> write -> finish -> result -> read back
                                     \\_______ anything wrong: the old list, the same way _______/

Nothing is written while the old list can't be read and kept. Writing is never repeated blindly: after a step without an answer the
list is read, and what is there decides. Where a unit has refused to begin, it is left alone. What can't be found out is said to be so.
A person who says stop once is obeyed where the old or the new list is whole, one who says it twice after one more try to put the old one back.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from wheelside.car.frames import CarTrouble, LinkLost, NoAnswer, PutOff, Stopped, UnitTrouble
from wheelside.car.negative import BUSY, MAY_HAVE_ACTED, OTHER_STEPS, Refused
from wheelside.car.reads import list_from
from wheelside.car.talk import READ_TRIES
from wheelside.car.taught import Outcome, Stage, Trouble, What
from wheelside.car.teaching import (
    DEFAULT,
    EXTENDED,
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
from wheelside.errors import BadRequest

RESULT_TRIES, RESULT_PAUSE_S = 10, 0.2
UNDO_TRIES = 3
UNDO_PAUSES = 5
"""So many pauses more there are before each further try."""
STOP = 2
"""Who has said stop so often does not wait for the way forward any more."""

Done = tuple[Progress, Next]


def start(goal: Goal, now_s: float) -> Done:
    """A teaching with the first thing to do."""
    p = begun(goal, now_s)
    if goal.way is Intent.PUT_BACK:
        return _released(*_look(p))
    p, first = _look(p)
    return _released(p, Keep(Stage.SAVED, goal.old.hex(), first))


def _look(p: Progress) -> Done:
    """Whether there is anything to do at all: the list must not have changed, or holds already what is wanted."""
    if p.goal.way is Intent.NEW:
        return _doing(p, LastDone.CHECK, Send(p.goal.reading))
    if p.counted is None:
        return _to_result(p)
    if p.counted[1] is Outcome.AS_BEFORE:
        return _doing(p, LastDone.LOOK_OLD, Send(p.goal.reading))
    return _to_back(p)


def _doing(p: Progress, doing: LastDone, todo: Next, left: int = 0) -> Done:
    return replace(p, doing=doing, left=left), todo


def step(p: Progress, event: Event, now_s: float, hurry: int = 0) -> Done:
    """What is next after an event. `hurry`: how often a person has said stop."""
    p = _hurried(replace(p, now_s=now_s), hurry)
    if isinstance(event, Failed) and isinstance(event.error, PutOff):
        p = p.hastened  # whoever puts off an answer has used up time
    p, todo = _STEPS[p.doing](p, event) if isinstance(event, Answered | Failed) else _then(p, event)
    if p.hurry >= STOP and p.part is Leg.FORWARD and not isinstance(todo, End | Raise):
        p, todo = _stopped(p)
    return _released(p, todo)


def _hurried(p: Progress, hurry: int) -> Progress:
    """From the second stop on, the time is short."""
    if hurry < STOP or p.hurry >= STOP:
        return replace(p, hurry=max(hurry, p.hurry))
    return replace(p, hurry=hurry, troubled=True, until_s=min(p.until_s, p.now_s + STOP_S))


def _released(p: Progress, todo: Next) -> Done:
    """What is done now, with its limit; from a request on that a unit acts on, it is not known what the car holds."""
    if isinstance(todo, Keep | Pause):
        return replace(p, then=todo.then), todo
    if isinstance(todo, End):
        return p, End(p.taught)
    if not isinstance(todo, Send):
        return p, todo
    until_s = max(p.until_s, p.now_s + TAIL_S) if p.part is Leg.END else p.until_s
    if todo.acts:
        p = replace(p, acted=True, acted_before=p.acted)
    breaks_off = p.part in (Leg.LOOK, Leg.FORWARD) and p.doing is not LastDone.UNTOUCHED
    return p, replace(todo, until_s=until_s, breaks_off=breaks_off)


def _then(p: Progress, event: StageKept | NotKept | Waited) -> Done:
    """What was to follow a stage or a pause. A book that can't keep any more does not stop the way to the end: the old list is in it."""
    todo = p.then
    assert todo is not None, "a stage, or a pause, is before something"
    if isinstance(event, NotKept):
        p = replace(p, trouble=(*p.trouble, event.trouble))
    if not isinstance(event, Waited):
        touched = p.touched or event.stage in (Stage.BEGUN, Stage.WRITTEN)
        p = replace(p, last=p.last if event.stage is Stage.ENDED else event.stage, touched=touched)
    return replace(p, then=None), todo


def _read(p: Progress, event: Event) -> bytes | CarTrouble:
    """What the list holds, or why that is not known."""
    if isinstance(event, Failed):
        return event.error
    assert isinstance(event, Answered), "a list is read by an answer"
    raw = event.answer[3:]
    try:
        list_from(p.goal.row, raw)
    except UnitTrouble as error:
        return error
    return raw


def _checked(p: Progress, event: Event) -> Done:
    """After the list was read before a new one is written."""
    found = _read(p, event)
    if isinstance(found, CarTrouble):
        return p, Raise(found)
    if found != p.goal.old:
        changed = f"the list '{p.goal.row.name}' has changed since it was read: read it again"
        return p, Raise(BadRequest(changed, expected="the list as it was shown"))
    if p.hurry:
        return _leave(_told_stop(p), Outcome.AS_BEFORE, found)
    return _to_session(replace(p, part=Leg.FORWARD))


def _looked_for_old(p: Progress, event: Event) -> Done:
    """After the list was read before the old one is put back."""
    found = _read(p, event)
    if isinstance(found, CarTrouble):
        return p, Raise(found)
    return _leave(p, Outcome.AS_BEFORE, found) if found == p.goal.old else _to_back(p)


def _to_session(p: Progress) -> Done:
    if p.may_stop_here:
        return _to_untouched(p)
    p = replace(p, closed=Closed.NOT)
    leaves = p.part is Leg.BACK and p.tried
    doing, request = (LastDone.LEFT, DEFAULT) if leaves else (LastDone.SESSION, EXTENDED)
    return _doing(p, doing, Keep(Stage.SESSION, "", Send(request)))


def _left(p: Progress, _event: Event) -> Done:
    """After the session was left, which ends what was begun in it; whether that was heard shows later."""
    return _doing(p, LastDone.SESSION, Send(EXTENDED))


def _in_session(p: Progress, event: Event) -> Done:
    if isinstance(event, Failed):
        return _tried(p.failed(event.error))
    row = p.goal.row
    if p.may_stop_here:
        return _to_untouched(p)
    if not row.begin:
        return _to_write(p)
    again = READ_TRIES - 1 if p.part is Leg.BACK else 0
    return _doing(p, LastDone.BEGIN, Keep(Stage.BEGUN, row.begin.hex(), _begin(p)), again)


def _begin(p: Progress) -> Send:
    return Send(p.goal.row.begin or b"", once=True, acts=True)


def _began(p: Progress, event: Event) -> Done:
    """After beginning. A refusal at once has changed nothing; a busy unit, and on the way back a silent one, is asked again."""
    if not isinstance(event, Failed):
        return _to_write(p)
    error = event.error
    if isinstance(error, Refused):
        p = replace(p, acted=p.acted_before or error.code in MAY_HAVE_ACTED)
        if error.code == BUSY and p.left:
            return _doing(p, LastDone.BEGIN, Pause(RESULT_PAUSE_S, _begin(p)), p.left - 1)
    elif p.left and not p.late:
        return _doing(p, LastDone.BEGIN, _begin(p), p.left - 1)
    p = p.failed(error)
    return _to_write(p) if _goes_on_unbegun(p, error) else _tried(p)


def _goes_on_unbegun(p: Progress, error: CarTrouble) -> bool:
    """Whether the old list is written though the unit does not begin: it has begun already, or this is the last try and no list counts."""
    if p.part is not Leg.BACK:
        return False
    begun_already = isinstance(error, Refused) and error.code == OTHER_STEPS
    return begun_already or (p.tried == UNDO_TRIES - 1 and not p.untouched)


def _to_write(p: Progress) -> Done:
    if p.may_stop_here:
        return _to_untouched(p)
    write = Send(p.goal.written(p.data), once=p.part is Leg.FORWARD, acts=True)
    return _doing(p, LastDone.WRITE, Keep(Stage.WRITTEN, p.data.hex(), write))


def _wrote(p: Progress, event: Event) -> Done:
    """After writing. On the way back the list is read where no answer came: it may have been heard."""
    if not isinstance(event, Failed):
        return _to_finish(p)
    if p.part is Leg.BACK and isinstance(event.error, NoAnswer):
        return _doing(replace(p, why=event.error), LastDone.WRITE_LOOK, Send(p.goal.reading))
    return _tried(p.failed(event.error))


def _looked_after_writing(p: Progress, event: Event) -> Done:
    found, why = _read(p, event), p.why
    assert why is not None, "the list is looked at for a reason"
    if isinstance(found, CarTrouble):
        return _tried(p.failed(found))
    p = p.failed(why)
    return _to_finish(p) if found == p.data else _tried(p)


def _to_finish(p: Progress) -> Done:
    """Ends the writing, if the list wants that."""
    finish = p.goal.row.finish
    if not finish:
        return _closed(p)
    return _doing(p, LastDone.FINISH, Keep(Stage.FINISHED, finish.hex(), Send(finish, once=True, acts=True)))


def _closed(p: Progress) -> Done:
    """The writing has ended: what follows is kept as a stage."""
    p, todo = _to_result(replace(p, closed=Closed.ANSWERED))
    return p, Keep(Stage.READ_BACK, "", todo)


def _finished(p: Progress, event: Event) -> Done:
    """After the end of the writing; it is said twice where no answer comes."""
    if not isinstance(event, Failed):
        return _closed(p)
    p = p.failed(event.error)
    if not isinstance(event.error, NoAnswer):
        return _tried(p)
    return _doing(p, LastDone.FINISH_AGAIN, Send(p.goal.row.finish or b"", once=True, acts=True))


def _finished_again(p: Progress, event: Event) -> Done:
    """After the second time; a unit that heard the first may refuse it. The result says whether it was heard."""
    if not isinstance(event, Failed):
        return _closed(p)
    closed = Closed.UNANSWERED if p.goal.row.begin else Closed.NOT
    return _to_result(replace(p.failed(event.error), closed=closed))


def _tried(p: Progress) -> Done:
    """After a writing, whole or not: what is in the car decides. A unit that acted on nothing is left alone."""
    if p.part is Leg.FORWARD and p.untouched:
        return _to_untouched(p)
    return _to_result(p)


def _to_untouched(p: Progress) -> Done:
    p = _told_stop(p) if p.hurry else p
    return _doing(p, LastDone.UNTOUCHED, Send(p.goal.reading))


def _untouched(p: Progress, event: Event) -> Done:
    """After the list was read of a unit that acted on nothing."""
    found = _read(p, event)
    assert p.counted is not None, "it is known which list counts"
    if isinstance(found, CarTrouble):
        return _leave(p.failed(found), Outcome.NOT_KNOWN, None)
    return _leave(p, p.counted[1], found) if found == p.counted[0] else _to_back(replace(p, changed=True))


def _to_result(p: Progress) -> Done:
    """Asks whether the unit says that teaching is done, where it can be asked; else the answer to the end of the writing has to do."""
    p = replace(p, unread=False)
    if p.goal.row.result is None or p.closed is Closed.NOT:
        return _to_read(p) if p.closed is Closed.ANSWERED else _not_held(p)
    if p.goal.row.done is None:
        return _not_held(p)
    return _doing(p, LastDone.RESULT, Send(p.goal.row.result), RESULT_TRIES - 1)


def _told(p: Progress, event: Event) -> Done:
    """After the result was asked for."""
    if isinstance(event, Failed):
        return _not_held(p.failed(event.error))
    if _says_done(p, event):
        return _to_read(p)
    if p.left and not p.late:
        return _doing(p, LastDone.RESULT, Pause(RESULT_PAUSE_S, Send(p.goal.row.result or b"")), p.left - 1)
    return _not_held(p.told(Trouble(What.NOT_SAID_DONE)))


def _says_done(p: Progress, event: Event) -> bool:
    done = p.goal.row.done
    return isinstance(event, Answered) and done is not None and event.answer[4:].startswith(done)


def _to_read(p: Progress) -> Done:
    return _doing(replace(p, unread=True), LastDone.READ, Send(p.goal.reading), READ_TRIES - 1)


def _read_back(p: Progress, event: Event) -> Done:
    """After the list was read back. A unit that put that off is asked again, which harms nothing; a silent one was asked again already."""
    found = _read(p, event)
    if isinstance(found, CarTrouble):
        p = p.failed(found)
        if isinstance(found, PutOff) and p.left and not p.late:
            return _doing(p, LastDone.READ, Send(p.goal.reading), p.left - 1)
        return _not_held(p)
    p = replace(p, unread=False)
    if found == p.data:
        old = p.part is Leg.BACK or p.goal.way is Intent.PUT_BACK
        return _leave(p, Outcome.AS_BEFORE if old else Outcome.DONE, found)
    if p.left and not p.late:
        return _doing(p, LastDone.READ, Pause(RESULT_PAUSE_S, Send(p.goal.reading)), p.left - 1)
    return _not_held(p)


def _not_held(p: Progress) -> Done:
    """The list that is wanted is not known to count in the car."""
    if p.part is Leg.LOOK:
        return _to_back(p) if p.goal.way is Intent.PUT_BACK else _to_session(replace(p, part=Leg.FORWARD))
    if p.part is Leg.FORWARD:
        return _leave(p, Outcome.NOT_KNOWN, None) if p.unread else _to_back(p)
    if p.unread or p.late or p.tried == UNDO_TRIES - 1:
        return _to_last(p)
    if p.hurry >= STOP:
        return _to_session(replace(p, tried=UNDO_TRIES - 1))
    p, todo = _to_session(replace(p, tried=p.tried + 1))
    return p, Pause(p.tried * UNDO_PAUSES * RESULT_PAUSE_S, todo)


def _to_back(p: Progress) -> Done:
    """Puts the old list back. Who can't wait for three tries gets the one that does most."""
    p = _told_stop(p) if p.hurry >= STOP else p
    p = replace(p, part=Leg.BACK, tried=UNDO_TRIES - 1 if p.hurry >= STOP else 0)
    if p.goal.way is not Intent.PUT_BACK:
        p = p.hastened
    p, todo = _to_session(p)
    return p, Keep(Stage.UNDO, p.goal.old.hex(), todo)


def _stopped(p: Progress) -> Done:
    """A person has said stop twice on the way forward."""
    if p.doing is LastDone.UNTOUCHED:
        return p, Send(p.goal.reading)
    return _to_untouched(p) if p.untouched else _to_back(p)


def _told_stop(p: Progress) -> Progress:
    """The same, with that a person wanted no more of it."""
    said = Trouble(What.STOPPED)
    return p if said in p.trouble else replace(p, trouble=(*p.trouble, said))


def _to_last(p: Progress) -> Done:
    """All tries are over: a unit that is still storing is waited for, then the list is read."""
    if p.acted and p.closed is Closed.NOT and p.goal.row.result and p.goal.row.done is not None and not p.late:
        return _doing(p, LastDone.LAST_RESULT, Send(p.goal.row.result), RESULT_TRIES - 1)
    return _doing(replace(p, part=Leg.END), LastDone.LAST_READ, Send(p.goal.reading))


def _last_told(p: Progress, event: Event) -> Done:
    if isinstance(event, Answered) and not _says_done(p, event):
        if p.left and not p.late and p.hurry < STOP:
            return _doing(p, LastDone.LAST_RESULT, Pause(RESULT_PAUSE_S, Send(p.goal.row.result or b"")), p.left - 1)
        p = p.told(Trouble(What.NOT_SAID_DONE))
    return _doing(replace(p, part=Leg.END), LastDone.LAST_READ, Send(p.goal.reading))


def _last_read(p: Progress, event: Event) -> Done:
    """The end after all tries: what is in the car."""
    found = _read(p, event)
    if isinstance(found, CarTrouble):
        return _leave(p.failed(found), Outcome.NOT_KNOWN, None)
    if p.untouched and p.counted is not None and found == p.counted[0]:
        return _leave(p, p.counted[1], found)
    known = {p.goal.old: Outcome.NOT_CONFIRMED, p.goal.new: Outcome.NEW_NOT_CONFIRMED}
    return _leave(p, known.get(found, Outcome.OTHERWISE), found)


def _leave(p: Progress, outcome: Outcome, holds: bytes | None) -> Done:
    """Leaves the session, whatever comes of that, and keeps the end."""
    p = replace(p, part=Leg.END, outcome=outcome, holds=holds)
    return _doing(p, LastDone.LEAVE, Send(DEFAULT))


def _gone(p: Progress, _event: Event) -> Done:
    return p, Keep(Stage.ENDED, p.outcome.value, End(p.taught))


def _unless_lost(handler: Callable[[Progress, Event], Done]) -> Callable[[Progress, Event], Done]:
    """What follows an event, unless the link was lost: then nothing more is known of the car."""

    def handled(p: Progress, event: Event) -> Done:
        if not isinstance(event, Failed):
            return handler(p, event)
        if p.part is Leg.LOOK and isinstance(event.error, Stopped):
            return p, Raise(Stopped("it was stopped before anything was sent that changes the car"))
        if p.part is Leg.LOOK and isinstance(event.error, LinkLost):
            return p, Raise(event.error)
        if isinstance(event.error, LinkLost):
            return _leave(p.failed(event.error), Outcome.NOT_KNOWN, None)
        return handler(p, event)

    return handled


_STEPS = {
    doing: _unless_lost(handler)
    for doing, handler in {
        LastDone.CHECK: _checked,
        LastDone.LOOK_OLD: _looked_for_old,
        LastDone.LEFT: _left,
        LastDone.SESSION: _in_session,
        LastDone.BEGIN: _began,
        LastDone.WRITE: _wrote,
        LastDone.WRITE_LOOK: _looked_after_writing,
        LastDone.FINISH: _finished,
        LastDone.FINISH_AGAIN: _finished_again,
        LastDone.RESULT: _told,
        LastDone.READ: _read_back,
        LastDone.UNTOUCHED: _untouched,
        LastDone.LAST_RESULT: _last_told,
        LastDone.LAST_READ: _last_read,
    }.items()
} | {LastDone.LEAVE: _gone}
