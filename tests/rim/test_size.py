"""What is stamped on a rim."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from wheelside.errors import BadText
from wheelside.rim.size import BoltCircle, RimSize, read_bolt_circle, read_rim_size


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("6.5J", RimSize(6.5, None, "J")), ("6.5", RimSize(6.5)), ("6,5J", RimSize(6.5, None, "J")), ("6½J", RimSize(6.5, None, "J")),
        ("6 1/2 J", RimSize(6.5, None, "J")), ("61/2J", RimSize(6.5, None, "J")), ("5 1/4 J", RimSize(5.25, None, "J")),
        ("6 ¾", RimSize(6.75)), ("7J x 16", RimSize(7, 16, "J")), ("7Jx16", RimSize(7, 16, "J")), ("7J×16", RimSize(7, 16, "J")),
        ("7J-16", RimSize(7, 16, "J")), ("7JX16", RimSize(7, 16, "J")), ("6.00x17.5", RimSize(6, 17.5)), (" 8.25 x 22.5 ", RimSize(8.25, 22.5)),
        ("6 1/2 J x 16 H2", RimSize(6.5, 16, "J", "H2")), ("5.5Jx14 CH", RimSize(5.5, 14, "J", "CH")), ("7.5Jx17 EH2", RimSize(7.5, 17, "J", "EH2")),
        ("5½JJx15", RimSize(5.5, 15, "JJ")), ("5JKx13", RimSize(5, 13, "JK")), ("4.50B-13", RimSize(4.5, 13, "B")),
        ("5Kx15", RimSize(5, 15, "K")), ("3Px12", RimSize(3, 12, "P")), ("10Jx20", RimSize(10, 20, "J")),
    ],
)  # fmt: skip
def test_rim_sizes_are_read_as_stamped(text: str, size: RimSize) -> None:
    assert read_rim_size(text) == size


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("6 1/2 J x 16 H2", "6.5Jx16 H2"),
        ("7,0 J × 16", "7Jx16"),
        ("6½", "6.5"),
        ("8.25x17.5", "8.25x17.5"),
        ("5½JJ", "5.5JJ"),
    ],
)
def test_a_rim_size_is_printed_in_one_spelling(text: str, printed: str) -> None:
    assert read_rim_size(text).text == printed


@given(
    st.sampled_from([quarters / 4 for quarters in range(8, 65)]),
    st.none() | st.sampled_from([halves / 2 for halves in range(20, 61)]),
    st.sampled_from(["", "B", "J", "JJ", "JK", "K", "P"]),
    st.sampled_from(["", "H", "H2", "CH", "FH", "EH2"]),
)
def test_a_printed_rim_size_reads_back_as_the_same(
    width: float, diameter: float | None, flange: str, contour: str
) -> None:
    assume(diameter is None or width < diameter)
    size = RimSize(width, diameter, flange, contour if diameter else "")
    assert read_rim_size(size.text) == size


def test_a_width_in_inches_is_25_4_times_as_many_millimetres() -> None:
    assert read_rim_size("6.5J").width_mm == pytest.approx(165.1)
    assert read_rim_size("7J").width_mm == pytest.approx(177.8)


@pytest.mark.parametrize(
    "text",
    ["", "J", "6.3J", "6..5J", "6.5 1/2J", "6,5½", "1½J", "1.75", "17J", "16.5J", "165J", "6.5Jx", "6.5Jx9", "6.5Jx31", "6.5Jx30.5", "6.5Jx165",
     "16x6.5", "16x7", "6.5Q", "6.5J ET46", "5x112", "-6.5J", "6.5Jx16 ETRTO", "six"],
)  # fmt: skip
def test_what_is_no_rim_size_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(BadText, match=r"width( first: |.*as in )'6\.5Jx16'") as refusal:
        read_rim_size(text)
    assert refusal.value.found == text


@pytest.mark.parametrize(
    ("text", "circle", "printed"),
    [
        ("5x112", BoltCircle(5, 112), "5x112"), ("4 x 98", BoltCircle(4, 98), "4x98"), ("5/114,3", BoltCircle(5, 114.3), "5x114.3"),
        ("5×120.65", BoltCircle(5, 120.65), "5x120.65"), ("5-108", BoltCircle(5, 108), "5x108"), ("5X130", BoltCircle(5, 130), "5x130"),
        ("6 x 139.7 mm", BoltCircle(6, 139.7), "6x139.7"), (" 5x110mm ", BoltCircle(5, 110), "5x110"), ("3x112", BoltCircle(3, 112), "3x112"),
        ("8x165.1", BoltCircle(8, 165.1), "8x165.1"), ("4x100.0", BoltCircle(4, 100), "4x100"),
    ],
)  # fmt: skip
def test_bolt_circles_are_read_as_written(text: str, circle: BoltCircle, printed: str) -> None:
    assert read_bolt_circle(text) == circle
    assert circle.text == printed
    assert read_bolt_circle(printed) == circle


@pytest.mark.parametrize(
    "text",
    [
        "",
        "5",
        "5x",
        "x112",
        "112x5",
        "2x100",
        "9x100",
        "10x225",
        "5x79.9",
        "5x225.1",
        "5x1112",
        "5x112.123",
        "5x4.5",
        "5x4.5in",
        "5 112",
        "5.5x112",
    ],
)
def test_what_is_no_bolt_circle_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(BadText, match="5x112") as refusal:
        read_bolt_circle(text)
    assert refusal.value.found == text


@pytest.mark.parametrize(
    ("text", "printed"),
    [("6.5Jx16H2", "6.5Jx16 H2"), ("7.5Jx17 EH2+", "7.5Jx17 EH2+"), ("6jx17,5", "6Jx17.5"), ("6.5jx16", "6.5Jx16")],
)
def test_stamps_are_read_without_spaces_and_in_small_letters(text: str, printed: str) -> None:
    assert read_rim_size(text).text == printed


@pytest.mark.parametrize("text", ["15x10", "६.५J", "16x8.5"])
def test_a_diameter_before_the_width_is_refused(text: str) -> None:
    with pytest.raises(BadText, match=r"rim size|width first"):
        read_rim_size(text)
