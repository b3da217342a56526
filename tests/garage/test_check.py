"""What rows of a garage must not contradict."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
import tomli_w

from garages import Table, demo_table, garage_of, row
from texts import problems_of


def problems(change: Callable[[Table], object]) -> list[tuple[str, str]]:
    table = demo_table()
    change(table)
    return [(p.key, p.found) for p in problems_of(tomli_w.dumps(table))]


def test_a_sensor_in_two_wheels_is_named() -> None:
    def twice(t: Table) -> None:
        row(t, "wheel", "W2")["joined"][0]["sensor"] = "sensor W1"

    assert problems(twice) == [("wheel[6].joined[1].sensor", "sensor 'sensor W1', which is in wheel 'W1' then")]


def test_a_sensor_may_move_to_another_wheel_later() -> None:
    table = demo_table()
    row(table, "wheel", "W1")["joined"] = [{"sensor": "sensor W1", "until": date(2026, 11, 1)}]
    row(table, "wheel", "W2")["joined"] = [{"sensor": "sensor W1", "since": date(2026, 11, 1)}]
    assert garage_of(table).wheels["W2"].joined[0].sensor == "sensor W1"


def test_two_joinings_of_a_wheel_may_not_overlap() -> None:
    def overlap(t: Table) -> None:
        row(t, "wheel", "W1")["joined"].append({"tyre": "tyre W1"})

    assert problems(overlap)[0][1] == "a joining while another one lasts"


def test_a_wheel_is_at_one_corner_of_a_set() -> None:
    def twice(t: Table) -> None:
        row(t, "set", "winter")["wheels"]["front_left"] = "W2"

    assert "which this set has" in problems(twice)[0][1]


def test_ids_are_unique_in_their_table() -> None:
    def twice(t: Table) -> None:
        row(t, "place", "shed")["id"] = "carport"

    assert ("place[2].id", "'carport' a second time") in problems(twice)


def test_a_set_is_in_one_place_at_a_time() -> None:
    def both(t: Table) -> None:
        t["stay"][0]["until"] = date(2026, 12, 10)

    found = problems(both)
    assert any("set 'summer' twice at once" in f for _, f in found)
    assert any("car 'estate' twice at once" in f for _, f in found)


@pytest.mark.parametrize(
    ("change", "part"),
    [
        ({"at": "shed"}, "not in one place"),
        ({"until": date(2020, 1, 1)}, "2020-01-01"),
        ({"until": date(2029, 1, 1)}, "true"),
    ],
)
def test_a_stay_is_sound(change: Table, part: str) -> None:
    assert any(part in f for _, f in problems(lambda t: t["stay"][0].update(change)))


def test_a_placard_has_one_row_for_a_size_and_load() -> None:
    def twice(t: Table) -> None:
        t["car"][0]["placard"][1]["load"] = "normal"

    assert problems(twice)[0][0] == "car[1].placard[2].load"


def test_a_placard_pressure_that_no_car_has_is_doubted() -> None:
    assert problems(lambda t: t["car"][0]["placard"][0].update(front="20 psi"))[0] == (
        "car[1].placard[1].front",
        "138 kPa",
    )


def test_a_sensor_agrees_with_its_family() -> None:
    wide = problems(lambda t: row(t, "sensor", "sensor W1").update(bits=28))
    assert {key for key, _ in wide} == {"sensor[5].bits", "sensor[5].printed"}
    assert problems(lambda t: row(t, "sensor", "sensor W1").update(band="315 MHz"))[0][0] == "sensor[5].band"


def test_the_gauge_in_hand_is_a_gauge() -> None:
    assert problems(lambda t: t["instrument"][0].update(kind="trigger"))[0][0] == "conditions.gauge"


def test_heights_are_plausible() -> None:
    assert problems(lambda t: t["conditions"].update(height_there="9 km"))[0][0] == "conditions.height_there"


def test_a_sensor_that_is_gone_is_in_no_wheel() -> None:
    found = problems(lambda t: row(t, "sensor", "sensor W1").update(gone=date(2026, 10, 1)))
    assert found == [("wheel[5].joined[1].sensor", "sensor 'sensor W1', which is gone since 2026-10-01")]


def test_a_year_of_mornings_has_one_line_a_month_and_place() -> None:
    def twice(t: Table) -> None:
        t["climate"] = [{"month": 1, "morning": "-5 °C"}, {"month": 1, "morning": "-4 °C", "place": "shed"}]
        t["climate"].append({"month": 1, "morning": "-3 °C"})

    assert problems(twice) == [("climate[3].month", "a second line for month 1")]
