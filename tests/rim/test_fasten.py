"""Threads, engagement, and T = K D F."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.errors import BadText
from wheelside.rim.fasten import (
    FRICTION,
    SCATTER,
    Thread,
    engaged,
    preload_kn,
    preloads,
    read_thread,
    retorque_after,
    retorque_on,
)
from wheelside.units import Length, Torque
from wheelside.units.quantity import NM_PER_FT_LB

KN_PER_LBF = 4.4482216152605e-3  # NIST SP 811


@pytest.mark.published
@pytest.mark.parametrize(("diameter", "nm"), [(12, 120), (14, 140)])
def test_usual_torques_clamp_with_50_kn(diameter: float, nm: float) -> None:
    """T = K D F with K = 0.2 (Shigley), turned round."""
    assert round(preload_kn(Torque(nm), 0.2, diameter), 1) == 50.0


@pytest.mark.published
def test_the_worked_example_of_a_three_quarter_inch_bolt_comes_out() -> None:
    """Shigley: 3/4 in, grade 5, 0.334 in2 at 75 % of 85 ksi: F = 21,293 lb; with K = 0.20 T = 3,194 in-lb = 266.2 ft-lb."""
    pounds = 0.75 * 85_000 * 0.334
    assert round(pounds - 0.5) <= 21_293 <= round(pounds + 0.5)
    assert round(0.2 * 0.75 * pounds) == 3_194
    force = preload_kn(Torque(266.2 * NM_PER_FT_LB), 0.20, 0.75 * 25.4)
    assert force == pytest.approx(21_293 * KN_PER_LBF, rel=2e-4)
    exact = preload_kn(Torque(3_193.875 / 12 * NM_PER_FT_LB), 0.20, 0.75 * 25.4)
    assert exact == pytest.approx(21_292.5 * KN_PER_LBF)


@pytest.mark.published
def test_5_000_pounds_on_half_an_inch_need_56_49_nm() -> None:
    """T = K D F: 5,000 lb, 0.5 in, K = 0.2: 500 in-lb = 41.67 ft-lb = 56.49 Nm."""
    assert pytest.approx(56.49, abs=0.005) == 500 / 12 * NM_PER_FT_LB
    assert preload_kn(Torque(56.49), 0.2, 0.5 * 25.4) == pytest.approx(5_000 * KN_PER_LBF, rel=1e-4)


@pytest.mark.published
def test_friction_goes_by_the_state_of_the_thread() -> None:
    """Shigley: K for dry steel 0.20 to 0.25, oiled 0.15 to 0.20, with anti-seize 0.12 to 0.16; torque scatters by 25 %."""
    assert [(least, most) for _, least, most in FRICTION] == [(0.20, 0.25), (0.15, 0.20), (0.12, 0.16)]
    assert [state for state, _, _ in FRICTION] == ["clean and dry", "oiled", "with anti-seize paste"]
    assert SCATTER == 0.25


def test_preloads_span_friction_and_scatter() -> None:
    """M12 at 120 Nm: 120 / (K 12) kN, a quarter less for the greatest K, a quarter more for the least."""
    dry, oiled, paste = preloads(Torque(120), Thread(12, 1.5))
    assert (dry.least_kn, dry.most_kn) == pytest.approx((40 * 0.75, 50 * 1.25))
    assert (oiled.least_kn, oiled.most_kn) == pytest.approx((50 * 0.75, 10 / 0.15 * 1.25))
    assert (paste.least_kn, paste.most_kn) == pytest.approx((62.5 * 0.75, 10 / 0.12 * 1.25))
    assert (dry.state, oiled.state, paste.state) == tuple(state for state, _, _ in FRICTION)


@given(st.floats(20, 400), st.floats(0.08, 0.4), st.floats(8, 24))
def test_torque_is_friction_times_diameter_times_force(nm: float, friction: float, diameter: float) -> None:
    newtons = 1000 * preload_kn(Torque(nm), friction, diameter)
    assert friction * (diameter / 1000) * newtons == pytest.approx(nm)


@given(st.floats(20, 400), st.integers(8, 24))
def test_a_slipperier_thread_is_drawn_tighter_by_the_same_torque(nm: float, diameter: int) -> None:
    dry, oiled, paste = preloads(Torque(nm), Thread(diameter))
    assert dry.least_kn < oiled.least_kn < paste.least_kn
    assert dry.most_kn < oiled.most_kn < paste.most_kn
    assert all(one.least_kn < one.most_kn for one in (dry, oiled, paste))


@pytest.mark.parametrize(
    ("text", "thread", "printed"),
    [
        ("M14x1.5", Thread(14, 1.5), "M14x1.5"), ("M14 x 1,5", Thread(14, 1.5), "M14x1.5"), ("m12×1.25", Thread(12, 1.25), "M12x1.25"),
        ("M12X1.75", Thread(12, 1.75), "M12x1.75"), ("M12", Thread(12), "M12"), (" M 14 ", Thread(14), "M14"), ("M22x2", Thread(22, 2), "M22x2"),
        ("M8x1", Thread(8, 1), "M8x1"), ("M24x3", Thread(24, 3), "M24x3"), ("M12x1.50", Thread(12, 1.5), "M12x1.5"),
    ],
)  # fmt: skip
def test_threads_are_read_as_written(text: str, thread: Thread, printed: str) -> None:
    assert read_thread(text) == thread
    assert thread.text == printed
    assert read_thread(printed) == thread


@pytest.mark.parametrize(
    "text",
    [
        "",
        "M",
        "14x1.5",
        "M7",
        "M25",
        "M140",
        "M12x",
        "M12x0.4",
        "M12x3.5",
        "M12x15",
        "M12x1.5x30",
        "1/2-20 UNF",
        "N14x1.5",
    ],
)
def test_what_is_no_thread_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(BadText, match=r"as in 'M14x1\.5'") as refusal:
        read_thread(text)
    assert refusal.value.found == text


@pytest.mark.parametrize(
    ("thread", "shank", "seat", "reach", "turns", "enough"),
    [
        (Thread(14, 1.5), 28, 12, 16, 16 / 1.5, True),
        (Thread(14, 1.5), 26, 12, 14, 14 / 1.5, True),  # its own diameter, exactly
        (Thread(14, 1.5), 25, 12, 13, 13 / 1.5, False),
        (Thread(12, 1.25), 25, 12, 13, 10.4, True),
        (Thread(12), 20, 10, 10, None, False),
        (Thread(12, 1.5), 10, 15, -5, -5 / 1.5, False),
    ],
)
def test_a_thread_engages_by_what_the_shank_reaches_past_the_seat(
    thread: Thread, shank: float, seat: float, reach: float, turns: float | None, enough: bool
) -> None:
    """Enough is its own diameter, from memory."""
    found = engaged(thread, Length(shank), Length(seat))
    assert found.mm == pytest.approx(reach)
    assert found.turns == (None if turns is None else pytest.approx(turns))
    assert found.least_mm == thread.diameter_mm
    assert found.enough is enough


def test_wheels_are_torqued_again_after_50_to_100_km() -> None:
    """Common practice; BS AU 50-2-7a:1995 has 40 to 80 km."""
    assert retorque_after() == "after 50 to 100 km"
    assert retorque_on(date(2026, 12, 30)) == date(2027, 1, 2)
