"""IDs of which one or two digits can't be read: every ID that they can be, none picked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from wheelside.errors import BadText
from wheelside.said import Said
from wheelside.sensor.ident import WIDTHS, PrintForm, SensorId
from wheelside.sensor.reading import MOST_CHARACTERS, UNREADABLE, Reading, readings_of

MOST_UNREADABLE = 2
LEAST_READABLE = 4
_DIGITS = {PrintForm.HEX: "0123456789ABCDEF", PrintForm.DECIMAL: "0123456789"}


@dataclass(frozen=True, slots=True)
class WornForm:
    """One width, in bits, and print form in which a text can be read, and how many IDs it can be then."""

    bits: int
    form: PrintForm
    count: int


@dataclass(frozen=True, slots=True)
class Worn:
    """A text with unreadable digits. `possible`: every ID that it can be; `assumed`: what was assumed in each of them."""

    text: str
    possible: frozenset[SensorId]
    ways: tuple[WornForm, ...]
    assumed: tuple[Said, ...]


def is_worn(text: str) -> bool:
    """Whether a text has digits that are noted as unreadable, as '?'."""
    return UNREADABLE in text


def read_worn(
    text: str, family: str = "", widths: tuple[int, ...] = WIDTHS, forms: tuple[PrintForm, ...] = tuple(PrintForm)
) -> Worn:
    """Every ID that `text` can be, with each '?' as any digit. Raises BadText for more than two of them, or where none is possible.

    All zeros and all ones are none of them.
    """
    count, readable = text.count(UNREADABLE), sum(sign.isalnum() for sign in text)
    if not 1 <= count <= MOST_UNREADABLE or readable < LEAST_READABLE or len(text) > MOST_CHARACTERS:
        raise BadText(
            f"{text[:40]!r}: at most {MOST_UNREADABLE} digits may be unreadable, and {LEAST_READABLE} have to be there; trigger the sensor",
            found=text[:40],
            expected=f"one or two '{UNREADABLE}'",
        )
    found = [r for r in _filled(text, family, widths, forms) if not r.id.empty]
    if not found:
        fits = " or ".join(f"{bits} bits" for bits in widths)
        raise BadText(
            f"{text!r} can't be a sensor ID of {fits} with any digit in place of '{UNREADABLE}'; read the print again",
            found=text,
            expected="an ID",
        )
    ids = {(r.id, r.form) for r in found}
    counted = Counter((one.bits, form) for one, form in ids)
    ways = tuple(WornForm(bits, form, n) for (bits, form), n in sorted(counted.items()))
    notes = [note for note in found[0].assumed if all(note in r.assumed for r in found)]
    return Worn(text, frozenset(one for one, _ in ids), ways, tuple(notes))


def _filled(text: str, family: str, widths: tuple[int, ...], forms: tuple[PrintForm, ...]) -> Iterator[Reading]:
    """The readings of the text with every digit in place of each '?', in each form its own digits."""
    parts = text.split(UNREADABLE)
    for form in PrintForm:
        for digits in product(_DIGITS[form], repeat=len(parts) - 1):
            whole = parts[0] + "".join(digit + part for digit, part in zip(digits, parts[1:], strict=True))
            yield from (r for r in readings_of(whole, family, widths, forms) if r.form is form)
