"""With nonsense for every word a plan is the same plan: choices, codes, refusals, ways out, conflicts, differences."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from garages import DAY, Table, add_set, bare_table, demo_table, garage_of, learning_table, row, seeded
from mangling import bare, said_as_nonsense
from wheelside.cli.plan_command import show_plan
from wheelside.cli.tell import Teller
from wheelside.finding import Finding, Way
from wheelside.garage.file import read_garage
from wheelside.garage.model import Garage
from wheelside.identity.difference import difference
from wheelside.identity.explain import standing_clashes
from wheelside.identity.gate import gate_check
from wheelside.identity.plan import IdentityPlan, Reasons, identity_plan
from wheelside.identity.roll import Roll
from wheelside.identity.tipping import tipping_points
from wheelside.jobs.work.plan import Planned, Supposed
from wheelside.screens.plan import difference_part, tipping_part

HOUSEHOLDS = Path(__file__).parent.parent / "identity" / "households"


def one_set_less() -> Garage:
    """The demo's estate car remembers one set: something else is taught, and said."""
    table = demo_table()
    row(table, "car", "estate")["remembers_sets"] = 1
    return garage_of(table)


def no_way() -> Garage:
    """Two sets beside the car carry the same IDs for good: no plan is possible."""
    table: Table = learning_table()
    table["writer"], table["plan"] = [], {"get_writer": False}
    for name in ("C", "D"):
        add_set(table, name, [f"EE00000{n}" for n in range(1, 5)], family="f", writing="fixed")
        table["stay"].append({"set": name, "at": "home", "since": date(2026, 1, 1)})
    return garage_of(table)


def clashing() -> Garage:
    """Two sets that carry one ID and meet as things stand."""
    table = bare_table()
    row(table, "sensor", "s B1")["printed"] = "A1000001"
    table["path"][0]["heard"] = "yes"
    return garage_of(table)


GARAGES: dict[str, Callable[[], Garage]] = {
    "demo": lambda: garage_of(demo_table()), "one set less": one_set_less, "no way": no_way, "clashing": clashing,
    **{
        at.stem: lambda at=at: read_garage(at.read_bytes(), at.name)  # type: ignore[misc]
        for at in sorted(HOUSEHOLDS.glob("*.toml"))
    },
}  # fmt: skip


def planned(garage: Garage) -> IdentityPlan:
    return identity_plan(garage, DAY, (), seeded(), reasons=Reasons.ALL)


@pytest.mark.parametrize("name", GARAGES)
def test_a_plan_made_with_nonsense_is_the_same_plan(name: str) -> None:
    garage = GARAGES[name]()
    real = planned(garage)
    with said_as_nonsense():
        other = planned(garage)
    assert bare(other) == bare(real)
    assert [w.keys for w in ways(other)] == [w.keys for w in ways(real)]
    assert any(f.text.pattern.startswith("‹") for f in other.findings)


def ways(plan: IdentityPlan) -> Iterator[Way]:
    for way in (*(f.way_out for f in plan.findings), *(n.way_out for w in plan.wheels for n in w.not_taken)):
        if isinstance(way, Way):
            yield way


def test_what_is_asked_of_it_is_the_same() -> None:
    """Tipping points, the difference that a fact makes, the set at a gate, a car's list."""
    demo, other = GARAGES["demo"](), one_set_less()
    table = bare_table()
    for one in table["set"]:
        one["wheels"] = {"front_left": one["wheels"]["front_left"]}
    small = garage_of(table)
    sets = [(s.id, [x.printed for x in demo.sensor if x.printed][:5]) for s in demo.set]

    def asked() -> Any:
        return (
            tipping_points(small, DAY),
            difference(other, planned(demo), planned(other)),
            [gate_check(demo, set_id, ["00000000", "DEADBEE1", *ids], DAY) for set_id, ids in sets],
            [Roll(demo, DAY).shown(car) for car in demo.car],
        )

    real = bare(asked())
    assert tipping_points(small, DAY)
    with said_as_nonsense():
        assert bare(asked()) == real


def test_every_word_of_the_plan_comes_from_a_pattern(capsys: pytest.CaptureFixture[str]) -> None:
    """Laid out on the command line, with nonsense, none of what the room says is left in words that are known."""
    demo, other, stuck = GARAGES["demo"](), one_set_less(), no_way()

    def shown() -> str:
        before, after = planned(demo), planned(other)
        out = Teller(demo.units.choice)
        out.parts((difference_part(Supposed(("x",), Planned(other, after, None), difference(other, before, after))),))
        show_plan(out, Planned(demo, before, None))
        show_plan(out, Planned(stuck, planned(stuck), None))
        out.parts((tipping_part(before, ()),))
        return " ".join(capsys.readouterr().out.split())

    real = shown()
    with said_as_nonsense():
        told = shown()
    for words in (
        "nothing to write", "it would add", "would carry", "no writer in the file", "is kept at home from", "have the sensor taken out",
        "proven least",
        "the car still remembers", "The sensor taken out may wake", "trigger it", "new sensor",
    ):  # fmt: skip
        assert words in real
        assert words not in told


def test_what_goes_by_a_sentence_on_purpose_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """The fault that this file is there for, made on purpose."""
    garage = clashing()
    plainly = standing_clashes

    def by_words(*given: Any) -> Iterator[Finding]:
        yield from (f for f in plainly(*given) if f.text.pattern.startswith("As things stand"))

    monkeypatch.setattr("wheelside.identity.plan.standing_clashes", by_words)
    real = planned(garage)
    assert "clash-now" in {f.code for f in real.findings}
    with said_as_nonsense():
        assert bare(planned(garage)) != bare(real)
