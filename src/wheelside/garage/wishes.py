"""What the owner says of now and of the plan: conditions, costs, wishes, units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside import units as u
from wheelside.declared.kinds import DAY, TEXT, YES_NO, ListOf, Ref, choice, fact, one_of, whole
from wheelside.declared.row import (
    AIR,
    DISTANCE,
    DURATION,
    MONEY,
    NOT_KNOWN,
    SHARE,
    TEMPERATURE_SPAN,
    TREAD,
    TYRE_TEMPERATURE,
    Row,
)
from wheelside.garage import asked
from wheelside.garage.kinds import LIFE
from wheelside.garage.words import TakenOut, TyreState
from wheelside.units.show import (
    DECIMAL_MARKS,
    DISTANCE_UNITS,
    MASS_UNITS,
    PRESSURE_UNITS,
    SPEED_UNITS,
    TEMPERATURE_UNITS,
    TREAD_UNITS,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions(Row):
    """What the air card is for: the tyre now, and the use that its pressure is to be right for."""

    tyres: TyreState = fact(choice(TyreState), "Whether the tyres are cold now.", default=TyreState.COLD)
    looks_flat: bool | None = fact(
        YES_NO, "Whether a tyre looks flat now, or was driven flat: no pressure is given then.", asked=asked.LOOKS_FLAT
    )
    tyre_temperature: u.Temperature | None = fact(
        TYRE_TEMPERATURE, "The tyres' own temperature now.", asked=asked.TYRE_TEMPERATURE
    )
    tyre_temperature_spread: u.TemperatureSpan | None = fact(TEMPERATURE_SPAN, "How uncertain that is, half-width.")
    temperature_of_use: u.Temperature | None = fact(
        TYRE_TEMPERATURE,
        "The temperature of the cold tyre, standing outside before a drive, at which the placard is to hold.",
        asked=asked.TEMPERATURE_OF_USE,
    )
    temperature_of_use_spread: u.TemperatureSpan | None = fact(TEMPERATURE_SPAN, "How uncertain that is, half-width.")
    coldest: u.Temperature | None = fact(TYRE_TEMPERATURE, "Coldest cold tyre expected before the next check.")
    warmest: u.Temperature | None = fact(TYRE_TEMPERATURE, "Warmest cold tyre expected before the next check.")
    next_check: u.Duration | None = fact(DURATION, "How long until the pressures are checked again.")
    height_here: u.Length | None = fact(DISTANCE, "Height above sea level where the pressures are set.")
    height_there: u.Length | None = fact(DISTANCE, "Height above sea level where the car is used.")
    air_here: u.AbsolutePressure | None = fact(
        AIR, "Measured air pressure where the pressures are set, not reduced to sea level."
    )
    air_there: u.AbsolutePressure | None = fact(
        AIR, "Measured air pressure where the car is used, not reduced to sea level."
    )
    load: str | None = fact(TEXT, "The placard load that the car is used with.", asked=asked.LOAD)
    as_of: date | None = fact(DAY, "The day for which the temperatures are said, and whether a tyre looks flat.")
    looked_at: tuple[str, ...] = fact(ListOf(Ref("car"), 500), "The cars whose tyres were looked at that day.")
    flat_on: tuple[str, ...] = fact(ListOf(Ref("car"), 500), "Those of them on which a tyre looked flat.")
    gauge: str | None = fact(Ref("instrument"), "The gauge in hand.")
    thermometer: str | None = fact(Ref("instrument"), "The thermometer that gave the tyre temperature.")
    not_known: tuple[str, ...] = fact(ListOf(TEXT, 60), NOT_KNOWN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Costs(Row):
    """The costs and times that the plan goes by. Each one not given takes a default, which the plan shows."""

    hour: u.Money | None = fact(MONEY, "Worth of an hour of the owner's time.", asked=asked.HOUR)
    sensor: u.Money | None = fact(MONEY, "A new sensor of the car's family that can be written.")
    kit: u.Money | None = fact(MONEY, "A valve service kit.")
    fitting: u.Money | None = fact(MONEY, "Tyre off and on at a shop, balancing included, for each wheel.")
    shop_trip: u.Duration | None = fact(DURATION, "The owner's time for one visit to the tyre shop.")
    write: u.Duration | None = fact(DURATION, "Writing one sensor on the bench, read-back and label included.")
    write_mounted: u.Duration | None = fact(
        DURATION, "Writing one sensor in its wheel, letting down and inflating included."
    )
    show_corner: u.Duration | None = fact(DURATION, "Showing that one corner's figure is its own, for a proof.")
    teach: u.Duration | None = fact(DURATION, "Teaching one set to a car, the drive included.")
    teach_paid: u.Money | None = fact(MONEY, "Having a set taught where the owner can't.")
    writer: u.Money | None = fact(MONEY, "A writer that can write given IDs, or having it done, where none is in hand.")
    ring_set: u.Money | None = fact(MONEY, "A set of centring rings.")
    fastener_set: u.Money | None = fact(MONEY, "A set of bolts or nuts with another seat or length.")
    move: u.Duration | None = fact(DURATION, "Taking a set to another place than the first one that its stay names.")
    fault: u.Duration | None = fact(DURATION, "Finding out why the lamp is on, where something went wrong.")
    not_known: tuple[str, ...] = fact(ListOf(TEXT, 60), NOT_KNOWN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds(Row):
    """How likely it is that things go wrong. Each one not given takes a default, which the plan shows."""

    pair_meets: u.Share | None = fact(SHARE, "That two sets with one ID meet after all, within a year.")
    write_wrong: u.Share | None = fact(SHARE, "That a sensor is written wrongly and it shows only on the car.")
    teach_fails: u.Share | None = fact(SHARE, "That a teaching has to be done again.")
    sensor_life: u.Duration | None = fact(LIFE, "The age by which 63 of 100 sensors have failed, such as '9 years'.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanWishes(Row):
    """How far the plan looks and what the owner has decided."""

    horizon_years: int = fact(whole(1, 10), "How many years the plan counts costs and holds rules for.", default=3)
    taken_out: TakenOut = fact(choice(TakenOut), "What becomes of sensors that are taken out.", default=TakenOut.SCRAP)
    keep_at: str | None = fact(Ref("place"), "Where sensors that are taken out are kept.")
    worn_at: u.Length | None = fact(TREAD, "The tread depth at which you replace tyres; 3 mm by default.")
    worn_at_winter: u.Length | None = fact(TREAD, "The same for winter tyres; 4 mm by default.")
    buy_sensors: bool = fact(
        YES_NO, "Whether sensors may be bought; if not, only those in hand are used.", default=True
    )
    shop: bool = fact(
        YES_NO,
        "Whether a tyre shop is at hand; if not, no sensor is changed, for the tyre has to come off.",
        default=True,
        asked=asked.SHOP,
    )
    get_writer: bool = fact(YES_NO, "Whether a writer may be bought, hired or lent where that pays.", default=True)
    not_known: tuple[str, ...] = fact(ListOf(TEXT, 60), NOT_KNOWN)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintUnits(Row):
    """The units in which this garage is read."""

    pressure: str = fact(one_of(PRESSURE_UNITS), "Pressures.", default="bar")
    temperature: str = fact(one_of(TEMPERATURE_UNITS), "Temperatures.", default="°C")
    tread: str = fact(one_of(TREAD_UNITS), "Tread depths.", default="mm")
    mass: str = fact(one_of(MASS_UNITS), "Masses.", default="kg")
    speed: str = fact(one_of(SPEED_UNITS), "Speeds.", default="km/h")
    distance: str = fact(one_of(DISTANCE_UNITS), "Distances and heights.", default="m")
    decimal_mark: str = fact(one_of(DECIMAL_MARKS), "The decimal mark.", default=".")

    @property
    def choice(self) -> u.UnitChoice:
        return u.UnitChoice(
            self.pressure, self.temperature, self.tread, self.mass, self.speed, self.distance, self.decimal_mark
        )
