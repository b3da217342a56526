"""What a page reads is of one moment of the book, is asked of it once, and is worked out by one at a time."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from fastapi import FastAPI, Request
from starlette.responses import PlainTextResponse, Response
from starlette.testclient import TestClient

from wheelside.book.entry import View
from wheelside.book.facts import as_table, facts_now, revision
from wheelside.demo import household
from wheelside.inquiry.query import Errand
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.edit import fact_of, try_save
from wheelside.jobs.book.files import take_in
from wheelside.jobs.work.starting import Asker
from wheelside.jobs.work.tyres import tyres_now
from wheelside.web.route import pages


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    file = tmp_path / "household.toml"
    file.write_bytes(household())
    with closing(new_desk(str(tmp_path / "one.book"))) as made:
        take_in(made, file)
        yield made


def correct(desk: Desk, key: str, **values: object) -> None:
    """Another value for a tyre's facts."""
    fact = fact_of(desk, "tyre", key)
    saved = try_save(desk, "tyre", key, {**fact.body, **values}, fact.since)
    assert saved.kept, saved


def elsewhere(desk: Desk, key: str, **values: object) -> None:
    """The same by somebody else, meanwhile."""
    thread = threading.Thread(target=correct, args=(desk, key), kwargs=values)
    thread.start()
    thread.join()


def test_within_one_moment_nothing_changes_and_everybody_else_goes_on(desk: Desk) -> None:
    tyre = desk.loaded().garage.tyre[0].id
    with desk.book.one_moment(), desk.book.one_moment():
        before = desk.loaded().revision
        elsewhere(desk, tyre, tread="4 mm")
        assert desk.loaded().revision == before
        with desk.book.reading() as conn:
            assert revision(conn) == before
    assert desk.loaded().revision > before


def test_who_writes_within_one_moment_writes_to_the_book_as_it_is(desk: Desk) -> None:
    first = desk.loaded().garage.tyre[0].id
    with desk.book.one_moment():
        elsewhere(desk, first, tread="4 mm")
        with desk.writing("a label") as writing:
            table = as_table(facts_now(writing.conn))
    assert next(row for row in table["tyre"] if row["id"] == first)["tread"] == "4 mm"


def test_within_one_moment_a_question_is_asked_once(desk: Desk) -> None:
    asked = []

    def question(conn: View) -> int:
        asked.append(1)
        return revision(conn)

    with desk.book.one_moment() as conn:
        assert desk.book.asked(conn, question) == desk.book.asked(conn, question)
        assert len(asked) == 1
    with desk.book.reading() as conn:
        desk.book.asked(conn, question)
        desk.book.asked(conn, question)
    assert len(asked) == 3


def test_a_moment_ends_where_its_page_fails(desk: Desk) -> None:
    with pytest.raises(KeyError), desk.book.one_moment():
        raise KeyError
    before = desk.loaded().revision
    correct(desk, desk.loaded().garage.tyre[0].id, tread="4 mm")
    assert desk.loaded().revision > before


def test_a_page_is_of_one_moment_and_what_is_sent_is_not(desk: Desk) -> None:
    app, router, tyre = FastAPI(), pages(), desk.loaded().garage.tyre[0].id
    app.state.desk = desk
    depths = iter(f"{n / 10} mm" for n in range(40, 60))

    def twice() -> Response:
        before = desk.loaded().revision
        elsewhere(desk, tyre, tread=next(depths))
        return PlainTextResponse(str(desk.loaded().revision == before))

    @router.get("/page")
    def page(request: Request) -> Response:
        return twice()

    @router.post("/page")
    def send(request: Request) -> Response:
        return twice()

    app.include_router(router)
    site = TestClient(app)
    assert (site.get("/page").text, site.post("/page").text) == ("True", "False")


def test_what_several_ask_for_at_once_is_made_once(desk: Desk) -> None:
    made, go = [], threading.Event()

    def make() -> int:
        go.wait(5)
        made.append(1)
        return 7

    found: list[int] = []
    threads = [threading.Thread(target=lambda: found.append(desk.once("it", make))) for _ in range(5)]
    for one in threads:
        one.start()
    go.set()
    for one in threads:
        one.join()
    assert (found, len(made)) == ([7] * 5, 1)


def test_what_is_made_of_named_things_outlasts_other_writes_and_nothing_else(desk: Desk) -> None:
    made: list[int] = []
    tyre = desk.loaded().garage.tyre[0].id

    def ask(of: tuple[object, ...] | None) -> int:
        desk.once("it", lambda: made.append(1), of=of)
        return len(made)

    assert (ask((1,)), ask((1,))) == (1, 1)
    with desk.writing("something that is no fact"):
        pass
    assert (ask((1,)), ask((2,)), ask(None)) == (1, 2, 3)
    with desk.writing("something that is no fact"):
        pass
    assert ask(None) == 4
    ask((2,))
    correct(desk, tyre, tread="4 mm")
    assert ask((2,)) == 6


def test_a_plan_outlasts_what_no_plan_asks_for(desk: Desk) -> None:
    plan, tyre = desk.plan(), desk.loaded().garage.tyre[0].id
    correct(desk, tyre, tread="4 mm", measured=[{"on": date(2026, 11, 1), "tread": "4 mm"}])
    assert desk.loaded().garage.tyre[0].measured
    assert desk.plan() is plan
    correct(desk, tyre, designation="185/60 R15 88H")
    assert desk.plan() is not plan


def test_nothing_is_weighed_behind_while_many_are_answered(desk: Desk) -> None:
    crowd = threading.Event()
    crowd.set()
    asker = Asker(desk, busy=crowd.is_set)
    asker.suggestion()
    worker = asker._worker
    assert worker is not None
    worker.join(0.5)
    assert worker.is_alive()
    assert not asker._seen
    crowd.clear()
    worker.join(60)
    assert asker._seen
    asker.close()


def test_what_waits_to_be_weighed_ends_with_the_program(desk: Desk) -> None:
    asker = Asker(desk, busy=lambda: True)
    asker.suggestion()
    assert asker._worker is not None
    asker.close()
    asker._worker.join(5)
    assert not asker._worker.is_alive()
    assert asker.turn(Errand.WHEELS) is not None
    asker.close()


def test_what_is_said_of_air_outlasts_a_tread_and_nothing_else(desk: Desk) -> None:
    tyre, before = desk.loaded().garage.tyre[0].id, tyres_now(desk)
    held = dict(desk.tyres)
    correct(desk, tyre, tread="4 mm")
    assert tyres_now(desk) == before
    assert {s: one.says for s, one in desk.tyres.items()} == {s: one.says for s, one in held.items()}
    assert all(one.says is held[s].says for s, one in desk.tyres.items())
    correct(desk, tyre, designation="185/60 R15 88H")
    tyres_now(desk)
    assert not any(one.says is held[s].says for s, one in desk.tyres.items())
