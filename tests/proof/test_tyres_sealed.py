"""A proof holds what was said of each tyre when its job was finished; proofs from before have none, and are as good."""

from __future__ import annotations

import json
from typing import Any

import pytest

from books import later
from claiming import do_all
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.book.readings import add_readings
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.doing import begin
from wheelside.jobs.work.finish import finish, page_of
from wheelside.proof.check import Flaw, check_proof
from wheelside.proof.pdf import proof_pdf
from wheelside.proof.seal import sealed
from wheelside.proof.view import view_of
from wheelside.units import GaugePressure, Temperature

Json = dict[str, Any]
DAY_MIN = 1440


def lay(desk: Desk, wheel: str, day: int, kpa: float) -> Reading:
    at = later(day * DAY_MIN)
    return Reading(
        ("wheel", wheel), at.us, "gauge", GaugePressure(kpa), offset_min=at.offset_min, purpose=Purpose.GAUGING, warmth=Warmth.COLD,
        tyre=Temperature(283.15),
    )  # fmt: skip


@pytest.fixture
def proof(home: Desk) -> Json:
    """Of a job whose W3 has lost air for weeks, and is noted to be set to what the sheet says."""
    with home.writing("as they lay") as writing:
        for day in (-42, -28, -14, -1):
            four = {"W1": 250.0, "W2": 250.0, "W3": 250.0 - (day + 42) * 1.0, "W4": 250.0}
            add_readings(writing, [lay(home, wheel, day, kpa) for wheel, kpa in four.items()], as_it_is=True)
    job = begin(home).job
    assert job is not None
    low = {"fetch_w3": {"pressure": "2.05"}}
    do_all(home, job, other=low)
    home.clock = lambda: later(12 * 60)
    made: Json = json.loads(finish(home, job, leave_open=True))
    return made


def signed(proof: Json, about: Json) -> Json:
    """The same, signed by somebody's key with something else in `about`."""
    bare = [{k: v for k, v in piece.items() if k != "link"} for piece in proof["evidence"]]
    return sealed(about, proof["start"], proof["record"], bare, b"\x02" * 32)


def test_each_wheel_has_its_verdict_and_its_figures_of_which_words_are_made(proof: Json, home: Desk) -> None:
    told = {t["wheel"]: t for t in proof["about"]["tyres"]}
    assert list(told) == ["W1", "W2", "W3", "W4"]
    assert [t["corner"] for t in told.values()] == ["front left", "front right", "rear left", "rear right"]
    leaking = told["W3"]
    assert leaking["says"]["verdict"] == "loses"
    assert 25.0 < leaking["says"]["loss"]["month"]["kpa"] < 35.0
    assert leaking["says"]["loss"]["least"]["kpa"] < 30.4 < leaking["says"]["loss"]["most"]["kpa"]
    assert "sentence" not in leaking, "figures are sealed, and no words"
    shown = view_of(proof).record["tyres"][2]
    assert shown["title"] == "W3, rear left"
    assert shown["text"].startswith("loses 0.3")
    page = page_of(home, proof)
    assert shown["text"] in page
    assert proof_pdf(proof, {}).startswith(b"%PDF")
    assert check_proof(page.encode(), "proof.html").sound
    assert check_proof(json.dumps(proof).encode(), "proof.json").sound


def test_what_is_said_can_not_be_altered(proof: Json) -> None:
    proof["about"]["tyres"][2]["says"]["verdict"] = "normal"
    found = check_proof(json.dumps(proof).encode(), "proof.json")
    assert next(f.flaw for f in found.altered) is Flaw.ABOUT


def test_one_without_any_is_as_good_and_one_whose_words_are_no_such_record_is_not(proof: Json) -> None:
    about = {k: v for k, v in proof["about"].items() if k != "tyres"}
    before = signed(proof, about)
    assert check_proof(json.dumps(before).encode(), "x").sound
    assert "tyres" not in view_of(before).record
    forged = signed(proof, {**about, "tyres": [{"wheel": "W3"}]})
    found = check_proof(json.dumps(forged).encode(), "x")
    assert [f.flaw for f in found.unchecked] == [Flaw.NOT_READ]
