"""Which exchange of corners evens the wear of a set."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.corner import ROAD_CORNERS, Corner
from wheelside.tyre.exchange import EXCHANGE_KM, LOOK_KM, allowed, best_exchange

FL, FR, RL, RR = ROAD_CORNERS
WEAR = {FL: 2e-4, FR: 2e-4, RL: 1e-4, RR: 1e-4}
FRONT_WORN = {FL: 5.0, FR: 5.0, RL: 7.0, RR: 7.0}


@pytest.mark.parametrize(
    ("directional", "staggered", "how_many"), [(False, False, 24), (True, False, 4), (False, True, 4), (True, True, 1)]
)
def test_tyres_that_turn_one_way_keep_their_side_and_unlike_axles_keep_their_tyres(
    directional: bool, staggered: bool, how_many: int
) -> None:
    found = allowed(directional=directional, staggered=staggered)
    assert len(found) == how_many
    assert found[0] == {c: c for c in ROAD_CORNERS}
    for to in found:
        assert all(a.value.split()[1] == b.value.split()[1] for a, b in to.items()) or not directional
        assert all(a.axle == b.axle for a, b in to.items()) or not staggered


def test_worn_fronts_go_to_the_rear_on_their_own_side() -> None:
    found = best_exchange(FRONT_WORN, WEAR, directional=True, staggered=False, corner_aware=True)
    assert found is not None
    assert dict(found.moves) == {FL: RL, RL: FL, FR: RR, RR: FR}
    assert found.apart_else_mm == pytest.approx(3.0)  # 7 − 1 against 5 − 2
    assert found.apart_mm == pytest.approx(1.0)  # 7 − 2 against 5 − 1
    assert found.teach


def test_staggered_tyres_go_from_side_to_side_or_nowhere() -> None:
    treads = {FL: 5.0, FR: 6.5, RL: 5.6, RR: 5.6}
    wear = {FL: 2e-4, FR: 1e-4, RL: 1e-4, RR: 1e-4}
    found = best_exchange(treads, wear, directional=False, staggered=True)
    assert found is not None
    assert dict(found.moves) == {FL: FR, FR: FL}
    assert not found.teach
    assert best_exchange(treads, wear, directional=True, staggered=True) is None


def test_what_evens_next_to_nothing_is_not_worth_it() -> None:
    assert (
        best_exchange(
            dict.fromkeys(ROAD_CORNERS, 6.0), dict.fromkeys(ROAD_CORNERS, 0.0001), directional=False, staggered=False
        )
        is None
    )
    slight = {FL: 6.0, FR: 6.0, RL: 6.2, RR: 6.2}
    wear = {FL: 1.2e-4, FR: 1.2e-4, RL: 1e-4, RR: 1e-4}
    assert best_exchange(slight, wear, directional=False, staggered=False) is None


DEPTHS, RATES = st.floats(2, 9), st.floats(5e-5, 3e-4)


@given(st.tuples(*[DEPTHS] * 4), st.tuples(*[RATES] * 4), st.booleans(), st.booleans())
def test_no_allowed_exchange_evens_more(
    treads: tuple[float, ...], rates: tuple[float, ...], directional: bool, staggered: bool
) -> None:
    """Against all orders of four, each judged by where its wheels end."""
    found = best_exchange(
        dict(zip(ROAD_CORNERS, treads, strict=True)), dict(zip(ROAD_CORNERS, rates, strict=True)),
        directional=directional, staggered=staggered,
    )  # fmt: skip
    apart = []
    for order in permutations(range(4)):
        side = all(n % 2 == m % 2 for n, m in enumerate(order))
        axle = all(n // 2 == m // 2 for n, m in enumerate(order))
        if (side or not directional) and (axle or not staggered):
            left = [treads[n] - rates[m] * 10_000 for n, m in enumerate(order)]
            apart.append(max(left) - min(left))
    if found is not None:
        assert found.apart_mm == pytest.approx(min(apart), abs=1e-5)
        assert found.apart_else_mm - found.apart_mm >= 0.5
    else:
        assert apart[0] - min(apart) < 0.5 + 1e-5


def test_wheels_are_exchanged_every_8_000_to_12_000_km() -> None:
    """Common practice, no source."""
    assert EXCHANGE_KM == (8_000, 12_000)
    assert LOOK_KM == 10_000
    assert Corner.SPARE not in allowed(directional=False, staggered=False)[5]
