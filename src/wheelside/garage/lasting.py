"""What is known of the sensors of each set, as `sensor.outlook` asks for it: those that serve, and those that a garage has had."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Sensor
from wheelside.garage.present import Present
from wheelside.garage.rates import sensor_life
from wheelside.sensor.life import age_years
from wheelside.sensor.outlook import Batch, Departed, LifeScale, Outlook, Serving, nodes_of, outlook, use_of
from wheelside.units.quantity import DAYS_PER_YEAR

YEAR = timedelta(days=365)
MOST_OF_THE_YEAR = 0.75
"""A set that is on a car for no more of the year than that counts as used half the year; judgement."""

ABOUT_NOW = timedelta(days=14)
"""A change so near is being made; one asks about the time after it; judgement."""


@dataclass(frozen=True, slots=True)
class SetLives:
    """The sensors of a set that serve, by the wheels they are in, with all that the record says of them."""

    set: str
    wheels: tuple[str, ...]
    batch: Batch
    nodes: tuple[LifeScale, ...]

    def within(self, years: float) -> Outlook:
        """The chance that each of them, and any, fails within so many years."""
        return outlook(self.batch, self.nodes, years)


def set_lives(now: Present, low_since: Mapping[str, date] | None = None) -> dict[str, SetLives]:
    """The lives of the sensors of every set that is not gone, as far as it is known since when they are used.

    A wheel of several sets counts for the first of them by id. A sensor that gave no answer when last triggered is not among those that
    serve, nor does it count as failed before it is gone. `low_since`: by id of sensor the day on which it first said that its battery is low,
    where that is known; without it that counts from today.
    """
    garage, today = now.garage, now.day
    home = _homes(garage, today)
    lows = low_since or {}
    serving: dict[str, list[tuple[str, Serving]]] = {}
    ended: dict[str, list[Departed]] = {}
    for sensor, wheel, set_id in _mounted(garage, today, home):
        ages = _ages(sensor, today)
        if ages is not None and sensor.answers is not False and not sensor.gone:
            low_years = years_from(lows.get(sensor.id, today), today)
            one = Serving(*ages, use_at(now, set_id), bool(sensor.battery_low), len(set(sensor.cold_silent)), low_years)
            serving.setdefault(set_id, []).append((wheel, one))
    for set_id, departed in _over(now, home):
        ended.setdefault(set_id, []).append(departed)
    names = sorted({*serving, *ended})
    batches = [Batch(tuple(s for _, s in serving.get(n, ())), tuple(ended.get(n, ()))) for n in names]
    nodes = nodes_of(batches, sensor_life(garage))
    return {
        n: SetLives(n, tuple(w for w, _ in serving[n]), b, k)
        for n, b, k in zip(names, batches, nodes, strict=True)
        if n in serving
    }


def first_used(sensor: Sensor) -> tuple[date, date] | None:
    """The first and the last day on which it may have been used first; None where that is not known.

    >>> first_used(Sensor(id="s", first_used_year=2019))
    (datetime.date(2019, 1, 1), datetime.date(2019, 12, 31))
    """
    if sensor.first_used is not None:
        return sensor.first_used, sensor.first_used
    year = sensor.first_used_year
    return (date(year, 1, 1), date(year, 12, 31)) if year is not None else None


def use_at(now: Present, set_id: str) -> float:
    """How fast the sensors of a set age, by the season line of the year to come and by where the car stands that it goes on."""
    garage, end = now.garage, now.day + YEAR
    on = [s for s in now.line if s.set == set_id and s.on is not None and s.since < end]
    days = sum((min(s.until, end) - max(s.since, now.day)).days for s in on)
    car = car_for(now, set_id)
    place = garage.places.get(car.stands_at or "") if car else None
    return use_of(
        half_year=bool(on) and days <= MOST_OF_THE_YEAR * YEAR.days,
        hot=bool(place and place.hot),
        garage_kept=bool(place and place.open_air is False),
    )


def car_for(now: Present, set_id: str) -> Car | None:
    """The car that a set is on or goes on next, else the one that it is meant for; None where nothing says so."""
    on = next((s.on for s in now.line if s.set == set_id and s.on is not None), None)
    return now.garage.cars.get(on or now.garage.sets[set_id].goes_on or "")


def comes_off(now: Present, set_id: str) -> date | None:
    """The day of the next change that takes a set off a car, but for one within `ABOUT_NOW`. None: no such day on the line."""
    ends = (s.until for s in now.line if s.set == set_id and s.on is not None)
    return min((day for day in ends if now.day + ABOUT_NOW < day < now.end), default=None)


def _homes(garage: Garage, today: date) -> dict[str, str]:
    """For each wheel the set that its sensors count for: the first by id that is not gone, else the first."""
    home: dict[str, str] = {}
    for wheel_set in sorted(garage.set, key=lambda s: (s.gone_by(today), s.id)):
        for _, wheel in wheel_set.wheels:
            home.setdefault(wheel, wheel_set.id)
    return home


def _mounted(garage: Garage, today: date, home: dict[str, str]) -> Iterator[tuple[Sensor, str, str]]:
    for wheel, set_id in home.items():
        sensor = parts_on(garage, wheel, today).sensor
        if sensor is not None and not garage.sets[set_id].gone_by(today):
            yield sensor, wheel, set_id


def _over(now: Present, home: dict[str, str]) -> Iterator[tuple[str, Departed]]:
    """The sensors whose time with the owner is over, by the set that they were in last, or by themselves."""
    garage = now.garage
    last = {j.sensor: home[w.id] for w in garage.wheel if w.id in home for j in w.joined if j.sensor}
    for sensor in garage.sensor:
        set_id = last.get(sensor.id)
        leaves = garage.sets[set_id].leaves if set_id else None
        end = min((day for day in (sensor.gone, leaves) if day is not None and day <= now.day), default=None)
        ages = _ages(sensor, end) if end is not None else None
        if ages is not None:
            failed = sensor.answers is False and sensor.gone == end
            kept = set_id is not None and leaves is None
            yield (
                set_id or f"sensor {sensor.id}",
                Departed(*ages, failed, use_at(now, set_id) if set_id and kept else 1.0),
            )


def _ages(sensor: Sensor, day: date) -> tuple[float, float] | None:
    """The least and the most years for which it has been used on a day."""
    days = first_used(sensor)
    if days is None:
        return None
    return age_years(days[1], day), age_years(days[0], day)


def years_from(today: date, day: date) -> float:
    """The years from one day until another, 0 where that is past."""
    return max(0, (day - today).days) / DAYS_PER_YEAR
