"""What is due when: changes of wheels, torque, pressure checks, and the ages of sensors and tyres."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.book.events import last_gauged
from wheelside.book.jobs import jobs_of
from wheelside.errors import Outside
from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.fit.treads import made_week, wear_of_set
from wheelside.garage.joined import parts_on
from wheelside.garage.lasting import car_for, first_used, set_lives
from wheelside.garage.model import Garage, Sensor, Tyre
from wheelside.garage.offers import without_offers
from wheelside.garage.present import Present
from wheelside.garage.rates import sensor_life, sensor_life_basis
from wheelside.garage.season import set_on
from wheelside.identity.later import by_day, occasion
from wheelside.identity.naming import wheels_named
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.doing import Doing, doing_in
from wheelside.jobs.work.low_batteries import low_days
from wheelside.jobs.work.outlook_said import over_placard, sensors_said, tread_said
from wheelside.jobs.work.season_ahead import SetAhead, season_ahead
from wheelside.jobs.work.season_said import ahead_said
from wheelside.jobs.work.tyres import TyresNow, tyres_now
from wheelside.rim.fasten import RETORQUE_KM, retorque_after, retorque_on
from wheelside.said import Coded, Depth, Figure, Said, say
from wheelside.sensor.life import near_end_on, plan_from
from wheelside.sheet.answers import odometer_read
from wheelside.sheet.ask import Tells
from wheelside.sheet.claim import Kept
from wheelside.sheet.progress import StepState
from wheelside.sheet.step import Does
from wheelside.tyre.age import AGE, next_look, too_old_on
from wheelside.tyre.date_code import MadeWeek
from wheelside.tyre.wear import WEAR
from wheelside.units import Length
from wheelside.units.moment import Moment
from wheelside.units.quantity import KMH_PER_MPH
from wheelside.watch.says import BASIS as SAYS
from wheelside.watch.says import more, short

CHECK_EVERY = timedelta(weeks=4)
"""Where the owner names no time for the next check: monthly, common practice."""
AHEAD = timedelta(days=500)
_SEASON, _PLAN = Basis(Ground.OWNER, "season line"), Basis(Ground.COMPUTED, "this plan")


class Matter(Coded):
    """What is due."""

    CHANGE = "change", "{coming} goes on {car}"
    CHECK = "check", "Check the pressures of {car}"
    RETORQUE = "retorque", "Torque the wheels of {car} again"
    LAMP = "lamp", "Is the lamp of {car} still off?"
    SENSORS = "sensors", "Sensors of {set} are {years} years old"
    TYRE_LOOK = "tyre-look", "Look over the tyres of {set}, {years} years old"
    WRITE = "write", "Write sensors of {set}"
    LOOK_AGAIN = "look-again", "Check {wheel} again"
    TYRE_SAYS = "tyre-says", "{wheel} {says}"
    TREAD = "tread", "Tyres of {set} reach {depth} of tread"
    TYRE_CEILING = "tyre-ceiling", "Tyres of {set} are {years} years old"
    SEASON = "season", "Get {coming} ready for {car}"


@dataclass(frozen=True, slots=True)
class Due:
    """One thing that is due on a day. `about`: the ids of what it is about; `title`: the words of the matter with their values.
    `link`: the page that it is about."""

    day: date
    matter: Matter
    about: tuple[str, ...]
    title: Said
    text: Said
    link: str
    basis: Basis

    @property
    def uid(self) -> str:
        """A name that stays while what is due, and for what, stays: its date and its words may change."""
        return hashlib.sha256("|".join((self.matter.value, *self.about)).encode()).hexdigest()[:24]


def _due(
    day: date, matter: Matter, about: tuple[str, ...], text: Said, link: str, basis: Basis, **names: object
) -> Due:
    return Due(day, matter, about, say(matter.words, **names), text, link, basis)


def agenda(desk: Desk) -> tuple[Due, ...]:
    """Everything that is due, overdue things first."""
    ahead, read = season_ahead(desk), tyres_now(desk)
    return desk.once("agenda", lambda: _agenda(desk, ahead, read), whole=read.whole)


def _agenda(desk: Desk, ahead: tuple[SetAhead, ...], read: TyresNow) -> tuple[Due, ...]:
    today = desk.clock().day
    with desk.book.reading() as conn:
        garage = without_offers(desk.loaded_in(conn).garage)
        gauged = last_gauged(conn)
        open_jobs = [doing_in(conn, row.id) for row in jobs_of(conn) if row.outcome is None]
        ended = [doing_in(conn, row.id) for row in jobs_of(conn)[:20] if row.outcome == "finished"]
    now, low = Present(garage, today, today + AHEAD), low_days(desk)
    found = [
        *_changes(now),
        *_writings(garage, desk),
        *_checks(now, gauged, desk.clock()),
        *desk.once("sensors due", lambda: tuple(_sensors(now, low)), of=tuple(low.items())),
        *_tyres(garage, today),
        *_treads(now, read),
        *_seasons(garage, ahead, today),
    ]
    found += _of_tyres(garage, read, today)
    for one in (*open_jobs, *ended):
        found += _after_the_job(one, today)
    return tuple(sorted(found, key=lambda d: (d.day, d.matter, d.about)))


def _of_tyres(garage: Garage, now: TyresNow, today: date) -> Iterator[Due]:
    """What is said of tyres: what is to be done today, of those on no car too, and for those on cars the days on which to look again."""
    for t in now.tyres:
        if not t.read or (t.car is not None and garage.cars[t.car].somebody_elses):
            continue
        if t.says.grave:
            text = say("{says}.", says=more(t.says)) if t.says.loss is not None else say("Look at it today.")
            name: object = (
                t.name if t.car is not None else say("{wheel} of {set}", wheel=t.name, set=garage.sets[t.set].name)
            )
            link = f"/gauge/leak/{t.wheel}"
            yield _due(today, Matter.TYRE_SAYS, (t.wheel,), text, link, SAYS, wheel=name, says=short(t.says, today))
        elif t.car is not None and t.says.again is not None and t.says.again > today:
            text = say("Until then nothing is proven of it.")
            yield _due(t.says.again, Matter.LOOK_AGAIN, (t.wheel,), text, f"/gauge?car={t.car}", SAYS, wheel=t.name)


_TORQUED = (Does.TORQUE, Does.SHOP_SWAPS, Does.CHANGE_TYRE)
"""Steps after which fasteners are torqued again some days later."""
RECENT = timedelta(days=30)
"""So long after the work what is left of a job is still told."""


def _after_the_job(one: Doing, today: date) -> Iterator[Due]:
    """What is left of a job for later: torque once more, by the odometer where that was noted, and the look at the lamp in a week."""
    torqued = next((done for does in _TORQUED if (done := _done(one, does)) is not None), None)
    step = _open(one, Does.TORQUE_AGAIN)
    if step is not None and torqued is not None and torqued.claim.at.day > today - RECENT:
        text = say("{when}, cold, on the ground, crosswise, to the car's own figure.", when=_when(one))
        yield _due(
            retorque_on(torqued.claim.at.day), Matter.RETORQUE, (one.row.id,), text, f"/jobs/{one.row.id}", step.step.basis,
            car=one.start.car_name,
        )  # fmt: skip
    driven, look = _done(one, Does.START_AGAIN), _open(one, Does.LOOK_LATER)
    if look is not None and driven is not None and driven.claim.at.day > today - RECENT:
        text = say("After six starts or a week: a sensor's silence is missed late.")
        day = driven.claim.at.day + timedelta(weeks=1)
        yield _due(
            day, Matter.LAMP, (one.row.id,), text, f"/jobs/{one.row.id}", COMMON_PRACTICE, car=one.start.car_name
        )


def _open(one: Doing, does: Does) -> StepState | None:
    return next((s for s in one.states if s.step.does is does and s.called and not s.finished), None)


def _done(one: Doing, does: Does) -> Kept | None:
    return next((s.kept for s in one.states if s.step.does is does and s.finished), None)


def _when(one: Doing) -> Said:
    """After which distance, or at which figures of the odometer that was noted last before the work ended."""
    noted = [
        a.said
        for s in one.states
        if s.step.does in (Does.LOOK, Does.TORQUE)
        for a in s.answers
        if a.ask.tells is Tells.ODOMETER
    ]
    read = [distance for said in noted if (distance := odometer_read(said)) is not None]
    if not read:
        return say("{after}", after=retorque_after().capitalize())
    per = KMH_PER_MPH if one.start.units.speed == "mph" else 1.0
    least, most = (read[-1] + round(km / per) for km in RETORQUE_KM)
    return say("At {least} to {most} on the odometer", least=Figure(least, 0), most=Figure(most, 0))


def _changes(now: Present) -> Iterator[Due]:
    """The changes that are due by now, and those that the season line has ahead."""
    garage = now.garage
    due = [(one.due or now.day, one.car, one.coming) for one in now.open]
    assumed = {(one.car, one.coming) for one in now.open if one.assumed}
    ahead = [(s.since, s.on, s.set) for s in now.line if s.on is not None and s.since > now.day]
    open_now = {(one.car, one.coming, now.next_day) for one in now.open}
    for day, car, coming in (*due, *ahead):
        before = set_on(now.line, car, day - timedelta(days=1)) if day > now.day else None
        if coming == before or (car, coming, day) in open_now:
            continue
        text = say("The season line has this change.") if day >= now.day else say("It is still to be done.")
        if day < now.day and (car, coming) in assumed:
            text = say("Nobody has said that it was done.")
        names = {"coming": garage.sets[coming].name, "car": garage.cars[car].name}
        yield _due(day, Matter.CHANGE, (car, coming, str(day.year)), text, f"/things/car/{car}", _SEASON, **names)


def _seasons(garage: Garage, ahead: tuple[SetAhead, ...], today: date) -> Iterator[Due]:
    """One line for each set that goes on and needs something before, fourteen days ahead."""
    for one in ahead:
        if one.is_on or not one.anything or one.remind > today + AHEAD:
            continue
        text = ahead_said(garage, one)
        names = {"coming": garage.sets[one.set].name, "car": garage.cars[one.car].name}
        yield _due(one.remind, Matter.SEASON, (one.car, one.set), text, "/shopping", _PLAN, **names)


def _writings(garage: Garage, desk: Desk) -> Iterator[Due]:
    """The later days on which the plan has sensors written; none where no plan is found in time."""
    try:
        plan = desk.plan()
    except Outside:
        return
    later = by_day(garage, plan.line, plan.wheels)
    for n, ((day, set_id), wheels) in enumerate(later.items()):
        times = sum(name == set_id for _, name in list(later)[:n])
        names, name = wheels_named(garage, wheels), garage.sets[set_id].name
        text = say("{wheels}, {occasion}.", wheels=names, occasion=occasion(garage, plan.line, set_id, day))
        yield _due(day, Matter.WRITE, (set_id, str(times)), text, "/jobs", _PLAN, set=name)


def _checks(now: Present, gauged: dict[str, int], at: Moment) -> Iterator[Due]:
    garage, offset_min = now.garage, at.offset_min
    wished = garage.conditions.next_check
    every = timedelta(seconds=wished.seconds) if wished else CHECK_EVERY
    basis = garage.conditions.basis("next_check") if wished else COMMON_PRACTICE
    for car in garage.own_cars:
        known = [gauged[w] for w in now.wheel_at(car.id).values() if w in gauged]
        if known:
            last = Moment(min(known), offset_min).day
            text = say("The oldest reading of a wheel that is on is of {last}.", last=last)
            yield _due(last + every, Matter.CHECK, (car.id,), text, f"/air?car={car.id}", basis, car=car.name)


def _fitted(garage: Garage, today: date) -> Iterator[tuple[str, Tyre | None, Sensor | None]]:
    for wheel_set in garage.set:
        if wheel_set.gone_by(today):
            continue
        for _, wheel in wheel_set.wheels:
            parts = parts_on(garage, wheel, today)
            yield wheel_set.id, parts.tyre, parts.sensor


def _sensors(now: Present, low_since: Mapping[str, date]) -> Iterator[Due]:
    """One line a set: when its oldest sensor reaches the age from which they fail, how likely one fails soon, and what renewing costs."""
    garage, today = now.garage, now.day
    oldest: dict[str, date] = {}
    for set_id, _, sensor in _fitted(garage, today):
        days = first_used(sensor) if sensor is not None else None
        if days is not None:
            oldest[set_id] = min(days[0], oldest.get(set_id, days[0]))
    life, lives = sensor_life(garage), set_lives(now, low_since)
    for set_id, first in oldest.items():
        text = say("The oldest was first used on {first}.", first=first)
        if set_id in lives:
            text = say("{text} {lasting}", text=text, lasting=sensors_said(now, lives[set_id]))
        yield _due(
            near_end_on(first, life), Matter.SENSORS, (set_id, str(first)), text, f"/things/set/{set_id}", sensor_life_basis(garage),
            set=garage.sets[set_id].name, years=plan_from(life),
        )  # fmt: skip


def _tyres(garage: Garage, today: date) -> Iterator[Due]:
    """One line a set: the next yearly look at its oldest tyre, and the day on which that is at the ceiling."""
    oldest: dict[str, MadeWeek] = {}
    for set_id, tyre, _ in _fitted(garage, today):
        made = made_week(tyre)
        if made is not None:
            oldest[set_id] = min(made, oldest.get(set_id, made), key=lambda week: week.first)
    for set_id, made in oldest.items():
        name, link = garage.sets[set_id].name, f"/things/set/{set_id}"
        text = say("The oldest was made in the week of {made}. Look for cracks and damage.", made=made.first)
        about = (set_id, str(made.first))
        look, (ceiling, at_ceiling) = next_look(made, today), too_old_on(made)
        if look is not None:
            years = look[0]
            yield _due(look[1], Matter.TYRE_LOOK, (*about, str(years)), text, link, AGE, set=name, years=years)
        yield _due(at_ceiling, Matter.TYRE_CEILING, about, text, link, AGE, set=name, years=Figure(ceiling))


def _treads(now: Present, read: TyresNow) -> Iterator[Due]:
    """One line a set whose treads were measured on several days: when the first of its tyres is used up."""
    for wheel_set in now.garage.set:
        car = car_for(now, wheel_set.id)
        worn = () if wheel_set.gone_by(now.day) else wear_of_set(now.garage, wheel_set, car, now.day)
        if worn and car is not None:
            depth, name = Depth(Length(worn[0].used_up.mm)), wheel_set.name
            text = tread_said(worn, car, over_placard(worn, car, read))
            yield _due(
                worn[0].used_up.day, Matter.TREAD, (wheel_set.id,), text, f"/things/set/{wheel_set.id}", WEAR,
                set=name, depth=depth,
            )  # fmt: skip
