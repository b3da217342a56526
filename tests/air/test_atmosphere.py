"""The standard atmosphere against its published tables and against the library `fluids`."""

from __future__ import annotations

import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from wheelside.air.atmosphere import standard_air
from wheelside.units import Length


@pytest.mark.published
@pytest.mark.parametrize(
    ("metres", "hpa"), [(0, 1013.25), (500, 954.61), (1000, 898.75), (1500, 845.56), (2000, 794.95), (3000, 701.09)]
)
def test_pressure_by_geopotential_height(metres: float, hpa: float) -> None:
    """International Standard Atmosphere, geopotential heights; computed from its formula, the table from memory."""
    assert standard_air(Length(metres * 1000)).kpa * 10 == pytest.approx(hpa, abs=0.05)


@pytest.mark.published
@pytest.mark.parametrize(("hpa", "metres"), [(950, 540), (900, 988), (850, 1457), (800, 1949), (700, 3012)])
def test_height_by_pressure(hpa: float, metres: float) -> None:
    """Inverse table of the International Standard Atmosphere as published: whole metres, so within 0.07 hPa."""
    assert standard_air(Length(metres * 1000)).kpa * 10 == pytest.approx(hpa, abs=0.07)


@pytest.mark.published
@pytest.mark.parametrize(("metres", "pa"), [(1524, 84322.9), (3048, 69692.2)])
def test_rows_of_a_printed_table(metres: float, pa: float) -> None:
    """Two rows of a printed table at 5000 and 10 000 ft; it counts geometric height, hence 3 parts in 10 000."""
    assert standard_air(Length(metres * 1000)).kpa * 1000 == pytest.approx(pa, rel=3e-4)


@pytest.mark.published
@pytest.mark.parametrize("metres", [0, 250, 800, 1800, 2500, 4000])
def test_agrees_with_fluids(metres: float) -> None:
    """US Standard Atmosphere 1976 in `fluids`, which counts geometric height Z; the geopotential one is r Z / (r + Z)."""
    geopotential = 6_356_766 * metres / (6_356_766 + metres)
    assert standard_air(Length(geopotential * 1000)).kpa * 1000 == pytest.approx(ATMOSPHERE_1976(metres).P, rel=1e-4)


@pytest.mark.pinned
@pytest.mark.parametrize(
    ("metres", "fall"), [(500, 5.9), (1000, 11.5), (1500, 16.8), (2000, 21.8), (2500, 26.6), (3000, 31.2)]
)
def test_how_much_higher_a_gauge_reads(metres: float, fall: float) -> None:
    """Standard air: sea level less the pressure at height, in kPa, to the printed tenth."""
    assert standard_air(Length(0)).kpa - standard_air(Length(metres * 1000)).kpa == pytest.approx(fall, abs=0.06)
