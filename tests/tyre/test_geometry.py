"""A tyre's sizes from its designation."""

from __future__ import annotations

import pytest

from wheelside.tyre.geometry import (
    circumference_mm,
    diameter_mm,
    diameter_span,
    height_mm,
    measuring_ratio,
    measuring_rim_mm,
    section_mm,
    section_on_mm,
    turns_per_km,
    widest_mm,
)
from wheelside.tyre.sidewall import read_designation

# H and D by UN R30 paragraph 6.1 (from memory), rim codes to the millimetre (UN R30); 3.05 D by ETRTO.
SIZES = [
    ("205/55 R16", 113, 632, 631.9, 1928, 518.8), ("195/65 R15", 127, 635, 634.5, 1937, 516.3), ("225/45 R17", 101, 634, 634.3, 1934, 517.1),
    ("225/40 R18", 90, 637, 637.2, 1943, 514.7), ("215/60 R16", 129, 664, 664.4, 2025, 493.8), ("235/45 R18", 106, 669, 668.7, 2040, 490.1),
    ("185/60 R14", 111, 578, 577.6, 1763, 567.2),
]  # fmt: skip


@pytest.mark.published
@pytest.mark.parametrize(("text", "height", "diameter"), [row[:3] for row in SIZES])
def test_height_and_diameter_follow_un_r30(text: str, height: int, diameter: int) -> None:
    """UN R30 paragraph 6.1, from memory: H rounded to the millimetre, D = d + 2 H."""
    tyre = read_designation(text)
    assert (height_mm(tyre), diameter_mm(tyre)) == (height, diameter)


@pytest.mark.published
@pytest.mark.parametrize(("text", "exact"), [(row[0], row[3]) for row in SIZES])
def test_rounding_height_and_rim_moves_the_diameter_by_less_than_a_millimetre(text: str, exact: float) -> None:
    """Unrounded: 25.4 times the rim code plus twice the width times the aspect; UN R30 paragraph 6.1 (from memory) rounds both."""
    width, _, rest = text.partition("/")
    aspect, _, rim = rest.partition(" R")
    assert 25.4 * int(rim) + 2 * int(width) * int(aspect) / 100 == pytest.approx(exact, abs=0.051)
    assert diameter_mm(read_designation(text)) == pytest.approx(exact, abs=1)


@pytest.mark.published
@pytest.mark.parametrize(("text", "around", "turns"), [(row[0], *row[4:]) for row in SIZES])
def test_the_circumference_is_3_05_diameters(text: str, around: int, turns: float) -> None:
    """ETRTO: rolling circumference 3.05 D; turns per kilometre from it."""
    tyre = read_designation(text)
    circumference = circumference_mm(tyre)
    assert circumference is not None
    assert round(circumference) == around
    assert round(turns_per_km(circumference), 1) == turns


@pytest.mark.published
def test_the_limits_of_205_55_r16_are_those_of_un_r30() -> None:
    """UN R30 paragraph 6.1, from memory: D from 626 to 642 mm with 0.97 H and 1.04 H each rounded, S at most 213.2 mm."""
    tyre = read_designation("205/55 R16")
    span = diameter_span(tyre)
    assert (406 + 2 * round(0.97 * 113), 406 + 2 * round(1.04 * 113)) == (626, 642)
    assert span is not None
    assert span.least_mm == pytest.approx(626, abs=1)
    assert span.most_mm == pytest.approx(642, abs=1)
    assert widest_mm(tyre, 205.0) == pytest.approx(213.2)


def test_the_limits_of_the_diameter_are_0_97_and_1_04_heights() -> None:
    span = diameter_span(read_designation("205/55 R16"))
    assert span is not None
    assert (span.least_mm, span.most_mm) == (626, 642)


def test_a_snow_tyre_may_be_one_percent_larger() -> None:
    """UN R30 paragraph 6.1, from memory."""
    tyre = read_designation("205/55 R16 91T M+S")
    plain, snow = diameter_span(tyre), diameter_span(tyre, snow=True)
    assert plain is not None
    assert snow is not None
    assert snow.most_mm == pytest.approx(1.01 * plain.most_mm)
    assert snow.least_mm == plain.least_mm


@pytest.mark.published
def test_245_55_r18_measures_as_a_printed_example() -> None:
    """Height 134.75 mm and diameter 726.7 mm by width times aspect, unrounded; UN R30 (from memory) rounds the height and the rim."""
    tyre = read_designation("245/55 R18")
    height = 245 * 55 / 100
    assert height == 134.75
    assert 25.4 * 18 + 2 * height == pytest.approx(726.7, abs=0.051)
    assert height_mm(tyre) == pytest.approx(134.75, abs=0.5)
    assert diameter_mm(tyre) == pytest.approx(726.7, abs=1)


@pytest.mark.published
def test_half_an_inch_of_rim_widens_the_section_by_5_mm() -> None:
    """The workshop's rule of 5 mm per half inch (from memory) is K = 0.4 of UN R30 paragraph 6.1 (from memory): 5.08 mm."""
    tyre = read_designation("205/55 R16")
    narrow, wide = section_on_mm(tyre, 6.5 * 25.4), section_on_mm(tyre, 7.0 * 25.4)
    assert narrow is not None
    assert wide is not None
    assert wide - narrow == pytest.approx(5.08)
    assert round(wide - narrow) == 5


@pytest.mark.published
@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("205/55 R16", 6.5),  # 205 * 0.80 = 164.0 mm = 6.46 in
        ("195/65 R15", 6.0),  # 195 * 0.75 = 146.3 mm = 5.76 in
        ("225/45 R17", 7.5),  # 225 * 0.85 = 191.3 mm = 7.53 in
        ("225/40 R18", 8.0),  # 225 * 0.90 = 202.5 mm = 7.97 in
        ("235/45 R18", 8.0),  # 235 * 0.85 = 199.8 mm = 7.86 in
        ("185/60 R14", 5.5),  # 185 * 0.75 = 138.8 mm = 5.46 in
        ("175/80 R14", 5.0),  # 175 * 0.70 = 122.5 mm = 4.82 in
        ("305/25 R20", 11.0),  # 305 * 0.92 = 280.6 mm = 11.05 in
    ],
)
def test_the_measuring_rim_follows_from_the_aspect_ratio(text: str, inches: float) -> None:
    """ISO 4000-1, from memory: section width times a ratio by aspect, to the nearest half inch."""
    assert measuring_rim_mm(read_designation(text)) == pytest.approx(inches * 25.4)


@pytest.mark.parametrize(
    ("aspect", "ratio"),
    [
        (82, 0.70),
        (75, 0.70),
        (74, 0.75),
        (60, 0.75),
        (59, 0.80),
        (50, 0.80),
        (49, 0.85),
        (45, 0.85),
        (44, 0.90),
        (30, 0.90),
        (29, 0.92),
    ],
)
def test_each_ratio_begins_at_its_aspect(aspect: int, ratio: float) -> None:
    assert measuring_ratio(aspect) == ratio


def test_on_its_measuring_rim_a_tyre_has_its_nominal_width() -> None:
    for text in ("205/55 R16", "225/40 R18", "165 R13"):
        tyre = read_designation(text)
        rim = measuring_rim_mm(tyre)
        assert rim is not None
        assert section_on_mm(tyre, rim) == section_mm(tyre) == tyre.width_mm


@pytest.mark.parametrize("text", ["205/55 D16", "205/55-16", "205/55 B16"])
def test_tyres_that_are_not_radial_may_be_six_percent_wider(text: str) -> None:
    """UN R30 paragraph 6.1, from memory."""
    assert widest_mm(read_designation(text), 205.0) == pytest.approx(217.3)


def test_sizes_without_an_aspect_ratio_count_as_82_percent() -> None:
    """165 R13, from memory: 165 * 0.82 = 135.3; 330 + 2 * 135 = 600."""
    tyre = read_designation("165 R13")
    assert (height_mm(tyre), diameter_mm(tyre)) == (135, 600)


def test_flotation_sizes_name_their_diameter() -> None:
    tyre = read_designation("31x10.50 R15LT")
    assert section_mm(tyre) == pytest.approx(266.7)
    assert diameter_mm(tyre) == pytest.approx(31 * 25.4, abs=1)
    assert measuring_rim_mm(tyre) is None


@pytest.mark.parametrize("text", ["6.40-13", "FR78-15"])
def test_no_height_is_made_up_where_neither_marking_nor_rule_says_it(text: str) -> None:
    tyre = read_designation(text)
    assert height_mm(tyre) is None
    assert diameter_mm(tyre) is None
    assert diameter_span(tyre) is None
    assert circumference_mm(tyre) is None
    assert section_on_mm(tyre, 165.1) is None


def test_inch_sizes_name_their_width_and_letter_sizes_do_not() -> None:
    assert section_mm(read_designation("6.40-13")) == pytest.approx(162.56)
    assert section_mm(read_designation("FR78-15")) is None
