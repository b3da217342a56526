"""The kinds of values that only garages have."""

from __future__ import annotations

import re
from dataclasses import dataclass

from wheelside.declared.kinds import Kind, Unfit, quantity, reading, shown
from wheelside.errors import BadQuantity
from wheelside.garage.words import VehicleKind
from wheelside.rim.fasten import read_thread
from wheelside.rim.size import read_bolt_circle, read_rim_size
from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.sidewall import read_designation
from wheelside.units import (
    Duration,
    GaugePressure,
    Length,
    Share,
    read_duration,
    read_gauge_pressure,
    read_length,
    read_share,
)


def _read_life(text: str) -> Duration:
    """A life of parts. Raises BadQuantity."""
    life = read_duration(text)
    if not 1 <= life.years <= 100:
        raise BadQuantity(f"{text!r} is no life of a sensor: write 1 to 100 years", found=text, expected="9 years")
    return life


_ET = re.compile(r"\s*ET\s*([-+]?\d{1,3}(?:[.,]\d)?)\s*(?:mm)?\s*", re.IGNORECASE)


def _read_inset(text: str) -> Length:
    """An inset as a length, or as it is cast in rims: ET 50 for 50 mm. Raises BadQuantity."""
    cast = _ET.fullmatch(text)
    return read_length(f"{cast[1]} mm" if cast else text)


INSET = quantity(_read_inset, "48 mm", "a length")
LIFE = quantity(_read_life, "9 years", "a life of 1 to 100 years")


def _bits(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or value % 4 or not 16 <= value <= 64:
        raise Unfit(shown(value), "a width in bits: 24, 28 or 32", "write bits = 32 (or 24, 28), without quotes")
    return value


BITS = Kind(
    "a width in bits: 24, 28 or 32", _bits, lambda: {"type": "integer", "minimum": 16, "maximum": 64, "multipleOf": 4}
)


def _date_code(text: str) -> str:
    read_date_code(text)
    return text.strip()


DESIGNATION = reading(read_designation, "205/55 R16 91V", "a tyre designation")
RIM_SIZE = reading(read_rim_size, "6.5Jx16", "a rim size")
BOLT_CIRCLE = reading(read_bolt_circle, "5x112", "a bolt circle")
THREAD = reading(read_thread, "M14x1.5", "a thread")
DATE_CODE = reading(_date_code, "3519", "a date code")

_OUT_OF_SCOPE = {
    "motorcycle": "motorcycles are out of scope: their wheels have no corners",
    "trailer": "trailers are out of scope: this car's monitor does not watch them",
    "caravan": "trailers are out of scope: this car's monitor does not watch them",
    "truck": "only cars and light vans with single wheels are in scope",
    "bus": "only cars and light vans with single wheels are in scope",
    "van with twin wheels": "twin wheels are out of scope: two tyres share a corner, and pressures and loads differ",
}


def _vehicle(value: object) -> VehicleKind:
    try:
        return VehicleKind(str(value))
    except ValueError:
        why = _OUT_OF_SCOPE.get(
            str(value).strip().lower(), "Wheelside looks after cars and light vans with single wheels"
        )
        raise Unfit(shown(value), "'car' or 'light van'", f"{why}; leave this vehicle out") from None


VEHICLE = Kind("'car' or 'light van'", _vehicle, lambda: {"enum": [k.value for k in VehicleKind]})


@dataclass(frozen=True, slots=True)
class WarningRule:
    """The car's own rule: so far below the placard or the stored reference, or a fixed gauge pressure."""

    share: Share | None = None
    of: str = "placard"
    pressure: GaugePressure | None = None


def _warning_rule(value: object) -> WarningRule:
    expected = "'25 % below placard', '20 % below reference' or a pressure such as '1.9 bar'"
    if not isinstance(value, str):
        raise Unfit(shown(value), expected)
    try:
        if found := re.fullmatch(r"(.+%)\s+below\s+(?:the\s+)?(placard|reference)", value.strip(), re.IGNORECASE):
            share = read_share(found[1])
            if not 0.01 <= share.fraction <= 0.6:
                raise Unfit(shown(value), expected, "give a share from 1 % to 60 %")
            return WarningRule(share=share, of=found[2].lower())
        return WarningRule(pressure=read_gauge_pressure(value))
    except BadQuantity as error:
        raise Unfit(shown(value), expected, error.message) from error


WARNING_RULE = Kind(
    "'25 % below placard', '20 % below reference' or '1.9 bar'",
    _warning_rule,
    lambda: {"type": "string", "examples": ["25 % below placard", "1.9 bar"]},
)
