"""Cells of a spreadsheet, .xlsx or .ods. Only here is the library that reads them used.

It reads in a process of its own, with a limit to its memory and its time: a few bytes can describe a sheet of more cells
than any machine holds, and the library ends its process then.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from typing import Any

from wheelside.errors import BadRequest, Outside

Cell = str | float | bool | None
"""What stands in a cell: text, a number, a yes or no, nothing. Days and times are text, as in ISO 8601."""
LARGEST = 20_000_000
MEMORY = 480_000_000
SECONDS = 6
MOST_CELLS = 1_000_000
LONGEST = 5_000
"""So many characters a cell may hold: notes of people are shorter."""


@dataclass(frozen=True, slots=True)
class SheetRows:
    """One sheet: its rows from the first one that has a cell, with the number of that row; the names of all sheets."""

    name: str
    first: int
    rows: tuple[tuple[Cell, ...], ...]
    names: tuple[str, ...]


def read_sheet(data: bytes, file: str, sheet: str = "") -> SheetRows:
    """The sheet of that name, else the first visible one with cells; values where cells hold formulas.

    Raises BadRequest where it can't be read, is too large, or there is no such sheet; Outside where no process can be started.
    """
    if len(data) > LARGEST:
        raise BadRequest(f"{file} is larger than {LARGEST // 1_000_000} MB: take other sheets out", found=file)
    answer = _answer(data, file, sheet)
    if "wrong" in answer:
        raise BadRequest(
            f"{file} is a spreadsheet that can't be read ({answer['wrong']}): save it again, or save it as CSV",
            found=file,
        )
    if "name" not in answer:
        names = ", ".join(answer["names"]) or "none"
        wanted = f"no sheet '{sheet}'" if sheet else "no sheet with anything on it"
        raise BadRequest(f"{file} has {wanted}: its sheets are {names}", found=sheet, expected=names)
    rows = tuple(tuple(row) for row in answer["rows"])
    return SheetRows(answer["name"], answer["first"], rows, tuple(answer["names"]))


def _answer(data: bytes, file: str, sheet: str) -> dict[str, Any]:
    command = [sys.executable, "-P", "-c", "from wheelside.jobs.book.spreadsheet import work; work()", sheet]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    try:
        done = subprocess.run(  # noqa: S603  this program itself
            command, input=data, capture_output=True, timeout=3 * SECONDS, check=False, env=env
        )
        answer: dict[str, Any] = json.loads(done.stdout)
    except (subprocess.TimeoutExpired, ValueError) as error:
        raise BadRequest(
            f"{file} is a spreadsheet that is too large, or damaged: save only the sheet with the readings, or save it as CSV",
            found=file,
        ) from error
    except OSError as error:
        raise Outside(f"reading {file}: {error.strerror or error}; try again, or save it as CSV") from error
    return answer


def work() -> None:
    """What the process does: a spreadsheet from standard input, its cells as JSON to standard output."""
    _limit()
    answer = _cells(sys.stdin.buffer.read(), sys.argv[1])
    sys.stdout.write(json.dumps(answer, allow_nan=False))


def _limit() -> None:
    try:
        import resource
    except ImportError:  # no such limits on this system
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _cells(data: bytes, wanted: str) -> dict[str, Any]:
    import io

    from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        shown = [m.name for m in book.sheets_metadata if _readable(m, SheetTypeEnum, SheetVisibleEnum)]
        for name in [n for n in (book.sheet_names if wanted else shown) if wanted in ("", n)]:
            sheet = book.get_sheet_by_name(name)
            if wanted or sheet.start is not None:
                return {"names": shown, "name": name, **_rows(sheet)}
    except (CalamineError, ValueError, OverflowError) as error:
        return {"wrong": str(error)[:200]}
    return {"names": shown}


def _readable(meta: Any, kind: Any, visible: Any) -> bool:
    return bool(meta.typ == kind.WorkSheet and meta.visible == visible.Visible)


def _rows(sheet: Any) -> dict[str, Any]:
    if sheet.start is None:
        return {"first": 1, "rows": []}
    if sheet.height * sheet.width > MOST_CELLS:
        raise ValueError(f"{sheet.height} rows and {sheet.width} columns, at most {MOST_CELLS} cells")
    rows = [[_cell(value) for value in row] for row in sheet.to_python(skip_empty_area=True)]
    return {"first": sheet.start[0] + 1, "rows": rows}


def _cell(value: Any) -> Cell:
    """A value as JSON has it; days, times and lengths of time as text."""
    if value == "" or value is None:
        return None
    if isinstance(value, str) and len(value) > LONGEST:
        raise ValueError(f"a cell of {len(value)} characters, at most {LONGEST}")
    if isinstance(value, (str, bool, int, float)):
        return value
    return str(value.isoformat()) if hasattr(value, "isoformat") else str(value)
