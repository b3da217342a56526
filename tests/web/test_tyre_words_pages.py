"""What is said of a tyre stands beside its pressure on a run sheet, and in the proof, and programs get it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from books import NOON, later
from commands import run
from visits import Site, let_in, words
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.gauging import HowRead, keep_gauging
from wheelside.units.moment import Moment

FOUR = {"front left": "2.40", "front right": "2.40", "rear left": "2.35", "rear right": "2.34", "outside": "8"}


def on_day(desk: Desk, at: Moment) -> None:
    desk.clock = lambda: at


def falling(desk: Desk, corner: str = "rear left", until: Moment = NOON) -> None:
    """Four weeks until a moment, over which one wheel of the estate falls."""
    for week, low in enumerate(("2.35", "2.24", "2.12", "2.00")):
        on_day(desk, later((week - 3) * 7 * 1440, until))
        keep_gauging(desk, "estate", {**FOUR, corner: low}, HowRead())


def rows(site: Site, job: str) -> list[str]:
    """The rows of a sheet without script, in words."""
    page = site.get(f"/jobs/{job}?plain=1")
    return [words(row) for row in re.split(r'<li class="row-one"', page)[1:]]


def test_a_sheet_says_beside_a_pressure_what_is_said_of_that_tyre_alone(home: Desk) -> None:
    falling(home)
    site = let_in(home)
    shown = rows(site, site.begin())
    told = [row for row in shown if "▲ loses" in row]
    assert told
    assert len(told) == 1
    assert re.search(r"S3: ▲ loses 0\.5\d? bar a month", told[0])
    assert "normal" not in told[0]
    assert "S1:" not in told[0]


def test_a_sheet_on_paper_says_it_too_and_one_of_a_garage_file_says_nothing(
    home: Desk, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    falling(home)
    for form in ((), ("--markdown",)):
        shown = run(capsys, "sheet", home.book.name, "--no-save", *form)[1]
        assert re.search(r"S3: ▲ loses 0\.5\d? bar a month", shown), shown
        assert "S1: " not in shown
        assert "▲ loses" not in run(capsys, "sheet", file, "--no-save", *form)[1]


def test_programs_get_each_tyre_with_its_verdict_its_figures_and_its_sentence(home: Desk) -> None:
    falling(home)
    site = let_in(home)
    found = {t["wheel"]: t for t in site.client.get("/api/tyres?car=estate").json()}
    assert list(found) == ["S1", "S2", "S3", "S4"]
    leaking = found["S3"]
    assert (leaking["set"], leaking["car"], leaking["corner"], leaking["verdict"]) == (
        "summer",
        "estate",
        "rear left",
        "loses",
    )
    loss = leaking["loss"]
    assert loss["least"]["kpa"] < loss["month"]["kpa"] < loss["most"]["kpa"]
    assert 45 < loss["month"]["kpa"] < 60
    assert loss["since"] <= str(home.clock().day)
    assert leaking["lamp"]["early"] <= leaking["lamp"]["late"]
    assert leaking["reads"] == {"kpa_gauge": 200.0}
    assert leaking["sentence"] in words(site.get("/things/wheel/S3"))
    assert (found["S1"]["verdict"], found["S1"]["loss"], found["S1"]["again"]) == ("normal", None, None)
    assert len(site.client.get("/api/tyres").json()) == 8
    assert site.client.get("/api/tyres?car=none").status_code == 404
