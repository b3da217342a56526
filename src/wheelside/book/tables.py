"""The tables of a book, as SQLAlchemy has them. The migrations make them; a test holds both together.

Moments are whole microseconds since 1970 in UTC, beside the zone's offset in minutes; days are ISO text;
bodies are JSON text. Rows are numbered by the one who writes, who is alone while doing it.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    SmallInteger,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.dialects import sqlite
from sqlalchemy.types import TypeEngine

BIG = BigInteger().with_variant(Integer(), "sqlite")
SMALL = SmallInteger().with_variant(Integer(), "sqlite")
REAL: TypeEngine[float] = Double().with_variant(sqlite.REAL(), "sqlite")

metadata = MetaData()


def _table(name: str, *parts: Any, rowid: bool = True) -> Table[Any]:
    """A table; each row carries a checksum of its other columns."""
    return Table(name, metadata, *parts, Column("checksum", BIG), sqlite_with_rowid=rowid, sqlite_strict=True)


book = _table(
    "book",
    Column("id", Text, primary_key=True),
    Column("made_at", BIG, nullable=False),
    Column("seal", Text, nullable=False),
)
"""One row: the book's permanent identifier, and the key with which it signs proofs (Ed25519, hex)."""

entry = _table(
    "entry",
    Column("num", BIG, primary_key=True, autoincrement=False),
    Column("at", BIG, nullable=False),
    Column("offset_min", SMALL, nullable=False),
    Column("person", Text, nullable=False),
    Column("via", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("client", Text, unique=True),
)
"""Every write: when it was recorded, by whom, by which way. `client` is an identifier made by the sender."""

fact = _table(
    "fact",
    Column("num", BIG, primary_key=True, autoincrement=False),
    Column("kind", Text, nullable=False),
    Column("key", Text, nullable=False),
    Column("place", Integer, nullable=False),
    Column("since", BIG, ForeignKey("entry.num"), nullable=False),
    Column("until", BIG, ForeignKey("entry.num")),
    Column("body", Text, nullable=False),
    UniqueConstraint("kind", "key", "since", name="fact_once_an_entry"),
    Index("fact_now", "until", "kind"),
)
"""Standing facts, one row a version: believed from entry `since` until entry `until`."""

garage_text = _table(
    "garage_text",
    Column("entry", BIG, ForeignKey("entry.num"), primary_key=True, autoincrement=False),
    Column("text", Text, nullable=False),
)
"""Garage files as they were taken in, with their comments and their order."""

thing = _table(
    "thing",
    Column("num", BIG, primary_key=True, autoincrement=False),
    Column("kind", Text, nullable=False),
    Column("key", Text, nullable=False),
    UniqueConstraint("kind", "key", name="thing_once"),
)
"""Everything that readings and events are about, by a short number."""

_ABOUT = tuple(Column(name, BIG, ForeignKey("thing.num")) for name in ("wheel", "sensor", "tyre", "rim", "car", "set"))

job = _table(
    "job",
    Column("id", Text, primary_key=True),
    Column("entry", BIG, ForeignKey("entry.num"), nullable=False),
    Column("title", Text, nullable=False),
    Column("day", Text, nullable=False),
    Column("body", Text, nullable=False),
)
"""One job, with the plan and the run sheet that it began with."""

job_end = _table(
    "job_end",
    Column("job", Text, ForeignKey("job.id"), primary_key=True),
    Column("entry", BIG, ForeignKey("entry.num"), nullable=False),
    Column("outcome", Text, nullable=False),
    Column("proof", Text),
)
"""How a job ended, and its proof as JSON where it was finished."""

event = _table(
    "event",
    Column("num", BIG, primary_key=True, autoincrement=False),
    Column("entry", BIG, ForeignKey("entry.num"), nullable=False),
    Column("at", BIG, nullable=False),
    Column("offset_min", SMALL, nullable=False),
    Column("kind", Text, nullable=False),
    *_ABOUT,
    Column("corner", Text),
    Column("hex", Text),
    Column("job", Text, ForeignKey("job.id")),
    Column("body", Text, nullable=False),
    Index("event_of_wheel", "wheel", "at"),
    Index("event_of_sensor", "sensor", "at"),
    Index("event_of_car", "car", "at"),
)
"""What happened: joined, parted, at a corner, off the car, an ID's state, taught. Only ever added to."""


def _noted() -> tuple[Column[Any], ...]:
    """What a reading says besides its subject, moment and channel, and the entry that noted it."""
    return (
        Column("pressure_kpa", REAL),
        Column("absolute", SMALL, nullable=False),
        Column("temperature_k", REAL),
        Column("battery_low", SMALL),
        Column("instrument", Text),
        Column("offset_min", SMALL, nullable=False),
        Column("entry", BIG, ForeignKey("entry.num"), nullable=False),
    )


def _said_later() -> tuple[Column[Any], ...]:
    """What readings say since layout 0007; NULL where it is not known."""
    return (
        Column("purpose", Text),
        Column("warmth", Text),
        Column("tyre_k", REAL),
        Column("outside_k", REAL),
        Column("place", Text),
        Column("air_kpa", REAL),
        Column("instrument_id", Text),
    )


reading = _table(
    "reading",
    Column("subject", BIG, ForeignKey("thing.num"), primary_key=True, autoincrement=False),
    Column("at", BIG, primary_key=True, autoincrement=False),
    Column("channel", Text, primary_key=True),
    *_noted(),
    *_said_later(),
    Index("reading_of_entry", "entry"),
    rowid=False,
)
"""Pressures and temperatures of a wheel or a sensor. Only ever added to, but for those that turn out to be mistaken."""

mistaken = _table(
    "mistaken",
    Column("num", BIG, primary_key=True, autoincrement=False),
    Column("subject", BIG, ForeignKey("thing.num"), nullable=False),
    Column("at", BIG, nullable=False),
    Column("channel", Text, nullable=False),
    *_noted(),
    Column("marked", BIG, ForeignKey("entry.num"), nullable=False),
    Column("why", Text, nullable=False),
    *_said_later(),
    Index("mistaken_of_subject", "subject", "at"),
)
"""Readings noted by mistake, as they were; `marked` is the entry that marked them. Only ever added to."""

evidence = _table(
    "evidence",
    Column("num", BIG, primary_key=True, autoincrement=False),
    Column("client", Text, nullable=False, unique=True),
    Column("entry", BIG, ForeignKey("entry.num"), nullable=False),
    Column("job", Text, ForeignKey("job.id"), nullable=False),
    Column("step", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("at", BIG, nullable=False),
    Column("spread_s", REAL, nullable=False),
    Column("offset_min", SMALL, nullable=False),
    Column("person", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("seen", BIG, nullable=False),
    Column("body", Text, nullable=False),
    Index("evidence_of_job", "job", "num"),
)
"""What was claimed at a step. `seen` is the last number of this job that the sender knew. Only ever added to."""

reservation = _table(
    "reservation",
    Column("num", BIG, primary_key=True, autoincrement=False),
    Column("entry", BIG, ForeignKey("entry.num"), nullable=False),
    Column("wheel", Text, nullable=False),
    Column("family", Text, nullable=False),
    Column("bits", SMALL, nullable=False),
    Column("hex", Text, nullable=False),
    Column("distance", SMALL, nullable=False),
    Column("since", Text, nullable=False),
    Column("released", BIG, ForeignKey("entry.num")),
)
"""Fresh IDs set aside; `released` is the entry that gave one up. A released one stays, never to be given out again."""

door_key = _table(
    "door_key",
    Column("digest", Text, primary_key=True),
    Column("made_at", BIG, nullable=False),
    Column("until", BIG, nullable=False),
    Column("used_at", BIG),
    Column("goes_to", Text, nullable=False),
)
"""One-time keys that let a browser in, as SHA-256 digests."""

visitor = _table(
    "visitor",
    Column("id", Text, primary_key=True),
    Column("digest", Text, nullable=False, unique=True),
    Column("label", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("made_at", BIG, nullable=False),
    Column("seen_at", BIG, nullable=False),
    Column("ended_at", BIG),
)
"""Browsers that were let in, by the digest of their token."""

shop_link = _table(
    "shop_link",
    Column("id", Text, primary_key=True),
    Column("digest", Text, nullable=False, unique=True),
    Column("job", Text, ForeignKey("job.id"), nullable=False),
    Column("made_at", BIG, nullable=False),
    Column("until", BIG, nullable=False),
    Column("ended_at", BIG),
)
"""Links for a tyre shop, each to the note of one job, by the digest of their token. They let no browser in, so they stand apart
from those that were."""

car_record = _table(
    "car_record",
    Column("num", BIG, primary_key=True, autoincrement=False),
    Column("car", Text, nullable=False),
    Column("visit", Text, nullable=False),
    Column("at", BIG, nullable=False),
    Column("offset_min", SMALL, nullable=False),
    Column("what", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("entry", BIG, ForeignKey("entry.num"), nullable=False),
    Index("car_record_car", "car", "num"),
)
"""What was read from a car and written to it, step by step; `visit` holds together what belongs to one. Only ever added to."""

car_lock = _table(
    "car_lock",
    Column("car", Text, primary_key=True),
    Column("visit", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("program", Text, nullable=False),
    Column("doing", Text, nullable=False),
    Column("since", BIG, nullable=False),
    Column("offset_min", SMALL, nullable=False),
    Column("seen", BIG, nullable=False),
)
"""Which visit writes into a car just now, since when, and when its program was heard of last. Whoever has ended, or died, is no record."""
