"""What a speedometer may show: UN R39 paragraph 5.3, 0 <= V1 - V2 <= 0.1 V2 + 4 km/h."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.tyre.speedometer import (
    TEST_SPEEDS_KMH,
    Allowed,
    may_be_true,
    may_show,
    must_show_now,
    shown_after,
    stays_allowed,
    stays_with,
)
from wheelside.units import Speed

TEST_SPEEDS = (40.0, 80.0, 120.0)  # UN R39, from memory
NEAR = 1e-6


def _slack(shown: float, true: float) -> float:
    """How far within the rule, in km/h; below nothing outside of it."""
    return min(shown - true, 0.1 * true + 4 - (shown - true))


def _kept(a: float, b: float, wheel: float, speeds: Iterable[float]) -> float:
    """The slack of a speedometer that shows a + b v where the wheel alone says v, at the worst of the true speeds."""
    return min(_slack(a + b * true / wheel, true) for true in speeds)


@pytest.mark.published
@pytest.mark.parametrize(
    ("true", "most"),
    [(50, 59), (70, 81), (90, 103), (110, 125), (130, 147), (40, 48), (80, 92), (100, 114), (120, 136)],
)
def test_the_most_that_may_be_shown_is_that_of_un_r39(true: float, most: float) -> None:
    """UN R39 paragraph 5.3; the last four computed by its formula."""
    corridor = may_show(Speed(true))
    assert corridor.least.km_h == true
    assert corridor.most.km_h == pytest.approx(most)


@pytest.mark.published
def test_the_test_speeds_are_40_80_and_120_km_h() -> None:
    """UN R39, from memory."""
    assert TEST_SPEEDS_KMH == TEST_SPEEDS


@pytest.mark.published
def test_four_km_h_come_on_top_of_ten_percent_of_the_speed() -> None:
    """UN R39 paragraph 5.3: at 120 up to 136 may be shown; a reading that makes it 125.2 (1.2 + 4) is wrong."""
    assert may_show(Speed(120)).most.km_h == pytest.approx(136)
    assert may_show(Speed(120)).most.km_h > 125.2 + 10


@given(st.floats(0, 400))
def test_never_may_less_than_the_true_speed_be_shown(true: float) -> None:
    corridor = may_show(Speed(true))
    assert corridor.least.km_h == true <= corridor.most.km_h


@given(st.floats(4, 400), st.floats(0, 1))
def test_what_may_be_true_is_what_may_be_shown_turned_round(shown: float, along: float) -> None:
    span = may_be_true(Speed(shown))
    assert may_show(span.least).most.km_h == pytest.approx(shown)
    assert may_show(span.most).least.km_h == shown
    true = span.least.km_h + along * (span.most.km_h - span.least.km_h)
    assert _slack(shown, true) > -NEAR
    assert may_be_true(Speed(2.0)).least.km_h == 0.0


def test_larger_tyres_make_a_speedometer_show_less() -> None:
    """At a true 102 km/h tyres 2 % larger turn as the former ones did at 100: 100 to 114 is shown."""
    after = shown_after(1.02, Speed(102))
    assert (after.least.km_h, after.most.km_h) == pytest.approx((100, 114))


@pytest.mark.parametrize(
    ("ratio", "allowed"),
    [(1.0, Allowed.ALWAYS), (1.001, Allowed.DEPENDS), (0.999, Allowed.DEPENDS), (1.02, Allowed.DEPENDS), (0.95, Allowed.DEPENDS),
     (1.137, Allowed.DEPENDS), (1.139, Allowed.NEVER), (0.883, Allowed.DEPENDS), (0.881, Allowed.NEVER), (1.3, Allowed.NEVER),
     (0.7, Allowed.NEVER)],
)  # fmt: skip
def test_whether_the_rule_is_kept_goes_by_the_ratio(ratio: float, allowed: Allowed) -> None:
    """At 120 the most that was shown, 1.1 * 120 / r + 4, reaches 120 up to r = 132 / 116 = 1.1379; the least, 120 / r, 136 from
    r = 120 / 136 = 0.8824 on."""
    assert stays_allowed(ratio) is allowed


@given(st.floats(0.6, 1.5), st.floats(-5, 8), st.floats(0.95, 1.2))
def test_never_means_that_no_speedometer_keeps_the_rule_and_always_that_each_does(
    ratio: float, a: float, b: float
) -> None:
    lawful = _kept(a, b, 1.0, [v / ratio for v in TEST_SPEEDS]) >= 0
    after = _kept(a, b, ratio, TEST_SPEEDS)
    if lawful and stays_allowed(ratio) is Allowed.NEVER:
        assert after < NEAR
    if lawful and stays_allowed(ratio) is Allowed.ALWAYS:
        assert after > -NEAR


@given(
    st.floats(0.85, 1.15),
    st.floats(-4, 8),
    st.floats(0.9, 1.2),
    st.sampled_from([*TEST_SPEEDS, 30.0, 60.0, 101.0, 200.0]),
)
def test_what_must_be_shown_now_keeps_the_rule_before_and_after(ratio: float, a: float, b: float, true: float) -> None:
    """Speedometers a + b v, lawful or not; with the others the same turns are a true speed of `ratio` times that."""
    shown = a + b * true
    corridor = must_show_now(ratio, Speed(true))
    both = min(_kept(a, b, 1.0, (true,)), _kept(a, b, ratio, (true * ratio,)))
    if min(shown - corridor.least.km_h, corridor.most.km_h - shown) >= 0:
        assert both > -NEAR
    else:
        assert both < NEAR


@given(st.floats(0.85, 1.15), st.floats(0, 4), st.floats(1.0, 1.1))
def test_a_speedometer_within_it_at_the_turns_of_every_test_speed_keeps_the_rule_at_all_between(
    ratio: float, a: float, b: float
) -> None:
    """The true test speed V after the change is V / ratio before it."""
    slacks = []
    for true in TEST_SPEEDS:
        corridor = must_show_now(ratio, Speed(true / ratio))
        shown = a + b * true / ratio
        slacks.append(min(shown - corridor.least.km_h, corridor.most.km_h - shown))
    if min(slacks) >= 0:
        assert _kept(a, b, ratio, range(40, 121)) > -NEAR
    else:
        assert _kept(a, b, ratio, TEST_SPEEDS) < NEAR


def test_the_corridor_narrows_with_the_change_until_it_is_empty() -> None:
    corridor = must_show_now(1.3, Speed(120))
    assert corridor.least > corridor.most
    smaller = must_show_now(0.95, Speed(100))
    assert (smaller.least.km_h, smaller.most.km_h) == pytest.approx((100, 108.5))
    assert must_show_now(1.0, Speed(120)) == may_show(Speed(120))


@given(st.floats(0.8, 1.2), st.floats(0.9, 1.25), st.floats(20, 130))
def test_a_speedometer_off_in_proportion_is_checked_at_every_test_speed(ratio: float, b: float, true: float) -> None:
    after = _kept(0.0, b, ratio, TEST_SPEEDS)
    kept = stays_with(ratio, Speed(b * true), Speed(true))
    assert kept if after > NEAR else not kept or after > -NEAR


def test_a_speedometer_that_shows_5_percent_more_bears_5_percent_larger_tyres_and_no_more() -> None:
    assert stays_with(1.04, Speed(105), Speed(100))
    assert not stays_with(1.06, Speed(105), Speed(100))
    assert not stays_with(0.90, Speed(105), Speed(100))
