"""What the ID of one sensor, as it was read from print or by trigger, gives cause to doubt."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.ids import print_beside, sensor_readings
from wheelside.garage.mistaken import mistaken_for
from wheelside.garage.model import Garage, Sensor
from wheelside.sensor.reading import Readings

_FILE = (Basis(Ground.OWNER, "garage file"),)
_READ = "trigger it, and note what it sends in 'sends'"


def reading_doubts(garage: Garage, sensor: Sensor, about: str) -> Iterator[Finding]:
    """Not read, of no sensor, of several readings, put right, or something else than an ID. `about`: the wheel in words."""
    readings = sensor_readings(garage, sensor)
    if readings is None:
        text = "The ID of its sensor is not known, so it can't be compared with the others."
        yield Finding(Weight.ASK, "unread-id", about, text, (Basis(Ground.UNKNOWN),), _READ)
    else:
        yield from _as_read(readings, about)
    if other := mistaken_for(sensor.sends or sensor.printed or ""):
        way = "look at the print again, or trigger it"
        yield Finding(Weight.WARNING, "not-an-id", about, f"{other.words}.", _FILE, way)
    if sensor.sends and sensor.printed and print_beside(garage, sensor) is None:
        text = f"Its print, '{sensor.printed}', can't be read as an ID; what it sends counts."
        yield Finding(Weight.NOTE, "print-not-read", about, text, (sensor.basis("printed"),))


def _as_read(readings: Readings, about: str) -> Iterator[Finding]:
    if readings.empty:
        text = f"'{readings.text}' is {readings.empty.value}, which stands for no sensor: its ID is not known."
        yield Finding(Weight.WARNING, "empty-id", about, text, _FILE, _READ.replace("it,", "it again,", 1))
    elif readings.only is None:
        ways = " or ".join(f"{r.id.hex} ({r.form.value}, {r.id.bits} bits)" for r in readings.all)
        text = f"'{readings.text}' can be {ways}; all are counted as carried."
        yield Finding(Weight.ASK, "ambiguous-id", about, text, (Basis(Ground.UNKNOWN),), readings.settle)
    else:
        for assumed in dict.fromkeys(note for reading in readings.all for note in reading.assumed):
            yield Finding(Weight.NOTE, "id-put-right", about, f"'{readings.text}': {assumed}.", _FILE)
