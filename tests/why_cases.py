"""Tables of causes and tests drawn at random, each with a case."""

from __future__ import annotations

import random
from typing import Any

from wheelside.why.belief import CaseSeen, Combining, WhyModel
from wheelside.why.table import LampCause, WhyContext, WhyTable, WhyTest


def drawn(rng: random.Random) -> tuple[WhyTable, CaseSeen, WhyModel]:
    """A table of the same form with causes, tests, contexts and groups drawn at random, and a case of it."""
    causes = tuple(LampCause(f"c{n}", "", "", rng.uniform(0.2, 20), 0, 0) for n in range(rng.randint(2, 7)))

    def row(n: int) -> tuple[float, ...]:
        parts = [rng.choice((0.0, rng.random(), rng.random() ** 4)) for _ in range(n)]
        parts[rng.randrange(n)] += 0.05
        return tuple(p / sum(parts) for p in parts)

    tests = []
    for n in range(rng.randint(2, 6)):
        k = rng.randint(2, 5)
        tests.append(
            WhyTest(f"t{n}", "", 1, 0, tuple(f"o{i}" for i in range(k)), {c.code: row(k) for c in causes}, row(k))
        )
    names = [t.code for t in tests]
    rng.shuffle(names)
    cut = rng.randint(0, len(names))
    contexts = tuple(
        WhyContext(f"x{n}", "", {c.code: rng.uniform(0.1, 6) for c in causes if rng.random() < 0.5}) for n in range(2)
    )
    table = WhyTable(causes, tuple(tests), contexts, (tuple(names[:cut]),) if cut > 1 else ())
    made = [t for t in tests if rng.random() < 0.7]
    outcomes: dict[str, Any] = {}
    for t in made:
        soft = {o: rng.random() for o in t.outcomes}
        outcomes[t.code] = (
            {o: w + 0.05 for o, w in soft.items()}
            if rng.random() < 0.3
            else dict.fromkeys(t.outcomes, 0.02) | {rng.choice(t.outcomes): 1.0}
        )
    how = WhyModel(
        rng.choice(list(Combining)), rng.choice((0.0, rng.uniform(0.05, 1.0))), rng.uniform(0.001, 0.2), rng.random()
    )
    excluded = (causes[0].code,) if len(causes) > 2 and rng.random() < 0.3 else ()
    return table, CaseSeen(outcomes, tuple(c.code for c in contexts if rng.random() < 0.5), excluded), how
