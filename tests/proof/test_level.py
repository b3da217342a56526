"""The evidence level follows from the evidence, rung by rung: take away what a rung needs, and it falls."""

from __future__ import annotations

from pathlib import Path

import pytest

from books import NOON, later
from claiming import as_planned, do_all
from wheelside.demo import household
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in
from wheelside.jobs.work.doing import begin, doing, take_claims
from wheelside.jobs.work.finish import give_up, settling
from wheelside.proof.lack import Lack, Lacking
from wheelside.proof.level import Level, level_of
from wheelside.proof.record import LeftOut, Otherwise, record_of
from wheelside.sheet.ask import Asked, Tells
from wheelside.sheet.claim import Answer, Claim, ClaimKind
from wheelside.sheet.option import LAMP, LAMP_DRIVING, LAMP_IS_OFF, Codes, Instead, Lamp, LampTold, Listed, YesNo
from wheelside.units import GaugePressure, PressureSpan, Temperature


def level(desk: Desk, skip: tuple[str, ...] = (), other: dict[str, dict[str, str]] | None = None) -> Level:
    job = begin(desk).job
    assert job is not None
    do_all(desk, job, skip=skip, other=other)
    now = doing(desk, job)
    return level_of(now.start, now.states)


TODAY = ("look-later",)
"""Nobody has looked again yet: what is judged is the day of the work."""


FALLS: dict[str, dict[str, dict[str, str]]] = {
    "E0": {"second_start": {"lamp": Lamp.LIGHTS_STAYS}, "drive": {"lamp": Lamp.COMES_ON_STAYS}},
    "none, the lamp stays": {"second_start": {"lamp": Lamp.FLASHES_STAYS}},
    "none, the lamp comes and goes": {"second_start": {"lamp": Lamp.COMES_AND_GOES}},
    "none, an older sender's sentence": {"second_start": {"lamp": "lights and stays on"}},
    "E1, it came on and went out by itself": {"drive": {"lamp": Lamp.COMES_ON_GOES_OUT}},
    "E1, it flashed for a while and this drive does not teach": {"drive": {"lamp": Lamp.FLASHES_GOES_OUT}},
    "E1, it came and went": {"drive": {"lamp": Lamp.COMES_AND_GOES}},
    "E1, it was lit before and stayed": {"drive": {"lamp": Lamp.WAS_LIT_STAYS}},
    "E5, it was lit before and went out": {"drive": {"lamp": Lamp.WAS_LIT_GOES_OUT, "out_after": "12"}},
    "none, the car tells of a lit lamp": {"codes_after": {"lamp": LampTold.STEADY}},
    "E5, the car tells nothing of its lamp": {"codes_after": {"lamp": LampTold.NOT_TOLD}},
    "E2, corners swapped in the list": {"ids_heard": {"list": Listed.SWAPPED}},
    "E1, too short a drive": {"drive": {"minutes": "14"}},
    "E1, lamp while driving": {"drive": {"lamp": Lamp.FLASHES_STAYS}},
    "E2, codes": {"codes_after": {"codes": Codes.SOME}},
    "E2, codes not read": {"codes_after": {"codes": Codes.NOT_READ}},
    "E2, the list": {"ids_heard": {"list": Listed.OTHERS}},
    "E2, the list can't be read": {"ids_heard": {"list": Listed.NOT_READ}},
    "E3, a corner": {"air_w2": {"moved": "rear left"}},
    "E3, a corner not shown while parked": {"air_w2": {"moved": Instead.NOT_PARKED}},
    "E3, a corner that was not shown and then another moved": {
        "air_w2": {"moved": Instead.NOT_PARKED},
        "corner_w2": {"moved": "rear left"},
        "corner_back_w2": {},
    },
    "E5, a corner shown after the drive": {
        "air_w2": {"moved": Instead.NOT_PARKED},
        "corner_w2": {},
        "corner_back_w2": {},
    },
    "E3, a corner not gauged again": {"air_w2": {"moved": Instead.NOT_PARKED}, "corner_w2": {}},
    "E3, a dash that did not move": {"air_w2": {"dash_before": "2.40", "dash_now": "2.41"}},
    "E4, no lamp below the limit": {"challenge": {"lit": YesNo.NO}},
    "E5": {},
    "E2, heard by a receiver, by word alone": {"ids_heard": {"list": Listed.HEARD}},
}


@pytest.mark.parametrize("name", FALLS)
def test_each_rung_falls_with_what_it_rests_on(home: Desk, name: str) -> None:
    wanted = name.split(",", maxsplit=1)[0]
    found = level(home, skip=TODAY, other=FALLS[name])
    if wanted == "E0":
        wanted = "none"
    assert found.reached == wanted, [r for r in found.rungs if r.lacking]


@pytest.mark.parametrize(
    ("missing", "reached"),
    [
        ("second-start", "E0"),
        ("drive", "E1"),
        ("codes-after", "E2"),
        ("ids-heard", "E2"),
        ("air-w3", "E3"),
        ("challenge", "E4"),
    ],
)
def test_a_step_left_out_shows_nothing(home: Desk, missing: str, reached: str) -> None:
    assert level(home, skip=(missing, *TODAY)).reached == reached


def test_a_second_start_seen_before_the_drive_counts_for_nothing_more_than_e1(home: Desk) -> None:
    job = begin(home).job
    assert job is not None
    do_all(home, job)
    step = next(s.step for s in doing(home, job).states if s.step.id == "drive")
    answers = tuple(Answer(a.id, as_planned(a)) for a in step.asks)
    late = Claim("a-later-drive", job, "drive", ClaimKind.DONE, later(2000), "Ada", "phone", 10**9, answers)
    take_claims(home, job, [late])
    now = doing(home, job)
    assert level_of(now.start, now.states).reached == "E1"


def test_what_cannot_be_read_shows_nothing(home: Desk) -> None:
    assert level(home, other={"drive": {"minutes": "long"}}).reached == "E1"


def test_two_claims_show_nothing_until_one_holds(home: Desk) -> None:
    job = begin(home).job
    assert job is not None
    do_all(home, job)
    step = next(s.step for s in doing(home, job).states if s.step.id == "codes-after")
    other = Claim(
        "the-others", job, step.id, ClaimKind.DONE, later(1), "Ben", "other", 0, (Answer("codes", Codes.SOME),)
    )
    take_claims(home, job, [other])
    now = doing(home, job)
    assert level_of(now.start, now.states).reached == "E2"
    record = record_of(now.start, now.claims)
    assert Otherwise.TWO_CLAIMS in [line.how for line in record.otherwise]


def test_a_car_that_watches_by_wheel_speed_has_a_ladder_without_e4(tmp_path: Path) -> None:
    text = household().decode().replace('monitor = "direct"\nstandard', 'monitor = "indirect"\nstandard')
    text = text.replace('holds = [{ set = "summer", as_of = 2026-11-02 }]\n', "").replace(
        ', holds = "read with the adapter, 2 November 2026"', ""
    )
    (tmp_path / "h.toml").write_text(text)
    desk = new_desk(str(tmp_path / "h.book"))
    take_in(desk, tmp_path / "h.toml")
    found = level(desk)
    assert [r.level for r in found.rungs] == ["E0", "E1", "E2", "E3", "E5"]
    assert found.reached == "E5"
    desk.close()
    other = new_desk(str(tmp_path / "other.book"))
    take_in(other, tmp_path / "h.toml")
    assert level(other, skip=("store-reference",)).reached == "E1"
    other.close()


def test_the_record_names_what_was_skipped_left_open_and_only_typed(home: Desk) -> None:
    job = begin(home).job
    assert job is not None
    do_all(home, job, skip=("fetch-w1", "store"), other={"air_w1": {"pressure_w1": "2.1"}})
    skipped = Claim(
        "skip-fetch", job, "fetch-w1", ClaimKind.SKIPPED, later(1), "Ada", "phone", 10**9, reason="tags are on"
    )
    take_claims(home, job, [skipped])
    now = doing(home, job)
    record = record_of(now.start, now.claims)
    assert LeftOut("fetch-w1", skipped=True, reason="tags are on") in record.left_out
    assert LeftOut("store", skipped=False, reason="") in record.left_out
    assert [n.step for n in record.otherwise] == ["air-w1"]
    typed = {n.step for n in record.typed_only}
    assert "torque" in typed
    done = {s.step.id for s in now.states if s.standing.value == "done"}
    assert typed == done
    (first, *_) = record.wheels
    assert first.pressure is not None
    p = first.pressure
    assert (p.shown, p.as_planned, p.instrument, p.bias) == (
        GaugePressure(210.0),
        False,
        "Red gauge",
        PressureSpan(5.0),
    )
    assert p.temperature == Temperature.from_celsius(17)


def test_every_ask_of_every_step_can_be_answered_as_planned(home: Desk) -> None:
    job = begin(home).job
    assert job is not None
    for state in doing(home, job).states:
        names = [a.id for a in state.step.asks]
        assert len(names) == len(set(names)), state.step.id
        assert names, state.step.id
        assert all(a.kind is not Asked.PICK or not a.expect or a.expect in a.options for a in state.step.asks)


def test_a_lamp_that_goes_out_late_at_the_second_start_is_off_and_no_more(home: Desk) -> None:
    found = level(home, other={"second_start": {"lamp": Lamp.GOES_OUT_LATE, "out_after": "3"}})
    assert found.reached == "E0"
    assert found.rungs[1].lacking == (Lacking(Lack.AT_IGNITION, Lamp.GOES_OUT_LATE),)


def test_after_how_many_minutes_it_went_out_is_told(home: Desk) -> None:
    job = begin(home).job
    assert job is not None
    do_all(home, job, other={"drive": {"lamp": Lamp.WAS_LIT_GOES_OUT, "out_after": "12"}})
    now = doing(home, job)
    record = record_of(now.start, now.claims)
    told = [(n.tells, n.said) for n in record.lamp if n.step == "drive"]
    assert told == [(Tells.LAMP_DRIVING, Lamp.WAS_LIT_GOES_OUT), (Tells.LAMP_OUT_AFTER, "12")]
    assert record.otherwise == ()


@pytest.mark.parametrize("lamp", LAMP_DRIVING)
def test_while_a_car_learns_by_driving_its_lamp_may_flash_if_it_goes_out(tmp_path: Path, lamp: Lamp) -> None:
    """Taught by driving, a lamp that flashed and went out is as planned, and the car knows the set."""
    text = household().decode().replace('taught_by = "step by step"', 'taught_by = "driving"')
    (tmp_path / "h.toml").write_text(text)
    desk = new_desk(str(tmp_path / "h.book"))
    desk.clock = lambda: NOON
    take_in(desk, tmp_path / "h.toml")
    job = begin(desk).job
    assert job is not None
    do_all(desk, job, skip=("codes-after", "ids-heard"), other={"drive": {"lamp": lamp}})
    now = doing(desk, job)
    fine = lamp in (Lamp.STAYS_OFF, Lamp.WAS_LIT_GOES_OUT, Lamp.FLASHES_GOES_OUT)
    state = next(s for s in now.states if s.step.id == "drive")
    assert now.start.taught
    assert state.as_planned is fine
    assert level_of(now.start, now.states).reached == ("E2" if fine else "E1")
    assert any("its list holds" in line for line in settling(desk, now).changes) is fine
    desk.close()


def test_a_car_that_learns_by_driving_has_not_learnt_a_wheel_that_was_silent(tmp_path: Path) -> None:
    """A lamp that stays off says nothing of a sensor whose silence has not been missed yet: 49 CFR 571.138, S4.4, gives it 20 minutes."""
    text = household().decode().replace('taught_by = "step by step"', 'taught_by = "driving"')
    (tmp_path / "h.toml").write_text(text)
    desk = new_desk(str(tmp_path / "h.book"))
    desk.clock = lambda: NOON
    take_in(desk, tmp_path / "h.toml")
    for silent in (True, False):
        job = begin(desk).job
        assert job is not None
        said: dict[str, dict[str, str]] = {"wake_w1": {"id_w1": Instead.NO_ANSWER}} if silent else {}
        do_all(desk, job, skip=("codes-after", "ids-heard", "look-later"), other=said)
        assert any("its list holds" in line for line in settling(desk, doing(desk, job)).changes) is not silent
        give_up(desk, job, "again")
    desk.close()


def test_of_every_option_of_a_lamp_it_is_known_whether_the_lamp_is_off_then() -> None:
    lit = {
        Lamp.LIGHTS_STAYS, Lamp.FLASHES_STAYS, Lamp.COMES_AND_GOES, Lamp.NEVER_LIGHTS, Lamp.COMES_ON_STAYS,
        Lamp.WAS_LIT_STAYS,
    }  # fmt: skip
    assert frozenset(Lamp) == LAMP_IS_OFF | lit
    assert not LAMP_IS_OFF & lit
    assert {*LAMP, *LAMP_DRIVING} == set(Lamp)
