"""wheelside fit, as a person runs it."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from commands import ON, json_of, run
from wheelside.demo import household, purchases

VIN = "1G4AH59H45G118341"
"""The worked example of 49 CFR 565."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "purchases.toml"
    path.write_bytes(purchases())
    return path


@pytest.fixture
def home(tmp_path: Path) -> Path:
    path = tmp_path / "household.toml"
    path.write_bytes(household())
    return path


def test_sets_on_offer_are_put_side_by_side(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "fit", file, *ON)
    assert code == 0
    order = [out.index(name) for name in ("silver", "17 inch", "nearly new")]
    assert order == sorted(order)


def test_a_set_that_does_not_fit_ends_with_1(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "fit", file, *ON, "--set", "second")[0] == 1
    assert run(capsys, "fit", file, *ON, "--set", "first")[0] == 0


def test_an_advertisement_is_judged_without_noting_it(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = file.read_bytes()
    ad = ["--rim", "width_in=6.5Jx16", "--rim", "inset=46 mm", "--rim", "bolt_circle=5x112", "--tyre", "designation=205/60 R16 96H XL",
          "--tyre", "date_code=3823;3823;4023;4023", "--sensor", "none", "--price", "200 EUR"]  # fmt: skip
    code, out, _ = run(capsys, "fit", file, *ON, "--full", *ad)
    assert code == 1
    assert "The rim has 5x112, the car 5x108." in out
    assert "There is no sensor in it." in out
    assert "Age (front left, front right)" in out
    assert "4 × sensor with valve" in out
    assert file.read_bytes() == before


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (["--rim", "inset"], "write key=value"),
        (["--rim", "insert=46 mm"], "did you mean 'inset'"),
        (["--tyre", "designation=205/5x R16"], "at character 6"),
        (["--tyre", "tread=6 mm;5 mm;4 mm"], "expected one, two"),
        (["--sensor", "bits=²"], "width in bits"),
        (["--rim", "inset=46 mm", "--rim", "inset=47 mm"], "said twice"),
        (["--set", "first", "--rim", "inset=46 mm"], "one of both"),
        (["--price", "300 EUR"], "--price is for"),
        (["--tyre", "id=first"], "no key of a tyre"),
        (["--rim", "inset=46 mm", "--price", "200"], "currency"),
        (["--sensor", "band=900 MHz"], "433.92 MHz"),
        (["--car", "coupe", "--set", "first"], "no car 'coupe'"),
        (["--set", "fourth"], "no set 'fourth'"),
    ],
)
def test_what_can_t_be_read_says_what_to_write(
    said: list[str], told: str, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = run(capsys, "fit", file, *ON, *said)
    assert code == 2
    assert told in err


def test_without_an_offer_it_says_how_to_name_one(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "fit", home, *ON)
    assert code == 2
    assert "on_offer = true" in err


def test_own_sets_are_held_against_what_is_on_the_car(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "fit", home, *ON, "--full", "--set", "winter", "--car", "estate")
    assert code == 0
    assert "against Summer set, which is on it" in out
    assert "Plover" in out


def test_front_and_rear_are_told_apart(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ad = [
        "--tyre",
        "designation=205/60 R16 92V; 215/60 R16 95V",
        "--tyre",
        "rim_widths=5.5J, 7.5J",
        "--sensor",
        "first_used=2017-01-01",
    ]
    code, out, _ = run(capsys, "fit", file, *ON, "--full", *ad)
    assert code == 0
    assert "215/60 R16 is not among the sizes" in out
    assert "9.9 years old" in out


def test_a_vin_is_answered_about_where_no_set_is_on_offer(
    home: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(VIN + "\n"))
    code, out, _ = run(capsys, "fit", home, *ON, "--vin")
    assert code == 2
    assert "Model year 2005" in out


def test_a_set_without_wheels_fits_nothing(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(file.read_text(encoding="utf-8") + '\n[[set]]\nid = "bare"\non_offer = true\n', encoding="utf-8")
    _, out, _ = run(capsys, "fit", file, *ON, "--full", "--set", "bare")
    assert "not known: measure" in out.splitlines()[1]
    assert "The set names no wheels." in out


def test_json_carries_verdicts_with_what_they_rest_on(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = json_of(capsys, "fit", file, *ON, "--set", "second")
    (report,) = said["reports"]
    assert report["verdict"] == "not"
    lines = [line for line in report["lines"] if line["verdict"] == "not"]
    assert {line["code"] for line in lines} == {"load-index", "capacity", "load-capacity"}
    assert all(line["basis"] for line in report["lines"])


def test_a_vin_is_answered_about_and_stands_nowhere(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(VIN + "\n"))
    before = file.read_bytes()
    code, out, err = run(capsys, "fit", file, *ON, "--set", "first", "--vin", "--json")
    assert code == 0
    assert json.loads(out)["vin"]["says"]["years"] == [2005]
    assert VIN not in out + err
    assert file.read_bytes() == before


def test_a_wrong_vin_is_refused_without_repeating_it(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = VIN[:-2] + "31"
    monkeypatch.setattr("sys.stdin", io.StringIO(wrong + "\n"))
    code, out, err = run(capsys, "fit", file, *ON, "--vin")
    assert code == 2
    assert "check digit" in err
    assert wrong not in out + err


def test_a_book_with_offers_is_judged_as_its_file(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = file.with_suffix(".book")
    assert run(capsys, "book", "new", book, "--from", file)[0] == 0
    (from_book,) = json_of(capsys, "fit", book, *ON, "--set", "third")["reports"]
    (from_file,) = json_of(capsys, "fit", file, *ON, "--set", "third")["reports"]
    assert from_book == from_file


def test_german_numbers_and_american_units_are_read_and_printed(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = file.read_text(encoding="utf-8").replace(
        'pressure = "bar"', 'pressure = "psi"\nmass = "lb"\nspeed = "mph"\ntread = "32nds"\ndecimal_mark = ","', 1
    )
    file.write_text(text, encoding="utf-8")
    code, out, _ = run(capsys, "fit", file, *ON, "--full", "--set", "first")
    assert code == 0
    assert "63,4 mm" in out
    assert "37,7 psi" in out  # 2.6 bar
    assert "129 mph" in out  # 208 km/h
    assert "8/32 in" in out  # 6.5 mm
    assert "1,7 to 3,3" in out
