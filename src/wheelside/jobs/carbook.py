"""What the book keeps of visits to cars: port cards, what was read, codes, and every stage of a teaching."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

from wheelside.book.cars import CarRecord, add_record, records_of
from wheelside.book.entry import Writing
from wheelside.car.card import PortCard
from wheelside.car.codes import Code, CodeList, Listed, Status, read_code
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import CodeRead, CodesRead
from wheelside.car.teach import Outcome, Stage
from wheelside.jobs.desk import Desk
from wheelside.jobs.jsonform import plain
from wheelside.units.moment import Moment

CARD, READ, CODES, CODES_BEFORE, CODES_AFTER = (
    "port card",
    "read",
    "codes",
    "codes before clearing",
    "codes after clearing",
)
TEACHING, STAGE, FOUND, TOLD = "teaching", "stage", "list found", "what came of it"
Json = dict[str, Any]


@dataclass
class Visit:
    """One visit to a car: everything that is kept of it hangs together."""

    desk: Desk
    car: str
    person: str = ""
    id: str = field(default_factory=lambda: uuid4().hex)

    def keep(self, what: str, **body: object) -> int:
        """Keeps one record in a transaction of its own; its number. Raises Outside; then nothing more may be done to the car."""
        with self.writing(what) as writing:
            return self.add(writing, what, **body)

    def writing(self, what: str) -> AbstractContextManager[Writing]:
        """One transaction of this visit."""
        return self.desk.writing(f"{what}: {self.car}", person=self.person, via="car")

    def add(self, writing: Writing, what: str, **body: object) -> int:
        """Adds one record within a transaction; its number."""
        return add_record(writing, self.car, self.id, self.desk.clock(), what, body)


def records(desk: Desk, car: str) -> tuple[CarRecord, ...]:
    """All that was kept of a car, oldest first."""
    with desk.book.reading() as conn:
        return records_of(conn, car)


def keep_port_card(visit: Visit, data: bytes, name: str, dbc: str = "") -> PortCard:
    """Keeps a port card for a car, with the text of the DBC file that it names; the newest counts. Raises BadFile."""
    card = read_port_card(data, name, dbc)
    visit.keep(CARD, name=name, text=data.decode("utf-8"), dbc=dbc)
    return card


@dataclass(frozen=True, slots=True)
class KeptCard:
    """A port card with when it was kept, its file's name and its text."""

    card: PortCard
    at: Moment
    name: str
    text: str


def kept_card(desk: Desk, car: str) -> KeptCard | None:
    """The port card that the book has for a car; None where there is none. Raises BadFile where it is not read any more."""
    return card_among(records(desk, car))


def card_among(rows: tuple[CarRecord, ...]) -> KeptCard | None:
    """The port card among a car's records; None where there is none. Raises BadFile where it is not read any more."""
    found = _last(rows, CARD)
    if found is None:
        return None
    text = str(found.body["text"])
    dbc = str(found.body.get("dbc", ""))
    return KeptCard(
        read_port_card(text.encode(), str(found.body["name"]), dbc), found.at, str(found.body["name"]), text
    )


def _last(rows: tuple[CarRecord, ...], *what: str, card: str | None = None) -> CarRecord | None:
    found = (r for r in reversed(rows) if r.what in what and (card is None or r.body.get("card") == card))
    return next(found, None)


def last_read(rows: tuple[CarRecord, ...], card: str) -> CarRecord | None:
    """The last reading by a card."""
    return _last(rows, READ, card=card)


def plain_code(one: CodeRead) -> Json:
    """A code as the book and JSON have it."""
    code = one.code
    return {
        "code": code.text, "family": code.family, "makers_own": code.makers_own, "permanent": code.permanent, "stored": code.stored,
        "status": None if code.status is None else int(code.status), "says": list(code.said),
        "noted": plain(one.noted), "rest": one.rest.hex(),
    }  # fmt: skip


def code_of(body: Json) -> Code:
    """A code out of what `plain_code` made of it."""
    status = body["status"]
    known = None if status is None else Status(status)
    return Code(read_code(str(body["code"])), known, bool(body["permanent"]), bool(body["stored"]))


def plain_codes(read: CodesRead) -> Json:
    """Codes that were read, and what was not told, as the book and JSON have them."""
    return {"codes": [plain_code(one) for one in read.codes], "not_told": [[w.value, why] for w, why in read.not_told]}


def listed_of(body: Json) -> Listed:
    """The codes, and the lists that were not told, out of what `plain_codes` made of them."""
    return Listed(
        tuple(code_of(one) for one in body["codes"]), frozenset(CodeList(what) for what, _ in body["not_told"])
    )


def last_codes(desk: Desk, car: str, card: str) -> Listed | None:
    """The codes that were kept last for a card; None where none were ever read."""
    found = _last(records(desk, car), CODES, CODES_AFTER, card=card)
    return None if found is None else listed_of(found.body)


_TOUCHING = (Stage.BEGUN.value, Stage.WRITTEN.value)
"""From these stages on the car may hold something else."""
_SETTLED = (Outcome.DONE.value, Outcome.AS_BEFORE.value, Outcome.ACCEPTED.value)


@dataclass(frozen=True, slots=True)
class KeptTeaching:
    """A teaching of a car: what was there, what was to be there, how far it came, and how it ended ('' where it was broken off).

    `num`: its record's number. `row`: the list as the port card had it then, as text. `mark`: by which the unit is known again, '' where
    it told none. `told`: what was said of the car in the end, with what went wrong on the way.
    """

    num: int
    visit: str
    card: str
    list: str
    row: str
    mark: str
    at: Moment
    old: bytes
    new: bytes
    stages: tuple[str, ...]
    ended: str
    told: tuple[str, ...]

    @property
    def touched(self) -> bool:
        """Whether anything may have been changed in the car."""
        return any(stage in _TOUCHING for stage in self.stages)

    @property
    def undone(self) -> bool:
        """Whether the old list is in the car again."""
        return self.ended == Outcome.AS_BEFORE.value

    @property
    def settled(self) -> bool:
        """Whether it is known which list the car holds, or the owner took it as it was."""
        return not self.touched or self.ended in _SETTLED

    @property
    def end_answered(self) -> bool:
        """Whether the end of its last writing was sent, and answered."""
        turn = next((stage for stage in reversed(self.stages) if stage in (*_TOUCHING, Stage.READ_BACK.value)), "")
        return turn == Stage.READ_BACK.value


def teachings(rows: tuple[CarRecord, ...]) -> tuple[KeptTeaching, ...]:
    """Every teaching among a car's records, oldest first."""
    return tuple(_teaching(begun, rows) for begun in rows if begun.what == TEACHING)


def _teaching(begun: CarRecord, rows: tuple[CarRecord, ...]) -> KeptTeaching:
    later = [r for r in rows if r.what == STAGE and r.body.get("of") == begun.num]
    turn = next((r for r in reversed(later) if r.body["stage"] in (*_TOUCHING, Stage.ENDED.value)), None)
    ended = str(turn.body["data"]) if turn is not None and turn.body["stage"] == Stage.ENDED.value else ""
    told = next((r.body["lines"] for r in reversed(rows) if r.what == TOLD and r.body.get("of") == begun.num), ())
    body = begun.body
    return KeptTeaching(
        begun.num, begun.visit, str(body["card"]), str(body["list"]), str(body["row"]), str(body["mark"]), begun.at,
        bytes.fromhex(str(body["old"])), bytes.fromhex(str(body["new"])), tuple(str(r.body["stage"]) for r in later), ended,
        tuple(map(str, told)),
    )  # fmt: skip


def last_teachings(rows: tuple[CarRecord, ...]) -> tuple[KeptTeaching, ...]:
    """The last teaching of each list, the oldest first."""
    by_list = {one.list: one for one in teachings(rows)}
    return tuple(sorted(by_list.values(), key=lambda one: one.num))


def last_teaching(rows: tuple[CarRecord, ...], name: str | None = None) -> KeptTeaching | None:
    """The last teaching among a car's records, of one list where it is named; None where there was none."""
    return next((one for one in reversed(last_teachings(rows)) if name in (None, one.list)), None)


def way_back(rows: tuple[CarRecord, ...], name: str | None = None) -> KeptTeaching | None:
    """The teaching that finishing or undoing is about, of one list where it is named; None where there was none.

    The last one that is not settled; else the last one that changed the car and was not undone; else the last one.
    """
    every = [one for one in reversed(teachings(rows)) if name in (None, one.list)]
    opened = (one for one in every if not one.settled)
    changing = (one for one in every if one.ended == Outcome.DONE.value)
    return next((one for one in (*opened, *changing, *every)), None)
