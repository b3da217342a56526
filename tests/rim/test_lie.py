"""Where a rim lies on the hub's axis; inset and width as in ISO 3911, the rest by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.rim.lie import Lie, lie, moved

WIDTHS = st.floats(80, 400)
INSETS = st.floats(-60, 80)


@pytest.mark.parametrize(
    ("inches", "inset", "inner", "outer"),
    [
        (6.5, 46, -128.55, 36.55),  # half of 165.1 is 82.55: -46 - 82.55, -46 + 82.55
        (7.0, 40, -128.9, 48.9),  # half of 177.8 is 88.9
        (7.0, 0, -88.9, 88.9),
        (8.0, -13, -88.6, 114.6),  # outset: half of 203.2 is 101.6; 13 - 101.6, 13 + 101.6
        (5.0, 63.5, -127.0, 0.0),
    ],
)
def test_the_edges_lie_half_a_width_from_the_centre(inches: float, inset: float, inner: float, outer: float) -> None:
    edges = lie(inches * 25.4, inset)
    assert edges.inner_mm == pytest.approx(inner)
    assert edges.outer_mm == pytest.approx(outer)


@pytest.mark.parametrize(
    ("former", "other", "inner", "outer", "track"),
    [
        ((6.5, 46), (7.0, 40), -0.35, 12.35, 12.0),  # 6.35 wider on each side, centre 6 outward
        ((7.0, 40), (6.5, 46), 0.35, -12.35, -12.0),
        ((7.0, 45), (7.0, 35), 10.0, 10.0, 20.0),  # less inset: both edges outward
        ((7.0, 35), (7.0, 50), -15.0, -15.0, -30.0),
        ((6.0, 40), (8.0, 40), -25.4, 25.4, 0.0),  # wider alone: half to each side, the track stays
        ((6.0, 10), (6.0, -10), 20.0, 20.0, 40.0),
    ],
)
def test_each_edge_moves_by_half_the_width_and_all_the_inset(
    former: tuple[float, float], other: tuple[float, float], inner: float, outer: float, track: float
) -> None:
    change = moved(lie(former[0] * 25.4, former[1]), lie(other[0] * 25.4, other[1]))
    assert change.inner_mm == pytest.approx(inner, abs=1e-9)
    assert change.outer_mm == pytest.approx(outer, abs=1e-9)
    assert change.track_mm == pytest.approx(track, abs=1e-9)


@given(WIDTHS, INSETS, st.floats(0.1, 40))
def test_more_inset_moves_inward_and_more_width_both_ways(width: float, inset: float, more: float) -> None:
    inward = moved(lie(width, inset), lie(width, inset + more))
    assert inward.inner_mm < 0
    assert inward.outer_mm < 0
    wider = moved(lie(width, inset), lie(width + more, inset))
    assert wider.inner_mm < 0 < wider.outer_mm
    assert wider.track_mm == pytest.approx(0, abs=1e-9)


@given(WIDTHS, INSETS, WIDTHS, INSETS)
def test_moving_back_undoes_the_move(width: float, inset: float, other_width: float, other_inset: float) -> None:
    one, other = lie(width, inset), lie(other_width, other_inset)
    there, back = moved(one, other), moved(other, one)
    assert (back.inner_mm, back.outer_mm, back.track_mm) == (-there.inner_mm, -there.outer_mm, -there.track_mm)
    assert one.inner_mm + there.inner_mm == pytest.approx(other.inner_mm)
    assert one.outer_mm + there.outer_mm == pytest.approx(other.outer_mm)


@given(WIDTHS, INSETS, WIDTHS, INSETS)
def test_the_track_grows_by_twice_the_inset_that_is_lost(
    width: float, inset: float, other_width: float, other_inset: float
) -> None:
    change = moved(lie(width, inset), lie(other_width, other_inset))
    assert change.track_mm == pytest.approx(2 * (inset - other_inset), abs=1e-9)


@given(WIDTHS, INSETS)
def test_the_edges_are_a_width_apart_and_nothing_moves_to_itself(width: float, inset: float) -> None:
    edges = lie(width, inset)
    assert isinstance(edges, Lie)
    assert edges.outer_mm - edges.inner_mm == pytest.approx(width)
    still = moved(edges, edges)
    assert (still.inner_mm, still.outer_mm, still.track_mm) == (0.0, 0.0, 0.0)
