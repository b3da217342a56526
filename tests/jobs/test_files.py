"""Garage files and readings go into a book and out of it without loss; back-ups bring everything back."""

from __future__ import annotations

import random
import shutil
import string
import tomllib
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import text

from books import NOON, later
from cars import keep_card
from claiming import do_all
from commands import run
from wheelside.book.photos import keep_photo
from wheelside.book.reading import Reading
from wheelside.book.readings import add_readings, all_readings
from wheelside.demo import household
from wheelside.errors import BadFile, BadRequest, Mendable
from wheelside.garage.file import read_garage
from wheelside.garage.rows import MANY, expanded, rows_of
from wheelside.garage.write import written
from wheelside.jobs.book import files
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.reading_row import How
from wheelside.jobs.book.readings_in import take_in_readings
from wheelside.jobs.work.doing import begin
from wheelside.jobs.work.finish import finish, proof_of
from wheelside.units import AbsolutePressure, GaugePressure, Temperature

Table = dict[str, Any]


def test_a_garage_file_comes_out_as_it_went_in_to_the_letter(household_desk: Desk, file: Path, tmp_path: Path) -> None:
    files.give_out(household_desk, tmp_path / "out.toml")
    assert (tmp_path / "out.toml").read_bytes() == file.read_bytes()


def test_reserved_ids_come_along_both_ways(
    desk: Desk, file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(capsys, "plan", file, "--on", "2026-11-25")
    taken = files.take_in(desk, file)
    assert taken.reserved == 2
    before = {w.wheel: w.id for w in desk.plan().wheels}
    files.give_out(desk, tmp_path / "out.toml")
    code, out, _ = run(capsys, "plan", tmp_path / "out.toml", "--on", "2026-11-25", "--json")
    assert code == 0
    for wheel in ("W3", "W4"):
        one = before[wheel]
        assert one is not None
        assert one.hex in out


def test_planning_twice_gives_the_same_fresh_ids(household_desk: Desk) -> None:
    first = household_desk.plan()
    household_desk.forget_plans()
    assert household_desk.plan() == first
    with household_desk.book.reading() as conn:
        assert conn.execute(text("select count(*) from reservation")).scalar_one() == 2


def _norm(table: Table) -> list[str]:
    return sorted(repr((kind, key, sorted(body.items(), key=str))) for kind, key, body in rows_of(table) if body)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.integers(0, 2**32))
def test_any_change_of_facts_is_written_into_the_text_there_was(seed: int) -> None:
    source = random.Random(seed)
    original = household().decode()
    table = tomllib.loads(original)
    for kind in ("rim", "tyre"):
        table[kind] = [one for row in table[kind] for one in expanded(row)]
    for _ in range(source.randint(1, 6)):
        _change(table, source)
    out = written(table, original)
    assert _norm(tomllib.loads(out)) == _norm(table)
    assert written(table, out) == out


def _change(table: Table, source: random.Random) -> None:
    kind = source.choice([k for k in MANY if table.get(k)])
    rows = table[kind]
    row = source.choice(rows)
    what = source.randint(0, 4)
    words = "".join(source.choices(string.printable[:94], k=12))
    if what == 0:
        rows.remove(row)
    elif what == 1:
        row["note"] = words
    elif what == 2 and len(row) > 1:
        del row[source.choice([k for k in row if k != "id"] or ["id"])]
    elif what == 3:
        row[source.choice(list(row))] = source.choice(
            [words, 7, True, date(2026, 1, 2), ["a", "b"], [{"x": words}], {"y": 1}]
        )
    else:
        rows.append({"id": words, "from": {"label": '"quoted" \\ back'}})
    if source.random() < 0.3:
        table["costs"] = {"hour": f"{source.randint(1, 99)} EUR"}
    if source.random() < 0.2:
        table.pop("odds", None)
        table.pop("plan", None)


def test_comments_stay_where_they_were() -> None:
    original = household().decode()
    table = tomllib.loads(original)
    table["car"][0]["torque"] = "110 Nm"
    out = written(table, original)
    comments = [line for line in original.splitlines() if line.startswith("#")]
    assert [line for line in out.splitlines() if line.startswith("#")] == comments
    assert len(set(out.splitlines()) ^ set(original.splitlines())) == 2


def test_a_file_with_mistakes_leaves_the_book_as_it_was(household_desk: Desk, tmp_path: Path) -> None:
    before = files.garage_text(household_desk)
    bad = tmp_path / "bad.toml"
    bad.write_text('wheelside = 1\n[[set]]\nid = "x"\nwheels = { front_left = "none" }\n')
    with pytest.raises(BadFile, match=r"bad.toml:4"):
        files.take_in(household_desk, bad)
    assert files.garage_text(household_desk) == before


def some_readings(n: int = 200) -> list[Reading]:
    source = random.Random(7)
    found = []
    for i in range(n):
        kind = source.choice((("wheel", "W1"), ("sensor", "sensor W2")))
        against = source.choice((GaugePressure, AbsolutePressure))
        pressure = source.choice((None, against(source.uniform(0, 400))))
        temperature = source.choice((None, Temperature(source.uniform(240, 350))))
        found.append(
            Reading(
                kind, later(i).us, source.choice(("gauge", "typed")), pressure, temperature,
                source.choice((None, True, False)), source.choice((None, "Red gauge", "ünï, \"odd\"")), source.choice((60, 0, -330)),
            )
        )  # fmt: skip
    return found


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".parquet"])
def test_readings_go_out_and_come_back_without_loss(
    household_desk: Desk, tmp_path: Path, suffix: str, place: str
) -> None:
    wanted = some_readings()
    with household_desk.writing("some") as writing:
        assert add_readings(writing, wanted).new == len(wanted)
    out = tmp_path / f"readings{suffix}"
    assert files.give_out_readings(household_desk, out) == len(wanted)
    as_it_is = How(as_it_is=True)
    again = take_in_readings(household_desk, out, how=as_it_is)
    assert (again.new, again.known, again.differing) == (0, len(wanted), ())
    with household_desk.book.quietly() as conn:
        conn.execute(text("delete from reading"))
    assert take_in_readings(household_desk, out, how=as_it_is).new == len(wanted)
    with household_desk.book.reading() as conn:
        back = list(all_readings(conn))
    key = lambda r: (r.subject, r.at_us, r.channel)  # noqa: E731
    for one, other in zip(sorted(back, key=key), sorted(wanted, key=key), strict=True):
        assert one._replace(temperature=None) == other._replace(temperature=None)
        assert (one.temperature is None) == (other.temperature is None)
        if one.temperature and other.temperature:
            assert one.temperature.kelvin == pytest.approx(other.temperature.kelvin, abs=1e-6)


def test_a_reading_that_says_otherwise_is_told_and_not_kept(household_desk: Desk) -> None:
    one = Reading(("wheel", "W1"), NOON.us, "gauge", GaugePressure(240.0))
    with household_desk.writing("first") as writing:
        add_readings(writing, [one])
    with household_desk.writing("again") as writing:
        taken = add_readings(
            writing, [one, one._replace(pressure=GaugePressure(250.0)), one._replace(at_us=NOON.us + 1)]
        )
    assert (taken.new, taken.known) == (1, 1)
    assert [r.pressure for r in taken.differing] == [GaugePressure(250.0)]


def test_a_figure_that_no_tyre_has_keeps_none_of_those_beside_it(household_desk: Desk) -> None:
    good = Reading(("wheel", "W1"), NOON.us, "gauge", GaugePressure(240.0))
    for bad in (
        good._replace(pressure=GaugePressure(float("nan"))),
        good._replace(pressure=GaugePressure(1e9)),
        good._replace(at_us=5),
        good._replace(temperature=Temperature(5.0)),
    ):
        with (
            pytest.raises(BadRequest, match=r"reading 2, of wheel W1.*Nothing of these readings was kept"),
            household_desk.writing("bad") as writing,
        ):
            add_readings(writing, [good, bad])
    with household_desk.book.reading() as conn:
        assert conn.execute(text("select count(*) from reading")).scalar_one() == 0


BAD_ROWS = {
    "wheel,at,pressure_kpa_gauge\nW9,2026-11-25T12:00:00,240\n": "W9",
    "wheel,at,pressure_kpa_gauge\nW1,yesterday,240\n": "a time such as",
    "wheel,at,pressure_kpa_gauge\nW1,2026-11-25T12:00:00,lots\n": "a number",
    "wheel,at,pressure_kpa_gauge\nW1,2026-11-25T12:00:00,nan\n": "a number",
    "wheel,sensor,at\nW1,sensor W1,2026-11-25T12:00:00\n": "a wheel or a sensor",
    "wheel,when\nW1,x\n": '--column "when=at"',
    "wheel,at,battery_low\nW1,2026-11-25T12:00:00,perhaps\n": "true or false",
    "wheel,at,pressure_kpa_gauge,pressure_kpa_absolute\nW1,2026-11-25T12:00:00,240,340\n": "one pressure a row",
}


@pytest.mark.parametrize("rows", BAD_ROWS)
def test_a_row_that_cannot_be_read_is_named_with_its_line(home: Desk, tmp_path: Path, rows: str) -> None:
    (tmp_path / "r.csv").write_text(rows)
    with pytest.raises(BadFile) as caught:
        take_in_readings(home, tmp_path / "r.csv")
    assert BAD_ROWS[rows] in str(caught.value)
    assert "r.csv:" in str(caught.value)


def test_a_csv_with_semicolons_has_decimal_commas(home: Desk, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text(
        "wheel;at;pressure_kpa_gauge;temperature_c\nW1;2026-11-25T12:00:00+01:00;267,5;17,5\n"
    )
    assert take_in_readings(home, tmp_path / "r.csv").new == 1
    with home.book.reading() as conn:
        (one,) = all_readings(conn)
    assert (one.pressure, one.at_us) == (GaugePressure(267.5), NOON.us)
    assert one.temperature is not None
    assert one.temperature.kelvin == pytest.approx(290.65)


def test_a_back_up_brings_everything_back_into_either_database(
    household_desk: Desk, tmp_path: Path, postgres_server: str
) -> None:
    from servers import new_database

    job = begin(household_desk).job
    assert job is not None
    do_all(household_desk, job)
    finish(household_desk, job, leave_open=True)
    keep_card(household_desk)
    (household_desk.photos).mkdir(exist_ok=True)
    made = files.back_up(household_desk, tmp_path / "back.zip")
    assert (made.rows["evidence"], made.rows["car_record"]) == (43, 1)
    whole = _dump(household_desk)
    names = [str(tmp_path / "again.book"), new_database(postgres_server, f"again{random.randrange(10**9)}")]
    for name in names:
        other, _ = files.restore(tmp_path / "back.zip", name, tmp_path / "again.photos")
        again = _dump(other)
        assert "restored from a back-up" in str(again["entry"].pop())
        assert again == whole
        assert files.wrong(other) == ()
        assert proof_of(other, job) == proof_of(household_desk, job)
        with other.writing("it can be written to"):
            pass
        other.close()


def test_a_back_up_of_one_book_at_one_moment_is_always_the_same_to_the_byte(home: Desk, tmp_path: Path) -> None:
    """Nothing in the zip file but its list says when it was made: no member has a time of its own."""
    keep_photo(home.photos, b"a photo")
    made = [tmp_path / f"{n}.zip" for n in range(2)]
    for to in made:
        files.back_up(home, to)
    assert made[0].read_bytes() == made[1].read_bytes()
    with zipfile.ZipFile(made[0]) as zipped:
        assert sum(one.filename.startswith("photos/") for one in zipped.infolist()) == 1
        assert {one.date_time for one in zipped.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def _dump(desk: Desk) -> dict[str, list[tuple[object, ...]]]:
    from wheelside.book import tables

    with desk.book.reading() as conn:
        return {
            t.name: [tuple(r) for r in conn.execute(t.select().order_by(*t.primary_key.columns))]
            for t in tables.metadata.sorted_tables
        }


@pytest.mark.parametrize("what", ["cut", "changed", "no zip", "slip"])
def test_a_damaged_back_up_restores_nothing(home: Desk, tmp_path: Path, what: str) -> None:
    back = tmp_path / "back.zip"
    files.back_up(home, back)
    _damage(back, what)
    with pytest.raises(Mendable, match="back-up"):
        files.restore(back, str(tmp_path / "again.book"))
    assert not list(tmp_path.glob("again.book*"))
    assert not (tmp_path.parent / "slipped.jpg").exists()


def _damage(back: Path, what: str) -> None:
    data = back.read_bytes()
    if what == "cut":
        back.write_bytes(data[: len(data) // 2])
    elif what == "no zip":
        back.write_bytes(b"not a zip at all")
    else:
        other = back.with_suffix(".new")
        with zipfile.ZipFile(back) as old, zipfile.ZipFile(other, "w") as new:
            for item in old.infolist():
                content = old.read(item)
                new.writestr(item.filename, content.replace(b"Estate", b"Estatf") if what == "changed" else content)
            if what == "slip":
                new.writestr("photos/../../slipped.jpg", b"x")
        shutil.move(other, back)


def test_a_back_up_shows_one_moment_while_others_write(household_desk: Desk, tmp_path: Path) -> None:
    with household_desk.book.reading() as conn:
        from wheelside.book.backup import write_backup

        before = conn.execute(text("select count(*) from entry")).scalar_one()
        with household_desk.writing("meanwhile"):
            pass
        made = write_backup(conn, household_desk.photos, tmp_path / "b.zip", NOON)
    assert made.rows["entry"] == before


def test_check_finds_what_is_wrong_with_a_book(home: Desk) -> None:
    assert files.wrong(home) == ()
    with home.book.quietly() as conn:
        conn.execute(text("update fact set until = since where kind = 'car' and key = 'estate'"))
    assert any("ended before it began" in line for line in files.wrong(home))


def test_check_finds_a_photo_that_is_missing_or_altered(home: Desk) -> None:
    from wheelside.book.photos import keep_photo

    name = keep_photo(home.photos, b"picture")
    (home.photos / name).write_bytes(b"another picture")
    assert any("not what its name says" in line for line in files.wrong(home))


def test_the_commands_make_show_check_and_export(
    tmp_path: Path, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "h.book"
    assert run(capsys, "book", "new", book, "--from", file)[0] == 0
    code, out, _ = run(capsys, "book", "show", book)
    assert (code, "garage file household.toml" in out) == (0, True)
    assert run(capsys, "book", "check", book)[1].strip() == f"{book} is sound."
    assert run(capsys, "book", "export", book, tmp_path / "o.toml")[0] == 0
    assert read_garage((tmp_path / "o.toml").read_bytes(), "o") == read_garage(file.read_bytes(), "f")
    code, _, err = run(capsys, "book", "export", book, tmp_path / "o.toml")
    assert (code, "name another file" in err) == (2, True)
    code, out, _ = run(capsys, "book", "history", book, "W3")
    assert (code, "joined" in out) == (0, True)
    code, _, err = run(capsys, "book", "history", book, "W9")
    assert (code, "it has A1" in err) == (2, True)
    assert run(capsys, "book", "back-up", book, tmp_path / "b.zip")[0] == 0
    assert run(capsys, "book", "restore", tmp_path / "b.zip", tmp_path / "r.book")[0] == 0
    code, _, err = run(capsys, "book", "new", book)
    assert (code, "already" in err) == (2, True)
    code, _, err = run(capsys, "book", "show", tmp_path / "none.book")
    assert (code, "book new" in err) == (2, True)
