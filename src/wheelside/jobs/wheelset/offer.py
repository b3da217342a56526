"""Noting a set that is on offer, and what becomes of it: bought, or let go."""

from __future__ import annotations

from collections.abc import Iterable

from wheelside.book.events import add_events
from wheelside.book.facts import FactRow, Row, as_table, change_facts, facts_now
from wheelside.declared.read import Complaint
from wheelside.errors import NotThere
from wheelside.garage.file import complaints_of
from wheelside.garage.offers import OFFERED, Offer, ids_of, rows_of_offer, with_rows, without_offers
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import joinings_between


class OfferRefused(Exception):
    """An offer that the garage can't take in; nothing of it was kept."""

    def __init__(self, complaints: tuple[Complaint, ...]) -> None:
        super().__init__("not kept")
        self.complaints = complaints


def note_offer(desk: Desk, offer: Offer, *, person: str = "") -> None:
    """Keeps an offer's wheels and set, all or nothing. Raises OfferRefused with what is wrong, BadRequest, Outside."""
    with desk.writing(f"set {offer.name} noted as on offer", person=person) as writing:
        rows = facts_now(writing.conn)
        table = as_table(rows)
        added = rows_of_offer(offer, ids_of(table))
        before = desk.loaded_in(writing.conn).garage
        after, found = complaints_of(with_rows(table, added))
        if found:
            raise OfferRefused(tuple(found))
        change_facts(writing, _placed(rows, added))
        add_events(writing, joinings_between(before, after, writing.at))


def _placed(rows: Iterable[FactRow], added: Iterable[tuple[str, Row]]) -> dict[tuple[str, str], tuple[int, Row | None]]:
    """Each new row behind those of its kind."""
    last: dict[str, int] = {}
    for old in rows:
        last[old.kind] = max(last.get(old.kind, -1), old.place)
    changes: dict[tuple[str, str], tuple[int, Row | None]] = {}
    for kind, row in added:
        last[kind] = last.get(kind, -1) + 1
        changes[kind, str(row["id"])] = (last[kind], row)
    return changes


def buy(desk: Desk, set_id: str, *, person: str = "") -> None:
    """Makes a set on offer the owner's. Raises NotThere, Outside."""
    with desk.writing(f"set {set_id} bought", person=person) as writing:
        row = _offered(facts_now(writing.conn), set_id)
        body = {key: value for key, value in row.body.items() if key != "on_offer"}
        change_facts(writing, {("set", set_id): (row.place, body)})


def let_go(desk: Desk, set_id: str, *, person: str = "") -> None:
    """Takes a set on offer out again, with the wheels and parts that are in nothing else. Raises NotThere, Outside."""
    with desk.writing(f"set {set_id} on offer let go", person=person) as writing:
        rows = facts_now(writing.conn)
        _offered(rows, set_id)
        garage = desk.loaded_in(writing.conn).garage
        kept = without_offers(garage, {set_id})
        gone: dict[tuple[str, str], tuple[int, Row | None]] = {}
        for row in rows:
            if row.kind in OFFERED and row.key not in {one.id for one in getattr(kept, row.kind)}:
                gone[row.kind, row.key] = (row.place, None)
        change_facts(writing, gone)


def _offered(rows: Iterable[FactRow], set_id: str) -> FactRow:
    for row in rows:
        if (row.kind, row.key) == ("set", set_id) and row.body.get("on_offer"):
            return row
    raise NotThere("there is no such set on offer in this book", found=set_id[:60])
