"""What a reading was for, whether the tyre was cold, its temperature and that outside, where it was taken, and by which instrument."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from books import NOON, later
from claiming import do_all
from commands import run
from sheetfiles import ods, xlsx
from wheelside.book.book import open_book
from wheelside.book.engine import engine_for, transaction
from wheelside.book.events import wheel_history
from wheelside.book.layout import bring_to
from wheelside.book.mistaken import Why, mark_mistaken
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.book.readings import add_readings, all_readings
from wheelside.errors import BadFile, BadRequest
from wheelside.jobs.book import files
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.reading_row import How
from wheelside.jobs.book.readings_in import take_in_readings
from wheelside.jobs.book.told import told
from wheelside.jobs.work.doing import begin
from wheelside.units import AbsolutePressure, GaugePressure, Temperature, UnitChoice

FULL = Reading(
    ("wheel", "S1"), NOON.us, "gauge", GaugePressure(240.0), None, False, "Red gauge", 60, "", Purpose.SET, Warmth.COLD,
    Temperature(290.15), Temperature(277.15), "carport", AbsolutePressure(99.9), "gauge",
)  # fmt: skip
NOTHING_MORE = (Purpose.NOT_KNOWN, Warmth.NOT_KNOWN, None, None, None, None, None)


def kept(desk: Desk, wheel: str = "S1") -> list[Reading]:
    with desk.book.reading() as conn:
        return list(all_readings(conn, "wheel", wheel))


def test_rows_of_an_older_book_read_as_not_known(place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    engine = engine_for(place)
    with transaction(engine, place, writes=True) as conn:
        bring_to(conn, "0006")
        conn.execute(text("insert into book values ('b1', 1, 'aa')"))
        conn.execute(text("insert into entry values (1, 5, 0, 'Ada', 'test', 'first', NULL)"))
        conn.execute(text("insert into thing values (1, 'wheel', 'S1')"))
        conn.execute(text(f"insert into reading values (1, {NOON.us}, 'gauge', 240, 0, 290.15, 0, 'Red gauge', 60, 1)"))
        conn.execute(
            text(f"insert into mistaken values (1, 1, {NOON.us}, 'gauge', 2.4, 0, NULL, NULL, NULL, 60, 1, 1, 'unit')")
        )
    engine.dispose()
    monkeypatch.chdir(tmp_path)
    book, backup = open_book(place, NOON, tmp_path / "photos")
    assert backup is not None
    with book.reading() as conn:
        right, wrong = all_readings(conn)
        lines = wheel_history(conn, "S1")
    assert right == Reading(
        ("wheel", "S1"), NOON.us, "gauge", GaugePressure(240.0), Temperature(290.15), False, "Red gauge", 60
    )
    assert (right[9:], wrong[9:], wrong.mistaken) == (NOTHING_MORE, NOTHING_MORE, "unit")
    assert [(one.purpose, one.warmth, one.tyre, one.place) for one in lines] == [(*NOTHING_MORE[:3], None)] * 2
    assert told(lines[0], UnitChoice(), {}).startswith("gauge (Red gauge): 2.40 bar, 17 °C, battery good")
    book.close()


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".parquet"])
def test_every_field_goes_through_book_and_file(household_desk: Desk, tmp_path: Path, suffix: str) -> None:
    desk = household_desk
    wanted = [
        *(FULL._replace(at_us=later(-200 + n).us, purpose=one) for n, one in enumerate(Purpose, start=1)),
        *(FULL._replace(at_us=later(-100 + n).us, warmth=one) for n, one in enumerate(Warmth)),
        FULL._replace(at_us=later(-50).us, pressure=None, tyre=None, outside=None, air=None, instrument_id=None),
        FULL._replace(
            at_us=later(-40).us, pressure=AbsolutePressure(340.0), place="shed", temperature=Temperature(280.15)
        ),
        FULL,
    ]
    with desk.writing("all") as writing:
        assert add_readings(writing, wanted).new == len(wanted)
        mark_mistaken(writing, FULL.subject, wanted[-2].at_us, "gauge", Why.FIGURE)
    wanted[-2] = wanted[-2]._replace(mistaken="figure")
    assert kept(desk) == wanted
    out = tmp_path / f"r{suffix}"
    assert files.give_out_readings(desk, out) == len(wanted)
    assert take_in_readings(desk, out).known == len(wanted)
    with desk.book.quietly() as conn:
        conn.execute(text("delete from reading"))
        conn.execute(text("delete from mistaken"))
    assert take_in_readings(desk, out).new == len(wanted)
    assert kept(desk) == wanted
    files.back_up(desk, tmp_path / "b.zip")
    other, _ = files.restore(tmp_path / "b.zip", str(tmp_path / "again.book"), tmp_path / "p")
    assert (kept(other), files.wrong(other)) == (wanted, ())
    other.close()


@pytest.mark.parametrize("write", [xlsx, ods])
def test_a_spreadsheet_says_all_of_it_in_other_units(home: Desk, tmp_path: Path, write: Any) -> None:
    heads = [
        "wheel",
        "at",
        "channel",
        "pressure_bar_gauge",
        "tyre_temperature_f",
        "outside_temperature_f",
        "air_pressure_hpa",
    ]
    heads += ["place", "instrument_id", "purpose", "warmth", "battery_low", "instrument"]
    cells = [
        "S1",
        "2026-11-25T12:00:00+01:00",
        "gauge",
        2.4,
        62.6,
        39.2,
        999.0,
        "Carport",
        "Red gauge",
        "set",
        "cold",
        "no",
        "Red gauge",
    ]
    (tmp_path / "r.sheet").write_bytes(write({"a": [heads, cells]}))
    file = (tmp_path / "r.sheet").rename(tmp_path / f"r.{write.__name__}")
    assert take_in_readings(home, file).new == 1
    (one,) = kept(home)
    assert one._replace(tyre=None, outside=None, air=None) == FULL._replace(tyre=None, outside=None, air=None)
    figures = (one.tyre and one.tyre.celsius, one.outside and one.outside.celsius, one.air and one.air.kpa)
    assert figures == pytest.approx((17.0, 4.0, 99.9))


WRONG = {
    "purpose\nS1,2026-11-25,parking": "purpose: found 'parking', expected not-known, gauging, set, let-down, corner-test, stored, as-it-lay, fetched",
    "warmth\nS1,2026-11-25,hot": "warmth: found 'hot', expected not-known, cold, warm",
    "place\nS1,2026-11-25,moon": "place: found 'moon', expected a place of the book",
    "instrument_id\nS1,2026-11-25,blue": "instrument_id: found 'blue', expected an instrument of the book",
    "tyre_temperature_c,tyre_temperature_f\nS1,2026-11-25,17,62": "expected one such temperature a row",
    "air_pressure_kpa,air_pressure_hpa\nS1,2026-11-25,99,990": "expected one air pressure a row",
    "air_pressure_kpa\nS1,2026-11-25,990 hPa": "expected a figure in kPa",
    "outside_temperature_c\nS1,2026-11-25,4 bar": "expected a figure in °C",
    "air_pressure_kpa\nS1,2026-11-25,high": "expected a number",
}
ODD = {
    "air_pressure_kpa\nS1,2026-11-25,999": ("999 kPa", "50 to 110 kPa", "999 hPa? give --column \"air_pressure_kpa=air_pressure_hpa\""),
    "air_pressure_hpa\nS1,2026-11-25,99.9": ("99.9 hPa", "50 to 110 kPa", "99.9 kPa?"),
    "outside_temperature_c\nS1,2026-11-25,68": ("68 °C", "-50 to 60 °C", 'outside_temperature_c=outside_temperature_f'),
    "tyre_temperature_c\nS1,2026-11-25,200": ("200 °C", "-50 to 150 °C", 'tyre_temperature_c=tyre_temperature_f'),
    "tyre_temperature_f\nS1,2026-11-25,-60": ("-60 °F", "-50 to 150 °C", "--as-it-is, or --line 2"),
}  # fmt: skip


@pytest.mark.parametrize("rows", [*WRONG, *ODD])
def test_wrong_and_odd_values_are_named_and_nothing_is_kept(home: Desk, tmp_path: Path, rows: str) -> None:
    (tmp_path / "r.csv").write_text(f"wheel,at,{rows}\n")
    with pytest.raises(BadFile) as caught:
        take_in_readings(home, tmp_path / "r.csv", how=How(unit="bar"))
    (p,) = caught.value.problems
    told = f"{p.key}: found {p.found}, expected {p.expected}; {p.suggestion}"
    for said in ODD.get(rows, (WRONG.get(rows, ""),)):
        assert said in told
    assert (p.line, kept(home)) == (2, [])


def test_an_odd_value_is_kept_where_it_really_was_so(home: Desk, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("wheel,at,air_pressure_hpa,outside_temperature_c\nS1,2026-11-25,450,68\n")
    assert take_in_readings(home, tmp_path / "r.csv", how=How(lines=frozenset({2}))).new == 1
    (one,) = kept(home)
    assert (one.air, one.outside) == (AbsolutePressure(45.0), Temperature(341.15))


def test_what_no_book_keeps_is_refused_whoever_vouches_for_it(home: Desk, tmp_path: Path) -> None:
    for bad in (
        FULL._replace(tyre=Temperature(5.0)),
        FULL._replace(outside=Temperature(float("nan"))),
        FULL._replace(air=AbsolutePressure(999.0)),
    ):
        with pytest.raises(BadRequest, match="Nothing of these readings was kept"), home.writing("bad") as writing:
            add_readings(writing, [bad], as_it_is=True)
    (tmp_path / "r.csv").write_text("wheel,at,air_pressure_kpa\nS1,2026-11-25,999\n")
    with pytest.raises(BadFile, match="no book keeps such a figure"):
        take_in_readings(home, tmp_path / "r.csv", how=How(as_it_is=True))
    assert kept(home) == []


def test_what_is_not_said_contradicts_nothing_and_what_is_said_otherwise_is_told(household_desk: Desk) -> None:
    bare = Reading(FULL.subject, FULL.at_us, "gauge", FULL.pressure, offset_min=60)
    with household_desk.writing("first") as writing:
        add_readings(writing, [FULL])
    with household_desk.writing("again") as writing:
        taken = add_readings(writing, [bare])
    assert (taken.known, taken.differing) == (1, ())
    for other in (
        {"purpose": Purpose.GAUGING}, {"warmth": Warmth.WARM}, {"tyre": Temperature(300.0)}, {"outside": Temperature(270.0)},
        {"place": "shed"}, {"air": AbsolutePressure(101.0)}, {"instrument_id": "adapter"}, {"pressure": AbsolutePressure(240.0)},
    ):  # fmt: skip
        with household_desk.writing("otherwise") as writing:
            assert len(add_readings(writing, [FULL._replace(**other)]).differing) == 1, other
    assert kept(household_desk) == [FULL]


def test_a_job_says_what_each_pressure_was_for(household_desk: Desk) -> None:
    """By the step and what it asks: gauged as it lay, set, read on the dash before and after, put away."""
    job = begin(household_desk).job
    assert job is not None
    do_all(
        household_desk,
        job,
        other={**{f"fetch_w{n}": {"temperature": "4 °C"} for n in range(1, 5)}, "store": {"temperature": "9 °C"}},
    )
    with household_desk.book.reading() as conn:
        found = list(all_readings(conn))
    assert {(r.channel, r.instrument_id) for r in found} == {("gauge", "gauge"), ("dash", None)}
    by = {
        purpose: {
            (r.place, r.tyre and round(r.tyre.celsius), r.outside and round(r.outside.celsius))
            for r in found
            if r.purpose is purpose
        }
        for purpose in {r.purpose for r in found}
    }
    assert by == {
        Purpose.AS_IT_LAY: {("shed", 4, None)},
        Purpose.SET: {("carport", 17, None)},
        Purpose.CORNER_TEST: {("carport", 17, None)},
        Purpose.STORED: {("shed", 9, None)},
    }
    of = {purpose: {r.subject[1] for r in found if r.purpose is purpose} for purpose in by}
    assert of[Purpose.STORED] == {"S1", "S2", "S3", "S4"}
    assert of[Purpose.AS_IT_LAY] == of[Purpose.SET] == of[Purpose.CORNER_TEST] == {"W1", "W2", "W3", "W4"}


def test_the_history_tells_it(home: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    with home.writing("full") as writing:
        add_readings(writing, [FULL])
    with home.book.reading() as conn:
        (line,) = [one for one in wheel_history(conn, "S1") if one.kind == "reading"]
    said = told(line, UnitChoice(), {}, {"carport": "Carport"})
    assert said == (
        "gauge (Red gauge), set: 2.40 bar, tyre 17 °C, outside 4 °C, tyre cold, battery good, at Carport, air 1.00 bar"
    )
    code, out, _ = run(capsys, "book", "history", home.book.where, "S1", "--json")
    assert code == 0
    told_as = next(one for one in json.loads(out)["lines"] if one["kind"] == "reading")
    assert (told_as["purpose"], told_as["warmth"], told_as["place"]) == ("set", "cold", "carport")
    assert (told_as["tyre"], told_as["outside"]) == ({"kelvin": 290.15}, {"kelvin": 277.15})
    assert (told_as["air"], told_as["instrument_id"]) == ({"kpa_absolute": 99.9}, "gauge")


def test_a_code_that_is_none_is_found_by_the_check(household_desk: Desk) -> None:
    with household_desk.writing("full") as writing:
        add_readings(writing, [FULL])
    assert files.wrong(household_desk) == ()
    with household_desk.book.quietly() as conn:
        conn.execute(text("update reading set warmth = 'hot'"))
    _, found = files.wrong(household_desk)
    assert found.startswith("a reading says what no reading says: reading ")
