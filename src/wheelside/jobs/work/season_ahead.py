"""What is to be bought, booked and tried before a set goes on a car, in time for it: for Now, the calendar and the shopping list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.errors import Outside
from wheelside.fit.gather import worn_at
from wheelside.fit.treads import made_week, measured_by, wear_of_set
from wheelside.garage.ids import car_band, proven_different
from wheelside.garage.joined import parts_on
from wheelside.garage.lasting import ABOUT_NOW, SetLives, set_lives, years_from
from wheelside.garage.model import Car, Garage, Sensor, Tyre, WheelSet
from wheelside.garage.offers import without_offers
from wheelside.garage.present import Present, present
from wheelside.garage.season import Spell
from wheelside.garage.words import ROAD_CORNERS, Corner
from wheelside.identity.choice import GOT, FreshFrom
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.garagedesk import BookDesk, GarageDesk, Where, at_desk
from wheelside.jobs.source import now, today
from wheelside.jobs.work.audited import audited
from wheelside.jobs.work.low_batteries import low_days, low_days_in
from wheelside.jobs.work.tyres import TyresNow, all_tyres, tyres_now
from wheelside.said import Coded, Depth, Figure, Joined, Said, listed, say
from wheelside.tyre.age import too_old_on
from wheelside.units import GaugePressure, Length, Money

AHEAD_DAYS = 14
"""So long before a change one is told: a sensor is sent and a shop has a day by then; judgement."""
LIKELY = 0.3
"""From this chance on of failing before its set comes off a sensor is bought beforehand; judgement."""
NEW_MM, UNEVEN_MM = 8.0, 3.0
"""How deep a new tyre's tread is, and from which difference on, exceeded, the other tyre of its axle is named with it; judgement."""
_YEAR = timedelta(days=365)


class Ware(Coded):
    """What is bought."""

    SENSOR = "sensor"
    KIT = "kit", "valve kit"
    TYRE = "tyre"
    RINGS = "rings", "set of centring rings"
    FASTENERS = "fasteners", "set of bolts or nuts for its rims"
    VALVE = "valve"
    WRITER = "writer", "writer for given IDs"


@dataclass(frozen=True, slots=True)
class ToBuy:
    """So many of one ware, for which wheels, by which day. `kind`: which one, None where nothing is known of that.

    `each`: what the owner says that one costs; None where nothing is said.
    """

    ware: Ware
    count: int
    wheels: tuple[str, ...]
    by: date
    kind: Said | None = None
    each: Money | None = None


@dataclass(frozen=True, slots=True)
class SinceStored:
    """A set that was read as it was put by: since when it lies, when it was read, and between which figures its tyres should read today, cold."""

    since: date
    read_on: date
    least: GaugePressure
    most: GaugePressure


@dataclass(frozen=True, slots=True)
class SetAhead:
    """One set that goes on a car on a day, or is on it since then. `until`: the day on which it comes off, a year on where none is known.

    `trigger`: wheels whose sensors are to be triggered now; `tyre_off`: those for a shop; `why`: by wheel why something is done.
    `across`: wheels across from a new tyre that may want one, too, in none of the counts.
    """

    set: str
    car: str
    day: date
    is_on: bool
    until: date
    trigger: tuple[str, ...]
    buy: tuple[ToBuy, ...]
    tyre_off: tuple[str, ...]
    why: tuple[tuple[str, Said], ...]
    stored: SinceStored | None
    across: tuple[str, ...] = ()

    @property
    def anything(self) -> bool:
        """Whether there is anything to do beforehand."""
        return bool(self.trigger or self.buy or self.tyre_off)

    @property
    def remind(self) -> date:
        """The day from which on one is told."""
        return self.day - timedelta(days=AHEAD_DAYS)

    def near(self, today: date) -> bool:
        """Whether it goes on within the time for which one is told, or was to."""
        return not self.is_on and self.remind <= today


def season_ahead(desk: Desk) -> tuple[SetAhead, ...]:
    """Every set of an open book that is on a car or goes on one, the next first; none where no plan is found in time."""
    try:
        plan = desk.plan()
    except Outside:
        return ()
    read, low = tyres_now(desk), low_days(desk)
    of = (plan, read, tuple(low.items()))
    return desk.once("season", lambda: sets_ahead(desk.present(), plan, read, low), of=of, whole=read.whole)


@dataclass(frozen=True, slots=True)
class Shopping:
    """What is to be had for all sets of a garage on a day. `possible`: whether there is a plan that says which sensors are needed."""

    garage: Garage
    day: date
    possible: bool
    sets: tuple[SetAhead, ...]

    @property
    def buy(self) -> tuple[tuple[SetAhead, ToBuy], ...]:
        """All that is bought, what is needed first before all else."""
        return tuple(sorted(((one, each) for one in self.sets for each in one.buy), key=lambda pair: pair[1].by))


def shopping(desk: Desk) -> Shopping:
    """The shopping list of an open book."""
    garage, day = desk.present().garage, desk.clock().day
    try:
        possible = desk.plan().possible
    except Outside:
        possible = False
    return Shopping(garage, day, possible, season_ahead(desk))


def shopping_at(where: Where, *, day: date | None = None) -> Shopping:
    """The shopping list of a garage file or a book on a day, today where None; readings count where it is today. Raises Mendable, Outside."""
    on = day or today()

    def work(desk: GarageDesk) -> Shopping:
        garage = without_offers(desk.load().garage)
        here, plan = present(garage, on), audited(garage, on, desk.reserved(), ())
        if not isinstance(desk, BookDesk) or day is not None:
            return Shopping(garage, on, plan.possible, sets_ahead(here, plan))
        read, low = all_tyres(desk.conn, garage, here, now()), low_days_in(desk.conn, garage, now())
        return Shopping(garage, on, plan.possible, sets_ahead(here, plan, read, low))

    return at_desk(where, work)


def sets_ahead(
    there: Present, plan: IdentityPlan, tyres: TyresNow | None = None, low_since: Mapping[str, date] | None = None
) -> tuple[SetAhead, ...]:
    """Every set that is on one of the owner's cars or goes on one, the next first. A wheel of several sets counts for the first of them.

    `tyres`: what is said of tyres by readings; `low_since`: since when sensors say that their battery is low; None where there are no readings.
    """
    asked, cars = _Asked(there, plan, tyres or TyresNow((), ()), low_since), there.garage.cars
    return tuple(
        asked.of(set_id, cars[car], day, until, is_on=is_on)
        for day, is_on, set_id, car, until in sorted(_mounts(there))
    )


def _mounts(there: Present) -> Iterator[tuple[date, bool, str, str, date]]:
    """Of each set the spell on a car that it is in, or the next one: from when, whether it is on, which set and car, until when.

    A set that is about to come off counts for the next time that it goes on.
    """
    dues = {(one.car, one.coming): one.due or there.day for one in there.open}
    mine: dict[str, list[Spell]] = {}
    for spell in there.line:
        if spell.on is not None and not there.garage.cars[spell.on].somebody_elses:
            mine.setdefault(spell.set, []).append(spell)
    for set_id, mounts in mine.items():
        on_now = there.set_on(mounts[0].on or "") == set_id
        near = mounts[0].until <= there.day + ABOUT_NOW
        leaves = on_now and near and len(mounts) > 1 and mounts[1].since > mounts[0].until
        spell = mounts[1] if leaves else mounts[0]
        is_on, car = on_now and not leaves, spell.on or ""
        day = there.day if is_on else dues.get((car, set_id), max(spell.since, there.day))
        off = spell.until if spell.until < there.end else max(day, there.day) + _YEAR
        yield day, is_on, set_id, car, off


@dataclass(frozen=True, slots=True)
class _Need:
    """What one wheel needs, and why."""

    wheel: str
    ware: Ware
    why: Said
    kind: Said | None = None
    in_hand: bool = False
    by: date | None = None


class _Asked:
    """Goes from set to set, the next first, and remembers which wheels are counted and how many sensors in hand are left."""

    def __init__(
        self, there: Present, plan: IdentityPlan, tyres: TyresNow, low_since: Mapping[str, date] | None
    ) -> None:
        self.now, self.garage, self.tyres = there, there.garage, tyres
        self.planned = {w.wheel: w for w in plan.wheels}
        self.left = sum(b.count for b in self.garage.blank) - sum(w.in_hand for w in plan.wheels)
        self.lives = _by_wheel(set_lives(there, low_since))
        self.chances: dict[tuple[str, date], tuple[float, ...]] = {}
        self.counted: set[str] = set()

    def of(self, set_id: str, car: Car, day: date, until: date, *, is_on: bool) -> SetAhead:
        wheel_set = self.garage.sets[set_id]
        mine = [(c, w) for c, w in wheel_set.wheels if w not in self.counted]
        self.counted |= {w for _, w in mine}
        watched = [w for c, w in mine if c in car.monitored_corners] if car.planned else []
        trigger = [(w, asks) for w in watched if (asks := _asks_again(self._sensor(w))) is not None]
        sensors = list(self._sensors(watched, car, until))
        tyres = list(self._tyres(wheel_set, car, until, {w for _, w in mine}))
        across = list(self._across(wheel_set, {n.wheel for n in tyres}))
        off = {n.wheel for n in (*sensors, *tyres)}
        by = max(day, self.now.day)
        goods = [
            *_grouped([n for n in sensors if not n.in_hand], by, self.garage.costs.sensor),
            *_kits(sensors, by, self.garage.costs.kit),
            *_grouped(tyres, by, None),
            *self._writer(watched, by),
            *(() if is_on else self._for_rims(wheel_set, car, by)),
        ]
        why = (*trigger, *((n.wheel, n.why) for n in (*sensors, *tyres)), *across)
        return SetAhead(
            set_id, car.id, day, is_on, until, tuple(w for w, _ in trigger), tuple(goods), tuple(w for _, w in mine if w in off),
            _together(why), None if is_on else self._stored(set_id, mine), tuple(w for w, _ in across),
        )  # fmt: skip

    def _sensor(self, wheel: str) -> Sensor | None:
        return parts_on(self.garage, wheel, self.now.day).sensor

    def _sensors(self, wheels: list[str], car: Car, until: date) -> Iterator[_Need]:
        """Those that the plan changes, and those that are likely to fail while the set is on."""
        for wheel in wheels:
            w, sensor = self.planned.get(wheel), self._sensor(wheel)
            if w is not None and w.refit:
                yield _Need(wheel, Ware.SENSOR, _changed(self.garage, sensor, car), self._kind(car, w), w.in_hand)
                continue
            chance = self._chance(wheel, until)
            if chance < LIKELY or (self.left <= 0 and not self.garage.plan.buy_sensors):
                continue
            why = say("its sensor may fail before {day}: {share} %", day=until, share=Figure(100 * chance, 0))
            self.left -= 1
            yield _Need(wheel, Ware.SENSOR, why, self._kind(car, None), self.left >= 0)

    def _chance(self, wheel: str, until: date) -> float:
        """How likely a sensor fails before a day; nought where it is not known how old it is."""
        if wheel not in self.lives:
            return 0.0
        lives, place = self.lives[wheel]
        key = (lives.set, until)
        if key not in self.chances:
            self.chances[key] = lives.within(years_from(self.now.day, until)).each
        return self.chances[key][place]

    def _kind(self, car: Car, w: WheelPlan | None) -> Said | None:
        family, band = self.garage.families.get(car.family or ""), car_band(self.garage, car)
        names: list[object] = [*([family.name] if family else []), *([band] if band else [])]
        if w is not None and w.writes:
            names.append(say("can be written"))
        elif w is not None and w.fresh_from is FreshFrom.BOUGHT:
            names.append(say("with its own ID"))
        return say("{kind}", kind=listed(names, Joined.COMMA)) if names else None

    def _tyres(self, wheel_set: WheelSet, car: Car, until: date, mine: set[str]) -> Iterator[_Need]:
        """Those that are damaged, too old or worn, or will be before the set comes off."""
        worn = {one.corner: one.used_up for one in wear_of_set(self.garage, wheel_set, car, self.now.day)}
        for corner, wheel in wheel_set.wheels:
            tyre = parts_on(self.garage, wheel, self.now.day).tyre
            if tyre is None or corner not in ROAD_CORNERS or wheel not in mine:
                continue
            used_up = worn[corner].day if corner in worn else None
            why = _tyre_goes(self.garage, tyre, used_up, self.now.day, until)
            if why is not None:
                kind = say("{size}", size=tyre.designation.text) if tyre.designation else None
                yield _Need(wheel, Ware.TYRE, why, kind)

    def _across(self, wheel_set: WheelSet, bought: set[str]) -> Iterator[tuple[str, Said]]:
        """The other tyre of each axle that gets one new tyre, where that would be deeper by more than is usual."""
        at = {c: w for c, w in wheel_set.wheels if c in ROAD_CORNERS}
        axles = {c.axle for c, w in at.items() if w in bought}
        for corner, wheel in at.items():
            tyre = parts_on(self.garage, wheel, self.now.day).tyre
            if corner.axle in axles and wheel not in bought and tyre is not None:
                depth = _depth(tyre, self.now.day)
                if depth is None or NEW_MM - depth.mm > UNEVEN_MM:
                    yield wheel, _uneven(depth)

    def _writer(self, wheels: list[str], by: date) -> Iterator[ToBuy]:
        mine = tuple(w for w in wheels if w in self.planned and self.planned[w].writer == GOT)
        if mine:
            yield ToBuy(Ware.WRITER, 1, mine, by, None, self.garage.costs.writer)

    def _for_rims(self, wheel_set: WheelSet, car: Car, by: date) -> Iterator[ToBuy]:
        """What a set that was never on this car needs to go on it."""
        if any(s.on == car.id and s.since < self.now.day for s in self.now.meant_of.get(wheel_set.id, ())):
            return
        from wheelside.fit.report import fit
        from wheelside.fit.verdict import Part

        costs = self.garage.costs
        wares = {
            Part.RINGS: (Ware.RINGS, costs.ring_set), Part.FASTENERS: (Ware.FASTENERS, costs.fastener_set), Part.VALVE: (Ware.VALVE, None),
        }  # fmt: skip
        wheels = tuple(w for c, w in wheel_set.wheels if c in ROAD_CORNERS)
        present = {on: set_id for set_id, on in self.now.car_of.items()}
        for need in fit(self.garage, car, wheel_set, self.now.day, present).bill.needs:
            if need.part in wares:
                ware, each = wares[need.part]
                yield ToBuy(ware, need.count, wheels, by, None, each)

    def _stored(self, set_id: str, mine: list[tuple[Corner, str]]) -> SinceStored | None:
        """What a set should read that lies, where every reading is no older than a week before it came off."""
        lies = [s for s in self.now.meant_of.get(set_id, ()) if s.on is None and s.since <= self.now.day < s.until]
        says = [t.says for _, w in mine if (t := self.tyres.of(w)) is not None and t.car is None]
        known = [(s.reads, s.read_on) for s in says if s.reads is not None and s.read_on is not None]
        if not lies or not known or min(day for _, day in known) < lies[0].since - timedelta(days=7):
            return None
        kpa = [reads.kpa for reads, _ in known]
        return SinceStored(
            lies[0].since, min(day for _, day in known), GaugePressure(min(kpa)), GaugePressure(max(kpa))
        )


def _by_wheel(lives: Mapping[str, SetLives]) -> dict[str, tuple[SetLives, int]]:
    return {wheel: (one, place) for one in lives.values() for place, wheel in enumerate(one.wheels)}


def _together(whys: Iterable[tuple[str, Said]]) -> tuple[tuple[str, Said], ...]:
    """By wheel all that is said of it, once."""
    found: dict[str, list[Said]] = {}
    for wheel, said in dict.fromkeys(whys):
        found.setdefault(wheel, []).append(said)
    return tuple((wheel, say("{whys}", whys=listed(said, Joined.SEMICOLON))) for wheel, said in found.items())


def _asks_again(sensor: Sensor | None) -> Said | None:
    """Why a sensor is to be triggered now; None where nothing is to be found out so."""
    if sensor is None:
        return None
    if sensor.answers is False and sensor.written is not False:
        return say("its sensor gave no answer")
    if sensor.family is None:
        return say("what kind of sensor it has is not known")
    return None


def _changed(garage: Garage, sensor: Sensor | None, car: Car) -> Said:
    """Why the plan changes a sensor."""
    if sensor is None:
        return say("it has no sensor")
    if sensor.answers is False:
        return say("its sensor gave no answer")
    if proven_different(garage, sensor.family, car.family):
        return say("its sensor is of another family than those of {car}", car=car.name)
    return say("the plan changes its sensor")


def _tyre_goes(garage: Garage, tyre: Tyre, used_up: date | None, today: date, until: date) -> Said | None:
    """Why a tyre is replaced before its set is on until a day; None where it serves."""
    if tyre.damaged:
        return say("its tyre is damaged")
    made, limit = made_week(tyre), worn_at(garage, tyre)
    if made is not None and too_old_on(made)[1] < until:
        years, day = too_old_on(made)
        return say("its tyre is {years} years old on {day}", years=Figure(years, 0), day=day)
    depth = _depth(tyre, today)
    if depth is not None and depth.mm <= limit.mm:
        return say("its tyre has {depth} of tread", depth=Depth(depth))
    if used_up is not None and used_up < until:
        return say("its tyre is at {depth} of tread about {day}", depth=Depth(limit), day=used_up)
    return None


def _uneven(depth: Length | None) -> Said:
    """Why the other tyre of an axle may be replaced, too."""
    usual = say("tyres of one axle are usually replaced together (common practice; the handbook counts)")
    if depth is None:
        return say("{usual}; measure its tread", usual=usual)
    return say(
        "a new one across from it is about {more} deeper; {usual}", more=Depth(Length(NEW_MM - depth.mm)), usual=usual
    )


def _depth(tyre: Tyre, today: date) -> Length | None:
    """The tread as it was measured last, else as it is noted."""
    rows = measured_by(tyre, today)
    return Length(rows[-1][1]) if rows else tyre.tread


def _grouped(needs: list[_Need], by: date, each: Money | None) -> Iterator[ToBuy]:
    """Those of one kind together."""
    alike: dict[tuple[Ware, Said | None], list[str]] = {}
    for need in needs:
        alike.setdefault((need.ware, need.kind), []).append(need.wheel)
    for (ware, kind), wheels in alike.items():
        yield ToBuy(ware, len(wheels), tuple(wheels), by, kind, each)


def _kits(sensors: list[_Need], by: date, each: Money | None) -> Iterator[ToBuy]:
    """A valve kit for each sensor that is changed."""
    if sensors:
        yield ToBuy(Ware.KIT, len(sensors), tuple(n.wheel for n in sensors), by, None, each)
