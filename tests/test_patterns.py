"""What is said names keys, tables, options and commands as values, never in its pattern: so each edge can put them its own way."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import wheelside

SOURCE = Path(wheelside.__file__).parent
ROOMS = (
    "earshot",
    "fill",
    "finding.py",
    "fit",
    "garage/ids.py",
    "garage/mistaken.py",
    "garage/rates.py",
    "identity",
    "inquiry",
    "sensor",
    "why",
)
"""The rooms, and files, whose texts are data; a room that is converted is added here."""
SAYERS = {"say", "count"}
SAID_AT = {"Finding": (3, 5), "Refusal": (1, 3), "Way": (1,), "note": (0,), "Remedy": (1,), "ConflictFact": (2,)}
"""Which arguments of these are said."""
PLAIN = {"audit.py", "audit_costs.py", "audit_memory.py"}
"""What is said of a bug, to those who mend it."""

_LOCAL = re.compile(
    r"'[a-z]+(_[a-z]+)*'(?! or 'dec:')"  # a key of a file, quoted; not how an ID is written
    r"|\[\[?[a-z_]*\]?\]?"  # a table, or a list of values
    r"|--[a-z]"  # an option
    r"|\bwheelside [a-z]+"  # a command
    r"|[a-z_]+ = "  # a line of a file
)
_NAMED = re.compile(r"\{[a-z_0-9]+\}")


def local(pattern: str) -> str:
    """What of a pattern is said in the words of a file or a command line; '' for nothing."""
    found = _LOCAL.search(_NAMED.sub("X", pattern))
    return found[0] if found else ""


def texts(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Every text within a call that says something: its pattern, in one piece, in a choice, or by the name of a constant."""
    named = {
        target.id: node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Assign)
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAYERS:
            for arg in node.args:
                whole = named.get(arg.id, arg) if isinstance(arg, ast.Name) else arg
                yield from ((node.lineno, c) for c in _constants(whole))
        if isinstance(node, ast.ClassDef) and any(isinstance(b, ast.Name) and b.id == "Coded" for b in node.bases):
            members = (s.value for s in node.body if isinstance(s, ast.Assign))
            yield from ((node.lineno, c) for value in members for c in _constants(value))


def _constants(node: ast.AST) -> Iterator[str]:
    for one in ast.walk(node):
        if isinstance(one, ast.Constant) and isinstance(one.value, str):
            yield one.value


def files(room: str) -> list[Path]:
    at = SOURCE / room
    return sorted(at.rglob("*.py")) if at.is_dir() else [at]


@pytest.mark.parametrize("room", ROOMS)
def test_no_pattern_speaks_of_a_file_or_a_command_line(room: str) -> None:
    told = [
        (path.name, line, found, text)
        for path in files(room)
        if path.name not in PLAIN
        for line, text in texts(ast.parse(path.read_text()))
        if (found := local(text))
    ]
    assert told == []


@pytest.mark.parametrize("room", ROOMS)
def test_no_finding_and_no_refusal_has_a_plain_text(room: str) -> None:
    """Nor one that is made of pieces: what is said has its values apart."""
    told = [
        (path.name, node.lineno)
        for path in files(room)
        if path.name not in PLAIN
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        for n in SAID_AT.get(node.func.id, ())
        if any(_is_text(arg) for arg in node.args[n : n + 1])
    ]
    assert told == []


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr | ast.BinOp) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


@pytest.mark.parametrize(
    ("pattern", "found"),
    [
        ("note 'when_full'", "'when_full'"), ("note 'answers' anew", "'answers'"), ("add a [[stay]]", "[[stay]]"),
        ("kept where [plan] says", "[plan]"), ("note joined = [{}]", "joined = "), ("correct it, or --tyre", "--t"),
        ("run wheelside plan", "wheelside plan"), ("'{print}' can be {ways}", ""), ("the car's list, and the cars' lists", ""),
        ("write '0x' or 'dec:' in front", ""),
    ],
)  # fmt: skip
def test_what_is_looked_for_is_found(pattern: str, found: str) -> None:
    assert local(pattern) == found


def test_a_pattern_is_found_by_its_name_in_a_choice_and_among_codes() -> None:
    code = "x = 'note [a]'\nsay(x)\nsay('b' if y else 'c')\ncount(1, 'd', 'e')\nclass K(Coded):\n    F = 'f', 'g'\nprint('h')\n"
    assert sorted(text for _, text in texts(ast.parse(code))) == ["b", "c", "d", "e", "f", "g", "note [a]"]
