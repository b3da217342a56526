"""Sets that somebody offers: what is the owner's, and what is not."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from typing import Any

from wheelside.errors import BadRequest
from wheelside.garage.model import Garage, WheelSet
from wheelside.garage.words import ROAD_CORNERS


def offers(garage: Garage) -> tuple[WheelSet, ...]:
    """The sets that are on offer."""
    return tuple(row for row in garage.set if row.on_offer)


def without_offers(garage: Garage, named: Collection[str] | None = None) -> Garage:
    """The garage without what is on offer (or without those named): its sets, and the wheels and parts that are in nothing else."""
    out = [row for row in offers(garage) if named is None or row.id in named]
    if not out:
        return garage
    kept = tuple(row for row in garage.set if row not in out)
    theirs = {wheel for row in out for _, wheel in row.wheels}
    theirs -= {wheel for row in kept for _, wheel in row.wheels}
    wheels = tuple(row for row in garage.wheel if row.id not in theirs)

    def parts(key: str) -> set[str]:
        offered = {getattr(j, key) for row in garage.wheel if row.id in theirs for j in row.joined}
        return offered - {getattr(j, key) for row in wheels for j in row.joined}

    rims, tyres, sensors = parts("rim"), parts("tyre"), parts("sensor")
    return replace(
        garage,
        set=kept,
        wheel=wheels,
        rim=tuple(row for row in garage.rim if row.id not in rims),
        tyre=tuple(row for row in garage.tyre if row.id not in tyres),
        sensor=tuple(row for row in garage.sensor if row.id not in sensors),
    )


Table = dict[str, Any]
OFFERED = ("rim", "tyre", "sensor", "wheel", "set")
"""The tables that an offer has rows in."""
WHOLE = ("label", "note")
"""Keys whose text is never shared out."""
OWN = ("id", "ids", "wheels", "joined", "on_offer", "sold", "scrapped")
"""Keys that an offer has of itself."""
MARK = ";"


@dataclass(frozen=True, slots=True)
class Offer:
    """Four wheels alike, as they are read off an advertisement: rows of the garage file without their ids.

    `sensor` is None where the wheels are known to have none, and empty where nothing is known of them. A text may hold two values with ';'
    between, for front and rear, or four, for front left, front right, rear left and rear right.
    """

    name: str
    set: Table
    rim: Table
    tyre: Table
    sensor: Table | None


def rows_of_offer(offer: Offer, taken: Collection[str]) -> tuple[tuple[str, Table], ...]:
    """The rows that describe an offer, table by table. Raises BadRequest where its name won't do, or values can't be shared out."""
    ids = _names(offer, taken)
    rows: list[tuple[str, Table]] = []
    for n, one in enumerate(ids):
        rows.append(("rim", {**_shared(offer.rim, n), "id": one}))
        rows.append(("tyre", {**_shared(offer.tyre, n), "id": one}))
        joined = {"rim": one, "tyre": one}
        if offer.sensor is not None:
            rows.append(("sensor", {**_shared(offer.sensor, n), "id": one}))
            joined["sensor"] = one
        rows.append(("wheel", {"id": one, "joined": [joined]}))
    wheels = {corner.key: one for corner, one in zip(ROAD_CORNERS, ids, strict=True)}
    rows.append(("set", {**offer.set, "id": offer.name, "on_offer": True, "wheels": wheels}))
    return tuple(rows)


def _names(offer: Offer, taken: Collection[str]) -> list[str]:
    """The names of the four wheels. Raises BadRequest."""
    for table in (offer.set, offer.rim, offer.tyre, offer.sensor or {}):
        own = next((key for key in table if key in OWN), None)
        if own is not None:
            raise BadRequest(
                f"'{own}' is not to be said of an offer: it comes by itself",
                found=own,
                expected="what is read off the wheels",
            )
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,55}", offer.name):
        raise BadRequest(
            f"{offer.name!r} is no short name for an offer: write letters, digits, spaces, '.', '-' or '_', as in 'ad 12'",
            found=offer.name,
            expected="a short name such as ad 12",
        )
    ids = [f"{offer.name} {n}" for n in range(1, len(ROAD_CORNERS) + 1)]
    clash = next((one for one in (offer.name, *ids) if one in taken), None)
    if clash is not None:
        raise BadRequest(f"'{clash}' is there already: give the offer another name", found=clash, expected="a new name")
    return ids


def _shared(row: Table, n: int) -> Table:
    """What one wheel has of a row; texts of several values are shared out."""
    out = {}
    for key, value in row.items():
        parts = [part.strip() for part in value.split(MARK)] if isinstance(value, str) and key not in WHOLE else [value]
        if len(parts) not in (1, 2, len(ROAD_CORNERS)):
            raise BadRequest(
                f"{key}: found {len(parts)} values, expected one, two with ';' between (front; rear), or four (front left; front right; rear "
                "left; rear right)",
                found=str(value)[:60],
                expected="one value, two or four",
            )
        part = parts[n * len(parts) // len(ROAD_CORNERS)]
        if part != "":
            out[key] = part
    return out


def with_rows(table: Table, rows: Iterable[tuple[str, Table]]) -> Table:
    """A garage file's table with more rows."""
    grown = {key: list(value) if isinstance(value, list) else value for key, value in table.items()}
    for kind, row in rows:
        grown.setdefault(kind, []).append(row)
    return grown


def ids_of(table: Table) -> set[str]:
    """The ids of all rims, tyres, sensors, wheels and sets in a table."""
    found: set[str] = set()
    for kind in OFFERED:
        for row in table.get(kind, ()):
            found |= {str(row.get("id")), *(str(one) for one in row.get("ids", ()))}
    return found
