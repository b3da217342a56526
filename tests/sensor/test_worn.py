"""IDs with one or two digits that can't be read: every ID that fits, told on paper and compared."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spoken import words
from wheelside.errors import BadText
from wheelside.sensor.ident import PrintForm, SensorId
from wheelside.sensor.worn import WornForm, read_worn

HEX, DEC = PrintForm.HEX, PrintForm.DECIMAL


def test_each_unreadable_digit_can_be_any() -> None:
    assert read_worn("2C41A7F?", widths=(32,)).ways == (WornForm(32, HEX, 16),)
    assert read_worn("2C?1A7F?", widths=(32,)).ways == (WornForm(32, HEX, 256),)
    assert read_worn("074250033?", widths=(32,), forms=(DEC,)).ways == (WornForm(32, DEC, 10),)
    assert read_worn("2C41A7F?").ways == (WornForm(28, HEX, 16), WornForm(32, HEX, 16))


def test_a_digit_that_only_one_can_be_leaves_one() -> None:
    """Nine digits fit 32 bits only where the first is a zero; a status digit of 28 bits may be any."""
    assert read_worn("?2C41A7F3", widths=(32,)).ways == (WornForm(32, HEX, 1),)
    assert read_worn("?2C41A7F", widths=(28,)).ways == (WornForm(28, HEX, 1),)
    assert read_worn("429496729?", widths=(32,), forms=(DEC,)).ways == (WornForm(32, DEC, 5),)


def test_zeros_and_ones_are_none_of_them() -> None:
    assert SensorId("", 32, 0) not in read_worn("0000000?", widths=(32,), forms=(HEX,)).possible
    assert read_worn("FFFFFF?F", widths=(32,), forms=(HEX,)).ways == (WornForm(32, HEX, 15),)


def test_what_was_assumed_in_all_of_them_is_said() -> None:
    assert [words(one) for one in read_worn("2C41.A7F?", widths=(32,)).assumed] == ["the dot was ignored"]


@pytest.mark.parametrize("text", ["2C4?A?F?", "???", "??", "2C?", "2C41A7G?", "?2C41A7F3A", "2C41A7F3", "1" * 64 + "?"])
def test_what_can_not_be_an_id_is_refused(text: str) -> None:
    with pytest.raises(BadText):
        read_worn(text, widths=(32,))


@given(st.sampled_from([16, 24, 28, 32, 48]), st.sampled_from(PrintForm), st.data())
def test_those_possible_are_just_those_that_look_like_it(bits: int, form: PrintForm, data: st.DataObject) -> None:
    """Compared with the printed forms of every ID that could be tried: each digit that can be read is that digit."""
    number = data.draw(st.integers(1, (1 << bits) - 2))
    text = SensorId("", bits, number).printed(form)
    places = data.draw(st.sets(st.integers(0, len(text) - 1), min_size=1, max_size=2))
    worn = "".join("?" if i in places else sign for i, sign in enumerate(text))
    if len(text) - len(places) < 4:
        return
    found = read_worn(worn, widths=(bits,), forms=(form,))
    digits = "0123456789ABCDEF" if form is HEX else "0123456789"
    wanted = {text}
    for place in places:
        wanted = {one[:place] + digit + one[place + 1 :] for one in wanted for digit in digits}
    fitting = {n for one in wanted if 0 < (n := int(one, len(digits))) < (1 << bits) - 1}
    assert {one.number for one in found.possible} == fitting
    assert number in fitting
    assert found.ways == (WornForm(bits, form, len(fitting)),)
