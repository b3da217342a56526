"""The error tree.

    WheelsideError
    ├── Mendable            the person can mend it            exit status 2
    │   ├── BadQuantity     a number or unit that can't be read
    │   ├── BadText         an ID, designation or date code that can't be read
    │   ├── BadFile         a garage or plan file with problems, all of them at once
    │   ├── BadRequest      the command asks for what the file does not hold
    │   │   └── NotThere    there is no such job, wheel, page
    │   └── Meanwhile       somebody else changed it in the meantime
    └── Outside             the world misbehaved: a disk, a device   exit status 3
        └── ReadOnly        a disk, folder or file that takes no writes at all

Everything else that escapes is a bug: exit status 4. A message says what was being done,
what was expected, what came, and what to do now; `found` and `expected` repeat two of these
as attributes.
"""

from __future__ import annotations

from dataclasses import dataclass


class WheelsideError(Exception):
    """Any error that Wheelside raises on purpose."""


class Mendable(WheelsideError):
    """Something that the person can mend."""

    def __init__(self, message: str, *, found: str = "", expected: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.found = found
        self.expected = expected


class BadQuantity(Mendable):
    """A number or a unit that can't be read, or can be read in two ways."""


class BadText(Mendable):
    """A sensor ID, tyre designation or date code that can't be read."""


class BadRequest(Mendable):
    """A request for something that the file does not hold."""


class NotThere(BadRequest):
    """A request for a job, a wheel or a page that there is not."""


class Meanwhile(Mendable):
    """Somebody else changed what was to be changed, in the meantime."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake in a file: where it is, what was found, what was expected, what to do."""

    line: int | None
    key: str
    found: str
    expected: str
    suggestion: str

    def text(self, file: str) -> str:
        """The problem as a person reads it, over one to four lines."""
        where = f"{file}:{self.line}" if self.line else file
        rows = [f"{where}: {self.key}: found {self.found}"]
        if self.expected:
            rows.append(f"    expected  {self.expected}")
        if self.suggestion:
            rows.append(f"    do        {self.suggestion}")
        return "\n".join(" ".join(row.splitlines()) for row in rows)


class BadFile(Mendable):
    """A file with problems; all of them, in the order of their lines."""

    def __init__(self, file: str, problems: tuple[Problem, ...]) -> None:
        self.file = file
        self.problems = tuple(sorted(problems, key=lambda p: (p.line or 0, p.key)))
        many = "1 problem" if len(problems) == 1 else f"{len(problems)} problems"
        body = "\n".join(p.text(file) for p in self.problems)
        super().__init__(f"{file}: {many}\n{body}")


class Outside(WheelsideError):
    """The world misbehaved: a disk that is full, a folder that can't be written, a device that is silent."""


class ReadOnly(Outside):
    """A disk, a folder or a file that can be read, and takes no writes at all."""
