"""Facts supposed for one run: the garage is as if the file had been edited."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from garages import Table, bare_table, demo_table, garage_of, row
from wheelside.errors import BadFile, BadRequest
from wheelside.garage.model import Garage
from wheelside.garage.suppose import supposing
from wheelside.jobs.work.plan import suppose


def supposed(table: Table, *facts: str) -> Garage:
    return supposing(tomllib.loads(tomli_w.dumps(table)), facts)


def set_in(table: Table, kind: str, row_id: str, **changes: Any) -> Table:
    row(table, kind, row_id).update(changes)
    return table


EDITS = (
    ("car.car.remembers_sets = 2", lambda t: set_in(t, "car", "car", remembers_sets=2)),
    ('sensor."s A1".writing = "fixed"', lambda t: set_in(t, "sensor", "s A1", writing="fixed")),
    ('sensor."s A1".printed = "unknown"', lambda t: row(t, "sensor", "s A1").pop("printed")),
    ('path.home.away.heard = "perhaps"', lambda t: t["path"][0].update(heard="perhaps")),
    ('path.away.home.distance = "5 km"', lambda t: t["path"][0].update(distance="5 km")),
    ('costs.hour = "30 EUR"', lambda t: t.setdefault("costs", {}).update(hour="30 EUR")),
    ('odds.pair_meets = "9 %"', lambda t: t.setdefault("odds", {}).update(pair_meets="9 %")),
    ("plan.horizon_years = 5", lambda t: t.setdefault("plan", {}).update(horizon_years=5)),
    ("blank.f.count = 3", lambda t: t.setdefault("blank", []).append({"family": "f", "count": 3})),
    ('writer.shop.can = ["copy"]', lambda t: t["writer"].append({"id": "shop", "can": ["copy"]})),
    ("set.A.sold = 2027-05-01", lambda t: set_in(t, "set", "A", sold=date(2027, 5, 1))),
    ('stay.A."2026-12-01".at = "home"', lambda t: t["stay"][1].update(at="home")),
    ('stay.A."2026-12-01".riding_in = "car"', lambda t: (t["stay"][1].pop("at"), t["stay"][1].update(riding_in="car"))),
)  # fmt: skip


@pytest.mark.parametrize(("fact", "edit"), EDITS, ids=[fact for fact, _ in EDITS])
def test_supposing_is_as_editing(fact: str, edit: Any) -> None:
    edited = bare_table()
    edit(edited)
    assert supposed(bare_table(), fact) == garage_of(edited)
    assert supposed(bare_table(), fact) != garage_of(bare_table())


def test_several_facts_hold_together() -> None:
    garage = supposed(bare_table(), "car.car.remembers_sets = 2", 'costs.hour = "30 EUR"')
    assert garage.cars["car"].remembers_sets == 2
    assert garage.costs.hour is not None


def test_one_of_several_alike_is_changed_alone() -> None:
    garage = supposed(demo_table(), 'tyre."tyre S1".tread = "2 mm"')
    assert (
        garage.tyres["tyre S1"].tread != garage.tyres["tyre S2"].tread == garage_of(demo_table()).tyres["tyre S2"].tread
    )


@pytest.mark.parametrize(
    ("fact", "said"),
    [
        ("car.nobody.remembers_sets = 2", "no car 'nobody'"),
        ("car.car.wheels = 2", "a key 'wheels'"),
        ("car.car.remembers_sets = 0", "remembers_sets"),
        ("remembers_sets = 2", "no table"),
        ("car.car = 2", "no key is named"),
        ("rubbish", "no line of TOML"),
        ('stay.A.at = "home"', "name the day"),
        ('stay.Z.at = "home"', "no stay of a set 'Z'"),
        ('costs = "5 EUR"', "no key is named"),
        ('path.home.moon.heard = "no"', "'moon'"),
        ('car.car.stands_at = "nowhere"', "'nowhere'"),
        ('a.b.c = 1\nd.e.f = 2', "one fact at a time"),
    ],
)  # fmt: skip
def test_what_can_not_be_supposed_is_refused_with_a_reason(fact: str, said: str) -> None:
    with pytest.raises(BadRequest) as caught:
        supposed(bare_table(), fact)
    assert said in caught.value.message


def test_a_file_that_is_wrong_by_itself_is_refused_as_ever(tmp_path: Path) -> None:
    file = tmp_path / "test.toml"
    file.write_text("wheelside = 1\ncar = 3")
    with pytest.raises(BadFile):
        suppose(file, ["costs.hour = '3 EUR'"])


def test_a_table_stays_as_it_was_when_facts_in_it_are_supposed() -> None:
    table = bare_table()
    supposing(table, ["car.car.remembers_sets = 2", 'stay.A."2026-12-01".at = "home"'])
    assert table == bare_table()
