"""Earshot, gate, what-if, tipping points and conflicts as a person runs them."""

from __future__ import annotations

from pathlib import Path

import pytest

from commands import ON, json_of, run


def test_earshot_tells_who_hears_whom_and_how_far_is_far_enough(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    code, out, _ = run(capsys, "earshot", file, *ON, "--budget")
    assert code == 0
    for part in ("What Estate hears", "Shed, 6.0 m away behind wood", "No garden of 150 m", "47 CFR 15.231(e)"):
        assert part in out
    table = json_of(capsys, "earshot", file, *ON)
    assert table["earshot"]["heard"][0]["hearing"]["verdict"] == "yes"


def test_gate_passes_and_fails_by_its_status(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    own = ["2C41A7F3", "2C41A841", "2C41A1E6", "2C41AB2A"]
    assert run(capsys, "gate", file, "summer", *ON)[0] == 0
    assert run(capsys, "gate", file, "summer", *own, *ON)[0] == 0
    code, out, _ = run(capsys, "gate", file, "summer", *own[:3], "7D20E418", *ON)
    assert code == 1
    assert "of another set (All-year set)" in out
    assert run(capsys, "gate", file, "nothing", *ON)[0] == 2
    assert not json_of(capsys, "gate", file, "summer", *own[:3], *ON)["passed"]


def test_a_what_if_tells_the_difference_and_saves_nothing(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    code, out, _ = run(capsys, "plan", file, *ON, "--if", "car.estate.remembers_sets = 1")
    assert code == 0
    assert "Estate is taught 6 times, instead of once" in out
    assert "cost: +75 min" in out
    assert not file.with_suffix(".plan.json").exists()
    assert "nothing changes in what is done" in run(capsys, "plan", file, *ON, "--if", 'costs.kit = "5 EUR"')[1]
    assert run(capsys, "plan", file, "--if", "car.nobody.remembers_sets = 1")[0] == 2
    assert run(capsys, "plan", file, "--if", "costs.kit = '5 EUR'", "--release", "W3")[0] == 2


def test_a_plan_tells_its_runner_up_its_risks_and_its_tipping_points(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    _, out, _ = run(capsys, "plan", file, *ON, "--no-save", "--tipping", "--explain", "S1")
    for part in (
        "the next best plan costs",
        "together, likely",
        "When another plan would win",
        "Wheel S1: sensor stays",
    ):
        assert part in out
    table = json_of(capsys, "plan", file, *ON, "--no-save", "--tipping")
    assert table["tipping"]
    assert table["plan"]["runner_up"]["extra_weight"] > 0
    assert run(capsys, "plan", file, "--explain", "X9")[0] == 2


def test_no_plan_names_conflict_and_ways_out(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    code, out, _ = run(capsys, "plan", file, *ON, "--if", "plan.buy_sensors = false")
    assert code == 1
    for part in ("No plan is possible", "no sensors are to be bought", "Ways out", "allow sensors to be bought"):
        assert part in out
