"""Before any odds: what shuts the gate, what comes first whatever the sums say, and which cautions stand before."""

from __future__ import annotations

import pytest

from wheelside.sheet.cautions import Clause
from wheelside.speech.speech import Speech
from wheelside.units import GaugePressure
from wheelside.watch.says import STOP_KPA, TyreSays, TyreVerdict
from wheelside.why.belief import CaseSeen, believe
from wheelside.why.choose import Owns, choose
from wheelside.why.gate import (
    AT_A_LEAK,
    BEFORE,
    BEFORE_CURE,
    CANNOT,
    NOT_SURE,
    FirstGate,
    answered,
    care_before,
    gate_of,
    low_air,
    next_step,
    owned,
    worded,
)
from wheelside.why.table import why_table


def tyre(kpa: float | None = 240.0, *, flat: bool = False) -> TyreSays:
    reads = None if kpa is None else GaugePressure(kpa)
    return TyreSays("W1", TyreVerdict.NORMAL, flat=flat, reads=reads)


@pytest.mark.parametrize(
    ("look", "tyres", "stands"),
    [
        ("", (), FirstGate.ASK), ("no", (), FirstGate.OPEN), ("yes", (), FirstGate.SHUT), (NOT_SURE, (), FirstGate.SHUT),
        ("no", (tyre(),), FirstGate.OPEN), ("no", (tyre(STOP_KPA),), FirstGate.OPEN),
        ("no", (tyre(), tyre(STOP_KPA - 0.1)), FirstGate.SHUT), ("no", (tyre(None, flat=True),), FirstGate.SHUT),
        ("", (tyre(0.0),), FirstGate.SHUT), ("purple", (), FirstGate.ASK),
    ],
)  # fmt: skip
def test_what_shuts_the_gate(look: str, tyres: tuple[TyreSays, ...], stands: FirstGate) -> None:
    assert gate_of(look, tyres) is stands


def step(answers: dict[str, str], *, aired: bool = False) -> tuple[str, tuple[str, ...], bool]:
    table = why_table()
    owns = owned(Owns(), answers)
    found = next_step(table, CaseSeen(answered(table, answers)), owns, aired=aired or answers.get("gauge") == "right")
    return found.test, found.cures[:1], found.forced


def test_the_lamp_is_asked_first_then_the_air_whatever_the_sums_say() -> None:
    assert step({}) == ("lamp-at-start", (), True)
    for behaviour in ("steady", "flashes", "comes-goes", NOT_SURE, CANNOT):
        assert step({"lamp-at-start": behaviour}) == ("gauge", (), True)
    table = why_table()
    flashes = CaseSeen({"lamp-at-start": {"flashes": 1.0}})
    assert choose(table, flashes).first != "gauge", "the sums alone would look elsewhere: it is safety that comes first"
    assert next_step(table, flashes, Owns(), aired=True).test != "gauge"
    assert not next_step(table, flashes, Owns(), aired=True).forced


def test_a_lamp_that_never_lights_is_put_right_and_nothing_else_is_looked_for() -> None:
    assert step({"lamp-at-start": "never"}) == ("", ("dark",), True)


def test_who_can_not_gauge_goes_on_and_is_not_asked_again() -> None:
    test, _, forced = step({"lamp-at-start": "steady", "gauge": CANNOT})
    assert test != "gauge"
    assert not forced


def test_a_cause_that_is_sure_enough_is_cured_next() -> None:
    table, air = why_table(), {"lamp-at-start": "steady", "gauge": "one-low"}
    for soap, cause in (("tread", "puncture"), ("valve-bead", "leak")):
        seen = CaseSeen(answered(table, {**air, "soap": soap}))
        found = next_step(table, seen, Owns(), aired=True)
        assert (found.test, found.cures[0], found.forced) == ("", cause, False)
        assert choose(table, seen).first, "the sums alone would still try something"
    assert next_step(table, CaseSeen(answered(table, air)), Owns(), aired=True).test


@pytest.mark.parametrize(
    ("said", "low"), [("right", False), ("one-low", True), ("several-low", True), (NOT_SURE, False)]
)
def test_what_is_low_is_known_as_such(said: str, low: bool) -> None:
    assert low_air(CaseSeen(answered(why_table(), {"gauge": said}))) is low
    assert not low_air(CaseSeen())


def test_not_sure_tells_nothing_and_is_not_asked_again() -> None:
    table = why_table()
    for test in table.tests:
        seen = CaseSeen(answered(table, {test.code: NOT_SURE}))
        assert believe(table, seen).causes == pytest.approx(believe(table, CaseSeen()).causes)
    assert step({"lamp-at-start": "steady", "pattern": NOT_SURE})[0] == "gauge"
    seen = CaseSeen(answered(table, {"lamp-at-start": "steady", "dash": NOT_SURE}))
    assert "dash" not in {w.test for w in choose(table, seen, ahead=1).ways}


def test_an_answer_that_a_test_has_not_is_refused() -> None:
    for answers in ({"gauge": "purple"}, {"horoscope": "good"}):
        with pytest.raises(KeyError):
            answered(why_table(), answers)


def test_cautions_stand_before_what_can_hurt_and_each_has_its_home() -> None:
    table = why_table()
    assert set(BEFORE) <= {t.code for t in table.tests}
    assert set(BEFORE_CURE) <= {c.code for c in table.causes}
    assert set(AT_A_LEAK) <= {t.code for t in table.tests} | {c.code for c in table.causes}
    assert Clause.NOT_BELOW in care_before("corner-test")
    assert Clause.NEVER_UNDER in care_before("other-set")
    assert Clause.NEVER_UNDER in care_before("soap")
    assert care_before("pattern") == ()
    assert Clause.ASIDE in care_before("pattern", low=True)
    both = care_before("leak", cure=True, low=True)
    assert both.count(Clause.DAMAGED) == 1
    assert both[-1] is Clause.DEFERS


def test_every_test_and_outcome_has_words_in_the_readers_units() -> None:
    speech, table = Speech(), why_table()
    for test in table.tests:
        assert len(test.says) == len(test.outcomes)
        texts = [speech.text(worded(test.words)), *(speech.text(worded(s)) for s in test.says)]
        assert all(t and "{" not in t for t in texts)
        assert test.saying(test.outcomes[-1]) == test.says[-1]
    assert "0.50 bar" in speech.text(worded(table.test("corner-test").words))
    for cause in table.causes:
        assert 0 < len(cause.short.split()) <= 7
    for context in table.contexts:
        assert "{" not in speech.text(worded(context.words))
