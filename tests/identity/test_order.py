"""The same garage gives the same plan, in any order of the file's tables, after other work, in another process."""

from __future__ import annotations

import copy
import json
import os
import subprocess
import sys
from random import Random

import tomli_w
from hall import DAY as HALL_DAY
from hall import Size, hall
from hypothesis import given, settings
from hypothesis import strategies as st
from sketch import draw_case

from garages import DAY, Table, demo_table, garage_of, plan_of, seeded
from wheelside.garage.file import read_garage
from wheelside.identity.plan import identity_plan
from wheelside.jobs.jsonform import plain

TABLES = ("place", "path", "family", "car", "rim", "tyre", "sensor", "wheel", "set", "stay", "writer", "instrument")


def shuffled(table: Table, random: Random) -> Table:
    """The same table with its rows, its tables and the keys of each row in another order."""
    out = copy.deepcopy(table)
    for name in TABLES:
        random.shuffle(out.get(name, []))
        out[name] = [dict(random.sample(list(row.items()), len(row))) for row in out.get(name, [])]
    return {name: out[name] for name in random.sample(list(out), len(out)) if out[name]}


@settings(max_examples=25, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_order_of_tables_changes_nothing(random: Random) -> None:
    assert plain(plan_of(shuffled(demo_table(), random))) == plain(plan_of(demo_table()))


@settings(max_examples=25, deadline=None)
@given(st.integers(min_value=0, max_value=10**6))
def test_nor_does_it_in_random_garages(seed: int) -> None:
    import tomllib

    case = draw_case(Random(seed))
    table = tomllib.loads(case.text)
    other = garage_of(shuffled(table, Random(seed)))
    one, two = (identity_plan(g, case.world.day, (), seeded()) for g in (case.world.garage, other))
    assert plain(one) == plain(two)


def test_nor_does_it_in_a_hall() -> None:
    import tomllib

    table = tomllib.loads(hall(Size(60)))
    garages = [garage_of(table), garage_of(shuffled(table, Random(5)))]
    assert plain(identity_plan(garages[0], HALL_DAY, (), seeded())) == plain(
        identity_plan(garages[1], HALL_DAY, (), seeded())
    )


def test_other_work_before_changes_nothing() -> None:
    first = plain(plan_of(demo_table()))
    for seed in range(5):
        case = draw_case(Random(seed))
        identity_plan(case.world.garage, case.world.day, (), seeded())
    assert plain(plan_of(demo_table())) == first


def test_another_process_with_other_hashes_gives_the_same_to_the_byte() -> None:
    """Sets and dicts are walked in another order there; a plan that hung on it would differ."""
    script = (
        "import sys, json; from datetime import date; from random import Random\n"
        "from wheelside.garage.file import read_garage; from wheelside.identity.plan import identity_plan\n"
        "from wheelside.jobs.jsonform import plain\n"
        f"plan = identity_plan(read_garage(sys.stdin.buffer.read(), 'x'), date.fromisoformat('{DAY}'), (), Random(1).getrandbits)\n"
        "print(json.dumps(plain(plan)))"
    )
    text = tomli_w.dumps(demo_table()).encode()
    own = json.dumps(plain(identity_plan(read_garage(text, "x"), DAY, (), Random(1).getrandbits)))
    for hashes in ("1", "77"):
        env = {**os.environ, "PYTHONHASHSEED": hashes}
        found = subprocess.run(
            [sys.executable, "-c", script], input=text, env=env, capture_output=True, check=True, timeout=120
        )
        assert found.stdout.decode().strip() == own
