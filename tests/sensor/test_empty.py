"""All zeros and all ones stand for no sensor: in every width, in both forms, with zeros or a status digit in front."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spoken import words
from wheelside.sensor.ident import WIDTHS, Empty, PrintForm, SensorId
from wheelside.sensor.reading import read_id

WIDE = tuple(range(16, 65, 4))


def written(bits: int, digit: str, form: PrintForm) -> str:
    """Zeros or ones as they are printed, told without the program: a row of one hex digit, or its value."""
    row = digit * (bits // 4)
    return row if form is PrintForm.HEX else str(int(row, 16))


@pytest.mark.parametrize("bits", WIDE)
@pytest.mark.parametrize("form", PrintForm)
@pytest.mark.parametrize(("digit", "kind"), [("0", Empty.ZEROS), ("F", Empty.ONES)])
def test_no_width_and_no_form_makes_an_id_of_them(bits: int, form: PrintForm, digit: str, kind: Empty) -> None:
    found = read_id(written(bits, digit, form), widths=(bits,), forms=(form,))
    assert (found.empty, found.ids, found.only) == (kind, (), None)
    assert "stands for no sensor" in words(found.settle)
    assert SensorId("", bits, int(digit * (bits // 4), 16)).empty is kind


@pytest.mark.parametrize("status", "0123456789ABCDEF")
@pytest.mark.parametrize("row", ["0000000", "FFFFFFF"])
def test_a_status_digit_in_front_of_28_bits_makes_no_id_of_them(status: str, row: str) -> None:
    assert read_id(status + row, widths=(28,), forms=(PrintForm.HEX,)).empty
    assert read_id(f"0x{status}{row}").ids == ()


@pytest.mark.parametrize("text", ["FFFFFFFF", "0xFFFFFFFF", "00000000", "0", "4294967295", "FF FF FF FF"])
def test_a_whole_slot_is_empty_in_a_narrower_width_too(text: str) -> None:
    assert all(read_id(text, widths=(bits,)).empty for bits in WIDTHS)
    assert read_id(text).empty


def test_where_a_width_is_open_in_which_it_is_empty_it_is_no_id() -> None:
    """FFFFFF is all ones of 24 bits; whoever knows that the IDs have 32 says so."""
    assert read_id("FFFFFF").ids == ()
    assert read_id("FFFFFF", widths=(32,)).only == SensorId("", 32, 0xFFFFFF)
    assert read_id("8FFFFFFF").ids == ()
    assert read_id("8FFFFFFF", widths=(32,)).only == SensorId("", 32, 0x8FFFFFFF)


@given(st.sampled_from(WIDE), st.sampled_from(PrintForm), st.data())
def test_anything_else_is_an_id_and_only_these_are_none(bits: int, form: PrintForm, data: st.DataObject) -> None:
    number = data.draw(st.integers(0, (1 << bits) - 1) | st.sampled_from([0, 1, (1 << bits) - 2, (1 << bits) - 1]))
    text = f"{number:0{bits // 4}X}" if form is PrintForm.HEX else str(number)
    found = read_id(text, widths=(bits,), forms=(form,))
    none = set(f"{number:0{bits}b}") in ({"0"}, {"1"})
    assert (found.only is None) == none
    assert bool(found.empty) == none
