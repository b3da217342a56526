"""Speed symbols."""

from __future__ import annotations

import pytest

from wheelside.errors import BadText
from wheelside.tyre.speed import SYMBOLS, speed_of


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
