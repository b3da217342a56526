"""How many minutes each act takes, for plan, fit and sheet; judgement. The owner's own figures go before these.

The drive and the rest before a teaching take as long as the car says.
"""

from __future__ import annotations

LOOK, FIND_MONITOR, READ_CODES, GAUGE_ALL, TRIGGER = 6, 10, 3, 8, 2
"""Before anything is touched: lamp, dash and odometer; the handbook on how the car watches; the codes; the fitted tyres; one wheel."""
FETCH = 1
"""One wheel tagged and gauged where it lies."""
LAY_OUT = 10

LET_DOWN, WRITE, READ_BACK, INFLATE = 3, 3, 2, 4
"""A sensor in its wheel: the tyre let down, the ID written, read back and labelled, the tyre inflated and gauged."""
WRITE_ON_BENCH = 2
"""The writing alone, of a sensor on the bench."""
NOTE_BOUGHT = 4
"""A sensor that comes with its own ID: triggered, noted, labelled."""
PUT_WRITING_RIGHT = 15
"""After a wrong writing: every wheel and sensor triggered alone, and noted."""
SHOP_VISIT, SHOP_FITS = 60, 20
"""A visit to the tyre shop; the wheels changed on the car there, where one is there anyway."""

STOP, SPARE_ON, FILL, DRIVE_ON, TELL_FITTER = 10, 25, 15, 30, 3
"""A flat tyre on the road: made safe and looked at; the spare on; sealant or air in; driven on; told to the fitter."""
CHANGE_TYRE, NOTE_TYRE = 60, 3
"""A tyre or a valve changed at the shop; what the new tyre is, noted."""
TAKE_OFF, FIT, STOW_SPARE = 8, 9, 4
"""One wheel: off the car for its sensor; onto it in place of another; out of the spare's place or into it."""
TORQUE, TORQUE_AGAIN = 6, 8
"""All wheels: fastened; fastened again after some driving."""
CARRY = 10
"""A set carried out of the car's earshot on foot."""
SET_PRESSURE, FIND_PRESSURE = 3, 10
"""One wheel: set to its figure; its figure found first."""

TEACH_BY_DRIVING, TEACH_BY_STEPS, TEACH_BY_PORT, TEACH_PAID = 1, 15, 15, 60
"""Teaching one set: by a drive that is made anyway, step by step, through the port, and where somebody else is paid for it."""
CHOOSE_LIST, CLEAR_AIR, TEACH_BEGIN = 2, 5, 2
"""Before a teaching: its list chosen, other wheels moved away, the car put into it."""
WAKE, TEACH_WHEEL = 1, 1
"""One wheel, triggered at its corner."""
CHOOSE_SET, STORE_REFERENCE = 2, 2
"""In the car's menu: the set that is on; that the pressures are right."""

START_AGAIN, COMPARE_IDS = 3, 5
"""After the drive: off and on again; the car's IDs compared with the plan."""
MOVE_CORNER, CORNER_BACK = 5, 3
"""A corner's own figure: air let out until the figure moves, and put back."""
WATCH_DASH = 2
"""A corner's own figure watched on the dash, while its wheel is set anyway."""
CLEAR_CODES, LOOK_LATER = 4, 3
"""Old codes cleared; the lamp looked at again some days later."""
CHALLENGE = 30
"""The lamp made to come on by a tyre below its limit, and seen to go out."""

MOVE_SET, FIND_FAULT = 20, 60
PUT_AWAY = 20
"""A set washed, gauged and laid down where it is kept."""
SEE_TO_TAKEN_OUT, PUT_FILE_RIGHT = 5, 5
"""Afterwards: old sensors handed in or put by; the garage file written."""

ON_BENCH = WRITE_ON_BENCH + READ_BACK
SHOW_CORNER = MOVE_CORNER + CORNER_BACK
IN_WHEEL = LET_DOWN + WRITE + READ_BACK + INFLATE
