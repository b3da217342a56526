"""Histories of tyres, argued by hand: what was read when, and what is right to say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np

from wheelside.units import GaugePressure
from wheelside.watch.judge import GroupSays, Weather, WheelLimits, tyres_say
from wheelside.watch.record import ReadRecord

AIR = 101.325
FIRST = date(2026, 3, 7)
WHEELS = ("A1", "A2", "A3", "A4")
K0 = 273.15


@dataclass
class History:
    """Readings of four wheels, as they are added. Pressures are what a true gauge would show; `amount` is kPa absolute at 15 °C."""

    first: date = FIRST
    rows: list[dict[str, Any]] = field(default_factory=list)
    resets: dict[int, tuple[int, ...]] = field(default_factory=dict)
    climate_k: tuple[float, ...] = ()

    def read(self, day: float, shown: Iterable[float | None], celsius: float | None = 15.0, **more: Any) -> History:
        """Four gauge pressures in kPa as they were read on a day after the first, at a temperature outside."""
        for wheel, kpa in enumerate(shown):
            if kpa is None:
                continue
            at = datetime.combine(self.first, datetime.min.time(), UTC) + timedelta(
                days=day, hours=9, seconds=20 * wheel
            )
            row = {
                "wheel": wheel, "at_us": round(at.timestamp() * 1e6), "absolute_kpa": kpa + AIR, "spread_kpa": 2.0, "gauge_kpa": kpa,
                "tyre_k": np.nan, "outside_k": np.nan if celsius is None else K0 + celsius, "warmth": "cold", "purpose": "gauging",
                "channel": "gauge", "instrument": "red",
            }  # fmt: skip
            self.rows.append(row | more)
        return self

    def record(self) -> ReadRecord:
        """All of it."""
        columns: Any = {name: np.array([row[name] for row in self.rows]) for name in self.rows[0]}
        return ReadRecord(WHEELS, **columns, resets=self.resets, climate_k=self.climate_k)

    def says(self, day: float, limits: dict[str, WheelLimits] | None = None, celsius: float = 15.0) -> GroupSays:
        """What is said on a day, in the afternoon."""
        at = datetime.combine(self.first, datetime.min.time(), UTC) + timedelta(days=day, hours=15)
        weather = Weather(K0 + celsius, AIR, K0 + celsius, self.climate_k)
        usual = {w: WheelLimits(GaugePressure(180.0), GaugePressure(190.0), GaugePressure(240.0)) for w in WHEELS}
        return tyres_say(self.record(), round(at.timestamp() * 1e6), at.date(), limits or usual, weather)


def shown(amounts: Iterable[float], celsius: float) -> list[float]:
    """What a gauge shows of amounts of air, kPa absolute at 15 °C, at a temperature, to 1 kPa."""
    return [round(a * (K0 + celsius) / (K0 + 15) - AIR) for a in amounts]
