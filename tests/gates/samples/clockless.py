import os
import subprocess
import sys

import pytest

from wheelside.jobs import source


def test_without_a_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(source.CLOCK)
    source.today()


def test_starts_a_process_without_a_clock() -> None:
    env = {k: v for k, v in os.environ.items() if k != source.CLOCK}
    subprocess.run([sys.executable, "-c", ""], env=env, check=True)


def test_with_a_clock() -> None:
    subprocess.run([sys.executable, "-c", ""], check=True)
    assert str(source.today()) == "2026-11-25"
