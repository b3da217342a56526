"""What a wheel is made of, as frozen data: rims, tyres, sensors, and how they are joined."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from wheelside import units as u
from wheelside.declared.kinds import DAY, TEXT, YES_NO, ListOf, Ref, Rows, choice, fact, whole
from wheelside.declared.row import DRIVEN, DURATION, GAUGE, LENGTH, MASS, TREAD, Row, Thing
from wheelside.garage import asked
from wheelside.garage.kinds import BITS, BOLT_CIRCLE, DATE_CODE, DESIGNATION, INSET, RIM_SIZE
from wheelside.garage.words import AtRest, Band, Direction, Season, Seat, Stem, WinterMark, Writing
from wheelside.rim.size import BoltCircle, RimSize
from wheelside.tyre.designation import Designation


@dataclass(frozen=True, slots=True, kw_only=True)
class Rim(Thing):
    """One rim. `ids` in place of `id` describes several alike."""

    ALIKE: ClassVar[bool] = True

    max_pressure: u.GaugePressure | None = fact(GAUGE, "Highest cold pressure that the rim is marked for.")
    max_load: u.Mass | None = fact(MASS, "Highest wheel load that the rim is marked for.", asked=asked.RIM_MAX_LOAD)
    bolt_circle: BoltCircle | None = fact(BOLT_CIRCLE, "Bolt circle, such as 5x112.", asked=asked.RIM_BOLT_CIRCLE)
    centre_bore: u.Length | None = fact(LENGTH, "Centre bore.", asked=asked.RIM_CENTRE_BORE)
    inset: u.Length | None = fact(INSET, "Inset.", asked=asked.RIM_INSET)
    width_in: RimSize | None = fact(
        RIM_SIZE, "Size as stamped, such as 6.5Jx16, or the width alone: 6.5J.", asked=asked.RIM_WIDTH
    )
    seat: Seat | None = fact(choice(Seat), "The seat in its bolt holes.", asked=asked.RIM_SEAT)
    seat_depth: u.Length | None = fact(LENGTH, "What lies between the seat and the mounting face.")
    valve_hole: u.Length | None = fact(LENGTH, "Diameter of the valve hole.")
    damaged: bool | None = fact(YES_NO, "Whether it is cracked, bent or welded.")


@dataclass(frozen=True, slots=True, kw_only=True)
class TreadMeasured(Row):
    """One time that a tyre's tread was measured: its least depth, or across the tread."""

    on: date = fact(DAY, "The day.", required=True)
    tread: u.Length | None = fact(TREAD, "Least tread depth.")
    inner: u.Length | None = fact(TREAD, "Depth in the groove that is next to the car.")
    middle: u.Length | None = fact(TREAD, "Depth in the middle.")
    outer: u.Length | None = fact(TREAD, "Depth in the outermost groove.")
    driven: u.Length | None = fact(DRIVEN, "How far it had run by then, where you know that.")

    @property
    def least_mm(self) -> float | None:
        """The least depth that was noted, in mm; None where none was."""
        depths = [one.mm for one in (self.tread, self.inner, self.middle, self.outer) if one is not None]
        return min(depths, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tyre(Thing):
    """One tyre. `ids` in place of `id` describes several alike."""

    ALIKE: ClassVar[bool] = True

    designation: Designation | None = fact(
        DESIGNATION, "Size and service description from the sidewall.", asked=asked.DESIGNATION
    )
    max_pressure: u.GaugePressure | None = fact(
        GAUGE, "Highest cold pressure marked on the sidewall.", asked=asked.MAX_PRESSURE
    )
    date_code: str | None = fact(DATE_CODE, "Last digits of the tyre's identification number.", asked=asked.DATE_CODE)
    tread: u.Length | None = fact(TREAD, "Least tread depth.", asked=asked.TREAD)
    measured: tuple[TreadMeasured, ...] = fact(Rows(TreadMeasured), "What the tread was on several days.")
    season: Season | None = fact(choice(Season), "What season it is made for.", asked=asked.SEASON)
    direction: Direction | None = fact(choice(Direction), "The side that its direction of rotation allows.")
    winter_mark: WinterMark | None = fact(choice(WinterMark), "The mark for winter use on its side.")
    pattern: str | None = fact(TEXT, "Maker and pattern, in your own words, so that unlike ones are seen.")
    rim_widths: tuple[RimSize, ...] = fact(
        ListOf(RIM_SIZE, 2), "The narrowest and the widest rim that the tyre maker allows, such as 5.5J and 7.5J."
    )
    damaged: bool | None = fact(
        YES_NO, "Whether it has a bulge, a cut to the cord, cracks, or was run flat.", asked=asked.DAMAGED
    )
    repairs: str | None = fact(
        TEXT, "What was repaired on it, such as 'plug in the tread, May 2025', or 'none'; a buyer reads it."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensor(Thing):
    """One sensor, in a wheel or loose. `ids` in place of `id` describes several alike, each with its own ID."""

    ALIKE: ClassVar[bool] = True
    EACH: ClassVar[tuple[str, ...]] = ("printed", "sends")

    printed: str | None = fact(TEXT, "The ID as printed on the sensor.", asked=asked.PRINTED)
    sends: str | None = fact(TEXT, "The ID that it sent when last triggered; goes before the printed one.")
    family: str | None = fact(Ref("family"), "Its family.", asked=asked.FAMILY)
    band: Band | None = fact(choice(Band), "Its band.")
    bits: int | None = fact(BITS, "Width of its ID in bits, where the family does not say.")
    writing: Writing | None = fact(choice(Writing), "Whether an ID can be written to it.", asked=asked.WRITING)
    written: bool | None = fact(YES_NO, "Whether a write-once sensor has been written already.")
    at_rest: AtRest | None = fact(choice(AtRest), "What it does in a wheel that stands still.", asked=asked.AT_REST)
    rest_interval: u.Duration | None = fact(DURATION, "How often it sends at rest, where the family does not say.")
    answers: bool | None = fact(YES_NO, "Whether it answered when last triggered.", asked=asked.ANSWERS)
    first_used: date | None = fact(DAY, "When it was first used.", asked=asked.FIRST_USED)
    first_used_year: int | None = fact(whole(1990, 2100), "The year of its first use, where the day is not known.")
    cold_silent: tuple[date, ...] = fact(
        ListOf(DAY, 100), "Cold mornings on which it was not heard, and was heard again later."
    )
    battery: str | None = fact(TEXT, "Remarks on its battery.")
    battery_low: bool | None = fact(YES_NO, "Whether it says of itself that its battery is low.")
    stem: Stem | None = fact(choice(Stem), "The valve that carries it.", asked=asked.STEM)
    valve_hole: u.Length | None = fact(LENGTH, "The valve hole that its valve is made for.")
    kept_at: str | None = fact(Ref("place"), "Where it is kept while loose.")
    gone: date | None = fact(DAY, "The day on which it was scrapped, sold or lost; its ID is never given out again.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Joining(Row):
    """A rim, a tyre and a sensor joined for a time. `until` is the first day on which they are not."""

    rim: str | None = fact(Ref("rim"), "The rim.")
    tyre: str | None = fact(Ref("tyre"), "The tyre.")
    sensor: str | None = fact(Ref("sensor"), "The sensor, if there is one; [{}] for a wheel known to have none.")
    since: date | None = fact(DAY, "First day.")
    until: date | None = fact(DAY, "First day on which they are joined no more.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wheel(Thing):
    """A wheel through time: the joinings that it has been. `ids` in place of `id` describes several."""

    ALIKE: ClassVar[bool] = True

    joined: tuple[Joining, ...] = fact(
        Rows(Joining),
        "What it is made of, for a time each; by default the rim, the tyre and the sensor that have its own id.",
    )
