"""Who can hear whom along the season line, how far away is far enough, and how long to listen to find out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wheelside.earshot.budget import NOT_HEARD_BELOW, RECEIVER_HAND, Budget, distance_for
from wheelside.earshot.hearing import Hearing, heard_between, link_along, path_between, set_heard
from wheelside.earshot.silence import weighed
from wheelside.earshot.walls import KNOWN, wall
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.ids import car_band, rest_interval
from wheelside.garage.joined import loose_sensors, parts_on
from wheelside.garage.model import Car, Garage
from wheelside.garage.season import Spell, car_place
from wheelside.garage.words import AtRest
from wheelside.said import Joined, Said, Table, listed, say
from wheelside.units import Duration

GARDEN_M = 150.0
"""Beyond this no garden reaches; judgement."""
_BURSTS = 8.0
"""So many bursts leave 1 in 15,000 for missing them all at a good spot."""
MOST_SPOTS = 12
_WALLS: tuple[tuple[str, ...], ...] = ((), ("brick",), ("concrete",), ("steel",), ("steel", "steel"))


@dataclass(frozen=True, slots=True)
class HeardFrom:
    """What one car hears of something from a day on. `by_receiver`: the chance of a hand-held receiver beside the car.

    `silent`: whether all of its sensors are stated silent where they lie still, so that nothing is to be heard there.
    """

    car: str
    what: str
    since: date
    hearing: Hearing
    by_receiver: float | None
    silent: bool


@dataclass(frozen=True, slots=True)
class FarEnough:
    """The distances in metres, behind some walls, beyond which the chance is below one half, a tenth, a hundredth."""

    car: str
    walls: tuple[str, ...]
    half_m: float
    tenth_m: float
    hundredth_m: float

    @property
    def in_a_garden(self) -> bool:
        return self.hundredth_m <= GARDEN_M


@dataclass(frozen=True, slots=True)
class Listen:
    """How to find out about one set at one place: so long at each of so many spots, nothing being heard at any.

    `each` is None where it is not known how often its sensors send, for then silence proves nothing; `spots` is None
    where no number up to a dozen would be enough, for the receiver hears too little of what the car does.
    """

    set: str
    place: str
    each: Duration | None
    spots: int | None


@dataclass(frozen=True, slots=True)
class Earshot:
    """Everything that a garage's cars can hear."""

    heard: tuple[HeardFrom, ...]
    far: tuple[FarEnough, ...]
    listen: tuple[Listen, ...]
    findings: tuple[Finding, ...]


def earshot(garage: Garage, line: tuple[Spell, ...], day: date) -> Earshot:
    """Who hears whom from `day` on along the season line."""
    cars = tuple(car for car in garage.car if car.direct)
    heard = tuple(row for car in cars for row in _heard_by(garage, car, line, day))
    far = tuple(_far(garage, car, walls) for car in cars for walls in _WALLS)
    listen = tuple(dict.fromkeys(row for car in cars for row in _listen(garage, car, line, day)))
    return Earshot(heard, far, listen, tuple(path_findings(garage)))


def _heard_by(garage: Garage, car: Car, line: tuple[Spell, ...], day: date) -> Iterator[HeardFrom]:
    told: set[tuple[object, ...]] = set()
    for spell in line:
        for since in _days(garage, spell, day):
            for place in (spell.at, *spell.or_at):
                there = Spell(spell.since, spell.until, spell.set, spell.on, place, spell.riding_in)
                bearer = spell.on or spell.riding_in
                stands = car_place(garage, bearer, since) if bearer else None
                mark = (spell.set, spell.on, place, spell.riding_in, car_place(garage, car.id, since), stands)
                if spell.on == car.id or mark in told:
                    continue
                told.add(mark)
                hearing = set_heard(garage, car, there, since)
                silent = place is not None and _silent(garage, spell.set, since)
                yield HeardFrom(car.id, garage.sets[spell.set].name, since, hearing, _by_receiver(hearing), silent)
    for sensor in loose_sensors(garage, day):
        hearing = heard_between(garage, car, car_place(garage, car.id, day), sensor.kept_at)
        yield HeardFrom(car.id, sensor.name, day, hearing, _by_receiver(hearing), sensor.at_rest is AtRest.SILENT)


def _days(garage: Garage, spell: Spell, day: date) -> list[date]:
    """The first day of a spell, and those on which an outing begins meanwhile."""
    first = max(spell.since, day)
    return [first, *sorted({o.since for o in garage.outing if first < o.since < spell.until})]


def _silent(garage: Garage, set_id: str, day: date) -> bool:
    """Whether every sensor of a set is stated silent at rest."""
    sensors = [parts_on(garage, wheel, day).sensor for _, wheel in garage.sets[set_id].wheels]
    there = [s for s in sensors if s is not None]
    return bool(there) and all(s.at_rest is AtRest.SILENT for s in there)


def _by_receiver(hearing: Hearing) -> float | None:
    """The chance of a hand-held receiver where the car is, over the same way."""
    if hearing.budget is None:
        return None
    return Budget((*hearing.budget.terms[:-1], RECEIVER_HAND)).chance


def _far(garage: Garage, car: Car, walls: tuple[str, ...]) -> FarEnough:
    band, built = car_band(garage, car), tuple(wall(w) for w in walls)
    half, tenth, hundredth = (distance_for(c, band, built) for c in (0.5, 0.1, NOT_HEARD_BELOW))
    return FarEnough(car.id, walls, half, tenth, hundredth)


def _listen(garage: Garage, car: Car, line: tuple[Spell, ...], day: date) -> Iterator[Listen]:
    here = car_place(garage, car.id, day)
    for spell in line:
        if spell.at is None or here is None or spell.at == here:
            continue
        path = path_between(garage, spell.at, here)
        if path is None or path.distance is None or path.heard is not None:
            continue
        link = link_along(garage, car, path.distance, path.walls)
        if link.chance >= NOT_HEARD_BELOW:
            yield Listen(spell.set, spell.at, _long_enough(garage, spell.set, max(day, spell.since)), _spots(link))


def _spots(link: Budget) -> int | None:
    """At how many spots silence would take the chance below 1 in 100; None where a dozen would not."""
    enough = (n for n in range(1, MOST_SPOTS + 1) if weighed(link, (_BURSTS,) * n) < NOT_HEARD_BELOW)
    return next(enough, None)


def _long_enough(garage: Garage, set_id: str, day: date) -> Duration | None:
    """How long it takes all wheels of a set to send eight bursts; None where one's interval is not known."""
    sensors = [parts_on(garage, wheel, day).sensor for _, wheel in garage.sets[set_id].wheels]
    intervals = [rest_interval(garage, s) for s in sensors if s is not None]
    if not intervals or any(i is None or i.seconds <= 0 for i in intervals):
        return None
    return Duration(_BURSTS / sum(1.0 / i.seconds for i in intervals if i is not None))


def path_findings(garage: Garage) -> Iterator[Finding]:
    """What is to be found out, or to be doubted, about the paths between places."""
    unknown = (Basis(Ground.UNKNOWN),)
    cars = tuple(car for car in garage.car if car.direct)
    for path in garage.path:
        about = say("{places}", places=listed(garage.places[p].name for p in path.between))
        strange = [w for w in path.walls if wall(w).basis.ground is Ground.UNKNOWN]
        if strange:
            text = say("What {walls} takes off is not known; nothing is counted for it.", walls=listed(strange))
            way = note(say("use one of: {known}", known=listed(KNOWN, Joined.COMMA)))
            yield Finding(Weight.ASK, "wall", about, text, unknown, way)
        if path.distance is None and path.heard is None:
            yield Finding(
                Weight.ASK,
                "distance",
                about,
                say("How far they lie apart is not known, so all is heard."),
                unknown,
                note(say("note how far, and which walls lie between, in {table}", table=Table("path"))),
            )
        for car in cars:
            if car.stands_at in path.between:
                yield from _doubted(garage, car, path.between, about)


def _doubted(garage: Garage, car: Car, between: tuple[str, ...], about: Said) -> Iterator[Finding]:
    """The owner's word that nothing is heard, where the budget speaks against it."""
    there = next(p for p in between if p != car.stands_at)
    hearing = heard_between(garage, car, car.stands_at, there)
    if hearing.against_word:
        text = say(
            "You noted that nothing is heard along this path; the budget says otherwise ({basis}), so it counts as perhaps.",
            basis=hearing.basis.source,
        )  # fmt: skip
        way = Way(
            WayKind.FIND_OUT,
            say(
                "listen, and note in {table} when, for how long and for which set; or take your word back",
                table=Table("path"),
            ),
        )  # fmt: skip
        yield Finding(Weight.WARNING, "silence-doubted", about, text, (hearing.basis,), way)
