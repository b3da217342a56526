"""wheelside why: the gate, the answer first, what counts already, and the same as JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from commands import json_of, run
from wheelside.demo import household
from wheelside.jobs.source import CLOCK

Capture = pytest.CaptureFixture[str]
FLASHES = ("look=no", "lamp-at-start=flashes")


@pytest.fixture
def book(tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "household.toml").write_bytes(household())
    made = tmp_path / "my.book"
    monkeypatch.setenv(CLOCK, "2026-11-25T09:00:00+01:00")
    assert run(capsys, "book", "new", made, "--from", tmp_path / "household.toml")[0] == 0
    monkeypatch.setenv("COLUMNS", "80")
    return made


def lines(out: str) -> list[str]:
    assert max(map(len, out.splitlines())) <= 80
    return out.splitlines()


def test_walking_round_the_car_comes_first_with_its_caution(capsys: Capture, book: Path) -> None:
    code, out, err = run(capsys, "why", book)
    assert (code, err) == (0, "")
    said = lines(out)
    assert said[0] == "Estate. Walk round the car. Is any of this true?"
    assert "▲ If the lamp comes on while driving: slow down" in out
    assert "look=no" in out
    assert len(said) <= 25


@pytest.mark.parametrize("look", ["yes", "not-sure"])
def test_a_shut_gate_says_stop_and_nothing_electronic(capsys: Capture, book: Path, look: str) -> None:
    code, out, _ = run(capsys, "why", book, f"look={look}", "lamp-at-start=flashes")
    assert code == 1
    assert lines(out)[0] == "■ Do not drive on it."
    assert "Nothing electronic" in out
    assert "sensor" not in out


def test_a_low_reading_shuts_it_whatever_was_seen(capsys: Capture, book: Path) -> None:
    run(capsys, "gauge", book, "2.4", "2.4", "1.2", "2.3", "--as-it-is")
    code, out, _ = run(capsys, "why", book, *FLASHES)
    assert code == 1
    assert "S3 read 1.20 bar last. If that is mended, gauge it again." in " ".join(out.split())


def test_the_air_comes_first_and_a_gauging_of_today_takes_its_place(capsys: Capture, book: Path) -> None:
    assert lines(run(capsys, "why", book, "look=no")[1])[0] == "First: What the lamp does when you switch on"
    out = run(capsys, "why", book, *FLASHES)[1]
    assert lines(out)[0] == "First: Gauge all four, cold"
    assert "wheelside gauge --car estate" in out
    run(capsys, "gauge", book, "2.4", "2.4", "2.35", "2.34")
    out = run(capsys, "why", book, *FLASHES)[1]
    assert lines(out)[0] == "First: Wake each wheel's sensor"
    assert "Gauged on 2026-11-25: none is too low." in out
    again = run(capsys, "why", book, *FLASHES, "--without", "air")[1]
    assert lines(again)[0] == "First: Gauge all four, cold"
    assert "Gauged on" not in again


def test_what_is_low_is_set_before_any_drive_and_its_cautions_stand_there(capsys: Capture, book: Path) -> None:
    out = run(capsys, "why", book, "look=no", "lamp-at-start=steady", "gauge=one-low", "soap=tread")[1]
    assert lines(out)[0] == "▲ Before any drive set what is low to today's figure."
    assert "Try: At a tyre shop" in out
    assert "Consistent with something in one tyre's tread" in out
    assert "Stand aside of the sidewall." in out


def test_why_it_comes_next_and_everything_possible_are_behind_a_word(capsys: Capture, book: Path) -> None:
    answers = (*FLASHES, "gauge=right")
    plain, whole = (run(capsys, "why", book, *answers, *more)[1] for more in ((), ("--all",)))
    assert "Still possible" not in plain
    assert "Our judgement" in whole
    assert "A sensor's battery is worn out" in whole
    assert "save about" in whole


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("gauge=blue",), "'blue' is no answer to 'gauge': right, one-low"),
        (("horoscope=good",), "there is no test 'horoscope': look, lamp-at-start"),
        (("look=maybe",), "yes, no, not-sure"),
        (("--without", "air"), "nothing known is called 'air': list, monitor, sensors, spare"),
        (("look=no", "steady"), "'steady' is no answer"),
        (("--car", "zeppelin"), "no car 'zeppelin'"),
    ],
)  # fmt: skip
def test_what_there_is_not_is_refused_with_what_there_is(
    capsys: Capture, book: Path, words: tuple[str, ...], told: str
) -> None:
    code, out, err = run(capsys, "why", book, *words)
    assert (code, out) == (2, "")
    assert told in err


def test_without_a_book_it_says_how_to_begin(capsys: Capture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "nothing"))
    code, _, err = run(capsys, "why", "look=no")
    assert code == 2
    assert "wheelside start" in err


def test_the_same_as_json(capsys: Capture, book: Path) -> None:
    found: Any = json_of(capsys, "why", book, *FLASHES, "gauge=right", "--without", "spare")
    assert (found["wheelside"], found["version"]) == ("why", 1)
    assert (found["car"], found["gate"], found["stops"]) == ("estate", "open", [])
    assert found["said"] == {"look": "no", "lamp-at-start": "flashes", "gauge": "right"}
    assert {k["name"]: k["counts"] for k in found["known"]} == {
        "monitor": True, "spare": False, "sensors": True, "list": True
    }  # fmt: skip
    assert found["next"]["test"] == "wake"
    assert sum(t["chance"] for t in found["next"]["tells"]) == pytest.approx(1.0)
    assert found["ways"][0]["test"] == "wake"
    assert found["causes"]["battery"] > 0.2
    assert found["causes"]["no-wheel-sensors"] == 0
    shut: Any = json_of(capsys, "why", book, "look=yes")
    assert (shut["gate"], shut["next"], shut["causes"]) == ("shut", None, None)


def test_a_lamp_that_never_lights_is_put_right(capsys: Capture, book: Path) -> None:
    out = run(capsys, "why", book, "look=no", "lamp-at-start=never")[1]
    assert lines(out)[0] == "Try: Have the lamp put right"
    assert "check all four each week" in out
