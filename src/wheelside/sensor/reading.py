"""Reading a sensor ID from print: every reading that is possible, none picked."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from wheelside.errors import BadText
from wheelside.said import Said, count, say
from wheelside.sensor.ident import WIDTHS, Empty, PrintForm, SensorId, decimal_digits

_NAME = re.compile(r"\s*(?:ID|SENSOR|S/?N)?\s*[:#=]\s*", re.IGNORECASE)
_FORM = re.compile(r"\s*(?:(0x|hex:)|(dec:|decimal:))\s*", re.IGNORECASE)
_LOOSE_NAME = re.compile(r"\s*ID\s+", re.IGNORECASE)
_LOOSE_FORM = re.compile(r"\s*(?:(hex)|(dec|decimal))\s+", re.IGNORECASE)
_SPACES = re.compile(r"[\s\u00a0\u2009\u202f]+")
_MARKS = {
    ".": "dot",
    "_": "underscore",
    ",": "comma",
    "/": "stroke",
    ":": "colon",
    **dict.fromkeys("-\u2010\u2011\u2012\u2013\u2014", "dash"),
}
UNREADABLE = "?"
"""Stands for one digit that can't be read; `sensor/worn.py` has what is possible then."""
_HEX_MENDS = {"O": "0", "I": "1", "S": "5"}
_DECIMAL_MENDS = {**_HEX_MENDS, "B": "8"}
_HEX, _DECIMAL = re.compile(r"[0-9A-F]+"), re.compile(r"[0-9]+")
_WIDER_ONES = frozenset((1 << bits) - 1 for bits in range(16, 65, 4))
MOST_CHARACTERS = 64


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read the text: the number, the form it was read in, and what was assumed on the way."""

    id: SensorId
    form: PrintForm
    assumed: tuple[Said, ...] = ()


@dataclass(frozen=True, slots=True)
class Readings:
    """All ways to read a text. `settle` says what would decide between them, None where one remains.

    `empty`: where one way, in a width that is open, gives all zeros or all ones: then the text stands for no sensor.
    """

    text: str
    all: tuple[Reading, ...]
    settle: Said | None
    empty: Empty | None = None

    @property
    def ids(self) -> tuple[SensorId, ...]:
        """Every ID that the text can be, each once; none where it stands for no sensor."""
        return () if self.empty else tuple(dict.fromkeys(reading.id for reading in self.all))

    @property
    def only(self) -> SensorId | None:
        """The ID where every reading gives the same one, else None."""
        return self.ids[0] if len(self.ids) == 1 else None

    @property
    def widths(self) -> tuple[int, ...]:
        """The widths, in bits, in which the text can be read, the narrowest first."""
        return tuple(sorted({reading.id.bits for reading in self.all}))


@dataclass(frozen=True, slots=True)
class _Said:
    """The digits of a text, the forms in which they may be read, and what was done to get at them."""

    digits: str
    forms: tuple[PrintForm, ...]
    notes: tuple[Said, ...]


@lru_cache(maxsize=4096)
def read_id(
    text: str,
    family: str = "",
    widths: tuple[int, ...] = WIDTHS,
    forms: tuple[PrintForm, ...] = tuple(PrintForm),
) -> Readings:
    """Every reading of `text` as printed under the stated widths (bits) and print forms.

    Spaces, lost leading zeros and, for 28 bits, a leading status digit are allowed for; letters that are no digits of the
    form are put right, marks between digits are left out, and the reading says so. A text may say its form itself: '0x…',
    'hex:…', 'dec:…'. Raises BadText where no reading is possible.
    """
    if not text.strip() or len(text) > MOST_CHARACTERS:
        raise BadText(
            f"{text[:40]!r} holds no sensor ID: write the digits as printed", found=text[:40], expected="an ID"
        )
    found = tuple(readings_of(text, family, widths, forms))
    if not found:
        raise BadText(_why_none(text, widths, forms), found=text, expected=_what_fits(widths, forms))
    unlike = {(r.id, r.form): r for r in reversed(found)}
    readings = tuple(sorted(unlike.values(), key=lambda r: (r.id.bits, r.form != PrintForm.HEX, r.id.number)))
    empty = next((r.id.empty for r in readings if r.id.empty), None)
    return Readings(text, readings, _settle(readings, empty), empty)


def readings_of(text: str, family: str, widths: tuple[int, ...], forms: tuple[PrintForm, ...]) -> Iterator[Reading]:
    """Every way to read a text, some of them twice; none where it is no ID."""
    for said in _said(text, forms):
        for bits in sorted(set(widths)):
            if PrintForm.HEX in said.forms:
                yield from _hex_readings(said, family, bits)
            if PrintForm.DECIMAL in said.forms:
                yield from _decimal_readings(said, family, bits)


def _said(text: str, forms: tuple[PrintForm, ...]) -> Iterator[_Said]:
    """The digits of a text and the forms in which they may be read.

    '0x', 'hex:', 'dec:' and 'ID:' in front are no digits. 'ID ', 'hex ' and 'dec ' may be: the letters are
    hex digits themselves, or near to some, so the text is read with them and without.
    """
    bare = _NAME.sub("", text, count=1) if _NAME.match(text) else text
    if says := _FORM.match(bare):
        yield _of_itself(bare[says.end() :], PrintForm.HEX if says[1] else PrintForm.DECIMAL, forms)
        return
    yield _Said(_digits(bare), forms, _left_out(bare))
    if named := _LOOSE_NAME.match(bare):
        bare = bare[named.end() :]
        yield _Said(_digits(bare), forms, _left_out(bare))
    if says := _LOOSE_FORM.match(bare):
        yield _of_itself(bare[says.end() :], PrintForm.HEX if says[1] else PrintForm.DECIMAL, forms)


def _of_itself(text: str, form: PrintForm, forms: tuple[PrintForm, ...]) -> _Said:
    """A text that says its form itself, which goes before the form that was stated."""
    other = (
        ()
        if form in forms
        else (say("read as {form}, for it says so itself; {other} was stated", form=form, other=forms[0]),)
    )
    return _Said(_digits(text), (form,), (*other, *_left_out(text)))


def _digits(text: str) -> str:
    bare = text if text.isalnum() else "".join(sign for sign in _SPACES.sub("", text) if sign not in _MARKS)
    return bare.upper() if bare.isascii() else bare


_LEFT_OUT = {
    "dot": ("the dot was ignored", "the {n} dots were ignored"),
    "underscore": ("the underscore was ignored", "the {n} underscores were ignored"),
    "comma": ("the comma was ignored", "the {n} commas were ignored"),
    "stroke": ("the stroke was ignored", "the {n} strokes were ignored"),
    "colon": ("the colon was ignored", "the {n} colons were ignored"),
    "dash": ("the dash was ignored", "the {n} dashes were ignored"),
}


def _left_out(text: str) -> tuple[Said, ...]:
    """The marks among the digits, which are no part of the number: 'the dot was left out'."""
    if text.isalnum():
        return ()
    counted = Counter(_MARKS[sign] for sign in text if sign in _MARKS)
    return tuple(count(n, *_LEFT_OUT[name]) for name, n in counted.items())


def _mend(digits: str, mends: dict[str, str], form: PrintForm) -> tuple[str, tuple[Said, ...]]:
    if mends.keys().isdisjoint(digits):
        return digits, ()
    read_as = "the letter {letter} read as {digit}, for {letter} is no {form} digit"
    notes = tuple(
        say(read_as, letter=letter, digit=digit, form=form) for letter, digit in mends.items() if letter in digits
    )
    return digits.translate({ord(letter): digit for letter, digit in mends.items()}), notes


def _hex_readings(said: _Said, family: str, bits: int) -> list[Reading]:
    mended, notes = _mend(said.digits, _HEX_MENDS, PrintForm.HEX)
    if not _HEX.fullmatch(mended):
        return []
    full = bits // 4
    if len(mended) > full:
        extra = mended[: len(mended) - full]
        if set(extra) == {"0"}:
            notes += (_too_many(len(extra)),)
        elif set(mended) == {"F"}:
            notes += (say("all ones, in more digits than the ID has"),)
        elif bits % 8 == 4 and len(extra) == 1:
            notes += (say("the leading {digit} read as a status digit, not as part of the ID", digit=extra),)
        else:
            return []
        mended = mended[-full:]
    elif len(mended) < full:
        notes += (_lost(full - len(mended)),)
    return [Reading(SensorId(family, bits, int(mended, 16)), PrintForm.HEX, (*said.notes, *notes))]


def _decimal_readings(said: _Said, family: str, bits: int) -> list[Reading]:
    mended, notes = _mend(said.digits, _DECIMAL_MENDS, PrintForm.DECIMAL)
    if not _DECIMAL.fullmatch(mended):
        return []
    number, full, ones = int(mended), decimal_digits(bits), (1 << bits) - 1
    if number > ones:
        if number not in _WIDER_ONES:
            return []
        number, notes = ones, (*notes, say("all ones, in more bits than the ID has"))
    elif len(mended) > full:
        notes += (_too_many(len(mended) - full),)
    elif len(mended) < full:
        notes += (_lost(full - len(mended)),)
    return [Reading(SensorId(family, bits, number), PrintForm.DECIMAL, (*said.notes, *notes))]


def _too_many(n: int) -> Said:
    return count(n, "{n} zero too many in front ignored", "{n} zeros too many in front ignored")


def _lost(n: int) -> Said:
    return count(n, "{n} leading zero put back", "{n} leading zeros put back")


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


def _why_none(text: str, widths: tuple[int, ...], forms: tuple[PrintForm, ...]) -> str:
    fits = _what_fits(widths, forms)
    if UNREADABLE in text:
        return f"{text!r} has a digit that can't be read: 'wheelside id read' says which known IDs it can be; trigger the sensor to be sure"
    strange = sorted(set(_digits(text)) - set("0123456789ABCDEFOIS"))
    if strange:
        return f"{text!r} can't be a sensor ID: {', '.join(strange)} stands for no digit (0 to 9, A to F; {fits}); read the print again"
    if len(set(widths)) > 1:
        return f"{text!r} can't be a sensor ID of any usual width ({fits}); read the print again"
    said = next(_said(text, forms))
    why = "; ".join(_contradicts(said, widths[0], form) for form in said.forms)
    return f"{text!r} can't be a sensor ID as stated: {why}; {_otherwise(text)}"


def _contradicts(said: _Said, bits: int, form: PrintForm) -> str:
    """Why the digits are no ID of a width and form: '10 digits is no 24-bit decimal, which has 8 at most'."""
    mended = _mend(said.digits, _HEX_MENDS if form is PrintForm.HEX else _DECIMAL_MENDS, form)[0]
    letters = sorted(set(mended) - set("0123456789"))
    if form is PrintForm.HEX:
        return f"{len(mended)} digits is no {bits}-bit hex number, which has {bits // 4}"
    if letters:
        return f"{', '.join(letters)} is no decimal digit"
    most = decimal_digits(bits)
    if len(mended.lstrip("0")) > most:
        return f"{len(mended)} digits is no {bits}-bit decimal, which has {most} at most"
    return f"{mended} is no {bits}-bit decimal, which ends at {(1 << bits) - 1}"


def _otherwise(text: str) -> str:
    """In which widths and forms the text could be read instead, and what to do."""
    ways = dict.fromkeys(f"{r.id.bits}-bit {r.form.value}" for r in readings_of(text, "", WIDTHS, tuple(PrintForm)))
    if ways:
        return f"it can be {' or '.join(ways)}: correct the width or the form, or read the print again"
    return "read the print again"


def _settle(readings: tuple[Reading, ...], empty: Empty | None) -> Said | None:
    if empty:
        return say("It stands for no sensor ({empty}): trigger the sensor again.", empty=empty)
    if len({reading.id for reading in readings}) < 2:
        return None
    forms, widths = len({r.form for r in readings}) > 1, len({r.id.bits for r in readings}) > 1
    if forms and widths:
        return say(
            "Find out whether this family prints hex or decimal, how many bits the family's IDs have, "
            "or trigger the sensor and read what it sends."
        )
    if forms:
        return say("Find out whether this family prints hex or decimal, or trigger the sensor and read what it sends.")
    return say("Find out how many bits the family's IDs have, or trigger the sensor and read what it sends.")
