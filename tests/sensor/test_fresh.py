"""Fresh IDs: what they must never be, and how far they stay from others."""

from __future__ import annotations

import secrets
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.errors import BadRequest
from wheelside.sensor.fresh import FreshRule, draw
from wheelside.sensor.ident import PrintForm, digits_of


def distance(a: int, b: int, rule: FreshRule) -> int:
    """How many printed digits differ, counted directly."""
    pairs = zip(digits_of(a, rule.bits, rule.form), digits_of(b, rule.bits, rule.form), strict=True)
    return sum(x != y for x, y in pairs)


def fixed(values: list[int]) -> Callable[[int], int]:
    source = iter(values)
    return lambda _: next(source)


@given(st.sampled_from([24, 28, 32]), st.sampled_from(list(PrintForm)), st.integers(1, 12), st.data())
def test_every_fresh_id_is_new_and_as_far_as_it_says(
    bits: int, form: PrintForm, count: int, data: st.DataObject
) -> None:
    taken = data.draw(st.lists(st.integers(0, (1 << bits) - 1), max_size=20))
    rule = FreshRule("f", bits, data.draw(st.sampled_from(["", "A", "2C"])), form)
    drawn = draw(count, rule, taken, taken, secrets.randbits)
    numbers = [d.id.number for d in drawn]
    assert len(set(numbers)) == count
    assert not set(numbers) & {*taken, 0, (1 << bits) - 1}
    assert all(d.id.hex.startswith(rule.prefix) for d in drawn)
    for n, d in enumerate(drawn):
        least = min((distance(d.id.number, other, rule) for other in [*taken, *numbers[:n]]), default=3)
        assert min(least, 3) == d.distance


def test_three_digits_apart_where_there_is_room() -> None:
    drawn = draw(200, FreshRule("f", 32), (), (), secrets.randbits)
    assert {d.distance for d in drawn} == {3}


def test_two_digits_then_one_where_the_prefix_leaves_less() -> None:
    """Two free hex digits hold 16 IDs two apart, and 256 one apart; the ID of all ones is left out."""
    two = draw(16, FreshRule("f", 24, "ABCD"), (), (), secrets.randbits)
    assert {d.distance for d in two[1:]} == {2}
    one = draw(15, FreshRule("f", 24, "FFFFF"), (), (), secrets.randbits)
    assert {d.distance for d in one[1:]} == {1}
    assert all(d.id.number != 0xFFFFFF for d in one)


def test_a_single_one_is_as_far_as_any_could_be() -> None:
    """With 8 free bits every candidate is tried before the distance is lowered."""
    rule = FreshRule("f", 24, "ABCD")
    near = [rule.number(16 * k + k) for k in range(15)]
    (found,) = draw(1, rule, near, near, secrets.randbits)
    best = max(
        min(distance(rule.number(free), n, rule) for n in near) for free in range(256) if rule.number(free) not in near
    )
    assert found.distance == min(best, 3)


def test_an_exhausted_prefix_says_so() -> None:
    with pytest.raises(BadRequest, match="no ID is left"):
        draw(16, FreshRule("f", 24, "FFFFF"), (), (), secrets.randbits)


def test_zeros_ones_and_taken_draws_are_thrown_away() -> None:
    source = fixed([0, 0xFFFFFFFF, 7, 0x12345678])
    assert draw(1, FreshRule("f", 32), [7], [], source)[0].id.number == 0x12345678


def test_the_same_bits_give_the_same_ids() -> None:
    import random

    a = draw(5, FreshRule("f", 32), (), (), random.Random(4).getrandbits)
    assert a == draw(5, FreshRule("f", 32), (), (), random.Random(4).getrandbits)
