"""The parser of designations, against the grammar of its module written a second time, as one regular expression."""

from __future__ import annotations

import random

import pytest
import regex  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelside.errors import BadText
from wheelside.tyre.designation import MarkForm, Service
from wheelside.tyre.sidewall import BadDesignation, read_designation
from wheelside.tyre.speed import SYMBOLS

# ---- the grammar, a second time -------------------------------------------------------------------------------------
# A number takes as many digits as it can: R245 is 245 mm, never R24 with an index of 5. RF, LT, XL, M+S and A1 are one part
# each, so that no space stands inside. A × stands for an x.

_SPACE = "[ \t\u00a0\u2009\u202f]*"
_X = "[X×]"
_SYMBOL = "(?:" + "|".join(sorted(SYMBOLS, key=len, reverse=True)) + ")"
_INDEX = "(?:130|1[0-2][0-9]|[1-9][0-9]?|0)"
_RIM = r"(?:(?:1[0-9]|2[0-3]|(?:2[4-9]|30)(?![05]))(?:\.5)?|2[4-9][05]|[34][0-9][05]|5[0-4][05])"


def _grammar() -> str:
    s = _SPACE
    build = f"(?:-|[QSTUHVZ]{s}RF?|RF?|B|D)"
    plain_build = "(?:-|RF?|B|D)"
    load_range = f"(?:{s}(?:/{s}[B-F]|[BCDF]|E(?!{_X})))?"
    truck_word = f"{s}LT{load_range}"
    word = f"(?:{s}CP?|{truck_word})?"
    section = f"[1-3][0-9]{{2}}(?:{s}/{s}[2-9][0-9])?{s}{build}{s}{_RIM}"
    sizes = (
        f"(?:(?:P|T|HL){s})?{section}{word}",
        f"LT{s}{section}{load_range}",
        rf"(?:[1-9]|1[0-9])\.[0-9]{{2}}{s}{build}{s}{_RIM}{word}",
        rf"[2-4][0-9]{s}{_X}{s}(?:[1-9]|1[0-9])\.[0-9]{{2}}{s}{plain_build}{s}{_RIM}{word}",
        f"[A-HJ-N]{s}R?{s}(?:[567]0|78){s}-{s}{_RIM}{word}",
    )
    one = f"{s}{_INDEX}{s}(?:/{s}{_INDEX}{s})?{_SYMBOL}"
    service = rf"(?:{s}(?:\({one}{s}\)|{one}(?:{s}\({one}{s}\))?))?"
    load = rf"{s}(?:{_X}L|SL|E{_X}TRA{s}LOAD|REINF(?:\.|ORCED)?)"
    snow = rf"{s}M\+S"
    either = f"(?:{load}(?:{snow})?|{snow}(?:{load})?)?"
    rest = f"(?:{service}{either}|{load}{service}(?:{snow})?|{snow}{service}(?:{load})?|(?:{load}{snow}|{snow}{load}){service})"
    return f"{s}(?:{'|'.join(sizes)}){rest}{s}"


ORACLE = regex.compile(_grammar(), regex.ASCII | regex.IGNORECASE)


def _whole(text: str) -> bool:
    return ORACLE.fullmatch(text) is not None


def _viable(text: str) -> bool:
    """Whether signs can follow that make it a designation, or none need to."""
    return ORACLE.fullmatch(text, partial=True) is not None


# ---- designations at random -----------------------------------------------------------------------------------------

_RIMS = ("10", "12", "13", "14", "15", "16", "16.5", "17", "17.5", "19", "20", "23", "24", "29", "30", "240", "295", "300",
         "365", "390", "415", "480", "545")  # fmt: skip
_LOAD_WORDS = ("XL", "SL", "EXTRA|LOAD", "REINF", "REINF.", "REINFORCED")


class _Made:
    """A designation in parts, '|' where spaces may stand, and as it is to be printed."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.parts: list[str] = []
        self.printed = ""
        self.truck = False

    def say(self, *parts: str) -> None:
        self.parts += [part for part in parts if part]

    def pick(self, *options: str) -> str:
        return self.rng.choice(options)

    def build(self, *, old: bool) -> tuple[str, str]:
        """Letter and build as they are to be printed; 'D' for a stroke too."""
        letter = self.pick("", "", "", "Z", *"QSTUHV") if old else ""
        build = self.pick("R", "RF") if letter else self.pick("R", "R", "R", "RF", "B", "D", "-")
        self.say(letter, build)
        return letter, "D" if build == "-" else build

    def metric(self) -> None:
        prefix = self.pick("", "", "", "P", "LT", "T", "HL")
        width = str(self.rng.randint(100, 399))
        self.say(prefix, width)
        aspect = self.pick("", "/")
        if aspect:
            aspect += str(self.rng.randint(20, 99))
            self.say("/", aspect[1:])
        letter, build = self.build(old=True)
        self.truck = prefix == "LT"
        dash = not aspect and build == "D"
        self.printed = f"{prefix}{width}{aspect}{'-' if dash else f' {letter}{build}'}"

    def inch(self) -> None:
        head = f"{self.rng.randint(1, 19)}.{self.rng.randint(0, 99):02d}"
        self.say(head)
        letter, build = self.build(old=True)
        self.printed = head + ("-" if build == "D" else f" {letter}{build}")

    def flotation(self) -> None:
        diameter, width = str(self.rng.randint(20, 49)), f"{self.rng.randint(1, 19)}.{self.rng.randint(0, 99):02d}"
        self.say(diameter, self.pick("x", "×"), width)
        _, build = self.build(old=False)
        self.printed = f"{diameter}x{width}" + ("-" if build == "D" else f" {build}")

    def letter(self) -> None:
        letter, radial, aspect = self.pick(*"ABCDEFGHJKLMN"), self.pick("", "R"), self.pick("50", "60", "70", "78")
        self.say(letter, radial, aspect, "-")
        self.printed = f"{letter}{radial}{aspect}-"

    def rim(self) -> None:
        rim, suffix = self.pick(*_RIMS), "" if self.truck else self.pick("", "", "C", "CP", "LT")
        self.say(rim, suffix)
        self.printed += rim + suffix
        if self.truck or suffix == "LT":
            letter = self.pick("", *"BCDEF")
            slash = self.pick("", "/")
            if letter:
                self.say(slash, letter if slash else f"{letter} ")
                self.printed += f"/{letter}"

    def service(self) -> tuple[list[str], str]:
        index, twin, symbol = self.rng.randint(0, 130), self.pick("", "/"), self.pick(*SYMBOLS)
        if not twin:
            return [str(index), symbol], f"{index}{symbol}"
        other = self.rng.randint(0, 130)
        return [str(index), "/", str(other), symbol], f"{index}/{other}{symbol}"

    def services(self) -> None:
        how = self.pick("", "plain", "plain", "above", "two")
        if not how:
            return
        parts, said = self.service()
        self.printed += f" ({said})" if how == "above" else f" {said}"
        if how == "above":
            self.say("(", *parts, ")")
            return
        self.say(f" {parts[0]}", *parts[1:])
        if how == "two":
            parts, said = self.service()
            self.say("(", *parts, ")")
            self.printed += f" ({said})"

    def all(self) -> str:
        """The designation, written somehow."""
        self.rng.choice((self.metric, self.metric, self.inch, self.flotation, self.letter))()
        self.rim()
        words = [word for word in (self.pick("", *_LOAD_WORDS), self.pick("", "", "M+S")) if word]
        self.rng.shuffle(words)
        before = self.rng.randint(0, len(words))
        self.say(*words[:before])
        self.services()
        self.say(*words[before:])
        load = [word for word in words if word != "M+S"]
        self.printed += "" if not load else " SL" if load == ["SL"] else " XL"
        self.printed += " M+S" if "M+S" in words else ""
        written = "|" + "|".join(self.parts) + "|"
        spaced = "".join(
            self.pick("", "", " ", "  ", "\u00a0", "\t", "\u2009\u202f") if s == "|" else s for s in written
        )
        return "".join(self.pick(sign, sign, sign.lower()) for sign in spaced)


@given(st.randoms(use_true_random=False))
@settings(max_examples=1500, deadline=None)
def test_what_is_printed_reads_back_as_the_same(rng: random.Random) -> None:
    made = _Made(rng)
    text = made.all()
    tyre = read_designation(text)
    assert tyre.text == made.printed
    assert read_designation(tyre.text) == tyre
    assert read_designation(tyre.text).text == tyre.text


@given(st.randoms(use_true_random=False))
@settings(max_examples=500, deadline=None)
def test_both_writings_of_the_grammar_take_every_designation(rng: random.Random) -> None:
    text = _Made(rng).all()
    assert _whole(text)
    assert all(_viable(text[:end]) for end in range(len(text) + 1))


# ---- malformed texts ------------------------------------------------------------------------------------------------

_ODD = "ÖßſKı٣५２Ⅻ×–—−／．（）\u00b2\u00bd\u200b\u0301\u2009\u202f\u00a0\t\n\r\x0b\x0c\x00\x1f\x7f😀\ud800"
_ASCII = "".join(map(chr, range(32, 127)))
_USUAL = "0123456789/ .-+()xXRZFBDCPLTHEMSAVWYQU"


def _sign(rng: random.Random) -> str:
    return rng.choice(rng.choice((_USUAL, _USUAL, _USUAL, _ASCII, _ODD)))


def _spoilt(rng: random.Random) -> str:
    if rng.random() < 0.05:
        return "".join(_sign(rng) for _ in range(rng.randint(0, 24)))
    signs = list(_Made(rng).all())
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(signs)) if signs else 0
        how = rng.randrange(5)
        if how == 0 and signs:
            del signs[at]
        elif how == 1:
            signs.insert(at, _sign(rng))
        elif how == 2 and signs:
            signs[at] = _sign(rng)
        elif how == 3 and len(signs) > 1:
            at = min(at, len(signs) - 2)
            signs[at], signs[at + 1] = signs[at + 1], signs[at]
        elif how == 4 and rng.random() < 0.5:
            signs = signs[:at]
    return "".join(signs)


def _disagreement(text: str) -> str:
    """What the parser does otherwise than the grammar wants; '' for nothing."""
    try:
        read_designation(text)
    except BadDesignation as refusal:
        at, said = refusal.at, str(refusal)
    else:
        return "" if _whole(text) else "taken, but no designation"
    if _whole(text):
        return f"refused at {at}, but a designation: {said}"
    if not _viable(text[:at]):
        return f"refused at {at}, but could not go on before: {said}"
    if at < len(text) and _viable(text[: at + 1]):
        return f"refused at {at}, but could go on: {said}"
    quoted = f"at character {at + 1} {text[at]!r} stands" if at < len(text) else f"at character {at + 1} the end stands"
    return "" if quoted in said else f"the sign is not quoted: {said}"


@pytest.mark.parametrize("seed", range(4))
def test_of_a_hundred_thousand_spoilt_texts_each_is_refused_at_its_first_wrong_sign(seed: int) -> None:
    rng = random.Random(seed)
    wrong: dict[str, str] = {}
    refused = 0
    for _ in range(25_000):
        text = _spoilt(rng)
        refused += not _whole(text)
        if said := _disagreement(text):
            wrong[text] = said
    assert not wrong, f"{len(wrong)} texts, such as {list(wrong.items())[:5]}"
    assert refused > 15_000


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_by_the_grammar(text: str) -> None:
    assert _disagreement(text) == ""


# ---- by hand --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "at", "expected"),
    [
        ("", 0, "a width such as 205"),
        ("205", 3, "'/' and the aspect ratio"),
        ("205/55", 6, "R, ZR, B or D"),
        ("205/55 R16 91", 13, "speed symbol"),
        ("205/55 R16 999V", 13, "speed symbol"),
        ("205/55 R16 91Ö", 13, "speed symbol"),
        ("205/55 R16 91I", 13, "speed symbol"),
        ("205/55 R16 91A9", 14, "A1 to A8"),
        ("205-55-16", 5, "another digit of the rim"),
        ("205/15 R16", 4, "aspect ratio"),
        ("405/55 R16", 2, "'x' and the width"),
        ("205/55 R31", 10, "another digit of the rim"),
        ("205/55 R16 91V XL SL", 18, "the end"),
        ("205/55 R16 M+S 91V M+S", 19, "the end"),
        ("205/55 R16 XM", 12, "XL"),
        ("I78-15", 0, "a width such as 205"),
        ("FR77-15", 3, "aspect ratio"),
        ("6.4-13", 3, "two decimals"),
        ("205/55 ZR16 (91W", 16, "closing bracket"),
        ("LT245/75 R17/G", 13, "load range"),
        ("31x10.50 HR15", 9, "R or '-'"),
        ("²05/55 R16", 0, "a width such as 205"),
    ],
)
def test_a_mistake_is_pointed_at_where_it_stands(text: str, at: int, expected: str) -> None:
    with pytest.raises(BadDesignation) as refusal:
        read_designation(text)
    assert refusal.value.at == at
    assert expected in refusal.value.expected
    assert isinstance(refusal.value, BadText)


def test_of_a_long_text_the_beginning_is_shown() -> None:
    with pytest.raises(BadDesignation) as refusal:
        read_designation("205/55 R16 91V " + "?" * 500)
    assert refusal.value.at == 15
    assert refusal.value.found == "205/55 R16 91V " + "?" * 45 + "…"
    assert len(str(refusal.value)) < 300


def test_a_number_takes_as_many_digits_as_it_can() -> None:
    assert read_designation("205/55R1691V").service == Service(91, "V")
    assert read_designation("190/65R390").rim_code == 390
    assert read_designation("205/55R16130V").load_index == 130


def test_spaces_of_every_kind_and_small_letters_are_taken() -> None:
    plain = read_designation("P205/55 ZR16 89H XL M+S")
    assert read_designation("\t p\u00a0205 /\u200955 z r\u202f16 89 h extra  load m+s ") == plain
    assert read_designation("31 × 10.50 r 15 lt / c") == read_designation("31x10.50R15LT C")


def test_marks_stand_before_or_after_the_service_description() -> None:
    texts = ("205/55 R16 94V XL", "205/55 R16 XL 94V", "205/55 R16 94V EXTRA LOAD", "205/55 R16 Reinf. 94V",
             "205/55 R16 94V REINFORCED", "205/55 R16 94V reinf")  # fmt: skip
    assert len({read_designation(text) for text in texts}) == 1


def test_e_is_a_load_range_and_also_begins_extra_load() -> None:
    assert read_designation("LT245/75R17 E").load_range == "E"
    tyre = read_designation("LT245/75R17 EXTRA LOAD")
    assert (tyre.load_range, tyre.extra_load) == ("", True)
    assert read_designation("LT245/75R17 E EXTRA LOAD").load_range == "E"


def test_c_after_the_rim_is_a_van_tyre_but_a_load_range_after_lt() -> None:
    assert read_designation("215/65 R16C").suffix == "C"
    assert read_designation("LT215/65 R16C").load_range == "C"
    assert read_designation("LT215/65 R16C").suffix == ""


def test_the_first_sign_tells_letter_sizes_from_prefixes() -> None:
    assert read_designation("LT205/75 R15").prefix == "LT"
    assert read_designation("HL245/40 R19").prefix == "HL"
    assert read_designation("LR78-15").form is MarkForm.LETTER
    assert read_designation("H78-15").head == "H"
