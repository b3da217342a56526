"""What is believed of causes, against a library of Bayesian networks and the figures that were printed with the table."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from wheelside.why.belief import Belief, CaseSeen, Combining, WhyModel, believe
from wheelside.why.table import WhyTable, WhyTest, why_table
from why_cases import drawn

ALONE = WhyModel(second=0.0, nothing=0.0, alike=0.0)
"""One cause, and tests that know nothing of one another: the reduction for which figures are printed."""
LIBRARY = Path(__file__).with_name("networks.py")
ADDED = tuple(c.code for c in why_table().causes if c.added)


def of(*contexts: str, **outcomes: str) -> CaseSeen:
    return CaseSeen({test.replace("_", "-"): {said: 1.0} for test, said in outcomes.items()}, contexts)


PRINTED = (
    (of("cold-snap", lamp_at_start="steady", pattern="cold-only"), {"low-all": 0.79}, 0.73),
    (
        of("changed-lately", lamp_at_start="flashes", dash="several-blank"),
        {"not-taught": 0.45, "asleep": 0.14, "other-kind": 0.12, "half-taught": 0.12},
        0.40,
    ),
    (
        of("changed-lately", lamp_at_start="flashes", dash="several-blank", wake="all-answer", read_ids="all-differ"),
        {"not-taught": 0.87},
        0.78,
    ),
    (
        of("changed-lately", "second-hand", lamp_at_start="flashes", wake="several-silent", valves="sensor-type"),
        {"other-kind": 0.73},
        0.56,
    ),
    (of("sensors-old", lamp_at_start="flashes", dash="one-blank", last_work="longer"), {"battery": 0.94}, 0.88),
    (
        of("clone-made", lamp_at_start="steady", gauge="right", dash="mismatch"),
        {"clone-near": 0.67, "corners": 0.12},
        0.55,
    ),
)
"""What was seen; the chances of the leading causes to two digits; and that of the first with a temper of 0.7 and a floor of 0.5 %.

Worked with the table itself, and printed beside it: judgement, no source.
"""


@pytest.mark.parametrize(("seen", "chances", "tempered"), PRINTED)
def test_the_printed_figures_hold_for_one_cause(seen: CaseSeen, chances: dict[str, float], tempered: float) -> None:
    alone = CaseSeen(seen.outcomes, seen.contexts, ADDED)
    found = believe(why_table(), alone, ALONE)
    first = next(iter(chances))
    assert found.likeliest == first
    for cause, chance in chances.items():
        assert found.causes[cause] == pytest.approx(chance, abs=0.0051)
    soft = believe(why_table(), alone, WhyModel(second=0.0, nothing=0.0, alike=0.0, temper=0.7, floor=0.005))
    assert soft.causes[first] == pytest.approx(tempered, abs=0.0051)


@pytest.mark.parametrize("rule", list(Combining))
@pytest.mark.parametrize(("seen", "chances", "tempered"), PRINTED)
def test_with_two_causes_at_once_the_first_one_is_the_same(
    seen: CaseSeen, chances: dict[str, float], tempered: float, rule: Combining
) -> None:
    assert believe(why_table(), seen, WhyModel(rule)).likeliest == next(iter(chances))


def test_a_lamp_that_never_lights_is_the_lamp_itself() -> None:
    assert believe(why_table(), of(lamp_at_start="never")).causes["dark"] == pytest.approx(1.0)
    assert believe(why_table(), of(lamp_at_start="steady")).causes["dark"] < 0.01


def test_what_can_not_be_is_not_believed() -> None:
    seen = of(lamp_at_start="flashes", dash="several-blank")
    assert believe(why_table(), seen).causes["no-wheel-sensors"] > 0
    without = believe(why_table(), CaseSeen(seen.outcomes, (), ("no-wheel-sensors",)))
    assert without.causes["no-wheel-sensors"] == 0


def test_the_table_sums_to_one_everywhere() -> None:
    table = why_table()
    assert sum(c.prior for c in table.causes if not c.added) == pytest.approx(100)
    for test in table.tests:
        assert set(test.odds) == {c.code for c in table.causes}
        for row in (*test.odds.values(), test.nothing):
            assert len(row) == len(test.outcomes)
            assert sum(row) == pytest.approx(1.0)
    for context in table.contexts:
        assert set(context.times) <= {c.code for c in table.causes}


def test_an_outcome_that_a_test_has_not_is_refused() -> None:
    with pytest.raises(KeyError, match="gauge has no outcome"):
        believe(why_table(), of(gauge="purple"))


# the same, written from docs/deciding.md for a library of Bayesian networks


def shown_by(rows: list[tuple[float, ...]], nothing: tuple[float, ...], rule: Combining) -> list[float]:
    """The chances of outcomes of some causes at once."""
    if not rows:
        return list(nothing)
    if len(rows) == 1:
        return list(rows[0])
    one, other = rows
    if rule is Combining.EITHER:
        return [(a + b) / 2 for a, b in zip(one, other, strict=True)]
    found = [0.0] * len(one)
    for i, a in enumerate(one):
        for j, b in enumerate(other):
            found[max(i, j)] += a * b
    return found


def after(first: list[float], second: list[float], alike: float) -> list[list[float]]:
    """For each outcome of a test the chances of the next one's: alike, both fall as high or low in their own order."""
    table, low = [], 0.0
    for a in first:
        row, begin = [], 0.0
        for b in second:
            shared = max(0.0, min(low + a, begin + b) - max(low, begin))
            row.append((1 - alike) * b + alike * (shared / a if a > 0 else b))
            begin += b
        table.append(row)
        low += a
    return table


Sets = list[tuple[str, ...]]


def network(table: WhyTable, seen: CaseSeen, how: WhyModel) -> tuple[Sets, dict[str, Any]]:
    """All sets of causes, and the network: what is wrong, and the tests below it, each below the one before it of its group."""
    share: dict[str, float] = {}
    for c in table.causes:
        share[c.code] = 0.0 if c.code in seen.excluded else c.prior
        for context in seen.contexts:
            share[c.code] *= table.context(context).times.get(c.code, 1.0)
    whole = sum(share.values())
    share = {c: p / whole for c, p in share.items() if p > 0}
    pairs = list(combinations(share, 2))
    sets: Sets = [(), *((c,) for c in share), *pairs]
    weights = [how.nothing, *share.values(), *(how.second * share[a] * share[b] for a, b in pairs)]
    nodes: list[dict[str, Any]] = [
        {"name": "wrong", "size": len(sets), "parents": [], "table": [[[], [w / sum(weights) for w in weights]]]}
    ]
    for group in table.groups:
        before: WhyTest | None = None
        for test in group:
            lines: list[Any] = []
            for n, mine in enumerate(sets):
                row = shown_by([test.odds[c] for c in mine], test.nothing, how.combining)
                if before is None:
                    lines.append([[n], row])
                    continue
                was = shown_by([before.odds[c] for c in mine], before.nothing, how.combining)
                lines += [[[n, a], chances] for a, chances in enumerate(after(was, row, how.alike))]
            parents = ["wrong"] if before is None else ["wrong", before.code]
            nodes.append({"name": test.code, "size": len(test.outcomes), "parents": parents, "table": lines})
            before = test
    told = {
        t.code: [seen.outcomes[t.code].get(o, 0.0) for o in t.outcomes] for t in table.tests if t.code in seen.outcomes
    }
    return sets, {"nodes": nodes, "evidence": told, "asked": "wrong"}


def agree(*cases: tuple[WhyTable, CaseSeen, WhyModel]) -> list[Belief]:
    """What is believed of each case, after it was compared with what the library says: chances to 1e-9."""
    whole = [network(*case) for case in cases]
    asked = json.dumps([one for _, one in whole])
    said = subprocess.run(
        [sys.executable, str(LIBRARY)], input=asked, capture_output=True, text=True, check=True, timeout=120
    )
    beliefs = [believe(*case) for case in cases]
    for found, (sets, _), chances in zip(beliefs, whole, json.loads(said.stdout), strict=True):
        other = dict(zip(sets, chances, strict=True))
        assert set(found.several) <= set(other)
        assert max(abs(found.several.get(mine, 0.0) - p) for mine, p in other.items()) < 1e-9
        for cause, p in found.causes.items():
            assert p == pytest.approx(sum(q for mine, q in other.items() if cause in mine), abs=1e-9)
    return beliefs


CASE = CaseSeen(
    {
        "lamp-at-start": {"flashes": 0.7, "comes-goes": 0.3}, "pattern": {"after-driving": 1.0}, "dash": {"one-blank": 1.0},
        "corner-test": {"nothing": 1.0}, "gauge": {"right": 1.0},
    }, ("sensors-old",), ("no-wheel-sensors",),
)  # fmt: skip


def test_this_table_agrees_with_a_library_of_networks() -> None:
    found = agree(*((why_table(), CASE, WhyModel(rule)) for rule in Combining))
    assert [one.likeliest for one in found] == ["battery"] * 2


def test_a_hundred_tables_of_its_form_agree_with_a_library_of_networks() -> None:
    agree(*(drawn(random.Random(seed)) for seed in range(100)))


@pytest.mark.parametrize("seed", range(8))
def test_a_cure_that_did_not_help_leaves_the_others_and_later_tests_show_what_is_left(seed: int) -> None:
    """Against the sum written out: two tests, the second one made after the cure of the first cause."""
    table, _, how = drawn(random.Random(seed))
    table, how = replace(table, together=()), replace(how, temper=1.0, floor=0.0)
    first, second, gone = table.tests[0], table.tests[1], table.causes[0].code
    seen = CaseSeen(
        {first.code: {first.outcomes[-1]: 1.0}, second.code: {second.outcomes[0]: 1.0}},
        cured=(gone,),
        later={second.code: 1},
    )
    told: dict[str, float] = {}
    for mine, chance in believe(table, CaseSeen(), how).several.items():
        still = tuple(c for c in mine if c != gone)
        if still:
            before, after = shown(table, how, mine, first)[-1], shown(table, how, still, second)[0]
            told[" ".join(still)] = told.get(" ".join(still), 0.0) + chance * before * after
    whole = sum(told.values())
    found = {" ".join(mine): p for mine, p in believe(table, seen, how).several.items() if mine}
    if whole > 0:
        assert found == pytest.approx({mine: p / whole for mine, p in told.items()})


def shown(table: WhyTable, how: WhyModel, causes: tuple[str, ...], test: WhyTest) -> list[float]:
    """The chances of a test's outcomes with these causes and no others, written out."""
    ones = [table.test(test.code).odds[c] for c in causes]
    if len(ones) == 1:
        return list(ones[0])
    if how.combining is Combining.EITHER:
        return [(a + b) / 2 for a, b in zip(*ones, strict=True)]
    found, low = [], 0.0
    for n in range(len(test.outcomes)):
        high = sum(ones[0][: n + 1]) * sum(ones[1][: n + 1])
        found.append(high - low)
        low = high
    return found
