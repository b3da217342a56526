"""The parts of a job, its sittings and cards, what is done at its steps, and the channels by which evidence comes in: codes with their words."""

from __future__ import annotations

from wheelside.said import Coded


class Stage(Coded):
    """The parts of a job, in their order."""

    BEFORE = "before", "Before anything is touched"
    PARTS = "parts", "Parts and tools"
    BENCH = "bench", "Write new sensors on the bench"
    OFF = "off", "Take wheels off"
    SHOP = "shop", "Tyre shop"
    IN_WHEEL = "in-wheel", "Write sensors in their wheels"
    SWAP = "swap", "Swap the wheels"
    AIR = "air", "Pressures"
    AWAY = "away", "The wheels that came off"
    TEACH = "teach", "Wake and teach"
    DRIVE = "drive", "Drive and look"
    PROOF = "proof", "Prove it"
    AFTER = "after", "Afterwards"
    WRONG = "wrong", "Only if a sensor was written wrongly"


class Sitting(Coded):
    """A part of a job that is done in one go, in their order."""

    EVENING = "evening", "Evening before"
    SHOP = "at-the-shop", "Shop"
    SWAP = "sitting-swap", "Swap"
    DRIVE = "sitting-drive", "Drive"
    AFTER = "sitting-after", "After"


class OnCard(Coded):
    """One thing to do, on one screen, with a row for each wheel where wheels do the same; in the order of the sittings."""

    NONE = "", ""
    LOOK = "card-look", "Look"
    TAG = "card-tag", "Tag and trigger"
    WRITE = "card-write", "Parts and writing"
    IN_WHEEL = "card-in-wheel", "Write in the wheel"
    NOTE = "card-note", "The note for the shop"
    WHEELS = "card-wheels", "Wheels"
    TORQUE = "card-torque", "Torque"
    AWAY = "card-away", "Put away"
    TEACH = "card-teach", "Teach"
    PRESSURE = "card-pressure", "Pressure and corner"
    REFERENCE = "card-reference", "Store the pressures in the car"
    CODES = "card-codes", "Codes"
    DRIVE = "card-drive", "Drive, start again"
    LIST = "card-list", "Codes and list"
    CORNER = "card-corner", "Corners, after the drive"
    AGAIN = "card-again", "Torque again"
    WEEK = "card-week", "In a week"
    WRONG = "card-wrong", "A sensor was written wrongly"
    LAMP_TEST = "card-lamp-test", "Once a year: light the lamp"


class Does(Coded):
    """What is done at a step, as it is kept and compared; its words name the step in a proof. A step's id is made from it."""

    FIND_OUT = "find-monitor", "Find out how the car watches its tyres"
    LOOK = "snapshot", "Look at the car as it is"
    CODES_BEFORE = "codes-before", "Read the codes from before"
    FETCH = "fetch", "Tag it and gauge it"
    GAUGE = "pressures-before", "Note the pressures before"
    TRIGGER = "answer", "Trigger it before the work"
    LAY_OUT = "parts", "Lay everything out"
    WRITE = "write", "Write the sensor"
    READ_BACK = "read-back", "Read it back and label it"
    NOTE_BOUGHT = "note", "Note the new sensor"
    TAKE_OFF = "off", "Take it off"
    CHANGE_SENSORS = "shop", "Have the sensors fitted"
    LET_DOWN = "let-down", "Let it down"
    INFLATE = "inflate", "Inflate it again and gauge it"
    BRING = "bring", "Bring the wheels to the car"
    LABEL = "label", "Label the wheels"
    FIT = "fit", "Fit it"
    STOW_SPARE = "stow", "Stow the spare"
    TORQUE = "torque", "Torque the fasteners"
    CARRY_AWAY = "carry-away", "Carry the other wheels away from the car"
    SET_PRESSURE = "air", "Set its pressure"
    FIND_PRESSURE = "find-air", "Find out its pressure"
    WAKE = "wake", "Wake it at its corner"
    CLEAR_AIR = "clear-the-air", "Move other wheels away"
    REST = "rest", "Let the car stand"
    TEACH_BEGIN = "teach-begin", "Put the car into teaching"
    TEACH_WHEEL = "teach", "Teach it"
    TEACH_PORT = "teach-port", "Have the IDs written to the car"
    CHOOSE_SET = "choose-set", "Choose the set in the car"
    CHOOSE_LIST = "choose-list", "Choose the list that the set goes into"
    STORE_REFERENCE = "store-reference", "Tell the car that these pressures are right"
    DRIVE = "drive", "Drive"
    START_AGAIN = "second-start", "Switch off, wait, switch on again"
    CODES_NOW = "codes-now", "Read the codes again before the drive"
    CLEAR_CODES = "clear-codes", "Clear old codes of the tyre monitor"
    CODES_AFTER = "codes-after", "Read the codes after the work"
    CLEAR_LATER = "clear-later", "Clear an old code that is no more active"
    COMPARE_IDS = "ids-heard", "Hold the fitted IDs against the plan"
    SHOW_CORNER = "corner", "See that its corner is its corner"
    FILL_CORNER = "corner-back", "Inflate it again after its corner was tried"
    NO_CORNERS = "corners", "Corners can't be shown on this car"
    CHALLENGE = "challenge", "Make the lamp come on"
    LOOK_LATER = "look-later", "Look at the lamp again"
    TORQUE_AGAIN = "retorque", "Torque again"
    STORE = "store", "Store the wheels that came off"
    TAKEN_OUT = "taken-out", "See to the sensors that came out"
    RECORD = "record", "Put the record right"
    WRITTEN_WRONGLY = "written-wrongly", "Find out what each sensor holds now"


class Channel(Coded):
    """How evidence comes in."""

    TYPED = "typed"
    WRITER = "writer"
    TRIGGER = "trigger"
    PORT = "port"
    GAUGE = "gauge"
    DASH = "dash"
    PHOTO = "photo"
