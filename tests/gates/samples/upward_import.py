"""The air room looks up into the garage."""

from wheelside.garage.model import Garage

ROOM = Garage
