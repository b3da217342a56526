"""All zeros and all ones are no ID: nothing is kept, cloned, taught, asked for or proven of them, and the file is still read."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from random import Random

import pytest
from oracle import Enumeration
from oracle_desk import decisions
from oracle_world import World
from sketch import MOST_COMBINATIONS, Case, clearly_told, draw_case

from garages import CORNERS, Table, bare_table, codes_of, garage_of, learning_table, of_wheel, plan_of, row, seeded
from spoken import words
from wheelside.errors import BadFile
from wheelside.garage.file import read_garage
from wheelside.garage.model import Garage, Held
from wheelside.identity.audit import audit
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.gate import AtGate, gate_check
from wheelside.identity.inlist import Seen, in_list
from wheelside.identity.plan import IdentityPlan, Reasons, identity_plan
from wheelside.identity.roll import Roll
from wheelside.identity.states import IdState
from wheelside.sensor.ident import SensorId

HOUSEHOLDS = Path(__file__).parent / "households"
DAY = date(2026, 1, 5)
NONE = ("0x00000000", "FFFFFFFF", "0x0000000", "0xFFFFFFF", "4294967295", "0", "8FFFFFFF")
SEED, GARAGES = 1405, 150


def household(name: str) -> Garage:
    return read_garage((HOUSEHOLDS / f"{name}.toml").read_bytes(), name)


def planned(name: str) -> IdentityPlan:
    return identity_plan(household(name), DAY, (), seeded())


def test_an_id_of_zeros_is_neither_kept_nor_taught_and_is_to_be_read_again() -> None:
    plan = planned("sends-zeros")
    wheel = of_wheel(plan, "B1")
    assert (wheel.action, wheel.choice, wheel.id) == (Action.STAYS, IdChoice.KEEP, None)
    assert wheel.state is IdState.TO_NOTE
    (found,) = [f for f in plan.findings if f.code == "empty-id"]
    assert words(found.about) == "wheel B1"
    assert "trigger it again" in words(found.way_out)


def test_nothing_is_cloned_from_an_empty_slot() -> None:
    """The front left wheel is not held: its slot is empty, and the list is locked."""
    plan = planned("slot-of-ones")
    assert all(w.id is None or w.id.empty is None for w in plan.wheels)
    assert of_wheel(plan, "B1").choice is not IdChoice.CLONE
    assert "empty-slot" in codes_of(plan)
    assert not audit(household("slot-of-ones"), plan)


def slots(texts: list[str]) -> Table:
    table = bare_table()
    table["car"][0] |= {"corner_aware": False, "taught_by": "locked", "holds": [{"ids": texts}]}
    return table


@pytest.mark.parametrize("none", ["0x00000000", "FFFFFFFF", "4294967295", "0"])
def test_a_group_of_empty_slots_takes_no_place_in_the_list(none: str) -> None:
    """The car has two places: what it has of set A stays, when B is taught into the empty one."""
    table = slots([none] * 4)
    table["car"][0] |= {"remembers_sets": 2, "holds": [{"set": "A"}, {"ids": [none] * 4}]}
    taught = [(t.set, t.needed) for t in plan_of(table).teachings]
    assert [needed for set_id, needed in taught if set_id == "A"] == [False] * sum(s == "A" for s, _ in taught)
    assert Roll(garage_of(table), DAY).empty_slots(garage_of(table).car[0]) == (None,) * 4


@pytest.mark.parametrize("width", [None, 24, 28, 32, 64])
@pytest.mark.parametrize("digit", "0F")
def test_in_every_width_the_file_is_read_and_the_wheel_has_no_id(width: int | None, digit: str) -> None:
    table = learning_table()
    table["family"][0].pop("bits")
    if width:
        table["family"][0]["bits"] = width
    for sensor in table["sensor"]:
        sensor["printed"] = f"{int(sensor['printed'], 16) % (1 << (width or 24)):0{(width or 32) // 4}X}"
    row(table, "sensor", "s B1")["printed"] = digit * ((width or 32) // 4)
    row(table, "sensor", "s A2")["sends"] = f"0x{digit * ((width or 32) // 4)}"
    plan = plan_of(table)
    assert [of_wheel(plan, w).id for w in ("B1", "A2")] == [None, None]
    assert sorted(words(f.about) for f in plan.findings if f.code == "empty-id") == ["wheel A2", "wheel B1"]


def test_two_sensors_of_zeros_do_not_carry_one_id() -> None:
    table = learning_table()
    for n in (1, 2):
        row(table, "sensor", f"s A{n}")["printed"] = "00000000"
    plan = plan_of(table)
    assert not plan.pairs
    assert not codes_of(plan) & {"clash-now", "clone-pair"}
    table["retired"] = [{"id": "0x00000000", "family": "f"}]
    assert "retired-id" not in codes_of(plan_of(table))
    assert "retired" in [words(f.about) for f in plan_of(table).findings if f.code == "empty-id"]


def test_a_list_is_shown_with_its_empty_slots_and_what_is_not_read() -> None:
    garage = household("slot-of-ones")
    assert [[words(one) for one in group] for group in Roll(garage, DAY).shown(garage.car[0])] == [
        ["front left: empty", "front right: 51D0 6F77", "rear left: 51D0 7088", "rear right: 51D0 713C"],
    ]
    worn = household("print-worn-off")
    assert (
        words(Roll(worn, DAY).shown(replace(worn.car[0], holds=(Held(set="summer"),)))[0][3]) == "rear right: not read"
    )


def test_the_audit_knows_the_rule_by_itself() -> None:
    garage, plan = garage_of(bare_table()), plan_of(bare_table())
    wheel = plan.wheels[0]
    for number in (0, 0xFFFFFFFF):
        wrong = replace(plan, wheels=(replace(wheel, id=SensorId("f", 32, number)), *plan.wheels[1:]))
        assert "empty-id" in {b.rule for b in audit(garage, wrong)}


def test_at_the_gate_it_is_no_answer_of_a_wheel() -> None:
    garage = household("sends-zeros")
    check = gate_check(garage, "B", ["00000000", "0x51D06F77"], DAY)
    assert [a.verdict for a in check.answers] == [AtGate.EMPTY, AtGate.HERE]
    assert "empty-answer" in {f.code for f in check.findings}
    assert check.unknown == ("B1",)


def test_in_a_list_that_was_read_they_are_empty_places() -> None:
    garage = household("sends-zeros")
    numbers = (0, 0x51D06F77, None, 0xFFFFFFFF)
    ids = [None if number is None else SensorId("", 32, number) for number in numbers]
    held = [(corner.replace("_", " "), one) for corner, one in zip(CORNERS, ids, strict=True)]
    places = in_list(garage, garage.sets["B"], DAY, 32, held)
    assert [p.seen for p in places.places] == [Seen.EMPTY, Seen.SAME, Seen.EMPTY, Seen.EMPTY]
    assert places.lacking == ("rear left", "rear right")


def emptied(random: Random) -> Iterator[Case]:
    """Random garages in which some of the numbers, wherever they stand, are put in as zeros or ones."""
    while True:
        case = draw_case(random)
        number = re.compile(r'"(?:0x[0-9A-F]{7}|1234567)"')
        text = number.sub(lambda m: f'"{random.choice(NONE)}"' if random.random() < 0.25 else m[0], case.text)
        try:
            world = World(read_garage(text.encode(), "drawn.toml"), case.world.day)
        except BadFile:
            continue
        made = Case(text, world, decisions(world))
        if text != case.text and made.wheels and made.combinations <= MOST_COMBINATIONS and clearly_told(world):
            yield made


@pytest.mark.timeout(600)
def test_the_plan_of_random_garages_with_empties_is_the_least_of_all() -> None:
    """Compared with every plan there is, by rules told apart; and no plan, list or pair has one of them as an ID."""
    seen, cases = Counter[str](), emptied(Random(SEED))
    for _ in range(GARAGES):
        case = next(cases)
        garage = case.world.garage
        plan = identity_plan(garage, case.world.day, (), seeded(), reasons=Reasons.NONE)
        best = Enumeration(case.world, case.wheels).run()
        assert (plan.possible, plan.weight) == (best is not None, best or 0), case.text
        assert not audit(garage, plan), case.text
        ids = [w.id for w in plan.wheels if w.id] + [
            h.id for c in garage.car for g in Roll(garage, plan.day).held(c) for h in g
        ]
        assert all(len(set(f"{one.number:0{one.bits}b}")) == 2 for one in ids), case.text
        seen["possible"] += plan.possible
        seen["empty-id"] += "empty-id" in codes_of(plan)
        seen["empty-slot"] += "empty-slot" in codes_of(plan)
        seen["clone"] += any(w.choice is IdChoice.CLONE for w in plan.wheels)
    assert min(seen.values()) >= 10, seen
    assert len(seen) == 4
