"""Every reading of a printed ID, none picked. The two worked IDs are scenarios of the trade: pinned."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spoken import words
from wheelside.errors import BadText
from wheelside.sensor.ident import PrintForm, SensorId
from wheelside.sensor.reading import read_id

HEX, DEC = PrintForm.HEX, PrintForm.DECIMAL


def numbers(text: str, *widths: int, forms: tuple[PrintForm, ...] = (HEX, DEC)) -> set[tuple[str, str]]:
    found = read_id(text, widths=widths or (24, 28, 32), forms=forms)
    return {(r.form.value, r.id.hex) for r in found.all}


@pytest.mark.pinned
def test_ten_digits_can_only_be_decimal_for_32_bits() -> None:
    """As hex it would need 35 bits."""
    found = read_id("0742500339", widths=(32,))
    assert found.only == SensorId("", 32, 0x2C41A7F3)
    assert found.settle is None


@pytest.mark.pinned
def test_eight_digits_depend_on_the_width() -> None:
    assert numbers("11259375", 24) == {("decimal", "ABCDEF")}
    assert numbers("11259375", 32) == {("hex", "11259375"), ("decimal", "00ABCDEF")}


def test_nothing_is_picked_where_two_remain() -> None:
    found = read_id("11259375", widths=(32,))
    assert found.only is None
    assert "hex or decimal" in words(found.settle)
    assert "trigger" in words(found.settle)


def test_the_stated_form_decides() -> None:
    assert numbers("11259375", 32, forms=(HEX,)) == {("hex", "11259375")}
    assert numbers("11259375", 32, forms=(DEC,)) == {("decimal", "00ABCDEF")}


@pytest.mark.parametrize("text", ["0x11259375", "hex:11259375", "HEX:1125 9375", "ID: 0x11259375"])
def test_the_text_may_say_hex(text: str) -> None:
    assert numbers(text, 32) == {("hex", "11259375")}


def test_the_text_may_say_decimal() -> None:
    assert numbers("dec:11259375", 32) == {("decimal", "00ABCDEF")}


@pytest.mark.parametrize(
    "text",
    [
        "2C41A7F3",
        "2c41a7f3",
        "2C-41-A7-F3",
        "2C:41:A7:F3",
        "2C41 A7F3",
        "ID: 2C41A7F3",
        "#2C41.A7F3",
        " 2C41\u202fA7F3 ",
    ],
)
def test_separators_and_case_do_not_matter(text: str) -> None:
    assert numbers(text, 32) == {("hex", "2C41A7F3")}


def test_lost_leading_zeros_are_put_back_and_said() -> None:
    (reading,) = read_id("41A7F3", widths=(32,)).all
    assert reading.id.hex == "0041A7F3"
    assert [words(one) for one in reading.assumed] == ["2 leading zeros put back"]


def test_lost_zeros_are_counted_in_decimal_too() -> None:
    (reading,) = read_id("42500339", widths=(32,), forms=(DEC,)).all
    assert [words(one) for one in reading.assumed] == ["2 leading zeros put back"]


def test_zeros_too_many_are_left_out_and_said() -> None:
    (reading,) = read_id("002C41A7F3", widths=(32,), forms=(HEX,)).all
    assert reading.id.hex == "2C41A7F3"
    assert "ignored" in words(reading.assumed[0])


def test_a_leading_status_digit_is_taken_off_28_bits_only() -> None:
    (reading,) = read_id("82C41A7F", widths=(28,)).all
    assert reading.id.hex == "2C41A7F"
    assert "status digit" in words(reading.assumed[0])
    with pytest.raises(BadText):
        read_id("82C41A7F3", widths=(32,))


@pytest.mark.parametrize(
    ("text", "hexed", "letter"),
    [("2C41A7FO", "2C41A7F0", "O"), ("2C41A7FI", "2C41A7F1", "I"), ("2C41A7FS", "2C41A7F5", "S")],
)
def test_letters_that_are_no_hex_digits_are_put_right_and_said(text: str, hexed: str, letter: str) -> None:
    (reading,) = read_id(text, widths=(32,)).all
    assert reading.id.hex == hexed
    assert f"the letter {letter} read as" in words(reading.assumed[0])


def test_b_is_put_right_in_decimal_only() -> None:
    (reading,) = read_id("74250033B", widths=(32,), forms=(DEC,)).all
    assert reading.id.number == 742500338
    assert "B read as 8" in words(reading.assumed[0])
    (hexed,) = read_id("2C41A7FB", widths=(32,), forms=(HEX,)).all
    assert hexed.id.hex == "2C41A7FB"
    assert hexed.assumed == ()


def test_reversed_bytes_are_never_a_reading() -> None:
    assert ("hex", "F3A7412C") not in numbers("2C41A7F3", 32)


@pytest.mark.parametrize("text", ["", "   ", "ID:", "2C41A7G3", "123456789012", "4294967296", "x" * 100, "--", "Ω"])
def test_what_is_no_id_is_refused_with_what_would_fit(text: str) -> None:
    with pytest.raises(BadText) as caught:
        read_id(text, widths=(32,))
    assert caught.value.expected


def test_the_largest_decimal_fits_and_one_more_does_not() -> None:
    assert read_id("4294967294", widths=(32,)).only == SensorId("", 32, 0xFFFFFFFE)
    with pytest.raises(BadText):
        read_id("4294967296", widths=(32,))


@given(st.sampled_from([24, 28, 32]), st.data())
def test_what_is_printed_is_among_the_readings(bits: int, data: st.DataObject) -> None:
    number = data.draw(st.integers(0, (1 << bits) - 1))
    form = data.draw(st.sampled_from([HEX, DEC]))
    sensor_id = SensorId("f", bits, number)
    cut = data.draw(st.integers(0, 3))
    text = sensor_id.printed(form)
    short = text[cut:] if text[:cut] == "0" * cut else text
    aloud = data.draw(st.booleans())
    found = read_id(sensor_id.aloud(form) if aloud else short, "f", (24, 28, 32))
    assert sensor_id in [r.id for r in found.all if r.form is form]


@given(st.text(max_size=40))
def test_any_text_gives_readings_or_a_clear_refusal(text: str) -> None:
    try:
        found = read_id(text)
    except BadText as error:
        assert error.message  # noqa: PT017  any text may be refused; what counts is that it is said why
        return
    assert found.all
    assert len({(r.id, r.form) for r in found.all}) == len(found.all)
    assert bool(found.settle) == (found.only is None)


def test_letters_in_front_that_may_be_digits_are_read_both_ways() -> None:
    assert numbers("DEC 1A7F", 28) == {("hex", "DEC1A7F")}
    assert numbers("DEC 1234", 28) == {("hex", "DEC1234"), ("decimal", "00004D2")}
    assert numbers("ID2C41A7", 32) == {("hex", "1D2C41A7")}
    assert numbers("ID 2C41A7", 32) == {("hex", "1D2C41A7"), ("hex", "002C41A7")}


def test_two_ways_to_the_same_id_are_one() -> None:
    found = read_id("00000005", widths=(32,))
    assert found.only == SensorId("", 32, 5)
    assert found.settle is None


@pytest.mark.parametrize("text", ["\u0662\u0663\u0664", "\uff11\uff12", "\ufb00\ufb001234"])
def test_digits_of_other_scripts_are_refused(text: str) -> None:
    with pytest.raises(BadText, match="0 to 9, A to F"):
        read_id(text)


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("2C41.A7F3", "the dot was ignored"),
        ("2C-41-A7-F3", "the 3 dashes were ignored"),
        ("2C41_A7F3", "the underscore was ignored"),
        ("2C41\u2013A7F3", "the dash was ignored"),
        ("2C:41:A7:F3", "the 3 colons were ignored"),
    ],
)
def test_marks_between_digits_are_left_out_and_said(text: str, note: str) -> None:
    (reading,) = read_id(text, widths=(32,)).all
    assert (reading.id.hex, [words(one) for one in reading.assumed]) == ("2C41A7F3", [note])


def test_spaces_are_no_marks() -> None:
    assert read_id("2C41 A7F3", widths=(32,)).all[0].assumed == ()


@pytest.mark.parametrize(
    ("text", "bits", "form", "why"),
    [
        ("0742500339", 24, DEC, "10 digits is no 24-bit decimal, which has 8 at most; it can be 32-bit decimal"),
        ("2742500339", 24, DEC, "10 digits is no 24-bit decimal, which has 8 at most; it can be 32-bit decimal"),
        ("99999999", 24, DEC, "99999999 is no 24-bit decimal, which ends at 16777215"),
        ("2C41A7F3", 24, HEX, "8 digits is no 24-bit hex number, which has 6"),
        ("2C41A7F3", 32, DEC, "A, C, F is no decimal digit; it can be 28-bit hex or 32-bit hex"),
        ("dec:2C41A7F3", 32, HEX, "A, C, F is no decimal digit"),
    ],
)
def test_what_was_stated_and_the_text_contradicts_is_said(text: str, bits: int, form: PrintForm, why: str) -> None:
    with pytest.raises(BadText) as caught:
        read_id(text, widths=(bits,), forms=(form,))
    assert why in caught.value.message


def test_a_text_that_says_its_form_goes_before_the_one_stated_and_says_so() -> None:
    (reading,) = read_id("0x2C41A7F3", widths=(32,), forms=(DEC,)).all
    assert reading.form is HEX
    assert [words(one) for one in reading.assumed] == ["read as hex, for it says so itself; decimal was stated"]


def test_hex_without_a_width_has_all_widths_that_it_fits() -> None:
    assert read_id("0x2C41A7F3").widths == (28, 32)
    assert read_id("0x2C41A7").widths == (24, 28, 32)
    assert read_id("2742500339").widths == (32,)
