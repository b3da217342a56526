"""What tests of asking a car have in common: the car to practise on, on a virtual bus, and a household that suits it."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import count

import can

from wheelside.car.card import IdList
from wheelside.demo import dbc, household, port_card
from wheelside.demo.practice import PracticeCar, run_on
from wheelside.garage.portcard import read_port_card
from wheelside.jobs.carbook import STAGE, TEACHING, Visit, keep_port_card
from wheelside.jobs.carteach import row_text
from wheelside.jobs.desk import Desk

HOUSEHOLD_WINTER = (1893077246, 1893078003, 1893076550, 1893078530)
"""What the winter set of the suited household sends, in the order of the lists' places."""
CARD = read_port_card(port_card(), "practice.toml", dbc().decode())
_channels = count()


@contextmanager
def on_a_bus(car: PracticeCar) -> Iterator[str]:
    """The car answers on a bus of its own; the link to it."""
    channel, stop = f"tests-{next(_channels)}", threading.Event()
    bus = can.Bus(channel, "virtual")
    served = run_on(bus, car, stop, message)
    try:
        yield f"virtual {channel}"
    finally:
        stop.set()
        served.join(5)
        bus.shutdown()


def message(can_id: int, data: bytes) -> can.Message:
    return can.Message(arbitration_id=can_id, data=data, is_extended_id=False)


def suited_household() -> str:
    """The demo household, whose winter wheels all have sensors of the estate's family."""
    text = household().decode()
    return text.replace('printed = "2C41A7F"\nfamily = "plover"', 'printed = "1893078530"\nfamily = "kestrel"')


def keep_card(desk: Desk, text: bytes | None = None) -> None:
    """Keeps the practising car's port card, or another text, for the estate."""
    keep_port_card(Visit(desk, "estate"), text or port_card(), "practice.toml", dbc().decode())


def broken_off(
    desk: Desk, old: bytes, new: bytes, stages: Iterable[str], row: IdList = CARD.lists[0], mark: str = ""
) -> None:
    """Has the book know of a teaching of the estate that came so far; a stage may have its data behind a colon."""
    visit = Visit(desk, "estate")
    of = visit.keep(
        TEACHING, card="practice", list=row.name, row=row_text(row), mark=mark, old=old.hex(), new=new.hex()
    )
    for stage in stages:
        name, _, data = stage.partition(": ")
        visit.keep(STAGE, of=of, stage=name, data=data)
