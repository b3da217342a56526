"""What tests of books have in common."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from wheelside.units.moment import Moment

NOON = Moment.of(datetime(2026, 11, 25, 12, tzinfo=timezone(timedelta(hours=1))))
"""Noon of the demo's day."""


def later(minutes: float, at: Moment = NOON) -> Moment:
    return Moment(at.us + round(minutes * 60e6), at.offset_min)
