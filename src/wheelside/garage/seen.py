"""Where each wheel is known to be: the rows of `[[seen]]`, played through in the order of their days."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from wheelside.garage.model import Garage
from wheelside.garage.stay import Seen
from wheelside.garage.words import Corner, SeenHow


@dataclass(frozen=True, slots=True)
class Known:
    """Where one wheel was when it was seen last.

    On a car with its corner, at a place, riding in a car, or none of them: taken off a car, and nobody has said where it
    lies. `since`: since when it had been there, None where that is not known.
    """

    wheel: str
    as_of: date
    since: date | None
    how: SeenHow
    by: str
    on: str | None = None
    corner: Corner | None = None
    at: str | None = None
    riding_in: str | None = None
    time: str = ""

    @property
    def loose(self) -> bool:
        """Whether it was taken off a car and nobody has said where it lies."""
        return self.on is None and self.at is None and self.riding_in is None

    @property
    def unfinished(self) -> bool:
        """Whether a job put it there that was not finished: a finished one says since when."""
        return self.how is SeenHow.FITTED and self.since is None

    @property
    def spot(self) -> tuple[str | None, str | None, str | None]:
        """Car that it is on, place, car that it rides in."""
        return self.on, self.at, self.riding_in


def known_wheels(garage: Garage, day: date) -> dict[str, Known]:
    """What is known of each wheel that somebody saw up to `day`, that day included; the newest row counts.

    A wheel seen at a corner drives the one away that was seen there before.
    """
    where: dict[str, Known] = {}
    at_corner: dict[tuple[str, Corner], str] = {}
    for row in sorted((r for r in garage.seen if r.as_of <= day), key=in_time):
        for said in _knowns(garage, row):
            before = where.get(said.wheel)
            one = _still(before, said)
            if before is not None and before.on is not None and before.corner is not None:
                at_corner.pop((before.on, before.corner), None)
            if one.on is not None and one.corner is not None:
                other = at_corner.get((one.on, one.corner))
                if other is not None and other != one.wheel:
                    where[other] = Known(other, one.as_of, one.as_of, one.how, one.by, time=one.time)
                at_corner[one.on, one.corner] = one.wheel
            where[one.wheel] = one
    return where


def _still(before: Known | None, one: Known) -> Known:
    """What is seen where it was seen before has been there since then, and was fitted then."""
    if before is None or before.loose or (before.spot, before.corner) != (one.spot, one.corner):
        return one
    how = before.how if before.how is SeenHow.FITTED else one.how
    return replace(one, since=one.since or before.since, how=how)


def in_time(row: Seen) -> tuple[date, str, bool, str, str, str]:
    """Rows in the order in which they count: by day and time, a row without a time at the day's beginning; single wheels last."""
    return row.as_of, row.time or "", row.wheel is not None, row.set or "", row.wheel or "", row.corner or ""


def _knowns(garage: Garage, row: Seen) -> Iterator[Known]:
    since, by = row.since, row.by or ""
    for corner, wheel in _wheels(garage, row):
        yield Known(
            wheel, row.as_of, since, row.how, by, row.on, corner if row.on else None, row.at, row.riding_in,
            row.time or "",
        )  # fmt: skip


def _wheels(garage: Garage, row: Seen) -> tuple[tuple[Corner | None, str], ...]:
    if row.wheel is not None:
        return ((row.corner, row.wheel),)
    wheel_set = garage.sets.get(row.set or "")
    if wheel_set is None:
        return ()
    return tuple(wheel_set.wheels) if row.on is not None else garage.of_its_own(wheel_set)
