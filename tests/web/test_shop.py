"""The shop's note, and the link by which a shop answers one step of one job, and reaches nothing else."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from starlette.testclient import TestClient

from books import NOON, later
from claiming import claim, do_all, same_again
from garages import demo_table
from visits import HOST, let_in, outside, words
from wheelside.book.facts import replace_facts
from wheelside.errors import BadRequest
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.work.doing import begin, doing, take_claims
from wheelside.jobs.work.finish import finish, give_up, page_of, proof_of
from wheelside.jobs.work.shop import (
    LINK_LASTS_S,
    MOST_ANSWERS,
    THE_SHOP,
    at_the_shop,
    end_shop_link,
    new_shop_link,
    note_in,
)
from wheelside.sheet.progress import Standing, StepState
from wheelside.sheet.step import Does
from wheelside.web.app import make_app
from wheelside.web.guard import Manners, cookie_of, names_with, ticket_for

DAYS_7 = 7 * 24 * 60
"""In minutes."""


@pytest.fixture
def job(home: Desk) -> str:
    begun = begin(home).job
    assert begun is not None
    return begun


def shop_step(desk: Desk, job: str) -> StepState:
    return next(s for s in doing(desk, job).states if s.step.does is Does.CHANGE_SENSORS)


def planned(desk: Desk, job: str) -> dict[str, str]:
    """What a shop says whose work went as planned, by the names of the form's fields."""
    asks = shop_step(desk, job).step.asks
    return {f"a-{a.id}": a.wanted.hex[-4:] if a.wanted else a.expect for a in asks}


def ticket_in(page: str) -> str:
    found = re.search(r'name="ticket" value="([^"]+)"', page)
    assert found is not None
    return found[1]


def send(client: TestClient, token: str, fields: dict[str, str]) -> int:
    """Sends the form of a link as it is shown now; the answer's status."""
    ticket = ticket_in(client.get(f"/shop/{token}").text)
    return int(client.post(f"/shop/{token}", data={"ticket": ticket, **fields}).status_code)


def test_the_note_says_what_a_fitter_does_and_nothing_of_its_owner(home: Desk, job: str) -> None:
    site = let_in(home)
    for path in (f"/jobs/{job}/note.html", f"/shop/{new_shop_link(home, job)[1]}"):
        said = words(site.get(path))
        for wanted in ("W3", "W4", "Bead breaker away from the valve", "Nickel-plated core only", "own sheet", "No sealant", "Balance",
                       "Soap", "in a bag", "trained person", "marked limit"):  # fmt: skip
            assert wanted in said, (path, wanted)
        for note in note_in(doing(home, job)).wheels:
            assert len(note.id) >= 8
            assert f"{note.id} (decimal {note.decimal})" in said
        names = [row.get("label", row["id"]) for kind in ("car", "place", "set") for row in demo_table()[kind]]
        assert len(names) > 5
        assert [n for n in (*names, "Ada", "W1", "W2", "S1") if re.search(rf"\b{re.escape(n)}\b", said)] == []


def test_the_file_needs_nothing_else(home: Desk, job: str) -> None:
    answer = let_in(home).client.get(f"/jobs/{job}/note.html")
    assert answer.headers["content-disposition"].startswith("attachment")
    assert not re.search(r"\b(?:src|href|action)=|<script|url\(|@import", answer.text)
    assert "<style>" in answer.text
    assert job not in answer.text


def test_a_job_without_new_sensors_has_no_note_and_no_link(home: Desk, tmp_path: Path) -> None:
    site = let_in(home)
    other = site.post("/jobs", fields={"car": "estate", "extent": "pressures"}).removeprefix("/jobs/")
    site.get(f"/jobs/{other}/note", 404)
    site.get(f"/jobs/{other}/note.html", 404)
    site.post(f"/jobs/{other}/note/link", 404)
    assert "/note" not in site.get("/jobs")


def test_the_list_of_jobs_leads_to_the_note(home: Desk, job: str) -> None:
    site = let_in(home)
    assert f'href="/jobs/{job}/note"' in site.get("/jobs")
    give_up(home, job, "rain")
    assert f'href="/jobs/{job}/note"' not in site.get("/jobs")
    assert "Link for the shop" not in words(site.get(f"/jobs/{job}/note"))


def test_an_old_sensor_and_an_id_are_told_only_where_they_are_known(tmp_path: Path) -> None:
    """A bought sensor brings its ID along: it is on the note once it is noted on the bench."""
    table = demo_table()
    table["writer"] = []
    bare = next(w for w in table["wheel"] if w["id"] == "W3")
    bare["joined"] = [{k: v for k, v in bare["joined"][0].items() if k != "sensor"}]
    desk = new_desk(str(tmp_path / "bought.book"), clock=lambda: NOON)
    with desk.writing("as it is") as writing:
        replace_facts(writing, table)
    job = begin(desk).job
    assert job is not None
    site = let_in(desk)
    before = {w.name: w for w in note_in(doing(desk, job)).wheels}
    assert (before["W3"].id, before["W3"].has_sensor) == ("", False)
    assert "note it at its step first" in words(site.get(f"/jobs/{job}/note"))
    assert "no sensor that we know of" in words(site.get(f"/jobs/{job}/note"))
    steps = [s.step for s in doing(desk, job).states if s.step.does is Does.NOTE_BOUGHT]
    for n, step in enumerate(steps):
        take_claims(desk, job, [claim(job, step, said={step.asks[0].id.replace("-", "_"): f"0x1234ABC{n}"})])
    assert [w.id for w in note_in(doing(desk, job)).wheels] == ["0x1234ABC0", "0x1234ABC1"]
    assert "note it at its step first" not in words(site.get(f"/jobs/{job}/note"))
    desk.close()


# the link


def test_a_token_has_256_random_bits_and_the_book_keeps_its_digest_only(home: Desk, job: str) -> None:
    tokens = {new_shop_link(home, job)[1] for _ in range(20)}
    assert len(tokens) == 20
    assert {len(t) for t in tokens} == {43}
    with home.book.reading() as conn:
        rows = [str(row) for row in conn.execute(text("select * from shop_link"))]
        everything = [
            str(row) for name in ("visitor", "door_key", "entry") for row in conn.execute(text(f"select * from {name}"))
        ]
    assert len(rows) == 20
    assert not [t for t in tokens for row in (*rows, *everything) if t in row]


def test_the_owner_makes_the_link_sees_it_once_and_ends_it(home: Desk, job: str) -> None:
    site = let_in(home)
    made = site.post(f"/jobs/{job}/note/link", 200)
    link = re.search(rf"{HOST}(/shop/[\w-]{{43}})<", made)
    assert link is not None
    assert "QR code of the link for the shop" in made
    assert link[1] not in site.get(f"/jobs/{job}/note")
    assert "until 2026-12-02 12:00" in words(site.get(f"/jobs/{job}/note"))
    assert f"/jobs/{job}/note" in site.get("/settings")
    assert outside(home).get(link[1]).status_code == 200
    site.post(f"/jobs/{job}/note/end")
    assert outside(home).get(link[1]).status_code == 401
    assert "A link is out" not in site.get(f"/jobs/{job}/note")
    assert f"/jobs/{job}/note" not in site.get("/settings")


def test_a_new_link_ends_the_one_before_and_no_other_jobs(home: Desk, job: str) -> None:
    other = same_again(home, job, "another-job")
    apart, first, second = (new_shop_link(home, one)[1] for one in (other, job, job))
    client = outside(home)
    assert [client.get(f"/shop/{t}").status_code for t in (apart, first, second)] == [200, 401, 200]


def test_owners_forms_for_the_link_need_their_ticket(home: Desk, job: str) -> None:
    client = let_in(home).client
    for path in (f"/jobs/{job}/note/link", f"/jobs/{job}/note/end"):
        assert client.post(path, data={"ticket": "0" * 32}).status_code == 403
        assert outside(home).post(path, data={"ticket": "0" * 32}).status_code == 401


def _given_up(desk: Desk, job: str) -> None:
    give_up(desk, job, "rain")


def _finished(desk: Desk, job: str) -> None:
    do_all(desk, job)
    finish(desk, job, leave_open=True)


def _by_hand(desk: Desk, job: str) -> None:
    end_shop_link(desk, job)


def _too_old(desk: Desk, job: str) -> None:
    desk.clock = lambda: later(DAYS_7 + 1 / 60)


ENDS: tuple[Callable[[Desk, str], None], ...] = (_given_up, _finished, _by_hand, _too_old)


@pytest.mark.parametrize("ending", ENDS)
def test_a_link_ends(home: Desk, job: str, ending: Callable[[Desk, str], None]) -> None:
    token, client = new_shop_link(home, job)[1], outside(home)
    page = client.get(f"/shop/{token}")
    assert page.status_code == 200
    ending(home, job)
    count = len(doing(home, job).claims)
    gone, sent = (
        client.get(f"/shop/{token}"),
        client.post(f"/shop/{token}", data={"ticket": ticket_in(page.text), **planned(home, job)}),
    )
    assert (gone.status_code, sent.status_code) == (401, 401)
    assert "W3" not in gone.text
    assert "This link leads nowhere" in gone.text
    assert gone.text == sent.text == client.get("/shop/never-was").text
    assert len(doing(home, job).claims) == count


def test_a_link_counts_to_the_end_of_its_seventh_day(home: Desk, job: str) -> None:
    token, client = new_shop_link(home, job)[1], outside(home)
    assert LINK_LASTS_S == 7 * 24 * 60 * 60
    home.clock = lambda: later(DAYS_7)
    assert client.get(f"/shop/{token}").status_code == 200
    home.clock = lambda: later(DAYS_7 + 1 / 60)
    assert client.get(f"/shop/{token}").status_code == 401


def test_no_link_is_made_for_a_job_that_has_ended(home: Desk, job: str) -> None:
    give_up(home, job, "rain")
    with pytest.raises(BadRequest, match="has ended"):
        new_shop_link(home, job)
    let_in(home).post(f"/jobs/{job}/note/link", 400)


# what it reaches


def _routes(desk: Desk, job: str) -> Iterator[tuple[str, str]]:
    """Every address of the program, with things that there are in place of what its pattern leaves open, each with its methods."""
    there = {
        "job": job,
        "step_id": shop_step(desk, job).step.id,
        "car": "estate",
        "kind": "car",
        "form": "json",
        "wheel": "W3",
    }
    for path, methods in _patterns(make_app(desk, Manners(names_with(()))).routes, ""):
        filled = re.sub(r"\{(\w+)(?::\w+)?\}", lambda m: there.get(m[1], "x"), path)
        yield from ((method, filled) for method in sorted(methods))


def _patterns(routes: Iterable[Any], prefix: str) -> Iterator[tuple[str, set[str]]]:
    for one in routes:
        within = getattr(one, "original_router", None)
        if within is not None:
            yield from _patterns(within.routes, prefix + one.include_context.prefix)
        else:
            yield prefix + one.path, one.methods


def test_every_address_is_crawled(home: Desk, job: str) -> None:
    found = list(_routes(home, job))
    assert len(found) > 80
    assert {"/settings", f"/jobs/{job}", f"/jobs/{job}/finish", f"/api/jobs/{job}/evidence", "/api/readings"} <= {
        p for _, p in found
    }


def _as_cookie(desk: Desk, token: str) -> dict[str, str]:
    return {"cookie": f"{cookie_of(desk)}={token}", "x-wheelside-ticket": ticket_for(token)}


def _as_program(_: Desk, token: str) -> dict[str, str]:
    return {"authorization": f"Bearer {token}"}


@pytest.mark.parametrize("shown_as", [_as_cookie, _as_program])
def test_the_token_of_a_link_opens_no_other_address(
    home: Desk, job: str, shown_as: Callable[[Desk, str], dict[str, str]]
) -> None:
    """Whoever holds the token gets what a stranger gets, at every address and by every method, also below and behind its own."""
    let_in(home)
    token, client = new_shop_link(home, job)[1], outside(home)
    own = [
        (m, f"/shop/{token}{more}")
        for m in ("GET", "POST")
        for more in ("/", "/x", f"/../../jobs/{job}", f"%2f..%2fjobs%2f{job}")
    ]
    keys = [("GET", f"/in/{token}"), ("POST", f"/in/{token}")]
    entered = Desk(home.book, home.photos, home.clock)
    before = len(doing(entered, job).claims)
    reached = []
    for method, path in (*_routes(home, job), *own, *keys):
        bare, tried = (
            client.request(
                method, path, headers=headers, data={"ticket": ticket_for(token)} if method == "POST" else None
            )
            for headers in ({}, shown_as(home, token))
        )
        assert (bare.status_code, bare.text) == (tried.status_code, tried.text), (method, path)
        if tried.status_code not in (400, 401, 403, 404, 405):
            reached.append(re.sub(r"[0-9a-f]{12,}", "…", path.replace(token, "TOKEN")))
    assert sorted(set(reached)) == ["/in/TOKEN", "/in/x", "/sw.js"]
    assert len(doing(entered, job).claims) == before


def test_a_link_does_not_change_who_a_browser_is(home: Desk, job: str) -> None:
    """An owner who tries the link stays let in; what the owner sends there is the shop's all the same."""
    site, token = let_in(home), new_shop_link(home, job)[1]
    answer = site.client.get(f"/shop/{token}")
    assert "set-cookie" not in answer.headers
    assert "Ada" not in answer.text
    assert site.client.get("/").status_code == 200
    assert site.client.post(f"/shop/{token}", data={"ticket": site.ticket, **planned(home, job)}).status_code == 403
    assert send(site.client, token, planned(home, job)) == 303
    held = shop_step(home, job).kept
    assert held is not None
    assert held.claim.person == THE_SHOP


# what it answers


def test_the_shop_answers_its_step_and_that_alone(home: Desk, job: str) -> None:
    link, token = new_shop_link(home, job)
    other = same_again(home, job, "another-job")
    more = {
        "kind": "skipped", "reason": "no time", "keep": "client-1", "instrument": "Ada's gauge", "person": "Eve", "job": other,
        "step": "torque", "a-torque": "120", "w-bubbles": "words", "a-lamp": "never-lights",
    }  # fmt: skip
    assert send(outside(home), token, planned(home, job) | more) == 303
    assert doing(home, other).claims == ()
    (kept,) = doing(home, job).claims
    state = shop_step(home, job)
    assert (kept.claim.step, kept.claim.kind.value, kept.claim.person, kept.claim.device) == (
        state.step.id, "done", THE_SHOP, link.id
    )  # fmt: skip
    assert (kept.claim.reason, kept.claim.keep, kept.claim.instrument) == ("", "", "")
    assert [(a.ask, a.words) for a in kept.claim.answers] == [(a.id, "") for a in state.step.asks]
    assert (state.standing, state.as_planned) == (Standing.DONE, True)


def test_a_shop_that_sends_again_corrects_itself(home: Desk, job: str) -> None:
    token, client = new_shop_link(home, job)[1], outside(home)
    right = planned(home, job)
    assert send(client, token, right | {"a-bubbles": "bubbles"}) == 303
    assert not shop_step(home, job).as_planned
    page = client.get(f"/shop/{token}").text
    assert "Not as it should be" in page
    assert "Your answers are in" not in page
    assert send(client, token, right) == 303
    state = shop_step(home, job)
    assert (state.standing, state.as_planned) == (Standing.DONE, True)
    page = client.get(f"/shop/{token}").text
    assert "Your answers are in" in page
    assert "Not as it should be" not in page


def test_what_can_not_be_read_is_asked_for_again(home: Desk, job: str) -> None:
    token, client = new_shop_link(home, job)[1], outside(home)
    assert send(client, token, planned(home, job) | {"a-bubbles": ""}) == 303
    assert shop_step(home, job).standing is Standing.TO_CORRECT
    assert "not answered yet" in client.get(f"/shop/{token}").text


def test_the_owners_phone_sees_a_shop_that_says_otherwise_as_any_other(home: Desk, job: str) -> None:
    """The owner has answered meanwhile; the shop's page is from before, and says another thing: a person says which holds."""
    token, client = new_shop_link(home, job)[1], outside(home)
    ticket = ticket_in(client.get(f"/shop/{token}").text)
    state = shop_step(home, job)
    take_claims(home, job, [claim(job, state.step)])
    fields = planned(home, job) | {"a-bubbles": "bubbles"}
    assert client.post(f"/shop/{token}", data={"ticket": ticket, **fields}).status_code == 303
    assert shop_step(home, job).standing is Standing.TWO_CLAIMS
    page = words(let_in(home).get(f"/jobs/{job}/steps/{state.step.id}"))
    assert "Two phones claim two things here" in page
    assert f"{THE_SHOP}, 2026-11-25 12:00: done" in page


def test_a_shop_does_not_see_what_others_answered(home: Desk, job: str) -> None:
    token, step = new_shop_link(home, job)[1], shop_step(home, job).step
    take_claims(home, job, [claim(job, step, said={step.asks[0].id.replace("-", "_"): "0xBEEF0001"})])
    page = outside(home).get(f"/shop/{token}").text
    assert "BEEF" not in page
    assert "Your answers are in" not in page


def test_the_proof_says_that_the_shop_answered(home: Desk, job: str) -> None:
    token = new_shop_link(home, job)[1]
    step = shop_step(home, job).step.id
    assert send(outside(home), token, planned(home, job)) == 303
    do_all(home, job, skip=(step,))
    finish(home, job, leave_open=True)
    proof = proof_of(home, job)
    assert [e["claim"]["person"] for e in proof["evidence"] if e["claim"]["step"] == step] == [THE_SHOP]
    assert THE_SHOP in words(page_of(home, proof))


@pytest.mark.parametrize("ticket", ["", "0" * 32, "ü", "another"])
def test_the_form_needs_the_ticket_of_its_link(home: Desk, job: str, ticket: str) -> None:
    token = new_shop_link(home, job)[1]
    other = new_shop_link(home, same_again(home, job, "another-job"))[1]
    sent = ticket_for(other) if ticket == "another" else ticket
    assert outside(home).post(f"/shop/{token}", data={"ticket": sent, **planned(home, job)}).status_code == 403
    assert doing(home, job).claims == ()


def test_the_form_is_refused_from_another_site_and_when_it_is_too_large(home: Desk, job: str) -> None:
    token, client = new_shop_link(home, job)[1], outside(home)
    fields = {"ticket": ticket_for(token), **planned(home, job)}
    foreign = client.post(f"/shop/{token}", data=fields, headers={"origin": "http://evil.example"})
    large = client.post(f"/shop/{token}", data=fields | {"a-bubbles": "x" * 1_100_000})
    assert (foreign.status_code, large.status_code) == (403, 413)
    assert doing(home, job).claims == ()


def test_a_link_answers_so_often_and_no_more(home: Desk, job: str) -> None:
    token, client = new_shop_link(home, job)[1], outside(home)
    right = planned(home, job)
    for n in range(MOST_ANSWERS):
        assert send(client, token, right | {"a-bubbles": "bubbles" if n % 2 else "no-bubbles"}) == 303
    assert send(client, token, right) == 400
    assert len(doing(home, job).claims) == MOST_ANSWERS


def test_links_are_kept_alike_in_both_databases(household_desk: Desk) -> None:
    job = begin(household_desk).job
    assert job is not None
    token = new_shop_link(household_desk, job)[1]
    here = at_the_shop(household_desk, token)
    assert here is not None
    assert here.link.job == job
    end_shop_link(household_desk, job)
    assert at_the_shop(household_desk, token) is None
    token = new_shop_link(household_desk, job)[1]
    give_up(household_desk, job, "rain")
    assert at_the_shop(household_desk, token) is None
