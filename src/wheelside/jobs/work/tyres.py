"""What is said of each tyre now, out of the book: one record for every screen, the calendar, sheets and proofs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from wheelside.air.atmosphere import SEA_LEVEL, standard_air
from wheelside.air.loss import OwnLoss
from wheelside.book.entry import View
from wheelside.book.events import filled_at, mended_at
from wheelside.book.journal import newest_entry
from wheelside.book.series import Series, series_of
from wheelside.fill.card import AirCard, air_card
from wheelside.fill.lamp import the_cars
from wheelside.garage.model import Car, Garage
from wheelside.garage.present import Present
from wheelside.garage.words import Corner
from wheelside.jobs.book.desk import Desk
from wheelside.units import GaugePressure, Length, Temperature
from wheelside.units.moment import Moment
from wheelside.watch.curve import TyreCurve
from wheelside.watch.judge import DAY_US, RefillAsked, Weather, WheelLimits, tyres_say
from wheelside.watch.record import NO_TEMPERATURE_K, record_of
from wheelside.watch.says import LOW_SHARE, TyreSays, TyreVerdict

BACK = timedelta(days=800)
"""How far back readings count."""
RECENT_DAYS = 35
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
class TyresNow:
    """All tyres, cars first; air that seems to have been let in; and by wheel its amount over time."""

    tyres: tuple[TyreAt, ...]
    asked: tuple[RefillAsked, ...]
    curves: Mapping[str, TyreCurve] = field(default_factory=dict)

    def on(self, car: str) -> tuple[TyreAt, ...]:
        """Those on a car, by corner."""
        return tuple(t for t in self.tyres if t.car == car)

    def asked_on(self, car: str) -> tuple[tuple[TyreAt, RefillAsked], ...]:
        """What is to be asked of the tyres on a car."""
        return tuple((t, one) for t in self.on(car) for one in self.asked if one.wheel == t.wheel)

    def of(self, wheel: str) -> TyreAt | None:
        """One of them."""
        return next((t for t in self.tyres if t.wheel == wheel), None)


def tyres_now(desk: Desk) -> TyresNow:
    """What is said of each tyre at this moment; worked out anew only where the book has changed, or the day. Raises Outside."""
    now, held = desk.clock(), desk.tyres
    with desk.book.reading() as conn:
        key = (newest_entry(conn), now.day)
        if held is not None and held[0] == key:
            found: TyresNow = held[1]
            return found
        garage = desk.loaded_in(conn).garage
        present = desk.present()
        found = all_tyres(conn, garage, present, now)
    desk.tyres = (key, found)
    return found


def all_tyres(conn: View, garage: Garage, present: Present, now: Moment) -> TyresNow:
    """What is said of each tyre of a garage by the readings of a book."""
    at = {w: (car.id, corner) for car in garage.car for corner, w in present.wheel_at(car.id).items()}
    heights = {p.id: p.height for p in garage.place if p.height is not None}
    usual = garage.conditions.height_here or next(iter(heights.values()), Length(0.0))
    since = now.us - BACK.days * DAY_US
    groups = _groups(garage, present.day)
    every = [w for wheels in groups.values() for w in wheels]
    series = series_of(conn, every, heights, since, now.us + DAY_US, usual)
    resets = mended_at(conn, every)
    answered = filled_at(conn, every)
    there = set(series.wheel.tolist())
    tyres: list[TyreAt] = []
    asked: list[RefillAsked] = []
    curves: dict[str, TyreCurve] = {}
    for set_id, wheels in groups.items():
        on = [w for w in wheels if w in at]
        if not there.intersection(wheels):
            tyres += [_unread(garage, set_id, w, at, garage.conditions.as_of == present.day) for w in on]
            continue
        record = record_of(
            wheels,
            series,
            resets={n: resets[w] for n, w in enumerate(wheels) if w in resets},
            bias_kpa=_biases(garage),
            reads_more_kpa=_known_biases(garage),
            offset_min=now.offset_min,
            climate_k=climate_of(garage),
        )
        weather = _weather(garage, series, wheels, usual, now)
        limits = _limits(garage, present, on, at, weather)
        said = tyres_say(record, now.us, present.day, limits, weather)
        curves.update({w: c for w, c in zip(wheels, said.curves, strict=True) if c is not None})
        asked += [one for one in said.asked if not _answered(one, answered.get(one.wheel, ()), now)]
        tyres += [_at(garage, set_id, one, at) for one in said.tyres if one.read_on is not None or one.wheel in at]
    return TyresNow(tuple(sorted(tyres, key=lambda t: _place(garage, t))), tuple(asked), curves)


def _answered(one: RefillAsked, moments: tuple[int, ...], now: Moment) -> bool:
    """Whether somebody has said of a rise what it was: within two days of it."""
    return any(abs((Moment(us, now.offset_min).day - one.day).days) <= ANSWERED_DAYS for us in moments)


def _groups(garage: Garage, day: date) -> dict[str, tuple[str, ...]]:
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


def _at(garage: Garage, set_id: str, one: TyreSays, at: dict[str, tuple[str, Corner]]) -> TyreAt:
    car, corner = at.get(one.wheel, (None, None))
    return TyreAt(one.wheel, garage.wheels[one.wheel].name, set_id, car, corner, one)


def _unread(garage: Garage, set_id: str, wheel: str, at: dict[str, tuple[str, Corner]], today: bool) -> TyreAt:
    flat = today and at[wheel][0] in garage.conditions.flat_on
    verdict = TyreVerdict.STOP if flat else TyreVerdict.NOT_PROVEN
    return _at(garage, set_id, TyreSays(wheel, verdict, flat=flat), at)


def _place(garage: Garage, t: TyreAt) -> tuple[int, int, int]:
    cars = [c.id for c in garage.car]
    corners = list(Corner)
    sets = [s.id for s in garage.set]
    return (
        cars.index(t.car) if t.car is not None else len(cars),
        sets.index(t.set),
        corners.index(t.corner) if t.corner is not None else 0,
    )


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


def _weather(garage: Garage, series: Series, wheels: tuple[str, ...], usual: Length, now: Moment) -> Weather:
    """The air today: by the newest reading of a temperature outside, else by what is said of today, else what is usual."""
    import numpy as np

    c = garage.conditions
    mine = np.isin(series.wheel, wheels) & np.isfinite(series.outside_k)
    mine &= series.at_us > now.us - RECENT_DAYS * DAY_US
    known = series.outside_k[mine]
    stated = c.tyre_temperature.kelvin if c.tyre_temperature is not None and c.as_of in (None, now.day) else None
    newest = float(known[np.argmax(series.at_us[mine])]) if len(known) else stated
    today_k = NO_TEMPERATURE_K if newest is None else newest
    morning = min(today_k, *([c.coldest.kelvin] if c.coldest is not None else []), *known.tolist()[-8:], today_k)
    air = (c.air_here or standard_air(usual)).kpa
    return Weather(today_k, air or SEA_LEVEL.kpa, morning, climate_of(garage))


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


def own_losses(now: TyresNow) -> dict[str, OwnLoss]:
    """How fast wheels lose, of those whose own readings tell it."""
    return {t.wheel: OwnLoss(*t.says.rate) for t in now.tyres if t.says.rate is not None}


def losing(tyres: Iterable[TyreAt]) -> tuple[TyreAt, ...]:
    """Those that are not to be driven on, too low, or lose air: the gravest first."""
    grave = [t for t in tyres if t.says.verdict in (TyreVerdict.STOP, TyreVerdict.TOO_LOW, TyreVerdict.LOSES)]
    return tuple(sorted(grave, key=lambda t: t.says.rank))
