"""What a proof names beside its level: cleared codes, lost air, swapped corners, IDs confirmed by a tap; and what it does not remark on."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from books import NOON
from commands import run
from handmade import WHEELS, Said, claims, direct_steps, job, said, shown
from wheelside.proof.check import check_proof
from wheelside.proof.lack import Lack
from wheelside.proof.page import proof_page
from wheelside.proof.pdf import proof_pdf
from wheelside.proof.plain import claims_json, record_json, sealed_start
from wheelside.proof.record import RULES, IdSaid, IdShown, LostAir, Otherwise, record_of
from wheelside.proof.seal import sealed
from wheelside.proof.view import view_of
from wheelside.sheet.option import Cause, Clearing, Codes, Instead, LampLater, YesNo
from wheelside.units import GaugePressure

Json = dict[str, Any]
SEAL = b"\x02" * 32
OLDER = Path(__file__).parent.parent / "older"
CODE = "C0750 (confirmed)"


def proof_of(*history: Said) -> Json:
    """The sealed proof of a job with this history."""
    start = job(direct_steps())
    said_there = claims(start, history)
    about = {"program": "x", "rules": RULES, "book": "b", "job": "j", "begun": NOON.iso(), "ended": NOON.iso()}
    record = record_json(record_of(start, said_there))
    made: Json = json.loads(json.dumps(sealed(about, sealed_start(start), record, claims_json(said_there), SEAL)))
    return made


def told(rows: list[Json]) -> list[str]:
    return [f"{row['title']}: {row['text']}" for row in rows]


CLEARED_TWICE = (
    said("codes_before", codes=Codes.SOME, words=CODE),
    said("codes_now", codes=Codes.SOME, words=f"{CODE}; C0755 (pending)"),
    said("clear_codes", cleared=Clearing.CLEARED),
    said("codes_after", codes=Codes.SOME, words="C0760 (stored)"),
    said("clear_later", cleared=Clearing.CLEARED),
    said("look_later", lamp=LampLater.STILL_OFF, codes=Codes.NONE, day=7),
)


def test_what_was_cleared_is_named_by_the_last_reading_before_and_what_came_of_it() -> None:
    rows = told(view_of(proof_of(*CLEARED_TWICE)).record["codes"])
    assert [row.partition(" (2026")[0] for row in rows] == [
        f"Read the codes from before: codes before: some: {CODE}",
        f"Read the codes again before the drive: codes before the drive: some: {CODE}; C0755 (pending)",
        f"Clear old codes of the tyre monitor: clearing before the drive: cleared: {CODE}; C0755 (pending)",
        "Read the codes after the work: codes after: some: C0760 (stored)",
        "Clear an old code that is no more active: clearing after the drive: cleared: C0760 (stored)",
        "Look at the lamp again: codes a week later: none",
    ]


def test_words_of_ones_own_beside_clearing_stay() -> None:
    history = (CLEARED_TWICE[1], said("clear_codes", cleared=Clearing.CLEARED, words="C0750 alone"))
    (line,) = [one for one in shown(*history).codes if one.step == "clear-codes"]
    assert line.words == "C0750 alone"
    again = said("codes_now", codes=Codes.SOME, words="C0765, read after clearing")
    later = shown(CLEARED_TWICE[0], CLEARED_TWICE[1], CLEARED_TWICE[2], again)
    (line,) = [one for one in later.codes if one.step == "clear-codes"]
    assert line.words == CODE
    (line,) = [one for one in shown(said("clear_codes", cleared=Clearing.LEFT)).codes if one.step == "clear-codes"]
    assert (line.said, line.words) == (Clearing.LEFT, "")


def test_the_look_in_a_week_is_told_of_the_lamp() -> None:
    rows = told(view_of(proof_of(said("look_later", lamp=LampLater.TOO_EARLY, day=2))).record["lamp"])
    assert rows[-1].startswith("Look at the lamp again: lamp a week later: off, but not that long yet")


def test_a_wheel_that_had_lost_its_air_is_named_with_the_cause_on_page_and_pdf() -> None:
    proof = proof_of(said("fetch_w3", pressure_w3="90 kPa", cause=Cause.MENDED, words="a nail"))
    record = shown(said("fetch_w3", pressure_w3="90 kPa", cause=Cause.MENDED, words="a nail"))
    (one,) = record.lost
    assert isinstance(one, LostAir)
    assert (one.wheel, one.lay, one.cause, one.words) == ("W3", GaugePressure(90.0), Cause.MENDED, "a nail")
    line = "W3 lay at 0.90 bar; found and mended (a nail)"
    assert line in proof_page(proof, {}, SEAL)
    assert line in " ".join(
        " ".join(p.extract_text() for p in PdfReader(io.BytesIO(proof_pdf(proof, {}))).pages).split()
    )
    assert "had lost air" not in proof_page(proof_of(), {}, SEAL)


def test_swapped_corners_stand_beside_the_level_on_page_and_pdf() -> None:
    swapped = proof_of(said("air_w1", moved="rear left"), said("air_w3", moved="front left"))
    line = "Corners are swapped: front left and rear left."
    assert line in proof_page(swapped, {}, SEAL)
    assert line in " ".join(
        " ".join(p.extract_text() for p in PdfReader(io.BytesIO(proof_pdf(swapped, {}))).pages).split()
    )
    assert "are swapped" not in proof_page(proof_of(), {}, SEAL)


def test_a_silent_wheel_is_named_with_what_it_holds_down() -> None:
    level = view_of(proof_of(said("wake_w2", id_w2=Instead.NO_ANSWER))).record["level"]
    assert level["reached"] == "E1"
    assert level["leaves_open"] == "a sensor whose silence has not been missed yet, a clone answering"
    (lacking,) = next(r["lacking"] for r in level["rungs"] if r["level"] == "E2")
    assert lacking.startswith("wheel W2, front right: no answer within two minutes, not heard since,")


def test_an_id_confirmed_by_a_tap_is_told_apart_from_typed_ones() -> None:
    record = shown(
        said("wake_w1", id_w1=Instead.AS_SHOWN), said("wake_w2", id_w2="A701"), said("wake_w3", id_w3="2C41A702")
    )
    awake = [w.awake for w in record.wheels]
    assert awake[:3] == [
        IdShown(IdSaid.CONFIRMED, "A700"), IdShown(IdSaid.TAIL_PLANNED, "A701"), IdShown(IdSaid.PLANNED, "2C41A702")
    ]  # fmt: skip
    wheels = view_of(proof_of(said("wake_w1", id_w1=Instead.AS_SHOWN))).record["wheels"]
    assert wheels[0]["awake"] == "…A700, confirmed by a tap"


def test_a_corner_that_the_dashs_own_figures_contradict_is_told_as_that() -> None:
    moved = said("air_w4", moved="rear right", dash_before="2.4 bar", dash_now="2.5 bar")
    (one,) = shown(moved).otherwise
    assert (one.step, one.how) == ("air-w4", Otherwise.STILL)
    followed = said("air_w4", moved="rear right", dash_before="2.2 bar", dash_now="2.5 bar")
    assert shown(followed).otherwise == ()


def test_a_lamp_that_did_not_come_on_is_no_remark_and_one_that_stayed_on_is() -> None:
    dark = shown(said("challenge", lit=YesNo.NO, out=YesNo.NO))
    assert dark.otherwise == ()
    assert [one.lack for one in dark.level.rungs[-1].lacking] == [Lack.NOT_LIT]
    assert [(t.tells.value, t.said) for t in dark.lamp if t.step == "challenge"] == [("lamp below the limit", YesNo.NO)]
    lit = shown(said("challenge", out=YesNo.NO))
    assert [(o.ask, o.said) for o in lit.otherwise] == [("out", YesNo.NO)]


def test_a_step_that_nothing_calls_for_is_not_left_out() -> None:
    followed = tuple(said(f"air_{w.lower()}", moved=corner) for w, corner in WHEELS.items())
    assert [one.step for one in shown(*followed).left_out] == ["look-later"]
    called = shown(*followed, said("codes_now", codes=Codes.SOME))
    assert [one.step for one in called.left_out] == ["clear-codes", "look-later"]


def test_the_proof_of_a_history_checks_and_follows_from_its_evidence() -> None:
    proof = proof_of(*CLEARED_TWICE)
    found = check_proof(json.dumps(proof).encode(), "x")
    assert (found.sound, found.judged, found.rules) == (True, True, 3)


def test_a_proof_of_rules_2_is_shown_as_it_said_then(capsys: pytest.CaptureFixture[str]) -> None:
    """Made before a receiver's answer by word alone stopped counting: E3 then, and its seal still holds."""
    file = OLDER / "rules2.json"
    found = check_proof(file.read_bytes(), file.name)
    assert (found.altered, found.unchecked, found.rules, found.judged) == ((), (), 2, False)
    level = view_of(found.proof).record["level"]
    assert (level["reached"], level["swapped"]) == ("E3", "")
    assert level["leaves_open"] == "wrong corners on some cars, wrong limits"
    page = (OLDER / "rules2.html").read_text()
    assert check_proof(page.encode(), "x").sound
    again = proof_page(found.proof, {}, SEAL)
    for rung in level["rungs"]:
        assert f"<td>{rung['shown_by']}</td>".replace("'", "&#39;") in page
        assert f"<td>{rung['shown_by']}</td>".replace("'", "&#39;") in again
    assert "Made under rules 2, shown as they said then; its level was not judged again." in again
    code, out, _ = run(capsys, "proof", "check", file)
    assert code == 0
    assert "Made under rules 2" in " ".join(out.split())
