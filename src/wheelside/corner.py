"""Where a wheel sits on its car: the one vocabulary that cars, garages and their files share."""

from __future__ import annotations

from enum import StrEnum


class Corner(StrEnum):
    """Where a wheel sits, left and right as seen from the driver's seat."""

    FRONT_LEFT = "front left"
    FRONT_RIGHT = "front right"
    REAR_LEFT = "rear left"
    REAR_RIGHT = "rear right"
    SPARE = "spare"

    @property
    def key(self) -> str:
        """The corner as a key in the file: front_left."""
        return self.value.replace(" ", "_")

    @property
    def axle(self) -> str:
        return self.value.split()[0]


ROAD_CORNERS = (Corner.FRONT_LEFT, Corner.FRONT_RIGHT, Corner.REAR_LEFT, Corner.REAR_RIGHT)
