"""A gauge pressure where an absolute one is wanted."""

from wheelside.air.gas import heated
from wheelside.units import GaugePressure, Temperature

heated(GaugePressure(240), Temperature(290), Temperature(280))
