"""A job that began before starts carried quantities goes on as it was."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from books import NOON
from wheelside.book.book import open_book
from wheelside.book.engine import engine_for, transaction
from wheelside.book.layout import bring_to
from wheelside.book.older_starts import start_in_quantities

BEFORE: dict[str, Any] = {
    "car": "estate",
    "wheels": [
        {"wheel": "W1", "hex": "0C41A7F3", "bits": 32, "family": "f", "why": "kept"},
        {"wheel": "W2", "hex": "", "bits": 0, "family": "", "why": "to be noted"},
    ],
    "sheet": {
        "steps": [
            {"does": "pressures-before", "asks": [
                {"id": "temperature", "kind": "temperature", "tells": "tyre temperature", "kelvin": None, "kpa": None, "bits": 0},
            ]},
            {"does": "air", "asks": [
                {"id": "temperature", "kind": "temperature", "tells": "tyre temperature", "kelvin": 290.15, "kpa": None, "bits": 0},
                {"id": "pressure-w1", "kind": "pressure", "tells": "set pressure", "kpa": 267.0, "within_kpa": 5.0, "kelvin": 290.15, "bits": 0,
                 "by_temperature": [[280.0, 257.0], [290.15, 267.0]], "least_by_temperature": [[280.0, 250.0]], "expect": ""},
            ]},
            {"does": "wake", "asks": [
                {"id": "id-w1", "kind": "id", "tells": "awake at its corner", "expect": "0C41A7F3", "bits": 32, "kpa": None, "kelvin": None},
                {"id": "id-w2", "kind": "id", "tells": "awake at its corner", "expect": "", "bits": 0, "kpa": None, "kelvin": None},
            ]},
            {"does": "torque"},
        ],
    },
}  # fmt: skip
NUMBER = 12 * 16**6 + 4 * 16**5 + 1 * 16**4 + 10 * 16**3 + 7 * 16**2 + 15 * 16 + 3


def test_figures_and_digits_become_what_they_stood_for() -> None:
    after = json.loads(start_in_quantities(json.dumps(BEFORE)))
    assert after["wheels"] == [
        {"wheel": "W1", "id": {"family": "f", "bits": 32, "number": NUMBER}, "why": "kept"},
        {"wheel": "W2", "id": None, "why": "to be noted"},
    ]
    (outside,), (tyre, pressure), (known, open_), none = (s["asks"] for s in after["sheet"]["steps"])
    assert (outside["tells"], outside["temperature"]) == ("outside temperature", None)
    assert (tyre["tells"], tyre["temperature"]) == ("tyre temperature", {"kelvin": 290.15})
    assert (pressure["pressure"], pressure["within"]) == ({"kpa": 267.0}, {"kpa": 5.0})
    assert pressure["by_temperature"] == [[{"kelvin": 280.0}, {"kpa": 257.0}], [{"kelvin": 290.15}, {"kpa": 267.0}]]
    assert pressure["least_by_temperature"] == [[{"kelvin": 280.0}, {"kpa": 250.0}]]
    assert (known["wanted"], known["expect"]) == ({"family": "", "bits": 32, "number": NUMBER}, "")
    assert (open_["wanted"], none) == (None, [])
    gone = {"kpa", "within_kpa", "kelvin"}
    assert all(not gone & a.keys() for s in after["sheet"]["steps"] for a in s["asks"])


def test_what_has_quantities_already_stays_as_it_is() -> None:
    once = start_in_quantities(json.dumps(BEFORE))
    assert json.loads(start_in_quantities(once)) == json.loads(once)


def test_the_jobs_of_a_book_of_layout_0007_are_brought_over(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine = engine_for(place)
    with transaction(engine, place, writes=True) as conn:
        bring_to(conn, "0007")
        conn.execute(text("insert into book values ('b1', 1, 'aa')"))
        conn.execute(text("insert into entry values (1, 5, 0, 'Ada', 'test', 'first', NULL)"))
        values = {"body": json.dumps(BEFORE)}
        conn.execute(text("insert into job values ('j1', 1, '{}', '2026-11-25', :body)"), values)
    engine.dispose()
    monkeypatch.chdir(tmp_path)
    book, backup = open_book(place, NOON, tmp_path / "photos")
    assert backup is not None
    with book.reading() as conn:
        (body,) = conn.execute(text("select body from job")).one()
    assert json.loads(body)["wheels"][0]["id"]["number"] == NUMBER
    book.close()
