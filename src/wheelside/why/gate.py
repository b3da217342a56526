"""Before any odds: is there a tyre that is not driven on; then the lamp's behaviour; then the air. Only then is anything weighed.

gate_of("no", ())        # FirstGate.OPEN
next_step(table, seen, owns)

A tyre that looks flat, a car that pulls, a figure below 1.5 bar: nobody drives on, and nothing electronic is looked at. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from wheelside.said import Coded, Distance, Said, say
from wheelside.sheet import cautions
from wheelside.sheet.cautions import Caution, Clause
from wheelside.units import Length, PressureSpan
from wheelside.watch.says import STOP_KPA, TyreSays
from wheelside.why.belief import CaseSeen, WhyModel, believe
from wheelside.why.choose import NextBest, Owns, WayOn, choose
from wheelside.why.table import WhyTable

NOT_SURE, CANNOT = "not-sure", "cannot"
"""What may be answered to any test beside its outcomes: nobody could tell; it could not be done."""
BEHAVIOUR, AIR, LEAK = "lamp-at-start", "gauge", "soap"
"""The tests that come before what is reckoned: what the lamp does, the air in all four, and where one alone is low, the look for a leak."""
ONE_LOW = 0.5
"""From this share of its weights on a gauging says that one tyre alone is low. Judgement."""
DARK = "dark"
"""The cause of a lamp that never lights."""
SURE = 0.9
"""From this chance on the likeliest cause's cure comes next, even where a further test would save a little. Judgement: a test more tries patience."""


PLAINLY = 0.7
"""From this chance on a cause is said plainly, and its cure comes before cheaper ones of others. Judgement."""


class FirstGate(Coded):
    """How the first gate stands: still to be asked, shut, open."""

    ASK = "ask"
    SHUT = "shut"
    OPEN = "open"


def stops(one: TyreSays) -> bool:
    """Whether a tyre is not driven on: it looks flat, or reads less than 150 kPa by gauge, on a car."""
    return one.flat or (one.reads is not None and one.reads.kpa < STOP_KPA)


def gate_of(look: str, tyres: Iterable[TyreSays]) -> FirstGate:
    """How the gate stands, from what was seen in walking round ('yes', 'no', anything else not said) and what the tyres on the car read last.

    'Yes' and 'not sure' shut it; so does a tyre that is not driven on, whatever was seen.
    """
    if look in ("yes", NOT_SURE) or any(stops(one) for one in tyres):
        return FirstGate.SHUT
    return FirstGate.OPEN if look == "no" else FirstGate.ASK


def answered(table: WhyTable, answers: Mapping[str, str]) -> dict[str, dict[str, float]]:
    """Answers by test as weights of outcomes. 'Not sure' is as good as any outcome, so it tells nothing, but the test was made.

    What could not be done is left out: see `owned`. Raises KeyError for a test or an outcome that the table has not.
    """
    found: dict[str, dict[str, float]] = {}
    for code, said in answers.items():
        test = table.test(code)
        if said == NOT_SURE:
            found[code] = dict.fromkeys(test.outcomes, 1.0)
        elif said in test.outcomes:
            found[code] = {said: 1.0}
        elif said != CANNOT:
            raise KeyError(f"{code} has no outcome {said}")
    return found


def owned(owns: Owns, answers: Mapping[str, str]) -> Owns:
    """What can be done, without the tests that could not."""
    return Owns(owns.hour, owns.without | {code for code, said in answers.items() if said == CANNOT})


@dataclass(frozen=True, slots=True)
class WhyStep:
    """What comes next: a test's code, or '' where a cure is next; `forced`: it comes first whatever the sums say. `best`: the sums."""

    test: str
    cures: tuple[str, ...]
    forced: bool
    best: NextBest | None = None


def next_step(
    table: WhyTable, seen: CaseSeen, owns: Owns, how: WhyModel | None = None, *, aired: bool = False
) -> WhyStep:
    """The next test or cure, behind an open gate: first what the lamp does, then the air, a leak where one tyre is low, then what the sums say.

    A lamp that never lights is put right first; a cause that is sure enough is cured next. `aired`: whether all four tyres were gauged lately
    enough (`jobs/work/why_evidence.py` says when).
    """
    behaviour = seen.outcomes.get(BEHAVIOUR)
    if behaviour is None and BEHAVIOUR not in owns.without:
        return WhyStep(BEHAVIOUR, (), forced=True)
    if behaviour is not None and set(behaviour) == {"never"} and behaviour["never"] > 0:
        return WhyStep("", (DARK,), forced=True)
    if not aired and AIR not in owns.without:
        return WhyStep(AIR, (), forced=True)
    if one_low(seen) and LEAK not in {*seen.outcomes, *owns.without}:
        return WhyStep(LEAK, (), forced=True)
    best = choose(table, seen, owns, how)
    found = believe(table, seen, how)
    sure, cures = found.causes[found.likeliest], best.cures
    if sure >= PLAINLY:  # what is said plainly is what is cured first
        cures = (found.likeliest, *(c for c in cures if c != found.likeliest))
    if sure >= SURE:
        return WhyStep("", cures, forced=False, best=best)
    if not best.first and not cures:
        return WhyStep("", ("receiver",), forced=False, best=best)
    return WhyStep(best.first, cures, forced=False, best=best)


def low_air(seen: CaseSeen) -> bool:
    """Whether a gauging that counts says that something is low: that is set right before any drive, whatever lights the lamp."""
    air = seen.outcomes.get(AIR, {})
    return bool(air) and air.get("right", 0.0) < max(air.values())


def one_low(seen: CaseSeen) -> bool:
    """Whether a gauging that counts says that one tyre alone is low: it is looked at before anything else is."""
    air = seen.outcomes.get(AIR, {})
    return air.get("one-low", 0.0) > ONE_LOW * sum(air.values())


def saves(best: NextBest) -> float:
    """What the next test is expected to save against no further test, in money; nought where there is none."""
    plain = next((w for w in best.ways if not w.test), WayOn("", 0.0))
    return max(0.0, plain.cost - best.ways[0].cost)


_SPANS = {"some": PressureSpan(50.0), "away": Distance(Length(50_000.0))}


def worded(words: str) -> Said:
    """Words of the table as something said, its quantities in the reader's units."""
    return say(words, **{name: value for name, value in _SPANS.items() if f"{{{name}}}" in words})


BEFORE: dict[str, tuple[Caution, ...]] = {
    "hold": (Caution.INFLATE,),
    "drive": (Caution.DRIVE, Caution.LAMP),
    "codes": (Caution.PORT,),
    "car-list": (Caution.PORT,),
    "unplug": (Caution.DRIVE, Caution.LAMP),
    "others-away": (Caution.CARRY, Caution.DRIVE, Caution.LAMP),
    "other-set": (Caution.LIFT, Caution.FASTEN, Caution.CARRY, Caution.INFLATE),
    "corner-test": (Caution.CHALLENGE, Caution.INFLATE),
    "spare-look": (Caution.INFLATE,),
}
"""Which cautions of `sheet/cautions.py` stand before which test; tests that only look have none."""
BEFORE_CURE: dict[str, tuple[Caution, ...]] = {
    **dict.fromkeys(("low-all", "set-wrongly", "reference", "spare"), (Caution.INFLATE,)),
    **dict.fromkeys(("puncture", "leak"), (Caution.BEAD,)),
    **dict.fromkeys(
        ("battery", "broken", "no-sensor", "other-kind", "stuck"), (Caution.BEAD, Caution.SENSOR_BATTERY, Caution.LOAD)
    ),
    **dict.fromkeys(("wrong-id", "twice"), (Caution.WRITE, Caution.SENSOR_BATTERY)),
    "asleep": (Caution.INFLATE, Caution.DRIVE, Caution.LAMP),
    **dict.fromkeys(("not-taught", "half-taught", "others-taught", "corners"), (Caution.ERASES, Caution.DRIVE)),
    "clone-near": (Caution.CARRY, Caution.LOAD),
    "no-wheel-sensors": (Caution.INFLATE, Caution.DRIVE),
}
"""The same before each cure."""
AT_A_LEAK = frozenset({"soap", "puncture", "leak"})
"""The test and the cures before which stands what is said before a leak is looked for."""


def care_before(code: str, *, cure: bool = False, low: bool = False) -> tuple[Clause, ...]:
    """All that is said before a test, or before a cure, each clause once; `low`: before letting air in as well. The deference stands last."""
    own = (BEFORE_CURE if cure else BEFORE).get(code, ())
    found = [c for one in (*((Caution.INFLATE,) if low else ()), *own) for c in one.clauses]
    found += cautions.LEAK_CLAUSES if code in AT_A_LEAK else ()
    once = tuple(dict.fromkeys(c for c in found if c is not Clause.DEFERS))
    return (*once, Clause.DEFERS) if Clause.DEFERS in found else once
