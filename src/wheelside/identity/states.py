"""How far an ID has come: from planned and reserved, over written and heard, to known to the car; or retired."""

from __future__ import annotations

from collections.abc import Iterable

from wheelside.garage.ids import sensor_readings
from wheelside.garage.model import Garage, Sensor
from wheelside.identity.reserve import Reservation
from wheelside.identity.roll import Roll
from wheelside.said import Coded
from wheelside.sensor.ident import SensorId


class IdState(Coded):
    """The states of an ID, each later than the one before; retired ones never come back."""

    TO_NOTE = "to-note", "to be noted"
    PLANNED = "planned"
    RESERVED = "reserved"
    WRITTEN = "written"
    READ_BACK = "read-back", "read back"
    HEARD = "heard"
    KNOWN = "known", "known to the car"
    RETIRED = "retired"


def id_state(
    garage: Garage, roll: Roll, reserved: Iterable[Reservation], wheel: str, sensor: Sensor | None, one: SensorId | None
) -> IdState:
    """The state of the ID that a wheel is to carry, as far as the file and the reservations show it.

    `sensor`: the one that is in the wheel and stays, None where another comes.
    """
    if one is None:
        return IdState.TO_NOTE
    if one.key in roll.retired:
        return IdState.RETIRED
    if sensor is not None and one.key in {i.key for i in roll.carried_by(sensor)}:
        return _carried(garage, roll, reserved, sensor, one)
    set_aside = any(r.wheel == wheel and r.id.key == one.key and not r.released for r in reserved)
    return IdState.RESERVED if set_aside else IdState.PLANNED


def _carried(garage: Garage, roll: Roll, reserved: Iterable[Reservation], sensor: Sensor, one: SensorId) -> IdState:
    """The state of an ID that the sensor carries now."""
    if one.key in roll.in_lists:
        return IdState.KNOWN
    ours = any(r.id.key == one.key for r in reserved)
    if sensor.sends and sensor_readings(garage, sensor):
        return IdState.READ_BACK if ours else IdState.HEARD
    return IdState.WRITTEN if ours else IdState.PLANNED
