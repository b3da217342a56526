"""A garage read as if some of its facts were others, for one run."""

from __future__ import annotations

import copy
from collections.abc import Iterable

from wheelside.declared.kinds import shown
from wheelside.declared.read import Complaint, spoken
from wheelside.declared.text import Table, read_toml
from wheelside.errors import BadFile, BadRequest
from wheelside.garage.file import complaints_of
from wheelside.garage.model import Garage
from wheelside.garage.rows import NAMED, SINGLE, expanded

UNKNOWN = "unknown"
"""The value that takes a fact away."""
EXAMPLE = "car.estate.remembers_sets = 1"
_NEW = ("place", "writer")
"""Tables in which a row may be supposed that the file does not have."""


def supposing(table: Table, facts: Iterable[str]) -> Garage:
    """The garage that a table describes, with `facts` in place of what it says of them; the table stays as it is.

    A fact is one line of TOML that names table, row and key: 'car.estate.remembers_sets = 1',
    'path.carport.shed.heard = "no"', 'stay.summer.at = "shed"', 'costs.hour = "30 EUR"'; with the value "unknown" it is
    taken away. Raises BadRequest for a fact that can't be.
    """
    changed, lines = copy.deepcopy(table), list(facts)
    for line in lines:
        _apply(changed, line)
    garage, complaints = complaints_of(changed)
    if complaints:
        raise _refused(lines, complaints[0])
    return garage


def _refused(lines: list[str], complaint: Complaint) -> BadRequest:
    way = f": {complaint.suggestion}" if complaint.suggestion else ""
    text = f"with {' and '.join(lines)}, {spoken(complaint.path)} would be {complaint.found}; expected {complaint.expected}{way}"
    return BadRequest(text, found=complaint.found, expected=complaint.expected)


def _bad(line: str, why: str, expected: str) -> BadRequest:
    return BadRequest(f"--if {line}: {why}; write it as in --if '{EXAMPLE}'", found=line, expected=expected)


def _apply(table: Table, line: str) -> None:
    try:
        said = read_toml(line, "--if")
    except BadFile as error:
        raise _bad(shown(line), f"no line of TOML ({error.problems[0].found})", "table.row.key = value") from error
    if len(said) != 1:
        raise _bad(line, "one fact at a time", "table.row.key = value")
    (name, rest), *_ = said.items()
    if name in SINGLE:
        _change(table.setdefault(name, {}), rest, line)
    elif name in NAMED:
        _change_row(table, name, rest, line)
    elif name == "path":
        _change_path(table, rest, line)
    elif name == "stay":
        _change_stay(table, rest, line)
    elif name == "blank":
        _change_blank(table, rest, line)
    else:
        known = ", ".join((*SINGLE, *NAMED, "path", "stay", "blank"))
        raise _bad(line, f"'{name}' is no table whose facts can be supposed", f"one of {known}")


def _change(row: Table, keys: object, line: str) -> None:
    """Puts the keys of a fact into a row."""
    if not isinstance(keys, dict) or not keys:
        raise _bad(line, "no key is named", "table.row.key = value")
    for key, value in keys.items():
        if value == UNKNOWN:
            row.pop(key, None)
        else:
            row[key] = value


def _one(rest: object, line: str) -> tuple[str, object]:
    if not isinstance(rest, dict) or len(rest) != 1:
        raise _bad(line, "one row at a time", "table.row.key = value")
    ((name, keys),) = rest.items()
    return name, keys


def _change_row(table: Table, name: str, rest: object, line: str) -> None:
    row_id, keys = _one(rest, line)
    rows = table.setdefault(name, [])
    alike = next((row for row in rows if row_id in row.get("ids", ())), None)
    if alike is not None:
        n = rows.index(alike)
        rows[n : n + 1] = expanded(alike)
    row = next((r for r in rows if r.get("id") == row_id), None)
    if row is None:
        if name not in _NEW:
            known = ", ".join(str(r.get("id", r.get("ids"))) for r in rows) or "none"
            raise _bad(line, f"the file has no {name} '{row_id}', it has {known}", f"the id of a [[{name}]]")
        row = {"id": row_id}
        rows.append(row)
    _change(row, keys, line)


def _change_path(table: Table, rest: object, line: str) -> None:
    one, more = _one(rest, line)
    other, keys = _one(more, line)
    rows = table.setdefault("path", [])
    row = next((r for r in rows if set(r.get("between", ())) == {one, other}), None)
    if row is None:
        row = {"between": [one, other]}
        rows.append(row)
    _change(row, keys, line)


def _change_stay(table: Table, rest: object, line: str) -> None:
    """Facts of all stays of a set, or of the one that begins on a day: stay.summer."2026-11-28".at."""
    set_id, keys = _one(rest, line)
    rows = [row for row in table.get("stay", ()) if row.get("set") == set_id]
    days = [str(row.get("since")) for row in rows]
    if isinstance(keys, dict) and len(keys) == 1 and next(iter(keys)) in days:
        ((day, keys),) = keys.items()
        rows = [row for row in rows if str(row.get("since")) == day]
    elif len(rows) > 1:
        raise _bad(
            line, f"'{set_id}' has stays from {', '.join(days)}: name the day", f'stay.{set_id}."{days[0]}".at = …'
        )
    if not rows:
        raise _bad(line, f"the file has no stay of a set '{set_id}'", "a set of the season line")
    moved = isinstance(keys, dict) and {"on", "at", "riding_in"} & set(keys)
    for key in ("on", "at", "riding_in", "or_at") if moved else ():
        rows[0].pop(key, None)
    _change(rows[0], keys, line)


def _change_blank(table: Table, rest: object, line: str) -> None:
    family, keys = _one(rest, line)
    rows = table.setdefault("blank", [])
    row = next((r for r in rows if r.get("family") == family), None)
    if row is None:
        row = {"family": family}
        rows.append(row)
    _change(row, keys, line)
