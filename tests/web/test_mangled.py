"""With nonsense for every word, all that was made with the real ones is judged the same: nothing goes by what a sentence says."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from browsing import all_sent, answer, at, come_in, ready, serving
from claiming import do_all
from commands import run
from mangling import SERVE, codes, mangled, nonsense
from wheelside.jobs.book.desk import Desk, open_desk
from wheelside.jobs.work.doing import begin, doing
from wheelside.jobs.work.finish import finish, page_of, proof_of, settling
from wheelside.proof import lack, level, plain, shown
from wheelside.proof.check import check_proof
from wheelside.proof.record import Record
from wheelside.said import Said, say
from wheelside.sheet.ask import Tells
from wheelside.sheet.option import Lamp, option_of
from wheelside.speech.speech import Speech
from wheelside.web.claims import progress_out

OTHERWISE: dict[str, dict[str, str]] = {
    "snapshot": {"lamp": Lamp.NEVER_LIGHTS}, "air_w2": {"pressure_w2": "2.1"}, "air_w3": {"pressure_w3": "low"},
    "drive": {"minutes": "14"},
}  # fmt: skip


@pytest.fixture
def done(home: Desk) -> str:
    """A job whose steps are answered as planned and otherwise, one of them left out; its id."""
    job = begin(home).job
    assert job is not None
    do_all(home, job, skip=("store",), other=OTHERWISE)
    return job


def judged(desk: Desk, job: str) -> Any:
    """How everything of a job is judged: steps, level, settled, required."""
    now = doing(desk, job)
    settled = settling(desk, now)
    found = level.level_of(now.start, now.states)
    return (
        [(s.step.id, s.standing, s.as_planned, len(s.problems), s.waits, s.counts) for s in now.states],
        [(r.level, [one.lack for one in r.lacking]) for r in found.rungs], found.reached, settled.table,
        [(u.standing, u.title) for u in settled.unfinished], now.next.step.id if now.next else "",
        [(a.id, a.required, a.expect, a.wanted, a.options) for s in now.states for a in s.step.asks],
    )  # fmt: skip


def checked(data: str) -> Any:
    found = check_proof(data.encode(), "x")
    flaws = [one.flaw.value for one in (*found.altered, *found.unchecked)]
    return found.sound, found.judged, found.rules, flaws


def test_a_job_and_its_proof_are_judged_the_same_whatever_the_words(
    home: Desk, done: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    real = judged(home, done)
    finish(home, done, leave_open=True)
    proof = proof_of(home, done)
    page = page_of(home, proof)
    (tmp_path / "proof.json").write_text(json.dumps(proof))
    assert checked(json.dumps(proof))[:2] == (True, True)
    for text in (
        json.dumps(proof),
        page,
        page.replace("</main>", "<p>fine</p></main>"),
        json.dumps(proof).replace("Ada", "Eve"),
    ):
        was = checked(text)
        with nonsense():
            assert checked(text) == was
    with nonsense():
        again, _ = open_desk(home.book.name)
        again.clock = home.clock
        assert judged(again, done) == real
        out = progress_out(doing(again, done))
        again.close()
        code, said, _ = run(capsys, "proof", "check", tmp_path / "proof.json")
    assert code == 0
    assert mangled("stays off") not in json.dumps(proof)
    assert {s.standing for s in out.steps or ()} == {"done", "to-correct", "open"}
    assert any("‹" in problem for s in out.steps or () for problem in s.problems)
    assert "unaltered since signed" in " ".join(said.split())


def test_a_proof_made_with_nonsense_is_the_very_same(home: Desk, done: str, tmp_path: Path) -> None:
    other = tmp_path / "other.book"
    with closing(sqlite3.connect(home.book.name)) as one, closing(sqlite3.connect(other)) as two:
        one.backup(two)
    finish(home, done, leave_open=True)
    with nonsense():
        again, _ = open_desk(str(other))
        again.clock = home.clock
        finish(again, done, leave_open=True)
        mine, theirs = proof_of(again, done), proof_of(home, done)
        again.close()
    assert mine == theirs


@pytest.mark.parametrize("kind", ["compares", "seals"])
def test_what_goes_by_a_sentence_on_purpose_is_caught(
    home: Desk, done: str, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The two faults that this file is there for, made on purpose."""
    if kind == "compares":

        def by_words(answers: tuple[shown.ShownAnswer, ...]) -> list[lack.Lacking]:
            seen = [s for s in answers if s.tells is Tells.LAMP_AGAIN]
            fine = all(Speech().text(option_of(s.answer.said) or "") == "lights, then goes out" for s in seen)
            return [] if fine else [lack.Lacking(lack.Lack.AT_IGNITION)]

        monkeypatch.setattr(level, "_lit_and_out", by_words)
        real = judged(home, done)
        with nonsense():
            assert judged(home, done) != real
        return
    plainly = plain.record_json

    def with_a_sentence(record: Record) -> Any:
        return plainly(record) | {"in_words": [one.lack.words for r in record.level.rungs for one in r.lacking]}

    for where in ("wheelside.jobs.work.finish", "wheelside.proof.check"):
        monkeypatch.setattr(f"{where}.record_json", with_a_sentence)
    finish(home, done, leave_open=True)
    text = json.dumps(proof_of(home, done))
    was = checked(text)
    with nonsense():
        assert checked(text) != was


def test_the_phone_goes_by_codes(browser: Browser, home: Desk, done: str) -> None:
    """A few steps on a phone whose pages are nonsense: what is required, no answer, to be corrected, not reachable."""
    home.close()
    with serving(Path(home.book.name), program=("-c", SERVE)) as server:
        visit = come_in(browser, server)
        visit.goto(f"/jobs/{done}")
        ready(visit)
        page = visit.page
        at(visit, "air-w3")
        expect(page.locator("#step-air-w3 [data-mark]")).to_have_text(mangled("to be corrected"))
        answer(visit)
        at(visit, "wake-w1")
        page.locator("#step-wake-w1 input[value=other]").check(force=True)
        page.locator("#step-wake-w1 [name=a-id-w1]").fill("")
        page.locator("[data-act]").click()
        expect(page.locator("#step-wake-w1 .wrong")).to_contain_text("Answer this first")
        page.locator("#step-wake-w1 input[value=no-answer]").check(force=True)
        page.locator("[data-act]").click()
        all_sent(visit)
        at(visit, "store")
        answer(visit)
        all_sent(visit)
        visit.context.set_offline(True)
        at(visit, "retorque")
        answer(visit)
        expect(page.locator("[data-line]")).to_contain_text("kept here")
        visit.context.set_offline(False)
        all_sent(visit)
        assert visit.errors == []
    desk, _ = open_desk(home.book.name)
    states = {s.step.id: s for s in doing(desk, done).states}
    desk.close()
    assert states["air-w3"].standing.value == "done"
    assert [a.said for a in states["wake-w1"].answers] == ["no-answer"]
    assert states["store"].finished
    assert [a.said for a in states["retorque"].answers] == ["none-moved"]


def test_no_two_answers_share_a_code_and_each_has_words() -> None:
    found = [one for one in codes() if type(one).__module__ == "wheelside.sheet.option"]
    assert len({one.value for one in found}) == len(found) > 40
    assert all(option_of(one.value) is one and one.words for one in found)


def test_what_is_said_has_no_text_of_its_own() -> None:
    said = say("{a} and {b}", a="x", b=3)
    assert isinstance(said, Said)
    with pytest.raises(TypeError):
        Speech().text(object())
    with nonsense():
        assert Speech().text(said) == mangled("{a} and {b}").format(a="x", b="3")
