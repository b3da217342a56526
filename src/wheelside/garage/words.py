"""The closed lists of words that a garage file uses."""

from __future__ import annotations

from enum import StrEnum

from wheelside.corner import ROAD_CORNERS as ROAD_CORNERS  # noqa: PLC0414  a word of garage files as much as of port cards
from wheelside.corner import Corner as Corner  # noqa: PLC0414


class VehicleKind(StrEnum):
    """The vehicles in scope."""

    CAR = "car"
    LIGHT_VAN = "light van"


class SeenHow(StrEnum):
    """How it is known where a wheel is: fitted or put away in a job, said by the owner, or by the ID that it sent at its corner."""

    OWNER = "owner"
    FITTED = "fitted"
    TRIGGER = "trigger"


class Monitor(StrEnum):
    """How the car watches its tyres: a sensor in each wheel, wheel speed alone, or not at all."""

    DIRECT = "direct"
    INDIRECT = "indirect"
    NONE = "none"


class Band(StrEnum):
    """The bands on which wheel sensors transmit."""

    MHZ_315 = "315 MHz"
    MHZ_433 = "433.92 MHz"


class Teaching(StrEnum):
    """How a car comes to accept sensor IDs."""

    DRIVING = "driving"
    DRIVING_CORNERS = "driving, finds corners"
    STEPS = "step by step"
    PORT = "port"
    LOCKED = "locked"
    NOT = "not at all"

    @property
    def by_itself(self) -> bool:
        """True where the car adopts IDs that it hears while driving, asked or not."""
        return self in (Teaching.DRIVING, Teaching.DRIVING_CORNERS)


class WhenFull(StrEnum):
    """What a full list forgets when another set is taught: the oldest, one the owner picks, or all."""

    OLDEST = "oldest"
    CHOSEN = "chosen"
    ALL = "all"


class Writing(StrEnum):
    """Whether an ID can be written to a sensor."""

    REWRITABLE = "rewritable"
    WRITE_ONCE = "write once"
    FIXED = "fixed"


class AtRest(StrEnum):
    """What a sensor does in a wheel that stands still."""

    SILENT = "silent"
    TRANSMITS = "transmits"


class Skill(StrEnum):
    """What a writer can do: write a given ID, copy one it has just read, make up its own."""

    GIVEN = "given"
    COPY = "copy"
    OWN = "own"


class Heard(StrEnum):
    """Whether sensors at one place are heard at another; perhaps counts as yes."""

    YES = "yes"
    PERHAPS = "perhaps"
    NO = "no"


class Instrumentation(StrEnum):
    """The kinds of instrument."""

    GAUGE = "gauge"
    THERMOMETER = "thermometer"
    TRIGGER = "trigger"
    RECEIVER = "receiver"
    ADAPTER = "adapter"
    TORQUE_WRENCH = "torque wrench"
    TREAD_GAUGE = "tread gauge"


class TakenOut(StrEnum):
    """What becomes of a sensor that is taken out: scrapped that day, or kept somewhere."""

    SCRAP = "scrap"
    KEEP = "keep"


class TyreState(StrEnum):
    """Cold: parked three hours, or driven less than two kilometres. Common practice, no source."""

    COLD = "cold"
    HOT = "hot"


class Season(StrEnum):
    """The season that a tyre is made for."""

    SUMMER = "summer"
    WINTER = "winter"
    ALL_YEAR = "all year"


class Direction(StrEnum):
    """The side of the car that a tyre with a direction of rotation belongs on."""

    NONE = "none"
    LEFT = "left"
    RIGHT = "right"


class Fastening(StrEnum):
    """What holds the wheel: bolts into the hub, or nuts on its studs."""

    BOLTS = "bolts"
    NUTS = "nuts"


class Seat(StrEnum):
    """The face on which a bolt or nut sits in the rim."""

    CONE = "cone 60°"
    BALL_12 = "ball R12"
    BALL_13 = "ball R13"
    BALL_14 = "ball R14"
    FLAT = "flat"


class Stem(StrEnum):
    """The valve that carries a sensor: a metal one with its nut, or a rubber one that snaps in."""

    METAL = "metal"
    RUBBER = "rubber"


class WinterMark(StrEnum):
    """The mark on a tyre's side: the mountain with the snowflake (UN R117), M+S alone, or none."""

    SNOWFLAKE = "snowflake"
    MUD_SNOW = "M+S"
    NONE = "none"


class Standard(StrEnum):
    """The warning standard to which a car's monitor was approved."""

    US = "49 CFR 571.138"
    UN = "UN R141"
