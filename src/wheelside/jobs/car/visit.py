"""What the book keeps of visits to cars: port cards, what was read, codes, and every stage of a teaching."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any
from uuid import uuid4

from wheelside.book.carlock import STALE_S, Holder, hold, holder_of, let_go, still_holds
from wheelside.book.cars import CarRecord, add_record, records_of
from wheelside.book.entry import Writing
from wheelside.car.card import PortCard
from wheelside.car.codes import Code, CodeList, CodesTold, Status, read_code
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import CodeRead, CodesRead
from wheelside.car.taught import Outcome, Stage, Taught, Trouble, What
from wheelside.errors import Meanwhile, Outside
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.program import has_ended, this_program
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


class Work(StrEnum):
    """What a program does to a car, while no other one may."""

    TEACH = "teach"
    FINISH = "finish"
    UNDO = "undo"
    ACCEPT = "accept"
    CLEAR = "clear"


_WORK: dict[str, str] = {
    Work.TEACH: "a list is being taught",
    Work.FINISH: "a teaching is being finished",
    Work.UNDO: "an old list is being put back",
    Work.ACCEPT: "a teaching is being ended",
    Work.CLEAR: "codes are being cleared",
}


@dataclass
class Visit:
    """One visit to a car: everything that is kept of it hangs together."""

    desk: Desk
    car: str
    person: str = ""
    id: str = field(default_factory=lambda: uuid4().hex)
    holds: bool = field(default=False, init=False)

    @contextmanager
    def alone(self, work: Work) -> Iterator[None]:
        """Holds the car against all other programs that have the book open. Raises Meanwhile, which says who has it and since when; Outside."""
        now = self.desk.clock()
        wanted = Holder(self.car, self.id, self.person, this_program(), work.value, now, now.us)
        with self.desk.book.quietly() as conn:
            other = hold(conn, wanted, has_ended)
        if other is not None:
            raise _held(other)
        self.holds = True
        try:
            yield
        finally:
            self.holds = False
            with suppress(Outside), self.desk.book.quietly() as conn:  # without it, the lock ends by itself
                let_go(conn, self.car, self.id)

    def refuse_held(self) -> None:
        """Raises Meanwhile where another program holds the car."""
        with self.desk.book.reading() as conn:
            other = holder_of(conn, self.car, self.desk.clock(), has_ended)
        if other is not None:
            raise _held(other)

    def keep(self, what: str, **body: object) -> int:
        """Keeps one record in a transaction of its own; its number. Raises Outside; then nothing more may be done to the car."""
        with self.writing(what) as writing:
            if self.holds:
                still_holds(writing.conn, self.car, self.id, self.desk.clock())
            return self.add(writing, what, **body)

    def writing(self, what: str) -> AbstractContextManager[Writing]:
        """One transaction of this visit."""
        return self.desk.writing(f"{what}: {self.car}", person=self.person, via="car")

    def add(self, writing: Writing, what: str, **body: object) -> int:
        """Adds one record within a transaction; its number."""
        return add_record(writing, self.car, self.id, self.desk.clock(), what, body)


def _held(other: Holder) -> Meanwhile:
    who = f"by {other.person}" if other.person else "by another program"
    at = f"{other.since.short()}:{other.since.local:%S}"
    return Meanwhile(
        f"{_WORK.get(other.doing, 'something is being done')} in this car {who}, since {at}: wait until that has ended, then look again. "
        f"Where that program was cut off, the car is free again {STALE_S / 60:g} minutes after it was last heard of",
        found=at,
        expected="a car that nobody else writes into",
    )


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


def listed_of(body: Json) -> CodesTold:
    """The codes, and the lists that were not told, out of what `plain_codes` made of them."""
    return CodesTold(
        tuple(code_of(one) for one in body["codes"]), frozenset(CodeList(what) for what, _ in body["not_told"])
    )


def last_codes(desk: Desk, car: str, card: str) -> CodesTold | None:
    """The codes that were kept last for a card; None where none were ever read."""
    found = _last(records(desk, car), CODES, CODES_AFTER, card=card)
    return None if found is None else listed_of(found.body)


_HARMLESS = frozenset(Stage) - {Stage.BEGUN, Stage.WRITTEN}
"""From any other stage on the car may hold something else; one whose code is not known may be any."""
_SETTLED = (Outcome.DONE, Outcome.AS_BEFORE, Outcome.ACCEPTED)
_CODES_OF_STAGES, _CODES_OF_OUTCOMES = {one.value: one for one in Stage}, {one.value: one for one in Outcome}


@dataclass(frozen=True, slots=True)
class KeptTeaching:
    """A teaching of a car: what was there, what was to be there, how far it came, and how it ended ('' where it was broken off).

    `num`: its record's number. `row`: the list as the port card had it then, as text. `mark`: by which the unit is known again, '' where
    it told none. `stages` and `ended` are codes; what an older book has and no code is known for stands as it was said, and settles nothing.
    `told`: what was said of the car in the end, with what went wrong on the way, in words.
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
        return any(stage not in _HARMLESS for stage in self.stages)

    @property
    def undone(self) -> bool:
        """Whether the old list is in the car again."""
        return self.ended == Outcome.AS_BEFORE

    @property
    def settled(self) -> bool:
        """Whether it is known which list the car holds, or the owner took it as it was."""
        return not self.touched or self.ended in _SETTLED

    @property
    def end_answered(self) -> bool:
        """Whether the end of its last writing was sent, and answered."""
        turn = next((one for one in reversed(self.stages) if one == Stage.READ_BACK or one not in _HARMLESS), "")
        return turn == Stage.READ_BACK

    @property
    def outcome(self) -> Outcome | None:
        """How it ended; None where it was broken off, or ended in a way that is not known."""
        return _CODES_OF_OUTCOMES.get(self.ended)

    @property
    def last_stage(self) -> Stage | None:
        """The stage that it came to; None where none is known."""
        return _CODES_OF_STAGES.get(self.stages[-1]) if self.stages else None

    @property
    def came_to(self) -> str:
        """The stage that it came to, in words; '' where there was none."""
        return self.last_stage.words if self.last_stage else "".join(self.stages[-1:])

    @property
    def ended_so(self) -> str:
        """How it ended, in words; '' where it was broken off."""
        return self.outcome.words if self.outcome else self.ended


def teachings(rows: tuple[CarRecord, ...]) -> tuple[KeptTeaching, ...]:
    """Every teaching among a car's records, oldest first."""
    return tuple(_teaching(begun, rows) for begun in rows if begun.what == TEACHING)


def _teaching(begun: CarRecord, rows: tuple[CarRecord, ...]) -> KeptTeaching:
    later = [r for r in rows if r.what == STAGE and r.body.get("of") == begun.num]
    turning = (r for r in reversed(later) if r.body["stage"] == Stage.ENDED or r.body["stage"] not in _HARMLESS)
    turn = next(turning, None)
    ended = str(turn.body["data"]) if turn is not None and turn.body["stage"] == Stage.ENDED else ""
    told = next((r.body for r in reversed(rows) if r.what == TOLD and r.body.get("of") == begun.num), None)
    body = begun.body
    return KeptTeaching(
        begun.num, begun.visit, str(body["card"]), str(body["list"]), str(body["row"]), str(body["mark"]), begun.at,
        bytes.fromhex(str(body["old"])), bytes.fromhex(str(body["new"])), tuple(str(r.body["stage"]) for r in later), ended,
        () if told is None else _said(told),
    )  # fmt: skip


def _said(body: Json) -> tuple[str, ...]:
    """What was said in the end, in words; that of an older book which has no codes, as it was said then."""
    if "said" in body:
        return tuple(map(str, body["said"]))
    came, holds = body["came"], body["came"]["holds"]
    return Taught(
        Outcome(came["outcome"]), None if holds is None else bytes.fromhex(holds), _CODES_OF_STAGES.get(came["last"]),
        tuple(map(_trouble, came["trouble"])), bool(came["touched"]),
    ).said  # fmt: skip


def _trouble(body: Json) -> Trouble:
    stage = body.get("stage")
    return Trouble(
        What(body["what"]), str(body.get("text", "")), int(body.get("service", 0)), int(body.get("code", 0)),
        None if stage is None else Stage(stage), str(body.get("before", "")), str(body.get("after", "")),
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
    changing = (one for one in every if one.ended == Outcome.DONE)
    return next((one for one in (*opened, *changing, *every)), None)
