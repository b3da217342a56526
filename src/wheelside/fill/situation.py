"""The circumstances of one air card, with what each rests on, or what has to be found out first."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.air.atmosphere import WEATHER_SPREAD_KPA, standard_air
from wheelside.air.gas import gauge_elsewhere
from wheelside.fill.contradictions import AskFirst, contradictions
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.model import Car, Garage, Instrument
from wheelside.garage.wishes import Conditions
from wheelside.garage.words import TyreState
from wheelside.said import Distance, Key, Option, Said, Table, say
from wheelside.units import (
    AbsolutePressure,
    Duration,
    GaugePressure,
    Length,
    PressureSpan,
    Temperature,
    TemperatureSpan,
    UnitChoice,
)

DEFAULT_TEMPERATURE_SPREAD = TemperatureSpan(3.0)
DEFAULT_GAUGE_SPREAD = PressureSpan(5.0)
LEAST_TOLD_KPA = 0.5
"""No gauge shows less; half of the last digit in which pressures are printed."""
NO_BIAS = TemperatureSpan(0.0)
MIGHT_BE = Length(1_000_000.0)
"""How high a place may lie whose height is not known: 1000 m. Judgement."""
_DEFAULT = Basis(Ground.DEFAULT, "shown on the card")


@dataclass(frozen=True, slots=True)
class Uncertain:
    """One uncertain input: its half-width in its own inside unit (K or kPa), and what that rests on."""

    half_width: float
    basis: Basis


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything about the air that a card needs; temperatures are the tyre's own, cold.

    `thermometer_bias`: what the thermometer in hand shows too much. `coldest` and `warmest` always hold the use between them.
    """

    units: UnitChoice
    now: Temperature
    use: Temperature
    coldest: Temperature
    warmest: Temperature
    air_here: AbsolutePressure
    air_there: AbsolutePressure
    next_check: Duration | None
    gauge_bias: PressureSpan
    gauge_bias_basis: Basis
    gauge_name: str
    spread_now: Uncertain
    spread_use: Uncertain
    spread_gauge: Uncertain
    spread_air_here: Uncertain
    spread_air_there: Uncertain
    bases: tuple[tuple[str, Basis], ...]
    findings: tuple[Finding, ...]
    thermometer_bias: TemperatureSpan = NO_BIAS

    @property
    def thermometer_now(self) -> Temperature:
        """What the thermometer in hand shows of the tyre now."""
        return self.now + self.thermometer_bias

    @property
    def tells_apart(self) -> PressureSpan:
        """The difference below which the gauge in hand shows nothing for sure: no remark is made of less."""
        return PressureSpan(max(LEAST_TOLD_KPA, self.spread_gauge.half_width))


def situation(garage: Garage, car: Car) -> Situation | tuple[Finding, ...]:
    """The situation that the garage's conditions describe for a car; only findings where it can't be had."""
    c = garage.conditions
    if c.tyres is TyreState.HOT:
        return (_hot(),)
    if c.looks_flat:
        return (_flat(),)
    missing = tuple(_missing(c))
    if missing or c.tyre_temperature is None or c.temperature_of_use is None:
        return missing
    meter = garage.instruments.get(c.thermometer or "")
    bias = (meter.temperature_bias if meter else None) or NO_BIAS
    now, use = Temperature(c.tyre_temperature.kelvin - bias.kelvin), c.temperature_of_use
    notes = list(contradictions(c, now, use))
    air_here, here_spread, air_there, there_spread = _airs(garage, car)
    gauge = garage.instruments.get(c.gauge or "")
    spread = gauge.pressure_spread if gauge else None
    notes += _height(garage, car, now, use, spread or DEFAULT_GAUGE_SPREAD)
    if gauge is None or spread is None:
        notes.append(
            _note(
                "gauge-spread",
                "Gauge",
                say("The gauge's spread is not known; ± {spread} is taken.", spread=DEFAULT_GAUGE_SPREAD),
                say("note {key}", key=Key("instrument", "pressure_spread", gauge.id))
                if gauge
                else say("note it in {table}", table=Table("instrument")),
            )
        )
    if c.warmest is None or c.coldest is None:
        text = say(
            "The coldest and warmest cold tyre before the next check are not given; now and the use are taken for both."
        )
        coldest, warmest = Key("conditions", "coldest"), Key("conditions", "warmest")
        notes.append(
            _note("range", "Conditions", text, say("give {coldest} and {warmest}", coldest=coldest, warmest=warmest))
        )
    return Situation(
        units=garage.units.choice,
        now=now,
        use=use,
        coldest=min(c.coldest or now, use),
        warmest=max(c.warmest or now, use),
        air_here=air_here,
        air_there=air_there,
        gauge_bias=gauge.pressure_bias if gauge and gauge.pressure_bias else PressureSpan(0.0),
        gauge_bias_basis=gauge.basis("pressure_bias")
        if gauge and gauge.pressure_bias
        else Basis(Ground.UNKNOWN, "taken as 0"),
        gauge_name=gauge.name if gauge else "any gauge",
        next_check=c.next_check,
        spread_now=_spread(c, "tyre_temperature_spread", meter),
        spread_use=_spread(c, "temperature_of_use_spread"),
        spread_gauge=Uncertain(spread.kpa, gauge.basis("pressure_spread"))
        if gauge and spread
        else Uncertain(DEFAULT_GAUGE_SPREAD.kpa, _DEFAULT),
        spread_air_here=here_spread,
        spread_air_there=there_spread,
        bases=_bases(c, place_height=home_height(garage, car) is not None),
        findings=tuple(notes),
        thermometer_bias=bias,
    )


def home_height(garage: Garage, car: Car) -> Length | None:
    """The height above sea level at which the pressures are set, by the conditions or by where the car stands."""
    place = garage.places.get(car.stands_at or "")
    return garage.conditions.height_here or (place.height if place else None)


def _bases(c: Conditions, *, place_height: bool) -> tuple[tuple[str, Basis], ...]:
    """What each temperature and air pressure of the situation rests on."""
    taken = Basis(Ground.DEFAULT, "now and the use, for it is not given")
    by_height = Basis(Ground.STANDARD, "International Standard Atmosphere, by height") if place_height else _DEFAULT
    return (
        ("now", c.basis("tyre_temperature")),
        ("use", c.basis("temperature_of_use")),
        ("coldest", c.basis("coldest") if c.coldest else taken),
        ("warmest", c.basis("warmest") if c.warmest else taken),
        ("air_here", c.basis("air_here") if c.air_here else by_height),
        ("air_there", c.basis("air_there") if c.air_there else by_height),
    )


def _note(code: str, about: str, text: Said, way_out: Said) -> Finding:
    return Finding(Weight.ASK, code, about, text, (_DEFAULT,), note(way_out))


def _hot() -> Finding:
    return Finding(
        Weight.FORBIDDEN,
        "hot-tyre",
        "Tyres",
        say("The tyres are hot. A hot tyre is never let down to a cold figure: it would be too low once cold."),
        (Basis(Ground.PRACTICE, "carmakers' handbooks; no source"),),
        Way(
            WayKind.WAIT,
            say(
                "Let no air out. Park for three hours, out of the sun, then ask again with the tyres cold. If a tyre reads "
                "below its placard even while hot, bring it up to the placard now and set it properly once cold."
            ),
        ),
    )


def _flat() -> Finding:
    return Finding(
        Weight.FORBIDDEN,
        "looks-flat",
        "Tyres",
        say("A tyre looks flat, or was driven flat. It is not pumped up and driven on: it may be broken inside."),
        (Basis(Ground.PRACTICE, "tyre makers' advice at large; no source"),),
        Way(
            WayKind.LEAVE,
            say(
                "Leave the car where it stands. Fit the spare as the handbook says, or have a tyre shop look at the tyre inside and out."
            ),
        ),
    )


def _missing(c: Conditions) -> list[Finding]:
    asks = []
    if "looks_flat" in c.not_known:
        asks.append(("looks_flat", say("whether a tyre looks flat"), "once you have walked round the car"))
    if c.tyre_temperature is None:
        asks.append(("tyre_temperature", say("the tyres' own temperature now"), "--tyre 20C"))
    if c.temperature_of_use is None:
        asks.append(("temperature_of_use", say("the temperature of the cold tyre outside before a drive"), "--use -5C"))
    return [
        Finding(
            Weight.ASK,
            f"no-{key.replace('_', '-')}",
            "Conditions",
            say("Not known: {what}. No pressure can be worked out without it.", what=what),
            (Basis(Ground.UNKNOWN),),
            note(say("give {key}{option}", key=Key("conditions", key), option=Option(option))),
        )
        for key, what, option in asks
    ]


def _spread(c: Conditions, key: str, meter: Instrument | None = None) -> Uncertain:
    given: TemperatureSpan | None = getattr(c, key)
    if given is None and meter and meter.temperature_spread:
        return Uncertain(meter.temperature_spread.kelvin, meter.basis("temperature_spread"))
    if given is None:
        return Uncertain(DEFAULT_TEMPERATURE_SPREAD.kelvin, _DEFAULT)
    return Uncertain(given.kelvin, c.basis(key))


def _air_at(c: Conditions, home: Length | None) -> tuple[AbsolutePressure, AbsolutePressure]:
    """The air pressure here and there, measured or by height; `home` is the height here, sea level where not known."""
    here = c.air_here or standard_air(home or Length(0.0))
    there_height = c.height_there or home or Length(0.0)
    there = c.air_there or (c.air_here if c.height_there is None and c.air_here else standard_air(there_height))
    return here, there


def _height(
    garage: Garage, car: Car, now: Temperature, use: Temperature, tells_apart: PressureSpan
) -> tuple[Finding, ...]:
    """What not knowing the height here costs: what a tyre set as for sea level reads otherwise, where it is set higher up."""
    c = garage.conditions
    if home_height(garage, car) is not None or c.air_here is not None:
        return ()
    height = max(c.height_there or MIGHT_BE, MIGHT_BE)
    set_to = GaugePressure(0.0)
    (low_here, low_there), (high_here, high_there) = _air_at(c, None), _air_at(c, height)
    more = gauge_elsewhere(set_to, now, high_here, use, high_there) - gauge_elsewhere(
        set_to, now, low_here, use, low_there
    )
    if abs(more.kpa) < max(LEAST_TOLD_KPA, tells_apart.kpa):
        return ()
    text = say(
        "The height above sea level where you set them is not known; sea level is taken. It makes a difference of {span}: "
        "at {height} the tyres will read that much {more} in use than said here.",
        span=PressureSpan(abs(more.kpa)), height=Distance(height), more=say("less") if more.kpa < 0 else say("more"),
    )  # fmt: skip
    here = Key("conditions", "height_here")
    way = say("give {here}", here=here)
    if car.stands_at:
        way = say("give {here}, or {place}", here=here, place=Key("place", "height", car.stands_at))
    return (_note(AskFirst.HEIGHT, "Conditions", text, way),)


def _airs(garage: Garage, car: Car) -> tuple[AbsolutePressure, Uncertain, AbsolutePressure, Uncertain]:
    """The air pressure here and there, and how uncertain each is."""
    c = garage.conditions
    here, there = _air_at(c, home_height(garage, car))
    weather = Basis(Ground.JUDGEMENT, "weather moves air pressure by about ± 2 kPa")
    measured = Uncertain(0.5, Basis(Ground.MEASURED, "air pressure in the garage file"))
    by_height = Uncertain(WEATHER_SPREAD_KPA, weather)
    return here, (measured if c.air_here else by_height), there, (measured if c.air_there else by_height)
