"""What to look at and try on every wheel at the seller's: with the eyes, by spinning it, with a trigger; and what it means."""

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


@dataclass(frozen=True, slots=True)
class LookAt:
    """One thing to look at or try on every wheel: how, and what it means."""

    code: str
    how: Said
    means: Said
    basis: tuple[Basis, ...]


LOOKS = (
    LookAt(
        "inner-shoulder",
        say("the inner shoulder of the tyre, which the car hides; turn the wheel round."),
        say("Cord, a bulge or a cut: leave the tyre. Worn more than outside: its tread is what is left there."),
        (COMMON_PRACTICE,),
    ),
    LookAt(
        "plugs",
        say("plugs in the tread, all round, in the grooves too."),
        say(
            "In the shoulder or sidewall, or over 6 mm: leave the tyre. In the middle of the tread: ask who mended it, and "
            "whether it was patched from inside."
        ),
        (COMMON_PRACTICE,),
    ),
    LookAt(
        "inner-rim",
        say("the inner side of the rim, all round, for bends, cracks and corrosion."),
        say("Bent or cracked: leave the wheel. Corroded where the tyre sits: it may lose air there."),
        (COMMON_PRACTICE,),
    ),
    LookAt(
        "run-out",
        say(
            "spin it on a balancer, or on a bar through its centre bore, and watch rim edge and tread beside a fixed point."
        ),
        say("The rim's edge wanders: it is bent, leave the wheel. The tread alone wanders: leave the tyre."),
        (COMMON_PRACTICE,),
    ),
)
"""What is always to be looked at and tried, whatever is on offer: no advertisement shows it."""


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
