"""The one more fact that would change an answer most, and where it goes.

How warm it is today is no fact that is missing: a garage file states its conditions for every day.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.garage.file import complaints_of
from wheelside.garage.model import Car, Garage
from wheelside.inquiry.course import always, besides
from wheelside.inquiry.draft import Table
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


def one_more(
    where: Where, errand: Errand, *, car: str | None = None, wheel_set: str | None = None, day: date | None = None
) -> OneMore:
    """What to find out next, every question weighed. `wheel_set`: the set that may be bought, where it is not the one noted last.

    Raises BadFile, Outside.
    """
    on = day or now().day

    def work(desk: GarageDesk) -> OneMore:
        loaded, book = desk.load(), isinstance(desk, BookDesk)
        table = loaded.table if wheel_set is None else _offered_last(loaded.table, wheel_set)
        garage = loaded.garage if wheel_set is None else complaints_of(table)[0]
        one = car_of(garage, car or "")
        first = _first(garage, one, on, errand, named=wheel_set is not None)
        if one is None or (first is not None and not first.of_today):
            return OneMore(first, book=book)
        query = best(rated(table, tuple(besides(garage, one, on, errand)), on, errand))
        return OneMore(query, *(_place(query.code) if query is not None else ("", "", "")), book)

    return at_desk(where, work)


def _first(garage: Garage, car: Car | None, day: date, errand: Errand, *, named: bool) -> Query | None:
    """What has to be asked before all else. A set that is named is judged without knowing what is on the car."""
    if named and car is not None:
        return next(always(garage, car, day, errand), None)
    turn = must_ask(garage, car, day, errand)
    return turn.query if turn is not None else None


def _offered_last(table: Table, wheel_set: str) -> Table:
    """The table with one set as the one on offer that is talked about."""
    rows = [row for row in table.get("set", []) if row.get("id") != wheel_set]
    named = [{**row, "on_offer": True} for row in table.get("set", []) if row.get("id") == wheel_set]
    return {**table, "set": [*rows, *named]}


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
