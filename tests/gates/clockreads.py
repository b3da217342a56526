"""Finds whatever reads a clock other than by its one home: `python tests/gates/clockreads.py [FOLDER]` fails where it finds any.

The program reads the machine's clock in `jobs/source.py` only, a page the phone's in one function a script; tests and benchmarks go by
those, and open browsers by `browsing.context_of` only. Monotonic clocks, which tell no day, are for everybody.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

HOMES = {
    ("src/wheelside/jobs/source.py", "machine"),
    ("tests/clocks.py", "clock_with"),
    ("tests/browsing.py", "clock_of"),
    ("tests/browsing.py", "context_of"),
    ("tests/browsing.py", "chromium"),
    ("benchmarks/eight_days.py", "moved_to"),
}
"""The functions that may: file and name."""
READS = {
    f"{module}.{name}"
    for module, names in {
        "time": "time time_ns localtime gmtime ctime asctime strftime clock_gettime clock_gettime_ns",
        "datetime.datetime": "now today utcnow",
        "datetime.date": "today",
        "email.utils": "formatdate localtime",
        "os.path": "getatime getctime getmtime",
        "uuid": "uuid1",
    }.items()
    for name in names.split()
}
NAMES = {"now", "today", "utcnow"}
"""What such methods are called wherever they come from; ours are functions of modules of Wheelside."""
FILE_TIMES = {"st_mtime", "st_mtime_ns", "st_ctime", "st_ctime_ns", "st_atime", "st_atime_ns"}
BROWSERS = {"new_context", "launch", "launch_persistent_context"}
IN_TEXTS = re.compile(
    r"\b(?:datetime|date|dt|func)\.(?:now|today|utcnow)\(|\btime\.(?:time|time_ns|localtime|gmtime)\(|\bDate\.now\b|\bnew\s+Date\b"
    r"|\bCURRENT_TIMESTAMP\b|\bdatetime\.today\b|\b(?:date|datetime|strftime)\([^)]*'now'"
)
IN_SCRIPTS = re.compile(r"\bDate\b|\bTemporal\b|\btimeOrigin\b|\blastModified\b|\bDateTimeFormat\b")
SCRIPT_HOME = re.compile(r"const clock = \(\) => new[ ]Date\(\);( /\*.*\*/)?")


def found_in(root: Path) -> list[str]:
    """Every read outside the homes, as 'file:line: what', in the sources, tests and benchmarks below a folder."""
    found = []
    for file in _files(root):
        name, text = file.relative_to(root).as_posix(), file.read_text(encoding="utf-8")
        reads = {".py": _in_python, ".js": _in_script}.get(file.suffix, _in_text)
        found += [f"{name}:{line}: {what}" for line, what in reads(name, text)]
    return found


def _files(root: Path) -> Iterator[Path]:
    for folder in ("src", "tests", "benchmarks"):
        for file in sorted((root / folder).rglob("*")):
            if file.suffix in {".py", ".js", ".html", ".typ", ".mako"} and "samples" not in file.parts:
                yield file


def _in_text(_: str, text: str) -> Iterator[tuple[int, str]]:
    for number, line in enumerate(text.splitlines(), 1):
        for hit in IN_TEXTS.finditer(line):
            yield number, hit[0]


def _in_script(_: str, text: str) -> Iterator[tuple[int, str]]:
    """The second home in one script is none."""
    homes = 0
    for number, line in enumerate(text.splitlines(), 1):
        home = SCRIPT_HOME.fullmatch(line.strip()) is not None
        homes += home
        for hit in IN_SCRIPTS.finditer(line) if not home or homes > 1 else ():
            yield number, f"{hit[0]} outside the one function clock()"


def _in_python(name: str, text: str) -> Iterator[tuple[int, str]]:
    tree = ast.parse(text)
    imported = _imported(tree)
    for node in _outside_homes(tree, name):
        what = _read(node, imported)
        if what:
            yield getattr(node, "lineno", 0), what


def _outside_homes(tree: ast.AST, name: str) -> Iterator[ast.AST]:
    """All nodes but those of the homes in this file."""
    for child in ast.iter_child_nodes(tree):
        if not (isinstance(child, ast.FunctionDef) and (name, child.name) in HOMES):
            yield child
            yield from _outside_homes(child, name)


def _imported(tree: ast.AST) -> dict[str, str]:
    """What the names that a file imports stand for."""
    names = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for one in node.names:
                names[one.asname or one.name.split(".")[0]] = one.name if one.asname else one.name.split(".")[0]
        elif isinstance(node, ast.ImportFrom):
            names.update({one.asname or one.name: f"{node.module}.{one.name}" for one in node.names})
    return names


def _dotted(node: ast.AST, imported: dict[str, str]) -> str:
    """What an expression of names and dots stands for; empty for any other."""
    if isinstance(node, ast.Name):
        return imported.get(node.id, node.id)
    if isinstance(node, ast.Attribute):
        base = _dotted(node.value, imported)
        return f"{base}.{node.attr}" if base else ""
    return ""


def _read(node: ast.AST, imported: dict[str, str]) -> str:
    """What of a clock one node reads; empty for nothing."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        hit = IN_TEXTS.search(node.value)
        return f"{hit[0]} in a text" if hit else ""
    if isinstance(node, ast.ImportFrom) and node.module in {"time", "datetime"} and node.names[0].name == "*":
        return f"every name of {node.module}"
    if isinstance(node, ast.Call):
        return _called(node.func, imported)
    dotted = _dotted(node, imported)
    if dotted in READS or (isinstance(node, ast.Attribute) and node.attr in FILE_TIMES):
        return dotted or node.attr  # type: ignore[attr-defined]
    if (isinstance(node, ast.Attribute) and node.attr in BROWSERS) or dotted == "browser.new_page":
        return f"{dotted}: a browser without the test's clock"
    return ""


def _called(called: ast.expr, imported: dict[str, str]) -> str:
    dotted = _dotted(called, imported)
    if not isinstance(called, ast.Attribute) or called.attr not in NAMES or dotted in READS:
        return ""
    return "" if dotted.startswith("wheelside.") else f"{dotted or called.attr}()"


def main() -> int:
    """Prints what is found; the exit status."""
    root = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parents[2]
    found = found_in(root)
    if found:
        sys.stderr.write("these read a clock beside its one home, wheelside.jobs.source:\n" + "\n".join(found) + "\n")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
