"""What a unit meets: the fitted wheels, and the car around it."""

from __future__ import annotations

from dataclasses import dataclass

EMPTY = 0xFFFFFFFF
"""An empty place in a list of IDs."""
SEA_LEVEL_KPA = 101.3
"""What the unit takes off absolute pressures, whatever the height."""

Ids = tuple[int, int, int, int]
"""Front left, front right, rear right, rear left."""
NO_IDS: Ids = (EMPTY, EMPTY, EMPTY, EMPTY)


@dataclass(frozen=True, slots=True)
class PractisedWheel:
    """A fitted wheel: what its sensor sends, if it sends. The pressure is absolute."""

    sensor: int
    kpa: float = 331.3
    celsius: int = 10
    battery_low: bool = False
    sends: bool = True


Wheels = tuple[PractisedWheel | None, PractisedWheel | None, PractisedWheel | None, PractisedWheel | None]
"""By corner, as the lists of IDs; None has no sensor."""
NO_WHEELS: Wheels = (None, None, None, None)


@dataclass(slots=True)
class Around:
    """What all units of the car see. Ignition: 0 off, 1 on, 2 engine running."""

    speed_kmh: int = 0
    ignition: int = 1
    supply_mv: int = 12_600


def ids_of(data: bytes) -> Ids:
    """Four IDs of four bytes, highest byte first."""
    first, second, third, fourth = (int.from_bytes(data[n : n + 4]) for n in range(0, 16, 4))
    return first, second, third, fourth


def bytes_of(ids: Ids) -> bytes:
    """The other way round."""
    return b"".join(number.to_bytes(4) for number in ids)


def pressures(heard: Wheels) -> bytes:
    """Identifier 2120: tenths of a kilopascal."""
    return b"".join((0xFFFF if wheel is None else round(wheel.kpa * 10)).to_bytes(2) for wheel in heard)


def temperatures(heard: Wheels) -> bytes:
    """Identifier 2121: degrees plus 50."""
    return bytes(0xFF if wheel is None else max(0, min(0xFE, wheel.celsius + 50)) for wheel in heard)


def batteries(heard: Wheels) -> bytes:
    """Identifier 2122: bit 0 is the first corner."""
    return bytes((sum(1 << n for n, wheel in enumerate(heard) if wheel is not None and wheel.battery_low),))


def wheel_state(heard: Wheels, lamp: int) -> bytes:
    """The broadcast: 12 bits for each corner in fifths of a kilopascal, absolute, FFF not heard; then two bits for the lamp."""
    bits = 0
    for wheel in heard:
        bits = bits << 12 | (0xFFF if wheel is None else min(0xFFE, round(wheel.kpa * 5)))
    return bits.to_bytes(6) + bytes((lamp & 3, 0))


def heard_by(ids: Ids, fitted: Wheels) -> Wheels:
    """Who is heard at each place of a list, wherever it is fitted."""
    by_id = {wheel.sensor: wheel for wheel in fitted if wheel is not None and wheel.sends}
    first, second, third, fourth = (None if number == EMPTY else by_id.get(number) for number in ids)
    return first, second, third, fourth
