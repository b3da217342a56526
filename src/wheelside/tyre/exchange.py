"""Which exchange of wheels between corners evens the wear of a set, among those that its tyres allow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import permutations

from wheelside.corner import Corner

EXCHANGE_KM = (8_000, 12_000)
"""After so many kilometres wheels are exchanged; common practice, no source."""
LOOK_KM = sum(EXCHANGE_KM) / 2
WORTH_MM = 0.5
"""An exchange that evens less than that is not worth the work; judgement."""
_FOUR = (Corner.FRONT_LEFT, Corner.FRONT_RIGHT, Corner.REAR_LEFT, Corner.REAR_RIGHT)


@dataclass(frozen=True, slots=True)
class WheelExchange:
    """Who goes where: `moves` from corner to corner. `apart_mm`: how far the treads will be apart after `LOOK_KM`; `apart_else_mm`: without it.
    `teach`: the car has to learn the corners anew."""

    moves: tuple[tuple[Corner, Corner], ...]
    apart_mm: float
    apart_else_mm: float
    teach: bool


def allowed(*, directional: bool, staggered: bool) -> tuple[dict[Corner, Corner], ...]:
    """Every exchange that four tyres allow, the fewest moves first, none among them.

    `directional`: they turn one way, so each stays on its side. `staggered`: front and rear differ in size, so each stays on its axle.
    """
    found = []
    for order in permutations(_FOUR):
        to = dict(zip(_FOUR, order, strict=True))
        on_side = all(a.key.rpartition("_")[2] == b.key.rpartition("_")[2] for a, b in to.items())
        on_axle = all(a.axle == b.axle for a, b in to.items())
        if (on_side or not directional) and (on_axle or not staggered):
            found.append(to)
    return tuple(sorted(found, key=lambda to: sum(a is not b for a, b in to.items())))


def best_exchange(
    treads_mm: Mapping[Corner, float],
    wear_mm_per_km: Mapping[Corner, float],
    *,
    directional: bool,
    staggered: bool,
    corner_aware: bool = False,
) -> WheelExchange | None:
    """The exchange after which the treads are least apart once `LOOK_KM` are driven; None where none is worth it.

    Both mappings have the four road corners; wear goes with the corner, a tread with its wheel.
    """

    def apart(to: Mapping[Corner, Corner]) -> float:
        left = [treads_mm[a] - wear_mm_per_km[b] * LOOK_KM for a, b in to.items()]
        return max(left) - min(left)

    choices = allowed(directional=directional, staggered=staggered)
    stay = apart(choices[0])
    best = min(choices, key=lambda to: round(apart(to), 6))
    if stay - apart(best) < WORTH_MM:
        return None
    moves = tuple((a, b) for a, b in best.items() if a is not b)
    return WheelExchange(moves, apart(best), stay, corner_aware)
