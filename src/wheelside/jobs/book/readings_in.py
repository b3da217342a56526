"""Readings out of a file into a book: looked at first, asked about where they are odd, and kept all or none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

from wheelside.book.entry import Writing
from wheelside.book.reading import Reading
from wheelside.book.readings import Taken, add_readings
from wheelside.errors import BadFile, Problem
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.reading_cell import Asks, UnfitCell
from wheelside.jobs.book.reading_columns import LEFT_OUT, UNIT_IN_NAME, Matched, match_columns, plain, proposed, twice
from wheelside.jobs.book.reading_file import Grid, open_grid
from wheelside.jobs.book.reading_row import AskedFigure, How, Names, names_of, reading_of, row_of, said_of

MOST_PROBLEMS = 20
"""So many mistakes of a file are told; behind them it is read no further."""
SHOWN = 20


@dataclass(frozen=True, slots=True)
class Wrong:
    """A mistake of a file: its line and column, what was found and expected, what to do, what is asked.

    `near`: the column that a heading most likely stands for, where that is asked.
    """

    line: int
    column: str
    found: str
    expected: str
    way: str = ""
    asks: Asks | None = None
    near: str = ""


@dataclass(slots=True)
class FileFound:
    """What a file turned out to hold, filled while it is read: mistakes, and what is asked about."""

    problems: list[Wrong] = field(default_factory=list)
    asked: list[AskedFigure] = field(default_factory=list)

    @property
    def full(self) -> bool:
        return len(self.problems) + len(self.asked) >= MOST_PROBLEMS

    @property
    def clean(self) -> bool:
        return not (self.problems or self.asked)


def readings_of(
    grid: Grid, targets: Matched | Mapping[str, str], names: Names, how: How, found: FileFound
) -> Iterator[Reading]:
    """The readings of a grid, those of rows that can be read and are not odd; `found` is filled meanwhile.

    `targets`: what its columns say, or the owner's word on some of them by heading. Raises what the grid raises, BadRequest.
    """
    how = replace(how, decimal_comma=grid.decimal_comma, zone=how.zone or how.now.local.tzinfo)

    @cache
    def matched(headers: tuple[str, ...]) -> Matched | None:
        one = targets if isinstance(targets, Matched) else match_columns(headers, _of_these(headers, targets, grid))
        wrong = tuple(_wrong_columns(one))
        found.problems += wrong
        return None if wrong else one

    if grid.headers:
        matched(grid.headers)
    for line, headers, cells in grid.rows:
        columns = matched(headers)
        if columns is None:
            return
        try:
            reading, asked = reading_of(row_of(headers, columns.targets, cells), line, names, how)
        except UnfitCell as error:
            found.problems.append(Wrong(line, error.column, error.found, error.expected, error.way, error.asks))
        else:
            found.asked += asked
            if not asked:
                yield reading
        if found.full:
            return


def _of_these(headers: tuple[str, ...], given: Mapping[str, str], grid: Grid) -> Mapping[str, str]:
    """The owner's word; of a file whose rows carry their own headings that which is about these."""
    here = {plain(h) for h in headers}
    return given if grid.headers else {h: t for h, t in given.items() if h in here}


def _wrong_columns(matched: Matched) -> Iterator[Wrong]:
    for heading in (h[:60] for h in matched.unmatched):
        near = proposed(heading)
        expected = f"perhaps {near}" if near else "a column of readings"
        yield Wrong(1, heading, "a column that is not known", expected, "", Asks.COLUMN, near)
    for heading, other in twice(matched):
        yield Wrong(
            1, heading, f"a second column for what '{other}' says", "one column for it", "leave one of them out"
        )
    if "at" not in matched.targets and not matched.unmatched:
        found = f"the columns {', '.join(matched.headers)}"[:200]
        yield Wrong(1, "columns", found, "one that says when", "add a column 'at'")


def wrong_problem(one: Wrong) -> Problem:
    """A mistake with what to do on the command line."""
    ways = {
        Asks.COLUMN: f'--column "{one.column}={one.near or "NAME"}", or --column "{one.column}={LEFT_OUT}" to leave it out',
        Asks.DAY_ORDER: f"{one.way}: give --day-first or --month-first",
        Asks.UNIT: "give --unit kPa, --unit bar or --unit psi",
    }
    return Problem(one.line, one.column, one.found, one.expected, ways[one.asks] if one.asks else one.way)


def asked_problem(one: AskedFigure) -> Problem:
    """A figure that is asked about, with what to do on the command line."""
    found, expected, meant = said_of(one)
    ways = [f"{meant}? name the column {_renamed(one)}, or give --unit {one.odd.meant[0]}"] if meant else []
    if one.column in UNIT_IN_NAME and meant:
        ways = [f'{meant}? give --column "{one.column}={_renamed(one)}"']
    last = f"it really was that: --as-it-is, or --line {one.line}" if one.keepable else "no book keeps such a figure"
    return Problem(one.line, one.column, found, expected, "; ".join([*ways, last]))


def _renamed(one: AskedFigure) -> str:
    unit = one.odd.meant[0].lower()
    if one.column in UNIT_IN_NAME:
        return f"{one.column.rpartition('_')[0]}_{unit.removeprefix('°')}"
    return f"pressure_{unit}_{'absolute' if one.absolute else 'gauge'}"


def take_in_readings(
    desk: Desk, file: Path, *, columns: Mapping[str, str] | None = None, how: How | None = None, sheet: str = "", person: str = "",
) -> Taken:  # fmt: skip
    """Adds the readings of a file. Raises BadFile with its mistakes and what is asked about, Mendable, Outside; then nothing is kept."""
    grid = open_grid(file, sheet)
    with desk.writing(f"readings from {file.name}", person=person, via="command") as writing:
        return _kept(desk, writing, grid, columns or {}, how or How(), str(file))


def _kept(desk: Desk, writing: Writing, grid: Grid, targets: Matched | Mapping[str, str], how: How, name: str) -> Taken:
    """What became of a grid's readings, all of them kept. Raises BadFile where one is wrong or asked about."""
    how, found = replace(how, now=desk.clock()), FileFound()
    names = names_of(desk.loaded_in(writing.conn).garage)
    taken = add_readings(writing, readings_of(grid, targets, names, how, found), as_it_is=how.as_it_is)
    if not found.clean:
        raise BadFile(name, (*map(wrong_problem, found.problems), *map(asked_problem, found.asked)))
    return taken


@dataclass(frozen=True, slots=True)
class Looked:
    """What a file would give the book: its first readings, how many, what becomes of them, what is wrong, what is asked."""

    first: tuple[Reading, ...]
    count: int
    taken: Taken
    problems: tuple[Wrong, ...]
    asked: tuple[AskedFigure, ...]

    @property
    def clean(self) -> bool:
        return not (self.problems or self.asked)


class _LookedOnly(Exception):
    """Undoes the write by which it is found out what a file would do."""


def look_at_readings(desk: Desk, grid: Grid, matched: Matched, how: How) -> Looked:
    """What keeping the readings of a grid would do; nothing is kept. Raises what the grid raises, BadRequest, Outside."""
    how, found, first = replace(how, now=desk.clock()), FileFound(), list[Reading]()
    taken, count = Taken(0, 0), 0

    def noted() -> Iterator[Reading]:
        nonlocal count
        for reading in readings_of(grid, matched, names, how, found):
            count += 1
            if count <= SHOWN:
                first.append(reading)
            yield reading

    with _undone(desk) as writing:
        names = names_of(desk.loaded_in(writing.conn).garage)
        taken = add_readings(writing, noted(), as_it_is=how.as_it_is)
    return Looked(tuple(first), count, taken, tuple(found.problems), tuple(found.asked))


@contextmanager
def _undone(desk: Desk) -> Iterator[Writing]:
    """A write that is undone when it is done."""
    with suppress(_LookedOnly), desk.writing("readings looked at") as writing:
        yield writing
        raise _LookedOnly


def keep_readings(desk: Desk, grid: Grid, matched: Matched, how: How, name: str, *, person: str = "") -> Taken:
    """Keeps the readings of a grid. Raises BadFile where a row is wrong or asked about, BadRequest, Outside; then nothing is kept."""
    with desk.writing(f"readings from {name}", person=person, via="page") as writing:
        return _kept(desk, writing, grid, matched, how, name)
