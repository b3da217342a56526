"""What to try with a trigger at the seller's, and what each outcome means for this car."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import COMMON_PRACTICE, Basis
from wheelside.fit.price import part_money
from wheelside.fit.verdict import Part
from wheelside.garage.ids import car_band, car_bits
from wheelside.garage.model import Car, Garage


@dataclass(frozen=True, slots=True)
class Trial:
    """One outcome of triggering a wheel: what is seen, and what it means."""

    seen: str
    means: str
    basis: tuple[Basis, ...]


def trials(garage: Garage, car: Car) -> tuple[Trial, ...]:
    """The outcomes, from the best to the worst; none for a car that listens to no sensors."""
    if car.monitor is not None and not car.direct:
        return ()
    units = garage.units.choice
    each = units.show_money(part_money(garage)[Part.SENSOR])
    band, bits = car_band(garage, car), car_bits(garage, car)
    on = f"on {band.value}" if band else "on the car's band, which is not known yet"
    wide = f"an ID of {bits} bits" if bits else "an ID as wide as the car's"
    rows = (
        (
            f"It answers {on} with {wide}; its pressure lies within 15 kPa of the gauge.",
            "Good. Write the ID down as it is shown.",
        ),
        ("It answers on the other band only.", f"It works, for another car. Take {each} off for each wheel."),
        (
            "Its ID has another width.",
            f"It is of another family; this car will not understand it. Take {each} off for each.",
        ),
        ("It says that its battery is low.", f"A few months are left. Take {each} off for that wheel."),
        (
            "Its pressure is more than 15 kPa beside the gauge, or its temperature more than 5 °C beside the air.",
            f"Suspect: let the wheels come to the temperature of the air, try again; else take {each} off.",
        ),
        (
            "No answer, but a metal valve.",
            "It may sleep, or be empty, or there is none behind it. Inflate, trigger, let air out, wait, roll; try again.",
        ),
        (
            "No answer after all of that.",
            f"Reckon with a new sensor: take {each} off for that wheel. It is not proven to be dead.",
        ),
        ("A plain rubber valve.", f"Most likely no sensor. Take {each} off for that wheel."),
    )
    return tuple(Trial(seen, means, (COMMON_PRACTICE,)) for seen, means in rows)
