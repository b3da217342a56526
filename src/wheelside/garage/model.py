"""The garage as frozen data. Each class is one table of the garage file; each field is one of its keys.

The declarations here are the only ones: the reader, the JSON Schema and the reference page all
come from them. None, or an empty tuple, means that the fact is not known.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property

from wheelside import units as u
from wheelside.declared.kinds import DAY, TEXT, YES_NO, ByCorner, ListOf, Ref, Rows, choice, fact, whole
from wheelside.declared.row import (
    AIR,
    DISTANCE,
    DRIVEN,
    DURATION,
    GAUGE,
    LENGTH,
    MASS,
    MONEY,
    PRESSURE_SPAN,
    SPEED,
    TEMPERATURE_SPAN,
    TORQUE,
    TYRE_TEMPERATURE,
    Row,
    Thing,
)
from wheelside.garage import asked
from wheelside.garage.kinds import (
    BITS,
    BOLT_CIRCLE,
    DESIGNATION,
    INSET,
    RIM_SIZE,
    THREAD,
    VEHICLE,
    WARNING_RULE,
    WarningRule,
)
from wheelside.garage.parts import Joining as Joining  # noqa: PLC0414  parts are tables of a garage like any other
from wheelside.garage.parts import Rim as Rim  # noqa: PLC0414
from wheelside.garage.parts import Sensor as Sensor  # noqa: PLC0414
from wheelside.garage.parts import TreadMeasured as TreadMeasured  # noqa: PLC0414
from wheelside.garage.parts import Tyre as Tyre  # noqa: PLC0414
from wheelside.garage.parts import Wheel as Wheel  # noqa: PLC0414
from wheelside.garage.stay import Outing, Seen, StandIn, Stay
from wheelside.garage.wishes import Conditions, Costs, Odds, PlanWishes, PrintUnits
from wheelside.garage.words import (
    AtRest,
    Band,
    Corner,
    Fastening,
    Heard,
    Instrumentation,
    Monitor,
    Seat,
    Skill,
    Standard,
    Teaching,
    VehicleKind,
    WhenFull,
)
from wheelside.rim.fasten import Thread
from wheelside.rim.size import BoltCircle, RimSize
from wheelside.sensor.ident import PrintForm
from wheelside.tyre.designation import Designation


@dataclass(frozen=True, slots=True, kw_only=True)
class Place(Thing):
    """Where a car stands or a set is kept."""

    open_air: bool | None = fact(YES_NO, "Whether it is open to the air (a carport, a yard).")
    height: u.Length | None = fact(DISTANCE, "Height above sea level.")
    room: int | None = fact(whole(0, 100_000), "How many sets can be kept there; optional.")
    hot: bool | None = fact(YES_NO, "Whether most afternoons of its summer are above 35 °C: sensors age faster there.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Listening(Row):
    """One time that the owner listened at one end of a path, with a receiver, for a set at the other."""

    set: str = fact(Ref("set"), "The wheel set that lay at the other end.", required=True)
    heard: bool = fact(YES_NO, "Whether any of its sensors was heard.", required=True)
    lasted: u.Duration | None = fact(DURATION, "How long was listened.")
    on: date | None = fact(DAY, "The day.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Path(Row):
    """How far two places lie apart, what is between, and whether one is heard at the other."""

    between: tuple[str, ...] = fact(ListOf(Ref("place"), 2), "The two places.", required=True)
    distance: u.Length | None = fact(DISTANCE, "The straight distance.")
    walls: tuple[str, ...] = fact(ListOf(TEXT, 20), "The walls between, one word for each: brick, wood, steel.")
    heard: Heard | None = fact(
        choice(Heard),
        "Your word on whether sensors at one place are heard by a car at the other; without it, that is computed. "
        "Beside a distance, 'no' counts only where the link budget does not speak against it.",
    )
    listened: tuple[Listening, ...] = fact(Rows(Listening), "When you listened along this path, and what came.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Family(Thing):
    """Sensors that speak the same frames, under the owner's own label."""

    band: Band | None = fact(choice(Band), "The band on which they transmit.")
    bits: int | None = fact(BITS, "Width of their IDs in bits (24, 28 and 32 are usual).")
    printed: PrintForm | None = fact(choice(PrintForm), "Whether the print on the sensor is hex or decimal.")
    prefix: str | None = fact(TEXT, "Leading hex digits that all IDs of the family share.")
    unlike: tuple[str, ...] = fact(ListOf(Ref("family"), 50), "Families proven to be different from this one.")
    rest_interval: u.Duration | None = fact(DURATION, "How often they send in a wheel that stands still.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacardRow(Row):
    """One row of the pressure placard. All pressures are cold and gauge."""

    tyre: Designation = fact(DESIGNATION, "The tyre size that the row is for.", required=True)
    load: str = fact(TEXT, "The load that the row is for: 'normal', 'full'.", required=True)
    front: u.GaugePressure | None = fact(GAUGE, "Front axle.")
    rear: u.GaugePressure | None = fact(GAUGE, "Rear axle.")
    spare: u.GaugePressure | None = fact(GAUGE, "Spare wheel.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Held(Row):
    """One set of IDs that the car's list holds now: those of a wheel set, or written out."""

    set: str | None = fact(Ref("set"), "The wheel set whose IDs the car knows.")
    as_of: date | None = fact(DAY, "The day on which it was taught or read; the set is taken as it was joined then.")
    ids: tuple[str, ...] = fact(ListOf(TEXT, 20), "The IDs as the car shows them, where corners are not known.")
    corners: tuple[tuple[Corner, str], ...] = fact(ByCorner(TEXT), "The IDs as the car shows them, by corner.")

    @property
    def texts(self) -> tuple[tuple[Corner | None, str], ...]:
        """What is written out, by corner where that is said."""
        return (*((None, text) for text in self.ids), *self.corners)


@dataclass(frozen=True, slots=True, kw_only=True)
class Car(Thing):
    """A car or a light van with single wheels."""

    kind: VehicleKind = fact(VEHICLE, "What it is.", default=VehicleKind.CAR)
    twin_wheels: bool = fact(
        YES_NO, "Whether an axle has two tyres a side; such vehicles are out of scope.", default=False
    )
    somebody_elses: bool = fact(
        YES_NO, "Whether it is somebody else's: it is heard and hears, and nothing is planned for it.", default=False
    )
    stands_at: str | None = fact(Ref("place"), "Where it is parked.")
    monitor: Monitor | None = fact(choice(Monitor), "How it watches its tyres.", asked=asked.MONITOR)
    standard: Standard | None = fact(choice(Standard), "The warning standard it was approved to.")
    band: Band | None = fact(choice(Band), "The band that its receiver listens on.")
    family: str | None = fact(Ref("family"), "The sensor family that it understands.")
    remembers_sets: int | None = fact(whole(1, 10), "How many wheel sets its list holds.", asked=asked.REMEMBERS_SETS)
    remembers_ids: int | None = fact(whole(1, 40), "How many IDs its list holds, where sets are not spoken of.")
    when_full: WhenFull | None = fact(
        choice(WhenFull), "What a full list forgets when another set is taught.", asked=asked.WHEN_FULL
    )
    other_set: bool | None = fact(
        YES_NO,
        "Whether it has wheels besides those noted; false where you said that there are none.",
        asked=asked.OTHER_SET,
    )
    holds: tuple[Held, ...] | None = fact(
        Rows(Held), "What its list holds now, oldest first; [] for nothing.", default=None
    )
    spare_counted: bool | None = fact(YES_NO, "Whether the spare wheel is monitored.", asked=asked.SPARE_COUNTED)
    corner_aware: bool | None = fact(YES_NO, "Whether it tells corners apart.", asked=asked.CORNER_AWARE)
    taught_by: Teaching | None = fact(choice(Teaching), "How it comes to accept IDs.", asked=asked.TAUGHT_BY)
    teach_order: tuple[Corner, ...] = fact(ListOf(choice(Corner), 5), "The order of corners in step-by-step teaching.")
    teach_wheel_limit: u.Duration | None = fact(DURATION, "Time allowed for each wheel while teaching.")
    teach_total_limit: u.Duration | None = fact(DURATION, "Time allowed for all wheels while teaching.")
    abort_erases: bool | None = fact(
        YES_NO, "Whether a broken-off teaching empties the list.", asked=asked.ABORT_ERASES
    )
    rest_before: u.Duration | None = fact(DURATION, "How long it must stand before it learns.")
    drive_for: u.Duration | None = fact(DURATION, "How long it must be driven to learn or to check.")
    drive_above: u.Speed | None = fact(SPEED, "The speed above which that drive counts.")
    stores_reference: bool | None = fact(YES_NO, "Whether the owner tells it that the pressures are right.")
    dash_shows: bool | None = fact(YES_NO, "Whether the dash shows a pressure for each wheel.", asked=asked.DASH_SHOWS)
    dash_parked: bool | None = fact(YES_NO, "Whether the dash shows them while the car is parked, ignition on.")
    dash_offset: u.AbsolutePressure | None = fact(AIR, "The fixed air pressure that the dash takes off, where it does.")
    dash_step: u.PressureSpan | None = fact(PRESSURE_SPAN, "The step in which the dash shows pressures.")
    warns_at: WarningRule | None = fact(WARNING_RULE, "The car's own warning rule, where it is known.")
    placard: tuple[PlacardRow, ...] = fact(Rows(PlacardRow), "The rows of the pressure placard.")
    axle_load_front: u.Mass | None = fact(MASS, "Greatest permitted load on the front axle.")
    axle_load_rear: u.Mass | None = fact(MASS, "Greatest permitted load on the rear axle.")
    load_index: int | None = fact(whole(0, 130), "The load index that the car requires.", asked=asked.LOAD_INDEX)
    speed_symbol: str | None = fact(TEXT, "The speed symbol that the car requires.", asked=asked.SPEED_SYMBOL)
    bolt_circle: BoltCircle | None = fact(BOLT_CIRCLE, "Bolt circle, such as 5x112.", asked=asked.CAR_BOLT_CIRCLE)
    centre_bore: u.Length | None = fact(LENGTH, "Hub diameter.", asked=asked.CAR_CENTRE_BORE)
    inset: u.Length | None = fact(
        INSET, "Inset of its own rims, positive outward of the mounting face.", asked=asked.CAR_INSET
    )
    width_in: RimSize | None = fact(RIM_SIZE, "Width of its own rims as stamped, such as 6.5J.", asked=asked.CAR_WIDTH)
    torque: u.Torque | None = fact(TORQUE, "Fastening torque from the handbook.", asked=asked.TORQUE)
    fastening: Fastening | None = fact(
        choice(Fastening), "Whether bolts or nuts hold its wheels.", asked=asked.FASTENING
    )
    thread: Thread | None = fact(THREAD, "Thread of the bolts or studs, such as M14x1.5.")
    seat: Seat | None = fact(choice(Seat), "The seat of its own bolts or nuts.", asked=asked.CAR_SEAT)
    fastener_length: u.Length | None = fact(
        LENGTH, "Shank of its bolts below the seat, or how far its studs reach beyond the mounting face."
    )
    room_inside: u.Length | None = fact(
        LENGTH,
        "Least room, measured with the wheel turned to both locks, between the present tyre and what lies inward.",
    )
    room_outside: u.Length | None = fact(
        LENGTH, "Least room, measured with the wheel turned to both locks, between the present tyre and the arch."
    )
    least_rim: int | None = fact(whole(10, 30), "The smallest rim, in inches, that goes over its brakes.")
    approved: tuple[Designation, ...] = fact(
        ListOf(DESIGNATION, 50), "Tyres that handbook or papers allow besides those on the placard."
    )
    all_wheel_drive: bool | None = fact(YES_NO, "Whether all wheels are driven.")
    top_speed: u.Speed | None = fact(SPEED, "Its greatest speed.")
    speedometer_shows: u.Speed | None = fact(SPEED, "What its speedometer showed in a comparison, on approved tyres.")
    speedometer_true: u.Speed | None = fact(SPEED, "The true speed in that comparison, by satellite or stop watch.")
    season_distance: u.Length | None = fact(DRIVEN, "How far it is driven on one set in one season.")

    @property
    def direct(self) -> bool:
        return self.monitor is Monitor.DIRECT

    @property
    def planned(self) -> bool:
        """Whether IDs are planned for it: it goes by sensors, and is no one else's."""
        return self.direct and not self.somebody_elses

    @property
    def monitored_corners(self) -> tuple[Corner, ...]:
        corners = (Corner.FRONT_LEFT, Corner.FRONT_RIGHT, Corner.REAR_LEFT, Corner.REAR_RIGHT)
        return (*corners, Corner.SPARE) if self.spare_counted else corners

    @property
    def slots(self) -> int | None:
        """How many sets the list holds; None where neither sets nor IDs are stated."""
        if self.remembers_sets is not None:
            return self.remembers_sets
        if self.remembers_ids is not None:
            return self.remembers_ids // len(self.monitored_corners)
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelSet(Thing):
    """Wheels that go on a car together, each meant for a corner."""

    wheels: tuple[tuple[Corner, str], ...] = fact(ByCorner(Ref("wheel")), "Which wheel is meant for which corner.")
    on_offer: bool = fact(
        YES_NO,
        "Whether somebody offers it and it is not yours: it is judged, and no plan counts on it.",
        default=False,
    )
    price: u.Money | None = fact(MONEY, "What is asked for it, or what you paid.", asked=asked.PRICE)
    goes_on: str | None = fact(
        Ref("car"), "The car that it goes on, where the season line does not say so yet; by default any of yours."
    )
    sold: date | None = fact(DAY, "The day on which it is sold, sensors and all; its IDs are never given out again.")
    scrapped: date | None = fact(DAY, "The day on which it is scrapped, sensors and all.")

    @property
    def leaves(self) -> date | None:
        """The first day on which it is not the owner's any more; None where it stays."""
        return min((day for day in (self.sold, self.scrapped) if day is not None), default=None)

    def gone_by(self, day: date) -> bool:
        """Whether it is not the owner's any more on a day."""
        return self.leaves is not None and self.leaves <= day


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank(Row):
    """New sensors in hand that can be written, for whichever wheel needs one."""

    family: str = fact(Ref("family"), "Their family.", required=True)
    count: int = fact(whole(0, 100_000), "How many there are.", required=True)
    each: u.Money | None = fact(MONEY, "What one counts for; nothing by default, for it is paid for.")
    or_families: tuple[str, ...] = fact(ListOf(Ref("family"), 20), "Other families that they can be written as.")
    at_rest: AtRest | None = fact(choice(AtRest), "What they do in a wheel that stands still.")

    @property
    def families(self) -> tuple[str, ...]:
        """The families that one of them can be written as, its own first."""
        return (self.family, *(f for f in self.or_families if f != self.family))

    @property
    def key(self) -> tuple[str, tuple[str, ...], str, int]:
        """What tells two rows apart."""
        price = self.each.hundredths if self.each else 0
        return self.family, tuple(sorted(self.families[1:])), self.at_rest.value if self.at_rest else "", price


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer(Thing):
    """The handheld that writes sensors, as the owner describes it."""

    can: tuple[Skill, ...] = fact(
        ListOf(choice(Skill), 3), "What it can do: 'given', 'copy', 'own'.", asked=asked.SKILLS
    )
    families: tuple[str, ...] = fact(ListOf(Ref("family"), 100), "The families that it can write.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument(Thing):
    """Something that measures. The bias is what it reads too much."""

    kind: Instrumentation = fact(choice(Instrumentation), "What it is.", required=True)
    pressure_bias: u.PressureSpan | None = fact(PRESSURE_SPAN, "How much too high it reads (negative: too low).")
    pressure_spread: u.PressureSpan | None = fact(
        PRESSURE_SPAN, "Half-width within which its readings lie, bias taken off."
    )
    temperature_bias: u.TemperatureSpan | None = fact(TEMPERATURE_SPAN, "How much too warm it reads.")
    temperature_spread: u.TemperatureSpan | None = fact(TEMPERATURE_SPAN, "Half-width within which its readings lie.")
    checked: date | None = fact(DAY, "When it was last compared with a better one.")


@dataclass(frozen=True, slots=True, kw_only=True)
class RetiredId(Row):
    """An ID that is never to be given out again: its sensor was sold, scrapped or lost."""

    id: str = fact(TEXT, "The ID as printed.", required=True)
    family: str | None = fact(Ref("family"), "Its family.")
    since: date | None = fact(DAY, "When it was retired.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate(Row):
    """How cold a morning usually is in one month, at a place or everywhere: twelve lines make a year."""

    month: int = fact(whole(1, 12), "The month: 1 is January.", required=True)
    morning: u.Temperature = fact(TYRE_TEMPERATURE, "The usual temperature outside in the morning.", required=True)
    place: str | None = fact(Ref("place"), "The place; without it, wherever nothing else is said.")


FORMAT_VERSION = 1


@dataclass(frozen=True, kw_only=True)
class Garage(Row):
    """Everything that one garage file says."""

    wheelside: int = fact(whole(1, FORMAT_VERSION), "Version of this file's format: 1.", required=True)
    title: str | None = fact(TEXT, "What this garage is called.")
    units: PrintUnits = fact(Rows(PrintUnits, many=False), "How to print.", default=PrintUnits())
    place: tuple[Place, ...] = fact(Rows(Place), "Places.")
    path: tuple[Path, ...] = fact(Rows(Path), "Paths between places.")
    family: tuple[Family, ...] = fact(Rows(Family), "Sensor families.")
    car: tuple[Car, ...] = fact(Rows(Car), "Cars.")
    rim: tuple[Rim, ...] = fact(Rows(Rim), "Rims.")
    tyre: tuple[Tyre, ...] = fact(Rows(Tyre), "Tyres.")
    sensor: tuple[Sensor, ...] = fact(Rows(Sensor), "Sensors.")
    wheel: tuple[Wheel, ...] = fact(Rows(Wheel), "Wheels.")
    set: tuple[WheelSet, ...] = fact(Rows(WheelSet), "Wheel sets.")
    stay: tuple[Stay, ...] = fact(Rows(Stay), "The season line: what is meant.")
    seen: tuple[Seen, ...] = fact(Rows(Seen), "Where wheels really were: goes before the season line.")
    writer: tuple[Writer, ...] = fact(Rows(Writer), "Writers.")
    instrument: tuple[Instrument, ...] = fact(Rows(Instrument), "Instruments.")
    outing: tuple[Outing, ...] = fact(Rows(Outing), "Cars that stand elsewhere for a time.")
    stand_in: tuple[StandIn, ...] = fact(Rows(StandIn), "Wheels that stand in for another for a time.")
    blank: tuple[Blank, ...] = fact(Rows(Blank), "New sensors in hand.")
    retired: tuple[RetiredId, ...] = fact(Rows(RetiredId), "IDs that are never given out again.")
    conditions: Conditions = fact(Rows(Conditions, many=False), "Now, and the use to come.", default=Conditions())
    costs: Costs = fact(Rows(Costs, many=False), "What things cost the owner.", default=Costs())
    odds: Odds = fact(Rows(Odds, many=False), "How likely it is that things go wrong.", default=Odds())
    plan: PlanWishes = fact(Rows(PlanWishes, many=False), "What the plan is to look at.", default=PlanWishes())
    climate: tuple[Climate, ...] = fact(Rows(Climate), "How cold mornings usually are, month by month.")
    asked: tuple[tuple[str, str], ...] = ()
    """Changes that somebody asks for now, car and set, whatever the season line says; no file has them."""

    @cached_property
    def places(self) -> dict[str, Place]:
        return {row.id: row for row in self.place}

    @cached_property
    def paths(self) -> dict[frozenset[str], Path]:
        return {frozenset(row.between): row for row in self.path}

    @cached_property
    def families(self) -> dict[str, Family]:
        return {row.id: row for row in self.family}

    @property
    def own_cars(self) -> tuple[Car, ...]:
        """The owner's cars."""
        return tuple(row for row in self.car if not row.somebody_elses)

    @cached_property
    def cars(self) -> dict[str, Car]:
        return {row.id: row for row in self.car}

    @cached_property
    def rims(self) -> dict[str, Rim]:
        return {row.id: row for row in self.rim}

    @cached_property
    def tyres(self) -> dict[str, Tyre]:
        return {row.id: row for row in self.tyre}

    @cached_property
    def sensors(self) -> dict[str, Sensor]:
        return {row.id: row for row in self.sensor}

    @cached_property
    def wheels(self) -> dict[str, Wheel]:
        return {row.id: row for row in self.wheel}

    @cached_property
    def sets(self) -> dict[str, WheelSet]:
        return {row.id: row for row in self.set}

    @cached_property
    def sets_of(self) -> dict[str, tuple[str, ...]]:
        """The sets that each wheel is in, by id, where it is in any."""
        out: dict[str, tuple[str, ...]] = {}
        for row in sorted(self.set, key=lambda one: one.id):
            for _, wheel in row.wheels:
                out[wheel] = (*out.get(wheel, ()), row.id)
        return out

    def of_its_own(self, wheel_set: WheelSet) -> tuple[tuple[Corner, str], ...]:
        """The wheels of a set that are in no other one, by which it is known where it lies; all of them where there are none."""
        own = tuple((corner, wheel) for corner, wheel in wheel_set.wheels if len(self.sets_of[wheel]) == 1)
        return own or wheel_set.wheels

    def leaves_with(self, wheel: str) -> WheelSet | None:
        """The set with which a wheel leaves, the last of those that it is in; None where one of them stays."""
        sets = [self.sets[name] for name in self.sets_of.get(wheel, ())]
        left = [(one.leaves, one.id) for one in sets if one.leaves is not None]
        return self.sets[max(left)[1]] if sets and len(left) == len(sets) else None

    def wheel_gone_by(self, wheel: str, day: date) -> bool:
        """Whether a wheel is not the owner's any more on a day: every set that it is in has left."""
        left = self.leaves_with(wheel)
        return left is not None and left.gone_by(day)

    @cached_property
    def instruments(self) -> dict[str, Instrument]:
        return {row.id: row for row in self.instrument}
