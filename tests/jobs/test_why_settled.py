"""How many lines of the usual routing a book settles by itself, with nothing asked but the gate and what the lamp does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from books import later
from garages import demo_table, row, seeded
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.gauging import HowRead, keep_gauging
from wheelside.jobs.work.why_evidence import known_of
from wheelside.why.belief import believe

FOUR = {"front left": "2.40", "front right": "2.40", "rear left": "2.35", "rear right": "2.34", "outside": "8"}
SETTLED = 0.7
"""From this chance on the causes that a line names are taken to be found, as a leak is said from it on."""
Table = dict[str, Any]


def as_it_is(table: Table) -> None:
    """Nothing of the household otherwise."""


def worked_on(table: Table) -> None:
    """Tyres changed five days ago."""
    for wheel in table["wheel"][:4]:
        wheel["joined"][0]["since"] = date(2026, 11, 20)


def old_sensors(table: Table) -> None:
    """Sensors of nine years, no work for two years."""
    for n in range(1, 5):
        row(table, "sensor", f"sensor S{n}")["first_used"] = date(2017, 10, 1)
        row(table, "wheel", f"S{n}")["joined"][0]["since"] = date(2024, 10, 1)


def spare_watched(table: Table) -> None:
    row(table, "car", "estate")["spare_counted"] = True


@dataclass(frozen=True)
class BookLine:
    """`low`: corners that a gauging of today shows too low, None for no gauging."""

    name: str
    behaviour: str
    facts: Callable[[Table], None]
    low: tuple[str, ...] | None
    named: tuple[str, ...]
    settled: bool


LINES = (
    BookLine("steady, one low", "steady", as_it_is, ("rear left",), ("puncture", "leak"), settled=True),
    BookLine("steady, all low", "steady", as_it_is, tuple(FOUR)[:4], ("low-all", "set-wrongly"), settled=True),
    BookLine("steady, all right", "steady", spare_watched, (), ("reference", "spare", "clone-near", "corners"), settled=False),
    BookLine(
        "flashes, worked on this week", "flashes", worked_on, (),
        ("not-taught", "half-taught", "asleep", "no-sensor", "other-kind", "broken", "wrong-id"), settled=True,
    ),
    BookLine("flashes, old, no work", "flashes", old_sensors, (), ("battery", "receiver", "disturbed"), settled=True),
    BookLine(
        "off at first, then flashes", "comes-goes", old_sensors, (),
        ("battery", "asleep", "not-taught", "disturbed", "other-kind"), settled=True,
    ),
    BookLine("cold mornings, all low", "comes-goes", as_it_is, tuple(FOUR)[:4], ("low-all",), settled=False),
    BookLine("cold mornings, all right", "comes-goes", old_sensors, (), ("battery",), settled=True),
    BookLine("one figure wrong", "steady", as_it_is, (), ("corners", "clone-near", "others-taught"), settled=False),
    BookLine("any set of wheels", "flashes", as_it_is, (), ("receiver", "disturbed", "reference", "spare"), settled=False),
)  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    made = new_desk(str(tmp_path / "why.book"), clock=lambda: later(0))
    made.bits = seeded()
    yield made
    made.close()


@pytest.mark.parametrize("line", LINES, ids=lambda line: line.name)
def test_what_a_book_settles_before_anything_is_tried(desk: Desk, line: BookLine) -> None:
    table = demo_table()
    line.facts(table)
    take_in_text(desk, tomli_w.dumps(table), "household.toml")
    if line.low is not None:
        keep_gauging(desk, "estate", {**FOUR, **dict.fromkeys(line.low, "1.70")}, HowRead())
    case = known_of(desk, "estate")
    found = believe(case.table, case.seen({"lamp-at-start": line.behaviour}))
    together = sum(p for mine, p in found.several.items() if set(mine) & set(line.named))
    assert (together >= SETTLED) is line.settled, together
    if line.settled:
        assert found.likeliest in line.named


def test_six_of_ten_are_settled_by_the_book() -> None:
    assert sum(line.settled for line in LINES) == 6
