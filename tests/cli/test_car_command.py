"""wheelside car, as a person runs it on the car to practise on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from commands import run, teaching_set_1
from wheelside.cli.car_practise import habits_of, obey
from wheelside.demo import dbc, household, port_card
from wheelside.demo.practice import Habits, PracticeCar, practice_car, serve_tcp
from wheelside.errors import BadRequest
from wheelside.jobs.book.desk import open_desk
from wheelside.jobs.car.visit import last_teaching, records
from wheelside.jobs.source import CLOCK

SUMMER = (742500339, 742500417, 742501162, 742498790)
"""In the order of the list's places: front left, front right, rear right, rear left."""


@pytest.fixture
def car() -> PracticeCar:
    return practice_car()


@pytest.fixture
def link(car: PracticeCar) -> Iterator[str]:
    with serve_tcp(car, lasting_s=60) as (host, port):
        yield f"at socket://{host}:{port}"


@pytest.fixture
def book(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A book with the household, whose winter wheels all have sensors of the car's family."""
    text = (
        household()
        .decode()
        .replace('printed = "2C41A7F"\nfamily = "plover"', 'printed = "1893078530"\nfamily = "kestrel"')
    )
    (tmp_path / "household.toml").write_text(text, encoding="utf-8")
    (tmp_path / "practice.toml").write_bytes(port_card())
    (tmp_path / "practice.dbc").write_bytes(dbc())
    path = tmp_path / "household.book"
    assert run(capsys, "book", "new", path, "--from", tmp_path / "household.toml")[0] == 0
    return path


def _card(book: Path) -> Path:
    return book.parent / "practice.toml"


def test_what_the_car_knows_is_read_recorded_and_read_again_from_the_recording(
    book: Path, link: str, capsys: pytest.CaptureFixture[str]
) -> None:
    tape = book.parent / "visit.log"
    code, out, _ = run(capsys, "car", "read", _card(book), "--link", link, "--tape", tape)
    assert code == 0
    assert "2C41A7F3" in out
    assert "12.60 V" in out
    assert "pressure, broadcast" in out
    assert "XWSKE16EXTA004217" not in out
    again = run(capsys, "car", "read", _card(book), "--replay", tape)[1]
    assert again == out
    assert " 2F1#" in tape.read_text(encoding="utf-8")
    assert run(capsys, "port", "check", _card(book), "--replay", tape)[0] == 0


def test_codes_are_told_with_their_state(book: Path, link: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "car", "codes", _card(book), "--link", link, "--json")
    assert code == 0
    told = json.loads(out)
    first = told["codes"][0]
    assert (first["code"], first["permanent"]) == ("C1A12-31", False)
    assert "stored" in first["says"]
    assert told["not_told"][0][0] == "permanent codes"


def test_ids_in_the_car_are_held_against_the_fitted_ones(
    book: Path, link: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(capsys, "car", "ids", book, _card(book), "--car", "estate", "--link", link)
    assert code == 0
    assert "List ‘set 1’, which the car goes by   ✓ as fitted" in out


def test_a_set_is_not_taught_by_a_guess_where_nobody_has_said_what_is_on(
    book: Path, car: PracticeCar, link: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(CLOCK, "2026-12-05T09:00:00+01:00")
    args = ["car", "teach", book, _card(book), "--car", "estate", "--list", "set 1", "--link", link]
    code, _, err = run(capsys, *args)
    assert code == 2
    assert "is Summer set still on Estate?" in err
    assert run(capsys, *args, "--set", "summer")[0] == 0
    assert car.unit.teaching.lists[1] == SUMMER


def test_teaching_shows_first_and_writes_only_when_told(
    book: Path, link: str, car: PracticeCar, capsys: pytest.CaptureFixture[str]
) -> None:
    args = ["car", "teach", book, _card(book), "--car", "estate", "--set", "winter", "--list", "set 2", "--link", link]
    code, out, _ = run(capsys, *args)
    assert code == 0
    assert "Nothing was written." in out
    assert set(car.unit.teaching.lists[2]) == {0xFFFFFFFF}
    code, out, err = run(capsys, *args, "--do")
    assert (code, err) == (0, "")
    assert "The new list is in the car" in out
    assert car.unit.teaching.lists[2] == (1893077246, 1893078003, 1893076550, 1893078530)
    code, out, _ = run(capsys, *args, "--do")
    assert "holds these IDs already" in out


def test_one_id_in_all_places_is_asked_about_before_it_is_kept(
    book: Path, link: str, car: PracticeCar, capsys: pytest.CaptureFixture[str]
) -> None:
    car.unit.teaching.lists[1] = (SUMMER[0],) * 4
    args = teaching_set_1(book, _card(book), link)
    assert "with --old-list-is-so" in " ".join(run(capsys, *args)[1].split())
    code, _, err = run(capsys, *args, "--do", "--i-made-sure")
    assert code == 2
    assert "hold one ID" in err
    assert car.unit.teaching.lists[1] == (SUMMER[0],) * 4
    assert run(capsys, *args, "--do", "--old-list-is-so")[0] == 0
    assert car.unit.teaching.lists[1] != (SUMMER[0],) * 4


def test_the_old_list_can_be_put_back_later(
    book: Path, link: str, car: PracticeCar, capsys: pytest.CaptureFixture[str]
) -> None:
    run(
        capsys,
        *teaching_set_1(book, _card(book), link),
        "--do",
    )
    assert car.unit.teaching.lists[1] != SUMMER
    undo = ["car", "undo", book, _card(book), "--car", "estate", "--link", link]
    assert "Nothing was written" in run(capsys, *undo)[1]
    assert car.unit.teaching.lists[1] != SUMMER
    code, out, _ = run(capsys, *undo, "--do")
    assert code == 0
    assert "The old list is in the car" in out
    assert car.unit.teaching.lists[1] == SUMMER


def test_nothing_is_written_while_the_car_moves_or_the_voltage_is_low(
    book: Path, link: str, car: PracticeCar, capsys: pytest.CaptureFixture[str]
) -> None:
    args = [
        *teaching_set_1(book, _card(book), link),
        "--do",
    ]
    for change, told in (
        ({"speed_kmh": 12}, "the car stands"),
        ({"supply_mv": 11400}, "voltage"),
        ({"ignition": 2}, "ignition"),
    ):
        kept = {key: getattr(car.around, key) for key in change}
        for key, value in change.items():
            setattr(car.around, key, value)
        code, _, err = run(capsys, *args)
        assert code == 2
        assert told in err
        assert car.unit.teaching.lists[1] == SUMMER
        for key, value in kept.items():
            setattr(car.around, key, value)
    desk, _ = open_desk(str(book))
    assert last_teaching(records(desk, "estate")) is None
    desk.close()


def test_codes_are_kept_before_they_are_cleared(book: Path, link: str, capsys: pytest.CaptureFixture[str]) -> None:
    args = ["car", "clear", book, _card(book), "--car", "estate", "--link", link]
    assert "Nothing was cleared." in run(capsys, *args)[1]
    assert run(capsys, *args, "--do")[0] == 2
    code, out, _ = run(capsys, *args, "--do", "--code", "C1A12-31")
    assert code == 0
    assert "gone: C1A12-31" in out
    assert run(capsys, *args, "--do", "--code", "C1A12-31")[0] == 2
    assert run(capsys, *args, "--do", "--all")[0] == 0


def test_units_are_found_by_asking_their_name(link: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "car", "find", "--link", link, "--from", "6A0", "--to", "6A5", "--json")
    assert code == 0
    assert [one["unit"] for one in json.loads(out)["found"]] == ["6A3/6AB"]


@pytest.mark.parametrize(
    ("link_said", "told"),
    [
        ("socketcan", "names no link"),
        ("carrier pigeon", "not an interface"),
        ("at /dev/nothing-here", "can't be opened"),
    ],
)
def test_a_link_that_is_none_says_what_to_do(
    book: Path, link_said: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = run(capsys, "car", "read", _card(book), "--link", link_said)
    assert code in (2, 3)
    assert told in err


def test_a_port_card_with_mistakes_names_them_all(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _card(book).write_text(
        'port = 1\nid = "x"\n[unit]\nrequest = "6A3"\nanswer = "6ABX"\n[[list]]\nidentifier = "21"\n', encoding="utf-8"
    )
    code, _, err = run(capsys, "port", "check", _card(book))
    assert code == 2
    for key in ("unit.answer", "list[1].identifier", "list[1].name", "list[1].places"):
        assert key in err
    assert "practice.toml:5" in err


def test_the_practising_car_does_what_is_typed_and_says_what_could_be() -> None:
    car = practice_car()
    assert obey(car, "drive 12 60") == "driven; 0 of 4 wheels heard, lamp flashing"
    assert obey(car, "supply 11,4") == "11.4 V"
    assert obey(car, "ignition running") == "ignition running"
    assert obey(car, "speed 30") == "30 km/h"
    assert obey(car, "watch 2") == "set 2 is watched"
    assert obey(car, "fail C1A10-31") == "C1A10-31 is stored"
    assert (car.around.supply_mv, car.around.ignition, car.around.speed_kmh, car.unit.watched) == (11_400, 2, 30, 2)
    for nonsense in (
        "dance",
        "drive",
        "drive fast far",
        "watch 3",
        "fail X1",
        "ignition maybe",
        "speed 1 2",
        "fail P0101",
    ):
        assert obey(car, nonsense).startswith("? say one of: drive MINUTES"), nonsense


def test_bad_habits_are_given_by_name() -> None:
    assert habits_of(("pending=2", "wait_s=0.5", "answer_twice=yes")) == Habits(
        pending=2, wait_s=0.5, answer_twice=True
    )
    for wrong in ("pending=lots", "manners=1", "pending"):
        with pytest.raises(BadRequest, match=f"--habit {wrong}: there is padding"):
            habits_of((wrong,))


def test_a_recording_is_no_car_and_is_neither_kept_nor_changed(
    book: Path, link: str, capsys: pytest.CaptureFixture[str]
) -> None:
    tape = book.parent / "visit.log"
    assert run(capsys, "car", "read", _card(book), "--link", link, "--tape", tape)[0] == 0
    again = ["--replay", tape]
    for args in (
        ("read", _card(book), "--book", book, "--car", "estate"),
        ("codes", _card(book), "--book", book, "--car", "estate"),
        ("clear", book, _card(book), "--car", "estate", "--all", "--do"),
        ("teach", book, _card(book), "--car", "estate", "--set", "winter", "--list", "set 1", "--do"),
        ("undo", book, _card(book), "--car", "estate", "--do"),
    ):
        code, _, err = run(capsys, "car", *args, *again)
        assert code == 2, args
        assert "a recording is no car" in err
    assert run(capsys, "car", "ids", book, _card(book), "--car", "estate", *again)[0] == 0
    desk, _ = open_desk(str(book))
    assert records(desk, "estate") == ()
    desk.close()


def test_a_list_is_held_against_another_set_too(book: Path, link: str, capsys: pytest.CaptureFixture[str]) -> None:
    args = ["car", "ids", book, _card(book), "--car", "estate", "--link", link]
    code, out, _ = run(capsys, *args, "--set", "winter")
    assert code == 1
    assert "of another set: Summer set" in out
    assert run(capsys, *args, "--set", "spring")[0] == 2
