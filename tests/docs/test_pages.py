"""What the pages show works, and what they name exists."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from garages import DAY, seeded
from wheelside.cli.main import COMMANDS
from wheelside.garage.file import read_garage
from wheelside.identity.choice import IdChoice
from wheelside.identity.plan import identity_plan

ROOT = Path(__file__).resolve().parents[2]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")])


def test_the_small_garage_of_the_readme_can_be_planned() -> None:
    (block,) = re.findall(r"```toml\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    plan = identity_plan(read_garage(block.encode(), "README"), DAY, (), seeded())
    (wheel,) = plan.wheels
    assert (wheel.choice, wheel.id.hex if wheel.id else "") == (IdChoice.KEEP, "2C41A7F3")


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
