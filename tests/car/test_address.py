"""CAN identifiers as they are written, and the addresses of ISO 15765-4."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.car.address import ANSWER_OFFSET, FUNCTIONAL_11, FUNCTIONAL_29, UnitAddress, normal_fixed, read_can_id
from wheelside.errors import BadText


@pytest.mark.published
def test_addresses_are_those_of_iso_15765_4() -> None:
    """ISO 15765-4: 7DF to all, 7E0 to 7E7 and 8 above; 18DB33F1 to all, 18DAxxF1 and 18DAF1xx."""
    assert (FUNCTIONAL_11, FUNCTIONAL_29, 0x7E0 + ANSWER_OFFSET) == (0x7DF, 0x18DB33F1, 0x7E8)
    assert normal_fixed(0x10) == UnitAddress(0x18DA10F1, 0x18DAF110, wide=True)


@pytest.mark.published
def test_a_wide_address_has_priority_6_and_pf_218() -> None:
    """ISO 15765-4: priority 6 in bits 28 to 26, PF 218 (DA) for one unit; source and target lie below."""
    for unit in range(256):
        address = normal_fixed(unit)
        for can_id, target, source in ((address.request, unit, 0xF1), (address.answer, 0xF1, unit)):
            assert can_id >> 26 == 6
            assert (can_id >> 16 & 0xFF, can_id >> 8 & 0xFF, can_id & 0xFF) == (218, target, source)


@pytest.mark.published
def test_short_frames_are_filled_with_cc() -> None:
    """ISO 15765-2 recommends CC."""
    assert UnitAddress(0x6A3, 0x6AB).padding == normal_fixed(1).padding == 0xCC


def test_text_shows_the_width() -> None:
    assert UnitAddress(0x6A3, 0x6AB).text == "6A3/6AB"
    assert UnitAddress(0x1, 0x9).text == "001/009"
    assert UnitAddress(0x1, 0x9, wide=True).text == "00000001/00000009"


@given(st.integers(0, 0x7FF))
def test_three_digits_are_11_bits(number: int) -> None:
    for text in (f"{number:03X}", f"{number:03x}", f"0x{number:03X}", f" {number:03X} "):
        assert read_can_id(text) == (number, False)


@given(st.integers(0, 0x1FFFFFFF))
def test_eight_digits_are_29_bits(number: int) -> None:
    assert read_can_id(f"{number:08X}") == (number, True)


@pytest.mark.parametrize(
    "text",
    ["", "6", "6A", "6A3F", "800", "FFF", "6G3", "-6A", "6A3/6AB", "18DA10F", "20000000", "FFFFFFFF", "118DA10F1", "٦٦٦", "0x", "6 A3"],
)  # fmt: skip
def test_what_is_no_identifier_is_refused(text: str) -> None:
    with pytest.raises(BadText, match="three hex digits") as caught:
        read_can_id(text)
    assert caught.value.found == text
