"""Readings as a book has them, by column, made into amounts of air: what was warm, what was cold, and how far each may be off."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from wheelside.finding import Basis, Ground
from wheelside.watch.columns import AS_IF_AT_K, DAYS_PER_MONTH, Gaugings

if TYPE_CHECKING:
    from wheelside.watch.columns import Floats, Ints

SAME_OCCASION_US = 45 * 60_000_000
"""Readings this near one another, by one instrument, are of one occasion. Judgement."""
RUN_US = 3 * 3_600_000_000
"""After so long without a reading a tyre is cold again: three hours parked, common practice."""
WARMER_K, WARMER_SPREAD_K = 18.0, 8.0
"""By how much a tyre in use is warmer than the air outside. From memory: 15 to 30 K on a motorway, less in town."""
NO_TEMPERATURE_K, NO_TEMPERATURE_SPREAD_K = 283.15, 9.0
"""What is taken where no temperature is known at all. Judgement."""
BIAS_KPA = {"gauge": 5.0}
"""How far an instrument may be off all the time, standard deviation. Judgement."""
SENSOR_BIAS_KPA = 7.0
OWN_KPA = {"gauge": 2.0, "dash": 1.5, "port": 1.5, "radio": 1.5, "trigger": 1.5}
"""How far a figure differs from the next one by the same instrument, standard deviation. Judgement."""
TYPED_KPA = 3.0
OF_WHEEL = frozenset({"dash", "port", "radio", "trigger", "writer"})
"""Channels by which a wheel's own sensor speaks: each has its own error."""
ERRORS = Basis(
    Ground.JUDGEMENT,
    "a gauge is off by 5 kPa all the time and 2 kPa each time, a sensor by 7 and 1.5; a tyre is as warm as the air to 2 K, in use 18 K warmer to 8 K",
)


class ReadKind(StrEnum):
    """What a reading says of the air between it and the one before."""

    KEEPS = "keeps"
    NEW_LEVEL = "new level"
    LEFT_OUT = "left out"


TWICE_FOR_K = 17.0
"""By how much warmer a sound tyre loses twice as much. Judgement, between the published figures at 21 and 32 °C (Tire Sci. Technol. 13(1))."""
SEASON_MONTHS = 0.5
KIND_OF = {
    "set": ReadKind.NEW_LEVEL,
    "stored": ReadKind.NEW_LEVEL,
    "let-down": ReadKind.LEFT_OUT,
    "corner-test": ReadKind.LEFT_OUT,
}
"""By what a reading was for. After one that is left out, air was let in or out: the next one begins a level."""


@dataclass(frozen=True, slots=True)
class ReadRecord:
    """Readings of some wheels, columns of one length n in any order. What is not known is not a number, or an empty text.

    `wheel`: which of `wheels`; `at_us`: microseconds since 1970; `absolute_kpa` against vacuum with its half-width `spread_kpa`,
    `gauge_kpa` as it was read, not a number where it was told as absolute;
    `tyre_k` and `outside_k`: kelvin; `warmth`: 'cold', 'warm' or ''; `purpose`, `channel`, `instrument`: as noted. `resets`: of a
    wheel, moments at which its tyre was off, or changed. `bias_kpa`: of an instrument, how far it may be off all the time, and
    `reads_more_kpa`: by how much it is known to read too high. `offset_min`: of the clock by which days are told.
    """

    wheels: tuple[str, ...]
    wheel: Ints
    at_us: Ints
    absolute_kpa: Floats
    spread_kpa: Floats
    gauge_kpa: Floats
    tyre_k: Floats
    outside_k: Floats
    warmth: Any
    purpose: Any
    channel: Any
    instrument: Any
    resets: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    bias_kpa: Mapping[str, float] = field(default_factory=dict)
    reads_more_kpa: Mapping[str, float] = field(default_factory=dict)
    climate_k: tuple[float, ...] = ()
    offset_min: int = 0

    def rows(self, which: Any) -> ReadRecord:
        """Some rows, in that order."""
        columns = {name: getattr(self, name)[which] for name in COLUMNS}
        return replace(self, **columns)


COLUMNS = (
    "wheel", "at_us", "absolute_kpa", "spread_kpa", "gauge_kpa", "tyre_k", "outside_k", "warmth", "purpose", "channel", "instrument",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class AmountsTaken:
    """The readings that count as amounts of air, and of each its row in the record, sorted as the amounts are. `first_us`: month nought."""

    gaugings: Gaugings
    record: ReadRecord
    first_us: int
    temperature_k: Floats


def taken(record: ReadRecord) -> AmountsTaken:
    """The amounts of air of a record, by occasion and time. There may be none."""
    import numpy as np

    there = record.rows(np.flatnonzero(np.isfinite(record.absolute_kpa)))
    order = np.lexsort((there.wheel, there.at_us))
    there = thinned(there.rows(order))
    counts = np.array([KIND_OF.get(p, ReadKind.KEEPS) is not ReadKind.LEFT_OUT for p in there.purpose], dtype=bool)
    level = _levels(there, counts)
    keep = np.flatnonzero(counts)
    there, level = there.rows(keep), level[keep]
    occasion = _occasions(there)
    order = np.lexsort((there.wheel, there.at_us, occasion))
    there, level, occasion = there.rows(order), level[order], occasion[order]
    kelvin, own_k, shared_k = temperatures(there)
    too_high = np.array([there.reads_more_kpa.get(i, 0.0) for i in there.instrument], dtype=float)
    amount = (there.absolute_kpa - too_high) * AS_IF_AT_K / kelvin
    per_k = amount / kelvin
    own = np.hypot(_own(there), own_k * per_k)
    shared = np.hypot(np.nan_to_num(there.spread_kpa, nan=2.0) / 3**0.5, shared_k * per_k)
    gauge, biases = _gauges(there)
    first = int(there.at_us.min()) if len(there.wheel) else 0
    month = (there.at_us - first) / (86400e6 * DAYS_PER_MONTH)
    _, level = np.unique(level, return_inverse=True)
    mends = tuple(
        (w, (us - first) / (86400e6 * DAYS_PER_MONTH)) for w, several in sorted(there.resets.items()) for us in several
    )
    clock = running(month, kelvin, there.warmth == "warm")
    found = Gaugings(
        there.wheel, month, amount, own, _same(shared, occasion), occasion, level, gauge, biases, mends, clock
    )
    return AmountsTaken(found, there, first, kelvin)


def thinned(r: ReadRecord) -> ReadRecord:
    """Of many readings in one go, by one instrument at one wheel, the first, which is cold, and the last: all of a few."""
    import numpy as np

    if not len(r.wheel):
        return r
    order = np.lexsort((r.at_us, r.channel, r.wheel))
    wheel, at, channel = r.wheel[order], r.at_us[order], r.channel[order]
    run = np.concatenate([[True], (wheel[1:] != wheel[:-1]) | (channel[1:] != channel[:-1]) | (np.diff(at) > RUN_US)])
    number = np.cumsum(run) - 1
    many = np.bincount(number)[number] > 4
    last = np.append(run[1:], True)
    plain = r.purpose[order] != "set"
    keep = order[~(many & plain) | run | last]
    warm = order[many & plain & last & ~run & (r.warmth[order] != "cold")]
    warmth = r.warmth.astype(object)
    warmth[warm] = "warm"
    return replace(r, warmth=warmth).rows(np.sort(keep))


def temperatures(r: ReadRecord) -> tuple[Floats, Floats, Floats]:
    """The temperature of the air in the tyre in kelvin, how far it may be off, and how far that of all four together."""
    import numpy as np

    warm, cold = r.warmth == "warm", r.warmth == "cold"
    months = (r.at_us.astype("datetime64[us]").astype("datetime64[M]").astype(np.int64)) % 12
    usual = np.array(r.climate_k)[months] if r.climate_k else np.full(len(r.wheel), NO_TEMPERATURE_K)
    usual_spread = 5.0 if r.climate_k else NO_TEMPERATURE_SPREAD_K
    outside = np.isfinite(r.outside_k)
    by_tyre = np.isfinite(r.tyre_k)
    around = np.where(outside, r.outside_k, usual) + np.where(warm, WARMER_K, 0.0)
    kelvin = np.where(by_tyre, r.tyre_k, around)
    own = np.where(by_tyre, np.where(warm, 1.5, 0.6), np.where(warm, 4.0, 0.8))
    loose = np.where(outside, np.where(cold, 2.0, 3.0), usual_spread)
    shared = np.where(by_tyre, np.where(warm, 2.5, 0.7), np.where(warm, np.hypot(loose, WARMER_SPREAD_K), loose))
    return kelvin, own, shared


def running(month: Floats, kelvin: Floats, warm: Any) -> Floats:
    """The months in which a tyre at 15 °C would have lost as much: twice as fast for each 17 K warmer, by the cold readings.

    A day counts with the mean of the month around it, for a single morning is no season; between days it goes straight.
    """
    import numpy as np

    cold = np.flatnonzero(~np.asarray(warm, dtype=bool))
    if not len(cold):
        return month
    days = np.unique(np.round(month[cold] * DAYS_PER_MONTH)) / DAYS_PER_MONTH
    near = np.abs(days[:, None] - month[cold][None, :]) <= SEASON_MONTHS
    mean = (near * kelvin[cold][None, :]).sum(axis=1) / near.sum(axis=1)
    speed = 2.0 ** (np.clip(mean - AS_IF_AT_K, -40.0, 40.0) / TWICE_FOR_K)
    passed = np.concatenate([[0.0], np.cumsum(np.diff(days) * (speed[1:] + speed[:-1]) / 2)])
    beyond = np.maximum(month - days[-1], 0.0) * speed[-1] + np.minimum(month - days[0], 0.0) * speed[0]
    found: Floats = np.interp(month, days, passed) + beyond
    return found


def _own(r: ReadRecord) -> Floats:
    import numpy as np

    found: Floats = np.array([OWN_KPA.get(c, TYPED_KPA) for c in r.channel], dtype=float)
    return found


def _gauges(r: ReadRecord) -> tuple[Ints, tuple[float, ...]]:
    """The instruments by number, and how far each may be off all the time. A sensor of a wheel is an instrument of its own."""
    import numpy as np

    names = [
        (c, r.wheels[w]) if c in OF_WHEEL else (c, i) for c, w, i in zip(r.channel, r.wheel, r.instrument, strict=True)
    ]
    known = {name: n for n, name in enumerate(dict.fromkeys(names))}
    biases = tuple(
        SENSOR_BIAS_KPA if name[0] in OF_WHEEL else r.bias_kpa.get(name[1], BIAS_KPA.get(name[0], SENSOR_BIAS_KPA))
        for name in known
    )
    return np.array([known[name] for name in names], dtype=np.int64), biases


def _levels(r: ReadRecord, counts: Any) -> Ints:
    """The number of the level of each reading; rows are by time. A level begins with each filling and after each letting down."""
    import numpy as np

    number, level = 0, np.zeros(len(r.wheel), dtype=np.int64)
    for w in np.unique(r.wheel):
        number += 1
        resets, begin = sorted(r.resets.get(int(w), ())), False
        for row in np.flatnonzero(r.wheel == w):
            if not counts[row]:
                begin = True
                continue
            passed = bool(resets) and resets[0] <= r.at_us[row]
            while resets and resets[0] <= r.at_us[row]:
                resets.pop(0)
            if begin or passed or KIND_OF.get(r.purpose[row]) is ReadKind.NEW_LEVEL:
                number += 1
            begin = False
            level[row] = number
    return level


def _occasions(r: ReadRecord) -> Ints:
    """The number of the occasion of each reading, in the order of their beginnings."""
    import numpy as np

    found = np.zeros(len(r.wheel), dtype=np.int64)
    begun: dict[tuple[str, str], tuple[int, int]] = {}
    number = -1
    for row in range(len(r.wheel)):
        key, at = (r.channel[row], r.instrument[row]), int(r.at_us[row])
        since, n = begun.get(key, (-(1 << 62), -1))
        if at - since > SAME_OCCASION_US:
            number += 1
            since, n = at, number
            begun[key] = (since, n)
        found[row] = n
    return found


def _same(shared: Floats, occasion: Ints) -> Floats:
    """The shared error, one figure an occasion: the greatest of its readings."""
    import numpy as np

    most = np.zeros(int(occasion.max()) + 1 if len(occasion) else 0)
    np.maximum.at(most, occasion, shared)
    return most[occasion]


def record_of(wheels: Iterable[str], series: Any, **more: Any) -> ReadRecord:
    """The record of some wheels out of columns as a book gives them; readings of other wheels are left out."""
    import numpy as np

    names = tuple(wheels)
    number = {w: n for n, w in enumerate(names)}
    wheel = np.array([number.get(str(w), -1) for w in series.wheel], dtype=np.int64)
    warmth = np.where(series.warmth == "not-known", "", series.warmth)
    whole = ReadRecord(
        names, wheel, series.at_us, series.absolute_kpa, series.spread_kpa, series.gauge_kpa, series.tyre_k, series.outside_k,
        warmth, series.purpose, series.channel, series.instrument, **more,
    )  # fmt: skip
    return whole.rows(np.flatnonzero(wheel >= 0))
