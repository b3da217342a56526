"""Reading tyre designations, sign by sign, so that a mistake is pointed at where it stands.

    size     205/55 R16   P205/55R16   LT245/75R17/E   165 R13   6.40-13   31x10.50R15LT   FR78-15
    service  91V   109/107T   (99Y)   109/107T (106T)
    marks    XL   SL   EXTRA LOAD   REINF.   M+S

Spaces may stand between any two parts. Letters may be small.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from wheelside.errors import BadText
from wheelside.tyre.designation import Designation, MarkForm, Service
from wheelside.tyre.load import GREATEST_INDEX
from wheelside.tyre.speed import SYMBOLS

EXAMPLE = "205/55 R16 91V"
OLD_SPEEDS = "QSTUHV"
LETTERS = "ABCDEFGHJKLMN"
"""Letters of the American letter sizes."""
LOAD_RANGES = "BCDEF"
ASPECTS_OF_LETTERS = ("50", "60", "70", "78")
_ONE_SYMBOL = tuple(s for s in SYMBOLS if len(s) == 1)


class BadDesignation(BadText):
    """A text that is no designation; `at` is where the first sign stands that can't be there, from 0."""

    def __init__(self, text: str, at: int, expected: str) -> None:
        found = f"{text[at]!r}" if at < len(text) else "the end"
        shown = text if len(text) <= 60 else f"{text[:60]}…"
        super().__init__(
            f"{shown!r}: at character {at + 1} {found} stands, where {expected} is expected; write it as on the sidewall, '{EXAMPLE}'",
            found=shown,
            expected=expected,
        )
        self.at = at


def read_designation(text: str) -> Designation:
    """The designation that `text` says. Raises BadDesignation, which points at the first sign that can't be.

    >>> read_designation("p205/55r16 89h").text
    'P205/55 R16 89H'
    """
    scan = _Scan(text)
    tyre = _size(scan)
    tyre = _marks(scan, tyre)
    tyre = _services(scan, tyre)
    tyre = _marks(scan, tyre)
    scan.end("the end, XL, or a load index with its speed symbol")
    return tyre


class _Scan:
    """A text and how far it is read. Signs are compared in capitals, one for one."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.signs = "".join(_capital(sign) for sign in text)
        self.at = 0
        self.spaces()

    def spaces(self) -> None:
        while self.peek() == " ":
            self.at += 1

    def peek(self, ahead: int = 0) -> str:
        at = self.at + ahead
        return self.signs[at] if at < len(self.signs) else ""

    def fail(self, expected: str) -> BadDesignation:
        return BadDesignation(self.text, self.at, expected)

    def take(self, signs: str, expected: str) -> str:
        sign = self.peek()
        if not sign or sign not in signs:
            raise self.fail(expected)
        self.at += 1
        return sign

    def word(self, *words: str) -> str:
        """The longest of the words that stands here, passed over; '' where none does."""
        for word in sorted(words, key=len, reverse=True):
            if self.signs.startswith(word, self.at):
                self.at += len(word)
                return word
        return ""

    def rest_of(self, word: str, expected: str) -> None:
        for sign in word:
            self.take(sign, expected)

    def number(self, fits: Callable[[str], bool], longest: int, expected: str) -> str:
        """As many digits as can still become a number that fits. `fits` says whether digits can be the beginning of one."""
        digits = ""
        while len(digits) < longest and self.peek() in _DIGITS and self.peek() and fits(digits + self.peek()):
            digits += self.peek()
            self.at += 1
        if not digits:
            raise self.fail(expected)
        return digits

    def end(self, expected: str) -> None:
        self.spaces()
        if self.peek():
            raise self.fail(expected)


_DIGITS = "0123456789"


def _capital(sign: str) -> str:
    if sign in "\t\xa0\u2009\u202f":
        return " "
    if sign == "×":
        return "X"
    return sign.upper() if sign.isascii() else "\0"


def _size(scan: _Scan) -> Designation:
    prefix = "" if scan.peek() in _DIGITS and scan.peek() else _prefix(scan)
    if prefix.startswith("letter"):
        return _letter_size(scan, prefix[-1])
    scan.spaces()
    first = scan.take("123" if prefix else "123456789", "the width in millimetres, as the 205 in 205/55 R16")
    if not prefix and scan.peek() == ".":
        return _inch_size(scan, first)
    second = scan.take(_DIGITS if first in "1234" else "", "'.', as in 6.40-13, or a width of three digits")
    if not prefix and first == "1" and scan.peek() == ".":
        return _inch_size(scan, first + second)
    if not prefix and first in "234" and scan.peek() and scan.peek() in "X ":
        return _flotation_size(scan, first + second)
    if first == "4":
        raise scan.fail("'x' and the width, as in 31x10.50 R15LT")
    width = int(first + second + scan.take(_DIGITS, "the third digit of the width"))
    return _metric_size(scan, prefix, width)


def _prefix(scan: _Scan) -> str:
    """'P', 'T', 'LT', 'HL', or 'letter ' and the letter of a letter size."""
    expected = "a width such as 205, or P, LT, T or HL before it"
    if scan.peek() in ("L", "H") and scan.peek(1) in ("T", "L"):
        word = scan.word("LT", "HL")
        if word:
            return word
    if scan.peek() in ("P", "T"):
        return scan.take("PT", expected)
    return f"letter {scan.take(LETTERS, expected)}"


def _metric_size(scan: _Scan, prefix: str, width: int) -> Designation:
    scan.spaces()
    aspect = None
    if scan.peek() == "/":
        scan.at += 1
        scan.spaces()
        aspect = int(
            scan.take("23456789", "the aspect ratio, as the 55 in 205/55 R16")
            + scan.take(_DIGITS, "the second digit of the aspect ratio")
        )
    scan.spaces()
    tyre = _build(
        scan, allow_old=True, expected="'/' and the aspect ratio, or R" if aspect is None else "R, ZR, B or D"
    )
    tyre = replace(
        tyre,
        form=MarkForm.FULL if aspect is None else MarkForm.METRIC,
        prefix=prefix,
        width_mm=width,
        aspect_pct=aspect,
    )
    return _rim(scan, tyre)


def _inch_size(scan: _Scan, whole: str) -> Designation:
    scan.at += 1
    expected = "two decimals of the width in inches, as in 6.40-13"
    head = f"{whole}.{scan.take(_DIGITS, expected)}{scan.take(_DIGITS, expected)}"
    scan.spaces()
    return _rim(scan, replace(_build(scan, allow_old=True, expected="'-' or R"), form=MarkForm.INCH, head=head))


def _flotation_size(scan: _Scan, diameter: str) -> Designation:
    scan.spaces()
    scan.take("X", "'x' and the width, as in 31x10.50 R15LT")
    scan.spaces()
    expected = "the width in inches, as in 31x10.50 R15LT"
    whole = scan.take("123456789", expected)
    if whole == "1" and scan.peek() != ".":
        whole += scan.take(_DIGITS, expected)
    scan.take(".", "'.' in the width, as in 31x10.50 R15LT")
    head = f"{diameter}x{whole}.{scan.take(_DIGITS, expected)}{scan.take(_DIGITS, expected)}"
    scan.spaces()
    tyre = replace(_build(scan, allow_old=False, expected="R or '-'"), form=MarkForm.FLOTATION, head=head)
    return _rim(scan, tyre)


def _letter_size(scan: _Scan, letter: str) -> Designation:
    scan.spaces()
    radial = bool(scan.word("R"))
    scan.spaces()
    aspect = scan.take("567", "the aspect ratio 50, 60, 70 or 78")
    aspect += scan.take("08" if aspect == "7" else "0", "the second digit of the aspect ratio")
    scan.spaces()
    scan.take("-", "'-' before the rim, as in FR78-15")
    tyre = Designation(
        MarkForm.LETTER, 0.0, aspect_pct=int(aspect), head=letter, build="R" if radial else "D",
    )  # fmt: skip
    return _rim(scan, tyre)


def _build(scan: _Scan, *, allow_old: bool, expected: str) -> Designation:
    """The letters between section and rim: R, ZR, HR, RF, B, D or '-'."""
    tyre = Designation(MarkForm.METRIC, 0.0)
    if scan.peek() == "-":
        scan.at += 1
        return replace(tyre, build="D")
    if allow_old and scan.peek() and scan.peek() in OLD_SPEEDS + "Z":
        letter = scan.take(OLD_SPEEDS + "Z", expected)
        scan.spaces()
        scan.take("R", "R after the letter for the speed")
        tyre = replace(tyre, zr=letter == "Z", old_speed="" if letter == "Z" else letter)
        return replace(tyre, run_flat=bool(scan.word("F")))
    build = scan.take("RBD", expected)
    return replace(tyre, build=build, run_flat=build == "R" and bool(scan.word("F")))


def _rim(scan: _Scan, tyre: Designation) -> Designation:
    scan.spaces()
    digits = scan.number(_begins_rim, 3, "the rim's diameter, as the 16 in 205/55 R16")
    if not _is_rim(digits):
        raise scan.fail("another digit of the rim's diameter")
    code = float(digits)
    if len(digits) == 2 and scan.peek() == ".":
        scan.at += 1
        scan.take("5", "5: rims come in halves of an inch")
        code += 0.5
    return _suffix(scan, replace(tyre, rim_code=code))


def _is_rim(digits: str) -> bool:
    return (len(digits) == 2 and 10 <= int(digits) <= 30) or (
        len(digits) == 3 and 240 <= int(digits) < 550 and int(digits) % 5 == 0
    )


def _begins_rim(digits: str) -> bool:
    """Whether more digits can make these a rim: 10 to 30 inches, or 240 to 545 mm in steps of 5."""
    grown = [digits] + [digits + d for d in _DIGITS] + [digits + d + e for d in _DIGITS for e in _DIGITS]
    return any(_is_rim(one) for one in grown)


def _suffix(scan: _Scan, tyre: Designation) -> Designation:
    truck = tyre.prefix == "LT"
    if not truck:
        suffix = _word_after_rim(scan)
        tyre = replace(tyre, suffix=suffix)
        truck = suffix == "LT"
    if not truck:
        return tyre
    back = scan.at
    scan.spaces()
    slash = bool(scan.word("/"))
    if slash:
        scan.spaces()
        return replace(tyre, load_range=scan.take(LOAD_RANGES, "the letter of the load range, B to F"))
    if scan.peek() and scan.peek() in LOAD_RANGES and not scan.signs.startswith("EX", scan.at):
        return replace(tyre, load_range=scan.take(LOAD_RANGES, "the letter of the load range"))
    scan.at = back
    return tyre


def _word_after_rim(scan: _Scan) -> str:
    back = scan.at
    scan.spaces()
    if scan.peek() == "C":
        return scan.word("CP", "C")
    if scan.peek() == "L":
        scan.at += 1
        scan.take("T", "T, for LT after the rim")
        return "LT"
    scan.at = back
    return ""


def _services(scan: _Scan, tyre: Designation) -> Designation:
    scan.spaces()
    if scan.peek() == "(":
        scan.at += 1
        service = _service(scan)
        scan.spaces()
        scan.take(")", "the closing bracket")
        return replace(tyre, service=replace(service, above=True))
    if not scan.peek() or scan.peek() not in _DIGITS:
        return tyre
    tyre = replace(tyre, service=_service(scan))
    scan.spaces()
    if scan.peek() == "(":
        scan.at += 1
        tyre = replace(tyre, second=_service(scan))
        scan.spaces()
        scan.take(")", "the closing bracket")
    return tyre


def _service(scan: _Scan) -> Service:
    scan.spaces()
    index, twin = _index(scan), None
    scan.spaces()
    if scan.peek() == "/":
        scan.at += 1
        scan.spaces()
        twin = _index(scan)
        scan.spaces()
    letter = scan.take("".join(_ONE_SYMBOL) + "A", "the speed symbol, as the V in 91V")
    if letter == "A":
        letter += scan.take("12345678", "a digit from 1 to 8: A1 to A8 are speed symbols, A is none")
    return Service(index, letter, twin)


def _index(scan: _Scan) -> int:
    def fits(digits: str) -> bool:
        return int(digits) <= GREATEST_INDEX and (digits == "0" or not digits.startswith("0"))

    return int(scan.number(fits, 3, f"a load index from 0 to {GREATEST_INDEX}"))


def _marks(scan: _Scan, tyre: Designation) -> Designation:
    """The words after the size or the service description, each at most once."""
    while True:
        scan.spaces()
        marked = _mark(scan, tyre)
        if marked is None:
            return tyre
        tyre = marked


_WORDS = {"X": ("XL", "L after X: XL"), "E": ("EXTRA", "EXTRA LOAD"), "R": ("REINF", "REINF. or REINFORCED"),
          "S": ("SL", "L after S: SL"), "M": ("M+S", "M+S")}  # fmt: skip


def _mark(scan: _Scan, tyre: Designation) -> Designation | None:
    first = scan.peek()
    taken = tyre.extra_load or tyre.standard_load
    if not first or first not in _WORDS or (tyre.mud_snow if first == "M" else taken):
        return None
    word, expected = _WORDS[first]
    scan.rest_of(word, expected)
    if first == "E":
        scan.spaces()
        scan.rest_of("LOAD", expected)
    if first == "R" and not scan.word(".") and scan.peek() == "O":
        scan.rest_of("ORCED", expected)
    if first == "M":
        return replace(tyre, mud_snow=True)
    return replace(tyre, standard_load=first == "S", extra_load=first != "S")
