"""A public class of one name in two rooms: none comes to those that are there, and one that is gone leaves the list."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

ROOMS = Path(__file__).parents[2] / "src" / "wheelside"
_NAMES = """
    Answer Ask Asked Begun Candidate Codes Compared Difference Fact Fit Form Found Frame Heard Kept Kind Known
    Limit Line Listed Match Moved Place Problem Reading Readings Refusal Rung Seen Settings Settling Sheet Shown
    Stage Table Taken TakenOut Teaching Told Trouble Unfit Unit View Wheel Writing Written
"""
IN_TWO_ROOMS = frozenset(_NAMES.split())
"""To become fewer: a name that a reader meets in two rooms with two meanings gets two names."""


def rooms_of_names(root: Path) -> dict[str, set[str]]:
    """For each public class at the top of a module: the rooms that have one of that name."""
    found: dict[str, set[str]] = defaultdict(set)
    for path in root.rglob("*.py"):
        room = path.relative_to(root).parts[0].removesuffix(".py")
        for node in ast.parse(path.read_text()).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found[node.name].add(room)
    return found


def test_no_name_is_taken_in_a_second_room() -> None:
    twice = {name for name, rooms in rooms_of_names(ROOMS).items() if len(rooms) > 1}
    assert sorted(twice - IN_TWO_ROOMS) == []
    assert sorted(IN_TWO_ROOMS - twice) == [], "no longer in two rooms: take it off the list"


def test_a_second_one_is_found(tmp_path: Path) -> None:
    for room, text in (("one", "class Same: ...\nclass _Own: ...\n"), ("two", "class Same: ...\nclass _Own: ...\n")):
        (tmp_path / room).mkdir()
        (tmp_path / room / "it.py").write_text(text)
    assert {n for n, rooms in rooms_of_names(tmp_path).items() if len(rooms) > 1} == {"Same"}
