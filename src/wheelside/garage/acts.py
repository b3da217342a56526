"""How many minutes each act takes that both a plan and a sheet reckon with; judgement. The owner's own figures go before these."""

from __future__ import annotations

LET_DOWN, WRITE, READ_BACK, INFLATE = 3, 3, 2, 4
"""A sensor in its wheel: the tyre let down, the ID written, read back and labelled, the tyre inflated and gauged."""
WRITE_ON_BENCH = 2
"""The writing alone, of a sensor on the bench."""
NOTE_BOUGHT = 4
"""A sensor that comes with its own ID: triggered, noted, labelled."""
SHOP_VISIT = 60
TEACH_BY_DRIVING, TEACH_BY_STEPS, TEACH_BY_PORT, TEACH_PAID = 1, 15, 15, 60
"""Teaching one set: by a drive that is made anyway, step by step, through the port, and where somebody else is paid for it."""
MOVE_SET, FIND_FAULT = 20, 60
MOVE_CORNER, CORNER_BACK = 5, 3
"""A corner's own figure: air let out until the figure moves, and put back."""

ON_BENCH = WRITE_ON_BENCH + READ_BACK
SHOW_CORNER = MOVE_CORNER + CORNER_BACK
IN_WHEEL = LET_DOWN + WRITE + READ_BACK + INFLATE
