"""The parts of a job, and the channels by which evidence comes in."""

from __future__ import annotations

from enum import StrEnum


class Stage(StrEnum):
    """The parts of a job, in their order."""

    BEFORE = "Before anything is touched"
    PARTS = "Parts and tools"
    BENCH = "Write new sensors on the bench"
    OFF = "Take wheels off"
    SHOP = "Tyre shop"
    IN_WHEEL = "Write sensors in their wheels"
    SWAP = "Swap the wheels"
    AIR = "Pressures"
    TEACH = "Wake and teach"
    DRIVE = "Drive and look"
    PROOF = "Prove it"
    AFTER = "Afterwards"
    WRONG = "Only if a sensor was written wrongly"


class Does(StrEnum):
    """What is done at a step, as it is kept and compared; what people read is the step's title."""

    FIND_OUT = "find out"
    LOOK = "look"
    READ_CODES = "read codes"
    GAUGE = "gauge"
    TRIGGER = "trigger"
    LAY_OUT = "lay out"
    WRITE = "write"
    READ_BACK = "read back"
    NOTE_BOUGHT = "note bought"
    TAKE_OFF = "take off"
    CHANGE_SENSORS = "change sensors"
    LET_DOWN = "let down"
    INFLATE = "inflate"
    LABEL = "label"
    FIT = "fit"
    STOW_SPARE = "stow spare"
    TORQUE = "torque"
    CARRY_AWAY = "carry away"
    SET_PRESSURE = "set pressure"
    FIND_PRESSURE = "find pressure"
    WAKE = "wake"
    CLEAR_AIR = "clear the air"
    REST = "rest"
    TEACH_BEGIN = "begin teaching"
    TEACH_WHEEL = "teach wheel"
    TEACH_PORT = "teach by port"
    CHOOSE_SET = "choose set"
    CHOOSE_LIST = "choose list"
    STORE_REFERENCE = "store reference"
    DRIVE = "drive"
    START_AGAIN = "start again"
    COMPARE_IDS = "compare IDs"
    SHOW_CORNER = "show corner"
    FILL_CORNER = "fill corner"
    NO_CORNERS = "no corners"
    CHALLENGE = "challenge"
    TORQUE_AGAIN = "torque again"
    STORE = "store"
    TAKEN_OUT = "taken out"
    RECORD = "record"
    WRITTEN_WRONGLY = "written wrongly"


class Channel(StrEnum):
    """How evidence comes in."""

    TYPED = "typed"
    WRITER = "writer"
    TRIGGER = "trigger"
    PORT = "port"
    GAUGE = "gauge"
    PHOTO = "photo"
