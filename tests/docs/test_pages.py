"""What the pages show works, and what they name exists."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from garages import seeded
from wheelside.cli.main import COMMANDS
from wheelside.fill.card import air_card
from wheelside.garage.file import read_garage
from wheelside.identity.choice import IdChoice
from wheelside.identity.plan import identity_plan
from wheelside.jobs.work.sheet import make_sheet

ROOT = Path(__file__).resolve().parents[2]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")])


def test_the_small_garage_of_the_readme_gets_a_plan_an_air_card_and_a_sheet() -> None:
    (block,) = re.findall(r"```toml\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    garage, day = read_garage(block.encode(), "README"), date(2026, 11, 28)
    plan = identity_plan(garage, day, (), seeded())
    assert {(w.wheel, w.choice) for w in plan.wheels} == {(f"W{n}", IdChoice.KEEP) for n in range(1, 5)}
    card = air_card(garage, garage.cars["estate"], garage.sets["winter"], day)
    assert [(w.wheel, round(w.gauge_shows.kpa)) for w in card.wheels] == [
        ("W1", 251),
        ("W2", 251),
        ("W3", 240),
        ("W4", 240),
    ]
    _, sheet, _ = make_sheet(garage, plan)
    assert sheet is not None
    assert sheet.cards


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_links_and_paths_lead_somewhere(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    for link in re.findall(r"\]\(([^)#:]+)\)", text):
        assert (page.parent / link).exists(), link
    for path in re.findall(r"`((?:src|tests|docs|benchmarks|requirements)/[\w/.]+)`", text):
        assert (ROOT / path).exists(), path


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_commands_named_exist(page: Path) -> None:
    for name in re.findall(r"(?:\.venv/bin/|`)wheelside ([a-z-]+)", page.read_text(encoding="utf-8")):
        assert name in COMMANDS, name
