"""A garage is loaded from a file and from a book by one reading, and its mistakes are named where they are."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from wheelside.book.facts import as_table, facts_now, replace_facts
from wheelside.errors import BadFile
from wheelside.garage.file import complaints_of
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.garagedesk import at_desk, load_garage


def broken(home: Desk, tmp_path: Path, key: str, value: object) -> BadFile:
    """What loading says of a book whose second car has a wrong value."""
    with home.book.reading() as conn:
        table = as_table(facts_now(conn))
    table["car"][1][key] = value
    with home.writing("by another program") as writing:
        replace_facts(writing, table)
    home.close()
    with pytest.raises(BadFile) as caught:
        load_garage(tmp_path / "home.book")
    return caught.value


def test_a_book_holds_the_garage_of_the_file_that_was_taken_in(home: Desk, file: Path, tmp_path: Path) -> None:
    book = at_desk(tmp_path / "home.book", lambda desk: desk.load())
    assert book.garage == load_garage(file)
    assert book.table["car"] == tomllib.loads(file.read_text(encoding="utf-8"))["car"]


@pytest.mark.parametrize(
    ("key", "value", "found"),
    [
        ("band", 3, "3"),  # by its declaration
        ("stands_at", "nowhere", "'nowhere'"),  # a reference
        ("speed_symbol", "O", "'O'"),  # what a row must not say
    ],
)
def test_a_mistake_in_a_books_row_is_named_by_table_row_and_key(
    home: Desk, tmp_path: Path, key: str, value: object, found: str
) -> None:
    (problem,) = broken(home, tmp_path, key, value).problems
    assert (problem.line, problem.key, problem.found) == (None, f"car[2].{key}", found)


def test_rows_of_a_newer_format_are_refused_and_not_half_read() -> None:
    _, found = complaints_of({"wheelside": 2, "car": 3})
    assert [(c.path, c.found) for c in found] == [(("wheelside",), "format 2")]
