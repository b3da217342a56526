"""A conversation with an owner at a book: the next question, an answer kept, and what can be said so far.

It can be left and taken up at any point, on the phone or in the terminal: the book is all that it goes by.

    asker = Asker(desk)
    turn = asker.turn(Errand.WHEELS)
    asker.answer(turn.query.code, {"pick": "figures"})
"""

from __future__ import annotations

import atexit
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from threading import Lock, Thread
from weakref import WeakSet

from wheelside.book.events import add_events
from wheelside.book.facts import as_table, facts_now, replace_facts
from wheelside.errors import BadRequest
from wheelside.fill.card import AirCard, air_card
from wheelside.fit.report import Fit, fit
from wheelside.garage.change import next_change
from wheelside.garage.file import complaints_of, read_text
from wheelside.garage.model import Car, Garage
from wheelside.garage.offers import without_offers
from wheelside.garage.present import present
from wheelside.identity.plan import IdentityPlan
from wheelside.inquiry.course import always, answered, besides, offered, opening_query, set_on, sets_of
from wheelside.inquiry.draft import Table
from wheelside.inquiry.query import Errand, Given, Occasion, Query
from wheelside.inquiry.rating import Rated, Weighed, best, rated, what_is_known
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import joinings_between
from wheelside.jobs.source import RUNNING
from wheelside.jobs.work.air import NEAR_DAYS
from wheelside.jobs.work.audited import audited

MOST_LEFT_S = 10.0
PATIENCE_S = 0.2
"""So long a question may be weighed while somebody waits for it; the rest is weighed while it is read."""
_LOOK_S = 0.1
"""So often it is looked whether others are still being answered."""


_ASKERS: WeakSet[Asker] = WeakSet()


@atexit.register
def _close_all() -> None:
    for asker in tuple(_ASKERS):
        asker.close()


class CourseLeg(Enum):
    """How far a conversation is: its fixed opening, what is always asked, what could change the answer, and nothing more."""

    OPENING = "opening"
    ALWAYS = "always"
    BESIDES = "besides"
    OVER = "over"


@dataclass(frozen=True, slots=True)
class NextTurn:
    """The next question of a conversation, None where nothing more would change what comes out. `more`: about how many are still to come.

    `sure`: that has been weighed of all that could be asked, as things stand now; else it is being weighed.
    """

    errand: Errand
    car: str
    leg: CourseLeg
    query: Query | None
    more: int
    sure: bool = True


@dataclass(frozen=True, slots=True)
class SoFar:
    """What can be said already: the plan, the pressures, the verdict, as far as each can be had."""

    garage: Garage
    day: date
    car: Car | None
    plan: IdentityPlan | None = None
    card: AirCard | None = None
    fit: Fit | None = None


@dataclass(eq=False)
class Asker:
    """Conversations at one book. `patience_s`: how long a question is weighed while somebody waits; None for until all are.

    `busy`: whether somebody else is being answered; nothing is weighed behind meanwhile.
    """

    desk: Desk
    patience_s: float | None = PATIENCE_S
    busy: Callable[[], bool] = lambda: False
    _weighed: dict[tuple[str, Errand], dict[str, float]] = field(default_factory=dict, repr=False)
    _seen: Weighed = field(default_factory=dict, repr=False)
    _behind: set[int] = field(default_factory=set, repr=False)
    _worker: Thread | None = field(default=None, repr=False)
    _answered: list[tuple[int, Table]] = field(default_factory=list, repr=False)
    _lock: Lock = field(default_factory=Lock, repr=False)

    def __post_init__(self) -> None:
        _ASKERS.add(self)

    def turn(self, errand: Errand, car: str = "", *, again: str = "") -> NextTurn:
        """The next question for a car; for the first one where none is named. `again`: a question that is asked once more by its code."""
        loaded = self.desk.loaded()
        garage, day = loaded.garage, self.desk.clock().day
        one = car_of(garage, car)
        if one is not None and again:
            found = next((q for q in _all(garage, one, day, errand) if q.code == again), None)
            if found is not None:
                return NextTurn(errand, one.id, CourseLeg.BESIDES, found, 0)
        must = must_ask(garage, one, day, errand)
        if must is not None:
            return must
        assert one is not None, "an opening ends with a car"
        name = one.id
        others = tuple(besides(garage, one, day, errand))
        chosen, more = self._chosen(loaded.table, name, others, day, errand)
        if chosen is None:
            state = what_is_known(loaded.table, day, errand)
            sure = all((state, q.code) in self._seen for q in others)
            self._weigh_behind(loaded.table, loaded.revision, name, others, day, errand)
            return NextTurn(errand, name, CourseLeg.OVER, None, 0, sure)
        self._weigh_behind(loaded.table, loaded.revision, name, tuple(q for q in others if q != chosen), day, errand)
        return NextTurn(errand, name, CourseLeg.BESIDES, chosen, more)

    def must(self, errand: Errand, car: str = "") -> NextTurn | None:
        """The next question of the opening, or of those always asked; None where they are through. Nothing is weighed for it."""
        garage = self.desk.loaded().garage
        return must_ask(garage, car_of(garage, car), self.desk.clock().day, errand)

    def _chosen(
        self, table: Table, car: str, others: tuple[Query, ...], day: date, errand: Errand
    ) -> tuple[Query | None, int]:
        """The question that is worth most by what has been weighed, looked at once more; and how many would change something."""
        with self._lock:
            known = dict(self._weighed.get((car, errand), {}))
        order = sorted(others, key=lambda q: -known.get(q.code, _UNWEIGHED) / q.effort)
        asked = [q for q in order if known.get(q.code, _UNWEIGHED) > 0]
        end = None if self.patience_s is None else RUNNING.seconds() + self.patience_s
        fresh: list[Rated] = []
        queries = order if end is None else asked
        for one in rated(table, queries, day, errand, lambda: end is not None and RUNNING.seconds() > end, self._seen):
            fresh.append(one)
            if end is not None and one.change > 0 and known:
                break
        self._keep(car, errand, fresh)
        if len(self._seen) > MOST_WEIGHED:
            self._seen.clear()
        found = best(fresh)
        seen = {one.query.code for one in fresh}
        left = [q for q in asked if q.code not in seen]
        if found is None and left:
            found = left[0]
        return found, sum(1 for one in fresh if one.change > 0) + len(left)

    def _keep(self, car: str, errand: Errand, found: Iterable[Rated]) -> None:
        with self._lock:
            self._weighed.setdefault((car, errand), {}).update({one.query.code: one.change for one in found})

    def _weigh_behind(
        self, table: Table, revision: int, car: str, others: tuple[Query, ...], day: date, errand: Errand
    ) -> None:
        """Weighs the other questions while this one is read; once for each state of the book."""
        with self._lock:
            if self.patience_s is None or revision in self._behind:
                return
            self._behind = {revision}

        def over() -> bool:
            while revision in self._behind and self.busy():
                RUNNING.wait(_LOOK_S)
            return revision not in self._behind

        def work() -> None:
            for one in rated(table, others, day, errand, over, self._seen):
                self._keep(car, errand, (one,))

        self._worker = Thread(target=work, name="questions", daemon=True)
        self._worker.start()

    def close(self) -> None:
        """Ends what is weighed behind: a solver must not run on while the program ends."""
        with self._lock:
            self._behind = set()
        if self._worker is not None:
            self._worker.join(MOST_LEFT_S)

    def suggestion(self, car: str = "") -> Query | None:
        """The question whose answers would change plan and pressures most, by what was weighed of the garage as it is; nobody waits for it.

        None where none is, where that is not known yet, and for large garages.
        """
        loaded, day = self.desk.loaded(), self.desk.clock().day
        one = car_of(loaded.garage, car)
        if one is None or len(loaded.garage.wheel) > MOST_WHEELS or set_on(loaded.garage, one, day) is None:
            return None
        others = tuple(besides(loaded.garage, one, day, Errand.WHEELS))
        state = what_is_known(loaded.table, day, Errand.WHEELS)
        known = [Rated(q, self._seen[state, q.code]) for q in others if (state, q.code) in self._seen]
        if len(known) < len(others):
            self._weigh_behind(loaded.table, loaded.revision, one.id, others, day, Errand.WHEELS)
            return None
        return best(known)

    def answer(self, code: str, given: Given, *, person: str = "", via: str = "page") -> None:
        """Keeps an answer. Raises AnswerRefused, Meanwhile, Outside."""
        with self.desk.writing("a question answered", person=person, via=via) as writing:
            before = self.desk.loaded_in(writing.conn).garage
            now = Occasion(self.desk.clock().day, before.units.choice)
            table = as_table(facts_now(writing.conn))
            made = answered(table, code, given, now)
            replace_facts(writing, made)
            add_events(writing, joinings_between(before, complaints_of(made)[0], writing.at))
        with self._lock:
            self._behind = set()
            self._answered = [*self._answered[1 - MOST_BACK :], (self.desk.loaded().revision, table)]

    @property
    def can_go_back(self) -> bool:
        """Whether the last change of the book was an answer that can be taken back."""
        return bool(self._answered) and self._answered[-1][0] == self.desk.loaded().revision

    def go_back(self, *, person: str = "", via: str = "page") -> bool:
        """Takes the last answer back; whether there was one, and nothing else was written since."""
        if not self.can_go_back:
            return False
        with self._lock:
            _, table = self._answered.pop()
            self._behind = set()
        with self.desk.writing("an answer taken back", person=person, via=via) as writing:
            replace_facts(writing, table)
        with self._lock:
            if self._answered:
                self._answered[-1] = (self.desk.loaded().revision, self._answered[-1][1])
        return True

    def so_far(self, errand: Errand, car: str = "") -> SoFar:
        """What can be said now."""
        garage, day = self.desk.loaded().garage, self.desk.clock().day
        one = car_of(garage, car)
        if one is None or set_on(garage, one, day) is None:
            return SoFar(garage, day, one)
        if errand is Errand.USED:
            return SoFar(garage, day, one, fit=_fit(garage, one, day))
        plan = self.desk.plan() if errand is Errand.WHEELS and one.planned and sets_of(garage, one) else None
        card = _card(garage, one, day, near=errand is Errand.WHEELS)
        return SoFar(garage, day, one, plan, card)


def looked_round(text: str, day: date) -> SoFar:
    """What comes out of a garage file that is only looked at, for the first car in it. Raises BadFile."""
    garage, _ = read_text(text, "example")
    car = garage.car[0]
    return SoFar(garage, day, car, audited(garage, day, ()), _card(garage, car, day, near=True))


_LEFT = {
    Errand.WHEELS: {"begin": 9, "on": 8, "ids": 7, "heard": 6, "other": 5},
    Errand.USED: {"begin": 5, "on": 4, "offer": 3},
    Errand.PRESSURES: {"begin": 4, "on": 3},
}
"""How many questions there usually are from one of the opening on, itself counted, until something comes out."""


def must_ask(garage: Garage, car: Car | None, day: date, errand: Errand) -> NextTurn | None:
    """The next question of the opening, or of those always asked; None where they are through."""
    first = opening_query(garage, car, day, errand)
    if first is not None:
        left = _left(errand, first, has_other=_has_other(garage, car))
        return NextTurn(errand, car.id if car is not None else "", CourseLeg.OPENING, first, left)
    assert car is not None, "an opening ends with a car"
    must = tuple(always(garage, car, day, errand))
    return NextTurn(errand, car.id, CourseLeg.ALWAYS, must[0], len(must)) if must else None


def _left(errand: Errand, query: Query, *, has_other: bool) -> int:
    head = query.code.split("/")[0]
    return 4 if head == "ids" and has_other else _LEFT.get(errand, {}).get(head, 1)


def _has_other(garage: Garage, car: Car | None) -> bool:
    """Whether a car's second set is noted already."""
    return car is not None and len(sets_of(garage, car)) > 1


MOST_WEIGHED = 20_000
MOST_WHEELS = 24
"""Of more wheels nothing is weighed unless somebody asks."""
MOST_BACK = 40
"""So many answers can be taken back, the last first, until the program ends."""
NEW_CAR = "-new"
"""In place of a car's id: one that is not noted yet. No id begins with a hyphen."""
_UNWEIGHED = 1.0


def car_of(garage: Garage, name: str) -> Car | None:
    """The car that is talked about; the owner's first one where none is named."""
    if name == NEW_CAR:
        return None
    return garage.cars.get(name) or next(iter(garage.own_cars), None)


def _all(garage: Garage, car: Car, day: date, errand: Errand) -> Iterator[Query]:
    yield from always(garage, car, day, errand)
    yield from besides(garage, car, day, errand)


def _card(garage: Garage, car: Car, day: date, *, near: bool) -> AirCard | None:
    """The air card of what is on; where `near`, of a change in the days to come."""
    now = present(without_offers(garage), day)
    try:
        change = next_change(now, car.id, None if near else now.set_on(car.id), NEAR_DAYS)
    except BadRequest:
        return None
    return air_card(garage, garage.cars[change.car], garage.sets[change.coming], day)


def _fit(garage: Garage, car: Car, day: date) -> Fit | None:
    one, on = offered(garage), set_on(garage, car, day)
    return fit(garage, car, one, day, {car.id: on.id} if on is not None else {}) if one is not None else None
