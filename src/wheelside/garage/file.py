"""From a garage file, or from rows in the shape of one, to a garage, or to every problem. Write it like this."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from wheelside.declared.kinds import shown
from wheelside.declared.read import Complaint, parse, problems
from wheelside.declared.text import Sort, Table, decode, read_toml
from wheelside.errors import BadFile
from wheelside.garage.check import check, check_references
from wheelside.garage.model import FORMAT_VERSION, Garage, Joining

GARAGE_FILE = Sort(
    "a garage file",
    too_large="split the garage",
    spreadsheet="write the garage file as text; readings in a spreadsheet go into a book: {first}wheelside book import BOOK FILE",
    begin="begin with 'wheelside = 1', or look at the file that 'wheelside demo --write FOLDER' makes",
)


def complaints_of(table: Table) -> tuple[Garage, tuple[Complaint, ...]]:
    """The garage that a table describes, as far as it can be read, and all that is wrong with it.

    A file and a book are both read here: each row by its declarations, then its references, then what rows must not
    contradict. Of a newer format nothing else is read.
    """
    version = table.get("wheelside")
    if type(version) is int and version > FORMAT_VERSION:
        return Garage(wheelside=FORMAT_VERSION), (_newer(version),)
    wrong = [] if type(version) is int and version >= 1 else [_no_version(table)]
    parsed = parse(Garage, {**table, "wheelside": FORMAT_VERSION})
    if parsed.row is None:  # so many complaints that it was not read on: the only required key has just been supplied
        return Garage(wheelside=FORMAT_VERSION), (*wrong, *parsed.complaints)
    garage = _joined_by_name(parsed.row)
    found = [*wrong, *parsed.complaints, *check_references(garage, parsed.references)]
    spoilt = {c.path[:2] for c in found}
    found += [c for c in check(garage) if c.path[:2] not in spoilt]
    return garage, tuple(found)


def _joined_by_name(garage: Garage) -> Garage:
    """The garage, each wheel of which nothing is said made of the parts that have its own id."""
    named = {
        w.id: Joining(rim=_own(garage.rims, w.id), tyre=_own(garage.tyres, w.id), sensor=_own(garage.sensors, w.id))
        for w in garage.wheel
        if not w.joined
    }
    named = {name: one for name, one in named.items() if (one.rim, one.tyre, one.sensor) != (None, None, None)}
    if not named:
        return garage
    return replace(garage, wheel=tuple(replace(w, joined=(named[w.id],)) if w.id in named else w for w in garage.wheel))


def _own(rows: Mapping[str, object], name: str) -> str | None:
    return name if name in rows else None


def _newer(version: int) -> Complaint:
    fix = "use the Wheelside that wrote it, or a newer one"
    return Complaint(("wheelside",), f"format {version}", f"format {FORMAT_VERSION} or older", fix)


def _no_version(table: Table) -> Complaint:
    found = shown(table["wheelside"]) if "wheelside" in table else "nothing"
    return Complaint(
        ("wheelside",), found, "the format's version", f"put wheelside = {FORMAT_VERSION} on the first line"
    )


def checked(table: Table, name: str) -> Garage:
    """The garage that a book's rows describe. Raises BadFile with every problem: table, row, key."""
    garage, found = complaints_of(table)
    if found:
        raise BadFile(name, tuple(c.problem() for c in found))
    return garage


def read_garage(data: bytes, file: str) -> Garage:
    """The garage that the file describes. Raises BadFile with every problem: line, key, found, expected, what to do.

    `file` is the name that messages show.
    """
    return read_text(text_of(data, file), file)[0]


def text_of(data: bytes, file: str) -> str:
    """The text of a garage file. Raises BadFile where it is none."""
    return decode(data, file, GARAGE_FILE)


def read_text(text: str, file: str) -> tuple[Garage, Table]:
    """The garage that a text describes, and the text's table. Raises BadFile as `read_garage` does."""
    table = read_toml(text, file)
    garage, found = complaints_of(table)
    if found:
        raise BadFile(file, problems(text, found))
    return garage, table
