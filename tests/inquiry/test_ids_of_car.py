"""The IDs of the set that is on a car, read from the car's own list within the conversation: on the pages and in the terminal."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from books import NOON
from cars import on_a_bus
from commands import run
from visits import Site, let_in, words
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import practice_car
from wheelside.demo.practice.told import SUMMER
from wheelside.inquiry.query import Errand
from wheelside.jobs.book.desk import Desk, new_desk, open_desk
from wheelside.jobs.car.visit import Visit, keep_port_card
from wheelside.jobs.work.starting import Asker
from wheelside.web import asking


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A book with a car that has its port card, and a set on it whose IDs are still to be noted."""
    file = tmp_path / "my.book"
    desk = new_desk(str(file), clock=lambda: NOON)
    asker = Asker(desk)
    asker.answer("begin", {"pick": "figures"})
    asker.answer("on/My car", {"pick": "summer", "size": "205/60 R16 92V"})
    keep_port_card(Visit(desk, "My car"), port_card(), "practice.toml", dbc().decode())
    desk.close()
    return file


@pytest.fixture
def desk(book: Path) -> Iterator[Desk]:
    desk, _ = open_desk(str(book))
    desk.clock = lambda: NOON
    yield desk
    desk.close()


def listed() -> list[str]:
    """The four IDs of the list that the practising car goes by, from its own table."""
    front_left, front_right, rear_right, rear_left = SUMMER
    return [f"{one:08X}" for one in (front_left, front_right, rear_left, rear_right)]


def noted(desk: Desk) -> list[tuple[str | None, str | None]]:
    return [(s.printed, s.sends) for s in desk.loaded().garage.sensor]


def post(site: Site, status: int = 303, /, **fields: str) -> str:
    return site.post("/start/wheels", status, {"code": "ids/Summer", "car": "My car", "n": "3", **fields})


def test_the_page_fills_empty_corners_from_the_car_s_list_and_notes_what_was_sent(desk: Desk) -> None:
    with on_a_bus(practice_car()) as link:
        site = let_in(desk, car_link=link)
        page = site.get("/start/wheels")
        assert "Only if the tyre lamp is off while you drive" in words(page)
        page = post(site, 200, do="port", **{"g.front_left": "0742500339"})
    shown = re.findall(r'name="g\.(\w+)" value="(\w*)"', page)
    assert next(text for name, text in shown if name != "from_car") == "0742500339"
    assert [text for name, text in shown if name.startswith(("front_right", "rear"))] == listed()[1:]
    fields = {f"g.{name}": text for name, text in re.findall(r'name="g\.(\w+)" value="([\w ]*)"', page)}
    post(site, pick="", **fields)
    assert noted(desk) == [("0742500339", None), *((None, one) for one in listed()[1:])]
    assert Asker(desk).turn(Errand.WHEELS, "My car").query.code == "heard/My car/Summer"  # type: ignore[union-attr]


def test_a_page_without_a_way_to_a_car_does_not_offer_it(desk: Desk) -> None:
    assert "Read them from the car" not in words(let_in(desk).get("/start/wheels"))


def test_a_car_that_is_silent_is_said_and_the_ids_can_be_typed(desk: Desk) -> None:
    site = let_in(desk, car_link="virtual nobody")
    page = post(site, 422, do="port", **{"g.front_left": "0742500339"})
    assert 'value="0742500339"' in page
    assert 'role="alert">■ ' in page


def test_typed_ids_stay_while_somebody_else_asks_the_car(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(asking, "WAIT_S", 0.05)
    site = let_in(desk, car_link="virtual nobody")
    with site.client.app.state.car_link.busy:  # type: ignore[attr-defined]
        page = post(site, 422, do="port", **{"g.front_left": "0742500339"})
    assert 'value="0742500339"' in page
    assert "somebody else is asking the car just now" in words(page)


def test_a_car_without_a_port_card_is_said(tmp_path: Path) -> None:
    desk = new_desk(str(tmp_path / "other.book"), clock=lambda: NOON)
    asker = Asker(desk)
    asker.answer("begin", {"pick": "figures"})
    asker.answer("on/My car", {"pick": "summer", "size": "205/60 R16 92V"})
    assert "this car has no port card yet" in words(post(let_in(desk, car_link="virtual nobody"), 422, do="port"))
    desk.close()


def test_the_terminal_reads_them_at_a_word(
    book: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("WHEELSIDE_CLOCK", "2026-11-25T09:00:00+01:00")
    with on_a_bus(practice_car()) as link:
        monkeypatch.setattr("sys.stdin", io.StringIO("2\ny\n"))
        code, out, err = run(capsys, "start", book, "--here", "--car-link", link)
    assert code == 0, err
    assert f"Front left, S1: {listed()[0]}" in out
    assert "With Summer on, is the tyre lamp off while you drive?" in out
    desk, _ = open_desk(str(book))
    assert noted(desk) == [(None, one) for one in listed()]
    desk.close()


def test_in_the_terminal_they_can_be_typed_all_the_same(
    book: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("WHEELSIDE_CLOCK", "2026-11-25T09:00:00+01:00")
    monkeypatch.setattr("sys.stdin", io.StringIO("2\ny\n0742500339\n\n\n\n"))
    code, out, err = run(capsys, "start", book, "--here", "--car-link", "virtual nobody-2")
    assert code == 0, err
    assert "■ " in out
    desk, _ = open_desk(str(book))
    assert noted(desk)[0] == ("0742500339", None)
    desk.close()
