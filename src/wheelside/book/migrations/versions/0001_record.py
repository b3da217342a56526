"""The record: facts, readings, events, jobs, evidence and reserved IDs."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import sqlite

revision = "0001"
down_revision = None

BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
SMALL = sa.SmallInteger().with_variant(sa.Integer(), "sqlite")
REAL: sa.types.TypeEngine[float] = sa.Double().with_variant(sqlite.REAL(), "sqlite")


def _number(name: str, **options: bool) -> sa.Column[int]:
    return sa.Column(name, BIG, autoincrement=False, **options)  # type: ignore[arg-type]


def _entry(name: str = "entry", **options: bool) -> sa.Column[int]:
    return sa.Column(name, BIG, sa.ForeignKey("entry.num"), **options)  # type: ignore[arg-type]


def _text(name: str, **options: bool) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, **options)  # type: ignore[arg-type]


def upgrade() -> None:
    """Makes the tables."""
    _journal()
    _standing()
    _jobs()
    _happened()
    op.create_table(
        "reservation", _number("num", primary_key=True), _entry(nullable=False), _text("wheel"), _text("family"),
        sa.Column("bits", SMALL, nullable=False), _text("hex"), sa.Column("distance", SMALL, nullable=False),
        _text("since"), _entry("released"), sqlite_strict=True,
    )  # fmt: skip


def _journal() -> None:
    op.create_table(
        "book",
        _text("id", primary_key=True),
        sa.Column("made_at", BIG, nullable=False),
        _text("seal"),
        sqlite_strict=True,
    )
    op.create_table(
        "entry", _number("num", primary_key=True), sa.Column("at", BIG, nullable=False),
        sa.Column("offset_min", SMALL, nullable=False), _text("person"), _text("via"), _text("what"),
        sa.Column("client", sa.Text, unique=True), sqlite_strict=True,
    )  # fmt: skip


def _standing() -> None:
    op.create_table(
        "fact", _number("num", primary_key=True), _text("kind"), _text("key"),
        sa.Column("place", sa.Integer, nullable=False), _entry("since", nullable=False), _entry("until"), _text("body"),
        sa.UniqueConstraint("kind", "key", "since", name="fact_once_an_entry"), sqlite_strict=True,
    )  # fmt: skip
    op.create_index("fact_now", "fact", ["until", "kind"])
    op.create_table("garage_text", _entry(primary_key=True, autoincrement=False), _text("text"), sqlite_strict=True)
    op.create_table(
        "thing",
        _number("num", primary_key=True),
        _text("kind"),
        _text("key"),
        sa.UniqueConstraint("kind", "key", name="thing_once"),
        sqlite_strict=True,
    )


def _jobs() -> None:
    op.create_table(
        "job",
        _text("id", primary_key=True),
        _entry(nullable=False),
        _text("title"),
        _text("day"),
        _text("body"),
        sqlite_strict=True,
    )
    op.create_table(
        "job_end", sa.Column("job", sa.Text, sa.ForeignKey("job.id"), primary_key=True), _entry(nullable=False),
        _text("outcome"), sa.Column("proof", sa.Text), sqlite_strict=True,
    )  # fmt: skip
    op.create_table(
        "evidence", _number("num", primary_key=True), _text("client", unique=True), _entry(nullable=False),
        sa.Column("job", sa.Text, sa.ForeignKey("job.id"), nullable=False), _text("step"), _text("kind"),
        sa.Column("at", BIG, nullable=False), sa.Column("spread_s", REAL, nullable=False),
        sa.Column("offset_min", SMALL, nullable=False), _text("person"), _text("device"),
        sa.Column("seen", BIG, nullable=False), _text("body"), sqlite_strict=True,
    )  # fmt: skip
    op.create_index("evidence_of_job", "evidence", ["job", "num"])


def _happened() -> None:
    about = [
        sa.Column(name, BIG, sa.ForeignKey("thing.num")) for name in ("wheel", "sensor", "tyre", "rim", "car", "set")
    ]
    op.create_table(
        "event", _number("num", primary_key=True), _entry(nullable=False), sa.Column("at", BIG, nullable=False),
        sa.Column("offset_min", SMALL, nullable=False), _text("kind"), *about, sa.Column("corner", sa.Text),
        sa.Column("hex", sa.Text), sa.Column("job", sa.Text, sa.ForeignKey("job.id")), _text("body"),
        sqlite_strict=True,
    )  # fmt: skip
    for name in ("wheel", "sensor", "car"):
        op.create_index(f"event_of_{name}", "event", [name, "at"])
    op.create_table(
        "reading", sa.Column("subject", BIG, sa.ForeignKey("thing.num"), primary_key=True, autoincrement=False),
        _number("at", primary_key=True), _text("channel", primary_key=True), sa.Column("pressure_kpa", REAL),
        sa.Column("absolute", SMALL, nullable=False), sa.Column("temperature_k", REAL),
        sa.Column("battery_low", SMALL), sa.Column("instrument", sa.Text),
        sa.Column("offset_min", SMALL, nullable=False), _entry(nullable=False), sqlite_strict=True,
        sqlite_with_rowid=False,
    )  # fmt: skip
    op.create_index("reading_of_entry", "reading", ["entry"])
