"""What a vehicle identification number says. It is answered about and forgotten: kept nowhere, written to no log."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.car.vin import CFR_565, ISO_3779, ISO_3780, Vin, read_vin
from wheelside.finding import Basis
from wheelside.jobs.source import today


@dataclass(frozen=True, slots=True)
class VinRead:
    """What a number says, in sentences; nothing of it fills in a fact."""

    says: Vin
    lines: tuple[str, ...]
    basis: tuple[Basis, ...]


def vin_says(text: str, on: date | None = None) -> VinRead:
    """What a number says on a day. Raises BadText, which does not repeat it."""
    vin = read_vin(text, on or today())
    checked = (
        "Its check digit is right."
        if vin.check_digit
        else "Its ninth character says nothing: outside North America no check digit is wanted."
    )
    return VinRead(
        vin, (checked, f"Region of the maker: {vin.region}.", _year(vin), _so_what(vin)), (ISO_3779, ISO_3780, CFR_565)
    )


def _year(vin: Vin) -> str:
    if not vin.years:
        return "Its tenth character names no model year; many makers outside North America use none."
    years = " or ".join(str(year) for year in vin.years)
    if vin.years_certain:
        return f"Model year {years}."
    return f"Model year {years}, if its maker follows the rule of North America, which it need not."


def _so_what(vin: Vin) -> str:
    small = " Its maker builds few; three more characters name it." if vin.small_maker else ""
    return f"Where a car was made is not where it was sold: band, lamp rule and sizes are to be looked up. Nothing of this was noted.{small}"
