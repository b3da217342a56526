"""A set's wheels compared with one group of a car's list: which it holds for sure, which it may hold, which it does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wheelside.garage.words import Corner
from wheelside.identity.roll import Listed
from wheelside.sensor.ident import SensorId


@dataclass(frozen=True, slots=True)
class Carrier:
    """A wheel and the IDs that it may carry when it goes on: one where that is known, none where it is not read."""

    wheel: str
    corner: Corner
    ids: tuple[SensorId, ...]


@dataclass(frozen=True, slots=True)
class GroupCompared:
    """The wheels of a set by how a group of a list holds them.

    `open`: those that it may hold, each in an entry of its own; none where they can't all be there. `free`: the entries that
    are left for them. `lacking`: the rest. `moved`: those that it holds at another corner, with that corner.
    """

    sure: tuple[Carrier, ...]
    open: tuple[Carrier, ...]
    free: tuple[Listed, ...]
    lacking: tuple[Carrier, ...]
    moved: tuple[tuple[Carrier, Corner], ...]

    @property
    def may_hold_all(self) -> bool:
        return bool(self.open) and not self.lacking

    @property
    def at_other_corners(self) -> bool:
        """Whether it holds every ID, and the corners are all that is wrong."""
        return bool(self.moved) and len(self.moved) == len(self.lacking) and not self.open


def compared(wheels: Sequence[Carrier], group: Sequence[Listed], *, by_corner: bool) -> GroupCompared:
    """How a group of a car's list holds the wheels of a set; `by_corner`: whether the car tells corners apart."""
    sure = tuple(w for w in wheels if any(_surely(w, entry) and _there(w, entry, by_corner) for entry in group))
    taken = {w.ids[0].key for w in sure}
    free = tuple(entry for entry in group if not (len(entry[0]) == 1 and entry[0][0].key in taken))
    rest = [w for w in wheels if w not in sure]
    maybe = [w for w in rest if any(_maybe(w, entry) and _there(w, entry, by_corner) for entry in free)]
    if not _each_its_own(maybe, free, by_corner=by_corner):
        maybe = []
    lacking = tuple(w for w in rest if w not in maybe)
    moved = tuple((w, corner) for w in lacking if (corner := _held_at(w, group)) is not None)
    return GroupCompared(sure, tuple(maybe), free, lacking, moved)


def _there(w: Carrier, entry: Listed, by_corner: bool) -> bool:
    return not by_corner or entry[1] in (w.corner, None)


def _surely(w: Carrier, entry: Listed) -> bool:
    return len(w.ids) == len(entry[0]) == 1 and w.ids[0].key == entry[0][0].key


def _maybe(w: Carrier, entry: Listed) -> bool:
    """Whether an entry may be the wheel's: either is not read, or they can be read as one number."""
    return not w.ids or not entry[0] or bool({one.key for one in w.ids} & {one.key for one in entry[0]})


def _held_at(w: Carrier, group: Sequence[Listed]) -> Corner | None:
    return next((entry[1] for entry in group if _surely(w, entry)), None)


def _each_its_own(wheels: Sequence[Carrier], entries: Sequence[Listed], *, by_corner: bool) -> bool:
    """Whether every wheel can have an entry of its own."""
    if not wheels:
        return True
    first, *others = wheels
    return any(
        _each_its_own(others, [*entries[:i], *entries[i + 1 :]], by_corner=by_corner)
        for i, entry in enumerate(entries)
        if _maybe(first, entry) and _there(first, entry, by_corner)
    )
