"""What every declared table has in common, and the kinds of quantities."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar

from wheelside import units as u
from wheelside.declared.kinds import KEY, TEXT, ListOf, fact, quantity
from wheelside.errors import BadQuantity
from wheelside.finding import Basis, Ground


def _read_odds(text: str) -> u.Share:
    """A share that can be a chance. Raises BadQuantity."""
    share = u.read_share(text)
    if share.fraction > 1:
        raise BadQuantity(f"{text!r} is more than certain: write 0 to 100 %", found=text, expected="4 %")
    return share


GAUGE = quantity(u.read_gauge_pressure, "2.4 bar", "a gauge pressure")
AIR = quantity(u.read_absolute_pressure, "1013 hPa", "an air pressure (absolute)")
PRESSURE_SPAN = quantity(u.read_pressure_span, "0.05 bar", "a pressure difference")
TYRE_TEMPERATURE = quantity(u.read_tyre_temperature, "-12 °C", "a temperature of the tyre")
TEMPERATURE_SPAN = quantity(u.read_temperature_span, "3 °C", "a temperature difference")
LENGTH = quantity(u.read_length, "48 mm", "a length")
TREAD = quantity(u.read_tread, "6 mm", "a tread depth")
DISTANCE = quantity(u.read_distance, "25 m", "a distance or height")
DRIVEN = quantity(u.read_driven, "7500 km", "a distance driven")
MASS = quantity(u.read_mass, "1060 kg", "a mass")
SPEED = quantity(u.read_speed, "30 km/h", "a speed")
TORQUE = quantity(u.read_torque, "120 Nm", "a torque")
DURATION = quantity(u.read_duration, "20 min", "a duration")
MONEY = quantity(u.read_money, "45 EUR", "an amount of money")
SHARE = quantity(_read_odds, "4 %", "a share from 0 to 100 %")

NOT_KNOWN = "Facts of this row that you have said you don't know: they are not asked for again."

Sources = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What every table may say besides its own keys: notes, and where each fact comes from."""

    FILE: ClassVar[str] = "garage file"
    """What a fact rests on where no source of its own is named."""
    ALIKE: ClassVar[bool] = False
    """Whether `ids` in place of `id` describes several rows that are alike."""
    EACH: ClassVar[tuple[str, ...]] = ()
    """Keys that may then be a list, with one value for each of the rows."""

    note: str | None = fact(TEXT, "Anything worth remembering.")
    sources: Sources = field(default=(), metadata={"doc": "Where facts come from, key by key."})

    def basis(self, key: str) -> Basis:
        """The owner's word for one fact, with the source that the file names."""
        return Basis(Ground.OWNER, dict(self.sources).get(key, self.FILE))


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing(Row):
    """A row that others refer to: an id that stays, and a label for people."""

    id: str = fact(KEY, "The name by which other tables refer to it; it never changes.", required=True)
    label: str | None = fact(TEXT, "What people call it.")
    not_known: tuple[str, ...] = fact(ListOf(TEXT, 60), NOT_KNOWN)

    @property
    def name(self) -> str:
        return self.label or self.id
