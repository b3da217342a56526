"""Tyre designations and what follows from their numbers."""

from __future__ import annotations

import pytest

from wheelside.errors import BadText
from wheelside.tyre.designation import read_designation


@pytest.mark.published
@pytest.mark.parametrize(
    ("text", "height", "diameter", "circumference"),
    [
        ("205/55 R16", 113, 632, 1928), ("195/65 R15", 127, 635, 1937), ("225/45 R17", 101, 634, 1934),
        ("225/40 R18", 90, 637, 1943), ("215/60 R16", 129, 664, 2025), ("235/45 R18", 106, 669, 2040), ("185/60 R14", 111, 578, 1763),
    ],
)  # fmt: skip
def test_dimensions_follow_un_r30(text: str, height: int, diameter: int, circumference: int) -> None:
    """UN R30 paragraph 6.1 (from memory), rim codes to the millimetre (seen); circumference 3.05 D (ETRTO, seen)."""
    tyre = read_designation(text)
    assert tyre.section_height_mm == height
    assert tyre.diameter_mm == diameter
    assert round(tyre.rolling_circumference_mm) == circumference


@pytest.mark.published
@pytest.mark.parametrize(
    ("code", "mm"),
    [
        (12, 305),
        (13, 330),
        (14, 356),
        (15, 381),
        (16, 406),
        (17, 432),
        (18, 457),
        (19, 483),
        (20, 508),
        (21, 533),
        (22, 559),
    ],
)
def test_rim_codes_round_to_whole_millimetres(code: int, mm: int) -> None:
    """UN R30: rim diameter code times 25.4, rounded."""
    tyre = read_designation(f"205/55 R{code}")
    assert tyre.diameter_mm - 2 * tyre.section_height_mm == mm


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("205/55 R16 91V", "205/55 R16 91V"), ("205/55R16 91 V", "205/55 R16 91V"), ("P205/55R16 89H", "P205/55 R16 89H"),
        ("225/45 R17 94W XL", "225/45 R17 94W XL"), ("225/45ZR17 94W", "225/45 R17 94W"), ("215/65 R16C 109/107T", "215/65 R16C 109T"),
        ("235/60 r18 103h", "235/60 R18 103H"), ("205/55 R16", "205/55 R16"), ("205/55 R16 XL 94V", "205/55 R16 94V XL"),
        ("205/55 R16 91V extra load", "205/55 R16 91V XL"),
    ],
)  # fmt: skip
def test_designations_are_read_as_sidewalls_print_them(text: str, printed: str) -> None:
    tyre = read_designation(text)
    assert tyre.text == printed
    assert read_designation(tyre.text) == tyre


@pytest.mark.parametrize(
    "text",
    [
        "",
        "205",
        "205/55",
        "205/55 R16 91",
        "205/55 R16 999V",
        "205/55 D16",
        "LT235/75 R15",
        "205-55-16",
        "205/55 R16 91Ö",
        "7.00-15",
    ],
)
def test_what_is_no_designation_is_refused(text: str) -> None:
    with pytest.raises(BadText):
        read_designation(text)
