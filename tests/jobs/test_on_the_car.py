"""What a job does is a fact the moment it is done, and the next plan begins from it."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from books import NOON, later
from claiming import claim, do_all
from garages import seeded
from spoken import lines, words
from wheelside.book.events import Happened
from wheelside.book.facts import as_table, facts_now, replace_facts
from wheelside.errors import BadRequest
from wheelside.garage.joined import parts_on
from wheelside.garage.words import Corner
from wheelside.identity.choice import Action
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import garage_text, take_in, take_in_text
from wheelside.jobs.work.agenda import Matter, agenda
from wheelside.jobs.work.doing import begin, doing, take_claims
from wheelside.jobs.work.finish import StillOpen, finish, give_up, settling
from wheelside.jobs.work.seen import say_at, say_on, say_wheel
from wheelside.sheet.claim import Claim, ClaimKind
from wheelside.sheet.step import Does, Step
from wheelside.units.moment import US_PER_S, Moment


def do(desk: Desk, job: str, other: dict[str, dict[str, str]] | None = None) -> None:
    """Does every step as planned, in about nine hours."""
    plain, desk.clock = desk.clock, lambda: later(600)
    do_all(desk, job, skip=("written-wrongly",), other=other)
    desk.clock = plain


def begun(desk: Desk, car: str | None = None, wheel_set: str | None = None) -> str:
    made = begin(desk, car=car, wheel_set=wheel_set)
    assert made.job is not None, made.forbidden
    return made.job


def steps(desk: Desk, job: str, *does: Does) -> list[Step]:
    return [s.step for s in doing(desk, job).states if s.step.does in does]


def on(desk: Desk, car: str = "estate") -> list[str]:
    at = desk.present().wheel_at(car)
    return [at.get(c, "-") for c in Corner if c is not Corner.SPARE]


def test_a_wheel_is_on_the_car_the_moment_it_is_fitted_and_a_step_taken_back_takes_it_back(
    household_desk: Desk,
) -> None:
    desk = household_desk
    job = begun(desk)
    fit = steps(desk, job, Does.FIT)
    take_claims(desk, job, [claim(job, fit[0], at=later(1)), claim(job, fit[1], at=later(2))])
    assert on(desk) == ["W1", "W2", "S3", "S4"]
    again = Claim("again-0001", job, fit[1].id, ClaimKind.REOPENED, later(3), "Ada", "phone", 10**9)
    take_claims(desk, job, [again])
    assert on(desk) == ["W1", "S2", "S3", "S4"]
    known = desk.present().known["W1"]
    assert (known.on, known.how.value, known.by) == ("estate", "fitted", "Ada")


def test_claims_that_come_late_and_out_of_order_give_the_same_facts(household_desk: Desk) -> None:
    desk = household_desk
    job = begun(desk)
    fit = steps(desk, job, Does.FIT)
    for step in reversed(fit):
        take_claims(desk, job, [claim(job, step, at=later(fit.index(step)))])
    assert on(desk) == ["W1", "W2", "W3", "W4"]
    assert desk.present().open == ()


def test_a_job_that_is_given_up_leaves_what_was_done_and_the_next_sheet_fits_the_rest(household_desk: Desk) -> None:
    desk = household_desk
    job = begun(desk)
    fit = steps(desk, job, Does.FIT)
    take_claims(desk, job, [claim(job, fit[0], at=later(1)), claim(job, fit[1], at=later(2))])
    give_up(desk, job, "rain")
    assert on(desk) == ["W1", "W2", "S3", "S4"]
    desk.clock = lambda: Moment(NOON.us + 86_400 * US_PER_S * 20, NOON.offset_min)
    (due,) = desk.present().open
    assert (due.coming, due.going, due.assumed) == ("winter", "summer", False)
    other = begun(desk)
    assert [s.title for s in steps(desk, other, Does.FIT)] == ["Fit wheel W3 rear left", "Fit wheel W4 rear right"]
    told = " ".join(line for s in steps(desk, other, Does.FIT) for line in lines(s))
    assert "Take S3 off" in told
    assert "Take S1 off" not in told


def test_after_a_finished_change_nothing_is_left_to_do_be_it_early_or_late(household_desk: Desk) -> None:
    desk = household_desk
    job = begun(desk)
    do(desk, job)
    finish(desk, job, leave_open=True)
    for days in (0, 3, 20, 80):
        desk.clock = lambda days=days: Moment(later(3000).us + 86_400 * US_PER_S * days, NOON.offset_min)  # type: ignore[misc]
        plan, now = desk.plan(), desk.present()
        assert on(desk) == ["W1", "W2", "W3", "W4"]
        assert now.open == ()
        assert now.taken == tuple(t for t in now.taken if t.car == "runabout")
        mine = [w for w in plan.wheels if w.set == "winter"]
        assert not any(w.writes or w.action is Action.REFIT for w in mine)
        assert not any(t.needed for t in plan.teachings if (t.car, t.set) == ("estate", "winter"))
        lies = [s for s in now.line if s.set == "summer" and s.covers(now.day)]
        assert [s.at for s in lies] == ["shed"]
        changes = [d for d in agenda(desk) if "goes on Estate" in words(d.title)]
        assert words(changes[0].title) == "Summer set goes on Estate"
        assert changes[0].day == date(2027, 4, 11)


def test_finishing_says_first_what_it_puts_into_the_facts_and_does_just_that(household_desk: Desk) -> None:
    desk = household_desk
    job = begun(desk)
    do(desk, job)
    told = settling(desk, doing(desk, job)).changes
    assert "Winter set is on Estate, since 2026-11-25" in told
    assert "Summer set lies at Shed, since 2026-11-25" in told
    assert "wheel S1: tread 5 mm" in told
    assert "sensor sensor W1 of wheel W1: battery good" in told
    finish(desk, job, leave_open=True)
    garage = desk.loaded().garage
    assert garage.sensors["sensor W1"].battery_low is False
    tyre = parts_on(garage, "S1", date(2026, 11, 25)).tyre
    assert tyre is not None
    assert [(m.on, m.least_mm) for m in tyre.measured] == [(date(2026, 11, 25), 5.0)]
    rows = [(r.set, r.wheel, r.on, r.at) for r in garage.seen]
    assert sorted(rows, key=str) == [("summer", None, None, "shed"), ("winter", None, "estate", None)]


def test_new_sensors_in_hand_are_used_up(desk: Desk, file: Path) -> None:
    text = file.read_text(encoding="utf-8") + '\n[[blank]]\nfamily = "kestrel"\ncount = 3\n'
    take_in_text(desk, text, "household.toml")
    job = begun(desk)
    do(desk, job)
    assert "new sensors in hand: 3 used, 0 left" in settling(desk, doing(desk, job)).changes
    finish(desk, job, leave_open=True)
    assert desk.loaded().garage.blank[0].count == 0


def test_a_second_job_for_a_car_says_that_there_is_one(household_desk: Desk) -> None:
    job = begun(household_desk)
    again = begin(household_desk)
    assert (again.job, again.under_way) == (None, job)
    assert begin(household_desk, car="runabout", wheel_set="all-year").job is not None
    give_up(household_desk, job, "rain")
    assert begin(household_desk).job is not None


def test_finishing_with_steps_open_asks(household_desk: Desk) -> None:
    job = begun(household_desk)
    do_all(household_desk, job, skip=("torque", "retorque"))
    with pytest.raises(StillOpen, match="Torque") as raised:
        finish(household_desk, job)
    assert len(raised.value.unfinished) == 2
    assert doing(household_desk, job).open
    finish(household_desk, job, leave_open=True)


def test_the_owner_says_what_is_on(household_desk: Desk) -> None:
    desk = household_desk
    desk.clock = lambda: Moment(NOON.us + 86_400 * US_PER_S * 10, NOON.offset_min)
    assert desk.present().open[0].assumed
    say_on(desk, "estate", "summer", person="Ada")
    assert [(c.coming, c.assumed) for c in desk.present().open] == [("winter", False)]
    desk.clock = lambda: Moment(NOON.us + 86_400 * US_PER_S * 120, NOON.offset_min)
    assert [c.coming for c in desk.present().open] == ["winter"], "for as long as nobody says otherwise"
    say_on(desk, "estate", "winter", person="Ada")
    assert desk.present().open == ()
    say_wheel(desk, "estate", "rear left", "S3")
    assert on(desk) == ["W1", "W2", "S3", "W4"]
    assert [c.coming for c in desk.present().open] == ["winter"]
    job = begun(desk)
    fit = [s.title for s in steps(desk, job, Does.FIT)]
    assert fit == ["Fit wheel W3 rear left", "Fit wheel W4 rear right"], "W4 comes off for its sensor"


@pytest.mark.parametrize("apart_us", [0, 1, 40_000, 400_000])
def test_two_words_within_a_second_are_both_taken_and_the_later_one_counts(household_desk: Desk, apart_us: int) -> None:
    desk = household_desk
    for n, wheel_set in enumerate(("summer", "winter", "summer", "winter")):
        desk.clock = lambda n=n: Moment(NOON.us + apart_us * n, NOON.offset_min)  # type: ignore[misc]
        say_on(desk, "estate", wheel_set, person="Ada")
        assert on(desk) == [f"{wheel_set[0].upper()}{i}" for i in range(1, 5)]
    say_wheel(desk, "estate", "rear left", "S3")
    assert on(desk) == ["W1", "W2", "S3", "W4"]


def test_the_owner_says_where_a_set_lies(household_desk: Desk) -> None:
    desk = household_desk
    say_at(desk, "winter", "carport", person="Ada")
    assert [s.at for s in desk.present().line if s.set == "winter" and s.covers(NOON.day)] == ["carport"]
    say_at(desk, "summer", "shed")
    assert desk.present().wheel_at("estate") == {}
    assert desk.present().set_on("estate") is None


def test_an_id_from_its_corner_says_that_the_wheel_is_there(household_desk: Desk) -> None:
    desk = household_desk
    job = begun(desk, "runabout", "all-year")
    wake = steps(desk, job, Does.WAKE)
    take_claims(desk, job, [claim(job, wake[0], at=later(1))])
    known = desk.present().known["A1"]
    assert (known.on, known.corner, known.how.value) == ("runabout", Corner.FRONT_LEFT, "trigger")


NO_LINE = """
wheelside = 1
[[place]]
id = "yard"
[[place]]
id = "shed"
[[car]]
id = "van"
label = "Van"
stands_at = "yard"
monitor = "none"
torque = "120 Nm"
{wheels}
[[set]]
id = "one"
wheels = {{ front_left = "O1", front_right = "O2", rear_left = "O3", rear_right = "O4" }}
[[set]]
id = "two"
wheels = {{ front_left = "T1", front_right = "T2", rear_left = "T3", rear_right = "T4" }}
"""


def test_change_now_on_an_empty_season_line_and_then_nothing_is_left_to_do(tmp_path: Path) -> None:
    wheels = "\n".join(f'[[wheel]]\nid = "{s}{n}"' for s in "OT" for n in range(1, 5))
    (tmp_path / "g.toml").write_text(NO_LINE.format(wheels=wheels))
    desk = new_desk(str(tmp_path / "b.book"))
    desk.clock, desk.bits = lambda: NOON, seeded()
    take_in(desk, tmp_path / "g.toml")
    job = begun(desk, "van", "two")
    do(desk, job, {"store": {"place": "shed"}})
    finish(desk, job, leave_open=True)
    desk.clock = lambda: later(1000)
    now = desk.present()
    assert on(desk, "van") == ["T1", "T2", "T3", "T4"]
    assert now.open == ()
    again = begun(desk, "van", "one")
    assert any("Take T1 off" in line for s in steps(desk, again, Does.FIT) for line in lines(s))
    do(desk, again, {"store": {"place": "shed"}})
    finish(desk, again, leave_open=True)
    assert on(desk, "van") == ["O1", "O2", "O3", "O4"]
    today = desk.clock().day
    assert [s.at for s in desk.present().line if s.set == "two" and s.covers(today)] == ["shed"]
    desk.close()


def test_the_facts_come_out_in_the_garage_file_and_mean_the_same_there(household_desk: Desk, tmp_path: Path) -> None:
    desk = household_desk
    job = begun(desk)
    do(desk, job)
    finish(desk, job, leave_open=True)
    (tmp_path / "out.toml").write_text(garage_text(desk))
    other = new_desk(str(tmp_path / "other.book"))
    other.clock = desk.clock
    take_in(other, tmp_path / "out.toml")
    assert other.present().line == desk.present().line
    other.close()


def test_codes_that_are_gone_are_an_event(household_desk: Desk) -> None:
    job = begun(household_desk)
    do_all(household_desk, job, other={"codes_before": {"codes": "some"}})
    finish(household_desk, job, leave_open=True)
    with household_desk.book.reading() as conn:
        found = conn.exec_driver_sql(f"SELECT body FROM event WHERE kind = '{Happened.CHECKED.value}'").scalars().all()
    assert any('"gone"' in body for body in found)


def test_wheels_fitted_a_week_late_are_facts_of_that_day(household_desk: Desk) -> None:
    desk = household_desk
    late = timedelta(days=10)
    desk.clock = lambda: Moment(NOON.us + int(late.total_seconds()) * US_PER_S, NOON.offset_min)
    job = begun(desk)
    start = doing(desk, job).start
    assert (start.day, start.sheet.due) == (NOON.day + late, date(2026, 11, 28))
    assert next(s.title for s in steps(desk, job, Does.FIT)) == "Fit wheel W1 front left"


def test_an_early_change_on_the_owners_word_is_not_ordered_back(household_desk: Desk) -> None:
    desk = household_desk
    say_on(desk, "estate", "winter", person="Ada")
    for days in (0, 2, 3, 10, 100):
        desk.clock = lambda days=days: Moment(NOON.us + 86_400 * US_PER_S * days, NOON.offset_min)  # type: ignore[misc]
        assert desk.present().open == (), days
        assert on(desk) == ["W1", "W2", "W3", "W4"]


def test_the_owners_word_in_the_middle_of_a_job_changes_nothing_of_it(household_desk: Desk) -> None:
    desk = household_desk
    job = begun(desk)
    do(desk, job)
    desk.clock = lambda: later(700)
    say_on(desk, "estate", "winter")
    finish(desk, job, leave_open=True)
    assert desk.present().open == ()


def test_what_counts_is_when_it_was_recorded_where_a_phone_has_another_zone_or_clock(household_desk: Desk) -> None:
    desk = household_desk
    day = 86_400 * US_PER_S
    for shift_us, offset in ((0, -300), (0, 600), (-day, 60), (day, 60)):
        desk.clock = lambda: later(1)
        say_on(desk, "estate", "summer", person="Ada")
        job = begun(desk)
        fit = steps(desk, job, Does.FIT)
        desk.clock = lambda: later(120)
        take_claims(
            desk, job, [claim(job, s, at=Moment(later(60 + n).us + shift_us, offset)) for n, s in enumerate(fit)]
        )
        assert on(desk) == ["W1", "W2", "W3", "W4"], (shift_us, offset)
        desk.clock = lambda: later(180)
        say_on(desk, "estate", "summer", person="Ada")
        give_up(desk, job, "rain")
        assert on(desk) == ["S1", "S2", "S3", "S4"], (shift_us, offset)


def test_a_set_that_an_open_job_moves_is_in_no_other_job(household_desk: Desk) -> None:
    job = begun(household_desk)
    again = begin(household_desk, car="runabout", wheel_set="winter")
    assert (again.job, again.under_way) == (None, job)


def test_what_comes_after_the_end_changes_no_fact(household_desk: Desk) -> None:
    desk = household_desk
    job = begun(desk)
    do(desk, job)
    desk.clock = lambda: later(700)
    finish(desk, job, leave_open=True)
    before = garage_text(desk)
    again = Claim("late-00001", job, "fit-w2", ClaimKind.REOPENED, later(650), "Ada", "phone", 10**9)
    take_claims(desk, job, [again])
    assert garage_text(desk) == before


def test_wheels_that_never_came_off_are_not_carried_away(household_desk: Desk) -> None:
    desk = household_desk
    job = begun(desk)
    put = steps(desk, job, Does.CARRY_AWAY, Does.STORE)
    skips = [
        Claim(f"skip-{s.id:>8}", job, s.id, ClaimKind.SKIPPED, later(1), "Ada", "phone", 10**9, reason="later")
        for s in steps(desk, job, Does.FIT)
    ]
    take_claims(desk, job, [*skips, *(claim(job, s, at=later(2)) for s in put)])
    assert on(desk) == ["S1", "S2", "S3", "S4"]


def test_a_set_that_was_sold_goes_on_no_car(desk: Desk, file: Path) -> None:
    text = file.read_text(encoding="utf-8").replace('label = "Winter set"', 'label = "Winter set"\nsold = 2026-10-01')
    take_in_text(desk, text, "household.toml")
    with pytest.raises(BadRequest, match="not yours any more"):
        begin(desk, car="estate", wheel_set="winter")
    desk.clock = lambda: Moment(NOON.us + 86_400 * US_PER_S * 10, NOON.offset_min)
    assert "winter" not in {c.coming for c in desk.present().open}


def test_what_is_due_keeps_its_name_when_its_date_moves_or_its_words_change(home: Desk) -> None:
    before = {one.uid: one for one in agenda(home)}
    assert len(before) == len(agenda(home)) > 3
    with home.writing("the change is put off") as writing:
        table = as_table(facts_now(writing.conn))
        table["set"][0]["label"] = "Another name"
        for stay in table["stay"]:
            if stay.get("since") == date(2026, 11, 28):
                stay["since"] = date(2026, 12, 3)
            if stay.get("until") == date(2026, 11, 28):
                stay["until"] = date(2026, 12, 3)
        replace_facts(writing, table)
    after = {one.uid: one for one in agenda(home)}
    moved = [uid for uid in before.keys() & after.keys() if before[uid].day != after[uid].day]
    reworded = [uid for uid in before.keys() & after.keys() if before[uid].title != after[uid].title]
    assert {before[uid].matter for uid in moved} == {Matter.CHANGE, Matter.SEASON}
    assert reworded
