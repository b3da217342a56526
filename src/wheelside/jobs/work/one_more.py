"""The one more fact that would change an answer most, and where it goes.

How warm it is today is no fact that is missing: a garage file states its conditions for every day.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.inquiry.course import besides
from wheelside.inquiry.query import Errand, Query
from wheelside.inquiry.rating import best, rated
from wheelside.jobs.garagedesk import BookDesk, GarageDesk, Where, at_desk
from wheelside.jobs.source import now
from wheelside.jobs.work.starting import car_of, must_ask


@dataclass(frozen=True, slots=True)
class OneMore:
    """`query`: the question, None where nothing would change it; `key`, `table`, `row`: where a garage file has its answer, '' where it
    has no single place; `book`: whether it is answered by a conversation at a book.
    """

    query: Query | None
    key: str = ""
    table: str = ""
    row: str = ""
    book: bool = False


def one_more(where: Where, errand: Errand, *, car: str | None = None, day: date | None = None) -> OneMore:
    """What to find out next, every question weighed. Raises BadFile, Outside."""
    on = day or now().day

    def work(desk: GarageDesk) -> OneMore:
        loaded, book = desk.load(), isinstance(desk, BookDesk)
        garage = loaded.garage
        one = car_of(garage, car or "")
        turn = must_ask(garage, one, on, errand)
        today = turn is not None and turn.query is not None and turn.query.code.startswith("today/")
        if one is None or (turn is not None and not today):
            return OneMore(turn.query if turn else None, book=book)
        query = best(rated(loaded.table, tuple(besides(garage, one, on, errand)), on, errand))
        return OneMore(query, *(_place(query.code) if query is not None else ("", "", "")), book)

    return at_desk(where, work)


def _place(code: str) -> tuple[str, str, str]:
    """Key, table and row of a single fact; of a set, the set's name stands for its rows."""
    head, _, rest = code.partition("/")
    row, _, key = rest.rpartition("/")
    if head == "car" and key:
        return key, "[[car]]", row
    if head == "set" and "." in key:
        kind, _, name = key.partition(".")
        return name, f"[[{kind}]]", row
    return (key, f"[{row}]", "") if head == "top" and row else ("", "", "")
