"""Vehicle identification numbers, against 49 CFR 565 computed a second time. Numbers that are not from printed examples are invented."""

from __future__ import annotations

import random
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.car.vin import check_sign, check_sum, read_vin
from wheelside.errors import BadText

TODAY = date(2026, 11, 25)

# 49 CFR 565: what each letter is worth, and what each position weighs.
WORTH = {
    "A": 1, "B": 2, "C": 3, "D": 4, "E": 5, "F": 6, "G": 7, "H": 8,
    "J": 1, "K": 2, "L": 3, "M": 4, "N": 5, "P": 7, "R": 9,
    "S": 2, "T": 3, "U": 4, "V": 5, "W": 6, "X": 7, "Y": 8, "Z": 9,
    "0": 0, "1": 1, "2": 2, "3": 3, "4": 4, "5": 5, "6": 6, "7": 7, "8": 8, "9": 9,
}  # fmt: skip
WEIGHT = {1: 8, 2: 7, 3: 6, 4: 5, 5: 4, 6: 3, 7: 2, 8: 10, 9: 0, 10: 9, 11: 8, 12: 7, 13: 6, 14: 5, 15: 4, 16: 3, 17: 2}
SIGNS = "".join(WORTH)
EUROPEAN = "XX0ZZZZZZ8X000001"  # invented, with Z in position 9


def _sum(number: str) -> int:
    return sum(WORTH[sign] * WEIGHT[position] for position, sign in enumerate(number, start=1))


def _with_check(number: str) -> str:
    """The number with the right sign in position 9."""
    return number[:8] + "0123456789X"[_sum(number) % 11] + number[9:]


def _american(year_sign: str, seventh: str = "5") -> str:
    return _with_check(f"1XXAA1{seventh}00{year_sign}X000001")


numbers = st.text(SIGNS, min_size=17, max_size=17)


@pytest.mark.published
@pytest.mark.parametrize(
    ("number", "total", "sign"),
    [
        ("1G4AH59H45G118341", 411, "4"),  # the worked example of 49 CFR 565
        ("1G4AH59H45G118331", 408, "1"),  # the same with a sign misread
        ("1M8GDM9AXKP042788", 351, "X"),
        ("11111111111111111", 89, "1"),
        ("1FACP45E0LF192944", 373, "X"),
        ("1HGCM82633A004352", 311, "3"),
        ("JM1BN1U70H1100922", 286, "0"),
    ],
)
def test_sums_and_check_signs_are_those_of_49_cfr_565(number: str, total: int, sign: str) -> None:
    """49 CFR 565 and printed examples of it."""
    assert check_sum(number) == total == _sum(number)
    assert check_sign(number) == sign


@pytest.mark.published
def test_the_products_of_a_printed_example_add_up_to_351() -> None:
    """49 CFR 565: sign by sign, 351 = 11 * 31 + 10, so X."""
    products = [WORTH[sign] * WEIGHT[position] for position, sign in enumerate("1M8GDM9AXKP042788", start=1)]
    assert products == [8, 28, 48, 35, 16, 12, 18, 10, 0, 18, 56, 0, 24, 10, 28, 24, 16]
    assert divmod(sum(products), 11) == (31, 10)


@pytest.mark.published
@pytest.mark.parametrize(
    "number", ["1G4AH59H45G118341", "1M8GDM9AXKP042788", "11111111111111111", "1FACP45EXLF192944", "1HGCM82633A004352"]
)
def test_numbers_with_a_right_check_digit_are_read(number: str) -> None:
    """49 CFR 565 and printed examples of it."""
    vin = read_vin(number, TODAY)
    assert (vin.region, vin.check_digit) == ("North America", True)


@pytest.mark.published
def test_the_worked_example_with_a_sign_misread_is_refused() -> None:
    """49 CFR 565: the products add up to 408, which wants 1 in position 9, not 4."""
    with pytest.raises(BadText, match="check digit"):
        read_vin("1G4AH59H45G118331", TODAY)


@given(numbers)
def test_the_check_sign_is_the_sum_modulo_eleven(number: str) -> None:
    assert check_sum(number) == _sum(number)
    assert check_sign(number) == _with_check(number)[8]


@given(numbers, st.sampled_from("12345"), st.integers(0, 16), st.sampled_from(SIGNS))
def test_a_number_of_north_america_is_refused_by_its_check_digit_alone(
    number: str, first: str, at: int, sign: str
) -> None:
    right = _with_check(first + number[1:])
    assert read_vin(right, TODAY).check_digit is True
    other = right[:at] + sign + right[at + 1 :]
    if other[0] in "12345" and _with_check(other) != other:
        with pytest.raises(BadText, match="check digit"):
            read_vin(other, TODAY)
    else:
        read_vin(other, TODAY)


@pytest.mark.published
def test_a_number_of_europe_is_not_refused_for_its_ninth_sign() -> None:
    """49 CFR 565 wants a check digit in North America only (that no other rule does: from memory)."""
    assert _with_check(EUROPEAN) != EUROPEAN
    vin = read_vin(EUROPEAN, TODAY)
    assert (vin.region, vin.check_digit, vin.years_certain) == ("Europe", False, False)


@given(numbers, st.sampled_from("ABCDEFGHJKLMNPRSTUVWXYZ67890"))
def test_no_number_from_elsewhere_is_refused_for_its_ninth_sign(number: str, first: str) -> None:
    outside = first + number[1:]
    assert read_vin(outside, TODAY).check_digit in (False, True)
    assert read_vin(_with_check(outside), TODAY).check_digit is True


@pytest.mark.published
@pytest.mark.parametrize(
    ("firsts", "region"),
    [
        ("ABCDEFGH", "Africa"),
        ("JKLMNPR", "Asia"),
        ("STUVWXYZ", "Europe"),
        ("12345", "North America"),
        ("67", "Oceania"),
        ("89", "South America"),
    ],
)
def test_the_first_sign_gives_the_region(firsts: str, region: str) -> None:
    """ISO 3780, from memory."""
    for first in firsts:
        assert read_vin(_with_check(first + EUROPEAN[1:]), TODAY).region == region


YEARS = [
    *zip("ABCDEFGHJKLMNPRSTVWXY", range(2010, 2031), strict=True),
    *zip("123456789", range(2031, 2040), strict=True),
]


@pytest.mark.published
@pytest.mark.parametrize(("sign", "year"), YEARS)
def test_the_tenth_sign_gives_the_model_year_twice_in_sixty(sign: str, year: int) -> None:
    """49 CFR 565: A is 1980 and 2010, T 2026, V 2027, Y 2000 and 2030, 1 is 2001 and 2031, 9 is 2009 and 2039."""
    outside = EUROPEAN[:9] + sign + EUROPEAN[10:]
    assert read_vin(outside, date(2038, 12, 31)).years == (year - 30, year)


@pytest.mark.published
def test_one_in_position_10_is_2001_or_2031_and_never_2027() -> None:
    """49 CFR 565; a page that reads it as 2027 is wrong, that is V."""
    outside = EUROPEAN[:9] + "1" + EUROPEAN[10:]
    assert read_vin(outside, TODAY).years == (2001,)
    assert read_vin(outside, date(2035, 1, 1)).years == (2001, 2031)
    assert read_vin(_american("1", "A"), date(2035, 1, 1)).years == (2031,)
    assert read_vin(_american("V", "A"), TODAY).years == (2027,)


@pytest.mark.published
@pytest.mark.parametrize(("sign", "year"), YEARS)
def test_a_letter_in_position_7_means_2010_and_later(sign: str, year: int) -> None:
    """49 CFR 565 for light vehicles: a digit there means 1980 to 2009 (from memory)."""
    for seventh in "AHJPRZ":
        assert read_vin(_american(sign, seventh), date(2038, 12, 31)).years == (year,)
    for seventh in "0159":
        assert read_vin(_american(sign, seventh), date(2038, 12, 31)).years == (year - 30,)


def test_outside_of_north_america_position_7_tells_no_year() -> None:
    for seventh in "A5":
        outside = f"XX0ZZZ{seventh}ZZ8X000001"
        assert read_vin(outside, date(2040, 1, 1)).years == (2008, 2038)


def test_no_model_year_lies_beyond_the_next() -> None:
    outside = EUROPEAN[:9] + "V" + EUROPEAN[10:]
    assert read_vin(outside, date(2025, 12, 31)).years == (1997,)
    assert read_vin(outside, date(2026, 1, 1)).years == (1997, 2027)


@pytest.mark.published
@pytest.mark.parametrize("sign", ["U", "Z", "0"])
def test_u_z_and_0_say_no_model_year(sign: str) -> None:
    """49 CFR 565: not used for years; outside of North America 0 is often there."""
    assert read_vin(EUROPEAN[:9] + sign + EUROPEAN[10:], TODAY).years == ()


@pytest.mark.published
@pytest.mark.parametrize(("sign", "instead"), [("I", "1"), ("O", "0"), ("Q", "0"), ("i", "1"), ("o", "0"), ("q", "0")])
def test_i_o_and_q_are_refused_with_their_position(sign: str, instead: str) -> None:
    """ISO 3779 and 49 CFR 565: I, O and Q are not used."""
    for position in range(1, 18):
        number = EUROPEAN[: position - 1] + sign + EUROPEAN[position:]
        with pytest.raises(BadText, match=rf"Character {position} of this number .* it may be {instead}\."):
            read_vin(number, TODAY)


@pytest.mark.parametrize("sign", ["?", "*", "_", "Ä", "É", "\u0661", "\uff11", "\x00", "."])
def test_other_signs_are_refused_with_their_position(sign: str) -> None:
    with pytest.raises(BadText, match="Character 12 of this number"):
        read_vin(EUROPEAN[:11] + sign + EUROPEAN[12:], TODAY)


@pytest.mark.parametrize("length", [0, 1, 11, 16, 18, 34])
def test_a_wrong_length_is_refused_and_named(length: int) -> None:
    with pytest.raises(BadText, match=f"has {length} characters; a vehicle identification number has 17"):
        read_vin((EUROPEAN * 2)[:length], TODAY)


def test_spaces_strokes_and_small_letters_are_taken() -> None:
    assert read_vin(" xx0-zzz zzz 8x0-00001\n", TODAY) == read_vin(EUROPEAN, TODAY)


def test_nine_in_position_3_is_a_small_maker() -> None:
    """49 CFR 565 and ISO 3780."""
    assert read_vin("XX9" + EUROPEAN[3:], TODAY).small_maker
    assert not read_vin(EUROPEAN, TODAY).small_maker


def _spoilt(number: str, rng: random.Random) -> str:
    signs = list(number)
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(signs))
        how = rng.randrange(4)
        if how == 0:
            del signs[at]
        elif how == 1:
            signs.insert(at, rng.choice("IOQ?5BZ2 -"))
        elif how == 2:
            signs[at] = rng.choice(SIGNS + "IOQ.é")
        else:
            signs[at] = signs[at].lower()
    return "".join(signs)


def _runs(number: str) -> set[str]:
    plain = "".join(number.split()).replace("-", "").upper()
    return {text[at : at + 5] for text in (number, number.upper(), plain) for at in range(len(text) - 4)}


def _refusal(number: str) -> BadText | None:
    try:
        read_vin(number, TODAY)
    except BadText as refusal:
        return refusal
    return None


def test_no_refusal_repeats_the_number() -> None:
    rng = random.Random(565)
    refused = 0
    for _ in range(20_000):
        right = _with_check(rng.choice("1245JSW9") + "".join(rng.choices(SIGNS, k=16)))
        spoilt = _spoilt(right, rng)
        refusal = _refusal(spoilt)
        if refusal is None:
            continue
        refused += 1
        causes = (refusal, refusal.__cause__, refusal.__context__)
        said = " ".join([*map(repr, causes), str(refusal), refusal.message, refusal.found, refusal.expected])
        assert not [run for run in _runs(spoilt) | _runs(right) if run in said]
        assert refusal.found == ""
    assert refused > 10_000


@given(numbers)
def test_what_is_read_does_not_hold_the_number(number: str) -> None:
    vin = read_vin(_with_check(number), TODAY)
    assert not [run for run in _runs(number) if run in repr(vin)]
