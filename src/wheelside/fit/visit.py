"""What to try with a trigger at the seller's, and what each outcome means for this car."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import COMMON_PRACTICE, Basis
from wheelside.fit.price import part_money
from wheelside.fit.verdict import Part
from wheelside.garage.ids import car_band, car_bits
from wheelside.garage.model import Car, Garage
from wheelside.said import Said, say


@dataclass(frozen=True, slots=True)
class Trial:
    """One outcome of triggering a wheel: what is seen, and what it means."""

    seen: Said
    means: Said
    basis: tuple[Basis, ...]


def trials(garage: Garage, car: Car) -> tuple[Trial, ...]:
    """The outcomes, from the best to the worst; none for a car that listens to no sensors."""
    if car.monitor is not None and not car.direct:
        return ()
    each = part_money(garage)[Part.SENSOR]
    band, bits = car_band(garage, car), car_bits(garage, car)
    on = say("on {band}", band=band.value) if band else say("on the car's band, which is not known yet")
    wide = say("an ID of {bits} bits", bits=bits) if bits else say("an ID as wide as the car's")
    rows = (
        (
            say("It answers {on} with {wide}; its pressure lies within 15 kPa of the gauge.", on=on, wide=wide),
            say("Good. Write the ID down as it is shown."),
        ),
        (
            say("It answers on the other band only."),
            say("It works, for another car. Take {each} off for each wheel.", each=each),
        ),
        (
            say("Its ID has another width."),
            say("It is of another family; this car will not understand it. Take {each} off for each.", each=each),
        ),
        (
            say("It says that its battery is low."),
            say("A few months are left. Take {each} off for that wheel.", each=each),
        ),
        (
            say("Its pressure is more than 15 kPa beside the gauge, or its temperature more than 5 °C beside the air."),
            say(
                "Suspect: let the wheels come to the temperature of the air, try again; else take {each} off.",
                each=each,
            ),
        ),
        (
            say("No answer, but a metal valve."),
            say(
                "It may sleep, or be empty, or there is none behind it. Inflate, trigger, let air out, wait, roll; try again."
            ),
        ),
        (
            say("No answer after all of that."),
            say("Reckon with a new sensor: take {each} off for that wheel. It is not proven to be dead.", each=each),
        ),
        (say("A plain rubber valve."), say("Most likely no sensor. Take {each} off for that wheel.", each=each)),
    )
    return tuple(Trial(seen, means, (COMMON_PRACTICE,)) for seen, means in rows)
