"""Sets that somebody offers: what is the owner's, and what is not."""

from __future__ import annotations

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
EACH = ("date_code", "tread", "sends", "printed", "direction")
"""Keys of which an offer may say one for all wheels, or one for each."""


@dataclass(frozen=True, slots=True)
class Offer:
    """Four wheels alike, as they are read off an advertisement: rows of the garage file without their ids.

    `sensor` is None where the wheels are known to have none, and empty where nothing is known of them. A key of `EACH` may hold
    several values with ';' between, for front left, front right, rear left and rear right.
    """

    name: str
    set: Table
    rim: Table
    tyre: Table
    sensor: Table | None


def rows_of_offer(offer: Offer, taken: Collection[str]) -> tuple[tuple[str, Table], ...]:
    """The rows that describe an offer, table by table. Raises BadRequest where its name is taken, or values can't be shared out."""
    ids = [f"{offer.name} {n}" for n in range(1, len(ROAD_CORNERS) + 1)]
    clash = [one for one in (offer.name, *ids) if one in taken]
    if clash:
        raise BadRequest(
            f"'{clash[0]}' is there already: give the offer another name", found=clash[0], expected="a new name"
        )
    rows: list[tuple[str, Table]] = []
    for n, one in enumerate(ids):
        rows.append(("rim", {"id": one, **_shared(offer.rim, n)}))
        rows.append(("tyre", {"id": one, **_shared(offer.tyre, n)}))
        joined = {"rim": one, "tyre": one}
        if offer.sensor is not None:
            rows.append(("sensor", {"id": one, **_shared(offer.sensor, n)}))
            joined["sensor"] = one
        rows.append(("wheel", {"id": one, "joined": [joined]}))
    wheels = {corner.key: one for corner, one in zip(ROAD_CORNERS, ids, strict=True)}
    rows.append(("set", {"id": offer.name, "on_offer": True, **offer.set, "wheels": wheels}))
    return tuple(rows)


def _shared(row: Table, n: int) -> Table:
    out = {}
    for key, value in row.items():
        parts = (
            [part.strip() for part in value.split(";")]
            if isinstance(value, str) and key in EACH and ";" in value
            else [value]
        )
        if len(parts) not in (1, len(ROAD_CORNERS)):
            raise BadRequest(
                f"{key}: found {len(parts)} values, expected one, or four with ';' between: front left, front right, rear left, rear right",
                found=str(value)[:60],
                expected="one value or four",
            )
        part = parts[n] if len(parts) > 1 else parts[0]
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
    for kind in ("rim", "tyre", "sensor", "wheel", "set"):
        for row in table.get(kind, ()):
            found |= {str(row.get("id")), *(str(one) for one in row.get("ids", ()))}
    return found
