"""Readings of any unit, separator and column: those of a wheel in use are kept as they are, odd ones are asked about, all or none."""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from pint import UnitRegistry
from sqlalchemy import text

from books import NOON
from commands import run
from wheelside.book.reading import Reading
from wheelside.book.readings import all_readings
from wheelside.cli import book_command
from wheelside.errors import BadFile
from wheelside.jobs.book.desk import Desk, open_desk
from wheelside.jobs.book.reading_row import How
from wheelside.jobs.book.readings_in import take_in_readings
from wheelside.units import AbsolutePressure

UNITS: Any = UnitRegistry()
WRONG = Path(__file__).parent / "samples" / "bar-in-a-column-of-kpa.csv"


@pytest.fixture(autouse=True)
def at_noon(monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands open their books at noon of the demo's day."""

    def opened(*where: Any) -> Any:
        desk, backup = open_desk(*where)
        desk.clock = lambda: NOON
        return desk, backup

    monkeypatch.setattr(book_command, "open_desk", opened)


def kept(desk: Desk) -> list[Reading]:
    with desk.book.reading() as conn:
        return list(all_readings(conn))


def figure_of(r: Reading) -> float | None:
    """The kilopascals of a reading."""
    return r.pressure.kpa if r.pressure else None


@dataclass(frozen=True)
class Row:
    """One drawn row, and what the test's own rule says of it."""

    figure: str
    value: float
    unit: str
    absolute: bool

    @property
    def kpa(self) -> float:
        return float(UNITS.Quantity(self.value, self.unit).to("kPa").magnitude)

    @property
    def in_use(self) -> bool:
        """The rule, told again: what stands between a flat tyre and a hard one, and is not better explained by another unit."""
        if self.absolute:
            return 90 <= self.kpa <= 1100
        if not 0 <= self.kpa <= 1000:
            return False
        higher = [float(UNITS.Quantity(self.value, u).to("kPa").magnitude) for u in ("kPa", "bar", "psi")]
        return not (0 < self.kpa <= 80 and any(20 <= k <= 1000 and k > self.kpa for k in higher))


DRAWN = {"kPa": (90.0, 480.0), "bar": (0.9, 4.8), "psi": (13.5, 69.0)}


def drawn_row(source: random.Random, unit: str, meant: str, *, absolute: bool, comma: bool) -> Row:
    """A figure such as one has in `meant`, in a column of `unit`, with as many decimals as people write."""
    least, most = DRAWN[meant]
    digits = {"kPa": source.choice((0, 0, 1)), "bar": source.choice((1, 2)), "psi": source.choice((0, 1))}[meant]
    written = f"{source.uniform(least, most):.{digits}f}"
    return Row(written.replace(".", ",") if comma else written, float(written), unit, absolute)


@pytest.mark.parametrize("seed", range(150))
def test_a_file_is_kept_whole_where_every_figure_is_one_of_a_wheel_in_use_else_not_at_all(
    home: Desk, tmp_path: Path, seed: int
) -> None:
    source = random.Random(seed)
    unit = source.choice(("kPa", "bar", "psi"))
    absolute = source.random() < 0.25
    mark = source.choice((",", ";", "\t"))
    rows = [
        drawn_row(
            source,
            unit,
            source.choice((unit, unit, "kPa", "bar", "psi")) if source.random() < 0.3 else unit,
            absolute=absolute,
            comma=mark == ";",
        )
        for _ in range(source.randint(1, 6))
    ]
    column = f"pressure_{unit.lower()}_{'absolute' if absolute else 'gauge'}"
    names = ["wheel", "at", "channel", column]
    order = source.sample(names, len(names))
    lines = [mark.join(order)]
    for i, row in enumerate(rows):
        cells = {
            "wheel": source.choice(("S1", "W2")),
            "at": f"2026-11-{i + 1:02}",
            "channel": "gauge",
            column: row.figure,
        }
        lines.append(mark.join(cells[name] for name in order))
    file = tmp_path / ("r.tsv" if mark == "\t" else "r.csv")
    file.write_text("\n".join(lines) + "\n")
    odd = [n for n, row in enumerate(rows, start=2) if not row.in_use]
    if odd:
        with pytest.raises(BadFile) as caught:
            take_in_readings(home, file)
        assert [p.line for p in caught.value.problems] == odd
        assert kept(home) == []
        if any(row.kpa > 2000 for row in rows):
            with pytest.raises(BadFile, match="no book keeps such a figure"):
                take_in_readings(home, file, how=How(as_it_is=True))
            return
        assert take_in_readings(home, file, how=How(lines=frozenset(odd))).new == len(rows)
    else:
        assert take_in_readings(home, file).new == len(rows)
    found = sorted(kept(home), key=lambda r: r.at_us)
    assert [r.pressure.kpa if r.pressure else None for r in found] == [pytest.approx(row.kpa, rel=1e-9) for row in rows]
    assert {isinstance(r.pressure, AbsolutePressure) for r in found} == {absolute}


@pytest.mark.parametrize("seed", range(30))
def test_the_unit_that_would_explain_it_is_named_and_what_is_named_works(home: Desk, tmp_path: Path, seed: int) -> None:
    source = random.Random(seed)
    meant, unit = source.choice((("bar", "kPa"), ("bar", "psi"), ("psi", "kPa"), ("psi", "bar"), ("kPa", "bar")))
    least, most = {"bar": (1.6, 4.8), "psi": (22.0, 69.0), "kPa": (160.0, 480.0)}[meant]
    figure = f"{source.uniform(least, most):.1f}"
    column = f"pressure_{unit.lower()}_gauge"
    (tmp_path / "r.csv").write_text(f"wheel,at,{column}\nS1,2026-11-25,{figure}\n")
    with pytest.raises(
        BadFile, match=r"name the column pressure_\w+_gauge, or give --unit .*(--as-it-is|no book keeps)"
    ) as caught:
        take_in_readings(home, tmp_path / "r.csv")
    assert f"{float(figure):g} {meant}" in str(caught.value)
    ways = (
        {"how": How(unit=meant)},
        {"columns": {column: f"pressure_{meant.lower()}_gauge"}},
    )
    for way in ways:
        with home.book.quietly() as conn:
            conn.execute(text("delete from reading"))
        assert take_in_readings(home, tmp_path / "r.csv", **way).new == 1
        assert figure_of(kept(home)[0]) == pytest.approx(
            UNITS.Quantity(float(figure), meant).to("kPa").magnitude, rel=1e-9
        )


@pytest.mark.parametrize("seed", range(40))
def test_temperatures_are_read_in_both_units(home: Desk, tmp_path: Path, seed: int) -> None:
    source = random.Random(seed)
    unit, name = source.choice((("temperature_c", "degC"), ("temperature_f", "degF")))
    value = round(source.uniform(-120.0, 340.0), 1)
    celsius = UNITS.Quantity(value, name).to("degC").magnitude
    (tmp_path / "r.csv").write_text(f"wheel;at;{unit}\nS1;2026-11-25;{str(value).replace('.', ',')}\n")
    if not -50 <= celsius <= 150:
        with pytest.raises(BadFile, match="a temperature of a wheel in use"):
            take_in_readings(home, tmp_path / "r.csv")
        return
    assert take_in_readings(home, tmp_path / "r.csv").new == 1
    assert (t := kept(home)[0].temperature) is not None
    assert t.kelvin == pytest.approx(celsius + 273.15, abs=1e-9)


def test_a_figure_in_bar_under_kpa_is_asked_about_and_the_right_one_can_be_kept(
    home: Desk, capsys: pytest.CaptureFixture[str]
) -> None:
    book = home.book.where
    code, _, err = run(capsys, "book", "import", book, WRONG)
    assert code == 2
    assert f"{WRONG.name}:2: pressure_kpa_gauge: found 2.4 kPa" in err
    assert "a pressure of a wheel in use" in err
    assert "2.4 bar? name the column pressure_bar_gauge, or give --unit bar; it really was that: --as-it-is" in err
    assert run(capsys, "book", "import", book, WRONG, "--unit", "bar")[:2] == (0, "1 new readings, 0 known already.\n")
    assert [figure_of(r) for r in kept(home)] == [240.0]


def test_one_kept_by_mistake_is_marked_and_the_right_one_kept(home: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    book = home.book.where
    assert run(capsys, "book", "import", book, WRONG, "--as-it-is")[0] == 0
    code, out, _ = run(capsys, "book", "import", book, WRONG, "--unit", "bar")
    assert (code, "was that one a mistake?" in out) == (1, True)
    code, out, _ = run(capsys, "book", "mistaken", book, "S1", "2026-11-25", "--why", "unit", "--as", "Ada")
    assert (code, "The right one can be noted now" in out) == (0, True)
    assert run(capsys, "book", "import", book, WRONG, "--unit", "bar")[0] == 0
    assert [(figure_of(r), r.mistaken) for r in kept(home)] == [(240.0, ""), (2.4, "unit")]
    code, out, _ = run(capsys, "book", "history", book, "S1")
    assert "noted by mistake (wrong unit), says Ada" in " ".join(out.split())


def test_a_mistake_is_put_right_in_one_go(home: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    book = home.book.where
    run(capsys, "book", "import", book, WRONG, "--as-it-is")
    code, _, err = run(capsys, "book", "mistaken", book, "S1", "2026-11-25", "--why", "unit", "--right", "2.4 kPa")
    assert (code, "look at its unit" in err) == (2, True)
    assert run(capsys, "book", "mistaken", book, "S1", "2026-11-25", "--why", "unit", "--right", "2,4 bar")[0] == 0
    assert [(figure_of(r), r.mistaken) for r in kept(home)] == [(240.0, ""), (2.4, "unit")]
    code, _, err = run(capsys, "book", "mistaken", book, "S1", "2026-11-24", "--why", "unit")
    assert (code, "no reading of S1" in err) == (2, True)


def test_which_reading_is_meant_is_asked_where_several_are_of_that_time(
    home: Desk, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = home.book.where
    (tmp_path / "r.csv").write_text(
        "wheel,at,channel,pressure_bar_gauge\nS1,2026-11-20,gauge,2.4\nS1,2026-11-20,typed,2.5\n"
    )
    run(capsys, "book", "import", book, tmp_path / "r.csv")
    code, _, err = run(capsys, "book", "mistaken", book, "S1", "2026-11-20", "--why", "figure")
    assert (code, "2 readings of S1" in err, "typed 250 kPa" in err) == (2, True, True)
    assert run(capsys, "book", "mistaken", book, "S1", "2026-11-20", "--channel", "typed", "--why", "figure")[0] == 0
    assert [(figure_of(r), r.mistaken) for r in kept(home)] == [(240.0, ""), (250.0, "figure")]


@pytest.mark.parametrize(("at", "found"), [("2027-01-01", "a moment in the future"), ("1979-12-31", "'1979-12-31'")])
def test_a_moment_in_the_future_or_before_1980_is_not_kept(home: Desk, tmp_path: Path, at: str, found: str) -> None:
    (tmp_path / "r.csv").write_text(f"wheel,at,pressure_kpa_gauge\nS1,{at},240\n")
    with pytest.raises(BadFile, match=found):
        take_in_readings(home, tmp_path / "r.csv")
    assert kept(home) == []
