"""A sensor ID: a number of a stated width in a stated family, and the two forms in which it is printed."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.said import Coded

WIDTHS = (24, 28, 32)
"""Widths in bits that car sensors use. Common practice, no source but for 32 (a 2010 case study)."""


class PrintForm(Coded):
    """The two forms in which IDs are printed."""

    HEX = "hex"
    DECIMAL = "decimal"


class Empty(Coded):
    """What stands for no sensor, in every width: all zeros or all ones. Common practice, no source."""

    ZEROS = "zeros", "all zeros"
    ONES = "ones", "all ones"


def empty_numbers(bits: int) -> dict[int, Empty]:
    """The numbers of a width, in bits, that are the ID of no sensor."""
    return {number: empty for number in (0, (1 << bits) - 1) if (empty := SensorId("", bits, number).empty)}


@dataclass(frozen=True, slots=True, order=True)
class SensorId:
    """The number that a sensor sends.

    `family` is the owner's label, '' where not known; `bits` is the width, `number` 0 to 2**bits - 1.
    Numbers are unique inside one family at best, so IDs are compared with their families.
    """

    family: str
    bits: int
    number: int

    def __post_init__(self) -> None:
        if not 0 <= self.number < 1 << self.bits:
            raise ValueError(f"{self.number} does not fit {self.bits} bits")

    @property
    def key(self) -> tuple[int, int]:
        """Width and number: what a receiver compares, whatever the owner calls the family."""
        return self.bits, self.number

    @property
    def empty(self) -> Empty | None:
        """Which of the two it is where it stands for no sensor, else None."""
        return Empty.ZEROS if self.number == 0 else Empty.ONES if self.number == (1 << self.bits) - 1 else None

    @property
    def bare(self) -> SensorId:
        """The same of no family, as a car's list holds it."""
        return SensorId("", self.bits, self.number)

    def printed(self, form: PrintForm) -> str:
        """All digits of the ID in one form, leading zeros kept."""
        return digits_of(self.number, self.bits, form)

    @property
    def hex(self) -> str:
        return self.printed(PrintForm.HEX)

    @property
    def decimal(self) -> str:
        return self.printed(PrintForm.DECIMAL)

    def aloud(self, form: PrintForm = PrintForm.HEX) -> str:
        """The digits in groups for reading aloud: '2C41 A7F3', '0 742 500 339'."""
        return grouped(self.printed(form), 4 if form is PrintForm.HEX else 3)


def digits_of(number: int, bits: int, form: PrintForm) -> str:
    """`number` in one print form, padded with zeros to the width of `bits`."""
    if form is PrintForm.HEX:
        return f"{number:0{bits // 4}X}"
    return f"{number:0{decimal_digits(bits)}d}"


def decimal_digits(bits: int) -> int:
    """How many decimal digits the largest ID of a width takes: 8, 9, 10 for 24, 28, 32 bits."""
    return len(str((1 << bits) - 1))


def grouped(digits: str, size: int) -> str:
    """`digits` in groups of `size`, counted from the right, one space between them."""
    first = len(digits) % size
    parts = [digits[:first]] if first else []
    parts += [digits[i : i + size] for i in range(first, len(digits), size)]
    return " ".join(parts)


def reversed_forms(number: int, bits: int) -> frozenset[int]:
    """The numbers that `number`, of `bits`, can be with its bytes in the other order.

    One where the width is whole bytes. Where half a byte is over, as in 28 bits, such an ID travels in whole bytes behind a status
    digit that is not known: one number for each status digit (0, as zeros in front leave it, among them), and the one with all its
    hex digits in the other order. Common practice, no source.
    """
    if bits % 8 == 0:
        return frozenset({int.from_bytes(number.to_bytes(bits // 8, "big"), "little")})
    if bits % 4:
        return frozenset()
    size, whole = bits // 8 + 1, (1 << bits) - 1
    turned = {int.from_bytes((status << bits | number).to_bytes(size, "big"), "little") & whole for status in range(16)}
    return frozenset(turned | {int(digits_of(number, bits, PrintForm.HEX)[::-1], 16)})
