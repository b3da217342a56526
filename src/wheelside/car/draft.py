"""What would be written into a list of IDs, place by place beside what it holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wheelside.car.card import IdList
from wheelside.car.reads import ListRead
from wheelside.errors import BadRequest
from wheelside.sensor.ident import SensorId


@dataclass(frozen=True, slots=True)
class PlaceChange:
    """One place of a list, before and after; None is an empty place."""

    place: str
    before: SensorId | None
    after: SensorId | None


@dataclass(frozen=True, slots=True)
class Draft:
    """What would be written: the list, what it holds, what it is to hold, place by place."""

    row: IdList
    old: ListRead
    new: bytes
    differences: tuple[PlaceChange, ...]

    @property
    def one_id(self) -> SensorId | None:
        """The ID that every place holds, where there are several and all hold the same; a list that hardly is one. None else."""
        held = {d.before for d in self.differences}
        return next(iter(held)) if len(held) == 1 and len(self.differences) > 1 else None

    @property
    def changes(self) -> bool:
        return any(d.before != d.after for d in self.differences)


def draft(row: IdList, old: ListRead, wanted: Mapping[str, SensorId | None]) -> Draft:
    """What is to be written so that each place holds what is wanted. Raises BadRequest where it can't be."""
    unknown = [place for place in wanted if place not in row.layout.places]
    if unknown:
        raise BadRequest(
            f"the list '{row.name}' has no place for {', '.join(unknown)}", expected=", ".join(row.layout.places)
        )
    before = dict(old.ids)
    after = {place: wanted.get(place, before[place]) for place in row.layout.places}
    too_wide = [place for place, one in after.items() if one is not None and one.bits != row.bits]
    if too_wide:
        raise BadRequest(
            f"the ID for {too_wide[0]} does not fit the {row.bits} bits of the list '{row.name}'",
            expected=f"{row.bits} bits",
        )
    there = [one.key for one in after.values() if one is not None]
    if len(set(there)) < len(there):
        raise BadRequest("two corners would have one ID: correct the plan first", expected="each ID once")
    try:
        new = row.layout.data(tuple(None if one is None else one.number for one in after.values()))
    except ValueError as error:
        raise BadRequest(f"{error}", expected="'empty' in the port card") from error
    return Draft(row, old, new, tuple(PlaceChange(place, before[place], after[place]) for place in row.layout.places))
