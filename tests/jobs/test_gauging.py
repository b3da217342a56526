"""Four figures in a minute: what is kept of them, what is refused, and what is said at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from books import NOON, later
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.book.readings import all_readings
from wheelside.demo import household
from wheelside.errors import NotThere
from wheelside.garage.file import read_text
from wheelside.inquiry.query import AnswerRefused
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import take_in
from wheelside.jobs.work.agenda import Matter, agenda
from wheelside.jobs.work.gauging import Came, HowRead, gauge_card, keep_gauging, keep_mended
from wheelside.jobs.work.tyres import losing, tyres_now
from wheelside.jobs.work.tyres_read import climate_of
from wheelside.units import GaugePressure, Temperature
from wheelside.watch.mended import Mended
from wheelside.watch.says import TyreVerdict

DAY_MIN = 24 * 60.0
FOUR = {"front left": "2.40", "front right": "2,40", "rear left": "34 psi", "rear right": "234 kPa", "outside": "8"}


def on_day(desk: Desk, day: float) -> Desk:
    desk.clock = lambda: later(day * DAY_MIN)
    return desk


def weekly(desk: Desk, *low: str, start: float = 0.0) -> None:
    """A gauging a week, the rear left as given and the others steady."""
    for week, figure in enumerate(low):
        on_day(desk, start + 7 * week)
        keep_gauging(desk, "estate", {**FOUR, "rear left": figure}, HowRead())


def readings(desk: Desk) -> list[Reading]:
    with desk.book.reading() as conn:
        return [r for r in all_readings(conn) if r.purpose is Purpose.GAUGING]


def test_four_figures_are_kept_with_all_that_is_known_of_them(household_desk: Desk) -> None:
    card = gauge_card(household_desk)
    keep_gauging(household_desk, "", {**FOUR, "gauge": card.gauge}, HowRead())
    kept = {r.subject[1]: r for r in readings(household_desk)}
    assert [kept[w].pressure for w in ("S1", "S2", "S4")] == [GaugePressure(240.0)] * 2 + [GaugePressure(234.0)]
    assert kept["S3"].pressure == GaugePressure(pytest.approx(234.42, abs=0.01))  # type: ignore[arg-type]
    one = kept["S1"]
    assert (one.channel, one.warmth, one.outside, one.place) == (
        "gauge",
        Warmth.COLD,
        Temperature.from_celsius(8.0),
        "carport",
    )
    assert one.instrument_id == "gauge"


def test_the_gauge_is_remembered(household_desk: Desk) -> None:
    keep_gauging(household_desk, "", {**FOUR, "gauge": "the blue one"}, HowRead())
    assert gauge_card(household_desk).gauge == "the blue one"


@pytest.mark.parametrize(
    ("gap", "text"),
    [("front left", "24"), ("front left", "abc"), ("rear left", "-2"), ("outside", "warm"), ("outside", "95")],
)
def test_what_can_not_be_is_refused_at_its_field_and_nothing_is_kept(household_desk: Desk, gap: str, text: str) -> None:
    with pytest.raises(AnswerRefused) as refused:
        keep_gauging(household_desk, "", {**FOUR, gap: text}, HowRead())
    assert list(refused.value.wrong) == [gap]
    assert not readings(household_desk)


def test_a_flat_tyre_can_be_noted_and_is_not_to_be_driven_on(household_desk: Desk) -> None:
    keep_gauging(household_desk, "", {**FOUR, "rear left": "0"}, HowRead(as_it_is=True))
    assert tyres_now(household_desk).of("S3").says.verdict is TyreVerdict.STOP  # type: ignore[union-attr]


def test_corners_may_be_left_out_but_not_all(household_desk: Desk) -> None:
    keep_gauging(household_desk, "", {"rear left": "2.3"}, HowRead())
    assert len(readings(household_desk)) == 1
    with pytest.raises(AnswerRefused):
        keep_gauging(household_desk, "", {"outside": "8"}, HowRead())
    with pytest.raises(NotThere):
        keep_gauging(household_desk, "nowhere", FOUR, HowRead())


def test_the_same_check_sent_twice_is_kept_once(household_desk: Desk) -> None:
    for _ in range(2):
        keep_gauging(household_desk, "", FOUR, HowRead(at=NOON))
    assert len(readings(household_desk)) == 4


def test_a_wheel_that_falls_is_said_to_lose_and_stands_in_the_calendar(household_desk: Desk) -> None:
    weekly(household_desk, "2.35", "2.24", "2.12", "2.00")
    grave = losing(tyres_now(household_desk).on("estate"))
    assert [(t.wheel, t.says.loss is not None) for t in grave] == [("S3", True)]
    due = [d for d in agenda(household_desk) if d.matter is Matter.TYRE_SAYS]
    assert [d.about for d in due] == [("S3",)]
    assert tyres_now(household_desk).on("runabout")[0].read is False


def test_a_matter_keeps_its_name_while_its_day_moves(household_desk: Desk) -> None:
    weekly(household_desk, "2.35")
    first = next(d for d in agenda(household_desk) if d.matter is Matter.LOOK_AGAIN and d.about == ("S1",))
    weekly(household_desk, "2.35", start=10)
    second = next(d for d in agenda(household_desk) if d.matter is Matter.LOOK_AGAIN and d.about == ("S1",))
    assert first.day != second.day
    assert first.uid == second.uid


def test_what_is_read_off_the_dash_counts_by_the_wheels_own_sensors(household_desk: Desk) -> None:
    for week in range(5):
        on_day(household_desk, 7 * week)
        keep_gauging(household_desk, "", {**FOUR, "rear left": f"{2.35 - 0.11 * week:.2f}"}, HowRead(came=Came.DASH))
    assert {r.channel for r in readings(household_desk)} == {"dash"}
    assert tyres_now(household_desk).of("S3").says.loss is not None  # type: ignore[union-attr]


def test_a_mended_tyre_is_looked_at_again_after_three_days(household_desk: Desk) -> None:
    weekly(household_desk, "2.35", "2.24", "2.12", "2.00")
    keep_mended(household_desk, "S3", Mended.VALVE)
    on_day(household_desk, 21.01)
    keep_gauging(household_desk, "", {"rear left": "2.55"}, HowRead())
    says = tyres_now(household_desk).of("S3").says  # type: ignore[union-attr]
    assert says.verdict is TyreVerdict.NOT_PROVEN
    due = next(d for d in agenda(household_desk) if d.matter is Matter.LOOK_AGAIN and d.about == ("S3",))
    assert (due.day - later(21 * DAY_MIN).day).days == 3


def test_a_mended_leak_that_goes_on_is_said_again(household_desk: Desk) -> None:
    weekly(household_desk, "2.35", "2.24", "2.12", "2.00")
    keep_mended(household_desk, "S3", Mended.NOT_FOUND)
    assert tyres_now(household_desk).of("S3").says.verdict in (TyreVerdict.LOSES, TyreVerdict.TOO_LOW)  # type: ignore[union-attr]
    keep_mended(household_desk, "S3", Mended.VALVE)
    weekly(household_desk, "2.50", "2.38", "2.26", "2.14", start=22)
    assert tyres_now(household_desk).of("S3").says.loss is not None  # type: ignore[union-attr]


def test_the_mornings_of_a_year_are_filled_in_between() -> None:
    text = household().decode()
    rows = '\n[[climate]]\nmonth = 1\nmorning = "-5 °C"\n[[climate]]\nmonth = 7\nmorning = "15 °C"\n'
    garage, _ = read_text(text + rows, "x")
    found = [round(k - 273.15, 1) for k in climate_of(garage)]
    assert found == [-5.0, -1.7, 1.7, 5.0, 8.3, 11.7, 15.0, 11.7, 8.3, 5.0, 1.7, -1.7]
    assert climate_of(read_text(text, "x")[0]) == ()


def test_what_was_read_is_shown_as_it_was_read(household_desk: Desk) -> None:
    """Whether a temperature is known or not, and by the gauge that reads 0.05 bar too much."""
    for outside in ("8", ""):
        keep_gauging(
            household_desk, "", {**FOUR, "front left": "2.35", "outside": outside, "gauge": "gauge"}, HowRead()
        )
        shown = tyres_now(household_desk, car="estate").of("S1").says.reads  # type: ignore[union-attr]
        assert shown is not None
        assert shown.kpa == pytest.approx(235.0, abs=0.01)
        on_day(household_desk, 1)


def test_an_outside_temperature_that_was_never_read_is_taken_as_usual(desk: Desk, tmp_path: Path) -> None:
    """A book that says no coldest morning, whose readings have no temperature outside."""
    file = tmp_path / "garage.toml"
    file.write_text("\n".join(line for line in household().decode().splitlines() if not line.startswith("coldest = ")))
    take_in(desk, file)
    keep_gauging(desk, "", FOUR | {"outside": ""}, HowRead())
    assert tyres_now(desk, car="estate").of("S1").says.verdict is TyreVerdict.NOT_PROVEN  # type: ignore[union-attr]


def test_what_was_worked_out_of_a_book_is_held_until_a_write_or_the_next_day(household_desk: Desk) -> None:
    made: list[int] = []

    def make() -> int:
        made.append(len(made))
        return made[-1]

    assert [household_desk.once("it", make) for _ in range(2)] == [0, 0]
    keep_gauging(household_desk, "", FOUR, HowRead())
    assert household_desk.once("it", make) == 1
    on_day(household_desk, 1)
    assert household_desk.once("it", make, whole=False) == 2
    assert [household_desk.once("it", make) for _ in range(2)] == [3, 3]
