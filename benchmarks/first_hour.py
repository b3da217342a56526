"""The first hour: fields, screens, taps and typed characters from 'wheelside start' without a book to the first plan and pressures.

    python benchmarks/first_hour.py [--pictures DIR]

An invented owner, in a real browser on a phone's screen: a direct car, a set on it with four printed IDs (two decimal, two hex) and a used set
whose sensors nobody knows. Also: a used set looked at, a lamp that is on, pressures alone, and the same in the terminal. A default that is
left standing counts as a tap; a key is no tap, its character is counted.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM_ARGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
PHONE = {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "has_touch": True, "is_mobile": True}
CLOCK = "2026-11-25T09:00:00+01:00"
PORT = 8761
MOST_SCREENS = 40

Answers = Mapping[str, Mapping[str, str]]
"""What the owner says, by the beginning of a question's code: a pick, and what is typed into which gap."""
UNKNOWN = {"pick": "dont-know"}
CHANGE: Answers = {
    "begin": {"pick": "figures"},
    "on/": {"pick": "summer", "size": "205/60R16 92V"},
    "ids/Summer": {"front_left": "0742500339", "front_right": "0742500417", "rear_left": "2C41A1E6", "rear_right": "2C41AB2A"},
    "heard/": {"pick": "yes"},
    "other/": {"pick": "winter"},
    "ids/Winter": UNKNOWN,
    "label/": {"front": "2.3", "rear": "2.2"},
    "when/": {"pick": "saturday"},
    "today": {"pick": "false", "tyre_temperature": "12", "temperature_of_use": "0"},
    "car/Car/taught_by": {"pick": "step by step"},
    "car/Car/remembers_sets": {"pick": "2"},
    "kept/": {"pick": "near"},
}  # fmt: skip
USED: Answers = {
    "begin": {"pick": "figures"},
    "on/": {"pick": "summer", "size": "205/60R16 92V"},
    "offer/": {"pick": "winter", "size": "205/60R16 92H", "price": "250"},
    "rims/set": {"width_in": "6.5J", "inset": "46", "bolt_circle": "5x112", "centre_bore": "66.6"},
    "rims/car": {"width_in": "6.5J", "inset": "46", "bolt_circle": "5x112", "centre_bore": "66.6"},
}
LAMP: Answers = {"look": {"pick": "no"}, "way": {"pick": "steady"}, "gauged": {"pick": "one"}}
PRESSURES: Answers = {"on/": CHANGE["on/"], "begin": CHANGE["begin"], "label/": CHANGE["label/"], "today": CHANGE["today"]}


@dataclass
class Counted:
    """What it took."""

    screens: int = 0
    fields: int = 0
    taps: int = 0
    characters: int = 0
    questions: list[str] = field(default_factory=list)

    def told(self) -> str:
        return f"{self.screens:3} screens {self.fields:3} fields {self.taps:3} taps {self.characters:4} characters"


class Owner:
    """Somebody with a phone, who answers what is asked."""

    def __init__(self, page: Page, pictures: Path | None, name: str) -> None:
        self.page, self.pictures, self.name = page, pictures, name
        self.counted = Counted()

    def shown(self, what: str) -> None:
        self.counted.screens += 1
        self.counted.questions.append(what)
        if self.pictures is not None:
            safe = re.sub(r"[^a-z0-9]+", "-", what.lower()).strip("-")
            self.page.screenshot(path=self.pictures / f"{self.name}-{self.counted.screens:02}-{safe}.png")

    def errand(self, code: str) -> None:
        """The door, and what brings one."""
        self.shown("door")
        self.tap(f"a[href='/start/{code}']")

    def tap(self, where: str) -> None:
        self.counted.taps += 1
        self.page.locator(where).first.click()
        self.page.wait_for_load_state()

    def answer(self, answers: Answers) -> bool:
        """One question; whether there was one."""
        code = self.code()
        if code is None:
            return False
        self.shown(code)
        given = next((a for begins, a in answers.items() if code.startswith(begins)), UNKNOWN)
        for gap in self.page.locator(".gap input:visible").all():
            name = (gap.get_attribute("name") or "").removeprefix("g.")
            if name in given and given[name] != gap.input_value():
                self.counted.fields += 1
                self.counted.taps += 1
                self.counted.characters += len(given[name])
                gap.fill(given[name])
            elif gap.input_value():
                self.counted.taps += 1
        pick = given.get("pick")
        name = "pick" if self.page.locator("[name=pick]").count() else code
        self.tap(f"button[name='{name}'][value='{pick or ''}']")
        return True

    def code(self) -> str | None:
        found = self.page.locator("input[name=code]")
        if found.count():
            return found.first.input_value()
        button = self.page.locator("button.pick")
        return button.first.get_attribute("name") if button.count() else None

    def until_answered(self, answers: Answers) -> None:
        """On until something comes out."""
        for _ in range(MOST_SCREENS):
            if "/so-far" in self.page.url or not self.answer(answers):
                break
        self.shown("comes out")


@contextmanager
def served(home: Path) -> Iterator[str]:
    """`wheelside start --pages` in an empty home: the address that lets one browser in."""
    env = {**os.environ, "HOME": str(home), "XDG_DATA_HOME": "", "WHEELSIDE_CLOCK": CLOCK, "PYTHONUNBUFFERED": "1"}
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
    page = browser.new_context(**PHONE).new_page()
    page.goto(link)
    page.get_by_role("button", name="Come in").click()
    page.wait_for_load_state()
    return page


def on_the_phone(browser: Browser, name: str, errand: str, answers: Answers, pictures: Path | None, *, known: bool = False) -> Counted:
    """One errand from an empty book; or, where the car is `known`, after it was told for a change of wheels."""
    with tempfile.TemporaryDirectory() as home, served(Path(home)) as link:
        page = come_in(browser, link)
        if known:
            before = Owner(page, None, name)
            before.errand("wheels")
            before.until_answered(CHANGE)
            page.goto(link.partition("/in/")[0] + "/start")
        owner = Owner(page, pictures, name)
        owner.errand(errand)
        owner.until_answered(answers)
        page.context.close()
    return owner.counted


def in_the_terminal() -> int:
    """How many answers it takes in the terminal to the first plan and pressures."""
    typed = ["2", "1", "2", "205/60R16 92V", "0742500339", "0742500417", "2C41A1E6", "2C41AB2A", "1", "1", "", "d", "2.3", "2.2", "2", "1", "12", "0"]  # fmt: skip
    with tempfile.TemporaryDirectory() as home:
        env = {**os.environ, "HOME": home, "XDG_DATA_HOME": "", "WHEELSIDE_CLOCK": CLOCK}
        command = [sys.executable, "-m", "wheelside", "start", "--here"]
        done = subprocess.run(command, env=env, input="\n".join(typed) + "\n", capture_output=True, text=True, check=True)
    assert "left      right" in done.stdout, done.stdout
    assert "No sensor needs work" in done.stdout, done.stdout
    return len(typed)


BARS = {"first plan and pressures": (12, 22, 60, 130)}


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--pictures", type=Path, help="Where to put a picture of each screen.")
    pictures = reader.parse_args().pictures
    if pictures is not None:
        pictures.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=list(CHROMIUM_ARGS))
        runs = (
            ("first plan and pressures", on_the_phone(browser, "change", "wheels", CHANGE, pictures)),
            ("a used set: the verdict", on_the_phone(browser, "used", "used", USED, pictures)),
            ("the lamp is on", on_the_phone(browser, "lamp", "lamp", LAMP, pictures)),
            ("pressures, empty book", on_the_phone(browser, "pressures", "pressures", PRESSURES, pictures)),
            ("pressures, car and set known", on_the_phone(browser, "again", "pressures", PRESSURES, pictures, known=True)),
        )
        browser.close()
    for name, counted in runs:
        print(f"{name:30} {counted.told()}   {' > '.join(q.split('/')[0] for q in counted.questions)}")
    print(f"{'in the terminal':30} {in_the_terminal():3} answers to the first plan and pressures (bar 25)")
    first = runs[0][1]
    for name, found, bar in zip(("screens", "fields", "taps", "characters"), (first.screens, first.fields, first.taps, first.characters), BARS[runs[0][0]], strict=True):  # fmt: skip
        print(f"  {name:12} {found:4} of {bar:4}  {found / bar:.2f}")


if __name__ == "__main__":
    main()
