"""python -m wheelside."""

from wheelside.cli.main import run

run()
