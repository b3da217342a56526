"""Reading the number in front of a unit, in English, German, Swiss and SI notation."""

from __future__ import annotations

import re

from wheelside.errors import BadQuantity

_SPACES = "\u00a0\u2009\u202f"  # no-break, thin, narrow no-break
_MINUS = str.maketrans({"\u2212": "-", "\u2013": "-", **dict.fromkeys(_SPACES, " ")})
_FRACTION = re.compile(r"(?:(\d{1,6})\s+)?(\d{1,4})\s*/\s*(\d{1,4})", re.ASCII)
_GROUPED = re.compile(r"\d{1,3}(?:[ '\u2019]\d{3})+(?:[.,]\d+)?", re.ASCII)
_PLAIN = re.compile(r"\d{1,12}(?:[.,]\d{1,12})?|[.,]\d{1,12}", re.ASCII)
_MIXED = re.compile(r"\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:,\d{3})+\.\d+", re.ASCII)
_SPLIT = re.compile(
    r"\s*([+-]?)\s*("
    r"(?:\d{1,6}\s+)?\d{1,4}\s*/\s*\d{1,4}"
    r"|\d{1,3}(?:[ '\u2019]\d{3})+(?:[.,]\d+)?(?!\d)"
    r"|[\d.,]+"
    r")\s*(.*?)\s*",
    re.DOTALL | re.ASCII,
)


def split_number(text: str) -> tuple[tuple[float, ...], str, str]:
    """The number at the start of `text`, the digits as written, and the rest (the unit).

    Two numbers come back where the mark can be a decimal or a thousands mark ("1,234"). Raises
    BadQuantity when there is no number.
    """
    clean = text.translate(_MINUS)
    found = _SPLIT.fullmatch(clean)
    if not found:
        raise BadQuantity(
            f"no number in {text!r}: write a number and its unit, such as '2.5 bar'",
            found=text,
            expected="a number and a unit",
        )
    sign, digits, unit = found.groups()
    values = _values(digits, text)
    return tuple(-v for v in values) if sign == "-" else values, sign + digits, unit


def _values(digits: str, text: str) -> tuple[float, ...]:
    if fraction := _FRACTION.fullmatch(digits):
        whole, top, bottom = (int(part or 0) for part in fraction.groups())
        if bottom == 0:
            raise BadQuantity(f"{text!r} divides by zero: write a fraction such as 7/32 in", found=text)
        return (whole + top / bottom,)
    if _GROUPED.fullmatch(digits):
        return (float(re.sub(r"[ '\u2019]", "", digits).replace(",", ".")),)
    if _MIXED.fullmatch(digits):
        decimal = max(digits.rfind("."), digits.rfind(","))
        return (float(re.sub(r"[.,]", "", digits[:decimal]) + "." + digits[decimal + 1 :]),)
    if _PLAIN.fullmatch(digits):
        return _plain(digits)
    raise BadQuantity(
        f"{digits!r} in {text!r} is not a number: write it with one decimal mark, such as 2.5 or 2,5",
        found=text,
        expected="a number with at most one decimal mark",
    )


def _plain(digits: str) -> tuple[float, ...]:
    whole, _, part = digits.replace(",", ".").partition(".")
    value = float(f"{whole or '0'}.{part or '0'}")
    if len(part) == 3 and 1 <= len(whole) <= 3 and whole.lstrip("0"):
        return value, float(whole + part)
    return (value,)


def unmistakable(value: float) -> str:
    """`value` written so that its mark can't be taken for a thousands mark: 1.234 as 1.2340."""
    text = f"{value:g}" if value != int(value) else f"{value:.0f}"
    return text + "0" if len(text.partition(".")[2]) == 3 else text
