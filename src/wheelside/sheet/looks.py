"""What is said of the coming set before any work goes into it: whether it may go on the car, by the fit, and its age and wear."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.fit.may import at_wheel, may_go
from wheelside.garage.rates import sensor_life, sensor_life_basis
from wheelside.garage.words import ROAD_CORNERS, Season
from wheelside.said import Depth, Joined, Key, Said, Table, listed, say
from wheelside.sensor.life import age_years, near_end
from wheelside.sheet.context import Job
from wheelside.tyre.age import AGE, AgeStage, age_on, stage_of
from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.wear import LEGAL_MM, WORN_MM, WORN_WINTER_MM

_TREAD = Basis(
    Ground.STANDARD,
    "1.6 mm in GB (C&U 1986 reg 27) and the EU (89/459/EEC); 4 mm winter tyres in Austria and New Zealand",
)


def looks(job: Job) -> Iterator[Finding]:
    """Findings on missing wheels, on the fit, and on tread, tyre age and sensor age of the coming set."""
    lacking = [c.value for c in ROAD_CORNERS if c not in dict(job.coming.wheels)]
    if lacking:
        corners = listed(lacking, Joined.COMMA)
        text = say("It names no wheel for: {corners}. There is no sheet for a part of a set.", corners=corners)
        key = Key("set", "wheels", job.coming.id)
        way = note(say("name a wheel for each corner in {key}; it may be one of which nothing is known", key=key))
        yield Finding(Weight.FORBIDDEN, "missing-wheels", job.coming.name, text, (job.coming.basis("wheels"),), way)
    yield from _elsewhere(job)
    if not job.on_stand:
        yield from may_go(job.garage, job.car, job.coming, job.plan.day)
    for corner, wheel in job.coming.wheels:
        about = at_wheel(corner, job.name(wheel))
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
    text = say("Its wheels are on {other}, which would be left without.", other=name)
    way = say("first put another set on {other}, then come back to this one", other=name)
    if swap:
        text = say(
            "{other} and {car} are to swap their sets: one of them would stand without wheels meanwhile.",
            other=name, car=job.car.name,
        )  # fmt: skip
        way = say(
            "put any other set on one of them first, or have both changed in one visit to a workshop; then say what is on each: {seen}",
            seen=Table("seen"),
        )  # fmt: skip
    basis = (Basis(Ground.COMPUTED, "what is on the cars"),)
    yield Finding(Weight.FORBIDDEN, "on-another-car", coming, text, basis, Way(WayKind.WORK, way))


def _tread(job: Job, wheel: str, about: Said) -> Iterator[Finding]:
    tyre = job.parts(wheel).tyre
    if tyre is None or tyre.tread is None:
        return
    deep, shown = tyre.tread.mm, Depth(tyre.tread)
    if deep < LEGAL_MM:
        return
    if tyre.season is Season.WINTER and deep < WORN_WINTER_MM:
        yield Finding(
            Weight.WARNING,
            "tread",
            about,
            say("{depth} of tread is below the 4 mm that some countries ask of winter tyres.", depth=shown),
            (_TREAD,),
            Way(WayKind.FIND_OUT, say("ask the local rule")),
        )
    elif deep < WORN_MM:
        text = say("{depth} of tread is little in the wet.", depth=shown)
        yield Finding(Weight.WARNING, "tread", about, text, (_TREAD,), Way(WayKind.BUY, say("plan for new tyres")))


def _age(job: Job, wheel: str, about: Said) -> Iterator[Finding]:
    tyre = job.parts(wheel).tyre
    if tyre is None or tyre.date_code is None:
        return
    code, weeks = tyre.date_code, read_date_code(tyre.date_code)
    years = age_on(weeks, job.day).most
    stage = stage_of(years)
    if len(weeks) > 1:
        made = listed((w.first.year for w in weeks), Joined.OR)
        text = say("Date code {code} has three digits: made in {made}.", code=code, made=made)
        yield Finding(Weight.WARNING, "tyre-age", about, text, (AGE,), Way(WayKind.LEAVE, say("do not fit it")))
    elif stage is AgeStage.TOO_OLD:
        text = say("The tyre is {years} years old ({code}), past the usual ceiling.", years=int(years), code=code)
        way = Way(WayKind.BUY, say("replace it, whatever its tread"))
        yield Finding(Weight.WARNING, "tyre-age", about, text, (AGE,), way)
    elif stage is not AgeStage.YOUNG:
        text = say("The tyre is {years} years old ({code}): look for cracks every year.", years=int(years), code=code)
        yield Finding(Weight.NOTE, "tyre-age", about, text, (AGE,))


def _sensor_age(job: Job, wheel: str, about: Said) -> Iterator[Finding]:
    sensor = job.parts(wheel).sensor
    if sensor is None:
        return
    if sensor.battery:
        text = say("Battery of {sensor}: {battery}.", sensor=sensor.name, battery=sensor.battery)
        yield Finding(Weight.NOTE, "battery", about, text, (sensor.basis("battery"),))
    planned = next((w for w in job.wheels if w.wheel == wheel), None)
    stays = planned is None or planned.action.value == "stays"
    if sensor.first_used is None or not stays:
        return
    years = age_years(sensor.first_used, job.day)
    if near_end(years, sensor_life(job.garage)):
        pattern = "{sensor} has been in use for {n} years; its battery is near the end that most reach."
        text = say(pattern, sensor=sensor.name, n=int(years))
        way = Way(WayKind.WORK, say("when the tyre comes off anyway, change the sensor with it"))
        yield Finding(Weight.NOTE, "sensor-age", about, text, (sensor_life_basis(job.garage),), way)
