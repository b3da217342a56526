"""Each gate rejects a bad sample, so that none of them passes for the wrong reason."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import wheelside

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = Path(__file__).parent / "samples"
BIN = Path(sys.executable).parent
PACKAGE = Path(wheelside.__file__).parents[1]


def run(*command: object, cwd: Path = ROOT, path: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Runs a command; `path`: where Python looks first, before the package that is tested."""
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(str(p) for p in (path, PACKAGE) if p)}
    return subprocess.run([str(c) for c in command], cwd=cwd, env=env, capture_output=True, text=True, check=False)


def copied(tmp_path: Path, sample: str, to: str) -> Path:
    """A copy of the sources with one sample put into a room, and the project's settings beside it."""
    shutil.copytree(ROOT / "src" / "wheelside", tmp_path / "wheelside", ignore=shutil.ignore_patterns("__pycache__"))
    target = tmp_path / "wheelside" / to
    target.parent.mkdir(exist_ok=True)
    shutil.copy(SAMPLES / sample, target)
    (target.parent / "__init__.py").touch()
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def contracts(folder: Path) -> subprocess.CompletedProcess[str]:
    return run(BIN / "lint-imports", "--no-cache", cwd=folder, path=folder)


def test_the_formatter_rejects_a_bad_layout() -> None:
    assert (
        run(
            BIN / "ruff",
            "format",
            "--check",
            "--no-cache",
            SAMPLES / "formatting.py",
            "--config",
            ROOT / "pyproject.toml",
            "--no-force-exclude",
        ).returncode
        == 1
    )


def test_the_linter_rejects_dead_imports_prints_and_tangles() -> None:
    found = run(
        BIN / "ruff",
        "check",
        "--no-cache",
        "--output-format=concise",
        SAMPLES / "linting.py",
        "--config",
        ROOT / "pyproject.toml",
    )
    assert found.returncode == 1
    assert all(rule in found.stdout for rule in ("F401", "T201", "C901"))


def test_the_type_checker_tells_gauge_from_absolute(tmp_path: Path) -> None:
    found = run(
        BIN / "mypy", "--config-file", ROOT / "pyproject.toml", "--cache-dir", tmp_path, SAMPLES / "pressures.py"
    )
    assert found.returncode == 1
    assert 'incompatible type "GaugePressure"; expected "AbsolutePressure"' in found.stdout


def test_the_contracts_hold_on_an_untouched_copy(tmp_path: Path) -> None:
    assert contracts(copied(tmp_path, "formatting.py", "air/harmless.py")).returncode == 0


def test_the_contracts_reject_an_upward_import(tmp_path: Path) -> None:
    found = contracts(copied(tmp_path, "upward_import.py", "air/bad.py"))
    assert found.returncode == 1
    assert "wheelside.air is not allowed to import wheelside.garage" in found.stdout


def test_the_contracts_reject_a_room_that_is_not_placed(tmp_path: Path) -> None:
    found = contracts(copied(tmp_path, "formatting.py", "attic/boxes.py"))
    assert found.returncode == 1
    assert "attic" in found.stdout


def test_the_contracts_reject_a_second_user_of_the_solver(tmp_path: Path) -> None:
    found = contracts(copied(tmp_path, "second_solver.py", "sheet/bad.py"))
    assert found.returncode == 1
    assert "ortools" in found.stdout


def test_the_contracts_reject_sql_outside_the_book(tmp_path: Path) -> None:
    found = contracts(copied(tmp_path, "second_sql.py", "jobs/bad.py"))
    assert found.returncode == 1
    assert "sqlalchemy" in found.stdout


@pytest.mark.parametrize("where", ["web/bad.py", "cli/bad.py"])
def test_the_contracts_reject_a_screen_that_reads_the_book_itself(where: str, tmp_path: Path) -> None:
    found = contracts(copied(tmp_path, "book_on_a_page.py", where))
    assert found.returncode == 1
    assert "Pages and commands reach the book through jobs only BROKEN" in found.stdout


def test_an_undeclared_library_is_rejected(tmp_path: Path) -> None:
    folder = copied(tmp_path, "undeclared.py", "air/bad.py")
    found = run(BIN / "deptry", "wheelside", cwd=folder)
    assert found.returncode == 1
    assert "hypothesis" in found.stderr + found.stdout


def test_a_skipped_test_fails_the_run(tmp_path: Path) -> None:
    shutil.copy(SAMPLES / "skipping.py", tmp_path / "test_skipping.py")
    shutil.copy(ROOT / "tests" / "conftest.py", tmp_path / "conftest.py")
    found = run(
        sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", tmp_path, cwd=tmp_path, path=ROOT / "tests"
    )
    assert "1 skipped" in found.stdout
    assert found.returncode == 1


@pytest.mark.parametrize("lock", ["run.lock", "test.lock"])
def test_locks_pin_by_hash_and_hold_no_address(lock: str) -> None:
    text = (ROOT / "requirements" / lock).read_text()
    assert "://" not in text
    pins = [line for line in text.splitlines() if line and not line.startswith((" ", "#"))]
    assert pins
    assert all("==" in pin and pin.endswith("\\") for pin in pins)
    assert text.count("--hash=sha256:") >= len(pins)


def test_the_reference_page_is_that_of_the_sources() -> None:
    made = run(sys.executable, "-m", "wheelside", "schema", "--markdown")
    assert (ROOT / "docs" / "garage-file.md").read_text(encoding="utf-8") == made.stdout


def test_the_tests_run_on_what_they_are_meant_to() -> None:
    """Where the test command says which installation is meant, the package comes from there."""
    expected = os.environ.get("WHEELSIDE_EXPECTED_IN", str(ROOT / "src"))
    assert Path(wheelside.__file__).is_relative_to(expected)


def test_help_is_listed_as_the_commands_have_it() -> None:
    """The short texts of the help stand in one table, so that listing them imports nothing; each command agrees with it."""
    import importlib

    from wheelside.cli.main import COMMANDS

    for name in COMMANDS:
        command = importlib.import_module(f"wheelside.cli.{name.replace('-', '_')}_command").command
        assert command.name == name


def test_every_test_that_is_named_elsewhere_is_there() -> None:
    """A test that is run by its name, on the built wheel or on machines of other days, and has gone would stop all of them."""
    named = re.findall(
        r"(tests/[\w/]+\.py)::(\w+)", (ROOT / "go").read_text() + (ROOT / "tests/web/test_machine_days.py").read_text()
    )
    assert len(named) > 5
    gone = [
        f"{file}::{name}" for file, name in named if f"def {name}(" not in (ROOT / file).read_text(encoding="utf-8")
    ]
    assert gone == []
    assert not re.findall(r"tests/\S+\.py::\w+\[", (ROOT / "go").read_text()), "a case by its name goes unseen"


WRITERS = re.compile(r"\b(?:click\.(?:echo|secho|echo_via_pager)|sys\.std(?:out|err)\.write)\b")


def test_text_goes_to_the_terminal_by_one_module_alone() -> None:
    """What is written past it could steer the terminal; the one other writes JSON to a pipe, in a process of its own."""
    found = {
        path.relative_to(ROOT / "src" / "wheelside").as_posix()
        for path in (ROOT / "src" / "wheelside").rglob("*.py")
        if WRITERS.search(path.read_text(encoding="utf-8"))
    }
    assert found == {"cli/output.py", "jobs/book/spreadsheet.py"}
