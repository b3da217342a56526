"""Ways out where no plan is possible: changes to what the file says, each tried by planning with it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date
from functools import reduce
from typing import Any

from wheelside.finding import WayKind
from wheelside.garage.joined import joining_on
from wheelside.garage.model import Garage, Joining, Path, Place, Writer
from wheelside.garage.present import line_now
from wheelside.garage.season import Spell
from wheelside.garage.stay import Stay
from wheelside.garage.words import Heard, Skill, TakenOut, Teaching, Writing
from wheelside.identity.choice import PlanFact
from wheelside.identity.conflict import stay_of
from wheelside.identity.costs import NOTHING, Price, Tariff
from wheelside.identity.naming import family_named
from wheelside.identity.problem import problem
from wheelside.identity.solve import PlanModel
from wheelside.identity.whereabouts import Lines
from wheelside.said import Said, count, say

MOST_WAYS = 3
MOST_TRIED = 12
AWAY = "out of earshot"
Edit = Callable[[Garage], Garage]


@dataclass(frozen=True, slots=True)
class WayOut:
    """A change after which a plan is possible: what to do, and what it costs with the best plan that there is then.

    `price` is sure cost; `weight` counts the risks of that plan too, and `own_weight` is what of it is for the change itself.
    `kinds`: what kinds of way out the change is made of, and `facts` what they are about.
    """

    text: Said
    price: Price
    weight: int
    own_weight: int
    kinds: tuple[WayKind, ...]
    facts: tuple[PlanFact, ...]


@dataclass(frozen=True, slots=True)
class Remedy:
    """What to do about one fact, what that costs by itself, and the garage after it. `room_at`: the place at which room is made."""

    kind: WayKind
    text: Said
    price: Price
    edit: Edit
    room_at: str = ""


@dataclass(frozen=True, slots=True)
class Seeker:
    """Finds the ways out of a garage that has no plan."""

    garage: Garage
    day: date
    end: date
    model: PlanModel
    """Of the loosened problem."""

    @property
    def tariff(self) -> Tariff:
        return self.model.problem.tariff

    def ways_out(self) -> tuple[WayOut, ...]:
        """The cheapest ways out, each verified by planning with it."""
        remedies = {f: r for f in self.model.facts if (r := self._remedy(f)) is not None}
        cost = {f: self.tariff.weigh(r.price) + 1 for f, r in remedies.items()}
        found: list[WayOut] = []
        tried: list[frozenset[PlanFact]] = []
        while len(tried) < MOST_TRIED and len(found) < MOST_WAYS:
            dropped = self.model.fewest_dropped((), cost=cost, but=tried)
            if not dropped:
                break
            tried.append(dropped)
            way = self._verified({f: remedies[f] for f in sorted(dropped)})
            if way is not None:
                found.append(way)
        return tuple(sorted(found, key=lambda w: w.weight))

    def _verified(self, told: dict[PlanFact, Remedy]) -> WayOut | None:
        """The way out that these remedies are, where planning with them succeeds."""
        remedies = tuple(told.values())
        changed = reduce(lambda garage, remedy: remedy.edit(garage), remedies, self.garage)
        line = line_now(changed, self.day, self.end)
        task = problem(changed, self.day, self.end, line)
        best = PlanModel(task).best() if all(task.of_member) else None
        if best is None:
            return None
        own = sum((r.price for r in remedies), NOTHING)
        text = _together(dict.fromkeys(self._text(r, line) for r in remedies))
        weight = self.tariff.weigh(own)
        kinds = tuple(dict.fromkeys(r.kind for r in remedies))
        return WayOut(text, best.price + own, best.weight + weight, weight, kinds, tuple(told))

    def _text(self, remedy: Remedy, line: tuple[Spell, ...]) -> Said:
        """What to do, with how many sets there must be room for where that is what it is about."""
        if not remedy.room_at:
            return remedy.text
        most, name = _most_at(line, remedy.room_at, self.day), self.garage.places[remedy.room_at].name
        return count(most, "make room for {n} set at {place}", "make room for {n} sets at {place}", place=name)

    def _remedy(self, fact: PlanFact) -> Remedy | None:
        make = _REMEDIES.get(fact.kind)
        return make(self, fact.about) if make else None

    # --- one kind of fact each

    def store_elsewhere(self, about: str) -> Remedy | None:
        stay = stay_of(self.garage, about)
        if stay.at is None:
            return None
        names = self.garage.sets[stay.set].name, self.garage.places[stay.at].name
        text = say("keep {set} out of earshot of the cars, in place of {place}", set=names[0], place=names[1])
        times = sum(s.set == stay.set and s.since >= stay.since and s.at == stay.at for s in self._line)
        price = self.tariff.move.times(max(1, times))
        return Remedy(WayKind.STORE, text, price, lambda g: _with_stay(_with_away(g), about, at=AWAY))

    @property
    def _line(self) -> tuple[Spell, ...]:
        return line_now(self.garage, self.day, self.end)

    def fill_gaps(self, set_id: str) -> Remedy:
        text = say(
            "keep {set} out of earshot while the season line does not say where it is, and note it",
            set=self.garage.sets[set_id].name,
        )
        gaps = Lines(self.garage, self.day, self.end, self._line).of_set(set_id)
        rows = tuple(Stay(set=set_id, at=AWAY, since=g.since, until=g.until) for g in gaps if g.fact.kind == "unplaced")
        return Remedy(WayKind.STORE, text, self.tariff.move, lambda g: replace(_with_away(g), stay=(*g.stay, *rows)))

    def park_away(self, car_id: str) -> Remedy:
        text = say("park {car} where it hears no other wheels, and note where", car=self.garage.cars[car_id].name)
        return Remedy(WayKind.STORE, text, NOTHING, lambda g: _with_row(_with_away(g), "car", car_id, stands_at=AWAY))

    def keep_loose_away(self, sensor_id: str) -> Remedy:
        text = say("keep {sensor} out of earshot, or scrap it", sensor=self.garage.sensors[sensor_id].name)
        move = self.tariff.move
        return Remedy(WayKind.STORE, text, move, lambda g: _with_row(_with_away(g), "sensor", sensor_id, kept_at=AWAY))

    def take_sensor_out(self, about: str) -> Remedy | None:
        wheel = about.split("/", maxsplit=1)[0]
        if joining_on(self.garage.wheels[wheel], self.day) is None:
            return None
        text = say(
            "have the sensor taken out of wheel {wheel}, a plain valve in its place, and scrap it",
            wheel=self.garage.wheels[wheel].name,
        )
        price = Price(0, self.tariff.refit_wheel.hundredths - self.tariff.sensor_hundredths) + self.tariff.shop_trip
        return Remedy(WayKind.WORK, text, price, lambda g: _without_sensor(g, wheel, self.day))

    def find_out_writing(self, wheel: str) -> Remedy | None:
        joining = joining_on(self.garage.wheels[wheel], self.day)
        if joining is None or joining.sensor is None:
            return None
        sensor = joining.sensor
        name = self.garage.wheels[wheel].name
        text = say("find out whether the sensor of wheel {wheel} can be written; if it can", wheel=name)
        return Remedy(
            WayKind.FIND_OUT, text, NOTHING, lambda g: _with_row(g, "sensor", sensor, writing=Writing.REWRITABLE)
        )

    def get_writer(self, about: str) -> Remedy:
        family = about.split("/", 1)[1]
        writer = Writer(id="another writer", can=(Skill.GIVEN, Skill.OWN), families=(family,) if family else ())
        name = family_named(self.garage, family)
        text = say("get a writer that writes given IDs for {family}, or have it done", family=name)
        return Remedy(WayKind.BUY, text, self.tariff.writer, lambda g: replace(g, writer=(*g.writer, writer)))

    def scrap_taken_out(self, _: str) -> Remedy:
        text = say("scrap the sensors that are taken out")
        scrap = TakenOut.SCRAP
        return Remedy(WayKind.WORK, text, NOTHING, lambda g: replace(g, plan=replace(g.plan, taken_out=scrap)))

    def buy(self, _: str) -> Remedy:
        text = say("allow sensors to be bought")
        return Remedy(WayKind.BUY, text, NOTHING, lambda g: replace(g, plan=replace(g.plan, buy_sensors=True)))

    def not_sell(self, set_id: str) -> Remedy:
        one = self.garage.sets[set_id]
        if one.sold is not None and one.sold <= self.day:
            text = say("find out whether the sensors of {set} are scrapped; if they are", set=one.name)
            return Remedy(
                WayKind.FIND_OUT, text, NOTHING, lambda g: _with_row(g, "set", set_id, sold=None, scrapped=one.sold)
            )
        text = say("do not sell {set}", set=one.name)
        return Remedy(WayKind.LEAVE, text, NOTHING, lambda g: _with_row(g, "set", set_id, sold=None))

    def find_shop(self, _: str) -> Remedy:
        text = say("find a tyre shop, or somebody who can take a tyre off its rim")
        return Remedy(WayKind.FIND_OUT, text, NOTHING, lambda g: replace(g, plan=replace(g.plan, shop=True)))

    def have_taught(self, car: str) -> Remedy:
        text = say("find out whether a workshop can teach {car}; if it can", car=self.garage.cars[car].name)
        return Remedy(WayKind.FIND_OUT, text, NOTHING, lambda g: _with_row(g, "car", car, taught_by=Teaching.LOCKED))

    def make_room(self, place: str) -> Remedy:
        text = say("make room for more sets at {place}", place=self.garage.places[place].name)
        return Remedy(WayKind.STORE, text, NOTHING, lambda g: _with_row(g, "place", place, room=None), place)


_REMEDIES: dict[str, Callable[[Seeker, str], Remedy | None]] = {
    "stay": Seeker.store_elsewhere,
    "unplaced": Seeker.fill_gaps,
    "parked": Seeker.park_away,
    "kept": Seeker.keep_loose_away,
    "fixed": Seeker.take_sensor_out,
    "written-once": Seeker.take_sensor_out,
    "writing-not-known": Seeker.find_out_writing,
    "no-writer": Seeker.get_writer,
    "taken-out": Seeker.scrap_taken_out,
    "not-bought": Seeker.buy,
    "no-shop": Seeker.find_shop,
    "untaught": Seeker.have_taught,
    "sold": Seeker.not_sell,
    "room": Seeker.make_room,
}


def _together(texts: Iterable[Said]) -> Said:
    """Several things to do as one."""
    return reduce(lambda one, other: say("{one}; and {other}", one=one, other=other), texts)


def _most_at(line: tuple[Spell, ...], place: str, day: date) -> int:
    """The most sets that are at a place at a time, wherever the plan may pick it."""
    there = [s for s in line if s.at == place or place in s.or_at]
    return max((sum(s.covers(max(x.since, day)) for s in there) for x in there), default=0)


def _with_row(garage: Garage, table: str, row_id: str, **changes: Any) -> Garage:
    rows = tuple(replace(row, **changes) if row.id == row_id else row for row in getattr(garage, table))
    changed: dict[str, Any] = {table: rows}
    return replace(garage, **changed)


def _with_stay(garage: Garage, about: str, at: str) -> Garage:
    found = stay_of(garage, about)
    rows = tuple(replace(row, at=at, or_at=()) if row is found else row for row in garage.stay)
    return replace(garage, stay=rows)


def _with_away(garage: Garage) -> Garage:
    """The garage with one more place, from which nothing is heard anywhere."""
    if AWAY in garage.places:
        return garage
    paths = tuple(Path(between=(AWAY, place.id), heard=Heard.NO) for place in garage.place)
    return replace(garage, place=(*garage.place, Place(id=AWAY)), path=(*garage.path, *paths))


def _without_sensor(garage: Garage, wheel: str, day: date) -> Garage:
    """The garage with the sensor of a wheel taken out and gone."""
    row = garage.wheels[wheel]
    found = joining_on(row, day)
    assert found is not None, "asked only of wheels that are joined"
    rest = tuple(j for j in row.joined if j is not found)
    now = Joining(rim=found.rim, tyre=found.tyre, since=found.since, until=found.until)
    changed = _with_row(garage, "wheel", wheel, joined=(*rest, now))
    return _with_row(changed, "sensor", found.sensor or "", gone=day)
