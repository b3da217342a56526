"""Finds what has grown too long: `python tests/gates/sizes.py [FOLDER]` fails where it finds any.

No function of Python has more than 80 lines, from its `def` to its last, and no file of code more than 500. What may be longer is
named with its reason; a name that is not needed any more fails, too, so that the list stays short.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

LONGEST_FUNCTION, LONGEST_FILE = 80, 500
CODE = {".py", ".js", ".css", ".html", ".typ", ".mako", ".c"}
MAY_BE_LONGER = {
    "tests/fit/fit_oracle.py": "to be split",
    "tests/sheet/test_sheet.py": "to be split",
}
"""Files, and functions as 'file:name', each with why it may be longer."""


def found_in(root: Path) -> list[str]:
    """Everything that is too long without being named, in the sources, tests and benchmarks below a folder."""
    long = {name: told for file in _files(root) for name, told in _too_long(file.relative_to(root).as_posix(), file)}
    return [told for name, told in long.items() if name not in MAY_BE_LONGER]


def needless(root: Path) -> list[str]:
    """The names of what may be longer that no longer is."""
    long = {name for file in _files(root) for name, _ in _too_long(file.relative_to(root).as_posix(), file)}
    return [
        f"{name}: named in sizes.py, and not too long: take it out there" for name in MAY_BE_LONGER if name not in long
    ]


def _files(root: Path) -> Iterator[Path]:
    for folder in ("src", "tests", "benchmarks"):
        for file in sorted((root / folder).rglob("*")):
            if file.suffix in CODE and "samples" not in file.parts:
                yield file


def _too_long(name: str, file: Path) -> Iterator[tuple[str, str]]:
    """What a file has that is too long: its name, and the line that says so."""
    text = file.read_text(encoding="utf-8")
    lines = len(text.splitlines())
    if lines > LONGEST_FILE:
        yield name, f"{name}: {lines} lines, at most {LONGEST_FILE}"
    for node in ast.walk(ast.parse(text)) if file.suffix == ".py" else ():
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            lines = (node.end_lineno or node.lineno) - node.lineno + 1
            if lines > LONGEST_FUNCTION:
                yield (
                    f"{name}:{node.name}",
                    f"{name}:{node.lineno}: {node.name} has {lines} lines, at most {LONGEST_FUNCTION}",
                )


def main() -> int:
    """Prints what is found; the exit status. The names of what may be longer are held against the project itself only."""
    own = Path(__file__).resolve().parents[2]
    root = Path(sys.argv[1]) if len(sys.argv) > 1 else own
    found = found_in(root) + (needless(root) if root == own else [])
    if found:
        sys.stderr.write("these are too long; split them by what they hold:\n" + "\n".join(found) + "\n")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
