"""What a book knows of a lit lamp: each source with its weight and age, faded, struck out, and counted once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from time import process_time
from typing import Any

import pytest
import tomli_w

from books import later
from cars import keep_card, on_a_bus, suited_household
from garages import demo_table, row, seeded
from wheelside.demo.practice import practice_car
from wheelside.demo.practice.told import SUMMER
from wheelside.errors import NotThere
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.car.port import lined, read_and_keep
from wheelside.jobs.car.visit import CODES, Visit, kept_card
from wheelside.jobs.work.gauging import HowRead, keep_gauging, keep_mended
from wheelside.jobs.work.why_evidence import FADES_DAYS, KnownCase, known_of
from wheelside.jobs.work.why_next import WhySaid, why_turn
from wheelside.jobs.work.why_radio import CaseKnown
from wheelside.speech.speech import Speech
from wheelside.watch.mended import Mended
from wheelside.why.belief import CaseSeen, believe
from wheelside.why.gate import FirstGate, next_step


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A desk at a new book in a file: what is read here the book's own tests read in both databases."""
    made = new_desk(str(tmp_path / "why.book"), clock=lambda: later(0))
    made.bits = seeded()
    yield made
    made.close()


DAY_MIN = 24 * 60.0
FourIds = tuple[int, int, int, int]
FOUR = {"front left": "2.40", "front right": "2.40", "rear left": "2.35", "rear right": "2.34", "outside": "8"}


def on_day(desk: Desk, day: float) -> Desk:
    desk.clock = lambda: later(day * DAY_MIN)
    return desk


def gauged(desk: Desk, **other: str) -> None:
    keep_gauging(desk, "estate", {**FOUR, **{k.replace("_", " "): v for k, v in other.items()}}, HowRead())


def told(desk: Desk, **changes: Any) -> Desk:
    """The book with the demo household, the estate's facts otherwise."""
    table = demo_table()
    car = row(table, "car", "estate")
    car.update(changes)
    if car["monitor"] == "indirect":
        del car["holds"]
    return with_table(desk, table)


def with_table(desk: Desk, table: dict[str, Any]) -> Desk:
    take_in_text(desk, tomli_w.dumps(table), "household.toml")
    return desk


def of(case: KnownCase, code: str) -> CaseKnown | None:
    return next((k for k in case.known if k.code == code), None)


def known(desk: Desk, code: str, car: str = "estate") -> CaseKnown:
    found = of(known_of(desk, car), code)
    assert found is not None
    return found


def text(one: CaseKnown) -> str:
    return Speech().text(one.said)


# the air


def test_a_gauging_of_today_counts_whole_and_fades_over_two_weeks(home: Desk) -> None:
    assert of(known_of(home, "estate"), "air") is None
    gauged(home)
    for day, other in ((0, 0.0), (1, 0.0), (7, 6 / 13), (13, 12 / 13)):
        on_day(home, day)
        air = known(home, "air")
        assert air.outcomes["gauge"] == pytest.approx({"right": 1.0, "one-low": other, "several-low": other})
        assert air.whole is (day <= 1)
        assert text(air) == "Gauged on 2026-11-25: none is too low."
    on_day(home, FADES_DAYS)
    assert of(known_of(home, "estate"), "air") is None


@pytest.mark.parametrize(("low", "shown"), [(("rear_left",), "one-low"), (("rear_left", "front_left"), "several-low")])
def test_what_is_too_low_is_counted_and_named(home: Desk, low: tuple[str, ...], shown: str) -> None:
    gauged(home, **dict.fromkeys(low, "1.70"))
    air = known(home, "air")
    assert air.outcomes["gauge"][shown] == 1.0
    assert sum(air.outcomes["gauge"].values()) == 1.0
    assert "too low" in text(air)
    assert "S3" in text(air)


def test_three_of_four_are_no_gauging_of_all(home: Desk) -> None:
    keep_gauging(home, "estate", {k: v for k, v in FOUR.items() if k != "front left"}, HowRead())
    assert of(known_of(home, "estate"), "air") is None


def test_a_loss_over_weeks_does_not_fade_and_goes_when_it_is_mended(home: Desk) -> None:
    for week, low in enumerate(("2.35", "2.24", "2.12", "2.00")):
        gauged(on_day(home, 7 * week), rear_left=low)
    case = known_of(on_day(home, 31), "estate")
    holding = known(home, "holding")
    assert holding.outcomes["hold"]["one-falls"] > 0.7
    assert holding.outcomes["hold"]["hold"] == pytest.approx(1 - holding.outcomes["hold"]["one-falls"])
    assert text(holding) == "S3 loses air by its readings."
    likely = believe(case.table, case.seen({"lamp-at-start": "steady"}))
    assert likely.causes["puncture"] + likely.causes["leak"] > 0.8
    keep_mended(home, "S3", Mended.VALVE)
    gauged(on_day(home, 32), rear_left="2.35")
    after = of(known_of(home, "estate"), "holding")
    assert after is None or after.outcomes["hold"]["hold"] == 1.0


def test_tyres_that_are_not_driven_on_shut_the_gate_and_are_not_struck_out(home: Desk) -> None:
    keep_gauging(home, "estate", {**FOUR, "rear left": "1.2"}, HowRead(as_it_is=True))
    case = known_of(home, "estate")
    assert [t.name for t in case.stopping] == ["S3"]
    gauged(on_day(home, 1))
    assert known_of(home, "estate").stopping == ()


# work, once


def test_work_within_a_week_is_a_context_and_not_asked_too_later_it_is_an_outcome(desk: Desk) -> None:
    table = demo_table()
    table["wheel"][0]["joined"][0]["since"] = date(2026, 11, 20)
    with_table(desk, table)
    work = known(desk, "work")
    assert (work.contexts, work.answers, dict(work.outcomes)) == (("changed-lately",), ("last-work",), {})
    assert str(work.on) == "2026-11-20"
    assert "last-work" in known_of(desk, "estate").owns({}).without
    work = known(on_day(desk, 3), "work")
    assert (work.contexts, work.outcomes["last-work"]["two-months"]) == ((), 1.0)
    work = known(on_day(desk, 60), "work")
    assert work.outcomes["last-work"] == {"longer": 1.0, "two-months": 0.0, "week": 0.0}


def test_nothing_known_of_work_is_no_evidence(home: Desk) -> None:
    assert of(known_of(home, "estate"), "work") is None


def test_a_mended_leak_is_work(home: Desk) -> None:
    keep_mended(home, "S3", Mended.VALVE)
    assert known(home, "work").contexts == ("changed-lately",)


# sensors


@pytest.mark.parametrize(("used", "shown"), [("2024-01-10", "young"), ("2021-05-01", "middle"), ("2017-04-02", "old")])
def test_the_oldest_sensor_says_the_age_and_the_forecast_stands_beside(desk: Desk, used: str, shown: str) -> None:
    table = demo_table()
    for sensor in table["sensor"]:
        if sensor["id"].startswith("sensor S"):
            sensor["first_used"] = date(2024, 6, 1)
    row(table, "sensor", "sensor S3")["first_used"] = date.fromisoformat(used)
    case = known_of(with_table(desk, table), "estate")
    sensors = of(case, "sensors")
    assert sensors is not None
    assert sensors.outcomes["sensor-age"][shown] == 1.0
    assert sensors.contexts == ()
    assert "fails within a year is" in text(sensors)


def test_a_low_battery_counts_in_place_of_the_age(desk: Desk) -> None:
    table = demo_table()
    row(table, "sensor", "sensor S3")["battery_low"] = True
    case = known_of(with_table(desk, table), "estate")
    sensors = of(case, "sensors")
    assert sensors is not None
    assert (sensors.contexts, dict(sensors.outcomes), sensors.answers) == (("battery-low",), {}, ("sensor-age",))
    answers = {"lamp-at-start": "flashes"}
    low = believe(case.table, case.seen(answers)).causes["battery"]
    assert low > 0.6 > believe(case.table, case.seen(answers, ("sensors",))).causes["battery"]


def test_a_sensor_that_gave_no_answer_counts_but_not_whole(desk: Desk) -> None:
    table = demo_table()
    row(table, "sensor", "sensor S3")["answers"] = False
    silent = known(with_table(desk, table), "silent")
    assert silent.outcomes["wake"] == {"all-answer": 0.3, "one-silent": 1.0, "several-silent": 0.3}
    assert text(silent) == "S3 gave no answer when last triggered."


def cloned(**path: Any) -> dict[str, Any]:
    table = demo_table()
    row(table, "sensor", "sensor W1")["printed"] = row(table, "sensor", "sensor S1")["printed"]
    row(table, "sensor", "sensor W1")["family"] = "kestrel"
    table["path"][0].update(path)
    return table


def test_a_clone_within_hearing_is_a_context_and_one_far_away_is_not(desk: Desk) -> None:
    with_table(desk, cloned())
    assert known(desk, "clones").contexts == ("clone-made",)
    with_table(desk, cloned(distance="900 m", heard="no"))
    assert of(known_of(desk, "estate"), "clones") is None


# the port


@pytest.fixture
def read(desk: Desk) -> Desk:
    """A book whose estate's list was read: that of the practising car, its second place another's."""
    take_in_text(desk, suited_household(), "household.toml")
    keep_card(desk)
    return desk


def read_list(desk: Desk, second: FourIds = SUMMER) -> None:
    car, card = practice_car(), kept_card(desk, "estate")
    assert card is not None
    car.unit.drive(12, 60)
    car.unit.teaching.lists[1] = second
    with on_a_bus(car) as link, lined(card.card, link) as line:
        read_and_keep(Visit(desk, "estate"), line, card.card, 0.5)


@pytest.mark.parametrize(
    ("second", "shown"),
    [(SUMMER, "same"), ((SUMMER[0], SUMMER[1], 0x1234ABCD, SUMMER[3]), "some-differ"), ((1, 2, 3, 4), "all-differ")],
)
def test_the_cars_own_list_is_held_against_what_is_on_it(read: Desk, second: FourIds, shown: str) -> None:
    read_list(read, second)
    found = known(read, "list")
    assert found.outcomes["car-list"][shown] == 1.0
    assert str(found.on) == "2026-11-25"


@pytest.mark.parametrize(("holds", "shown"), [("summer", "same"), ("winter", "all-differ")])
def test_a_list_that_is_only_noted_counts_but_not_whole(desk: Desk, holds: str, shown: str) -> None:
    found = known(told(desk, holds=[{"set": holds}]), "list")
    assert found.outcomes["car-list"] == {"same": 0.3, "some-differ": 0.3, "all-differ": 0.3} | {shown: 1.0}
    assert "noted" in text(found)


def codes_kept(desk: Desk, *codes: str) -> None:
    rows: list[dict[str, object]] = [
        {"code": c, "family": "B", "makers_own": False, "permanent": False, "stored": True, "status": None, "says": [],
         "noted": [], "rest": ""} for c in codes
    ]  # fmt: skip
    card = kept_card(desk, "estate")
    assert card is not None
    Visit(desk, "estate").keep(CODES, card=card.card.id, codes=rows, not_told=[])


def test_codes_count_for_a_month_and_those_that_are_there_may_be_any(read: Desk) -> None:
    codes_kept(read)
    assert known(read, "codes").outcomes["codes"]["none"] == 1.0
    codes_kept(read, "C1234")
    there = known(read, "codes").outcomes["codes"]
    assert there == {"none": 0.0, "low-only": 1.0, "one-wheel": 1.0, "receiver": 1.0, "set-up": 1.0}
    assert of(known_of(on_day(read, 31), "estate"), "codes") is None


# hard facts


def test_a_car_that_goes_by_wheel_speed_has_no_cause_of_a_sensor_and_no_such_test(desk: Desk) -> None:
    case = known_of(told(desk, monitor="indirect"), "estate")
    seen = case.seen({"lamp-at-start": "steady"})
    causes = believe(case.table, seen).causes
    assert {c for c, p in causes.items() if p > 0} == {
        "low-all", "puncture", "leak", "set-wrongly", "reference", "no-wheel-sensors", "receiver", "dark"
    }  # fmt: skip
    assert of(case, "sensors") is None
    step = next_step(case.table, seen, case.owns({"lamp-at-start": "steady"}), aired=True)
    assert step.best is not None
    assert not {"wake", "dash", "read-ids", "corner-test"} & {w.test for w in step.best.ways}


def test_what_is_fixed_for_a_car_excludes_causes(home: Desk) -> None:
    case = known_of(home, "runabout")
    seen = case.seen({})
    assert {"no-wheel-sensors", "spare", "corners"} <= set(seen.excluded)
    assert "learns-itself" in seen.contexts


# striking out, answering anew


def test_each_can_be_struck_out_and_an_answer_goes_before_what_was_known(home: Desk) -> None:
    gauged(home)
    case = known_of(home, "estate")
    assert case.aired({})
    assert not case.aired({}, ("air",))
    assert "gauge" not in case.seen({}, ("air",)).outcomes
    for one in case.known:
        assert one not in case.counted({}, (one.code,))
    anew = case.seen({"gauge": "one-low"})
    assert anew.outcomes["gauge"] == {"one-low": 1.0}
    assert case.seen({}, tuple(k.code for k in case.known)) == CaseSeen({}, (), ())


def test_of_a_car_that_is_not_there_it_is_said(home: Desk) -> None:
    with pytest.raises(NotThere):
        known_of(home, "zeppelin")
    assert known_of(home).car.id == "estate"


def test_the_first_answer_and_the_next_test_come_at_once(home: Desk) -> None:
    """By the processor's time, so that nothing else on the machine counts: 0.2 s for the first answer, 1 s for the next test."""
    gauged(home)
    known_of(home, "estate")
    begun = process_time()
    case = known_of(home, "estate")
    assert why_turn(case, WhySaid()).gate is FirstGate.ASK
    why_turn(case, WhySaid("no"))
    first = process_time() - begun
    begun = process_time()
    turn = why_turn(case, WhySaid("no", {"lamp-at-start": "flashes"}))
    assert turn.step is not None
    assert (turn.step.test, turn.step.forced) == ("wake", False)
    assert (first < 0.2, process_time() - begun < 1.0) == (True, True)
