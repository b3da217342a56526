"""Trouble codes: bytes and text (SAE J2012, ISO 15031-6), status bits (ISO 14229-1), and how answers list them.

first byte   76        54       3210      then      3 bytes in all for ISO 14229-1: the last is the kind of failure
             letter    digit 1  digit 2
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import IntFlag, StrEnum

from wheelside.car.frames import UnitTrouble
from wheelside.errors import BadText

LETTERS = "PCBU"
FAMILIES = {"P": "drive train", "C": "chassis", "B": "body", "U": "network"}
_MAKERS = re.compile(r"P1|P3[0-3]|[CBU][12]")
"""SAE J2012's division, from memory: what the standard keeps for later is not told as a maker's."""


class BadAnswer(UnitTrouble):
    """An answer of a control unit that the standard does not have."""


class Status(IntFlag):
    """The bits of a code's status, ISO 14229-1 Annex D.2."""

    FAILED = 0x01
    FAILED_THIS_CYCLE = 0x02
    PENDING = 0x04
    CONFIRMED = 0x08
    NOT_TESTED_SINCE_CLEAR = 0x10
    FAILED_SINCE_CLEAR = 0x20
    NOT_TESTED_THIS_CYCLE = 0x40
    WARNING_LAMP = 0x80


_SAID = {
    Status.FAILED: "failing now", Status.FAILED_THIS_CYCLE: "failed this drive", Status.PENDING: "pending", Status.CONFIRMED: "stored",
    Status.NOT_TESTED_SINCE_CLEAR: "not tested since clearing", Status.FAILED_SINCE_CLEAR: "failed since clearing",
    Status.NOT_TESTED_THIS_CYCLE: "not tested this drive", Status.WARNING_LAMP: "asks for the lamp",
}  # fmt: skip


class CodeList(StrEnum):
    """The lists that a unit keeps codes in."""

    STORED = "stored codes"
    PENDING = "pending codes"
    PERMANENT = "permanent codes"


CLEARABLE = frozenset((CodeList.STORED, CodeList.PENDING))
"""Lists that clearing by hand empties."""


@dataclass(frozen=True, slots=True)
class Code:
    """One trouble code: its two or three bytes, its status where one is known, and the lists that it is in.

    `permanent`: in the list of those that can't be cleared by hand. `stored`: in the lists of stored or pending ones.
    """

    number: bytes
    status: Status | None = None
    permanent: bool = False
    stored: bool = True

    @property
    def text(self) -> str:
        return code_text(self.number)

    @property
    def family(self) -> str:
        return FAMILIES[self.text[0]]

    @property
    def makers_own(self) -> bool:
        """Whether its meaning is the car maker's."""
        return bool(_MAKERS.match(self.text))

    @property
    def clearable(self) -> bool:
        """Whether clearing by hand can take it out of a list."""
        return self.stored

    @property
    def lists(self) -> frozenset[CodeList]:
        """Which lists it may be in: a code goes from pending to stored and back by itself."""
        return (CLEARABLE if self.stored else frozenset()) | ({CodeList.PERMANENT} if self.permanent else frozenset())

    @property
    def said(self) -> tuple[str, ...]:
        """The status in words."""
        words = () if self.status is None else tuple(words for bit, words in _SAID.items() if bit in self.status)
        return (*words, "permanent") if self.permanent else words

    def merged(self, other: Code) -> Code:
        """The same code as two lists have it."""
        known = [one.status for one in (self, other) if one.status is not None]
        status = Status(0) if known else None
        for one in known:
            status = one if status is None else status | one
        return Code(self.number, status, self.permanent or other.permanent, self.stored or other.stored)


def code_text(number: bytes) -> str:
    """A code of two or three bytes as it is written. Raises ValueError for any other number of bytes.

    >>> code_text(bytes.fromhex("56789A")), code_text(bytes.fromhex("0135"))
    ('C1678-9A', 'P0135')
    """
    if len(number) not in (2, 3):
        raise ValueError(f"a trouble code has two or three bytes, not {len(number)}")
    first, second = number[0], number[1]
    text = f"{LETTERS[first >> 6]}{first >> 4 & 3}{first & 15:X}{second:02X}"
    return text if len(number) == 2 else f"{text}-{number[2]:02X}"


def read_code(text: str) -> bytes:
    """The bytes of a written code. Raises BadText.

    >>> read_code("U3FFF-FF").hex()
    'ffffff'
    """
    found = re.fullmatch(r"\s*([PCBU])([0-3])([0-9A-F])([0-9A-F]{2})(?:-([0-9A-F]{2}))?\s*", text.upper(), re.ASCII)
    if not found:
        raise BadText(
            f"{text!r} is no trouble code: write a letter and four digits, as in 'C0750'", found=text, expected="C0750"
        )
    first = LETTERS.index(found[1]) << 6 | int(found[2]) << 4 | int(found[3], 16)
    return bytes([first, int(found[4], 16), *([int(found[5], 16)] if found[5] else [])])


def codes_of_14229(answer: bytes) -> tuple[Status, tuple[Code, ...]]:
    """The availability mask and the codes of an answer 59 02, 59 0A or 59 15. Raises BadAnswer.

    Codes whose status has none of the bits that the unit supports are kept: it chose to send them.
    """
    if len(answer) < 3 or answer[0] != 0x59 or answer[1] not in (0x02, 0x0A, 0x15):
        raise BadAnswer(f"the unit answered {answer[:8].hex(' ')} where a list of codes (59) was expected")
    rows = answer[3:]
    if len(rows) % 4:
        raise BadAnswer(f"the unit's list of codes has {len(rows)} bytes, which is no multiple of four")
    permanent = answer[1] == 0x15
    return Status(answer[2]), tuple(
        Code(rows[i : i + 3], Status(rows[i + 3]), permanent, not permanent) for i in range(0, len(rows), 4)
    )


def number_of_codes(answer: bytes) -> int:
    """How many codes an answer 59 01 speaks of. Raises BadAnswer."""
    if len(answer) != 6 or answer[:2] != b"\x59\x01":
        raise BadAnswer(f"the unit answered {answer[:8].hex(' ')} where a number of codes (59 01) was expected")
    return int.from_bytes(answer[4:6], "big")


def codes_of_j1979(answer: bytes, *, on_can: bool = True) -> tuple[Code, ...]:
    """The codes of an answer 43 (stored), 47 (pending) or 4A: on CAN a count stands first, on older buses zeros fill up. Raises BadAnswer.

    >>> [c.text for c in codes_of_j1979(bytes.fromhex("43 02 01 02 01 13"))]
    ['P0102', 'P0113']
    """
    if not answer or answer[0] not in (0x43, 0x47, 0x4A):
        raise BadAnswer(f"the unit answered {answer[:8].hex(' ')} where a list of codes (43, 47, 4A) was expected")
    rows = answer[1:]
    if on_can:
        if not rows:
            raise BadAnswer("the unit's list of codes ends before its count")
        count, rows = rows[0], rows[1:]
        if len(rows) < 2 * count:
            raise BadAnswer(f"the unit speaks of {count} codes and sends {len(rows) // 2}")
        rows = rows[: 2 * count]
    elif len(rows) % 2:
        raise BadAnswer(f"the unit's list of codes has {len(rows)} bytes, which is no multiple of two")
    pairs = [rows[i : i + 2] for i in range(0, len(rows) - 1, 2)]
    status, permanent = {0x43: Status.CONFIRMED, 0x47: Status.PENDING}.get(answer[0]), answer[0] == 0x4A
    return tuple(Code(pair, status, permanent, not permanent) for pair in pairs if on_can or pair != b"\0\0")


@dataclass(frozen=True, slots=True)
class CodesTold:
    """The codes of one unit at one time, and which of its lists it did not tell."""

    codes: tuple[Code, ...]
    untold: frozenset[CodeList] = frozenset()


@dataclass(frozen=True, slots=True)
class Changed:
    """Codes at two times compared, by code."""

    gone: tuple[Code, ...]
    new: tuple[Code, ...]
    stayed: tuple[Code, ...]


def compared(before: CodesTold, after: CodesTold) -> Changed:
    """What went, came and stayed. A code of a list that was not told at the other time may have been there: it is none of the three."""
    old, now = {c.number for c in before.codes}, {c.number for c in after.codes}
    return Changed(
        tuple(c for c in before.codes if c.number not in now and not c.lists & after.untold),
        tuple(c for c in after.codes if c.number not in old and not c.lists & before.untold),
        tuple(c for c in after.codes if c.number in old),
    )
