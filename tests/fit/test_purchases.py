"""The three sets on offer in the demo: what is said of each, and that each of their facts matters."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest

from garages import Table, garage_of
from spoken import words
from wheelside.demo import DEMO_DAY, purchases
from wheelside.errors import WheelsideError
from wheelside.fit.report import Fit
from wheelside.fit.verdict import Part, Question, Verdict
from wheelside.jobs.jsonform import document
from wheelside.jobs.wheelset.fit import Judged, judged

SETS = ("first", "second", "third")


def _table() -> Table:
    return copy.deepcopy(tomllib.loads(purchases().decode()))


def _report(name: str) -> Fit:
    return judged(garage_of(_table()), DEMO_DAY, "estate", name).reports[0]


def _verdicts(report: Fit, *codes: str) -> dict[str, set[Verdict]]:
    return {code: {line.verdict for line in report.lines if line.code == code} for code in codes}


def _needs(report: Fit) -> dict[Part, int]:
    return {need.part: need.count for need in report.bill.needs}


def test_the_first_set_fits_with_one_sensor() -> None:
    report = _report("first")
    assert report.verdict == Verdict.WITH_PART
    assert dict(report.verdicts) == {
        Question.RIM: Verdict.FITS,
        Question.TYRE: Verdict.FITS,
        Question.RADIO: Verdict.WITH_PART,
    }
    assert [(line.code, line.corners) for line in report.lines if line.verdict == Verdict.WITH_PART] == [
        ("state", ("rear right",))
    ]
    assert _needs(report) == {Part.SENSOR: 1}


def test_the_first_set_comes_to_what_is_asked_and_one_sensor_fitted() -> None:
    """320 asked; a sensor 42, its kit 5 and the fitting 20 are 67; one trip to the shop of 60 minutes at 18 an hour is 18: 405."""
    bill = _report("first").bill
    assert bill.total is not None
    assert float(bill.total.amount) == 405.0


def test_the_second_set_is_refused_for_its_load_index_though_the_placard_names_its_size() -> None:
    """89 is 580 kg, 92 is 630 kg; half of the rear axle is 590 kg, which 580 kg do not bear at any pressure."""
    report = _report("second")
    assert report.verdict == Verdict.NOT
    assert _verdicts(report, "size", "load-index") == {"size": {Verdict.FITS}, "load-index": {Verdict.NOT}}
    placard = garage_of(_table()).cars["estate"].placard
    kpa = {
        row.tyre.size: (row.front.kpa, row.rear.kpa) for row in placard if row.load == "full" and row.front and row.rear
    }
    assert kpa["195/60 R16"] > kpa["205/60 R16"]
    assert {line.code for line in report.lines if line.verdict == Verdict.NOT} == {
        "load-index",
        "capacity",
        "load-capacity",
    }
    assert {line.corners for line in report.lines if line.code == "capacity" and line.verdict == Verdict.NOT} == {
        ("rear left", "rear right")
    }


def test_the_third_set_wants_sensors_rings_and_fasteners() -> None:
    report = _report("third")
    told = _verdicts(report, "band", "centre-bore", "seat", "size")
    assert told == {code: {Verdict.MEASURE if code == "size" else Verdict.WITH_PART} for code in told}
    assert _needs(report) == {Part.SENSOR: 4, Part.RINGS: 1, Part.FASTENERS: 1}
    assert report.verdict == Verdict.MEASURE


def test_the_better_set_comes_first_and_the_refused_one_last() -> None:
    ranking = judged(garage_of(_table()), DEMO_DAY, None, None).rankings[0]
    assert [one.set for one in ranking.candidates] == ["first", "third", "second"]


# --- every fact matters --------------------------------------------------------------------------

Path = tuple[str | int, ...]
CHANGES: dict[str, Any] = {
    "title": "Another", "pressure": "psi", "band": "315 MHz", "bits": 28, "monitor": "indirect", "family": "dunlin", "remembers_sets": 2,
    "taught_by": "driving", "axle_load_front": "1200 kg", "axle_load_rear": "1100 kg", "load_index": 94, "speed_symbol": "H",
    "top_speed": "230 km/h", "speedometer_shows": "101 km/h", "speedometer_true": "103 km/h", "season_distance": "9000 km",
    "bolt_circle": "5x112", "centre_bore": "65.1 mm", "width_in": "7.5Jx16", "inset": "42 mm", "torque": "110 Nm", "fastening": "nuts",
    "thread": "M12x1.5", "seat": "flat", "fastener_length": "24 mm", "room_inside": "3 mm", "room_outside": "2 mm", "tyre": "215/60 R16 95V",
    "front": "2.7 bar", "rear": "3.3 bar", "seat_depth": "9 mm", "max_load": "500 kg", "max_pressure": "2.4 bar", "designation": "205/55 R16 91H",
    "date_code": "1018", "tread": "4.6 mm", "season": "summer", "winter_mark": "M+S", "direction": "left", "pattern": "another",
    "writing": "rewritable", "price": "350 EUR", "hour": "40 EUR", "sensor": "80 EUR", "sends": "0x0A771D90",
}  # fmt: skip
"""Another value for each key; flags are turned, and labels, ids and references changed by rule."""
ALL_YEAR = 2
"""The row of the all-year tyres of the third set."""
NO_MATTER: dict[Path, str] = {
    ("set", 0, "label"): "sets are named by their ids", ("set", 1, "label"): "the same", ("set", 2, "label"): "the same",
    ("sensor", 3, "answers"): "its battery is low, whether it answers or not",
    ("car", 0, "from", "room_inside"): "no set comes nearer to the strut, so that the room there is not spoken of",
    ("tyre", ALL_YEAR, "winter_mark"): "the mark is asked of winter tyres",
    ("car", 0, "all_wheel_drive"): "front and rear are alike in all three sets",
    ("family", 1, "label"): "the third set's band is wrong, whatever its family is called",
    ("family", 1, "bits"): "the third set's band is wrong, however wide its IDs are",
    **{("sensor", n, "answers"): "it is for another car" for n in (8, 9, 10, 11)},
    **{("sensor", n, "sends"): "it is for another car" for n in (8, 10, 11)},
}  # fmt: skip
"""Facts of which neither another value nor none changes anything here, and why."""


def _leaves(value: Any, path: Path = ()) -> Iterator[Path]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _leaves(inner, (*path, key))
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for n, inner in enumerate(value):
            yield from _leaves(inner, (*path, n))
    else:
        yield path


def _at(table: Any, path: Path) -> Any:
    for part in path:
        table = table[part]
    return table


def _said(table: Table) -> str:
    try:
        garage = garage_of(table)
        every: list[Judged] = [
            judged(garage, DEMO_DAY, None, None),
            *(judged(garage, DEMO_DAY, None, name) for name in garage.sets),
        ]
    except WheelsideError as error:
        return f"refused: {type(error).__name__}"
    as_data = [document("fit", garage=garage.title, rankings=one.rankings, reports=one.reports) for one in every]
    units = garage.units.choice
    return "\n".join([*as_data, *(words(line.text, units) for one in every for r in one.reports for line in r.lines)])


@cache
def _unchanged() -> str:
    return _said(_table())


def _another(key: str | int, value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if value == "all year":
        return "winter"
    if key in CHANGES and CHANGES[key] != value and not isinstance(value, list):
        return CHANGES[key]
    if isinstance(value, str):
        return f"{value} x"
    if isinstance(value, list):
        return [*value[1:], "x"]
    return value + 1


def _changes(path: Path, *, drop: bool) -> bool:
    table = _table()
    holder, key = _at(table, path[:-1]), path[-1]
    if drop:
        del holder[key]
    else:
        holder[key] = _another(key, holder[key])
    return _said(table) != _unchanged()


@pytest.mark.parametrize("path", list(_leaves(_table())), ids=lambda p: ".".join(map(str, p)))
def test_a_changed_fact_changes_what_is_said(path: Path) -> None:
    matters = _changes(path, drop=False) or _changes(path, drop=True)
    assert matters == (path not in NO_MATTER), f"{path}: {'something' if matters else 'nothing'} depends on it"
