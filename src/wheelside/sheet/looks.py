"""What age and wear say about the coming set, before any work goes into it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.words import ROAD_CORNERS, Season
from wheelside.sheet.context import Job
from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.wear import LEGAL_MM, TOO_OLD_YEARS, WORN_MM, WORN_WINTER_MM, YEARLY_YEARS

SENSOR_OLD_YEARS = 7
_TREAD = Basis(
    Ground.STANDARD,
    "1.6 mm in GB (C&U 1986 reg 27) and the EU (89/459/EEC); 4 mm winter tyres in Austria and New Zealand",
)
_AGE = Basis(Ground.PRACTICE, "a tyre maker: yearly check from 5 years, 10 years as ceiling; NHTSA sets no limit")
_LIFE = Basis(Ground.JUDGEMENT, "sensors: median life of eight to nine years")


def looks(job: Job) -> Iterator[Finding]:
    """Findings on missing wheels, and on fit, tread, tyre age and sensor age of the coming set."""
    lacking = [c.value for c in ROAD_CORNERS if c not in dict(job.coming.wheels)]
    if lacking:
        text = f"It names no wheel for: {', '.join(lacking)}. There is no sheet for a part of a set."
        way = "name a [[wheel]] for each corner in 'wheels'; it may be one of which nothing is known"
        yield Finding(Weight.FORBIDDEN, "missing-wheels", job.coming.name, text, (job.coming.basis("wheels"),), way)
    yield from _elsewhere(job)
    for corner, wheel in job.coming.wheels:
        about = f"{corner.value}, wheel {job.name(wheel)}"
        yield from _bolts(job, wheel, about)
        yield from _tread(job, wheel, about)
        yield from _age(job, wheel, about)
        yield from _sensor_age(job, wheel, about)


def _elsewhere(job: Job) -> Iterator[Finding]:
    """A set whose wheels are on another car: that one would be left without wheels."""
    cars = {w: job.now.car_with(w) for _, w in job.coming.wheels}
    other = next((c for c in cars.values() if c is not None and c != job.car.id), None)
    if other is None or job.on_stand:
        return
    name, coming = job.garage.cars[other].name, job.coming.name
    swap = any(c.car == other and job.going is not None and c.coming == job.going.id for c in job.now.open)
    text = f"Its wheels are on {name}, which would be left without."
    way = f"first put another set on {name}, then come back to this one"
    if swap:
        text = f"{name} and {job.car.name} are to swap their sets: one of them would stand without wheels meanwhile."
        way = (
            "put any other set on one of them first, or have both changed in one visit to a workshop; "
            "then say what is on each ('wears', or on each car's page)"
        )
    yield Finding(
        Weight.FORBIDDEN, "on-another-car", coming, text, (Basis(Ground.COMPUTED, "what is on the cars"),), way
    )


def _bolts(job: Job, wheel: str, about: str) -> Iterator[Finding]:
    """Only what is plainly impossible; whether a rim suits a car takes more than this."""
    rim, car = job.parts(wheel).rim, job.car
    if rim is None:
        return
    if rim.bolt_circle and car.bolt_circle and rim.bolt_circle != car.bolt_circle:
        text = f"The rim's bolt circle is {rim.bolt_circle.text}, the car's {car.bolt_circle.text}."
        basis = (rim.basis("bolt_circle"), car.basis("bolt_circle"))
        yield Finding(
            Weight.FORBIDDEN, "bolt-circle", about, text, basis, "do not fit it, even where force would make it go on"
        )
    if rim.centre_bore and car.centre_bore and rim.centre_bore < car.centre_bore:
        text = (
            f"The rim's centre bore of {rim.centre_bore.mm:g} mm does not go over the hub of {car.centre_bore.mm:g} mm."
        )
        basis = (rim.basis("centre_bore"), car.basis("centre_bore"))
        yield Finding(Weight.FORBIDDEN, "centre-bore", about, text, basis, "do not fit it")


def _tread(job: Job, wheel: str, about: str) -> Iterator[Finding]:
    tyre = job.parts(wheel).tyre
    if tyre is None or tyre.tread is None:
        return
    deep, shown = tyre.tread.mm, job.units.show_tread(tyre.tread)
    if deep < LEGAL_MM:
        yield Finding(
            Weight.FORBIDDEN,
            "tread",
            about,
            f"{shown} of tread is below the 1.6 mm that the law asks for in most places.",
            (_TREAD,),
            "do not fit it",
        )
    elif tyre.season is Season.WINTER and deep < WORN_WINTER_MM:
        yield Finding(
            Weight.WARNING,
            "tread",
            about,
            f"{shown} of tread is below the 4 mm that some countries ask of winter tyres.",
            (_TREAD,),
            "ask the local rule",
        )
    elif deep < WORN_MM:
        yield Finding(
            Weight.WARNING, "tread", about, f"{shown} of tread is little in the wet.", (_TREAD,), "plan for new tyres"
        )


def _age(job: Job, wheel: str, about: str) -> Iterator[Finding]:
    tyre = job.parts(wheel).tyre
    if tyre is None or tyre.date_code is None:
        return
    weeks = read_date_code(tyre.date_code)
    if len(weeks) > 1:
        made = " or ".join(str(w.first.year) for w in weeks)
        yield Finding(
            Weight.WARNING,
            "tyre-age",
            about,
            f"Date code {tyre.date_code} has three digits: made in {made}.",
            (_AGE,),
            "do not fit it",
        )
        return
    years = _years(weeks[0].first, job.day)
    if years >= TOO_OLD_YEARS:
        yield Finding(
            Weight.WARNING,
            "tyre-age",
            about,
            f"The tyre is {years} years old ({tyre.date_code}), past the usual ceiling of ten.",
            (_AGE,),
            "replace it, whatever its tread",
        )
    elif years >= YEARLY_YEARS:
        yield Finding(
            Weight.NOTE,
            "tyre-age",
            about,
            f"The tyre is {years} years old ({tyre.date_code}): look for cracks every year.",
            (_AGE,),
        )


def _sensor_age(job: Job, wheel: str, about: str) -> Iterator[Finding]:
    sensor = job.parts(wheel).sensor
    if sensor is None:
        return
    if sensor.battery:
        yield Finding(
            Weight.NOTE, "battery", about, f"Battery of {sensor.name}: {sensor.battery}.", (sensor.basis("battery"),)
        )
    planned = next((w for w in job.wheels if w.wheel == wheel), None)
    stays = planned is None or planned.action.value == "stays"
    if sensor.first_used and stays and (years := _years(sensor.first_used, job.day)) >= SENSOR_OLD_YEARS:
        text = f"{sensor.name} has been in use for {years} years; its battery is near the end that most reach."
        yield Finding(
            Weight.NOTE,
            "sensor-age",
            about,
            text,
            (_LIFE,),
            "when the tyre comes off anyway, change the sensor with it",
        )


def _years(since: date, until: date) -> int:
    return until.year - since.year - ((until.month, until.day) < (since.month, since.day))
