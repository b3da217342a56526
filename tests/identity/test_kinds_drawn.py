"""Random garages are about each of the plan's later rules often enough for a thousand of them to try it."""

from __future__ import annotations

from collections import Counter
from random import Random

from kinds_drawn import KINDS, kinds
from sketch import draw_case

DRAWN = 1000


def test_each_kind_is_in_one_of_twenty_random_garages() -> None:
    seen = Counter[str]()
    for seed in range(DRAWN):
        seen.update(kinds(draw_case(Random(seed)).world))
    assert seen.keys() == set(KINDS)
    assert {kind: n for kind, n in seen.items() if n < DRAWN // 20} == {}
