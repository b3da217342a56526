"""Reading a metric tyre designation: '205/55 R16 91V', 'P205/55R16 89H', '215/60 R17C 109/107T', '… XL'."""

from __future__ import annotations

import re
from dataclasses import dataclass

from wheelside.errors import BadText
from wheelside.tyre.load import load_of
from wheelside.tyre.speed import speed_of

MM_PER_RIM_CODE = 25.4
_FORM = re.compile(
    r"(?P<prefix>P|LT)?\s*(?P<width>[0-9]{3})\s*/\s*(?P<aspect>[0-9]{2})\s*"
    r"(?P<zr>Z)?(?P<build>R|-|D)F?\s*(?P<rim>[0-9]{2}(?:\.5)?)\s*(?P<van>C)?"
    r"(?:\s+(?P<extra1>XL))?"
    r"(?:\s*\(?(?P<index>[0-9]{2,3})(?:/(?P<twin>[0-9]{2,3}))?\s*(?P<speed>[A-Z][0-9]?)\)?)?"
    r"(?:\s*(?P<extra2>XL|EXTRA LOAD|REINF(?:ORCED)?\.?))?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Designation:
    """A tyre's size and service description. `load_index` and `speed_symbol` are None where not written."""

    width_mm: int
    aspect_pct: int
    rim_code: float
    prefix: str = ""
    van: bool = False
    extra_load: bool = False
    load_index: int | None = None
    speed_symbol: str | None = None

    @property
    def size(self) -> str:
        """The size alone, as placards print it: '205/55 R16'."""
        rim = f"{self.rim_code:g}{'C' if self.van else ''}"
        return f"{self.prefix}{self.width_mm}/{self.aspect_pct} R{rim}"

    @property
    def text(self) -> str:
        service = "" if self.load_index is None else f" {self.load_index}{self.speed_symbol}"
        return f"{self.size}{service}{' XL' if self.extra_load else ''}"

    @property
    def section_height_mm(self) -> int:
        """H = S * aspect, rounded to the millimetre; UN R30 paragraph 6.1 (from memory)."""
        return int(self.width_mm * self.aspect_pct / 100 + 0.5)

    @property
    def diameter_mm(self) -> int:
        """D = d + 2 H with the rim rounded to the millimetre; UN R30 paragraph 6.1 (from memory)."""
        return int(self.rim_code * MM_PER_RIM_CODE + 0.5) + 2 * self.section_height_mm

    @property
    def rolling_circumference_mm(self) -> float:
        """3.05 D for radial passenger tyres; ETRTO."""
        return 3.05 * self.diameter_mm


def read_designation(text: str) -> Designation:
    """The designation that `text` says. Raises BadText with an example."""
    found = _FORM.fullmatch(text.strip())
    if not found:
        raise BadText(
            f"{text!r} is no tyre designation that Wheelside reads: write it as on the sidewall, '205/55 R16 91V'",
            found=text,
            expected="a metric designation such as 205/55 R16 91V",
        )
    if found["build"] in "-Dd" or found["prefix"] in ("LT", "lt"):
        raise BadText(
            f"{text!r}: only radial car and C-type van tyres are in scope", found=text, expected="205/55 R16 91V"
        )
    index = int(found["index"]) if found["index"] else None
    speed = found["speed"].upper() if found["speed"] else None
    if index is not None:
        load_of(index)
    if speed is not None:
        speed_of(speed)
    return Designation(
        width_mm=int(found["width"]),
        aspect_pct=int(found["aspect"]),
        rim_code=float(found["rim"]),
        prefix=(found["prefix"] or "").upper(),
        van=bool(found["van"]),
        extra_load=bool(found["extra1"] or found["extra2"]),
        load_index=index,
        speed_symbol=speed,
    )
