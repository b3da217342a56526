"""Vehicle identification numbers: 49 CFR 565 and ISO 3779.

A number points at one car and through it at its owner. It is read, answered about and forgotten: nothing here keeps
it, and no message repeats it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from wheelside.errors import BadText
from wheelside.finding import Basis, Ground

LENGTH = 17
_VALUES = dict(
    zip("ABCDEFGHJKLMNPRSTUVWXYZ", (1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 7, 9, 2, 3, 4, 5, 6, 7, 8, 9), strict=True)
)
_VALUES |= {digit: int(digit) for digit in "0123456789"}
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_YEAR_SIGNS = "ABCDEFGHJKLMNPRSTVWXY123456789"
"""Model years from 1980 on, every thirty years anew; I, O, Q, U, Z and 0 are not used."""
_SIGN = "[A-HJ-NPR-Z0-9]"
_PADDING, _MARKS = r"[\x00-\x1f\xff]", "[ !-/:_]"
_WHOLE = re.compile(rf"(?<!{_SIGN}){_SIGN}{{{LENGTH}}}(?!{_SIGN})", re.IGNORECASE)
_WITHIN = re.compile(rf"(?=((?![0-9]{{{LENGTH}}}){_SIGN}{{{LENGTH - 4}}}[0-9]{{4}}))", re.IGNORECASE)
_SPACED, _PARTED = (
    re.compile(
        rf"(?<!{_SIGN})(?!(?:[0-9]{fill}{{0,2}}){{{LENGTH - 1}}}[0-9])"
        rf"(?:{_SIGN}{fill}{{0,2}}){{{LENGTH - 4}}}(?:[0-9]{fill}{{0,2}}){{3}}[0-9](?!{_SIGN})",
        re.IGNORECASE,
    )
    for fill in (_PADDING, _MARKS)
)
_SECTIONS = (3, 6, 8)
"""The signs of a number's three sections, ISO 3779, as people part them."""
LEFT_OUT = "(VIN, not kept)"
"""What stands in a text of a car where its number stood."""
_LIKE = {"I": "1", "O": "0", "Q": "0"}

CFR_565 = Basis(Ground.STANDARD, "49 CFR 565: check digit in position 9, model year in position 10")
ISO_3779 = Basis(Ground.STANDARD, "ISO 3779: 17 characters without I, O and Q")
ISO_3780 = Basis(Ground.STANDARD, "ISO 3780: the first character gives the region; from memory")
_REGIONS = (("ABCDEFGH", "Africa"), ("JKLMNPR", "Asia"), ("STUVWXYZ", "Europe"), ("12345", "North America"),
            ("67", "Oceania"), ("89", "South America"), ("0", "no region"))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Vin:
    """What a number says, without the number.

    `check_digit`: whether position 9 is a check digit, and right: in North America it has to be, elsewhere it may be.
    `years`: the model years that position 10 can mean, none where it says nothing. `years_certain`: whether 49 CFR 565 rules it, for a
    car or a light van.
    """

    region: str
    check_digit: bool
    years: tuple[int, ...]
    years_certain: bool
    small_maker: bool


def check_sum(signs: str) -> int:
    """The weighted sum of the 17 signs; position 9 weighs nothing."""
    return sum(_VALUES[sign] * weight for sign, weight in zip(signs, _WEIGHTS, strict=True))


def check_sign(signs: str) -> str:
    """What 49 CFR 565 wants in position 9: the sum modulo 11, with X for 10."""
    rest = check_sum(signs) % 11
    return "X" if rest == 10 else str(rest)


def read_vin(text: str, today: date) -> Vin:
    """What a number says. Raises BadText that does not repeat it.

    In North America a wrong check digit is refused; elsewhere none is wanted, and none is held against it.
    """
    signs = "".join(_capital(sign) for sign in text if not sign.isspace() and sign != "-")
    _refuse_signs(signs)
    region = next(name for letters, name in _REGIONS if signs[0] in letters)
    right = check_sign(signs) == signs[8]
    if region == "North America" and not right:
        raise BadText(
            "The check digit of this number, its 9th character, does not belong to the others: a character was misread or two were swapped. "
            "Read it again; 8 and B, 5 and S, 2 and Z look alike.",
            expected="a number whose check digit is right (49 CFR 565)",
        )
    american = region == "North America"
    return Vin(region, right, _years(signs, today, certain=american), american, signs[2] == "9")


def without_vins(text: str) -> str:
    """A text of a car without what may be its number, wherever in it that stands.

    Taken for one are 17 signs that stand alone; 17 within more, or parted by NULs and 0xFF, where the last four are digits, as in ISO 3779,
    and not all are; and such parted by blanks and marks, where the check digit is right or the parts are the number's sections:
    part numbers are parted otherwise. Elsewhere the check digit decides nothing: outside North America none is wanted. So now and then a
    serial number that is not a VIN is removed, which costs little; a car's number that is shown points at its owner.

    >>> without_vins("ECU XX0ZZZZZZ8X000001/2"), without_vins("XX0 ZZZZZZ 8X000001"), without_vins("7A0 907 273 B  H12 0456")
    ('ECU (VIN, not kept)/2', '(VIN, not kept)', '7A0 907 273 B  H12 0456')
    """
    forms = ((_WHOLE, 0), (_WITHIN, 1), (_SPACED, 0), (_PARTED, 0))
    gone = [
        found.span(group)
        for form, group in forms
        for found in form.finditer(text)
        if form is not _PARTED or _is_parted(found[0])
    ]
    kept, end = "", 0
    for first, last in sorted(gone):
        if first >= end:
            kept += text[end:first] + LEFT_OUT
        end = max(end, last)
    return kept + text[end:]


def _is_parted(text: str) -> bool:
    """Whether 17 signs with blanks and marks between them are a number rather than a part's."""
    parts = re.findall(f"{_SIGN}+", text.upper())
    signs = "".join(parts)
    return check_sign(signs) == signs[8] or tuple(map(len, parts)) == _SECTIONS


def has_vin(data: bytes) -> bool:
    """Whether bytes of a car hold what may be its number, as `without_vins` has it."""
    text = data.decode("latin-1")
    return without_vins(text) != text


def _capital(sign: str) -> str:
    return sign.upper() if sign.isascii() else sign


def _refuse_signs(signs: str) -> None:
    for position, sign in enumerate(signs[:LENGTH], start=1):
        if sign in _VALUES:
            continue
        hint = f"; {sign} is not used, it may be {_LIKE[sign]}" if sign in _LIKE else ""
        raise BadText(
            f"Character {position} of this number is not one that a vehicle identification number can have{hint}. Read it again.",
            expected="17 letters and digits without I, O and Q (ISO 3779)",
        )
    if len(signs) != LENGTH:
        raise BadText(
            f"This number has {len(signs)} characters; a vehicle identification number has 17. Cars from before 1981 may have fewer.",
            expected="17 letters and digits (ISO 3779)",
        )


def _years(signs: str, today: date, *, certain: bool) -> tuple[int, ...]:
    """The model years up to next year; for cars of North America position 7 tells the two rounds of thirty years apart.

    A letter in position 7 of a light vehicle means 2010 and later (that it is a letter: seen; the use of it: from memory).
    """
    if signs[9] not in _YEAR_SIGNS:
        return ()
    first = 1980 + _YEAR_SIGNS.index(signs[9])
    years = tuple(year for year in (first, first + 30, first + 60) if year <= today.year + 1)
    if not certain:
        return years
    later = signs[6].isalpha()
    return tuple(year for year in years if (2010 <= year <= 2039) == later)
