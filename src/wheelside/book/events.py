"""What happened to wheels, sensors and cars, only ever added to; and a wheel's whole history as one query."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, Row, bindparam, text

from wheelside.book import tables
from wheelside.book.checksum import put
from wheelside.book.entry import Writing
from wheelside.book.reading import NOTED, Purpose, Warmth, reading_in
from wheelside.book.things import ThingKey, numbers_for
from wheelside.units import AbsolutePressure, AnyPressure, GaugePressure, Temperature
from wheelside.units.moment import Moment


class Happened(StrEnum):
    """The kinds of event."""

    JOINED = "joined"
    PARTED = "parted"
    FITTED = "fitted"
    TAKEN_OFF = "taken off"
    ID_STATE = "ID state"
    TAUGHT = "taught"
    CHECKED = "checked"
    HANDED_OVER = "handed over"
    MENDED = "mended"
    AT_SHOP = "given to a workshop"
    FILLED = "filled"


@dataclass(frozen=True, slots=True)
class Event:
    """One event, and all that it is about by id; `detail` says the rest."""

    kind: Happened
    at: Moment
    wheel: str | None = None
    sensor: str | None = None
    tyre: str | None = None
    rim: str | None = None
    car: str | None = None
    set: str | None = None
    corner: str | None = None
    hex: str | None = None
    job: str | None = None
    detail: dict[str, Any] = field(default_factory=dict)

    def about(self) -> dict[str, ThingKey]:
        named = {kind: getattr(self, kind) for kind in ("wheel", "sensor", "tyre", "rim", "car", "set")}
        return {kind: (kind, one) for kind, one in named.items() if one is not None}


def add_events(writing: Writing, events: Iterable[Event]) -> None:
    """Adds events in their order."""
    wanted = list(events)
    if not wanted:
        return
    numbers = numbers_for(writing, [thing for e in wanted for thing in e.about().values()])
    first = writing.next_number(tables.event)
    rows = []
    for i, e in enumerate(wanted):
        about = dict.fromkeys(("wheel", "sensor", "tyre", "rim", "car", "set"))
        rows.append({
            "num": first + i, "entry": writing.entry, "at": e.at.us, "offset_min": e.at.offset_min, "kind": e.kind.value,
            **about, **{kind: numbers[thing] for kind, thing in e.about().items()}, "corner": e.corner, "hex": e.hex,
            "job": e.job, "body": json.dumps(e.detail, ensure_ascii=False),
        })  # fmt: skip
    put(writing.conn, tables.event, *rows)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a history: an event or a reading (as in `Reading`), with who recorded it and when.

    `mistaken`: why a reading is marked as noted by mistake (a value of `Why`), and `marked` when, `marked_by` whom; '' for others.
    """

    at: Moment
    recorded: Moment
    kind: str
    person: str
    via: str
    about: tuple[tuple[str, str], ...]
    corner: str | None
    hex: str | None
    job: str | None
    channel: str | None
    pressure: AnyPressure | None
    temperature: Temperature | None
    battery_low: bool | None
    instrument: str | None
    detail: dict[str, Any]
    mistaken: str = ""
    marked: Moment | None = None
    marked_by: str = ""
    purpose: Purpose = Purpose.NOT_KNOWN
    warmth: Warmth = Warmth.NOT_KNOWN
    tyre: Temperature | None = None
    outside: Temperature | None = None
    place: str | None = None
    air: AbsolutePressure | None = None
    instrument_id: str | None = None


_HISTORY = """
WITH this AS (SELECT num FROM thing WHERE kind = 'wheel' AND key = :wheel),
joining AS (
    SELECT j.sensor, j.at AS since,
           (SELECT MIN(p.at) FROM event p WHERE p.wheel = j.wheel AND p.kind = 'parted' AND p.sensor = j.sensor
            AND p.at >= j.at AND p.num > j.num) AS until
    FROM event j WHERE j.wheel = (SELECT num FROM this) AND j.kind = 'joined' AND j.sensor IS NOT NULL
),
noted AS (
    SELECT subject, at, channel, pressure_kpa, absolute, temperature_k, battery_low, instrument, offset_min, purpose, warmth,
           tyre_k, outside_k, place, air_kpa, instrument_id, entry,
           0 AS num, '' AS why, CAST(NULL AS BIGINT) AS marked FROM reading
    WHERE subject IN (SELECT num FROM this UNION SELECT sensor FROM joining)
    UNION ALL
    SELECT subject, at, channel, pressure_kpa, absolute, temperature_k, battery_low, instrument, offset_min, purpose, warmth,
           tyre_k, outside_k, place, air_kpa, instrument_id, entry,
           num, why, marked FROM mistaken
    WHERE subject IN (SELECT num FROM this UNION SELECT sensor FROM joining)
),
line AS (
    SELECT e.at, e.offset_min, e.kind, e.entry, e.num, e.sensor, e.tyre, e.rim, e.car, e."set", e.corner, e.hex, e.job,
           NULL AS channel, CAST(NULL AS DOUBLE PRECISION) AS pressure_kpa, 0 AS absolute,
           CAST(NULL AS DOUBLE PRECISION) AS temperature_k, CAST(NULL AS INTEGER) AS battery_low, NULL AS instrument,
           NULL AS purpose, NULL AS warmth, CAST(NULL AS DOUBLE PRECISION) AS tyre_k, CAST(NULL AS DOUBLE PRECISION) AS outside_k,
           NULL AS place, CAST(NULL AS DOUBLE PRECISION) AS air_kpa, NULL AS instrument_id, e.body,
           '' AS why, CAST(NULL AS BIGINT) AS marked
    FROM event e WHERE e.wheel = (SELECT num FROM this)
    UNION ALL
    SELECT r.at, r.offset_min, 'reading', r.entry, -r.num, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
           r.channel, r.pressure_kpa, r.absolute, r.temperature_k, r.battery_low, r.instrument,
           r.purpose, r.warmth, r.tyre_k, r.outside_k, r.place, r.air_kpa, r.instrument_id, '{}', r.why, r.marked
    FROM noted r WHERE r.subject = (SELECT num FROM this)
    UNION ALL
    SELECT r.at, r.offset_min, 'reading', r.entry, -r.num, r.subject, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
           r.channel, r.pressure_kpa, r.absolute, r.temperature_k, r.battery_low, r.instrument,
           r.purpose, r.warmth, r.tyre_k, r.outside_k, r.place, r.air_kpa, r.instrument_id, '{}', r.why, r.marked
    FROM noted r JOIN joining j ON r.subject = j.sensor AND r.at >= j.since AND (j.until IS NULL OR r.at < j.until)
)
SELECT line.*, n.at AS recorded, n.offset_min AS recorded_offset, n.person, n.via,
       k.at AS marked_at, k.offset_min AS marked_offset, k.person AS marked_by,
       s.key AS sensor_id, t.key AS tyre_id, m.key AS rim_id, c.key AS car_id, w.key AS set_id
FROM line JOIN entry n ON n.num = line.entry LEFT JOIN entry k ON k.num = line.marked
LEFT JOIN thing s ON s.num = line.sensor LEFT JOIN thing t ON t.num = line.tyre LEFT JOIN thing m ON m.num = line.rim
LEFT JOIN thing c ON c.num = line.car LEFT JOIN thing w ON w.num = line."set"
WHERE :channel = '' OR line.kind <> 'reading' OR line.channel = :channel
ORDER BY line.at DESC, line.entry DESC, line.num DESC LIMIT :most
"""
"""Everything about one wheel, newest first: its events, its readings, and those of each sensor while it was in it."""


def wheel_history(conn: Connection, wheel: str, most: int = 1000, channel: str = "") -> tuple[Line, ...]:
    """The newest lines of one wheel's history, newest first, in one query. `channel`: only readings that came in by it; '' for all."""
    rows = conn.execute(text(_HISTORY), {"wheel": wheel, "most": most, "channel": channel}).mappings()
    return tuple(_line(dict(row)) for row in rows)


def _line(row: dict[str, Any]) -> Line:
    ids = {kind: row[f"{kind}_id"] for kind in ("sensor", "tyre", "rim", "car", "set")}
    r = reading_in(("wheel", ""), row["at"], row["channel"] or "", [row[name] for name in NOTED])
    return Line(
        at=Moment(row["at"], row["offset_min"]),
        recorded=Moment(row["recorded"], row["recorded_offset"]),
        kind=row["kind"],
        person=row["person"],
        via=row["via"],
        about=tuple((kind, one) for kind, one in ids.items() if one is not None),
        corner=row["corner"],
        hex=row["hex"],
        job=row["job"],
        channel=row["channel"],
        pressure=r.pressure,
        temperature=r.temperature,
        battery_low=r.battery_low,
        instrument=r.instrument,
        detail=json.loads(row["body"]),
        mistaken=row["why"],
        marked=None if row["marked"] is None else Moment(row["marked_at"], row["marked_offset"]),
        marked_by=row["marked_by"] or "",
        purpose=r.purpose,
        warmth=r.warmth,
        tyre=r.tyre,
        outside=r.outside,
        place=r.place,
        air=r.air,
        instrument_id=r.instrument_id,
    )


def last_gauged(conn: Connection) -> dict[str, int]:
    """For each wheel that was ever gauged, the moment of its newest reading, in microseconds since 1970."""
    query = (
        "SELECT t.key, MAX(r.at) AS at FROM reading r JOIN thing t ON t.num = r.subject"
        " WHERE t.kind = 'wheel' AND r.channel = 'gauge' AND r.pressure_kpa IS NOT NULL GROUP BY t.key"
    )
    return {str(row.key): int(row.at) for row in conn.execute(text(query))}


def mended_at(conn: Connection, wheels: Iterable[str]) -> dict[str, tuple[int, ...]]:
    """For each of some wheels the moments at which a leak was mended, or another tyre came on, in microseconds since 1970."""
    found: dict[str, tuple[int, ...]] = {}
    tyre: dict[str, int | None] = {}
    for row in _happened(conn, wheels, Happened.JOINED, Happened.MENDED):
        wheel = str(row.key)
        if row.kind == Happened.MENDED.value or tyre.get(wheel, row.tyre) != row.tyre:
            found[wheel] = (*found.get(wheel, ()), int(row.at))
        if row.kind == Happened.JOINED.value:
            tyre[wheel] = row.tyre
    return found


def given_to_shop(conn: Connection, wheel: str) -> Moment | None:
    """Since when a wheel is with a workshop; None where it is not, or is back."""
    since = None
    for row in _happened(conn, (wheel,), Happened.MENDED, Happened.AT_SHOP):
        since = Moment(int(row.at), int(row.offset_min)) if row.kind == Happened.AT_SHOP.value else None
    return since


def filled_at(conn: Connection, wheels: Iterable[str]) -> dict[str, tuple[int, ...]]:
    """For each of some wheels the moments of which somebody has said whether air was let in, in microseconds since 1970."""
    found: dict[str, tuple[int, ...]] = {}
    for row in _happened(conn, wheels, Happened.FILLED):
        found[str(row.key)] = (*found.get(str(row.key), ()), int(row.at))
    return found


def _happened(conn: Connection, wheels: Iterable[str], *kinds: Happened) -> Iterator[Row[Any]]:
    """What happened of some kinds to some wheels: `key`, `at`, `offset_min`, `kind`, `tyre`, by moment."""
    query = text(
        "SELECT t.key, e.at, e.offset_min, e.kind, e.tyre FROM event e JOIN thing t ON t.num = e.wheel"
        " WHERE t.kind = 'wheel' AND t.key IN :wheels AND e.kind IN :kinds ORDER BY e.at, e.num"
    ).bindparams(bindparam("wheels", expanding=True), bindparam("kinds", expanding=True))
    yield from conn.execute(query, {"wheels": sorted(set(wheels)), "kinds": [kind.value for kind in kinds]})


def last_pressures(conn: Connection) -> dict[str, tuple[int, GaugePressure]]:
    """For each wheel that was ever gauged, the moment (in microseconds since 1970) and the pressure of its newest reading."""
    query = (
        "SELECT t.key, r.at, r.pressure_kpa FROM reading r JOIN thing t ON t.num = r.subject"
        " WHERE t.kind = 'wheel' AND r.absolute = 0 AND r.pressure_kpa IS NOT NULL AND r.at ="
        " (SELECT MAX(o.at) FROM reading o WHERE o.subject = r.subject AND o.absolute = 0 AND o.pressure_kpa IS NOT NULL)"
    )
    return {str(row.key): (int(row.at), GaugePressure(row.pressure_kpa)) for row in conn.execute(text(query))}


def last_batteries(conn: Connection) -> dict[str, bool]:
    """For each sensor that ever told of its battery, whether it was low at the newest time."""
    query = (
        "SELECT t.key, r.battery_low FROM reading r JOIN thing t ON t.num = r.subject"
        " WHERE t.kind = 'sensor' AND r.battery_low IS NOT NULL AND r.at ="
        " (SELECT MAX(o.at) FROM reading o WHERE o.subject = r.subject AND o.battery_low IS NOT NULL)"
    )
    return {str(row.key): bool(row.battery_low) for row in conn.execute(text(query))}


def low_since(conn: Connection, subjects: Iterable[str]) -> dict[tuple[str, str], int]:
    """Of some sensors and wheels, by kind and id, those whose newest word on their battery is that it is low: from when on it always was,
    in microseconds since 1970."""
    query = text(
        "SELECT t.kind, t.key, MIN(r.at) AS at FROM reading r JOIN thing t ON t.num = r.subject"
        " WHERE t.kind IN ('sensor', 'wheel') AND t.key IN :keys AND r.battery_low = 1 AND NOT EXISTS"
        " (SELECT 1 FROM reading o WHERE o.subject = r.subject AND o.battery_low = 0 AND o.at >= r.at) GROUP BY t.kind, t.key"
    ).bindparams(bindparam("keys", expanding=True))
    found = conn.execute(query, {"keys": sorted(set(subjects))})
    return {(str(row.kind), str(row.key)): int(row.at) for row in found}
