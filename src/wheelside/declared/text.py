"""From the bytes of a file to the tables of its TOML, or to what is wrong with it in words for people."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from typing import Any

from wheelside.declared.kinds import shown
from wheelside.declared.spreadsheet import FileKind, kind_of, named
from wheelside.errors import BadFile, Problem

Table = dict[str, Any]
LARGEST_BYTES = 2_000_000
MOST_VALUES, DEEPEST, MOST_PARTS = 120_000, 30, 30
"""So many values a file may hold, so deep in one another, behind keys of so many parts: far more than any file of ours has."""
_KEY_PART = r"""(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_LONG_KEY = re.compile(rf"(?<![\w-])(?:{_KEY_PART}[ \t]*+\.[ \t]*+){{{MOST_PARTS}}}")


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of file in words: what it is, and what to do where a file is too large, a spreadsheet or empty."""

    name: str
    too_large: str
    spreadsheet: str
    begin: str


def decode(data: bytes, file: str, sort: Sort) -> str:
    """The text of a file. Raises BadFile where it is too large, empty, a spreadsheet or not UTF-8."""
    if len(data) > LARGEST_BYTES:
        found = f"{len(data)} bytes"
        raise BadFile(file, (Problem(None, "file", found, f"at most {LARGEST_BYTES} bytes", sort.too_large),))
    kind = kind_of(data)
    if kind is not None:
        way = sort.spreadsheet.format(first="save it as .xlsx or .ods, then " if kind is FileKind.OLD else "")
        raise BadFile(file, (Problem(None, "file", named(kind), f"{sort.name}, which is TOML text", way),))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        found = f"the byte 0x{data[error.start]:02X}"
        raise BadFile(file, (Problem(line, "file", found, "UTF-8 text", "save it as UTF-8"),)) from error
    if not text.strip():
        raise BadFile(file, (Problem(1, "file", "an empty file", sort.name, sort.begin),))
    return text.replace("\r\n", "\n")


def read_toml(text: str, file: str) -> Table:
    """The tables of a text. Raises BadFile where it is no TOML, or holds more than any of our files does."""
    if found := _LONG_KEY.search(text):
        raise _too_deep(file, text.count("\n", 0, found.start()) + 1)
    try:
        table = tomllib.loads(text)
    except ValueError as error:  # TOMLDecodeError, and Python's own word on numbers of thousands of digits
        raise _no_toml(text, file, error) from error
    except RecursionError as error:
        raise _too_deep(file, None) from error
    _refuse_much(table, file)
    return table


def _too_deep(file: str, line: int | None) -> BadFile:
    return BadFile(
        file, (Problem(line, "TOML", "brackets or keys nested too deep", "a TOML file", "remove the nesting"),)
    )


def _refuse_much(table: Table, file: str) -> None:
    """Raises BadFile for tables that are nested too deep, or hold too much."""
    level: list[Any] = [table]
    count, depth = len(table), 0
    while level:
        level = [
            item
            for one in level
            for item in (one.values() if isinstance(one, dict) else one)
            if isinstance(item, (dict, list))
        ]
        count, depth = count + sum(map(len, level)), depth + 1
        if depth > DEEPEST:
            raise _too_deep(file, None)
    if count > MOST_VALUES:
        found = f"{count} values"
        raise BadFile(file, (Problem(None, "file", found, f"at most {MOST_VALUES}", "look at what it is, or part it"),))


def _no_toml(text: str, file: str, error: ValueError) -> BadFile:
    found = re.search(r"^(.*?)\s*\(at (?:line (\d+), column (\d+)|end of document)\)", str(error))
    line = int(found[2]) if found and found[2] else text.count("\n") + 1
    what = found[1] if found else str(error)
    row = text.split("\n")[line - 1]
    expected, fix = _toml_hint(row, what)
    if line == 1 and file.lower().endswith((".csv", ".tsv")):
        expected, fix = "a garage file or a book", f"readings go into a book: wheelside book import BOOK {file}"
    return BadFile(file, (Problem(line, "TOML", f"{what}: {shown(row.strip())}", expected, fix),))


def _toml_hint(row: str, what: str) -> tuple[str, str]:
    """What a person most likely meant on a line that is no TOML: what was expected, and what to do."""
    if any(quote in row for quote in "\u201c\u201d\u201e\u2018\u2019"):
        return "straight quotes", 'write straight quotes (" ") in place of the curly ones'
    if "overwrite" in what or "twice" in what:
        return "a key once in its table", "take out the second one, or put [[…]] above it to begin another row"
    if "date" in what.lower():
        return "a day that there is", "write year-month-day, as in 2026-02-28"
    if re.match(r"\s*[\w-]+\s*=\s*0\d", row):
        return "text in quotes", 'an ID is text: write it in quotes, as in printed = "0742500339"'
    if re.match(r"\s*[\w-]+\s*=\s*[A-Za-z]", row):
        return "text in quotes", 'text goes between straight quotes, as in monitor = "direct"'
    return "a TOML file", "mend this line first; the rest is read then"
