"""Which wheels the car was seen to hear, each at its corner, and which were silent when last asked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheelside.garage.words import ROAD_CORNERS, Corner
from wheelside.proof.lack import Lack, Lacking
from wheelside.proof.shown import Answered, ShownAnswer, newest, newest_saying, of
from wheelside.sheet.ask import Asked, Tells
from wheelside.sheet.option import Instead, LampLater, YesNo
from wheelside.sheet.start import JobStart, PlannedWheel

_CORNERS = frozenset(c.value for c in ROAD_CORNERS)


def corners_lack(start: JobStart, shown: Answered) -> list[Lacking]:
    """What is lacking to show each corner: that its own figure followed a change there, with the wheel gauged at it or after it."""
    return [one for w in _on_road(start) for one in _corner(w, shown)]


def all_live(start: JobStart, shown: Answered) -> bool:
    """Whether at each corner the right figure was seen to follow a change, so that the car hears every wheel."""
    wheels = _on_road(start)
    return bool(wheels) and all(_follows(_moved(w, shown)) for w in wheels)


def silent(start: JobStart, shown: Answered) -> list[Lacking]:
    """The wheels whose sensor gave no sign when last asked, and of which nobody has heard since.

    A lamp that stays off says nothing of such a wheel until the car must have missed it: 49 CFR 571.138, S4.4, gives 20 minutes of
    driving at 50 to 100 km/h; cars may take longer, one until the sixth start without a frame (a carmaker's service text). So a look
    after six starts or a week lifts it.
    """
    week = newest_saying(of(shown, Tells.LAMP_WEEK), LampLater.STILL_OFF)
    stands_still = _dash_stands_still(start, shown)
    found = []
    for w in start.wheels:
        moved = [s for s in of(shown, Tells.CORNER) if s.wheel == w.wheel]
        signs = [*map(_answered, _asked_ids(w, shown)), *(_on_dash(s, stands_still=stands_still) for s in moved)]
        last = max((one for one in signs if one is not None), key=lambda one: one.at, default=None)
        if last is None or last.heard or (week is not None and week.at >= last.at):
            continue
        found.append(Lacking(last.lack, corner=w.corner, wheel=w.wheel))
    return found


def other_ids(start: JobStart, shown: Answered) -> list[Lacking]:
    """The wheels that sent another ID than the planned one when last asked: the car's list is held against planned IDs, not against theirs."""
    found = []
    for w in start.wheels:
        last = newest(s for s in _asked_ids(w, shown) if s.answer.said != Instead.NO_ANSWER)
        if last is not None and last.answer.as_planned is False:
            found.append(Lacking(Lack.OTHER_ID, corner=w.corner, wheel=w.wheel))
    return found


def _asked_ids(w: PlannedWheel, shown: Answered) -> list[ShownAnswer]:
    """What was read at the sensor that is in a wheel now."""
    before = () if w.refit else (Tells.SENT_BEFORE,)
    read = of(shown, Tells.AWAKE, Tells.READ_BACK, *before)
    return [s for s in read if s.wheel == w.wheel and s.answer.ask.kind is Asked.ID]


def _on_road(start: JobStart) -> list[PlannedWheel]:
    return [w for w in start.wheels if w.corner != Corner.SPARE.value]


def _moved(w: PlannedWheel, shown: Answered) -> ShownAnswer | None:
    """What was last said of the figure that moved; 'not shown while parked' says nothing against another answer."""
    mine = [s for s in of(shown, Tells.CORNER) if s.wheel == w.wheel]
    return newest(s for s in mine if s.answer.said != Instead.NOT_PARKED) or newest(mine)


def _follows(moved: ShownAnswer | None) -> bool:
    return moved is not None and moved.answer.said == moved.answer.ask.expect and moved.answer.as_planned is True


def _corner(w: PlannedWheel, shown: Answered) -> Iterator[Lacking]:
    moved = _moved(w, shown)
    if moved is None:
        yield Lacking(Lack.CORNER_NOT_TRIED, corner=w.corner)
    elif moved.answer.said in _NONE_MOVED:
        yield Lacking(_NONE_MOVED[moved.answer.said], corner=w.corner)
    elif moved.answer.said != moved.answer.ask.expect:
        yield Lacking(Lack.CORNER_SWAPPED, moved.answer.said, w.corner)
    elif not _follows(moved):
        yield Lacking(Lack.CORNER_STILL, corner=w.corner)
    elif any(s.at > moved.at for s in of(shown, Tells.TAUGHT) if s.answer.said == YesNo.YES):
        yield Lacking(Lack.CORNER_EARLY, corner=w.corner)
    elif not _gauged(moved, shown):
        yield Lacking(Lack.CORNER_NOT_GAUGED, corner=w.corner)


_NONE_MOVED: dict[str, Lack] = {Instead.NOT_PARKED: Lack.CORNER_NOT_PARKED, Instead.NO_FIGURE: Lack.CORNER_NONE}


def _gauged(moved: ShownAnswer, shown: Answered) -> bool:
    """Whether the wheel was gauged at the step where its figure moved, or at the one after it."""
    mine = [s for s in shown if s.wheel == moved.wheel and s.answer.pressure is not None]
    set_there = any(s.tells is Tells.SET_PRESSURE and s.step == moved.step for s in mine)
    return set_there or any(s.tells is Tells.BACK for s in mine)


def _dash_stands_still(start: JobStart, shown: Answered) -> bool:
    """Whether every corner was tried and none moved: then it is the dash that shows nothing while parked, not one sensor that is silent."""
    wheels = _on_road(start)
    moved = [_moved(w, shown) for w in wheels]
    return len(wheels) > 1 and all(m is not None and m.answer.said in _NONE_MOVED for m in moved)


@dataclass(frozen=True, slots=True)
class _Sign:
    """That a wheel was heard, or was silent, and when."""

    at: int
    heard: bool
    lack: Lack


def _answered(s: ShownAnswer) -> _Sign | None:
    """What an ID that was asked for says. Another one than the planned may be another wheel's, which the trigger woke, too.

    A car that confirms a wheel while it is taught says nothing here: it may have heard another one nearby.
    """
    silent = s.answer.said == Instead.NO_ANSWER
    return None if s.answer.as_planned is False and not silent else _Sign(s.at, not silent, Lack.SILENT)


def _on_dash(s: ShownAnswer, *, stands_still: bool) -> _Sign | None:
    """What the figure that moved says: another corner's is one of this wheel, too."""
    said = s.answer.said
    if said == Instead.NO_FIGURE:
        return None if stands_still else _Sign(s.at, heard=False, lack=Lack.SILENT_DASH)
    moved = said in _CORNERS and (said != s.answer.ask.expect or s.answer.as_planned)
    return _Sign(s.at, heard=True, lack=Lack.SILENT_DASH) if moved else None
