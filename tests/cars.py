"""What tests of asking a car have in common: the car to practise on, on a virtual bus, and a household that suits it."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import can

from books import NOON
from wheelside.car.card import IdList, PortCard
from wheelside.car.permit import Permit
from wheelside.car.portcard import read_port_card
from wheelside.car.talk import Talk
from wheelside.car.taught import Taught
from wheelside.demo import dbc, household, port_card
from wheelside.demo.practice import PracticeCar, run_on
from wheelside.demo.practice.uds import Reply
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.car.port import talking
from wheelside.jobs.car.teach import drafted, row_text, teach, wanted_ids
from wheelside.jobs.car.visit import STAGE, TEACHING, KeptTeaching, Visit, keep_port_card, last_teaching, records
from wheelside.jobs.car.ways_back import undo

HOUSEHOLD_WINTER = (1893077246, 1893078003, 1893076550, 1893078530)
"""What the winter set of the suited household sends, in the order of the lists' places."""
MARK = hashlib.sha256(b"TM7K004213").hexdigest()[:16]
"""By which the practising car's unit is known again."""
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
    desk: Desk, old: bytes, new: bytes, stages: Iterable[str], row: IdList = CARD.lists[0], mark: str = MARK
) -> None:
    """Has the book know of a teaching of the estate that came so far; a stage may have its data behind a colon."""
    visit = Visit(desk, "estate")
    of = visit.keep(
        TEACHING, card="practice", list=row.name, row=row_text(row), mark=mark, old=old.hex(), new=new.hex()
    )
    for stage in stages:
        name, _, data = stage.partition(": ")
        visit.keep(STAGE, of=of, stage=name, data=data)


@contextmanager
def teaching(car: PracticeCar, card: PortCard = CARD, tape: Path | None = None) -> Iterator[Talk]:
    with on_a_bus(car) as link, talking(card, link, permit=Permit.TEACH, tape=tape) as talk:
        yield talk


def taught(home: Desk, car: PracticeCar, row: IdList = CARD.lists[0], tape: Path | None = None) -> Taught:
    garage = home.loaded().garage
    wanted = wanted_ids(garage, garage.sets["winter"], NOON.day, row)
    with teaching(car, tape=tape) as talk:
        return teach(Visit(home, "estate"), talk, CARD, drafted(talk, row, wanted))


def last(home: Desk, name: str | None = None) -> KeptTeaching:
    found = last_teaching(records(home, "estate"), name)
    assert found is not None
    return found


def undone(home: Desk, car: PracticeCar, card: PortCard = CARD, name: str | None = None) -> Taught:
    with teaching(car, card) as talk:
        return undo(Visit(home, "estate"), talk, card, last(home, name))


def answering(car: PracticeCar, refused: Callable[[bytes], bool], code: int, sent: list[bytes] | None = None) -> None:
    """Has the car refuse some requests with a code, and notes all that are sent."""
    plain = car.unit.answer

    def answer(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        if sent is not None:
            sent.append(request)
        if refused(request):
            return (Reply(0.005, bytes((0x7F, request[0], code))),)
        return plain(request, now_s, functional)

    car.unit.answer = answer  # type: ignore[method-assign]


def suited_home(folder: Path) -> Iterator[Desk]:
    """A book in a file, with the suited household, at noon; closed in the end."""
    desk = new_desk(str(folder / "household.book"), folder / "photos")
    desk.clock = lambda: NOON
    take_in_text(desk, suited_household(), "household.toml")
    yield desk
    desk.close()
