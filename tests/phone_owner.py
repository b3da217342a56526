"""Somebody with a phone who answers the conversation, and counts what it takes."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Page

MOST_SCREENS = 40

Answers = Mapping[str, Mapping[str, str]]
"""What the owner says, by the beginning of a question's code: a pick, and what is typed into which gap."""
UNKNOWN = {"pick": "dont-know"}
CHANGE: Answers = {
    "begin": {"pick": "figures", "name": "My car"},
    "on/": {"pick": "summer", "size": "205/60R16 92V"},
    "ids/Summer": {"front_left": "0742500339", "front_right": "0742500417", "rear_left": "2C41A1E6", "rear_right": "2C41AB2A"},
    "heard/": {"pick": "yes"},
    "other/": {"pick": "winter"},
    "alike/": {"pick": "yes"},
    "ids/Winter": UNKNOWN,
    "label/": {"front": "2.3", "rear": "2.2"},
    "when/": {"pick": "saturday"},
    "today": {"pick": "false", "tyre_temperature": "12", "temperature_of_use": "0"},
    "car/My car/taught_by": {"pick": "step by step"},
    "car/My car/remembers_sets": {"pick": "2"},
    "kept/": {"pick": "near"},
}  # fmt: skip
USED: Answers = {
    "begin": {"pick": "figures", "name": "My car"},
    "on/": {"pick": "summer", "size": "205/60R16 92V"},
    "offer/": {"pick": "winter", "size": "205/60R16 92H", "price": "250"},
    "rims/set": {"width_in": "6.5J", "inset": "46", "bolt_circle": "5x112", "centre_bore": "66.6"},
    "rims/car": {"width_in": "6.5J", "inset": "46", "bolt_circle": "5x112", "centre_bore": "66.6"},
}
LAMP: Answers = {"look": {"pick": "no"}, "way": {"pick": "steady"}, "gauged": {"pick": "one"}}
PRESSURES: Answers = {
    "on/": CHANGE["on/"],
    "begin": CHANGE["begin"],
    "label/": CHANGE["label/"],
    "today": CHANGE["today"],
}


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

    def __init__(
        self, page: Page, pictures: Path | None, name: str, look: Callable[[str], None] = lambda _: None
    ) -> None:
        self.page, self.pictures, self.name, self.look = page, pictures, name, look
        self.counted = Counted()

    def shown(self, what: str) -> None:
        self.counted.screens += 1
        self.counted.questions.append(what)
        self.look(what)
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
