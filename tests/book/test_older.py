"""Books, jobs and proofs of before there were codes: brought over, read the same, carried on; old proofs shown as they said then.

Made by two earlier versions with `tests/older/make.py`; what those said of each step stands beside the books.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import MetaData, Table, insert

from claiming import as_planned
from commands import run
from wheelside.book import tables
from wheelside.book.engine import engine_for, transaction
from wheelside.book.events import wheel_history
from wheelside.book.jobs import jobs_of
from wheelside.book.layout import bring_to
from wheelside.book.older import as_code, claim_in_codes, job_in_codes, state_in_codes
from wheelside.identity.states import IdState
from wheelside.jobs.book.desk import Desk, open_desk
from wheelside.jobs.work.doing import doing, take_claims
from wheelside.jobs.work.finish import finish, page_of, proof_of
from wheelside.proof.check import Flaw, check_proof
from wheelside.proof.level import level_of
from wheelside.proof.view import view_of
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import Asked
from wheelside.sheet.claim import Answer, Claim, ClaimKind
from wheelside.sheet.option import option_of
from wheelside.sheet.title import called_in, said_title
from wheelside.speech.speech import Speech
from wheelside.units.moment import Moment

OLDER = Path(__file__).parent.parent / "older"
MADE = ("first", "sentences")


def restored(name: str, place: str) -> None:
    """An old book at a place: the tables that its version made, with the rows of its dump."""
    with closing(sqlite3.connect(":memory:")) as old:
        old.executescript((OLDER / f"{name}.sql").read_text())
        (layout,) = old.execute("select version_num from layout").fetchone()
        there = {t for (t,) in old.execute("select name from sqlite_master where type = 'table'")}
        names_of = [t.name for t in tables.metadata.sorted_tables if t.name in there]
        engine = engine_for(place)
        with transaction(engine, place, writes=True) as conn:
            bring_to(conn, layout)
            for table in names_of:
                cursor = old.execute(f"select * from {table}")
                names = [c[0] for c in cursor.description]
                rows = [dict(zip(names, row, strict=True)) for row in cursor]
                if rows:
                    into = Table(table, MetaData(), autoload_with=conn)
                    conn.execute(insert(into), rows)
        engine.dispose()


@pytest.fixture(params=MADE)
def made(request: pytest.FixtureRequest) -> str:
    name: str = request.param
    return name


@pytest.fixture
def old(made: str, place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    """An old book whose job is under way, opened by this version."""
    monkeypatch.chdir(tmp_path)
    restored(f"{made}-open", place)
    desk, backup = open_desk(place, tmp_path / "photos")
    assert backup is not None
    desk.clock = lambda: Moment(1_795_777_200_000_000, 60)
    yield desk
    desk.close()


def _answer(a: ReadAnswer) -> list[Any]:
    return [a.ask.id, a.as_planned, a.problem is not None, a.id.hex if a.id else ""]


def test_a_job_under_way_stands_as_it_stood(old: Desk, made: str) -> None:
    then = json.loads((OLDER / f"{made}-open.json").read_text())
    now = doing(old, then["job"])
    stands = [
        [s.step.id, s.finished, s.rival is not None, list(s.waits), [_answer(a) for a in s.answers]] for s in now.states
    ]
    assert stands == then["steps"]
    assert any(rival for _, _, rival, _, _ in then["steps"])
    assert any(problem for *_, answers in then["steps"] for _, _, problem, _ in answers)


def test_every_answer_of_an_old_job_has_words(old: Desk, made: str) -> None:
    job = json.loads((OLDER / f"{made}-open.json").read_text())["job"]
    places = {p.id for p in old.loaded().garage.place}
    corners = {"front left", "front right", "rear left", "rear right"}
    for state in doing(old, job).states:
        for ask in state.step.asks:
            options = {*ask.options, *ask.also} - places - corners
            assert all(option_of(one) is not None for one in options), (state.step.id, options)
    with old.book.reading() as conn:
        (row,) = jobs_of(conn)
    title = Speech().text(said_title(called_in(row.title)))
    assert title.startswith("Winter set goes on Estate, 2026-11-")
    assert title.endswith("; Summer set comes off")


def test_an_old_job_goes_on_to_a_proof_that_is_judged(old: Desk, made: str) -> None:
    job = json.loads((OLDER / f"{made}-open.json").read_text())["job"]
    for n, state in enumerate(doing(old, job).states):
        if not (state.finished and state.as_planned):
            answers = tuple(Answer(a.id, as_planned(a)) for a in state.step.asks if a.kind is not Asked.PHOTO)
            at = Moment(1_795_770_000_000_000 + n, 60)
            client = f"again-{n:04}"
            one = Claim(client, job, state.step.id, ClaimKind.DONE, at, "Ada", "phone", 10**9, answers)
            settled = Claim(
                f"{client}-s", job, state.step.id, ClaimKind.SETTLED, at, "Ada", "phone", 10**9, keep=client
            )
            take_claims(old, job, [one, settled] if state.rival else [one])
    now = doing(old, job)
    assert [s.step.id for s in now.states if not s.finished] == []
    assert level_of(now.start, now.states).reached == "E5"
    proof = json.loads(finish(old, job))
    found = check_proof(json.dumps(proof).encode(), "x")
    assert (found.sound, found.judged, found.rules) == (True, True, 3)
    assert check_proof(page_of(old, proof).encode(), "x").sound


def test_an_old_book_keeps_the_proof_that_it_has(
    made: str, place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    restored(made, place)
    desk, _ = open_desk(place, tmp_path / "photos")
    job = json.loads((OLDER / f"{made}-open.json").read_text())["job"]
    kept = proof_of(desk, job)
    assert kept == json.loads((OLDER / f"{made}.json").read_text())
    page = page_of(desk, kept)
    assert "Made under rules 1, shown as they said then; its level was not judged again." in page
    assert "typed in by hand, from: typed" in page
    assert check_proof(page.encode(), "x").sound
    assert doing(desk, job).row.outcome == "finished"
    desk.close()


def test_an_old_proof_is_checked_for_its_seal_and_not_judged_again(
    made: str, capsys: pytest.CaptureFixture[str]
) -> None:
    file = OLDER / f"{made}.json"
    found = check_proof(file.read_bytes(), file.name)
    assert (found.altered, found.unchecked, found.sound, found.rules, found.judged) == ((), (), True, 1, False)
    code, out, _ = run(capsys, "proof", "check", file)
    said = " ".join(out.split())
    assert code == 0
    assert "Made under rules 1, shown as they said then; its level was not judged again. Altered: no." in said
    view = view_of(found.proof)
    assert view.record == found.proof["record"]
    other = json.loads(file.read_text())
    other["record"]["level"]["reached"] = "E5"
    assert [f.flaw for f in check_proof(json.dumps(other).encode(), "x").altered] == [Flaw.RECORD]


def test_an_old_page_holds_its_proof_and_is_itself_not_signed(made: str) -> None:
    page = (OLDER / f"{made}.html").read_bytes()
    found = check_proof(page, "x")
    assert ([f.flaw for f in found.unchecked], found.altered) == ([Flaw.BARE_PAGE], ())
    forged = page.replace(b'"person":"Ada"', b'"person":"Eve"', 1)
    assert check_proof(forged, "x").altered


def test_how_far_an_id_had_come_is_a_code(old: Desk, made: str) -> None:
    with old.book.reading() as conn:
        states = {row.detail.get("state") for row in wheel_history(conn, "W3") if row.kind == "ID state"}
    assert states
    assert states <= set(IdState)
    assert state_in_codes('{"state": "known to the car", "said": "x"}') == '{"state": "known", "said": "x"}'
    assert state_in_codes('{"state": "heard"}') == '{"state": "heard"}'


def test_what_is_in_codes_already_stays_as_it_is(old: Desk, made: str) -> None:
    with old.book.reading() as conn:
        from wheelside.book.jobs import job_of

        row = job_of(conn, jobs_of(conn)[0].id)
    assert row is not None
    assert job_in_codes(row.body) == (row.body, "")


def test_a_persons_own_words_are_never_taken_for_an_answer() -> None:
    assert as_code("none", "words", "") == "none"
    body = json.dumps({"answers": [{"ask": "odometer", "said": "some", "words": "none", "photo": ""}]})
    assert json.loads(claim_in_codes(body, {"odometer": ("words", "")})) == json.loads(body)
    assert as_code("none", "pick", "corner that moved") == "no-figure"
    assert as_code("none", "pick", "codes after") == "no-codes"


def test_a_page_from_before_there_were_codes_is_still_understood(old: Desk, made: str) -> None:
    """A phone that was off the network while the program was replaced sends sentences."""
    job = json.loads((OLDER / f"{made}-open.json").read_text())["job"]
    at = Moment(1_795_770_000_000_000, 60)
    answers = (Answer("lamp", "lights and stays on"),)
    take_claims(old, job, [Claim("late-0001", job, "second-start", ClaimKind.DONE, at, "Ada", "phone", 10**9, answers)])
    state = next(s for s in doing(old, job).states if s.step.id == "second-start")
    assert [a.said for a in state.answers if a.ask.id == "lamp"] == ["lights-stays"]
    again = take_claims(
        old, job, [Claim("late-0001", job, "second-start", ClaimKind.DONE, at, "Ada", "phone", 10**9, answers)]
    )
    assert again.new == 0
