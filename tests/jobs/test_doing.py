"""A job from its beginning to its proof, and what two phones may do to it."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from itertools import pairwise

import pytest
from sqlalchemy import text

from books import NOON, later
from claiming import claim, do_all, same_again
from wheelside.book.events import wheel_history
from wheelside.book.facts import facts_on
from wheelside.errors import BadRequest, NotThere
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import garage_text, wrong
from wheelside.jobs.work.doing import Doing, begin, doing, take_claims
from wheelside.jobs.work.finish import finish, give_up, proof_of, settling
from wheelside.sheet.ask import Tells
from wheelside.sheet.claim import Answer, ClaimKind
from wheelside.sheet.option import Cause, Instead, Lamp
from wheelside.sheet.progress import Standing, StepState
from wheelside.sheet.step import Step
from wheelside.speech.speech import Speech
from wheelside.units import AbsolutePressure


def begun(desk: Desk) -> str:
    made = begin(desk)
    assert made.job is not None, made.forbidden
    return made.job


def step(now: Doing, name: str) -> Step:
    return next(s.step for s in now.states if s.step.id == name)


def state(desk: Desk, job: str, name: str) -> StepState:
    return next(s for s in doing(desk, job).states if s.step.id == name)


def test_a_job_goes_from_plan_to_proof_and_puts_the_book_right(household_desk: Desk) -> None:
    desk = household_desk
    job = begun(desk)
    received = do_all(desk, job)
    now = doing(desk, job)
    assert received.new == sum(s.called for s in now.states) == now.finished
    told = settling(desk, now)
    assert told.unfinished == ()
    proof = json.loads(finish(desk, job, leave_open=True))
    assert proof["record"]["level"]["reached"] == "E5"
    garage = desk.loaded().garage
    planned = {w.wheel: w.id.hex for w in now.start.wheels if w.id}
    new = garage.wheels["W3"].joined[-1]
    assert new.sensor is not None
    assert garage.sensors[new.sensor].sends == f"0x{planned['W3']}"
    assert [h.set for h in garage.cars["estate"].holds or ()] == ["summer", "winter"]
    assert garage.sensors["sensor W3"].gone is not None
    after = {w.wheel: w for w in desk.plan().wheels}
    assert after["W3"].id is not None
    assert (after["W3"].id.hex, after["W3"].writes, after["W3"].choice.value) == (planned["W3"], False, "keep")
    assert wrong(desk) == ()


def test_the_run_sheet_stays_as_it_was_when_facts_change(household_desk: Desk) -> None:
    job = begun(household_desk)
    before = doing(household_desk, job).start
    other = same_again(household_desk, job, "0123456789abcdef")
    finish(household_desk, other, leave_open=True)
    assert doing(household_desk, job).start == before


def test_claims_that_come_again_are_kept_once_and_acknowledged_again(household_desk: Desk) -> None:
    job = begun(household_desk)
    now = doing(household_desk, job)
    claims = [claim(job, step(now, name)) for name in ("snapshot", "fetch-w1", "fetch-w2", "answer-w1")]
    first = take_claims(household_desk, job, claims)
    again = take_claims(household_desk, job, [*claims, *claims])
    assert (first.new, again.new) == (4, 0)
    assert set(first.kept) == set(again.kept) == {c.client for c in claims}
    with household_desk.book.reading() as conn:
        assert conn.execute(text("select count(*) from evidence")).scalar_one() == 4
        assert conn.execute(text("select count(*) from reading")).scalar_one() == 2


def test_a_claim_at_no_step_of_the_job_keeps_none_of_those_beside_it(household_desk: Desk) -> None:
    job = begun(household_desk)
    good = claim(job, step(doing(household_desk, job), "snapshot"))
    bad = replace(good, client="other-client", step="nonsense")
    with pytest.raises(BadRequest, match="no such step"):
        take_claims(household_desk, job, [good, bad])
    assert doing(household_desk, job).claims == ()
    with pytest.raises(NotThere):
        take_claims(household_desk, "none", [good])


def test_two_phones_at_different_steps_lose_nothing(household_desk: Desk) -> None:
    job = begun(household_desk)
    now = doing(household_desk, job)
    take_claims(household_desk, job, [claim(job, step(now, "snapshot"), device="one", seen=0)])
    take_claims(household_desk, job, [claim(job, step(now, "parts"), device="two", seen=0)])
    assert state(household_desk, job, "snapshot").finished
    assert state(household_desk, job, "parts").finished


def test_two_phones_that_say_the_same_are_no_conflict(household_desk: Desk) -> None:
    job = begun(household_desk)
    now = doing(household_desk, job)
    for device in ("one", "two"):
        take_claims(household_desk, job, [claim(job, step(now, "snapshot"), device=device, seen=0)])
    assert state(household_desk, job, "snapshot").standing is Standing.DONE


def test_two_phones_that_say_two_things_are_a_conflict_until_somebody_settles_it(household_desk: Desk) -> None:
    job = begun(household_desk)
    now = doing(household_desk, job)
    mine = claim(job, step(now, "snapshot"), device="one", seen=0)
    theirs = claim(job, step(now, "snapshot"), device="two", seen=0, said={"lamp": "never lights"})
    take_claims(household_desk, job, [mine])
    take_claims(household_desk, job, [theirs])
    torn = state(household_desk, job, "snapshot")
    assert torn.standing is Standing.TWO_CLAIMS
    assert torn.rival is not None
    assert (torn.kept.claim.client, torn.rival.claim.client) == (mine.client, theirs.client)  # type: ignore[union-attr]
    settle = replace(mine, client="settling-it", kind=ClaimKind.SETTLED, keep=theirs.client, answers=(), seen=99)
    take_claims(household_desk, job, [settle])
    settled = state(household_desk, job, "snapshot")
    assert settled.standing is Standing.DONE
    assert settled.answers[0].shown is Lamp.NEVER_LIGHTS


def test_a_phone_that_knows_of_the_other_claim_corrects_it_without_conflict(household_desk: Desk) -> None:
    job = begun(household_desk)
    now = doing(household_desk, job)
    first = take_claims(household_desk, job, [claim(job, step(now, "snapshot"), device="one", seen=0)])
    other = claim(job, step(now, "snapshot"), device="two", seen=first.last, said={"lamp": "never lights"})
    take_claims(household_desk, job, [other])
    assert state(household_desk, job, "snapshot").standing is Standing.DONE
    assert state(household_desk, job, "snapshot").answers[0].shown is Lamp.NEVER_LIGHTS


def test_skipping_wants_its_reason_kept_and_opening_again_undoes_it(household_desk: Desk) -> None:
    job = begun(household_desk)
    one = claim(job, step(doing(household_desk, job), "parts"))
    skipped = replace(one, kind=ClaimKind.SKIPPED, answers=(), reason="all is there from last week")
    take_claims(household_desk, job, [skipped])
    assert state(household_desk, job, "parts").standing is Standing.SKIPPED
    take_claims(household_desk, job, [replace(skipped, client="again-open", kind=ClaimKind.REOPENED)])
    assert state(household_desk, job, "parts").standing is Standing.OPEN


def test_a_lock_holds_back_every_later_step(household_desk: Desk) -> None:
    """Once something calls for it: a corner that was not shown while parked is tried after the drive, and inflated before all else."""
    job = begun(household_desk)
    ids = [s.step.id for s in doing(household_desk, job).states]
    lock = "corner-back-w1"
    assert not any(lock in s.waits for s in doing(household_desk, job).states)
    not_shown = {"moved": Instead.NOT_PARKED.value}
    take_claims(household_desk, job, [claim(job, step(doing(household_desk, job), "air-w1"), said=not_shown)])
    later_ones = doing(household_desk, job).states[ids.index(lock) + 1 :]
    assert all(lock in s.waits for s in later_ones if not s.step.calls), (
        "what is called for waits for no lock that can't open yet"
    )
    do_all(household_desk, job, skip=(lock,), other={"air_w1": not_shown, "corner_w1": {}})
    now = doing(household_desk, job)
    assert [s.step.id for s in now.states if s.to_do] == [lock]
    assert state(household_desk, job, lock).standing is Standing.OPEN


def test_a_wheel_that_lay_without_air_goes_on_no_car_before_the_cause_is_found(household_desk: Desk) -> None:
    job = begun(household_desk)
    one = step(doing(household_desk, job), "fetch-w1")
    fits = {w: state(household_desk, job, f"fit-{w}").waits for w in ("w1", "w2")}
    assert all(f"fetch-{w}" in waits for w, waits in fits.items())
    for said, standing, opens in (
        ({"pressure_w1": "1.2"}, Standing.TO_CORRECT, False),
        ({"pressure_w1": "1.2", "cause": Cause.WORKSHOP}, Standing.DONE, False),
        ({"pressure_w1": "1.2", "cause": Cause.DRIVEN_FLAT}, Standing.DONE, False),
        ({"pressure_w1": "1.2", "cause": Cause.MENDED, "pumped": ""}, Standing.TO_CORRECT, False),
        ({"pressure_w1": "1.2", "cause": Cause.MENDED, "pumped": "yes"}, Standing.DONE, True),
        ({"pressure_w1": "1.7"}, Standing.TO_CORRECT, False),
        ({"pressure_w1": "1.7", "pumped": "yes"}, Standing.DONE, True),
        ({"pressure_w1": "1.9"}, Standing.DONE, True),
    ):
        take_claims(household_desk, job, [claim(job, one, said=said)])
        found = state(household_desk, job, one.id)
        assert found.standing is standing, said
        assert ("fetch-w1" not in state(household_desk, job, "fit-w1").waits) is opens, said


UNREADABLE = {
    "air_w1": ({"pressure_w1": "2.6x"}, "can't be read|no number|unit"),
    "drive": ({"minutes": "a while"}, "write the minutes"),
    "read_back_w3": ({"id_w3": "not an id"}, "ID"),
    "snapshot": ({"lamp": "winks"}, "not one of"),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_what_cannot_be_read_is_kept_and_has_to_be_corrected(household_desk: Desk, name: str) -> None:
    said, why = UNREADABLE[name]
    job = begun(household_desk)
    one = step(doing(household_desk, job), name.replace("_", "-"))
    take_claims(household_desk, job, [claim(job, one, said=said)])
    found = state(household_desk, job, one.id)
    assert found.standing is Standing.TO_CORRECT
    assert not found.finished
    (problem,) = found.problems
    import re

    assert re.search(why, Speech().text(problem)), problem
    assert found.kept is not None
    assert set(said.values()) <= {a.said for a in found.kept.claim.answers}


def test_german_decimal_commas_and_other_units_are_read(household_desk: Desk) -> None:
    job = begun(household_desk)
    one = step(doing(household_desk, job), "air-w1")
    for said, kpa in (("2,67", 267.0), ("267 kPa", 267.0), ("38.7 psi", 266.83)):
        take_claims(household_desk, job, [claim(job, one, said={"pressure_w1": said})])
        (answer,) = (a for a in state(household_desk, job, "air-w1").answers if a.ask.tells is Tells.SET_PRESSURE)
        assert answer.pressure is not None
        assert answer.pressure.kpa == pytest.approx(kpa, abs=0.01)
        assert answer.as_planned


def test_what_was_written_is_read_back_whole(household_desk: Desk) -> None:
    job = begun(household_desk)
    one = step(doing(household_desk, job), "read-back-w3")
    assert one.asks[0].wanted is not None
    for said in (one.asks[0].wanted.hex[-4:], Instead.AS_SHOWN):
        take_claims(household_desk, job, [claim(job, one, said={"id_w3": said})])
        found = state(household_desk, job, one.id)
        assert found.standing is Standing.TO_CORRECT
        assert "whole" in Speech().text(found.problems[0])


def test_where_an_id_was_read_before_its_last_digits_do_and_a_wrong_one_shows(household_desk: Desk) -> None:
    job = begun(household_desk)
    one = step(doing(household_desk, job), "wake-w3")
    assert one.asks[0].wanted is not None
    whole = one.asks[0].wanted.hex
    for said, planned in (
        (whole[-4:].lower(), True),
        (Instead.AS_SHOWN, True),
        (f"{whole[:4]} {whole[4:]}", True),
        (str(int(whole, 16)), True),
        ("0000", False),
        (f"{int(whole, 16) ^ 1:08X}", False),
        (Instead.NO_ANSWER, False),
    ):
        take_claims(household_desk, job, [claim(job, one, said={"id_w3": said})])
        answer = state(household_desk, job, one.id).answers[0]
        assert answer.as_planned is planned, said
        assert answer.problem is None, said


def test_evidence_becomes_readings_and_events_of_the_wheel(household_desk: Desk) -> None:
    job = begun(household_desk)
    do_all(household_desk, job)
    with household_desk.book.reading() as conn:
        lines = wheel_history(conn, "W3")
    kinds = {line.kind for line in lines}
    assert {"joined", "ID state", "fitted", "reading"} <= kinds
    states = [line.detail["state"] for line in reversed(lines) if line.kind == "ID state"]
    assert states.index("written") < states.index("read-back") < states.index("known")
    gauged = [line for line in lines if line.kind == "reading" and line.channel == "gauge" and line.tyre]
    assert gauged
    assert gauged[0].instrument == "Red gauge"
    assert all(a.at.us >= b.at.us for a, b in pairwise(lines))


def test_a_history_has_the_readings_of_a_sensor_only_while_it_was_in_the_wheel(household_desk: Desk) -> None:
    from wheelside.book.reading import Reading
    from wheelside.book.readings import add_readings

    job = begun(household_desk)
    do_all(household_desk, job)
    finish(household_desk, job, leave_open=True)
    new = household_desk.loaded().garage.wheels["W3"].joined[-1].sensor
    assert new is not None
    with household_desk.writing("heard") as writing:
        heard = [
            Reading(("sensor", s), later(m).us, "radio", AbsolutePressure(330.0))
            for s in ("sensor W3", new)
            for m in (30, 1000)
        ]
        add_readings(writing, heard)
    with household_desk.book.reading() as conn:
        lines = [line for line in wheel_history(conn, "W3") if line.channel == "radio"]
    assert [(line.about[0][1], line.at.us) for line in lines] == [(new, later(1000).us), (new, later(30).us)]


def test_a_job_ends_once(household_desk: Desk) -> None:
    job = begun(household_desk)
    finish(household_desk, job, put_right=False, leave_open=True)
    with pytest.raises(BadRequest, match="ended already"):
        finish(household_desk, job, leave_open=True)
    with pytest.raises(BadRequest, match="ended already"):
        give_up(household_desk, job, "no")
    other = begun(household_desk)
    give_up(household_desk, other, "rain")
    with pytest.raises(NotThere):
        proof_of(household_desk, other)


def test_evidence_that_comes_after_the_end_is_kept_and_leaves_the_proof_alone(household_desk: Desk) -> None:
    job = begun(household_desk)
    late = claim(job, step(doing(household_desk, job), "snapshot"))
    text_before = finish(household_desk, job, leave_open=True)
    assert take_claims(household_desk, job, [late]).new == 1
    assert json.loads(text_before) == proof_of(household_desk, job)


def test_nothing_changes_in_the_book_where_that_is_not_wanted(household_desk: Desk) -> None:
    before = garage_text(household_desk)
    job = begun(household_desk)
    do_all(household_desk, job)
    finish(household_desk, job, put_right=False, leave_open=True)
    after = garage_text(household_desk)
    assert after.split("[[seen]]")[0].strip() == before.strip(), (
        "but for where wheels are, which was true the moment it was done"
    )


def test_a_sensor_that_gave_no_answer_is_noted_so(household_desk: Desk) -> None:
    job = begun(household_desk)
    one = step(doing(household_desk, job), "answer-w1")
    take_claims(household_desk, job, [claim(job, one, said={"id_w1": Instead.NO_ANSWER})])
    finish(household_desk, job, leave_open=True)
    assert household_desk.loaded().garage.sensors["sensor W1"].answers is False


def test_what_was_believed_before_a_job_can_still_be_asked_for(household_desk: Desk) -> None:
    household_desk.clock = lambda: later(60)
    job = begun(household_desk)
    do_all(household_desk, job)
    finish(household_desk, job, leave_open=True)
    old = tomllib.loads(garage_text(household_desk, day=NOON))
    assert all("2026-11-25" not in str(row["id"]) for row in old["sensor"])
    with household_desk.book.reading() as conn:
        assert facts_on(conn, later(-1).us) == ()


def test_a_clock_that_runs_ahead_makes_its_times_uncertain(household_desk: Desk) -> None:
    job = begun(household_desk)
    one = claim(job, step(doing(household_desk, job), "snapshot"), at=later(30))
    take_claims(household_desk, job, [one])
    kept = state(household_desk, job, "snapshot").kept
    assert kept is not None
    assert kept.claim.spread_s == pytest.approx(1800)
    assert kept.recorded == NOON


def test_answers_are_kept_to_the_letter(household_desk: Desk) -> None:
    job = begun(household_desk)
    one = step(doing(household_desk, job), "snapshot")
    odd = "ünïcode \u2028 \t'\"<>&{{}} 🛞 \\x00 nul-free"
    claims = claim(job, one, said={"odometer": odd})
    take_claims(household_desk, job, [claims])
    kept = state(household_desk, job, "snapshot").kept
    assert kept is not None
    assert Answer("odometer", odd) in kept.claim.answers
