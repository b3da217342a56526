"""Reading a sensor ID from print: every reading that is possible, none picked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from wheelside.errors import BadText
from wheelside.sensor.ident import WIDTHS, PrintForm, SensorId, decimal_digits

_NAME = re.compile(r"\s*(?:ID|SENSOR|S/?N)?\s*[:#=]\s*", re.IGNORECASE)
_FORM = re.compile(r"\s*(?:(0x|hex:)|(dec:|decimal:))\s*", re.IGNORECASE)
_LOOSE_NAME = re.compile(r"\s*ID\s+", re.IGNORECASE)
_LOOSE_FORM = re.compile(r"\s*(?:(hex)|(dec|decimal))\s+", re.IGNORECASE)
_SEPARATORS = re.compile(r"[\s\-:._,/\u00a0\u2009\u202f\u2010-\u2014]+")
_HEX_MENDS = {"O": "0", "I": "1", "S": "5"}
_DECIMAL_MENDS = {**_HEX_MENDS, "B": "8"}
MOST_CHARACTERS = 64


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read the text: the ID, the form it was read in, and what was assumed on the way."""

    id: SensorId
    form: PrintForm
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Readings:
    """All ways to read a text. `settle` says what would decide between them, '' where one remains."""

    text: str
    all: tuple[Reading, ...]
    settle: str

    @property
    def only(self) -> SensorId | None:
        """The ID where every reading gives the same one, else None."""
        return self.all[0].id if len({reading.id for reading in self.all}) == 1 else None


@lru_cache(maxsize=4096)
def read_id(
    text: str,
    family: str = "",
    widths: tuple[int, ...] = WIDTHS,
    forms: tuple[PrintForm, ...] = tuple(PrintForm),
) -> Readings:
    """Every reading of `text` as printed under the stated widths (bits) and print forms.

    Separators, lost leading zeros and, for 28 bits, a leading status digit are allowed for; letters
    that are no digits of the form are put right, and the reading says so. A text may say its form
    itself: '0x…', 'hex:…', 'dec:…'. Raises BadText where no reading is possible.
    """
    if not text.strip() or len(text) > MOST_CHARACTERS:
        raise BadText(
            f"{text[:40]!r} holds no sensor ID: write the digits as printed", found=text[:40], expected="an ID"
        )
    found: list[Reading] = []
    for digits, allowed in _said(text, forms):
        for bits in sorted(set(widths)):
            if PrintForm.HEX in allowed:
                found += _hex_readings(digits, family, bits)
            if PrintForm.DECIMAL in allowed:
                found += _decimal_readings(digits, family, bits)
    if not found:
        digits = _digits(text)
        raise BadText(_why_none(text, digits, widths, forms), found=text, expected=_what_fits(widths, forms))
    unlike = {(r.id, r.form): r for r in reversed(found)}
    readings = tuple(sorted(unlike.values(), key=lambda r: (r.id.bits, r.form != PrintForm.HEX, r.id.number)))
    return Readings(text, readings, _settle(readings))


def _said(text: str, forms: tuple[PrintForm, ...]) -> Iterator[tuple[str, tuple[PrintForm, ...]]]:
    """The digits of a text and the forms in which they may be read.

    '0x', 'hex:', 'dec:' and 'ID:' in front are no digits. 'ID ', 'hex ' and 'dec ' may be: the letters are
    hex digits themselves, or near to some, so the text is read with them and without.
    """
    bare = _NAME.sub("", text, count=1) if _NAME.match(text) else text
    if says := _FORM.match(bare):
        yield _digits(bare[says.end() :]), (PrintForm.HEX if says[1] else PrintForm.DECIMAL,)
        return
    yield _digits(bare), forms
    if named := _LOOSE_NAME.match(bare):
        bare = bare[named.end() :]
        yield _digits(bare), forms
    if says := _LOOSE_FORM.match(bare):
        yield _digits(bare[says.end() :]), (PrintForm.HEX if says[1] else PrintForm.DECIMAL,)


def _digits(text: str) -> str:
    bare = _SEPARATORS.sub("", text)
    return bare.upper() if bare.isascii() else bare


def _mend(digits: str, mends: dict[str, str], name: str) -> tuple[str, tuple[str, ...]]:
    notes = tuple(
        f"the letter {letter} read as {digit}, for {letter} is no {name} digit"
        for letter, digit in mends.items()
        if letter in digits
    )
    return digits.translate({ord(letter): digit for letter, digit in mends.items()}), notes


def _hex_readings(digits: str, family: str, bits: int) -> list[Reading]:
    mended, notes = _mend(digits, _HEX_MENDS, "hex")
    if not re.fullmatch(r"[0-9A-F]+", mended):
        return []
    full = bits // 4
    if len(mended) > full:
        extra = mended[: len(mended) - full]
        if set(extra) == {"0"}:
            notes += (f"{len(extra)} zero too many in front left out",)
        elif bits % 8 == 4 and len(extra) == 1:
            notes += (f"the leading {extra} read as a status digit, not as part of the ID",)
        else:
            return []
        mended = mended[-full:]
    elif len(mended) < full:
        notes += (_lost(full - len(mended)),)
    return [Reading(SensorId(family, bits, int(mended, 16)), PrintForm.HEX, notes)]


def _decimal_readings(digits: str, family: str, bits: int) -> list[Reading]:
    mended, notes = _mend(digits, _DECIMAL_MENDS, "decimal")
    if not re.fullmatch(r"[0-9]+", mended) or int(mended) >= 1 << bits:
        return []
    full = decimal_digits(bits)
    if len(mended) > full:
        notes += (f"{len(mended) - full} zero too many in front left out",)
    elif len(mended) < full:
        notes += (_lost(full - len(mended)),)
    return [Reading(SensorId(family, bits, int(mended)), PrintForm.DECIMAL, notes)]


def _lost(count: int) -> str:
    return f"{count} leading zero{'s' if count > 1 else ''} put back"


def _what_fits(widths: tuple[int, ...], forms: tuple[PrintForm, ...]) -> str:
    parts = []
    for bits in sorted(set(widths)):
        sizes = []
        if PrintForm.HEX in forms:
            sizes.append(f"{bits // 4} hex digits")
        if PrintForm.DECIMAL in forms:
            sizes.append(f"up to {decimal_digits(bits)} decimal digits")
        parts.append(f"{bits} bits: {' or '.join(sizes)}")
    return "; ".join(parts)


def _why_none(text: str, digits: str, widths: tuple[int, ...], forms: tuple[PrintForm, ...]) -> str:
    fits = _what_fits(widths, forms)
    strange = sorted(set(digits) - set("0123456789ABCDEFOIS"))
    if strange:
        return f"{text!r} can't be a sensor ID: {', '.join(strange)} stands for no digit (0 to 9, A to F; {fits}); read the print again"
    return f"{text!r} can't be a sensor ID of the stated width and form ({fits}); read the print again or correct the width"


def _settle(readings: tuple[Reading, ...]) -> str:
    if len({reading.id for reading in readings}) < 2:
        return ""
    ways = []
    if len({r.form for r in readings}) > 1:
        ways.append("whether this family prints hex or decimal")
    if len({r.id.bits for r in readings}) > 1:
        ways.append("how many bits the family's IDs have")
    ways.append("or trigger the sensor and read what it sends")
    return "Find out " + ", ".join(ways) + "."
