"""The plan file: kept whole, never lost, refused when it can't be trusted."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from wheelside.demo import DEMO_DAY, household
from wheelside.errors import BadFile, BadRequest, Outside
from wheelside.jobs import planfile
from wheelside.jobs.garagedesk import load_garage
from wheelside.jobs.source import write_whole
from wheelside.jobs.wheelset.ids import draw_ids
from wheelside.jobs.work.plan import plan_garage


@pytest.fixture
def garage_file(tmp_path: Path) -> Path:
    file = tmp_path / "household.toml"
    file.write_bytes(household())
    return file


def fresh_ids(garage_file: Path) -> list[str]:
    return [w.id.hex for w in plan_garage(garage_file, day=DEMO_DAY).plan.wheels if w.distance is not None and w.id]


def test_planning_again_gives_the_same_ids_and_the_same_file(garage_file: Path) -> None:
    first = fresh_ids(garage_file)
    path = planfile.plan_path(garage_file)
    assert path.name == "household.plan.json"
    text = path.read_bytes()
    assert fresh_ids(garage_file) == first
    assert path.read_bytes() == text
    assert len(first) == 2


def test_without_saving_others_are_drawn(garage_file: Path) -> None:
    one = plan_garage(garage_file, day=DEMO_DAY, keep=False)
    two = plan_garage(garage_file, day=DEMO_DAY, keep=False)
    assert one.saved_in is None
    assert not planfile.plan_path(garage_file).exists()
    assert {r.id for r in one.plan.reserved}.isdisjoint({r.id for r in two.plan.reserved})


def test_releasing_draws_another_and_remembers_the_old(garage_file: Path) -> None:
    first = fresh_ids(garage_file)
    plan_garage(garage_file, day=DEMO_DAY, let_go="W3")
    second = fresh_ids(garage_file)
    assert second[0] != first[0]
    assert second[1] == first[1]
    rows = json.loads(planfile.plan_path(garage_file).read_text())["reserved"]
    assert [r["hex"] for r in rows if r["released"]] == [first[0]]


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "7", '{"wheelside_plan": 1}', '{"wheelside_plan": 99, "reserved": []}', '{"wheelside_plan": 1, "reserved": [{}]}',
     ('{"wheelside_plan": 1, "reserved": [{"wheel": "W3", "family": "f", "bits": 32, "hex": "FFFFFFFFF", '
      '"distance": 3, "since": "2026-01-01", "released": false}]}'),
     '{"wheelside_plan": "x", "reserved": []}', "\x00", "[" * 100000],
)  # fmt: skip
def test_a_broken_plan_file_is_refused_and_left_alone(garage_file: Path, text: str) -> None:
    path = planfile.plan_path(garage_file)
    path.write_text(text)
    with pytest.raises(BadFile) as caught:
        plan_garage(garage_file, day=DEMO_DAY)
    assert caught.value.problems[0].suggestion
    assert path.read_text() == text


def test_a_folder_that_cannot_be_written_is_the_worlds_fault(tmp_path: Path) -> None:
    with pytest.raises(Outside, match="writing the plan file"):
        write_whole(tmp_path / "absent" / "x.json", "{}", "the plan file")


def test_a_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "x.json"
    target.write_text("old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(Outside, match="No space left"):
        write_whole(target, "new", "the plan file")
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_ids_drawn_by_hand_are_set_aside(garage_file: Path) -> None:
    drawn = draw_ids(3, where=garage_file, family="kestrel")
    assert drawn.saved_in == str(planfile.plan_path(garage_file))
    again = draw_ids(3, where=garage_file, family="kestrel")
    assert {f.id for f in drawn.fresh}.isdisjoint({f.id for f in again.fresh})
    assert len(planfile.load(planfile.plan_path(garage_file)).reserved) == 6
    plan_garage(garage_file, day=DEMO_DAY)
    assert len(planfile.load(planfile.plan_path(garage_file)).reserved) == 8


@pytest.mark.parametrize(
    ("options", "part"),
    [
        ({}, "--bits"), ({"bits": 30}, "multiple of 4"), ({"bits": 32, "prefix": "XY"}, "hex digits"),
        ({"bits": 24, "prefix": "ABCDEF"}, "fewer than 6"),
    ],
)  # fmt: skip
def test_drawing_without_enough_said_is_refused(options: dict[str, object], part: str) -> None:
    with pytest.raises(BadRequest, match=part):
        draw_ids(1, **options)  # type: ignore[arg-type]  # the options vary


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadRequest, match=r"there is no file .*nope\.toml"):
        load_garage(tmp_path / "nope.toml")
    with pytest.raises(BadRequest, match="is a folder"):
        load_garage(tmp_path)
