"""One plan as numbers: what is chosen, what that costs for sure, and what may come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from wheelside.identity.costs import NOTHING, Price, Risk
from wheelside.identity.meeting import Pick
from wheelside.identity.pairing import Pairing
from wheelside.identity.task import PlanProblem


@dataclass(frozen=True, slots=True)
class Solution:
    """The chosen candidate of each member, the place picked for each choice, which mounts need teaching, blanks used.

    `price` is what is sure, `risks` what may come, `weight` both together and `bound` what is proven that none is below.
    """

    chosen: tuple[int, ...]
    picked: tuple[Pick, ...]
    taught: tuple[bool, ...]
    blanks: tuple[int, ...]
    price: Price
    risks: tuple[Risk, ...]
    weight: int
    bound: int

    @property
    def proven(self) -> bool:
        return self.weight == self.bound


def sure_price(
    task: PlanProblem, chosen: Sequence[int], picked: Sequence[Pick], taught: Sequence[bool], blanks: Sequence[int]
) -> Price:
    """What the chosen candidates, the visits to the shop, the teachings and the moves cost together, sensors in hand counted."""
    prices = [task.candidates[i].price for i in chosen]
    prices += [task.tariff.writer] * bool(set(task.got) & set(chosen))
    prices += [task.tariff.shop_trip] * len(visits(task, chosen))
    prices += [proof.price for proof in task.proofs if set(proof.carried) & set(chosen)]
    prices += [mount.teach for mount, needed in zip(task.mounts, taught, strict=True) if needed]
    prices += [c.price for c, (_, place) in zip(task.choices, picked, strict=True) if place != c.places[0]]
    prices += [Price(0, -stock.saving * used) for stock, used in zip(task.stocks, blanks, strict=True)]
    return sum(prices, NOTHING)


def risks_of(task: PlanProblem, chosen: Sequence[int], taught: Sequence[bool]) -> tuple[Risk, ...]:
    """All that may go wrong under a plan."""
    there = set(chosen)
    found = [risk for i in chosen for risk in task.candidates[i].risks]
    found += [mount.risk for mount, needed in zip(task.mounts, taught, strict=True) if needed]
    found += [risk for p in task.pairings if (risk := _lasting(p, there)) is not None]
    return tuple(found)


def _lasting(p: Pairing, there: set[int]) -> Risk | None:
    """The risk of the longest pair of two sets; None where they have none."""
    return next(
        (
            risk
            for risk, pairs in reversed(p.lasting)
            if any(there & set(mine) and (theirs is None or there & set(theirs)) for mine, theirs in pairs)
        ),
        None,
    )


def visits(task: PlanProblem, chosen: Sequence[int]) -> tuple[str, ...]:
    """The sets with which the tyre shop is visited: the fewest with which all refits can be done, those by id first."""
    ways = [tuple(t.set for t in task.trips if i in t.refits) for i in chosen]
    open_ones = {frozenset(way) for way in ways if way}
    sure = {name for way in open_ones if len(way) == 1 for name in way}
    left = [way for way in open_ones if not way & sure]
    names = sorted({name for way in left for name in way})
    for n in range(len(names) + 1):
        for more in combinations(names, n):
            if all(way & set(more) for way in left):
                return tuple(sorted({*sure, *more}))
    return tuple(sorted(sure))
