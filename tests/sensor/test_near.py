"""IDs that are taken for one another."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spoken import words
from wheelside.sensor.ident import SensorId, reversed_forms
from wheelside.sensor.near import Alike, likenesses, look_alikes


def like(a: int, b: int, bits: int = 32) -> str:
    found = likenesses(SensorId("f", bits, a), [SensorId("f", bits, b)])
    return words(found[0].text) if found else ""


@pytest.mark.pinned
def test_the_reversed_form_is_found() -> None:
    assert like(0x2C41A7F3, 0xF3A7412C) == "the reversed form of"
    assert reversed_forms(0x2C41A7F3, 32) == {0xF3A7412C}
    assert reversed_forms(0x2C41A7, 24) == {0xA7412C}


@pytest.mark.pinned
def test_28_bits_have_reversed_forms_behind_a_status_digit() -> None:
    """02 C4 1A 7F is 7F 1A C4 02 the other way round; an 8 as status digit makes it 7F 1A C4 82."""
    forms = reversed_forms(0x2C41A7F, 28)
    assert {0xF1AC402, 0xF1AC482, 0xF7A14C2} <= forms
    assert len(forms) == 17
    assert like(0xF1AC402, 0x2C41A7F, 28) == "the reversed form of"
    assert like(0x2C41A7F, 0xF1AC482, 28) == "the reversed form of"
    assert like(0x2C41A7F, 0xF7A14C2, 28) == "the reversed form of"


def test_a_width_of_no_whole_digits_has_no_reversed_form() -> None:
    assert reversed_forms(5, 18) == frozenset()


def turned_by_hand(digits: str) -> set[str]:
    """The reversed forms of an odd number of hex digits, told on paper: pairs of digits from the back, with any digit in front."""
    out = {"".join(reversed(digits))}
    for status in "0123456789ABCDEF":
        whole = status + digits
        pairs = [whole[i : i + 2] for i in range(0, len(whole), 2)]
        out.add("".join(reversed(pairs))[1:])
    return out


@given(st.sampled_from([20, 28, 36]), st.data())
def test_reversed_forms_are_those_on_paper_and_go_both_ways(bits: int, data: st.DataObject) -> None:
    number = data.draw(st.integers(0, (1 << bits) - 1))
    forms = reversed_forms(number, bits)
    assert {f"{n:0{bits // 4}X}" for n in forms} == turned_by_hand(f"{number:0{bits // 4}X}")
    assert all(number in reversed_forms(n, bits) for n in forms)
    assert forms <= look_alikes(SensorId("f", bits, number))


@given(st.sampled_from([16, 24, 32, 40, 64]), st.data())
def test_whole_bytes_turn_round_and_back(bits: int, data: st.DataObject) -> None:
    number = data.draw(st.integers(0, (1 << bits) - 1))
    (once,) = reversed_forms(number, bits)
    assert reversed_forms(once, bits) == {number}
    pairs = [f"{number:0{bits // 4}X}"[i : i + 2] for i in range(0, bits // 4, 2)]
    assert f"{once:0{bits // 4}X}" == "".join(reversed(pairs))


def test_one_hex_or_decimal_character_is_found() -> None:
    assert like(0x2C41A7FB, 0x2C41A7F8) == "one character from (hex)"
    assert like(742500339, 742500389) == "one character from (decimal)"


def test_swapped_neighbours_are_found() -> None:
    assert "swapped" in like(0x2C41A7F3, 0x2C417AF3)


def test_others_are_not_alike() -> None:
    assert like(0x2C41A7F3, 0x12345678) == ""
    assert likenesses(SensorId("f", 24, 1), [SensorId("f", 32, 1)]) == ()


def test_equal_ones_come_first() -> None:
    a = SensorId("f", 32, 0x2C41A7F3)
    found = likenesses(a, [SensorId("f", 32, 0x2C41A7F8), a])
    assert [(x.how, words(x.text)) for x in found] == [
        (Alike.SAME, "the same as"),
        (Alike.ONE_CHARACTER, "one character from (hex)"),
    ]
