"""The spells of one set as they go on from today: what is stays until it is changed; then the season line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from wheelside.garage.model import WheelSet
from wheelside.garage.open_change import OpenChange
from wheelside.garage.season import FAR, SEEN_ROW, Spell, where

if TYPE_CHECKING:
    from wheelside.garage.present import Present


@dataclass(frozen=True)
class SetNow:
    """The spells of one set as they go on from now. `own`: those that are meant, from `day` on."""

    now: Present
    set: WheelSet
    own: tuple[Spell, ...]

    @property
    def _ever(self) -> tuple[Spell, ...]:
        return self.now.meant_of.get(self.set.id, ())

    @cached_property
    def _meant(self) -> Spell | None:
        return where(self.own, self.set.id, self.now.day)

    @cached_property
    def _car(self) -> str | None:
        return self.now.car_of.get(self.set.id)

    @cached_property
    def _is(self) -> Spell | None:
        """Where the set is today, as a spell that lasts until it is cut; None where nothing says."""
        day = self.now.day
        if self._car is not None:
            return self._at_home(on=self._car) or Spell(day, FAR, self.set.id, self._car, None, None, row=SEEN_ROW)
        lying = self._seen_lying()
        if lying is not None:
            return lying
        meant = self._meant
        if meant is not None and meant.on is None:
            return meant
        if meant is not None:  # meant to be on a car, and not on it
            move = self.now.move_of(self.set.id)
            before = move.due - timedelta(days=1) if move and move.due and move.coming == self.set.id else None
            lay = where(self._ever, self.set.id, before) if before else None
            if lay is not None and lay.on is None:
                return replace(lay, until=FAR)
        return self._storage() if meant is not None else None

    def _at_home(self, *, on: str) -> Spell | None:
        """The spell by which the line has the set on a car today, or had it last."""
        mine = [s for s in self._ever if s.on == on and s.since <= self.now.day]
        return replace(mine[-1], until=FAR) if mine else None

    def _seen_lying(self) -> Spell | None:
        """The place where all of its wheels that were seen lie, unless the line has moved it since."""
        wheels = self.now.garage.of_its_own(self.set)
        known = [k for _, w in wheels if (k := self.now.known.get(w)) is not None and not k.loose]
        spots = {k.spot for k in known}
        if len(spots) != 1 or known[0].on is not None:
            return None
        newest = max(k.as_of for k in known)
        if any(s.on is None and newest < s.since <= self.now.day for s in self._ever):
            return None
        _, at, riding_in = spots.pop()
        return Spell(newest, FAR, self.set.id, None, at, riding_in, row=SEEN_ROW)

    def _storage(self) -> Spell | None:
        """Where the line keeps the set when it is on no car: the next such stay, else the last one."""
        later = [s for s in self.own if s.since > self.now.day and s.on is None]
        earlier = [s for s in self._ever if s.on is None and s.since <= self.now.day]
        kept = later[0] if later else earlier[-1] if earlier else None
        return replace(kept, since=self.now.day, until=FAR) if kept else None

    def spells(self) -> Iterator[Spell]:
        """What is, until the open change or the next day that the line has for this set; then the line."""
        move, leaves = self.now.move_of(self.set.id), self.set.leaves
        if self.set.gone_by(self.now.day):
            return iter(self.own)
        if move is None and self._as_meant():
            return iter(self.own)
        end = min(self.now.end, leaves) if leaves else self.now.end
        made = list(self._moved(move) if move else self._otherwise())
        return (replace(s, until=min(s.until, end)) for s in made if s.since < min(s.until, end))

    def _as_meant(self) -> bool:
        is_, meant = self._is, self._meant
        if is_ is None or meant is None:
            return is_ is None and meant is None
        return (is_.on, is_.at, is_.riding_in) == (meant.on, meant.at, meant.riding_in)

    def _otherwise(self) -> Iterator[Spell]:
        """The set is elsewhere than meant, and nothing is due about it: so until the line moves it next."""
        until = self._meant.until if self._meant else next((s.since for s in self.own), FAR)
        if self._car is not None:
            until = min(until, self._next_of(self._car, self.set.id))
        yield from self._today(until)
        yield from _from(self.own, until)

    def _moved(self, move: OpenChange) -> Iterator[Spell]:
        day = self.now.next_day
        yield from self._today(day)
        meant = self._meant
        if move.coming == self.set.id:
            home = meant if meant is not None and meant.on == move.car else None
            until = home.until if home else self._next_of(move.car, self.set.id)
            row = home.row if home else SEEN_ROW
            yield Spell(day, until, self.set.id, move.car, None, None, row=row)
            yield from _from(self.own, until)
            return
        if meant is not None and meant.on != move.car:
            yield from _from(self.own, day)
            return
        until = min(meant.until if meant else FAR, self._next_of(move.car, move.coming))
        kept = self._storage()
        if kept is not None:
            yield replace(kept, since=day, until=until)
        yield from _from(self.own, until)

    def _today(self, until: date) -> Iterator[Spell]:
        if self._is is not None:
            yield replace(self._is, since=min(self._is.since, self.now.day), until=until)

    def _next_of(self, car: str, but: str) -> date:
        """The next day on which the line means another set to go on a car."""
        later = [s for s in self.now.meant_on.get(car, ()) if s.since > self.now.day and s.set != but]
        return min((s.since for s in later), default=FAR)


def _from(own: tuple[Spell, ...], day: date) -> Iterator[Spell]:
    for s in own:
        if s.until > day and max(s.since, day) < s.until:
            yield replace(s, since=max(s.since, day))
