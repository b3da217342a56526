"""What a job begins with, as it is kept: the planned wheels, the run sheet, and how this person reads figures."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.garage.model import Garage
from wheelside.garage.season import car_place
from wheelside.identity.choice import Action
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.said import Said
from wheelside.sensor.ident import SensorId
from wheelside.sheet.context import NO_CAR
from wheelside.sheet.extent import Extent
from wheelside.sheet.step import RunSheet
from wheelside.units import PressureSpan, UnitChoice


@dataclass(frozen=True, slots=True)
class PlannedWheel:
    """One wheel of the coming set as the plan has it. `id` is None where the ID is still to be noted. `in_hand`: whether
    the new sensor is one of those in hand, `silent` that it is noted as silent at rest."""

    wheel: str
    name: str
    corner: str
    sensor: str | None
    refit: bool
    choice: str
    writes: bool
    id: SensorId | None
    why: Said | str = ""
    in_hand: bool = False
    silent: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class JobStart:
    """One job as it begins; nothing of it changes while it is done. `gauge_bias`: how much the gauge reads too high; None: not known.
    `gauge_id`: the gauge's id. `place`: where the car stands, and pressures are set; '' where that is not known.

    Books keep it for years: a field that is added later needs a default, and so do those of the steps and asks within it.
    """

    car: str
    car_name: str
    coming: str
    coming_name: str
    going: str | None
    going_name: str
    day: date
    monitor: str | None
    taught: bool
    gauge: str
    gauge_bias: PressureSpan | None = None
    units: UnitChoice
    wheels: tuple[PlannedWheel, ...]
    sheet: RunSheet
    gauge_id: str = ""
    place: str = ""


def job_start(garage: Garage, plan: IdentityPlan, sheet: RunSheet) -> JobStart:
    """What the job of a run sheet begins with."""
    car = garage.cars.get(sheet.car, NO_CAR)
    going = garage.sets.get(sheet.going or "")
    teaching = [t for t in plan.teachings if (t.car, t.set) == (sheet.car, sheet.coming) and t.certain]
    gauge = garage.instruments.get(garage.conditions.gauge or "")
    tomorrow = plan.day + timedelta(days=1)
    then = tomorrow if sheet.day == plan.day and plan.is_due(sheet.car, sheet.coming, tomorrow) else sheet.day
    return JobStart(
        car=car.id,
        car_name=car.name,
        coming=sheet.coming,
        coming_name=garage.sets[sheet.coming].name,
        going=sheet.going,
        going_name=going.name if going else "",
        day=sheet.day,
        monitor=car.monitor.value if car.monitor else None,
        taught=bool(teaching) and sheet.extent is not Extent.PRESSURES,
        gauge=gauge.name if gauge else "",
        gauge_bias=gauge.pressure_bias if gauge else None,
        units=garage.units.choice,
        wheels=tuple(_planned(garage, w) for w in plan.of_set(sheet.coming, then)),
        sheet=sheet,
        gauge_id=gauge.id if gauge else "",
        place=_place(garage, sheet) or "",
    )


def _place(garage: Garage, sheet: RunSheet) -> str | None:
    """Where the car stands on the day; None where the owner says a height of another place, or the set goes on no car."""
    elsewhere = garage.conditions.height_here is not None
    return None if elsewhere or sheet.car not in garage.cars else car_place(garage, sheet.car, sheet.day)


def _planned(garage: Garage, w: WheelPlan) -> PlannedWheel:
    return PlannedWheel(
        wheel=w.wheel,
        name=garage.wheels[w.wheel].name,
        corner=w.corner.value,
        sensor=w.sensor,
        refit=w.action is Action.REFIT,
        choice=w.choice.value,
        writes=w.writes,
        id=w.id,
        why=w.why or "",
        in_hand=w.in_hand,
        silent=w.silent,
    )
