"""The link budget against published radio limits, and its own arithmetic."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.earshot.budget import (
    BOOT_M,
    INSIDE,
    NOT_HEARD_BELOW,
    RECEIVER_CAR,
    Budget,
    Term,
    budget,
    distance_for,
    eirp_dbm,
    free_space_db,
    limit_uv_m,
)
from wheelside.earshot.walls import KNOWN, wall
from wheelside.finding import Ground
from wheelside.garage.words import Band

BANDS = list(Band)
distances = st.floats(min_value=0.6, max_value=50_000)


@pytest.mark.published
def test_the_limit_for_sensors_that_send_by_themselves() -> None:
    """47 CFR 15.231(e): 4,383 µV/m at 3 m at 433 MHz; the ends of its table, 1,500 at 260 and 5,000 at 470 MHz, from memory."""
    assert limit_uv_m(433.0) == pytest.approx(4383, abs=1)
    assert limit_uv_m(260.0) == pytest.approx(1500, abs=0.1)
    assert limit_uv_m(470.0) == pytest.approx(5000, abs=0.1)


@pytest.mark.published
def test_that_limit_as_radiated_power() -> None:
    """The same text: about -22 dBm EIRP at 433 MHz; paragraph (b), 10,996.7 µV/m at 433.92 MHz, about -14 dBm."""
    assert eirp_dbm(limit_uv_m(433.0)) == pytest.approx(-22, abs=0.5)
    assert eirp_dbm(10_996.7) == pytest.approx(-14, abs=0.5)
    assert eirp_dbm(limit_uv_m(315.0)) == pytest.approx(-27.6, abs=0.05)


@pytest.mark.published
def test_free_space_loss_at_one_wavelength() -> None:
    """One wavelength away the loss between isotropic antennas is (4 π)², 21.98 dB, at any frequency (Friis, ITU-R P.525)."""
    for mhz in (315.0, 433.92):
        assert free_space_db(299.792458 / mhz, mhz) == pytest.approx(21.98, abs=0.01)
    assert free_space_db(1000.0, 433.92) == pytest.approx(32.45 + 20 * math.log10(433.92), abs=0.02)


@pytest.mark.parametrize(("metres", "dbm"), [(1.5, -69), (3, -75), (6, -81), (10, -85)])
def test_levels_at_home(metres: float, dbm: float) -> None:
    """Pinned: -25 dBm EIRP and 15 dB for the wheel, in free space, before the best of many frames is counted."""
    terms = [t for t in budget(Band.MHZ_433, metres).terms if not t.name.startswith(("best", "what"))]
    assert sum(t.db for t in terms) == pytest.approx(dbm, abs=0.6)


def test_a_wheel_three_metres_away_is_heard_and_none_a_street_away_behind_two_steel_walls() -> None:
    near = budget(Band.MHZ_433, 3.0)
    assert near.margin_db > 30
    assert near.chance > 0.999
    assert budget(Band.MHZ_433, 60.0, (wall("steel"), wall("steel"))).chance < NOT_HEARD_BELOW


@pytest.mark.published
def test_what_was_received_from_passing_cars_is_likely_here() -> None:
    """Rouf et al., USENIX Security 2010: 10 m with a simple antenna, 40 m with an amplifier."""
    assert budget(Band.MHZ_433, 10.0).chance > 0.9
    assert budget(Band.MHZ_433, 40.0).chance > 0.5


def test_the_chance_is_that_of_a_normal_margin_above_nought() -> None:
    """Values of the standard normal distribution, handbook table: Φ(1) = 0.8413, Φ(-2.3263) = 0.0100."""
    for z, chance in ((0.0, 0.5), (1.0, 0.8413), (-2.3263, 0.0100)):
        terms = (Term("a", z * 10.0, 6.0, RECEIVER_CAR.basis), Term("b", 0.0, 8.0, RECEIVER_CAR.basis))
        assert Budget(terms).spread_db == pytest.approx(10.0)
        assert Budget(terms).chance == pytest.approx(chance, abs=5e-5)


def test_a_set_in_the_boot_is_ten_to_fifteen_db_stronger() -> None:
    """Pinned: without the way through the wheel arch."""
    gain = budget(Band.MHZ_433, BOOT_M, body=INSIDE).margin_db - budget(Band.MHZ_433, BOOT_M).margin_db
    assert 10 <= gain <= 15


@given(st.sampled_from(BANDS), distances, distances)
def test_farther_is_never_heard_better(band: Band, one: float, other: float) -> None:
    near, far = sorted((one, other))
    assert budget(band, near).margin_db >= budget(band, far).margin_db


@given(st.sampled_from(BANDS), distances, st.lists(st.sampled_from(KNOWN), max_size=4))
def test_walls_only_take_off_and_only_widen_the_spread(band: Band, metres: float, words: list[str]) -> None:
    bare, built = budget(band, metres), budget(band, metres, tuple(wall(w) for w in words))
    assert built.margin_db <= bare.margin_db
    assert built.spread_db >= bare.spread_db


@pytest.mark.parametrize("band", BANDS)
@pytest.mark.parametrize("chance", [0.5, 0.1, 0.01])
def test_the_distance_for_a_chance_gives_that_chance(band: Band, chance: float) -> None:
    metres = distance_for(chance, band)
    assert budget(band, metres).chance == pytest.approx(chance, rel=1e-6)


def test_no_garden_is_long_enough_in_the_open() -> None:
    assert distance_for(NOT_HEARD_BELOW, Band.MHZ_433) > 500
    assert distance_for(NOT_HEARD_BELOW, Band.MHZ_433, (wall("steel"), wall("steel"))) < 50


def test_an_unknown_band_is_reckoned_as_the_one_heard_farther() -> None:
    chances = {band: budget(band, 100.0).chance for band in BANDS}
    assert budget(None, 100.0).chance == max(chances.values())


def test_a_wall_that_is_not_known_takes_nothing_off() -> None:
    strange = wall("straw bales")
    assert strange.loss_db == 0
    assert strange.basis.ground is Ground.UNKNOWN
    assert wall(" Timber ").loss_db == wall("wood").loss_db > 0
