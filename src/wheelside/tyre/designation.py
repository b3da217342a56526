"""A tyre's size and service description, as read off a sidewall.

Numbers follow ISO 4000-1 and UN R30 where those rule; older and American markings are read as the trade
writes them. `sidewall.py` reads them, this says what they are and prints them back.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

MM_PER_INCH = 25.4
LEAST_RIM_MM = 240
"""Rim codes from here on are millimetres."""


class MarkForm(StrEnum):
    """The ways in which sizes are marked."""

    METRIC = "metric"
    """205/55 R16: width in mm, aspect ratio in percent."""
    FULL = "full section"
    """165 R13: no aspect ratio."""
    INCH = "inch"
    """6.40-13: section width in inches."""
    FLOTATION = "flotation"
    """31x10.50 R15LT: overall diameter and width in inches."""
    LETTER = "letter"
    """FR78-15: a letter for the load, the aspect ratio after it."""


@dataclass(frozen=True, slots=True)
class Service:
    """Load index (for twin wheels too, where written) and speed symbol. `above`: in brackets after ZR."""

    load_index: int
    speed_symbol: str
    twin_index: int | None = None
    above: bool = False

    @property
    def text(self) -> str:
        twin = "" if self.twin_index is None else f"/{self.twin_index}"
        said = f"{self.load_index}{twin}{self.speed_symbol}"
        return f"({said})" if self.above else said


@dataclass(frozen=True, slots=True)
class Designation:
    """A size and its service descriptions.

    `width_mm` and `aspect_pct` are None where the marking does not say them; `head` is what an inch, flotation or letter marking has in
    place of both. `rim_code` is in inches, or in millimetres from 240 on. `build`: 'R' radial, 'B' belted bias, 'D' diagonal.
    `old_speed`: a speed letter within the size (185/70 HR14). `suffix`: 'C', 'CP' or 'LT' after the rim.
    """

    form: MarkForm
    rim_code: float
    width_mm: int | None = None
    aspect_pct: int | None = None
    head: str = ""
    prefix: str = ""
    build: str = "R"
    zr: bool = False
    run_flat: bool = False
    old_speed: str = ""
    suffix: str = ""
    load_range: str = ""
    service: Service | None = None
    second: Service | None = None
    extra_load: bool = False
    standard_load: bool = False
    mud_snow: bool = False

    @property
    def load_index(self) -> int | None:
        return self.service.load_index if self.service else None

    @property
    def speed_symbol(self) -> str | None:
        return self.service.speed_symbol if self.service else None

    @property
    def van(self) -> bool:
        """A C-type van tyre."""
        return self.suffix.startswith("C")

    @property
    def light_truck(self) -> bool:
        """An LT tyre of American marking."""
        return self.prefix == "LT" or self.suffix == "LT"

    @property
    def p_metric(self) -> bool:
        return self.prefix == "P"

    @property
    def iso_passenger(self) -> bool:
        """Whether the load rules of ISO 4000-1 are its own: a radial car tyre of metric marking, with no letters before."""
        return self.form is MarkForm.METRIC and self.build == "R" and self.prefix in ("", "HL") and not self.suffix

    @property
    def size(self) -> str:
        """The size alone, as placards print it: '205/55 R16'. Z and F say nothing of the size and are left out."""
        return self._size("", self.build)

    @property
    def text(self) -> str:
        """Everything that was written, in one spelling: read again it says the same."""
        letter = self.old_speed + ("Z" if self.zr else "")
        parts = [self._size(letter, f"{self.build}{'F' if self.run_flat else ''}")]
        if self.load_range:
            parts[0] += f"/{self.load_range}"
        parts += [self.service.text] if self.service else []
        parts += [f"({self.second.text})"] if self.second else []
        marks = ((self.extra_load, "XL"), (self.standard_load, "SL"), (self.mud_snow, "M+S"))
        return " ".join([*parts, *(word for there, word in marks if there)])

    def _size(self, letter: str, build: str) -> str:
        rim = f"{self.rim_code:g}{self.suffix}"
        if self.form is MarkForm.LETTER:
            return f"{self.head}{'R' if self.build == 'R' else ''}{self.aspect_pct}-{rim}"
        if self.form is MarkForm.METRIC:
            return f"{self.prefix}{self.width_mm}/{self.aspect_pct} {letter}{build}{rim}"
        head = f"{self.prefix}{self.width_mm}" if self.form is MarkForm.FULL else self.head
        return f"{head}-{rim}" if build == "D" and not letter else f"{head} {letter}{build}{rim}"

    @property
    def rim_mm(self) -> int:
        """Nominal rim diameter d, rounded to the millimetre: UN R30 (seen)."""
        return int(self.rim_code if self.rim_code >= LEAST_RIM_MM else self.rim_code * MM_PER_INCH + 0.5)

    @property
    def rim_in(self) -> float:
        """Nominal rim diameter in inches."""
        return self.rim_code / MM_PER_INCH if self.rim_code >= LEAST_RIM_MM else self.rim_code
