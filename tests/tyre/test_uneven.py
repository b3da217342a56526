"""Wear across a tread, and whether the pressures bear it out."""

from __future__ import annotations

import pytest

from wheelside.tyre.uneven import Across, across, borne_out


@pytest.mark.parametrize(
    ("depths", "worn"),
    [
        ((6.0, 4.9, 6.0), Across.CENTRE),
        ((4.9, 6.0, 5.0), Across.SHOULDERS),
        ((4.0, 5.0, 5.1), Across.INNER),
        ((5.1, 5.0, 4.0), Across.OUTER),
        ((4.0, 7.0, 5.0), Across.INNER),
        ((6.0, 5.1, 6.0), Across.EVEN),
        ((6.0, 6.0, 6.0), Across.EVEN),
        ((6.0, None, 6.0), None),
        ((6.0, None, 4.0), Across.OUTER),
        ((None, 5.0, 6.0), None),
        ((6.0, 5.0, None), None),
    ],
)
def test_how_a_tread_is_worn(depths: tuple[float | None, float | None, float | None], worn: Across | None) -> None:
    """Too much air wears the middle, too little both shoulders, alignment one side; common practice, no source."""
    assert across(*depths) is worn


def test_pressures_bear_out_what_air_does_and_say_nothing_of_the_rest() -> None:
    assert [borne_out(Across.CENTRE, kpa) for kpa in (-20, 14, 15, 40)] == [False, False, True, True]
    assert [borne_out(Across.SHOULDERS, kpa) for kpa in (-40, -15, -14, 20)] == [True, True, False, False]
    assert {borne_out(worn, 50) for worn in (Across.EVEN, Across.INNER, Across.OUTER)} == {None}
