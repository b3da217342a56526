"""A garage file's table while an answer is put into it: the one given stays as it is."""

from __future__ import annotations

import copy
from typing import Any

from wheelside.garage.rows import expanded

Table = dict[str, Any]


class TableDraft:
    """A copy of a table, its rows alike taken apart, to be changed row by row."""

    def __init__(self, table: Table) -> None:
        self.table: Table = {"wheelside": 1, **copy.deepcopy(table)}
        for kind, rows in self.table.items():
            if isinstance(rows, list):
                self.table[kind] = [one for row in rows for one in expanded(row)]

    def rows(self, kind: str) -> list[Table]:
        """The rows of a table, to be changed."""
        rows: list[Table] = self.table.setdefault(kind, [])
        return rows

    def single(self, kind: str) -> Table:
        """The one row of a table of which there is one."""
        row: Table = self.table.setdefault(kind, {})
        return row

    def find(self, kind: str, row_id: str) -> Table | None:
        """A row by its id."""
        return next((row for row in self.rows(kind) if row.get("id") == row_id), None)

    def row(self, kind: str, row_id: str, **new: Any) -> Table:
        """A row by its id; where there is none it is made, with what is `new` in it."""
        found = self.find(kind, row_id)
        if found is None:
            found = {"id": row_id, **new}
            self.rows(kind).append(found)
        return found

    def free(self, kind: str, wanted: str) -> str:
        """An id that no row of a table has yet: the one wanted, or that with a number behind it."""
        taken = {row.get("id") for row in self.rows(kind)}
        names = (wanted, *(f"{wanted} {n}" for n in range(2, len(taken) + 3)))
        return next(name for name in names if name not in taken)

    def parts(self, set_id: str) -> list[Table]:
        """The joinings of the wheels of a set, in its order of corners: what each is made of last."""
        row = self.find("set", set_id) or {}
        wheels = [self.find("wheel", name) for name in row.get("wheels", {}).values()]
        for wheel in wheels:
            if wheel is not None and not wheel.get("joined"):
                name = wheel["id"]
                wheel["joined"] = [
                    {kind: name for kind in ("rim", "tyre", "sensor") if self.find(kind, name) is not None}
                ]
        return [w["joined"][-1] for w in wheels if w is not None]

    def done(self) -> Table:
        """The table, without what is empty."""
        return {kind: rows for kind, rows in self.table.items() if rows not in ([], {})}


def unknown(row: Table, *keys: str) -> None:
    """Notes that facts of a row are not known; what stood there was wrong, and goes."""
    for key in keys:
        row.pop(key, None)
    row["not_known"] = list(dict.fromkeys([*row.get("not_known", ()), *keys]))


def known(row: Table, key: str, value: Any) -> None:
    """Puts a fact into a row; it is no longer one that is not known."""
    row[key] = value
    rest = [one for one in row.get("not_known", ()) if one != key]
    if rest:
        row["not_known"] = rest
    else:
        row.pop("not_known", None)
