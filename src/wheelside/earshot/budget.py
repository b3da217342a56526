"""The link budget: with what chance a receiver hears a wheel, from published radio limits and losses with their spreads.

All levels in dBm, gains and losses in dB, distances in metres. Every term is a mean and a standard
deviation, taken as normal and independent; the chance is that of a margin above nought.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wheelside.earshot.walls import Wall
from wheelside.finding import Basis, Ground
from wheelside.garage.words import Band

LIGHT_M_PER_S = 299_792_458.0
MHZ = {Band.MHZ_315: 315.0, Band.MHZ_433: 433.92}
NOT_HEARD_BELOW = 0.01
"""The chance under which a place counts as not heard."""
SAME_PLACE_M = 5.0
"""How far apart two things at one place are reckoned to be; judgement."""
BOOT_M = 1.5

_BELOW_LIMIT_DB = 2.6
_FREE_TO_M = 10.0
_LEAST_M, _MOST_M = 0.5, 100_000.0
_JUDGED = Basis(Ground.JUDGEMENT, "to be replaced by measurements")


@dataclass(frozen=True, slots=True)
class Term:
    """One line of a budget: what it adds to the level at the receiver, and its standard deviation."""

    name: str
    db: float
    spread_db: float
    basis: Basis


@dataclass(frozen=True, slots=True)
class Budget:
    """All terms between a sensor and a receiver, the receiver's own need among them as the last."""

    terms: tuple[Term, ...]

    @property
    def margin_db(self) -> float:
        """By how much the level is above what the receiver needs."""
        return sum(t.db for t in self.terms)

    @property
    def spread_db(self) -> float:
        """Standard deviation of the margin."""
        return math.sqrt(sum(t.spread_db**2 for t in self.terms))

    @property
    def chance(self) -> float:
        """The chance, 0 to 1, that the wheel is heard at least now and then."""
        return 0.5 * math.erfc(-self.margin_db / self.spread_db / math.sqrt(2.0))


RECEIVER_CAR = Term("what a car's receiver needs", 105.0, 4.0, Basis(Ground.JUDGEMENT, "-95 to -112 dBm at 10 kbit/s"))
RECEIVER_HAND = Term(
    "what a hand-held receiver needs", 100.0, 6.0, Basis(Ground.JUDGEMENT, "a simple antenna, no amplifier")
)
OUTSIDE = Term(
    "rim, tyre and car bodies", -15.0, 5.0, Basis(Ground.JUDGEMENT, "10 to 25 dB from memory; the body dominates")
)
INSIDE = Term(
    "rim and tyre, inside the car", -2.5, 3.0, Basis(Ground.JUDGEMENT, "10 to 15 dB less than through the body")
)
_BEST = Term("best of many frames and ways of standing", 6.0, 3.0, _JUDGED)


def limit_uv_m(mhz: float) -> float:
    """Field strength limit at 3 m, average, for sensors that send by themselves: 47 CFR 15.231(e), 260 to 470 MHz.

    The formula is from memory; at 433.0 MHz it gives the published 4,383 µV/m.
    """
    return 16.6667 * mhz - 2833.3333


def eirp_dbm(field_uv_m: float, distance_m: float = 3.0) -> float:
    """The isotropic power that makes a field at a distance in free space: (E d)² / 30 in watts."""
    watts = (field_uv_m * 1e-6 * distance_m) ** 2 / 30.0
    return 10.0 * math.log10(watts * 1000.0)


def free_space_db(distance_m: float, mhz: float) -> float:
    """Free-space loss between isotropic antennas: 20 log10(4 π d / λ)."""
    return 20.0 * math.log10(4.0 * math.pi * distance_m * mhz * 1e6 / LIGHT_M_PER_S)


def _power(mhz: float) -> Term:
    basis = Basis(
        Ground.STANDARD,
        f"47 CFR 15.231(e), formula from memory, less {_BELOW_LIMIT_DB} dB by judgement; short frames may be up to 20 dB above",
    )
    return Term("sensor, by its legal limit", eirp_dbm(limit_uv_m(mhz)) - _BELOW_LIMIT_DB, 6.0, basis)


def _distance(distance_m: float, mhz: float) -> Term:
    """Free space as far as 10 m; beyond, 30 dB each ten times, between free space and plane earth."""
    d = min(max(distance_m, _LEAST_M), _MOST_M)
    beyond = max(0.0, math.log10(d / _FREE_TO_M))
    loss = free_space_db(min(d, _FREE_TO_M), mhz) + 30.0 * beyond
    basis = Basis(Ground.COMPUTED, "free space to 10 m; beyond it 30 ± 5 dB for ten times the distance, by judgement")
    return Term(f"distance, {d:.3g} m", -loss, 5.0 * beyond, basis)


def budget(
    band: Band | None,
    distance_m: float,
    walls: tuple[Wall, ...] = (),
    body: Term = OUTSIDE,
    receiver: Term = RECEIVER_CAR,
) -> Budget:
    """The budget of one wheel and one receiver; an unknown band is reckoned as the one that is heard farther."""
    if band is None:
        both = [budget(b, distance_m, walls, body, receiver) for b in Band]
        return max(both, key=lambda b: b.margin_db)
    mhz = MHZ[band]
    through = tuple(Term(f"wall: {w.word}", -w.loss_db, w.spread_db, w.basis) for w in walls)
    return Budget((_power(mhz), body, _distance(distance_m, mhz), *through, _BEST, receiver))


def distance_for(chance: float, band: Band | None, walls: tuple[Wall, ...] = ()) -> float:
    """The distance in metres beyond which the chance of being heard by a car is below `chance`, 0.5 to 100,000."""
    near, far = _LEAST_M, _MOST_M
    if budget(band, near, walls).chance < chance:
        return near
    for _ in range(60):
        middle = math.sqrt(near * far)
        near, far = (middle, far) if budget(band, middle, walls).chance >= chance else (near, middle)
    return far
