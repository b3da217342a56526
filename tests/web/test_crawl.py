"""No page speaks command line: no command, no option, no key or bracket of the garage file, whatever the book holds."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from books import NOON
from claiming import do_all
from crawling import crawl, secrets_of, seen_on
from garages import demo_table
from visits import let_in
from wheelside.book.facts import replace_facts
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.work.finish import finish

Row = dict[str, Any]


COMMAND = re.compile(
    r"wheelside (?:plan|check|sheet|air|earshot|fit|gate|hand-over|id|car|book|proof|demo|serve|schema)\b"
)
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]+")
BRACKET = re.compile(r"\[\[?[a-z_]+(?:\.[a-z_]+)?\]\]?|[{]\s*[a-z_]+\s*=")
KEY = re.compile(
    r"'[a-z]+(?:_[a-z]+)+'|'(?:holds|sends|bits|monitor|heard|wheels|wears|on|at|until|band|warmest|coldest|load|height)'"
)
FORBIDDEN = (COMMAND, OPTION, BRACKET, KEY)


def spoken_of_the_file(pages: dict[str, str]) -> list[str]:
    return [
        f"{path}: …{text[max(0, m.start() - 60) : m.end() + 60]}…"
        for path, text in pages.items() for rule in FORBIDDEN for m in rule.finditer(text)
    ]  # fmt: skip


def _without(kind: str, *keys: str) -> Callable[[Row], None]:
    def change(table: Row) -> None:
        rows = table.get(kind, [])
        for row in [rows] if isinstance(rows, dict) else rows:
            for key in keys:
                row.pop(key, None)

    return change


def _gone(*kinds: str) -> Callable[[Row], None]:
    def change(table: Row) -> None:
        for kind in kinds:
            table.pop(kind, None)

    return change


def _unread(table: Row) -> None:
    for sensor in table["sensor"][:4]:
        sensor.pop("printed", None)
        sensor.pop("sends", None)


def _two_ways(table: Row) -> None:
    _without("family", "bits")(table)
    table["sensor"][0] |= {"printed": "11259375", "sends": "2C41A7F3"}


def _hot(table: Row) -> None:
    table["conditions"]["tyres"] = "hot"


def _nothing_bought(table: Row) -> None:
    table.setdefault("plan", {}).update({"buy_sensors": False})
    table["writer"] = []


def _never_said(table: Row) -> None:
    table["stay"] = [{"set": table["set"][0]["id"], "on": table["car"][0]["id"], "since": date(2026, 1, 1)}]


BROKEN: dict[str, Callable[[Row], None]] = {
    "no temperatures": _without("conditions", "tyre_temperature", "temperature_of_use", "height_here", "coldest", "warmest"),
    "hot tyres": _hot,
    "no season line": _gone("stay", "outing"),
    "a season line that says little": _never_said,
    "widths not known": _without("family", "bits", "prefix"),
    "an ID of two readings": _two_ways,
    "IDs not read": _unread,
    "a car of which little is known": _without(
        "car", "monitor", "placard", "taught_by", "holds", "remembers_sets", "stands_at", "family", "dash_shows", "torque", "corner_aware"
    ),
    "no writer, nothing bought": _nothing_bought,
    "no places and paths described": _without("path", "distance", "walls", "heard"),
    "tyres of which little is known": _without("tyre", "designation", "max_pressure", "date_code", "tread", "season"),
    "no instruments": _gone("instrument", "writer"),
}  # fmt: skip


def desk_with(tmp_path: Path, table: Row) -> Desk:
    desk = new_desk(str(tmp_path / "crawled.book"), clock=lambda: NOON)
    with desk.writing("as it is") as writing:
        replace_facts(writing, table)
    return desk


@pytest.mark.parametrize("name", BROKEN)
def test_no_page_of_a_broken_book_speaks_of_the_file(name: str, tmp_path: Path) -> None:
    table = copy.deepcopy(demo_table())
    BROKEN[name](table)
    desk = desk_with(tmp_path, table)
    site = let_in(desk)
    site.client.post("/jobs", data={"ticket": site.ticket})
    pages = crawl(site)
    desk.close()
    assert len(pages) >= 8
    assert spoken_of_the_file(pages) == []


def test_no_page_of_an_empty_book_speaks_of_the_file(tmp_path: Path) -> None:
    desk = new_desk(str(tmp_path / "empty.book"), clock=lambda: NOON)
    pages = crawl(let_in(desk))
    desk.close()
    assert len(pages) >= 8
    assert spoken_of_the_file(pages) == []


def test_no_page_of_the_demo_speaks_of_the_file(home: Desk) -> None:
    site = let_in(home)
    job = site.begin()
    do_all(home, job, skip=("store",), other={"air_w2": {"pressure_w2": "2.1"}, "air_w3": {"pressure_w3": "low"}})
    open_pages = crawl(site)
    finish(home, job, leave_open=True)
    secret = secrets_of(home, site)
    assert not any(text in site.get(f"/jobs/{job}/proof.json") for text in secret)
    pages = (
        open_pages
        | crawl(site, secret)
        | {f"/jobs/{job}/proof.html": " ".join(seen_on(site.get(f"/jobs/{job}/proof.html")).text)}
    )
    assert len(pages) > 60
    assert spoken_of_the_file(pages) == []


@pytest.mark.parametrize(
    "text",
    ["see 'wheelside plan'", "give it, or --tyre 20C", "note 'when_full'", "a new [[sensor]]", "in [conditions]", "{ set = \"A\" }", "'holds' of it"],
)  # fmt: skip
def test_what_speaks_of_the_file_is_found(text: str) -> None:
    assert spoken_of_the_file({"/": text})
    assert not spoken_of_the_file({"/": "the list that it holds, by the gauge in hand: 2.4 bar [at 17 °C]"})
