"""One million readings into the book, against bare SQLite and bare PostgreSQL with the same rows, tables and indexes.

    python benchmarks/ingest.py                 a million readings of 400 sensors, three runs of each
    python benchmarks/ingest.py --rows 100000   fewer of them; --runs sets how often, --csv how large the CSV file is

The book takes readings in by the function that everything in it uses, as one write. Bare is the same prepared rows by
`sqlite3`'s executemany, and by psycopg's binary COPY, in one transaction into a table that the same migrations made.
Runs take turns, each with a new book; the least of each counts. PostgreSQL's server is one of its own, on loopback.
Prints rows a second of both and the ratio, which the project holds to at least 0.5 of bare speed; and, for
information, a CSV file taken in from end to end. Making the rows is not timed.
"""

from __future__ import annotations

import argparse
import gc
import random
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any

from wheelside.book.reading import Reading
from wheelside.book.readings import add_readings
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in
from wheelside.jobs.book.reading_file import write_readings
from wheelside.jobs.book.readings_in import take_in_readings
from wheelside.units import GaugePressure, Temperature

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

BAR = 0.5
SENSORS = 400
SEED = 20261125
BEGINNING_US = 1_795_600_000_000_000
EVERY_US = 60_000_000
"""All sensors are heard once a minute."""
COLUMNS = (
    "subject", "at", "channel", "pressure_kpa", "absolute", "temperature_k", "battery_low", "instrument", "offset_min", "entry",
)  # fmt: skip
TYPES = ("int8", "int8", "text", "float8", "int2", "float8", "int2", "text", "int2", "int8")
Row = tuple[Any, ...]
Places = Callable[[], str]


@dataclass(frozen=True)
class Given:
    """The same readings twice: as the book takes them, and as rows ready for the table."""

    readings: list[Reading]
    rows: list[Row]


def made(rows: int) -> Given:
    """Readings round robin over the sensors."""
    draw = random.Random(SEED)
    readings = [one(draw, n) for n in range(rows)]
    ready = [_row(n, r) for n, r in enumerate(readings)]
    return Given(readings, ready)


def _row(n: int, r: Reading) -> Row:
    kpa, kelvin = r.pressure.kpa if r.pressure else None, r.temperature.kelvin if r.temperature else None
    return (n % SENSORS + 1, r.at_us, r.channel, kpa, 0, kelvin, int(r.battery_low or 0), None, r.offset_min, 1)


def one(draw: random.Random, n: int) -> Reading:
    """One reading as a receiver hears it."""
    at = BEGINNING_US + n // SENSORS * EVERY_US + draw.randrange(EVERY_US)
    kpa, kelvin = round(draw.gauss(230, 15), 1), round(draw.gauss(283, 8), 1)
    subject = ("sensor", f"x{n % SENSORS}")
    return Reading(
        subject,
        at,
        "receiver",
        GaugePressure(kpa),
        Temperature(kelvin),
        battery_low=draw.random() < 0.01,
        offset_min=60,
    )


@contextmanager
def book_at(place: str) -> Iterator[Desk]:
    """A new book, empty but for its first entry."""
    with tempfile.TemporaryDirectory() as photos:
        desk = new_desk(place, Path(photos))
        try:
            yield desk
        finally:
            desk.close()


def ours(place: str, given: Given) -> float:
    """Seconds to take readings into a new book, from the first statement to the end of the transaction."""
    with book_at(place) as desk:
        start = time.perf_counter()
        with desk.writing("readings", via="benchmark") as writing:
            taken = add_readings(writing, given.readings)
        took = time.perf_counter() - start
    assert taken.new == len(given.rows), taken
    return took


def bare_sqlite(place: str, given: Given) -> float:
    """Seconds for executemany into the table of a new book, with the book's own settings."""
    with book_at(place):
        pass
    conn = sqlite3.connect(place, isolation_level=None)
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "trusted_schema = OFF"):
        conn.execute(f"PRAGMA {pragma}")
    conn.executemany(
        "INSERT INTO thing (num, kind, key) VALUES (?, 'sensor', ?)", ((n + 1, f"x{n}") for n in range(SENSORS))
    )
    start = time.perf_counter()
    conn.execute("BEGIN IMMEDIATE")
    columns, marks = ", ".join(COLUMNS), ", ".join("?" * len(COLUMNS))
    conn.executemany(f"INSERT INTO reading ({columns}) VALUES ({marks})", given.rows)  # noqa: S608  names of ours
    conn.execute("COMMIT")
    took = time.perf_counter() - start
    assert conn.execute("SELECT count(*) FROM reading").fetchone() == (len(given.rows),)
    conn.close()
    return took


def bare_postgres(place: str, given: Given) -> float:
    """Seconds for a binary COPY into the table of a new book."""
    import psycopg

    with book_at(place):
        pass
    with psycopg.connect(place) as conn:
        with conn.cursor() as cursor:
            cursor.executemany(
                "INSERT INTO thing (num, kind, key) VALUES (%s, 'sensor', %s)",
                [(n + 1, f"x{n}") for n in range(SENSORS)],
            )
        conn.commit()
        start = time.perf_counter()
        columns = ", ".join(COLUMNS)
        with conn.cursor() as cursor, cursor.copy(f"COPY reading ({columns}) FROM STDIN (FORMAT BINARY)") as copy:
            copy.set_types(TYPES)
            for row in given.rows:
                copy.write_row(row)
        conn.commit()
        took = time.perf_counter() - start
        assert conn.execute("SELECT count(*) FROM reading").fetchone() == (len(given.rows),)
    return took


def compare(name: str, places: Places, bare: Callable[[str, Given], float], given: Given, runs: int) -> bool:
    """Prints rows a second of both and their ratio; whether it reaches the bar."""
    pairs = [(ours(places(), given), bare(places(), given)) for _ in range(runs)]
    mine, least = (min(side) for side in zip(*pairs, strict=True))
    ratio, rows = least / mine, len(given.rows)
    each = "; ".join(f"{a:.2f}/{b:.2f}" for a, b in pairs)
    print(f"{name}: {rows / mine:,.0f} rows/s, bare {rows / least:,.0f} rows/s, ratio {ratio:.2f} (bar {BAR})")
    print(f"  seconds of each run, ours/bare: {each}", flush=True)
    return bool(ratio >= BAR)


def from_csv(name: str, place: str, readings: list[Reading], folder: Path) -> None:
    """Prints what taking a CSV file in costs, checks of every row included."""
    file, garage = folder / "readings.csv", folder / "garage.toml"
    file.unlink(missing_ok=True)
    write_readings(file, readings)
    garage.write_text("wheelside = 1\n" + "".join(f'[[sensor]]\nid = "x{n}"\n' for n in range(SENSORS)))
    with book_at(place) as desk:
        take_in(desk, garage)
        start = time.perf_counter()
        taken = take_in_readings(desk, file)
        took = time.perf_counter() - start
    assert taken.new == len(readings), taken
    size = file.stat().st_size / 1e6
    print(f"{name}: CSV of {len(readings):,} rows ({size:.1f} MB) in {took:.2f} s, {len(readings) / took:,.0f} rows/s")


def files_in(folder: Path) -> Places:
    """Names for new books; the file before is taken away, so that no more than one fills the disk."""
    numbers = count()

    def place() -> str:
        for old in folder.glob("*.book*"):
            old.unlink()
        return str(folder / f"{next(numbers)}.book")

    return place


def databases_of(server: str) -> Places:
    """New databases; the one before is taken away."""
    import psycopg

    from servers import new_database

    numbers = count()

    def place() -> str:
        number = next(numbers)
        if number:
            with suppress(psycopg.Error), psycopg.connect(f"{server}/postgres", autocommit=True) as conn:
                conn.execute(f"DROP DATABASE speed{number - 1} WITH (FORCE)")
        return new_database(server, f"speed{number}")

    return place


def main() -> int:
    """0 where both bars are kept, else 1."""
    from servers import postgres

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--csv", type=int, default=100_000)
    asked = parser.parse_args()
    given = made(max(asked.rows, asked.csv))
    some, given = given.readings[: asked.csv], Given(given.readings[: asked.rows], given.rows[: asked.rows])
    gc.collect()
    gc.freeze()  # what was made beforehand is no garbage: neither side pays for looking through it
    with tempfile.TemporaryDirectory(prefix="wheelside-ingest-") as name, postgres() as server:
        files, databases = files_in(Path(name)), databases_of(server)
        kept = [
            compare("SQLite", files, bare_sqlite, given, asked.runs),
            compare("PostgreSQL", databases, bare_postgres, given, asked.runs),
        ]
        from_csv("SQLite", files(), some, Path(name))
        from_csv("PostgreSQL", databases(), some, Path(name))
    return 0 if all(kept) else 1


if __name__ == "__main__":
    sys.exit(main())
