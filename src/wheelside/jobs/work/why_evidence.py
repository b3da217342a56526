"""What a book knows already about a lit lamp: each piece with where it comes from, its age and its weight, to be struck out by a tap.

known = known_of(desk, "estate")
known.seen({"lamp-at-start": "flashes"}, struck=("air",))     # what `why.believe` asks for

One fact counts once: work within seven days is a context, and no answer to when the last work was; an age counts as a test's outcome,
and no context beside it; a battery that is said to be low counts in place of the age.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date

from wheelside.book.events import mended_at
from wheelside.finding import Basis, Ground
from wheelside.garage.joined import joining_on
from wheelside.garage.model import Car, Garage
from wheelside.garage.words import Monitor
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.gauging import car_named
from wheelside.jobs.work.tyres import TyreAt, tyres_now
from wheelside.jobs.work.why_radio import CaseKnown, car_list, clones, codes, sensors, silent
from wheelside.said import Joined, count, listed, say
from wheelside.units.moment import Moment
from wheelside.watch.says import TyreVerdict
from wheelside.why.belief import CaseSeen
from wheelside.why.choose import Owns
from wheelside.why.gate import AIR, answered, owned, stops
from wheelside.why.table import WhyTable, why_table

WHOLE_DAYS = 1
"""So many days a gauging of all four counts whole, and need not be made again."""
FADES_DAYS = 14
"""After so many days a gauging tells nothing any more; between, its other outcomes weigh more day by day."""
FADING = Basis(
    Ground.JUDGEMENT,
    "a puncture empties a tyre in hours to days, and a cold week takes what months of loss do: a gauging of last week says little of today",
)
WEEK_DAYS, MONTHS_DAYS = 7, 60
"""Work on wheels or tyres that long ago: the table's three outcomes, judgement."""
FOUR = 4


@dataclass(frozen=True, slots=True)
class KnownCase:
    """All that is known of a car whose lamp is lit. `tyres`: those on it; `without`: tests that can't be made of this car; `day`: today."""

    car: Car
    day: date
    tyres: tuple[TyreAt, ...]
    known: tuple[CaseKnown, ...]
    without: frozenset[str] = frozenset()
    hour: float = 20.0
    table: WhyTable = field(default_factory=why_table)

    def counted(self, answers: Mapping[str, str], struck: Collection[str] = ()) -> tuple[CaseKnown, ...]:
        """What counts beside some answers: what was struck out does not, nor what was answered anew."""
        return tuple(k for k in self.known if k.code not in struck and not k.about(answers))

    def seen(self, answers: Mapping[str, str], struck: Collection[str] = ()) -> CaseSeen:
        """What is known and answered, as beliefs are made of it. Raises KeyError for a test or an outcome that there is not."""
        counted = self.counted(answers, struck)
        outcomes = {test: weights for k in counted for test, weights in k.outcomes.items()}
        return CaseSeen(
            outcomes | answered(self.table, answers),
            tuple(dict.fromkeys(c for k in counted for c in k.contexts)),
            tuple(dict.fromkeys(c for k in counted for c in k.excluded)),
        )

    def owns(self, answers: Mapping[str, str], struck: Collection[str] = ()) -> Owns:
        """What can be done, and need not be: tests that this car has not, those that could not be done, those that are answered in a context."""
        asked = {test for k in self.counted(answers, struck) for test in k.answers}
        return owned(Owns(self.hour, self.without | asked), answers)

    def aired(self, answers: Mapping[str, str], struck: Collection[str] = ()) -> bool:
        """Whether all four were gauged within a day, or that was answered."""
        fresh = any(k.code == "air" and k.whole for k in self.counted(answers, struck))
        return fresh or AIR in answers

    @property
    def stopping(self) -> tuple[TyreAt, ...]:
        """The tyres that are not driven on, by what they read last; that is not struck out."""
        return tuple(t for t in self.tyres if stops(t.says))


def known_of(desk: Desk, car_id: str = "") -> KnownCase:
    """What a book knows of a car, of the first one where none is named. Raises NotThere, Outside."""
    garage, now = desk.loaded().garage, desk.clock()
    car = car_named(garage, car_id)
    tyres = tyres_now(desk, car=car.id).on(car.id)
    found = [air(tyres, now.day), holding(tyres, now.day), last_work(desk, garage, car, now), *facts(car)]
    if car.monitor is not Monitor.INDIRECT:
        found += [one(desk, car, now) for one in (sensors, silent, clones, car_list, codes)]
    hour = garage.costs.hour.amount if garage.costs.hour is not None else None
    return KnownCase(
        car, now.day, tyres, tuple(k for k in found if k is not None), without(garage, car), float(hour) if hour else 20.0
    )  # fmt: skip


def fading(days: int, shown: str, test: str) -> dict[str, float]:
    """The weights of outcomes of which one was shown so many days ago: whole for a day, none told after `FADES_DAYS`, evenly between."""
    other = min(1.0, max(0.0, (days - WHOLE_DAYS) / (FADES_DAYS - WHOLE_DAYS)))
    return why_table().test(test).shown(shown, other)


def air(tyres: tuple[TyreAt, ...], today: date) -> CaseKnown | None:
    """What all four read last, as the test of gauging them; None where one was never read, or it is too long ago."""
    read = [t.says.read_on for t in tyres if t.says.read_on is not None]
    if len(read) < max(FOUR, len(tyres)):
        return None
    oldest = min(read)
    days = (today - oldest).days
    low = [t for t in tyres if t.says.verdict in (TyreVerdict.STOP, TyreVerdict.TOO_LOW)]
    shown = ("right", "one-low", "several-low")[min(len(low), 2)]
    if days >= FADES_DAYS:
        return None
    said = count(
        len(low), "Gauged on {day}: {wheels} is too low.", "Gauged on {day}: {wheels} are too low.", day=oldest,
        wheels=listed((t.name for t in low), Joined.AND),
    ) if low else say("Gauged on {day}: none is too low.", day=oldest)  # fmt: skip
    weights = fading(days, shown, AIR)
    return CaseKnown("air", said, oldest, {AIR: weights}, whole=days <= WHOLE_DAYS)


def holding(tyres: tuple[TyreAt, ...], today: date) -> CaseKnown | None:
    """What readings over weeks say of a loss, as the test of gauging again after three days. A loss does not fade; holding does."""
    losing = [t for t in tyres if t.says.verdict is TyreVerdict.LOSES or t.says.loss is not None]
    if losing:
        chance = max(t.says.chance for t in losing)
        shown = "one-falls" if len(losing) == 1 else "all-fall"
        weights = why_table().test("hold").shown(shown) | {shown: chance, "hold": 1 - chance}
        names = listed((t.name for t in losing), Joined.AND)
        said = count(
            len(losing), "{wheels} loses air by its readings.", "{wheels} lose air by their readings.", wheels=names
        )
        return CaseKnown("holding", said, max(t.says.read_on or today for t in losing), {"hold": weights})
    if len(tyres) < FOUR or any(t.says.verdict is not TyreVerdict.NORMAL or t.says.read_on is None for t in tyres):
        return None
    oldest = min(t.says.read_on for t in tyres if t.says.read_on is not None)
    weights = fading((today - oldest).days, "hold", "hold")
    if min(weights.values()) >= 1.0:
        return None
    return CaseKnown("holding", say("All held their air until {day}.", day=oldest), oldest, {"hold": weights})


def last_work(desk: Desk, garage: Garage, car: Car, now: Moment) -> CaseKnown | None:
    """When wheels or tyres of the car were worked on last: a context within seven days, else the test's outcome; None where nothing is known."""
    at = desk.present().wheel_at(car.id)
    known, wheels = desk.present().known, tuple(at.values())
    days = [k.since for w in wheels if (k := known.get(w)) is not None and k.since is not None and k.on == car.id]
    joined = [joining_on(garage.wheels[w], now.day) for w in wheels if w in garage.wheels]
    days += [j.since for j in joined if j is not None and j.since is not None]
    with desk.book.reading() as conn:
        mended = mended_at(conn, wheels)
    days += [Moment(us, now.offset_min).day for moments in mended.values() for us in moments]
    days = [day for day in days if day <= now.day]
    if not days:
        return None
    day = max(days)
    ago = (now.day - day).days
    said = say("Wheels or tyres were worked on last on {day}.", day=day)
    if ago <= WEEK_DAYS:
        return CaseKnown("work", said, day, contexts=("changed-lately",), answers=("last-work",))
    shown = "two-months" if ago <= MONTHS_DAYS else "longer"
    return CaseKnown("work", said, day, {"last-work": why_table().test("last-work").shown(shown)})


BY_SENSORS = (
    "battery", "broken", "no-sensor", "other-kind", "wrong-id", "asleep", "not-taught", "half-taught", "clone-near", "twice",
    "others-taught", "corners", "disturbed", "stuck", "spare",
)  # fmt: skip
"""Causes that only a car with a sensor in each wheel can have."""
OF_SENSORS = frozenset(
    {"dash", "wake", "read-ids", "listen-home", "car-list", "valves", "sensor-age", "unplug", "others-away", "corner-test", "spare-look"}
)  # fmt: skip
"""Tests that are for such a car only."""


def facts(car: Car) -> list[CaseKnown]:
    """What is fixed for a car, so that some causes can't be, and others are likelier."""
    found = []
    if car.monitor is Monitor.INDIRECT:
        said = say("It watches by wheel speed: its wheels have no sensors.")
        found.append(CaseKnown("monitor", said, None, contexts=("wheel-speed",), excluded=BY_SENSORS))
    elif car.monitor is Monitor.DIRECT:
        said = say("It has a sensor in each wheel.")
        found.append(CaseKnown("monitor", said, None, excluded=("no-wheel-sensors",)))
    if car.spare_counted is False and car.monitor is not Monitor.INDIRECT:
        found.append(CaseKnown("spare", say("Its spare is not watched."), None, excluded=("spare",)))
    if car.corner_aware is False and car.monitor is not Monitor.INDIRECT:
        found.append(CaseKnown("corner", say("It does not tell corners apart."), None, excluded=("corners",)))
    if car.taught_by is not None and car.taught_by.by_itself and car.monitor is not Monitor.INDIRECT:
        found.append(CaseKnown("teaching", say("It learns by driving."), None, contexts=("learns-itself",)))
    return found


def without(garage: Garage, car: Car) -> frozenset[str]:
    """Tests that can't be made of a car: it has no sensors, shows no figures, has no other wheels."""
    found = OF_SENSORS if car.monitor is Monitor.INDIRECT else frozenset[str]()
    if car.dash_shows is False:
        found |= {"dash", "corner-test"}
    if car.spare_counted is False:
        found |= {"spare-look"}
    if len(garage.set) < 2:
        found |= {"other-set"}
        if len(garage.car) < 2:
            found |= {"others-away"}
    return found
