"""From readings and limits to what is said of each tyre: one function, `tyres_say`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from wheelside.units import GaugePressure, PressureSpan
from wheelside.units.moment import Moment
from wheelside.watch.columns import AS_IF_AT_K, DAYS_PER_MONTH
from wheelside.watch.curve import TyreCurve, curve_of
from wheelside.watch.group import Watched, counted
from wheelside.watch.lamp_day import LampDays, lamp_days, temperatures_ahead
from wheelside.watch.read_on import ReadOn, is_normal
from wheelside.watch.record import WARMER_K, AmountsTaken, ReadRecord, taken
from wheelside.watch.says import OLD_DAYS, STOP_KPA, SURE, TELLS, LossSaid, TyreSays, TyreVerdict

if TYPE_CHECKING:
    from wheelside.watch.columns import Floats

DAY_US = 86400 * 1_000_000


@dataclass(frozen=True, slots=True)
class WheelLimits:
    """What one wheel has to read where it is used, cold gauge pressures: `least` for what it carries, `lamp` from which it is lit.

    `set_to`: what it is set to by the gauge in hand. `flat`: it looks flat. `stored`: it is on no car.
    """

    least: GaugePressure | None
    lamp: GaugePressure | None
    set_to: GaugePressure | None
    flat: bool = False
    stored: bool = False


@dataclass(frozen=True, slots=True)
class Weather:
    """The air today: the temperature of a cold tyre in kelvin, the pressure of the air around, and the mornings of the year.

    `climate_k`: twelve temperatures, January first; none where the place's are not known: then `morning_k` is taken for all.
    """

    today_k: float
    air_kpa: float
    morning_k: float
    climate_k: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class RefillAsked:
    """A rise that nobody explained: on which day air seems to have been let into a wheel, and how much."""

    wheel: str
    day: date
    kpa: PressureSpan


@dataclass(frozen=True, slots=True)
class GroupSays:
    """What is said of the wheels of a record, in its order, and what is to be asked."""

    tyres: tuple[TyreSays, ...]
    asked: tuple[RefillAsked, ...]
    curves: tuple[TyreCurve | None, ...] = ()


def tyres_say(
    record: ReadRecord, now_us: int, today: date, limits: Mapping[str, WheelLimits], weather: Weather
) -> GroupSays:
    """What is said of each wheel of a record now."""
    resets = {w: done for w, several in record.resets.items() if (done := tuple(us for us in several if us <= now_us))}
    t = taken(replace(record, resets=resets))
    g, found = counted(t, now_us)
    mornings, ahead = temperatures_ahead(today, weather.climate_k, weather.morning_k), ReadOn(g)
    said = tuple(
        _of(t, ahead, one, n, now_us, today, limits.get(one.wheel, _NONE), weather, mornings)
        for n, one in enumerate(found)
    )
    asked = tuple(
        RefillAsked(one.wheel, _day(t, int(t.record.at_us[s.after])), PressureSpan(s.kpa))
        for one in found
        for s in one.refills
        if s.sure
    )
    curves = tuple(
        curve_of(t, one, n, now_us, today, _lamp_kpa(limits.get(one.wheel, _NONE)), weather.air_kpa, mornings)
        for n, one in enumerate(found)
    )
    return GroupSays(said, asked, curves)


def _lamp_kpa(limit: WheelLimits) -> float | None:
    return None if limit.lamp is None else limit.lamp.kpa


_NONE = WheelLimits(None, None, None)


def _of(
    t: AmountsTaken, ahead: ReadOn, one: Watched, w: int, now_us: int, today: date, limit: WheelLimits, weather: Weather, mornings: Floats
) -> TyreSays:  # fmt: skip
    base = TyreSays(one.wheel, TyreVerdict.NOT_PROVEN, flat=limit.flat, again=today, stored=limit.stored)
    if one.last_row is None:
        return replace(base, verdict=TyreVerdict.STOP) if limit.flat else base
    last_us = int(t.record.at_us[one.last_row])
    recent = now_us - last_us <= OLD_DAYS * DAY_US
    truly = _reads(t, one, weather, recent=recent)
    reads = truly + PressureSpan(t.record.reads_more_kpa.get(str(t.record.instrument[one.last_row]), 0.0))
    chance = one.chance
    base = replace(base, reads=reads, read_on=_day(t, last_us), chance=chance, rate=_rate(one))
    loss = _loss(t, one, chance)
    lamp = _lamp(one, limit, weather, today, mornings) if loss is not None else None
    base = replace(base, loss=loss, lamp=lamp, again=None)
    gauged = _gauged(t, one.last_row, weather)
    if limit.flat or (gauged < STOP_KPA and not limit.stored):
        return replace(base, verdict=TyreVerdict.STOP, reads=GaugePressure(gauged))
    if limit.least is not None and truly + PressureSpan(_warm_margin(t, one.last_row)) < limit.least:
        return replace(base, verdict=TyreVerdict.TOO_LOW, set_to=limit.set_to)
    if loss is not None:
        return replace(base, verdict=TyreVerdict.LOSES)
    if not recent:
        return replace(base, again=today)
    again = _after_mending(t, w)
    if again is not None:
        return replace(base, again=max(again, today))
    if one.losses is not None and is_normal(one.losses, one.tells_kpa):
        return replace(base, verdict=TyreVerdict.NORMAL)
    proven = ahead.proven((now_us - t.first_us) / (DAY_US * DAYS_PER_MONTH), w)
    return replace(base, again=max(today, _day(t, t.first_us + round(proven * DAYS_PER_MONTH * DAY_US))))


RECHECK_DAYS = 3
"""So long after a leak was mended the tyre is looked at again before anything is called held."""


def _after_mending(t: AmountsTaken, w: int) -> date | None:
    """The day of the look after a mending, where the tyre was not read since that day; None for any other tyre."""
    import numpy as np

    mends = [month for wheel, month in t.gaugings.mends if wheel == w]
    if not mends:
        return None
    due = max(mends) + RECHECK_DAYS / DAYS_PER_MONTH
    read = t.gaugings.month[t.gaugings.wheel == w]
    if bool(np.any(read >= due - 0.5 / DAYS_PER_MONTH)):
        return None
    return _day(t, t.first_us + round(due * DAYS_PER_MONTH * DAY_US))


def _warm_margin(t: AmountsTaken, row: int) -> float:
    """How much more air than it seems a tyre may have that was read warm, kPa: its temperature is only guessed. Nought for a cold one."""
    g = t.gaugings
    if t.record.warmth[row] != "warm":
        return 0.0
    return 1.645 * float((g.own_kpa[row] ** 2 + g.shared_kpa[row] ** 2) ** 0.5)


def _gauged(t: AmountsTaken, row: int, weather: Weather) -> float:
    """The gauge pressure of a row as it was read then."""
    gauge = float(t.record.gauge_kpa[row])
    return float(t.record.absolute_kpa[row]) - weather.air_kpa if gauge != gauge else gauge  # noqa: PLR0124  not a number


def _reads(t: AmountsTaken, one: Watched, weather: Weather, *, recent: bool) -> GaugePressure:
    """What a tyre reads cold: as it was read, a warm one as if it had cooled down; from the line at today's temperature where that is old."""
    row = one.last_row
    assert row is not None, "it was read"
    if not recent:
        return GaugePressure(one.amount_kpa * weather.today_k / AS_IF_AT_K - weather.air_kpa)
    kelvin = float(t.temperature_k[row])
    if t.record.warmth[row] == "warm":
        by_tyre = float(t.record.tyre_k[row]) == kelvin
        kelvin = weather.today_k if by_tyre else kelvin - WARMER_K
    return GaugePressure(float(t.gaugings.kpa[row]) * kelvin / AS_IF_AT_K - weather.air_kpa)


def _loss(t: AmountsTaken, one: Watched, chance: float) -> LossSaid | None:
    if one.losses is None or one.since_month is None or chance < SURE:
        return None
    low, middle, high = (max(float(one.losses.quantile(q)[0]), 0.0) for q in (0.05, 0.5, 0.95))
    since = t.first_us + round(one.since_month * DAYS_PER_MONTH * DAY_US)
    return LossSaid(PressureSpan(middle), PressureSpan(low), PressureSpan(high), _day(t, since), one.from_first)


def _rate(one: Watched) -> tuple[PressureSpan, PressureSpan] | None:
    """The loss as the readings tell it; None where they don't yet."""
    if one.losses is None or one.tells_kpa > TELLS:
        return None
    least, most = (max(float(one.losses.quantile(q)[0]), 0.0) for q in (0.05, 0.95))
    return PressureSpan(least), PressureSpan(most)


def _lamp(one: Watched, limit: WheelLimits, weather: Weather, today: date, mornings: Floats) -> LampDays | None:
    if limit.lamp is None or one.losses is None:
        return None
    return lamp_days(today, (one.amount_kpa, one.amount_sd_kpa), one.losses, limit.lamp.kpa, weather.air_kpa, mornings)


def _day(t: AmountsTaken, us: int) -> date:
    return Moment(us, t.record.offset_min).day
