"""What the ID of one sensor, as it was read from print or by trigger, gives cause to doubt."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.ids import print_beside, sensor_readings
from wheelside.garage.mistaken import mistaken_for
from wheelside.garage.model import Garage, Sensor
from wheelside.said import Joined, Key, Said, listed, say
from wheelside.sensor.reading import Readings

_FILE = (Basis(Ground.OWNER, "garage file"),)


def reading_doubts(garage: Garage, sensor: Sensor, about: Said) -> Iterator[Finding]:
    """Not read, of no sensor, of several readings, put right, or something else than an ID. `about`: the wheel."""
    sends = Key("sensor", "sends", sensor.id)
    readings = sensor_readings(garage, sensor)
    if readings is None:
        text = say("The ID of its sensor is not known, so it can't be compared with the others.")
        way = note(say("trigger it, and note what it sends as {key}", key=sends))
        yield Finding(Weight.ASK, "unread-id", about, text, (Basis(Ground.UNKNOWN),), way)
    else:
        yield from _as_read(readings, about, sends)
    if other := mistaken_for(sensor.sends or sensor.printed or ""):
        way = Way(WayKind.FIND_OUT, say("look at the print again, or trigger it"))
        yield Finding(Weight.WARNING, "not-an-id", about, say("{other}.", other=other.said), _FILE, way)
    if sensor.sends and sensor.printed and print_beside(garage, sensor) is None:
        text = say("Its print, '{print}', can't be read as an ID; what it sends counts.", print=sensor.printed)
        yield Finding(Weight.NOTE, "print-not-read", about, text, (sensor.basis("printed"),))


def _as_read(readings: Readings, about: Said, sends: Key) -> Iterator[Finding]:
    if readings.empty:
        text = "'{print}' is {empty}, which stands for no sensor: its ID is not known."
        way = note(say("trigger it again, and note what it sends as {key}", key=sends))
        said = say(text, print=readings.text, empty=readings.empty)
        yield Finding(Weight.WARNING, "empty-id", about, said, _FILE, way)
    elif readings.only is None:
        ways = [say("{id} ({form}, {bits} bits)", id=r.id.hex, form=r.form, bits=r.id.bits) for r in readings.all]
        text = "'{print}' can be {ways}; all are counted as carried."
        said = say(text, print=readings.text, ways=listed(ways, Joined.OR))
        settle = Way(WayKind.FIND_OUT, readings.settle) if readings.settle else None
        yield Finding(Weight.ASK, "ambiguous-id", about, said, (Basis(Ground.UNKNOWN),), settle)
    else:
        for assumed in dict.fromkeys(a for reading in readings.all for a in reading.assumed):
            note_of = say("'{print}': {assumed}.", print=readings.text, assumed=assumed)
            yield Finding(Weight.NOTE, "id-put-right", about, note_of, _FILE)
