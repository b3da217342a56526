"""A moment in time, with the zone in which it was noted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone

US_PER_S = 1_000_000


@dataclass(frozen=True, slots=True, order=True)
class Moment:
    """Microseconds since 1970 in UTC, and the zone's offset in minutes where the moment was noted."""

    us: int
    offset_min: int = 0

    @classmethod
    def of(cls, when: datetime) -> Moment:
        """The moment of a datetime that knows its zone."""
        offset = when.utcoffset()
        if offset is None:
            raise ValueError("a moment needs a zone")
        return cls(round(when.timestamp() * US_PER_S), round(offset.total_seconds() / 60))

    @property
    def local(self) -> datetime:
        """The clock on the wall where it was noted."""
        utc = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=self.us)
        return utc.astimezone(timezone(timedelta(minutes=self.offset_min)))

    @property
    def day(self) -> date:
        return self.local.date()

    def iso(self) -> str:
        """RFC 3339 with the offset, to the microsecond where there are any."""
        return self.local.isoformat()

    def short(self) -> str:
        """'2026-11-28 14:05'."""
        return f"{self.local:%Y-%m-%d %H:%M}"
