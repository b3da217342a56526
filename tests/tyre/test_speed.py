"""Speed symbols, load at speed, pressure for speed."""

from __future__ import annotations

from itertools import pairwise

import pytest

from wheelside.errors import BadText
from wheelside.tyre.speed import SYMBOLS, load_share_at, pressure_for_speed, speed_of
from wheelside.units import Speed


@pytest.mark.published
@pytest.mark.parametrize(
    ("symbol", "km_h"),
    [
        ("A1", 5),
        ("A8", 40),
        ("B", 50),
        ("J", 100),
        ("L", 120),
        ("Q", 160),
        ("R", 170),
        ("S", 180),
        ("T", 190),
        ("U", 200),
        ("H", 210),
        ("V", 240),
        ("W", 270),
        ("Y", 300),
    ],
)
def test_speed_symbols_are_those_of_un_r30(symbol: str, km_h: float) -> None:
    """UN R30."""
    assert speed_of(symbol).km_h == km_h


@pytest.mark.published
def test_h_lies_between_u_and_v() -> None:
    """UN R30: the order of speeds is not that of the alphabet."""
    assert speed_of("U") < speed_of("H") < speed_of("V")
    assert list(SYMBOLS) == sorted(SYMBOLS, key=speed_of)


@pytest.mark.parametrize("symbol", ["", "v", "ZR", "I", "O", "A9"])
def test_other_letters_are_refused(symbol: str) -> None:
    with pytest.raises(BadText):
        speed_of(symbol)


@pytest.mark.published
def test_a_v_tyre_carries_91_percent_at_240_and_a_w_tyre_85_at_270() -> None:
    """ETRTO load at speed."""
    assert load_share_at("V", Speed(240)) == pytest.approx(0.91)
    assert load_share_at("W", Speed(270)) == pytest.approx(0.85)


@pytest.mark.published
@pytest.mark.parametrize(
    ("symbol", "start", "steps"),
    [("V", 210, (100, 97, 94, 91)), ("W", 240, (100, 95, 90, 85)), ("Y", 270, (100, 95, 90, 85))],
)
def test_load_at_speed_goes_by_the_steps_of_ten_km_h(symbol: str, start: int, steps: tuple[int, ...]) -> None:
    """ETRTO load at speed, the steps from memory."""
    for step, percent in enumerate(steps):
        assert load_share_at(symbol, Speed(start + 10 * step)) == pytest.approx(percent / 100)


@pytest.mark.published
def test_at_235_km_h_a_v_tyre_carries_92_5_percent() -> None:
    """ETRTO load at speed is linear from 210 to 240 km/h, which gives 92.5 %; one page says about 95 %, and the line is kept to."""
    assert load_share_at("V", Speed(235)) == pytest.approx(0.925)
    assert load_share_at("V", Speed(235)) < 0.95


@pytest.mark.parametrize(("symbol", "start", "end"), [("V", 210, 240), ("W", 240, 270), ("Y", 270, 300)])
def test_load_at_speed_is_a_straight_line(symbol: str, start: int, end: int) -> None:
    shares = [load_share_at(symbol, Speed(start + (end - start) * tenth / 10)) for tenth in range(11)]
    steps = [before - after for before, after in pairwise(shares)]
    assert steps == pytest.approx([(shares[0] - shares[-1]) / 10] * 10)
    assert load_share_at(symbol, Speed(start - 0.1)) == 1.0


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_no_tyre_carries_anything_above_its_own_speed(symbol: str) -> None:
    fastest = speed_of(symbol).km_h
    assert load_share_at(symbol, Speed(fastest)) > 0.8
    assert load_share_at(symbol, Speed(fastest + 0.1)) == 0.0
    assert load_share_at(symbol, Speed(0)) == 1.0


@pytest.mark.parametrize("symbol", ["Q", "S", "T", "U", "H"])
def test_symbols_up_to_h_carry_their_index_at_their_own_speed(symbol: str) -> None:
    assert load_share_at(symbol, speed_of(symbol)) == 1.0


def test_load_at_speed_of_no_symbol_is_refused() -> None:
    with pytest.raises(BadText):
        load_share_at("ZR", Speed(100))


@pytest.mark.published
@pytest.mark.parametrize(
    ("km_h", "bar"), [(0, 0.0), (100, 0.0), (160, 0.0), (168.5, 0.05), (177, 0.1), (194, 0.2), (210, 0.3), (240, 0.3)]
)
def test_pressure_for_speed_is_a_tenth_of_a_bar_for_17_km_h(km_h: float, bar: float) -> None:
    """ETRTO: the table's pressures hold to 160 km/h, then 0.1 bar for 17 km/h up to 0.3 bar at 210, as printed to a hundredth or a tenth."""
    span = pressure_for_speed("V", Speed(km_h)).kpa / 100
    assert span == pytest.approx(bar, abs=0.0061)
    assert pressure_for_speed("H", Speed(km_h)).kpa / 100 == span


@pytest.mark.published
@pytest.mark.parametrize("symbol", ["W", "Y"])
def test_w_and_y_tyres_need_no_more_pressure_to_190_km_h(symbol: str) -> None:
    """ETRTO: for W the table holds to 190 km/h; Y from memory."""
    assert pressure_for_speed(symbol, Speed(190)).kpa == 0.0
    assert pressure_for_speed(symbol, Speed(207)).kpa == pytest.approx(10.0)
    assert pressure_for_speed(symbol, Speed(300)).kpa == pytest.approx(30.0)


def test_pressure_for_speed_never_falls_with_speed() -> None:
    for symbol in ("H", "V", "W", "Y"):
        spans = [pressure_for_speed(symbol, Speed(km_h)) for km_h in range(301)]
        assert spans == sorted(spans)
