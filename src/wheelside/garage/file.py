"""From the bytes of a garage file to a garage, or to every problem in it. Write it like this."""

from __future__ import annotations

from wheelside.errors import BadFile
from wheelside.garage.check import check, check_references
from wheelside.garage.model import Garage
from wheelside.garage.read import decode, parse, problems


def read_garage(data: bytes, file: str) -> Garage:
    """The garage that the file describes. Raises BadFile with every problem: line, key, found, expected, what to do.

    `file` is the name that messages show.
    """
    text = decode(data, file)
    parsed = parse(text, file)
    complaints = [*parsed.complaints, *check_references(parsed.garage, parsed.references)]
    spoilt = {c.path[:2] for c in complaints}
    complaints += [c for c in check(parsed.garage) if c.path[:2] not in spoilt]
    if complaints:
        raise BadFile(file, problems(text, tuple(complaints)))
    return parsed.garage
