"""Carrying a teaching out: each thing to do in its turn, by the link's clock. The list is read before and after; see `teach.py`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from wheelside.car.frames import CarTrouble
from wheelside.car.permit import check
from wheelside.car.talk import Talk, WaitLimit
from wheelside.car.taught import Stage, Taught, not_kept
from wheelside.car.teach import STOP, start, step
from wheelside.car.teaching import (
    Answered,
    End,
    Event,
    Failed,
    Goal,
    Keep,
    NotKept,
    Pause,
    Progress,
    Raise,
    Send,
    StageKept,
    Waited,
)
from wheelside.errors import Outside

Keeps = Callable[[Stage, str], object]


@dataclass
class Hurry:
    """How often a person has said stop, and how far the teaching has come, for who says so."""

    times: int = 0
    progress: Progress | None = None


def carry_out(talk: Talk, keep: Keeps, goal: Goal, hurry: Hurry | None = None) -> Taught:
    """Has the list that is wanted in the car, or ends with the old one, or says what is not known.

    `keep` is told of each stage before it is begun, and must not return before that is kept; what it raises before the car is touched comes
    out here. Raises BadRequest, CarTrouble where nothing was begun, NotPermitted where any request that this may take may not be sent.
    """
    hurry = hurry or Hurry()
    for request in goal.requests:
        check(request, talk.permit, talk.routines, talk.lists)
    progress, todo = start(goal, talk.time.seconds())
    while not isinstance(todo, End):
        if isinstance(todo, Raise):
            raise todo.error
        hurry.progress = progress
        event = _done(talk, keep, todo, progress, hurry)
        progress, todo = step(progress, event, talk.time.seconds(), hurry.times)
    return todo.taught


def _done(talk: Talk, keep: Keeps, todo: Keep | Send | Pause, progress: Progress, hurry: Hurry) -> Event:
    """What came of doing one thing."""
    if isinstance(todo, Pause):
        talk.time.wait(todo.seconds)
        return Waited()
    if isinstance(todo, Send):
        limit = WaitLimit(todo.until_s, lambda: todo.breaks_off and hurry.times >= STOP)
        try:
            return Answered((talk.once if todo.once else talk.ask)(todo.request, limit))
        except CarTrouble as error:
            return Failed(error)
    try:
        keep(todo.stage, todo.data)
    except Outside as error:
        if not progress.touched:
            raise
        return NotKept(todo.stage, not_kept(todo.stage, error))
    return StageKept(todo.stage)
