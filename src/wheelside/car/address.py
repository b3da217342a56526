"""Where a control unit is reached: CAN identifiers for requests and answers, 11 or 29 bits wide (ISO 15765-4, ISO 15765-2)."""

from __future__ import annotations

import re
from dataclasses import dataclass

from wheelside.errors import BadText

FUNCTIONAL_11, FUNCTIONAL_29 = 0x7DF, 0x18DB33F1
"""Requests to all units: ISO 15765-4."""
FOR_ALL = frozenset((FUNCTIONAL_11, FUNCTIONAL_29))
FIRST_LOGICAL_GROUP = 0xE400
"""ISO 13400-2: from here on logical addresses mean several units."""
TESTER = 0xF1
ANSWER_OFFSET = 8
"""By so much is the answer of an 11-bit unit above its request in ISO 15765-4; other units keep to rules of their own."""


@dataclass(frozen=True, slots=True)
class UnitAddress:
    """One unit: the identifier of requests and that of answers; `padding`: the byte that short frames are filled with, None for none.

    `logical`: its address for diagnostics over IP (ISO 13400-2), None where there is none; both identifiers are 0 where it has only that.
    """

    request: int
    answer: int
    wide: bool = False
    padding: int | None = 0xCC
    logical: int | None = None

    @property
    def on_can(self) -> bool:
        """Whether it can be reached by CAN identifiers."""
        return bool(self.request or self.answer)

    @property
    def text(self) -> str:
        """Its identifiers, or its logical address where it has only that."""
        if not self.on_can:
            return "no address" if self.logical is None else f"{self.logical:04X}"
        digits = 8 if self.wide else 3
        return f"{self.request:0{digits}X}/{self.answer:0{digits}X}"


def normal_fixed(unit: int) -> UnitAddress:
    """The 29-bit address of a unit, 0 to 255: 18DAxxF1 and 18DAF1xx.

    >>> normal_fixed(0x10).text
    '18DA10F1/18DAF110'
    """
    return UnitAddress(0x18DA0000 | unit << 8 | TESTER, 0x18DA0000 | TESTER << 8 | unit, wide=True)


def read_can_id(text: str) -> tuple[int, bool]:
    """A CAN identifier and whether it has 29 bits: three hex digits for 11 bits, eight for 29. Raises BadText."""
    found = re.fullmatch(r"\s*(?:0x)?([0-9A-Fa-f]{3}|[0-9A-Fa-f]{8})\s*", text, re.ASCII)
    number = int(found[1], 16) if found else -1
    wide = bool(found) and len(found[1]) == 8  # type: ignore[index]
    if number < 0 or number >= (1 << 29 if wide else 1 << 11):
        raise BadText(
            f"{text!r} is no CAN identifier: write three hex digits (11 bits) or eight (29 bits), as in '6A3' or '18DA10F1'",
            found=text,
            expected="a CAN identifier such as 6A3",
        )
    return number, wide
