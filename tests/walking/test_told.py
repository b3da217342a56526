"""Households as their files tell them, carried out to the letter."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from days import Came, Day, Kind
from told import walk_file

from garages import codes_of, plan_of, row
from spoken import words
from tomlrows import toml_text

CASES = Path(__file__).parents[1] / "cases"
DAY = date(2026, 11, 30)
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")


def by_wheel_speed() -> str:
    """A car that watches its tyres by wheel speed alone, and keeps the pressures that it is told of; the other set lies in a cellar nearby."""
    names = [f"{s}{n}" for s in "SW" for n in range(1, 5)]
    placard = [{"tyre": "195/65 R15 91T", "load": "normal", "front": "2.3 bar", "rear": "2.2 bar"}]
    on = {"since": date(2026, 4, 1), "until": date(2026, 12, 1)}
    rows: dict[str, list[dict[str, object]]] = {
        "place": [{"id": "home"}, {"id": "cellar"}],
        "path": [{"between": ["home", "cellar"], "distance": "10 m"}],
        "car": [
            {
                "id": "hatch",
                "stands_at": "home",
                "monitor": "indirect",
                "stores_reference": True,
                "torque": "110 Nm",
                "placard": placard,
            }
        ],
        "tyre": [{"id": f"tyre {n}", "designation": "195/65 R15 91T", "max_pressure": "3.5 bar"} for n in names],
        "wheel": [{"id": n, "joined": [{"tyre": f"tyre {n}"}]} for n in names],
        "set": [
            {"id": name, "wheels": dict(zip(CORNERS, [f"{s}{n}" for n in range(1, 5)], strict=True))}
            for name, s in (("summer", "S"), ("winter", "W"))
        ],
        "stay": [
            {"set": "summer", "on": "hatch", **on},
            {"set": "winter", "at": "cellar", **on},
            {"set": "winter", "on": "hatch", "since": date(2026, 12, 1), "until": date(2027, 4, 1)},
        ],
    }
    return toml_text(rows, {"conditions": {"tyre_temperature": "10 °C", "temperature_of_use": "0 °C"}})


@pytest.mark.parametrize("kind", [Kind.ON, Kind.HALF_WAY, Kind.GIVEN_UP])
def test_a_car_that_watches_by_wheel_speed(kind: Kind) -> None:
    lived = walk_file(by_wheel_speed(), DAY, kind)
    assert lived.came is Came.DONE, "\n".join([lived.why, *lived.log[-3:]])
    assert any("store-reference" in line for line in lived.log)
    assert not any("ids-heard" in line or "teach" in line for line in lived.log)


def case(name: str) -> dict[str, Any]:
    return tomllib.loads((CASES / name).read_text(encoding="utf-8"))


def done(table: dict[str, Any], kind: Kind = Kind.ON, seed: int = 0) -> Day:
    lived = walk_file(tomli_w.dumps(table), date(2026, 11, 25), kind, seed)
    assert lived.came is Came.DONE, "\n".join([lived.why, *lived.log[-3:]])
    return lived


@pytest.mark.parametrize("kind", [Kind.ON, Kind.GIVEN_UP])
def test_a_wheel_of_which_nothing_is_known_is_triggered_before_any_other_is_touched(kind: Kind) -> None:
    """It is taken to have a sensor that suits; that it has is seen first of all, and the book keeps which."""
    lived = done(case("neighbour-same-id.toml"), kind)
    steps = [line.split()[2].rstrip(":") for line in lived.log]
    assert steps.index("answer-n2") < steps.index("write-n1") < steps.index("off-n1")


def test_a_wheel_of_which_nothing_is_known_may_have_the_sensor_that_is_in_none() -> None:
    table = case("one-print-unreadable.toml")
    del row(table, "wheel", "A1")["joined"]
    done(table)


def test_a_list_of_ids_that_can_be_read_in_two_widths_is_taught_nothing() -> None:
    table = case("one-print-unreadable.toml")
    row(table, "sensor", "s4")["printed"] = "742501162"
    del row(table, "family", "f")["bits"]
    assert not any("teach" in line for line in done(table).log)


@pytest.mark.parametrize("kind", [Kind.HALF_WAY, Kind.GIVEN_UP])
def test_wheels_come_off_for_their_sensors_long_after_their_set_went_on(kind: Kind) -> None:
    """Nobody has seen the set go on, which counts as done; and one whose IDs the plan finds twice now is not brought near again."""
    done(case("slow-12-wheels.toml"), kind, 10)


def test_what_came_off_is_driven_to_a_place_from_one_that_is_called_drive() -> None:
    done(case("pair-kept-on-two-set-car.toml"))


def test_a_spare_that_stays_on_is_in_both_sets_or_is_asked_about() -> None:
    table = case("spare-counted.toml")
    lived = walk_file(tomli_w.dumps(table), date(2026, 11, 25))
    assert lived.came is Came.LEFT_OUT
    (asked,) = [f for f in plan_of(table).findings if f.code == "missing-wheel"]
    assert "its lamp stays on" in words(asked.text)
    assert "add S5 to" in words(asked.way_out)
    row(table, "set", "winter")["wheels"]["spare"] = "S5"
    done(table)


def test_names_that_tell_nothing_apart_are_asked_about() -> None:
    table = case("neighbour-same-id.toml")
    assert "same-name" not in codes_of(plan_of(table))
    row(table, "place", "garage")["label"] = "yard"
    assert "same-name" in codes_of(plan_of(table))


def test_a_job_with_ids_of_64_bits_is_sealed() -> None:
    """JSON's readers may round such a number."""
    table = case("height-unknown-here.toml")
    row(table, "family", "ours")["bits"] = 64
    done(table)


def test_a_write_once_sensor_is_not_written_again_where_a_job_was_given_up_before_it_was_read_back() -> None:
    lived = done(case("blanks-inside-tyres.toml"), Kind.GIVEN_UP, 68)
    writes = [line for line in lived.log if " write-w4:" in line]
    assert len(writes) == 1
