"""The gate check: a set's answers held against what is written down."""

from __future__ import annotations

from datetime import date

import pytest

from garages import DAY, Table, bare_table, garage_of, row
from wheelside.errors import BadText
from wheelside.identity.gate import AtGate, GateCheck, gate_check

OWN = ["A1000001", "A1000002", "A1000003", "A1000004"]


def gate(table: Table, *ids: str) -> GateCheck:
    return gate_check(garage_of(table), "A", ids, DAY)


def test_four_answers_as_written_pass() -> None:
    check = gate(bare_table(), *OWN)
    assert check.passed
    assert [a.wheel for a in check.answers] == ["A1", "A2", "A3", "A4"]
    assert not check.findings


def test_decimal_answers_are_the_same_ids() -> None:
    assert gate(bare_table(), *(str(int(i, 16)) for i in OWN)).passed


def test_a_missing_wheel_does_not_pass() -> None:
    check = gate(bare_table(), *OWN[:3])
    assert not check.passed
    assert check.silent == ("A4",)
    assert {f.code for f in check.findings} == {"no-answer-at-gate"}


def test_a_wheel_of_another_set_is_named() -> None:
    check = gate(bare_table(), *OWN[:3], "B2000014")
    assert [a.verdict for a in check.answers][-1] is AtGate.OTHER_SET
    assert (check.answers[-1].set, check.answers[-1].wheel) == ("B", "B4")
    assert "mixed-up" in {f.code for f in check.findings}
    assert not check.passed


def test_a_stranger_is_shown_shortened() -> None:
    check = gate(bare_table(), *OWN[:3], "C7654321")
    assert check.answers[-1].verdict is AtGate.STRANGE
    assert check.answers[-1].text == "…321"
    assert not check.passed


def test_a_retired_id_is_told_and_one_read_twice_too() -> None:
    table = bare_table()
    table["retired"] = [{"id": "0xC7654321", "family": "f"}]
    assert gate(table, *OWN, "C7654321").answers[-1].verdict is AtGate.RETIRED
    assert gate(table, *OWN, OWN[0]).answers[-1].verdict is AtGate.TWICE
    row(table, "set", "B")["sold"] = date(2026, 6, 1)
    assert gate(table, *OWN[:3], "B2000014").answers[-1].verdict is AtGate.RETIRED


def test_a_wheel_whose_id_is_not_known_is_asked_for_and_missed_by_nobody() -> None:
    table = bare_table()
    del row(table, "sensor", "s A4")["printed"]
    check = gate(table, *OWN[:3])
    assert check.passed
    assert check.unknown == ("A4",)


def test_rubbish_is_refused() -> None:
    with pytest.raises(BadText):
        gate(bare_table(), "hello")


def test_another_family_that_can_not_read_it_is_no_hindrance() -> None:
    """A decimal print of 32 bits is no ID of a narrower family, which the garage has too."""
    table = bare_table()
    table["family"].append({"id": "narrow", "bits": 28, "printed": "hex"})
    table["sensor"].append({"id": "loose", "printed": "0123456", "family": "narrow"})
    assert gate(table, *(str(int(i, 16)) for i in OWN)).passed


def test_nothing_read_is_neither_passed_nor_failed() -> None:
    check = gate(bare_table())
    assert check.passed is None
    assert not check.findings
    assert [e.ids for e in check.expected] == [(i,) for i in OWN]
    table = bare_table()
    row(table, "sensor", "s A2")["answers"] = False
    assert [e.speaks for e in gate(table).expected] == [True, False, True, True]


def test_a_set_with_the_same_ids_is_told_of() -> None:
    table = bare_table()
    row(table, "sensor", "s B1")["printed"] = "A1000001"
    assert "pair-at-gate" in {f.code for f in gate(table, *OWN).findings}
