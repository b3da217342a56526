"""What is on one car: by what was seen on it, else by the season line; and which change is due."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

from wheelside.garage.model import WheelSet
from wheelside.garage.open_change import OPEN_DAYS, OpenChange, Taken, TakenOn, counted, stated_stand_ins
from wheelside.garage.season import set_on, where
from wheelside.garage.seen import Known
from wheelside.garage.words import ROAD_CORNERS, Corner, SeenHow

if TYPE_CHECKING:
    from wheelside.garage.present import Present


@dataclass(frozen=True)
class CarNow:
    """What is on one car."""

    now: Present
    car: str

    @cached_property
    def _seen_on(self) -> dict[Corner, Known]:
        return {k.corner: k for k in self.now.known.values() if k.on == self.car and k.corner is not None}

    @cached_property
    def _counts(self) -> Counter[str]:
        """How many wheels of each set were seen on this car."""
        sets_of = self.now.garage.sets_of
        seen = [(name, k.wheel) for k in self._seen_on.values() for name in sets_of.get(k.wheel, ())]
        return Counter(name for name, wheel in seen if wheel in counted(self.now.garage.sets[name]))

    def _whole(self, set_id: str) -> bool:
        return 0 < len(counted(self.now.garage.sets[set_id])) == self._counts[set_id]

    def _at_its_corners(self, set_id: str) -> int:
        """How many wheels of a set were seen at their own corners."""
        return sum(
            (k := self._seen_on.get(c)) is not None and k.wheel == w for c, w in self.now.garage.sets[set_id].wheels
        )

    @property
    def _asked(self) -> str | None:
        return next((s for c, s in self.now.garage.asked if c == self.car), None)

    @cached_property
    def _meant(self) -> str | None:
        return self._asked or self._line_set

    @cached_property
    def _begun(self) -> str | None:
        """The set of which some wheels were fitted in a job, and not all: the change to it is half done."""
        fitted = [k for k in self._seen_on.values() if k.how is SeenHow.FITTED]
        for known in sorted(fitted, key=lambda k: (k.as_of, k.time), reverse=True):
            names = [s for s in self._counts if self._belongs(known.wheel, s)]
            if names:
                return None if any(self._whole(s) for s in names) else max(names, key=self._at_its_corners)
        return None

    @cached_property
    def _seen_set(self) -> str | None:
        """The set that was seen on the car; of two of which a part is on it, the one that was there before.

        A part of one set alone says nothing of the other corners where the season line has another set on.
        """
        whole = [s for s in self._counts if self._whole(s)]
        if whole:
            return max(whole, key=self._at_its_corners)
        others = sorted((s for s in self._counts if s != self._begun), key=lambda s: (-self._counts[s], s))
        if len(self._counts) == 1 and others and self._by_line not in (None, others[0]):
            return None
        return others[0] if others else None

    @cached_property
    def _by_line(self) -> str | None:
        """The set that is on by the season line alone."""
        on, _ = self._followed(None, self._past)
        return on if self._line_set is not None or self._left_there(on) else None

    def _left_there(self, set_id: str | None) -> bool:
        """Whether the line had the set on this car last, and says of no other place since."""
        return set_id is not None and where(self.now.meant_of.get(set_id, ()), set_id, self.now.day) is None

    @cached_property
    def _line_set(self) -> str | None:
        return set_on(self.now.meant_on.get(self.car, ()), self.car, self.now.day)

    @cached_property
    def _since_seen(self) -> tuple[date, date | None]:
        """The day of which the newest row about the set that was seen is, and since when it had been on."""
        mine = [k for c, k in self._seen_on.items() if self._belongs(k.wheel, self._seen_set)]
        since = [k.since or (k.as_of if k.how is SeenHow.FITTED else None) for k in mine]
        return max(k.as_of for k in mine), max((d for d in since if d is not None), default=None)

    def _belongs(self, wheel: str, set_id: str | None) -> bool:
        return set_id is not None and set_id in self.now.garage.sets_of.get(wheel, ())

    @cached_property
    def _past(self) -> tuple[tuple[date, str], ...]:
        return tuple(c for c in self.now.changes_of(self.car) if c[0] <= self.now.day)

    @cached_property
    def _due(self) -> date | None:
        """The day of the season line's last change of this car; None where it has none yet."""
        return self._past[-1][0] if self._past else None

    @cached_property
    def _now(self) -> tuple[str | None, date | None]:
        """The set that is on, and the day of the season line that this rests on; None where the set was seen.

        From the set that was seen, or else from the car's first stay on, every change that counts as done is followed.
        """
        seen = self._seen_set
        if seen is None:
            on, since = self._followed(None, self._past)
            return (on, since) if self._line_set is not None or self._left_there(on) else (None, None)
        if self._asked is not None:
            return seen, None
        last, _ = self._since_seen
        return self._followed(seen, tuple(c for c in self._past if c[0] > last))

    def _followed(self, on: str | None, changes: tuple[tuple[date, str], ...]) -> tuple[str | None, date | None]:
        """The set that is on after every change that counts as done, and the day of the last of them."""
        since: date | None = None
        for day, set_id in changes:
            if set_id == on:
                continue
            if on is not None and not self._counts_as_done(day, set_id, on):
                break
            on, since = set_id, day
        gone = on is not None and self.now.garage.sets[on].gone_by(self.now.day)
        if gone or (on is not None and since is not None and self._elsewhere(on, since)):
            return None, None
        return on, since

    def _counts_as_done(self, day: date, coming: str, going: str | None) -> bool:
        if self._elsewhere(coming, day) or self._partly(coming, day, going):
            return False
        left = going is not None and self._elsewhere(going, day)
        return left or (self.now.day - day).days > OPEN_DAYS

    def _partly(self, set_id: str, since: date, before: str | None) -> bool:
        """Whether some wheels of a set were seen on this car on a day or later, and not all of them. A change that had counted as done when
        they were seen is half done only where a wheel of the set before was seen on the car since, or came off in a job that is not finished."""
        seen = [k.as_of for k in self._seen_since(set_id, since) if k.on == self.car]
        if not seen or self._whole(set_id):
            return False
        again = any(k.on == self.car or k.unfinished for k in self._seen_since(before, since))
        return again or min((day - since).days for day in seen) <= OPEN_DAYS

    def _seen_since(self, set_id: str | None, since: date) -> list[Known]:
        """What was seen of a set's wheels on a day or later."""
        wheels = counted(self.now.garage.sets[set_id]) if set_id is not None else ()
        return [k for w in wheels if (k := self.now.known.get(w)) is not None and k.as_of >= since]

    def _elsewhere(self, set_id: str, since: date) -> bool:
        """Whether all wheels of a set were seen off this car on a day or later."""
        known = [self.now.known.get(w) for w in counted(self.now.garage.sets[set_id])]
        return bool(known) and all(k is not None and k.on != self.car and k.as_of >= since for k in known)

    @property
    def current(self) -> str | None:
        return self._now[0]

    @cached_property
    def corners(self) -> dict[Corner, str]:
        base = self.now.garage.sets.get(self.current or "")
        out = dict(base.wheels) if base else {}
        for corner, wheel in list(out.items()):
            known = self.now.known.get(wheel)
            if known is not None and (known.on, known.corner) != (self.car, corner) and self._still_counts(known):
                del out[corner]
        out |= {c: self._stand_ins[w] for c, w in out.items() if w in self._stand_ins and c not in self._seen_on}
        out |= {c: k.wheel for c, k in self._seen_on.items() if self._still_counts(k)}
        if base is not None and Corner.SPARE in out and self._spare_not_reached(base):
            del out[Corner.SPARE]
            out.update((Corner.SPARE, w) for w in self._spares_left())
        return out

    def _spare_not_reached(self, base: WheelSet) -> bool:
        """Whether the set was fitted in a job that is not finished, and its spare was not put in yet."""
        at = dict(base.wheels)
        spare, road = at.get(Corner.SPARE), [self._seen_on.get(c) for c in ROAD_CORNERS]
        fitted = any(k is not None and k.unfinished and self._belongs(k.wheel, base.id) for k in road)
        return fitted and spare is not None and spare not in self.now.known

    def _spares_left(self) -> Iterator[str]:
        """The spare of the set whose wheels such a job took off: it is still in its place."""
        for wheel_set in self.now.garage.set:
            known = [self.now.known.get(w) for c, w in wheel_set.wheels if c in ROAD_CORNERS]
            off = any(k is not None and k.loose and k.unfinished for k in known)
            yield from (w for c, w in wheel_set.wheels if off and c is Corner.SPARE and w not in self.now.known)

    def _still_counts(self, known: Known) -> bool:
        """Whether what was seen of a wheel is newer than what the current set's being on rests on."""
        since = self._now[1]
        return since is None or known.as_of >= since

    @cached_property
    def open(self) -> OpenChange | None:
        meant, current, begun = self._meant, self.current, self._begun
        if self._asked is None and any(s == meant for _, s in self.now.garage.asked):
            return None  # the set that is due here is asked for on another car
        if meant is not None and self.now.garage.sets[meant].gone_by(self.now.day):
            return None
        if begun is not None and begun != current and self._asked in (None, begun):
            return OpenChange(self.car, begun, current, self._due if begun == self._line_set else None, assumed=False)
        if meant is None or (meant == current and self._complete(meant)):
            return None
        due = None if self._asked else self._due
        if current is None and due is not None and self._elsewhere(meant, due):
            return None
        if meant == current:
            return OpenChange(self.car, meant, self._other(meant), None, assumed=False)
        if self._now[1] is None and current is not None and not self._asked:
            last, since = self._since_seen
            if due is None or (since is not None and since >= due) or self._early(current, due, last):
                return None
            return OpenChange(self.car, meant, current, due, assumed=last < due)
        partly = due is not None and self._partly(meant, due, current)
        return OpenChange(self.car, meant, current, due, assumed=not partly and not self._asked and current is not None)

    def _early(self, current: str, due: date, last: date) -> bool:
        """Whether the set that was seen is the one that the line's next change brings, and that day is nearer than the last one's."""
        ahead = [day for day, set_id in self.now.changes_of(self.car) if day > last and set_id == current]
        return bool(ahead) and due <= last and ahead[0] - last < last - due

    def _other(self, meant: str) -> str | None:
        """The set some of whose wheels are on the car beside the one that is meant."""
        return next((s for s, _ in self._counts.most_common() if s != meant), None)

    def _complete(self, set_id: str) -> bool:
        at, wheels = self.corners, self.now.garage.sets[set_id].wheels
        by = counted(self.now.garage.sets[set_id])
        return all(at.get(c) in (w, self._stand_ins.get(w)) for c, w in wheels if w in by)

    @cached_property
    def _stand_ins(self) -> dict[str, str]:
        """The wheels for which another one stands in on this car today, by the owner's word, and which."""
        day = self.now.day
        return {s.instead_of: s.wheel for s in stated_stand_ins(self.now.garage, day) if s.on == self.car}

    @cached_property
    def taken(self) -> TakenOn | None:
        since = self._now[1]
        if since is None or self.current is None or self.open is not None:
            return None
        first = bool(self._past) and since == self._past[0][0]
        return TakenOn(self.car, self.current, since, Taken.FIRST if first else Taken.OLD)
