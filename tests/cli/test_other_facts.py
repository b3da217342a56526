"""Garages with other facts, each sensible by itself: plan, air card, sheet and fit answer, or say what is wrong; none is a bug."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
import tomli_w

from commands import ON, run
from mutating import Mutator

GARAGES = 60


def test_no_garage_of_other_facts_ends_in_a_bug(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    mutator = Mutator(random.Random(77))
    file, codes = tmp_path / "other.toml", []
    for n in range(GARAGES):
        table, told = mutator.drawn(1 + n % 4)
        file.write_text(tomli_w.dumps(table), encoding="utf-8")
        command = ("plan", "air", "sheet", "fit")[n % 4]
        extra = ("--no-save",) if command in ("plan", "sheet") else ("--set", "winter") if command == "fit" else ()
        code, _, err = run(capsys, command, file, *extra, *ON)
        assert code in (0, 1, 2), f"{command} ended with {code} after {told}: {err}"
        assert (code == 2) == bool(err), (told, err)
        codes.append(code)
    assert codes.count(2) < GARAGES * 0.8
    assert codes.count(0) + codes.count(1) > GARAGES / 5
