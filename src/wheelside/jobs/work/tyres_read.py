"""What is read of the tyres of one set, and what is said of them: from a book's rows to one record."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from wheelside.air.atmosphere import standard_air
from wheelside.book.entry import View
from wheelside.book.events import filled_at, mended_at
from wheelside.book.series import Series, series_of
from wheelside.fill.card import AirCard, air_card
from wheelside.fill.lamp import the_cars
from wheelside.garage.model import Car, Garage
from wheelside.garage.present import Present
from wheelside.garage.words import Corner
from wheelside.units import GaugePressure, Length, Temperature
from wheelside.units.moment import Moment
from wheelside.watch.curve import TyreCurve
from wheelside.watch.judge import DAY_US, RefillAsked, Weather, WheelLimits, tyres_say
from wheelside.watch.record import NO_TEMPERATURE_K, record_of
from wheelside.watch.says import LOW_SHARE, OLD_DAYS, TyreSays, TyreVerdict

BACK = timedelta(days=800)
"""How far back readings count."""
ANSWERED_DAYS = 2
TYPICAL_SPREAD = 3.0**0.5
"""A half-width over the standard deviation of what lies in it, each value as likely."""


@dataclass(frozen=True, slots=True)
class TyreAt:
    """One tyre that was read, or is on a car: where it is, and what is said. `car` and `corner` are None for one that is on none."""

    wheel: str
    name: str
    set: str
    car: str | None
    corner: Corner | None
    says: TyreSays

    @property
    def read(self) -> bool:
        """Whether it was ever read."""
        return self.says.read_on is not None


@dataclass(frozen=True, slots=True)
class SetSays:
    """The tyres of one set; air that seems to have been let in; by wheel its amount over time; the months in which it was read how warm
    it was outside."""

    tyres: tuple[TyreAt, ...] = ()
    asked: tuple[RefillAsked, ...] = ()
    curves: tuple[tuple[str, TyreCurve], ...] = ()
    months_read: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Reader:
    """A book at one moment, out of which sets are read. `at`: the wheels on cars, with car and corner."""

    conn: View
    garage: Garage
    present: Present
    now: Moment
    at: dict[str, tuple[str, Corner]]

    @property
    def heights(self) -> dict[str, Length]:
        """How high places lie."""
        return {p.id: p.height for p in self.garage.place if p.height is not None}

    def of_set(self, set_id: str, wheels: tuple[str, ...]) -> SetSays:
        """What is said of the tyres of a set."""
        garage, now, day = self.garage, self.now, self.present.day
        usual = garage.conditions.height_here or next(iter(self.heights.values()), Length(0.0))
        since = now.us - BACK.days * DAY_US
        series = series_of(self.conn, wheels, self.heights, since, now.us + DAY_US, usual, thin=True)
        on = [w for w in wheels if w in self.at]
        if not len(series.wheel):
            return SetSays(tuple(self._unread(set_id, w) for w in on))
        resets, answered = mended_at(self.conn, wheels), filled_at(self.conn, wheels)
        record = record_of(
            wheels,
            series,
            resets={n: resets[w] for n, w in enumerate(wheels) if w in resets},
            bias_kpa=_biases(garage),
            reads_more_kpa=_known_biases(garage),
            offset_min=now.offset_min,
            climate_k=climate_of(garage),
        )
        weather = _weather(garage, series, usual, now)
        away = {w: WheelLimits(None, None, None, stored=True) for w in wheels if w not in self.at}
        limits = away | _limits(garage, self.present, on, self.at, weather)
        said = tyres_say(record, now.us, day, limits, weather)
        return SetSays(
            tuple(self._tyre(set_id, one) for one in said.tyres if one.read_on is not None or one.wheel in self.at),
            tuple(one for one in said.asked if not _answered(one, answered.get(one.wheel, ()), now)),
            tuple((w, c) for w, c in zip(wheels, said.curves, strict=True) if c is not None),
            _months_read(series, now),
        )

    def _tyre(self, set_id: str, one: TyreSays) -> TyreAt:
        car, corner = self.at.get(one.wheel, (None, None))
        return TyreAt(one.wheel, self.garage.wheels[one.wheel].name, set_id, car, corner, one)

    def _unread(self, set_id: str, wheel: str) -> TyreAt:
        c = self.garage.conditions
        flat = c.as_of == self.present.day and self.at[wheel][0] in c.flat_on
        return self._tyre(set_id, TyreSays(wheel, TyreVerdict.STOP if flat else TyreVerdict.NOT_PROVEN, flat=flat))


def reader_of(conn: View, garage: Garage, present: Present, now: Moment) -> Reader:
    """A reader of a book at one moment."""
    at = {w: (car.id, corner) for car in garage.car for corner, w in present.wheel_at(car.id).items()}
    return Reader(conn, garage, present, now, at)


def sets_there(garage: Garage, day: date) -> dict[str, tuple[str, ...]]:
    """The wheels of each set that is there still; a wheel of several sets counts for the first."""
    found: dict[str, tuple[str, ...]] = {}
    taken: set[str] = set()
    for wheel_set in garage.set:
        if wheel_set.on_offer or wheel_set.gone_by(day):
            continue
        mine = tuple(w for _, w in wheel_set.wheels if w not in taken)
        taken.update(mine)
        if mine:
            found[wheel_set.id] = mine
    return found


def _answered(one: RefillAsked, moments: tuple[int, ...], now: Moment) -> bool:
    """Whether somebody has said of a rise what it was: within two days of it."""
    return any(abs((Moment(us, now.offset_min).day - one.day).days) <= ANSWERED_DAYS for us in moments)


def _biases(garage: Garage) -> dict[str, float]:
    """How far each instrument may be off all the time: its noted spread, as a standard deviation."""
    return {
        name: max(i.pressure_spread.kpa / TYPICAL_SPREAD, 0.5)
        for i in garage.instrument
        if i.pressure_spread is not None
        for name in (i.id, i.name)
    }


def _known_biases(garage: Garage) -> dict[str, float]:
    """By how much each instrument is known to read too high."""
    known = [(i, i.pressure_bias.kpa) for i in garage.instrument if i.pressure_bias is not None]
    return {name: kpa for i, kpa in known for name in (i.id, i.name)}


def _weather(garage: Garage, series: Series, usual: Length, now: Moment) -> Weather:
    """The air today: by the newest reading of a temperature outside, else by what is said of today, else what is usual."""
    import numpy as np

    c = garage.conditions
    mine = np.isfinite(series.outside_k) & (series.at_us > now.us - OLD_DAYS * DAY_US)
    known = series.outside_k[mine]
    stated = c.tyre_temperature.kelvin if c.tyre_temperature is not None and c.as_of in (None, now.day) else None
    newest = float(known[np.argmax(series.at_us[mine])]) if len(known) else stated
    today_k = NO_TEMPERATURE_K if newest is None else newest
    morning = min([today_k, *([c.coldest.kelvin] if c.coldest is not None else []), *known.tolist()[-8:]])
    air = (c.air_here or standard_air(usual)).kpa
    return Weather(today_k, air, morning, climate_of(garage))


def _months_read(series: Series, now: Moment) -> frozenset[int]:
    import numpy as np

    return frozenset(Moment(int(us), now.offset_min).day.month for us in series.at_us[np.isfinite(series.outside_k)])


def climate_of(garage: Garage) -> tuple[float, ...]:
    """The usual mornings of a year, January first, in kelvin; months of which nothing is said lie between their neighbours.

    Of several places the first one counts of which most months are said; none where fewer than two months are.
    """
    import numpy as np

    by_place: dict[str | None, dict[int, float]] = {}
    for row in garage.climate:
        by_place.setdefault(row.place, {})[row.month] = row.morning.kelvin
    known = max(by_place.values(), key=len, default={})
    if len(known) < 2:
        return ()
    months = sorted(known)
    found = np.interp(np.arange(1, 13), months, [known[m] for m in months], period=12)
    return tuple(float(k) for k in found)


def _limits(
    garage: Garage, present: Present, on: list[str], at: dict[str, tuple[str, Corner]], weather: Weather
) -> dict[str, WheelLimits]:
    """What each wheel on a car has to read today."""
    found: dict[str, WheelLimits] = {}
    by_car: dict[str, list[str]] = defaultdict(list)
    for w in on:
        by_car[at[w][0]].append(w)
    for car_id, wheels in by_car.items():
        car, set_id = garage.cars[car_id], present.set_on(car_id)
        flat = garage.conditions.as_of == present.day and car_id in garage.conditions.flat_on
        if set_id is None:
            continue
        card = card_today(garage, car, set_id, present.day, Temperature(weather.today_k))
        found.update({wheel: replace(limit, flat=flat) for wheel, limit in _of_card(card)})
        for w in wheels:
            found.setdefault(w, WheelLimits(None, None, None, flat=flat))
    return found


def card_today(garage: Garage, car: Car, set_id: str, day: date, tyre: Temperature) -> AirCard:
    """The air card of a set as if its tyres were as warm as the air is now, and used so."""
    c = garage.conditions
    said = replace(c, tyre_temperature=tyre, temperature_of_use=tyre, looks_flat=None, coldest=None, warmest=None)
    return air_card(replace(garage, conditions=said), car, garage.sets[set_id], day)


def _of_card(card: AirCard) -> Iterator[tuple[str, WheelLimits]]:
    for w in card.wheels:
        lamps = [one.cold_limit for one in the_cars(w.lamp)]
        wanted = w.target.pressure
        least = w.target.need or GaugePressure(LOW_SHARE * wanted.kpa)
        yield w.wheel, WheelLimits(least, max(lamps) if lamps else None, w.gauge_shows)
