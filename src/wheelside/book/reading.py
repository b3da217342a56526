"""One reading: what was measured at a wheel or heard of a sensor, with all that is known of how; and its row in a book."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from wheelside.book.things import ThingKey
from wheelside.said import Coded
from wheelside.units import AbsolutePressure, AnyPressure, GaugePressure, Temperature

FIRST_US, LAST_US = 315_532_800_000_000, 7_258_118_400_000_000
"""Readings are of the years 1980 to 2199."""
LEAST_KPA, MOST_KPA, LEAST_K, MOST_K = -200.0, 2000.0, 150.0, 600.0
"""What a reading can say at all, whoever vouches for it."""
LEAST_AIR_KPA, MOST_AIR_KPA = 10.0, 120.0
"""The same of the air around."""


class Purpose(Coded):
    """What a reading was taken for."""

    NOT_KNOWN = "not-known", "not known what for"
    GAUGING = "gauging"
    SET = "set"
    LET_DOWN = "let-down", "let down"
    CORNER_TEST = "corner-test", "corner test"
    STORED = "stored"
    AS_IT_LAY = "as-it-lay", "as it lay"
    FETCHED = "fetched", "fetched from the car"
    BY_ITSELF = "by-itself", "sent by itself"


class Warmth(Coded):
    """Whether a tyre was cold: parked three hours, or driven less than two kilometres. Common practice, no source."""

    NOT_KNOWN = "not-known", "not known whether cold"
    COLD = "cold"
    WARM = "warm"


class Reading(NamedTuple):
    """One reading of a wheel or a sensor; None where something was not taken, or is not known.

    `at_us` is its moment in microseconds since 1970, UTC. `mistaken`: why it is marked as noted by mistake (a value of `Why`), '' for
    one that counts. `tyre`: the temperature of the tyre, or of the air in it; `outside`: that of the air outside; `temperature`: one of
    which it is not known what it is of. `place`: where it was taken, by id; `air`: the pressure of the air there, not reduced to
    sea level. `instrument` is what the instrument is called, `instrument_id` its id in the garage.
    """

    subject: ThingKey
    at_us: int
    channel: str
    pressure: AnyPressure | None = None
    temperature: Temperature | None = None
    battery_low: bool | None = None
    instrument: str | None = None
    offset_min: int = 0
    mistaken: str = ""
    purpose: Purpose = Purpose.NOT_KNOWN
    warmth: Warmth = Warmth.NOT_KNOWN
    tyre: Temperature | None = None
    outside: Temperature | None = None
    place: str | None = None
    air: AbsolutePressure | None = None
    instrument_id: str | None = None


_SAYS_NO_MORE = (Purpose.NOT_KNOWN, Warmth.NOT_KNOWN, None, None, None, None, None)
_NO_MORE = (None,) * len(_SAYS_NO_MORE)
SHORT = 10
"""How many columns a row has that ends with its entry."""
NOTED = (
    "pressure_kpa", "absolute", "temperature_k", "battery_low", "instrument", "offset_min",
    "purpose", "warmth", "tyre_k", "outside_k", "place", "air_kpa", "instrument_id",
)  # fmt: skip
"""The columns of a row that a reading is made of, besides its subject, moment and channel."""


def keepable(pressure: AnyPressure | None, temperature: Temperature | None = None) -> bool:
    """Whether a book can keep such figures."""
    fits = pressure is None or LEAST_KPA <= pressure.kpa <= MOST_KPA
    return fits and (temperature is None or LEAST_K <= temperature.kelvin <= MOST_K)


def air_keepable(air: AbsolutePressure | None) -> bool:
    """Whether a book can keep that as the pressure of the air around."""
    return air is None or LEAST_AIR_KPA <= air.kpa <= MOST_AIR_KPA


def unkeepable(r: Reading) -> tuple[str, str] | None:
    """What of a reading no book can keep, and what is expected; None for one that can be kept."""
    usual = FIRST_US <= r.at_us <= LAST_US and keepable(r.pressure, r.temperature) and r[9:] == _SAYS_NO_MORE
    return None if usual else next(_unkeepable(r), None)


def _unkeepable(r: Reading) -> Iterator[tuple[str, str]]:
    if not FIRST_US <= r.at_us <= LAST_US:
        yield f"its moment is {r.at_us} µs", "a moment of the years 1980 to 2199"
    if r.pressure is not None and not keepable(r.pressure):
        yield f"its pressure is {r.pressure.kpa} kPa", "-200 to 2000 kPa"
    for temperature in (r.temperature, r.tyre, r.outside):
        if temperature is not None and not keepable(None, temperature):
            yield f"its temperature is {temperature.kelvin} K", "150 to 600 K"
    if r.air is not None and not air_keepable(r.air):
        yield f"the air pressure is {r.air.kpa} kPa", "10 to 120 kPa"


def row_of(r: Reading, subject: int, entry: int) -> tuple[Any, ...]:
    """The row of a reading, in the order of the table's columns; what is not known is NULL.

    It ends with the entry where nothing of the columns behind it is known, as most readings of receivers do.
    """
    pressure = r.pressure
    battery = None if r.battery_low is None else int(r.battery_low)
    row = (
        subject, r.at_us, r.channel, None if pressure is None else float(pressure.kpa), int(type(pressure) is AbsolutePressure),
        None if r.temperature is None else float(r.temperature.kelvin), battery, r.instrument, r.offset_min, entry,
    )  # fmt: skip
    return row if r[9:] == _SAYS_NO_MORE else row + _more(r)


def whole(row: tuple[Any, ...]) -> tuple[Any, ...]:
    """A row with all of the table's columns."""
    return row if len(row) > SHORT else row + _NO_MORE


def _more(r: Reading) -> tuple[Any, ...]:
    return (
        None if r.purpose is Purpose.NOT_KNOWN else r.purpose.value, None if r.warmth is Warmth.NOT_KNOWN else r.warmth.value,
        float(r.tyre.kelvin) if r.tyre else None, float(r.outside.kelvin) if r.outside else None, r.place, float(r.air.kpa) if r.air else None,
        r.instrument_id,
    )  # fmt: skip


def reading_in(subject: ThingKey, at_us: int, channel: str, noted: Sequence[Any], mistaken: str = "") -> Reading:
    """The reading that a row says; `noted`: its columns as in `NOTED`."""
    (
        kpa,
        absolute,
        kelvin,
        battery,
        instrument,
        offset_min,
        purpose,
        warmth,
        tyre,
        outside,
        place,
        air,
        instrument_id,
    ) = noted
    return Reading(
        subject, at_us, channel, pressure_of(kpa, absolute), temperature_of(kelvin), None if battery is None else bool(battery),
        instrument, offset_min, mistaken,
        Purpose(purpose) if purpose else Purpose.NOT_KNOWN, Warmth(warmth) if warmth else Warmth.NOT_KNOWN,
        temperature_of(tyre), temperature_of(outside), place, None if air is None else AbsolutePressure(air), instrument_id,
    )  # fmt: skip


def pressure_of(kpa: float | None, absolute: int) -> AnyPressure | None:
    """The pressure of a figure; `absolute`: whether that is against vacuum."""
    if kpa is None:
        return None
    return AbsolutePressure(kpa) if absolute else GaugePressure(kpa)


def temperature_of(kelvin: float | None) -> Temperature | None:
    """The temperature of a figure."""
    return None if kelvin is None else Temperature(kelvin)
