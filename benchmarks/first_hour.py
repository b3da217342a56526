"""The first hour: fields, screens, taps and typed characters from 'wheelside start' without a book to the first plan and pressures.

    python benchmarks/first_hour.py [--pictures DIR]

An invented owner, in a real browser on a phone's screen: a direct car, a set on it with four printed IDs (two decimal, two hex) and a used set
whose sensors nobody knows. Also: a used set looked at, a lamp that is on, pressures alone, and the same in the terminal. A default that is
left standing counts as a tap; a key is no tap, its character is counted.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
from browsing import PHONE, chromium, context_of
from phone_owner import CHANGE, LAMP, PRESSURES, USED, Answers, Counted, Owner

CLOCK, NEXT_DAY = "2026-11-25T09:00:00+01:00", "2026-11-26T08:00:00+01:00"
PORT = 8761


@contextmanager
def served(home: Path, clock: str = CLOCK) -> Iterator[str]:
    """`wheelside start --pages` in an empty home: the address that lets one browser in."""
    env = {**os.environ, "HOME": str(home), "XDG_DATA_HOME": "", "WHEELSIDE_CLOCK": clock, "PYTHONUNBUFFERED": "1"}
    command = [sys.executable, "-m", "wheelside", "start", "--pages", "--port", str(PORT)]
    running = subprocess.Popen(command, env=env, stdout=subprocess.PIPE, text=True)
    try:
        assert running.stdout is not None
        link = next(line.strip() for line in running.stdout if "/in/" in line)
        yield link
    finally:
        running.terminate()
        running.wait(20)


def come_in(browser: Browser, link: str) -> Page:
    """A phone that is let in; that is no part of the count."""
    page = context_of(browser, **PHONE).new_page()
    page.goto(link)
    page.get_by_role("button", name="Come in").click()
    page.wait_for_load_state()
    return page


def on_the_phone(
    browser: Browser, name: str, errand: str, answers: Answers, pictures: Path | None, *, known: bool = False
) -> Counted:
    """One errand from an empty book; or, where the car is `known`, after it was told for a change of wheels."""
    with tempfile.TemporaryDirectory() as home:
        if known:
            with served(Path(home)) as link:
                page = come_in(browser, link)
                before = Owner(page, None, name)
                before.errand("wheels")
                before.until_answered(CHANGE)
                page.context.close()
        with served(Path(home), NEXT_DAY if known else CLOCK) as link:
            page = come_in(browser, link)
            page.goto(link.partition("/in/")[0] + "/start")
            owner = Owner(page, pictures, name)
            owner.errand(errand)
            owner.until_answered(answers)
            page.context.close()
    return owner.counted


def in_the_terminal() -> int:
    """How many answers it takes in the terminal to the first plan and pressures."""
    ids = ["0742500339", "0742500417", "2C41A1E6", "2C41AB2A"]
    typed = ["2", "1", "", "2", "205/60R16 92V", *ids, "1", "1", "", "d", "1", "2.3", "2.2", "2", "1", "12", "0"]
    with tempfile.TemporaryDirectory() as home:
        env = {**os.environ, "HOME": home, "XDG_DATA_HOME": "", "WHEELSIDE_CLOCK": CLOCK}
        command = [sys.executable, "-m", "wheelside", "start", "--here"]
        done = subprocess.run(
            command, env=env, input="\n".join(typed) + "\n", capture_output=True, text=True, check=True
        )
    assert "left      right" in done.stdout, done.stdout
    assert "no sensor needs work" in done.stdout, done.stdout
    return len(typed)


BARS = (12, 22, 60, 130)


def main() -> None:
    """Counts, and prints each figure beside its bar."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--pictures", type=Path, help="Where to put a picture of each screen.")
    pictures = reader.parse_args().pictures
    if pictures is not None:
        pictures.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as play, chromium(play) as browser:
        runs = (
            ("first plan and pressures", on_the_phone(browser, "change", "wheels", CHANGE, pictures)),
            ("a used set: the verdict", on_the_phone(browser, "used", "used", USED, pictures)),
            ("the lamp is on", on_the_phone(browser, "lamp", "lamp", LAMP, pictures)),
            ("pressures, empty book", on_the_phone(browser, "pressures", "pressures", PRESSURES, pictures)),
            (
                "pressures, car and set known",
                on_the_phone(browser, "again", "pressures", PRESSURES, pictures, known=True),
            ),
        )
    for name, counted in runs:
        print(f"{name:30} {counted.told()}   {' > '.join(q.split('/')[0] for q in counted.questions)}")
    print(f"{'in the terminal':30} {in_the_terminal():3} answers to the first plan and pressures (bar 25)")
    first = runs[0][1]
    found = (first.screens, first.fields, first.taps, first.characters)
    for name, count, bar in zip(("screens", "fields", "taps", "characters"), found, BARS, strict=True):
        print(f"  {name:12} {count:4} of {bar:4}  {count / bar:.2f}")


if __name__ == "__main__":
    main()
