"""A hundred household-days, carried out to the letter; `benchmarks/walk.py` lives a thousand of them."""

from __future__ import annotations

import pytest
from days import Came, days

PARTS = 4
EACH = 25
SEED = 0


@pytest.mark.parametrize("part", range(PARTS))
def test_every_sheet_carried_out_to_the_letter_leaves_the_household_as_planned(part: int) -> None:
    lived = list(days(SEED + part * EACH, EACH))
    failed = [f"seed {d.seed}, {d.kind}: {d.why}\n" + "\n".join(d.log[-3:]) for d in lived if d.came is Came.FAILED]
    assert not failed, "\n".join(failed)
    done = [d for d in lived if d.came is Came.DONE]
    assert len(done) >= EACH // 2, "too few households are carried out to the end"


def test_two_cars_are_never_told_to_swap_wheels_off_each_others_hubs() -> None:
    swaps = [d for d in days(SEED, 14) if d.kind == "two cars swap"]
    assert [d.why for d in swaps if d.came is Came.REFUSED] == ["on-another-car"] * len(swaps)
