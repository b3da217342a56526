"""Reading quantities as people write them: '36 psi', '2,5 bar', '-12 °C', '7/32 in'."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from wheelside.errors import BadQuantity
from wheelside.units import quantity as q
from wheelside.units.number import split_number, unmistakable


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: inside = written * factor + offset."""

    factor: float
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """What may stand behind a number in one kind of field, and how large it may be.

    `units` maps each spelling to its unit; `print_units` are the spellings that an error offers;
    `least` and `most` bound the inside value; `guess_least` and `guess_most` bound what a number
    without a unit is taken to have meant.
    """

    name: str
    example: str
    units: Mapping[str, Unit]
    print_units: tuple[str, ...]
    least: float
    most: float
    guess_least: float
    guess_most: float


def _spellings(table: Mapping[str, Unit]) -> dict[str, Unit]:
    return {name: unit for names, unit in table.items() for name in names.split("|")}


_PRESSURE = _spellings(
    {
        "kpa": Unit(1.0),
        "bar": Unit(q.KPA_PER_BAR),
        "psi": Unit(q.KPA_PER_PSI),
        "hpa|mbar": Unit(0.1),
        "pa": Unit(0.001),
        "mpa": Unit(1000.0),
        "atm": Unit(q.KPA_PER_ATM),
        "kgf/cm2|kgf/cm²|kg/cm2|kg/cm²": Unit(q.KPA_PER_KGF_CM2),
    }
)
_LENGTH = _spellings(
    {
        "mm": Unit(1.0),
        "cm": Unit(10.0),
        "m|metre|metres|meter|meters": Unit(q.MM_PER_METRE),
        "km": Unit(q.MM_PER_METRE * 1000),
        "mi|mile|miles": Unit(q.MM_PER_MILE),
        'in|inch|inches|"|″': Unit(q.MM_PER_INCH),
        "32nds|32nd": Unit(q.MM_PER_INCH / 32),
        "ft|foot|feet": Unit(q.MM_PER_FOOT),
        "yd|yards": Unit(3 * q.MM_PER_FOOT),
    }
)
_DAY = 86400.0
_DURATION = _spellings(
    {
        "s|sec|second|seconds": Unit(1.0),
        "min|minute|minutes": Unit(60.0),
        "h|hour|hours": Unit(3600.0),
        "d|day|days": Unit(_DAY),
        "week|weeks": Unit(7 * _DAY),
        "year|years": Unit(q.DAYS_PER_YEAR * _DAY),
    }
)

_TEMPERATURE = _spellings(
    {
        "°c|c|degc|deg c|º c|ºc|° c": Unit(1.0, q.KELVIN_AT_0_C),
        "°f|f|degf|deg f|ºf|° f": Unit(q.KELVIN_PER_F, q.KELVIN_AT_0_C - 32 * q.KELVIN_PER_F),
        "k": Unit(1.0),
    }
)
_TEMPERATURE_SPAN = {name: Unit(unit.factor) for name, unit in _TEMPERATURE.items()}

GAUGE = Dimension("gauge pressure", "2.5 bar", _PRESSURE, ("bar", "psi", "kpa"), -110, 2000, 50, 500)
ABSOLUTE = Dimension("absolute pressure", "1013 hPa", _PRESSURE, ("hpa", "kpa", "bar", "psi"), 0, 2000, 60, 110)
PRESSURE_SPAN = Dimension("pressure difference", "0.05 bar", _PRESSURE, ("bar", "psi", "kpa"), -300, 300, 0.5, 60)
TEMPERATURE = Dimension("temperature", "-12 °C", _TEMPERATURE, ("°C", "°F"), 0, 600, 213.15, 383.15)
TYRE_TEMPERATURE = Dimension(
    "tyre temperature", "-12 °C", _TEMPERATURE, ("°C", "°F"), 213.15, 363.15, 213.15, 363.15,
)  # fmt: skip
TEMPERATURE_SPAN = Dimension("temperature difference", "3 °C", _TEMPERATURE_SPAN, ("°C", "°F"), -300, 300, 0, 80)
LENGTH = Dimension("length", "35 mm", _LENGTH, ("mm", "in"), -2000, 2000, 3, 1000)
TREAD = Dimension("tread depth", "5 mm", _LENGTH, ("mm", "in", "32nds"), 0, 40, 0.5, 30)
DISTANCE = Dimension("distance", "25 m", _LENGTH, ("m", "ft", "km"), 0, 1e9, 100, 1e7)
DRIVEN = Dimension("distance driven", "7500 km", _LENGTH, ("km", "mi"), 1e8, 1e12, 1e9, 1e12)
MASS = Dimension(
    "mass", "1060 kg", _spellings({"kg": Unit(1.0), "lb|lbs": Unit(q.KG_PER_LB), "g": Unit(0.001), "t": Unit(1000.0)}),
    ("kg", "lb"), 0, 1e5, 100, 5000,
)  # fmt: skip
SPEED = Dimension(
    "speed", "80 km/h", _spellings({"km/h|kmh|kph": Unit(1.0), "mph": Unit(q.KMH_PER_MPH), "m/s": Unit(3.6)}),
    ("km/h", "mph"), 0, 1000, 5, 500,
)  # fmt: skip
TORQUE = Dimension(
    "torque", "120 Nm",
    _spellings({"nm|n m|n·m|n*m": Unit(1.0), "ft-lb|lb-ft|ft lb|lb ft|lbf ft|ft·lbf": Unit(q.NM_PER_FT_LB)}),
    ("Nm", "lb-ft"), 0, 2000, 40, 400,
)  # fmt: skip
DURATION = Dimension("duration", "20 min", _DURATION, ("s", "min", "h"), 0, 1e10, 1, 86400)
SHARE = Dimension("share", "25 %", {"%": Unit(0.01)}, ("%",), 0, 10, 0, 1)

_GAUGE_MARK = re.compile(r"(?:\s*\(?(?:gauge|g)\)?)$")
_ABSOLUTE_MARK = re.compile(r"(?:\s*\(?(?:absolute|abs\.?|a)\)?)$")


def _inside(text: str, dim: Dimension) -> float:
    """The inside value of `text` in `dim`. Raises BadQuantity with what to write instead."""
    values, digits, unit = split_number(text)
    known = dim.units.get(unit.casefold())
    if known is None:
        raise _unit_error(text, values[0], digits, unit, dim)
    fitting = [v for v in values if dim.least <= v * known.factor + known.offset <= dim.most]
    if not fitting:
        raise BadQuantity(
            f"{text!r} can't be a {dim.name} here: check the number and its unit (an example: '{dim.example}')",
            found=text,
            expected=f"a {dim.name} such as {dim.example}",
        )
    return _only(fitting, unit, text) * known.factor + known.offset


def _only(values: Sequence[float], unit: str, text: str) -> float:
    """The one value that is left. Raises BadQuantity where the mark can be taken in two ways."""
    if len(values) == 1:
        return values[0]
    ways = [f"'{unmistakable(v)} {unit}'" for v in values]
    raise BadQuantity(
        f"{text!r} can be read in two ways: write {' or '.join(ways)}",
        found=text,
        expected="a number whose mark can't be taken for a thousands mark",
    )


_BARE_DEGREES = ("°", "º", "deg", "degrees")


def _unit_error(text: str, value: float, digits: str, unit: str, dim: Dimension) -> BadQuantity:
    expected = f"a {dim.name} such as {dim.example}"
    if unit and unit not in _BARE_DEGREES:
        offer = ", ".join(dim.print_units)
        return BadQuantity(
            f"{unit!r} in {text!r} is no unit of {dim.name}: use one of {offer}", found=text, expected=expected
        )
    meant = []
    for spelling in dim.print_units:
        u = dim.units[spelling.casefold()]
        if dim.guess_least <= value * u.factor + u.offset <= dim.guess_most:
            meant.append(f"{digits} {spelling}")
    if meant:
        could = " or ".join(meant)
        return BadQuantity(f"{text!r} has no unit: it could mean {could}; write which", found=text, expected=expected)
    return BadQuantity(f"{text!r} has no unit: write one, as in '{dim.example}'", found=text, expected=expected)


def _pressure_unit(text: str, strip: re.Pattern[str], refuse: re.Pattern[str], want: str, other: str) -> str:
    """`text` without its own gauge or absolute mark. Raises BadQuantity when it carries the other one."""
    unit = text.strip().casefold()
    for spelling in ("psi", "bar", "kpa", "mbar"):
        for mark, verdict in ((strip, True), (refuse, False)):
            cut = mark.sub("", unit)
            if cut == unit or not cut.rstrip().endswith(spelling):
                continue
            if verdict:
                return cut
            raise BadQuantity(
                f"{text!r} is marked {other}, but this field holds a {want} pressure: give it as {want}",
                found=text,
                expected=f"a {want} pressure",
            )
    return text


def read_gauge_pressure(text: str) -> q.GaugePressure:
    """The gauge pressure that `text` says, in kPa inside. Raises BadQuantity."""
    return q.GaugePressure(_inside(_pressure_unit(text, _GAUGE_MARK, _ABSOLUTE_MARK, "gauge", "absolute"), GAUGE))


def read_absolute_pressure(text: str) -> q.AbsolutePressure:
    """The absolute pressure that `text` says, in kPa inside. Raises BadQuantity."""
    return q.AbsolutePressure(_inside(_pressure_unit(text, _ABSOLUTE_MARK, _GAUGE_MARK, "absolute", "gauge"), ABSOLUTE))


def read_pressure_span(text: str) -> q.PressureSpan:
    """The pressure difference that `text` says, in kPa inside. Raises BadQuantity."""
    return q.PressureSpan(_inside(text, PRESSURE_SPAN))


def read_temperature(text: str) -> q.Temperature:
    """The temperature that `text` says, in kelvin inside. Raises BadQuantity."""
    return q.Temperature(_inside(text, TEMPERATURE))


def read_tyre_temperature(text: str) -> q.Temperature:
    """The temperature of a tyre, -60 to 90 °C, that `text` says, in kelvin inside. Raises BadQuantity."""
    return q.Temperature(_inside(text, TYRE_TEMPERATURE))


def read_temperature_span(text: str) -> q.TemperatureSpan:
    """The temperature difference that `text` says, in kelvin inside. Raises BadQuantity."""
    return q.TemperatureSpan(_inside(text, TEMPERATURE_SPAN))


def read_length(text: str) -> q.Length:
    """The length that `text` says, in mm inside. Raises BadQuantity."""
    return q.Length(_inside(text, LENGTH))


def read_tread(text: str) -> q.Length:
    """The tread depth that `text` says, in mm inside. Raises BadQuantity."""
    return q.Length(_inside(text, TREAD))


def read_distance(text: str) -> q.Length:
    """The distance that `text` says, in mm inside. Raises BadQuantity."""
    return q.Length(_inside(text, DISTANCE))


def read_driven(text: str) -> q.Length:
    """The distance driven, 100 m to a million km, that `text` says, in mm inside. Raises BadQuantity."""
    return q.Length(_inside(text, DRIVEN))


def read_mass(text: str) -> q.Mass:
    """The mass that `text` says, in kg inside. Raises BadQuantity."""
    return q.Mass(_inside(text, MASS))


def read_speed(text: str) -> q.Speed:
    """The speed that `text` says, in km/h inside. Raises BadQuantity."""
    return q.Speed(_inside(text, SPEED))


def read_torque(text: str) -> q.Torque:
    """The torque that `text` says, in Nm inside. Raises BadQuantity."""
    return q.Torque(_inside(text, TORQUE))


def read_duration(text: str) -> q.Duration:
    """The duration that `text` says, in seconds inside. '20 m' is refused. Raises BadQuantity."""
    if re.search(r"\d\s*m$", text.strip()):
        raise BadQuantity(
            f"{text!r} could be minutes, months or metres: write 'min' for minutes",
            found=text,
            expected="a duration such as 20 min",
        )
    return q.Duration(_inside(text, DURATION))


def read_share(text: str) -> q.Share:
    """The share that `text` says, as a fraction inside. Raises BadQuantity."""
    return q.Share(_inside(text, SHARE))


_SIGNS = {"€": "EUR", "£": "GBP"}


def read_money(text: str) -> q.Money:
    """The amount and currency that `text` says ('25 EUR', '€ 25'). '$' alone is refused. Raises BadQuantity."""
    front = re.fullmatch(r"\s*([A-Za-z]{3}|[€£$])\s*([^A-Za-z€£$]+)", text)
    values, _, unit = split_number(f"{front[2]} {front[1]}" if front else text)
    currency = _SIGNS.get(unit, unit.upper())
    if unit == "$" or not re.fullmatch(r"[A-Z]{3}", currency):
        why = "'$' is the sign of several currencies" if unit == "$" else "no currency stands beside the number"
        raise BadQuantity(f"{text!r}: {why}: write three letters, as in '25 EUR'", found=text, expected="25 EUR")
    value = _only(values, currency, text)
    if not 0 <= value <= 1e6:
        raise BadQuantity(f"{text!r} can't be a price here: write 0 to 1 000 000", found=text, expected="25 EUR")
    return q.Money(Decimal(str(value)).quantize(Decimal("0.01")), currency)
