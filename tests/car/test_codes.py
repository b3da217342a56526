"""Trouble codes as SAE J2012 writes them, and the lists of them in answers of ISO 14229-1 and SAE J1979."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.car.codes import (
    BadAnswer,
    Code,
    CodeList,
    CodesTold,
    Status,
    code_text,
    codes_of_14229,
    codes_of_j1979,
    compared,
    number_of_codes,
    read_code,
)
from wheelside.errors import BadText

ROWS = [
    ("000000", "P0000-00"),
    ("56789A", "C1678-9A"),
    ("A5B6C7", "B25B6-C7"),
    ("FFFFFF", "U3FFF-FF"),
    ("0135", "P0135"),
    ("0133", "P0133"),
    ("4123", "C0123"),
    ("8111", "B0111"),
    ("4750", "C0750"),
    ("C100", "U0100"),
    ("0143", "P0143"),
]


def texts(codes: tuple[Code, ...]) -> list[str]:
    return [code.text for code in codes]


@pytest.mark.published
@pytest.mark.parametrize(("number", "text"), ROWS)
def test_bytes_and_text_are_those_of_j2012(number: str, text: str) -> None:
    """SAE J2012, ISO 15031-6; 4750, C100 and 0143 are computed from the rule."""
    assert code_text(bytes.fromhex(number)) == text
    assert read_code(text) == bytes.fromhex(number)
    assert read_code(f" {text.lower()} ") == bytes.fromhex(number)


@pytest.mark.published
def test_the_first_byte_is_letter_digit_digit() -> None:
    """SAE J2012: bits 7 and 6 are the letter, 5 and 4 the first digit, 3 to 0 the second; all 256 of them."""
    for first in range(256):
        bits = f"{first:08b}"
        letter = {"00": "P", "01": "C", "10": "B", "11": "U"}[bits[:2]]
        text = f"{letter}{int(bits[2:4], 2)}{int(bits[4:], 2):X}5A"
        assert code_text(bytes([first, 0x5A])) == text
        assert Code(bytes([first, 0x5A])).family == {
            "P": "drive train", "C": "chassis", "B": "body", "U": "network"
        }[letter]  # fmt: skip


@given(st.binary(min_size=2, max_size=3))
def test_text_leads_back_to_its_bytes(number: bytes) -> None:
    assert read_code(code_text(number)) == number


@pytest.mark.parametrize(
    "text",
    ["", "C", "C075", "C07500", "X0750", "C4750", "CO750", "C0750-", "C0750-1", "C0750-123", "0750", "C0750 31", "C07५0", "C07ß0"],
)  # fmt: skip
def test_what_is_no_code_is_refused(text: str) -> None:
    with pytest.raises(BadText, match="is no trouble code") as caught:
        read_code(text)
    assert (caught.value.found, caught.value.expected) == (text, "C0750")


@pytest.mark.published
@pytest.mark.parametrize(
    ("answer", "codes"),
    [
        ("43 01 01 33 01 34", ["P0133"]),
        ("43 00", []),
        ("43 02 01 02 01 13", ["P0102", "P0113"]),
        ("47 00", []),
        ("4A 01 01 43", ["P0143"]),
    ],
)
def test_on_can_a_count_stands_before_the_codes(answer: str, codes: list[str]) -> None:
    """SAE J1979 on ISO 15765-4."""
    assert texts(codes_of_j1979(bytes.fromhex(answer))) == codes


@pytest.mark.published
@pytest.mark.parametrize(
    ("answer", "codes"),
    [
        ("43 01 33 41 23 81 11", ["P0133", "C0123", "B0111"]),
        ("43 01 33 00 00 00 00", ["P0133"]),
        ("43 00 00 00 00 00 00", []),
        ("47 01 33 41 23 00 00", ["P0133", "C0123"]),
    ],
)
def test_on_older_buses_there_is_no_count_and_zeros_fill_up(answer: str, codes: list[str]) -> None:
    """SAE J1979 on buses before CAN."""
    assert texts(codes_of_j1979(bytes.fromhex(answer), on_can=False)) == codes


@pytest.mark.published
def test_the_count_is_dropped_and_not_read_as_half_a_code() -> None:
    """A published confusion: with the count taken for a byte of a code, P0102 and P0113 become P0201 and P0113. It is refused."""
    answer = bytes.fromhex("43 02 01 02 01 13")
    assert texts(codes_of_j1979(answer)) == ["P0102", "P0113"]
    with pytest.raises(BadAnswer, match="no multiple of two"):
        codes_of_j1979(answer, on_can=False)


def test_bytes_that_fill_a_frame_are_no_codes() -> None:
    assert texts(codes_of_j1979(bytes.fromhex("43 01 01 33 CC CC CC"))) == ["P0133"]
    assert codes_of_j1979(bytes.fromhex("43 00 CC CC CC CC CC")) == ()


def test_only_service_0a_tells_permanent_codes() -> None:
    assert [codes_of_j1979(bytes.fromhex(f"{s} 01 01 33"))[0].permanent for s in ("43", "47", "4A")] == [
        False,
        False,
        True,
    ]
    _, permanent = codes_of_14229(bytes.fromhex("59 15 FF 01 33 00 08"))
    assert permanent == (Code(b"\x01\x33\x00", Status.CONFIRMED, permanent=True, stored=False),)


@pytest.mark.parametrize(
    "answer", ["", "41 00", "7F 03 11", "43", "43 01", "43 01 01", "43 02 01 33", "43 FF 01 33", "59 02 FF"]
)
def test_a_list_of_j1979_that_is_none_is_refused(answer: str) -> None:
    with pytest.raises(BadAnswer):
        codes_of_j1979(bytes.fromhex(answer))


@pytest.mark.published
def test_the_example_of_service_19_0a() -> None:
    """ISO 14229-1, message flow of reportSupportedDTC: data printed, the reply put together from them."""
    answer = bytes.fromhex("59 0A 7F 12 34 56 24 23 45 05 00 AB CD 01 2F")
    mask, codes = codes_of_14229(answer)
    assert mask == 0x7F
    assert [(c.number.hex().upper(), c.status) for c in codes] == [("123456", 0x24), ("234505", 0), ("ABCD01", 0x2F)]
    assert texts(codes) == ["P1234-56", "P2345-05", "B2BCD-01"]
    rebuilt = bytes([0x59, 0x0A, mask]) + b"".join(c.number + bytes([c.status or 0]) for c in codes)
    assert rebuilt == answer


@pytest.mark.published
def test_the_example_of_service_19_02() -> None:
    """ISO 14229-1, message flow of reportDTCByStatusMask 84, from memory; the unit's mask leaves 04."""
    mask, codes = codes_of_14229(bytes.fromhex("59 02 7F 0A 9B 17 24 08 05 11 2F"))
    assert mask == 0x7F
    assert [(c.text, int(c.status or 0)) for c in codes] == [("P0A9B-17", 0x24), ("P0805-11", 0x2F)]
    assert all(c.status is not None and c.status & (0x84 & mask) == 0x04 for c in codes)


@pytest.mark.published
def test_the_example_of_service_19_01() -> None:
    """ISO 14229-1, message flow of reportNumberOfDTCByStatusMask 08, from memory."""
    assert number_of_codes(bytes.fromhex("59 01 2F 00 00 01")) == 1
    assert number_of_codes(bytes.fromhex("59 01 FF 01 12 34")) == 0x1234


@pytest.mark.parametrize(
    "answer", ["", "59", "59 01", "59 01 2F 00 00", "59 01 2F 00 00 01 00", "59 02 2F 00 00 01", "7F 19 12"]
)
def test_a_number_of_codes_that_is_none_is_refused(answer: str) -> None:
    with pytest.raises(BadAnswer, match="59 01"):
        number_of_codes(bytes.fromhex(answer))


@pytest.mark.parametrize("answer", ["", "59", "59 02", "59 01 FF", "58 02 FF", "7F 19 12", "59 06 FF", "62 F1 90"])
def test_a_list_of_14229_that_is_none_is_refused(answer: str) -> None:
    with pytest.raises(BadAnswer, match="a list of codes"):
        codes_of_14229(bytes.fromhex(answer))


@pytest.mark.parametrize("length", [1, 2, 3, 5, 6, 7, 9])
def test_a_list_that_ends_within_a_row_is_refused(length: int) -> None:
    with pytest.raises(BadAnswer, match=f"{length} bytes, which is no multiple of four"):
        codes_of_14229(b"\x59\x02\xff" + bytes(length))


@given(st.sampled_from([0x02, 0x0A, 0x15]), st.binary(max_size=80))
def test_every_answer_is_read_whole_or_refused(sub: int, rest: bytes) -> None:
    answer = bytes([0x59, sub]) + rest
    if len(rest) % 4 == 1:
        mask, codes = codes_of_14229(answer)
        assert bytes([mask]) + b"".join(c.number + bytes([int(c.status or 0)]) for c in codes) == rest
    else:
        with pytest.raises(BadAnswer):
            codes_of_14229(answer)


@pytest.mark.published
def test_status_bits_are_those_of_annex_d() -> None:
    """ISO 14229-1 Annex D.2: bit 0 testFailed up to bit 7 warningIndicatorRequested."""
    in_order = [
        "failing now", "failed this drive", "pending", "stored", "not tested since clearing", "failed since clearing",
        "not tested this drive", "asks for the lamp",
    ]  # fmt: skip
    for bit, words in enumerate(in_order):
        assert Code(b"\x01\x33\x00", Status(1 << bit)).said == (words,)
    for bits in range(256):
        assert Code(b"\x01\x33\x00", Status(bits)).said == tuple(w for n, w in enumerate(in_order) if bits >> n & 1)
    assert Code(b"\x01\x33").said == ()


@pytest.mark.published
def test_the_first_digit_says_whose_a_code_is() -> None:
    """SAE J2012, from memory: P1, P30 to P33, C1, C2, B1, B2, U1 and U2 are the maker's."""
    makers = ("P1000", "P3000", "P3399", "C1A10", "C2FFF", "B1000", "B2123", "U1000", "U2000")
    others = ("P0102", "P2000", "P3400", "C0750", "C3000", "B0001", "B3FFF", "U0100", "U3FFF")
    assert [Code(read_code(t)).makers_own for t in makers + others] == [True] * 9 + [False] * 9


def test_compared_tells_what_went_came_and_stayed() -> None:
    a, b, c = (Code(read_code(t), Status.CONFIRMED) for t in ("C1A10-31", "C1A11-31", "U0140-00"))
    later = Code(b.number, Status.CONFIRMED | Status.FAILED)
    changed = compared(CodesTold((a, b)), CodesTold((later, c)))
    assert (changed.gone, changed.new, changed.stayed) == ((a,), (c,), (later,))
    nothing = compared(CodesTold(()), CodesTold(()))
    assert (nothing.gone, nothing.new, nothing.stayed) == ((), (), ())


@given(
    st.lists(st.binary(min_size=3, max_size=3), unique=True), st.lists(st.binary(min_size=3, max_size=3), unique=True)
)
def test_compared_loses_and_invents_none(before: list[bytes], after: list[bytes]) -> None:
    changed = compared(CodesTold(tuple(Code(n) for n in before)), CodesTold(tuple(Code(n) for n in after)))
    assert sorted(c.number for c in changed.gone + changed.stayed) == sorted(before)
    assert sorted(c.number for c in changed.new + changed.stayed) == sorted(after)


def test_a_code_of_a_list_that_was_not_told_is_neither_gone_nor_new() -> None:
    """It may have gone from one list to the other meanwhile: stored codes need both."""
    stored, pending = Code(b"\x01\x02", Status.CONFIRMED), Code(b"\x01\x13", Status.PENDING)
    permanent = Code(b"\x01\x43", None, permanent=True, stored=False)
    every = CodesTold((stored, pending, permanent))
    for lacking, sure in (
        ({CodeList.PERMANENT}, (stored, pending)),
        ({CodeList.PENDING}, (permanent,)),
        ({CodeList.STORED}, (permanent,)),
        (set(CodeList), ()),
        (set(), (stored, pending, permanent)),
    ):
        other = CodesTold((), frozenset(lacking))
        assert compared(every, other).gone == sure
        assert compared(other, every).new == sure


def test_a_code_in_several_lists_has_what_all_of_them_say() -> None:
    both = Code(b"\x01\x02", Status.CONFIRMED).merged(Code(b"\x01\x02", Status.PENDING))
    assert both.said == ("pending", "stored")
    every = both.merged(Code(b"\x01\x02", None, permanent=True, stored=False))
    assert (every.said, every.clearable) == (("pending", "stored", "permanent"), True)
    assert not Code(b"\x01\x02", None, permanent=True, stored=False).clearable
