"""Readings of wheels over a time as columns of numbers: absolute where that can be known, with what each rests on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection, bindparam, text

from wheelside.air.atmosphere import WEATHER_SPREAD_KPA, standard_air
from wheelside.book.reading import FIRST_US, LAST_US, NOTED, Reading, reading_in
from wheelside.said import Coded
from wheelside.units import AbsolutePressure, GaugePressure, Length, Temperature

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MEASURED_SPREAD_KPA = 0.5
"""Half-width of a measured air pressure. Judgement."""
_UNKNOWN = float("nan")


class RestsOn(Coded):
    """What an absolute pressure rests on."""

    NOTHING = "not-known", "not known: neither the air pressure nor the height of the place is"
    ABSOLUTE = "absolute", "told as absolute"
    AIR = "air", "gauge, and the air pressure that was measured there"
    HEIGHT = "height", "gauge, and the standard atmosphere at the height of the place"
    USUAL = "usual", "gauge, and the standard atmosphere at a height that is taken, for no place is known"


@dataclass(frozen=True, slots=True)
class Series:
    """Columns of one length, by wheel and then by time. A figure that is not known is not a number (NaN).

    `wheel`, `channel`, `rests_on`, `purpose`, `warmth` and `instrument` hold text: ids and codes, an instrument's name where it has no
    id. `at_us` is in microseconds since 1970, UTC. `gauge_kpa` is what was read against the air around, not a number for one told as
    absolute. `absolute_kpa` is against vacuum, `spread_kpa` how far the air around leaves it uncertain, half-width, the instrument's own
    not counted. `tyre_k` and `outside_k` are temperatures in kelvin. Mistaken readings are left out, and those without a pressure.
    """

    wheel: NDArray[np.str_]
    at_us: NDArray[np.int64]
    channel: NDArray[np.str_]
    absolute_kpa: NDArray[np.float64]
    spread_kpa: NDArray[np.float64]
    rests_on: NDArray[np.str_]
    tyre_k: NDArray[np.float64]
    outside_k: NDArray[np.float64]
    purpose: NDArray[np.str_]
    warmth: NDArray[np.str_]
    instrument: NDArray[np.str_]
    gauge_kpa: NDArray[np.float64]


_READ = ", ".join(f"r.{name}" for name in NOTED)
_QUERY = f"""
WITH joining AS (
    SELECT j.wheel, j.sensor, j.at AS since,
           (SELECT MIN(p.at) FROM event p WHERE p.wheel = j.wheel AND p.kind = 'parted' AND p.sensor = j.sensor
            AND p.at >= j.at AND p.num > j.num) AS until
    FROM event j JOIN thing w ON w.num = j.wheel
    WHERE j.kind = 'joined' AND j.sensor IS NOT NULL AND w.kind = 'wheel' AND w.key IN :wheels
)
SELECT w.key AS wheel, r.at, r.channel, {_READ} FROM reading r JOIN thing w ON w.num = r.subject
WHERE w.kind = 'wheel' AND w.key IN :wheels AND r.at >= :since AND r.at < :until AND r.pressure_kpa IS NOT NULL
UNION ALL
SELECT w.key AS wheel, r.at, r.channel, {_READ} FROM joining j JOIN reading r ON r.subject = j.sensor
JOIN thing w ON w.num = j.wheel
WHERE r.at >= j.since AND (j.until IS NULL OR r.at < j.until) AND r.at >= :since AND r.at < :until AND r.pressure_kpa IS NOT NULL
ORDER BY wheel, at, channel
"""  # noqa: S608  names of columns of ours
"""The readings of wheels, and those of each sensor while it was in one of them."""
_ONE_HOUR = "PARTITION BY q.wheel, q.channel, q.at / 3600000000 ORDER BY q.at"
_THIN = f"""
SELECT wheel, at, channel, {", ".join(NOTED)} FROM (
    SELECT q.*, ROW_NUMBER() OVER ({_ONE_HOUR}) AS first_of, ROW_NUMBER() OVER ({_ONE_HOUR} DESC) AS last_of FROM (
{_QUERY.replace("ORDER BY wheel, at, channel", "")}
    ) q
) h WHERE first_of = 1 OR last_of = 1 OR COALESCE(purpose, '') NOT IN ('', 'by-itself') ORDER BY wheel, at, channel
"""  # noqa: S608  names of columns of ours


def series_of(
    conn: Connection,
    wheels: Iterable[str],
    heights: Mapping[str, Length],
    since_us: int = FIRST_US,
    until_us: int = LAST_US,
    usual: Length | None = None,
    *,
    thin: bool = False,
) -> Series:
    """The pressures of wheels, from one moment until before another. `heights`: of places by id, above sea level.

    `usual`: the height that is taken for a reading of which no place is known, or not how high it lies; None takes none.
    `thin`: of what a wheel sends by itself within an hour, only the first and the last.
    """
    query = text(_THIN if thin else _QUERY).bindparams(bindparam("wheels", expanding=True))
    named = {"wheels": sorted(set(wheels)), "since": since_us, "until": until_us}
    rows = conn.execute(query, named)
    return _columns([reading_in(("wheel", row[0]), row[1], row[2], row[3:]) for row in rows], heights, usual)


def _columns(readings: list[Reading], heights: Mapping[str, Length], usual: Length | None) -> Series:
    import numpy as np

    known = [absolute(r, heights, usual) for r in readings]
    return Series(
        wheel=np.array([r.subject[1] for r in readings], dtype=np.str_),
        at_us=np.array([r.at_us for r in readings], dtype=np.int64),
        channel=np.array([r.channel for r in readings], dtype=np.str_),
        absolute_kpa=np.array([one.kpa for one in known], dtype=np.float64),
        spread_kpa=np.array([one.spread_kpa for one in known], dtype=np.float64),
        rests_on=np.array([one.rests_on.value for one in known], dtype=np.str_),
        tyre_k=np.array(list(_kelvin(r.tyre for r in readings)), dtype=np.float64),
        outside_k=np.array(list(_kelvin(r.outside for r in readings)), dtype=np.float64),
        purpose=np.array([r.purpose.value for r in readings], dtype=np.str_),
        warmth=np.array([r.warmth.value for r in readings], dtype=np.str_),
        gauge_kpa=np.array([r.pressure.kpa if isinstance(r.pressure, GaugePressure) else _UNKNOWN for r in readings]),
        instrument=np.array([r.instrument_id or r.instrument or "" for r in readings], dtype=np.str_),
    )


def _kelvin(temperatures: Iterable[Temperature | None]) -> Iterator[float]:
    return (_UNKNOWN if one is None else one.kelvin for one in temperatures)


@dataclass(frozen=True, slots=True)
class Absolute:
    """An absolute pressure in kPa, how far the air around leaves it uncertain, half-width, and what it rests on; NaN: not known."""

    kpa: float
    spread_kpa: float
    rests_on: RestsOn


_NOT_KNOWN = Absolute(_UNKNOWN, _UNKNOWN, RestsOn.NOTHING)


def absolute(r: Reading, heights: Mapping[str, Length], usual: Length | None = None) -> Absolute:
    """The absolute pressure of a reading. An air pressure that was measured goes before the height of the place, and that before `usual`."""
    if r.pressure is None:
        return _NOT_KNOWN
    if isinstance(r.pressure, AbsolutePressure):
        return Absolute(r.pressure.kpa, 0.0, RestsOn.ABSOLUTE)
    if r.air is not None:
        return Absolute(r.pressure.absolute(r.air).kpa, MEASURED_SPREAD_KPA, RestsOn.AIR)
    known = heights.get(r.place or "")
    height = known or usual
    if height is None:
        return _NOT_KNOWN
    rests_on = RestsOn.USUAL if known is None else RestsOn.HEIGHT
    return Absolute(r.pressure.absolute(standard_air(height)).kpa, WEATHER_SPREAD_KPA, rests_on)


def stamp_of(conn: Connection, wheels: Iterable[str]) -> tuple[tuple[int, int, int], ...]:
    """What changes whenever readings of some wheels or of sensors in them do, or something happened to the wheels."""
    named = {"wheels": sorted(set(wheels))}
    found = []
    for query in (_READINGS_STAMP, _EVENTS_STAMP):
        row = conn.execute(text(query).bindparams(bindparam("wheels", expanding=True)), named).one()
        found.append((int(row[0]), int(row[1] or 0), int(row[2] or 0)))
    return tuple(found)


def last_gauge(conn: Connection, wheels: Iterable[str]) -> str:
    """The gauge by which one of some wheels was read last, by its id, else its name; '' for none."""
    query = text(
        "SELECT r.instrument_id, r.instrument FROM reading r JOIN thing w ON w.num = r.subject WHERE w.kind = 'wheel' AND w.key IN :wheels"
        " AND r.channel = 'gauge' AND (r.instrument IS NOT NULL OR r.instrument_id IS NOT NULL) ORDER BY r.at DESC LIMIT 1"
    ).bindparams(bindparam("wheels", expanding=True))
    row = conn.execute(query, {"wheels": sorted(set(wheels))}).first()
    return "" if row is None else str(row[0] or row[1])


_READINGS_STAMP = """
SELECT COUNT(*), MAX(r.at), MAX(r.entry) FROM reading r WHERE r.subject IN (
    SELECT num FROM thing WHERE kind = 'wheel' AND key IN :wheels
    UNION SELECT j.sensor FROM event j JOIN thing w ON w.num = j.wheel WHERE j.sensor IS NOT NULL AND w.kind = 'wheel' AND w.key IN :wheels
)
"""
_EVENTS_STAMP = """
SELECT COUNT(*), MAX(e.at), MAX(e.entry) FROM event e JOIN thing w ON w.num = e.wheel WHERE w.kind = 'wheel' AND w.key IN :wheels
"""
