"""What the steps of one job are written from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from wheelside.fill.card import AirCard, WheelSetting
from wheelside.garage.ids import known_ids
from wheelside.garage.joined import Parts, parts_on
from wheelside.garage.model import Car, Garage, Instrument, Place, WheelSet
from wheelside.garage.present import Present
from wheelside.garage.season import where
from wheelside.garage.words import ROAD_CORNERS, Corner, Instrumentation, Monitor
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.pairs import share_an_id
from wheelside.identity.plan import IdentityPlan, TeachPlan, WheelPlan
from wheelside.identity.whereabouts import Lines
from wheelside.sensor.ident import PrintForm, SensorId, reversed_forms
from wheelside.sheet.ask import TAIL, Ask, Asked, Tells, pick, slug
from wheelside.sheet.extent import Extent
from wheelside.sheet.option import Listed
from wheelside.sheet.step import step_id
from wheelside.sheet.step_words import Channel, Does
from wheelside.units import GaugePressure, PressureSpan, Temperature, UnitChoice

NO_CAR = Car(id="", label="no car", monitor=Monitor.DIRECT, spare_counted=True)
"""In place of a car, where a set is worked on that goes on none."""


@dataclass(frozen=True)
class Job:
    """A set going on a car, with its plan and its air card. `going` is the set that comes off, if any.

    `day`: the day of the job. `then`: the day from which the plan's line has the set on the car. `now`: what is where.
    `in_book`: whether it is done in a book, which notes by itself what changes, or beside a garage file.
    `extent`: which part of the work is asked for; `about`: the one wheel that it is about, '' for all.
    """

    garage: Garage
    plan: IdentityPlan
    card: AirCard
    car: Car
    coming: WheelSet
    going: WheelSet | None
    day: date
    then: date
    now: Present
    in_book: bool = False
    extent: Extent = Extent.ALL
    about: str = ""

    @property
    def on_stand(self) -> bool:
        """Whether the set goes on no car, and is worked on where it stands."""
        return self.car is NO_CAR

    @cached_property
    def at_corner(self) -> dict[Corner, str]:
        """The wheels that are on the car now, by corner, as far as that is known or taken."""
        return {} if self.on_stand else self.now.wheel_at(self.car.id)

    @cached_property
    def coming_is_on(self) -> bool:
        """Whether the set is on the car before the job begins, every wheel at its corner."""
        return not self.on_stand and self.now.wholly_on(self.coming.id, self.car.id)

    @cached_property
    def leaving(self) -> tuple[tuple[Corner, str], ...]:
        """Wheels of the coming set that are on the car and come off it first: for their sensors, or for another corner."""
        meant = {wheel: corner for corner, wheel in self.coming.wheels}
        return tuple(
            (c, w) for c, w in self.at_corner.items() if w in meant and (w in self.worked_on or meant[w] is not c)
        )

    @cached_property
    def worked_on(self) -> frozenset[str]:
        """The wheels whose sensors are changed, or written in the wheel."""
        return frozenset(w.wheel for w in (*self.refits, *self.written_in_wheel))

    @cached_property
    def off_first(self) -> frozenset[str]:
        """The wheels of the coming set that come off the car before they are fitted."""
        return frozenset(w for _, w in self.leaving)

    @cached_property
    def fitting(self) -> tuple[tuple[Corner, str], ...]:
        """The wheels to be fitted, and where."""
        if self.on_stand:
            return ()
        return tuple((c, w) for c, w in self.coming.wheels if self.at_corner.get(c) != w or w in self.off_first)

    @cached_property
    def fetched(self) -> tuple[str, ...]:
        """The wheels to be fitted that lie off the car before the job."""
        return tuple(w for _, w in self.fitting if w not in self.off_first)

    def makes_way(self, corner: Corner) -> str | None:
        """The wheel that comes off where another is fitted; None where none is known to be there by then."""
        there = self.at_corner.get(corner)
        return None if there in self.off_first else there

    @cached_property
    def coming_off(self) -> tuple[str, ...]:
        """The wheels that are beside the car after the job: those that make way, and those that came off in one that was not finished."""
        away = [w for c, _ in self.fitting if (w := self.makes_way(c)) is not None]
        ours = {w for _, w in self.coming.wheels}
        return tuple(w for w in dict.fromkeys((*away, *self._left_lying)) if w not in ours)

    @cached_property
    def _left_lying(self) -> tuple[str, ...]:
        """Wheels that came off and were not put away: those of the set that comes off, and any that a job left that was not finished."""
        if self.on_stand:
            return ()
        going = {w for _, w in self.going.wheels} if self.going else set()
        loose = [k for k in self.now.known.values() if k.loose]
        return tuple(k.wheel for k in loose if k.wheel in going or (k.unfinished and self._may_be_off(k.wheel)))

    def _may_be_off(self, wheel: str) -> bool:
        """Whether a wheel came off this car, by the season line: its set is meant for it some day, or for no car."""
        mine = [s for name in self.garage.sets_of.get(wheel, ()) for s in self.now.meant_of.get(name, ())]
        cars = {s.on for s in mine if s.on}
        return not cars or self.car.id in cars

    @cached_property
    def not_fastened(self) -> tuple[str, ...]:
        """Wheels at road corners that a job fitted which was not finished: nobody has said that they were torqued."""
        known = [self.now.known.get(w) for c, w in self.at_corner.items() if c in ROAD_CORNERS]
        return tuple(k.wheel for k in known if k is not None and k.unfinished)

    @cached_property
    def off(self) -> WheelSet | None:
        """The one set to which all wheels that come off belong; None where there is no such set."""
        sets = (*((self.going,) if self.going else ()), *self.garage.set)
        return next(
            (s for s in sets if self.coming_off and set(self.coming_off) <= {w for _, w in s.wheels}), self.going
        )

    @property
    def named_off(self) -> str:
        """What comes off, by the name of its set, or wheel by wheel where one of it stays on the car or it is no one set's."""
        stays = set(self.at_corner.values()) - set(self.coming_off)
        wheels = {w for _, w in self.off.wheels} if self.off is not None else set()
        if self.off is not None and set(self.coming_off) <= wheels and not stays & wheels:
            return self.off.name
        return ", ".join(self.name(w) for w in self.coming_off) or "the wheels that come off"

    @cached_property
    def storage(self) -> Place | None:
        """Where the set that comes off is to be kept; None where nobody has said."""
        spell = where(self.plan.line, self.off.id, self.then) if self.off else None
        return self.garage.places.get(spell.at or "") if spell else None

    def lies(self, wheel: str) -> str:
        """Where a wheel is before the job, in words."""
        corner = next((c for c, w in self.at_corner.items() if w == wheel), None)
        if corner is not None:
            return f"on the car, {corner.value}"
        place = self.lies_at(wheel)
        return f"at wheel {self.name(wheel)}, {'at ' + place.name if place else 'off the car'}"

    def lies_at(self, wheel: str) -> Place | None:
        """The place where a wheel lies that is on no car: where it was seen, unless the line has moved it since; None where that is not known."""
        known = self.now.known.get(wheel)
        lines = Lines(self.garage, self.plan.day, self.plan.end, self.plan.line).of_wheel(wheel)
        there = next((s for s in lines if s.since <= self.plan.day), None)
        moved = known is not None and known.at is not None and there is not None and self._moved_since(known.as_of)
        if known is not None and known.on is None and not moved:
            return self.garage.places.get(known.at or "")
        return self.garage.places.get(there.spots[0].at or "") if there else None

    def _moved_since(self, day: date) -> bool:
        """Whether the line has moved the coming set after a day."""
        spell = where(self.plan.line, self.coming.id, self.plan.day)
        return spell is not None and spell.since > day

    def lies_beside(self, wheel: str) -> bool:
        """Whether a wheel came off a car and was not put away, or rides in this car."""
        known = self.now.known.get(wheel)
        spell = where(self.plan.line, self.coming.id, self.plan.day)
        return (known is not None and known.loose) or (spell is not None and spell.riding_in == self.car.id)

    @property
    def units(self) -> UnitChoice:
        return self.garage.units.choice

    @property
    def direct(self) -> bool:
        return self.car.monitor is Monitor.DIRECT

    @property
    def wheels(self) -> tuple[WheelPlan, ...]:
        """The plan's lines for the wheels of the coming set that the car monitors."""
        corners = self.car.monitored_corners
        return tuple(w for w in self.plan.of_set(self.coming.id, self.then) if w.corner in corners)

    @property
    def refits(self) -> tuple[WheelPlan, ...]:
        return tuple(w for w in self.wheels if w.action is Action.REFIT)

    @property
    def written_in_wheel(self) -> tuple[WheelPlan, ...]:
        return tuple(w for w in self.wheels if w.action is Action.STAYS and w.writes)

    @property
    def road_wheels_off(self) -> bool:
        """Whether any wheel at a road corner comes off or goes on in this job, or did in one that was not finished."""
        return bool(self.not_fastened) or any(c is not Corner.SPARE for c, _ in (*self.fitting, *self.leaving))

    @property
    def clones(self) -> tuple[WheelPlan, ...]:
        return tuple(w for w in self.wheels if w.choice is IdChoice.CLONE)

    @property
    def paired(self) -> tuple[str, ...]:
        """The wheels of the coming set that share an ID with a wheel of another set, by the plan, old clones included."""
        others = [w.as_on(self.then) for w in self.plan.wheels if not w.is_in(self.coming.id)]
        return tuple(w.wheel for w in self.wheels if any(share_an_id(self.garage, w, other) for other in others))

    @property
    def teaching(self) -> TeachPlan | None:
        """What the plan says of teaching this set to this car on this day."""
        rows = [t for t in self.plan.teachings if (t.car, t.set) == (self.car.id, self.coming.id)]
        return next((t for t in rows if t.day >= min(self.then, rows[-1].day)), None) if rows else None

    @property
    def teaches(self) -> bool:
        return self.teaching is not None and self.teaching.certain

    @property
    def learns_gauged(self) -> bool:
        """Whether the car keeps the pressures that are in its tyres as what is right."""
        return self.car.monitor is Monitor.INDIRECT or (self.direct and bool(self.car.stores_reference))

    @property
    def sets_pressures(self) -> bool:
        """Whether the pressures are set in this job, before the car is taught or driven."""
        return self.extent.changes or self.extent is Extent.PRESSURES or self.learns_gauged

    @property
    def tolerance(self) -> PressureSpan:
        """How far a gauge reading may be from the figure: the gauge's own spread, at least 5 kPa."""
        s = self.card.situation
        return PressureSpan(max(5.0, s.spread_gauge.half_width if s else 5.0))

    @property
    def torque_figure(self) -> str:
        """The fastening torque, as this person reads it; where it is not noted, where it is found."""
        return self.units.show_torque(self.car.torque) if self.car.torque else "the handbook's figure"

    def p(self, kpa: float) -> str:
        """A gauge pressure of so many kPa, as this person reads it."""
        return self.units.show_pressure(GaugePressure(kpa))

    def name(self, wheel: str) -> str:
        return self.garage.wheels[wheel].name

    def parts(self, wheel: str) -> Parts:
        return parts_on(self.garage, wheel, self.plan.day)

    def setting(self, wheel: str) -> WheelSetting | None:
        return next((s for s in self.card.wheels if s.wheel == wheel), None)

    def corner_of(self, wheel: str) -> Corner:
        return next(corner for corner, w in self.coming.wheels if w == wheel)

    def tool(self, kind: Instrumentation) -> Instrument | None:
        return next((i for i in self.garage.instrument if i.kind is kind), None)

    @cached_property
    def _every_id(self) -> frozenset[SensorId]:
        """Every ID of the household and of its cars' lists, and every one that this plan gives."""
        planned = (w.id for w in self.plan.wheels if w.id is not None)
        return frozenset((*(one.id for one in known_ids(self.garage)), *planned))

    def tail(self, one: SensorId | None) -> int:
        """How many last digits of an ID tell it from every other of the household, of a car's list, and from its own other readings."""
        if one is None:
            return 0
        digits = one.hex
        others = {o.hex for o in self._every_id if o.key != one.key}
        others |= {f"{n:0{len(digits)}X}" for n in reversed_forms(one.number, one.bits) if n != one.number}
        return next(
            (n for n in range(TAIL, len(digits)) if not any(o[-n:] == digits[-n:] for o in others)), len(digits)
        )

    def spoken(self, sensor_id: SensorId | None) -> str:
        """An ID as the sheet prints it: hex in groups, decimal beside it."""
        if sensor_id is None:
            return "the ID that you note"
        return f"{sensor_id.aloud()} (decimal {sensor_id.aloud(PrintForm.DECIMAL)})"


def ask_id(job: Job, wheel: str, one: SensorId | None, tells: Tells, *, required: bool = True) -> Ask:
    """The ID that a wheel's sensor sends; `one` is what it should be."""
    return Ask(
        slug("id", wheel), Asked.ID, Channel.TRIGGER, f"ID that wheel {job.name(wheel)} sends", tells, wheel,
        wanted=one, required=required, tail=job.tail(one),
    )  # fmt: skip


def ask_pressure(
    job: Job, wheel: str, tells: Tells, aim: GaugePressure | None = None, within: PressureSpan | None = None
) -> Ask:
    """What the gauge reads at a wheel; `aim` is what it should read, give or take the gauge's own tolerance."""
    return Ask(
        slug("pressure", wheel), Asked.PRESSURE, Channel.GAUGE, f"Gauge at wheel {job.name(wheel)}", tells, wheel,
        pressure=aim, within=(within or job.tolerance) if aim else None,
    )  # fmt: skip


def ask_by_temperature(job: Job, line: WheelSetting, planned: Temperature, tells: Tells) -> Ask:
    """What the gauge reads, with the figure that would be right at each temperature of the tyre."""
    rows = line.by_temperature
    return replace(
        ask_pressure(job, line.wheel, tells, line.gauge_shows),
        by_temperature=tuple((row.thermometer_shows, row.gauge_shows) for row in rows),
        least_by_temperature=tuple((row.thermometer_shows, row.least) for row in rows if row.least),
        temperature=planned,
    )


def ask_listed() -> Ask:
    """Which IDs the car's list holds, held against those on the step."""
    options = (one for one in Listed if one is not Listed.HEARD)
    label = "The IDs that the car holds, against those above"
    return pick("list", label, options, Listed.JUST_THESE, Tells.KNOWN_IDS, Channel.PORT, words=True)


def pressure_step(job: Job, wheel: str) -> str:
    """The id of the step at which a wheel gets its pressure: to the card's figure, or to one that has to be found first."""
    on_card = job.setting(wheel) is not None and job.card.situation is not None
    return step_id(Does.SET_PRESSURE if on_card else Does.FIND_PRESSURE, wheel)
