"""Real browsers on real servers: Chromium, phone and desk, against `wheelside serve` in a process of its own.

Browsers and servers are given the test's clock when they start, and run on with it.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Locator, Page, Playwright, Request, expect

from clocks import faked
from servers import free_port
from wheelside.jobs.book.desk import Desk, open_desk
from wheelside.jobs.book.doors import new_key
from wheelside.jobs.source import CLOCK, now

FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
NAME = "garage.test"
"""A host name that browsers call insecure over plain HTTP; mapped to loopback."""
ZONE = "Etc/GMT-1"
"""The zone of NOON, an hour ahead of UTC, as the zone database names it."""
PHONE: dict[str, Any] = {
    "viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "is_mobile": True, "has_touch": True,
}  # fmt: skip
DESKTOP: dict[str, Any] = {"viewport": {"width": 1200, "height": 850}}


@dataclass
class Serving:
    """A server in a process of its own, which can be killed and started again on the same book and port."""

    book: Path
    port: int
    options: tuple[str, ...] = ()
    program: tuple[str, ...] = ("-m", "wheelside")
    process: subprocess.Popen[str] | None = field(default=None, repr=False)

    @property
    def address(self) -> str:
        scheme = "https" if "--tls" in self.options else "http"
        return f"{scheme}://{NAME}:{self.port}"

    def start(self) -> None:
        paths = os.pathsep.join((*filter(None, [os.environ.get("PYTHONPATH")]), str(Path(__file__).parent)))
        env = {**os.environ, "PYTHONUNBUFFERED": "1", "COLUMNS": "200", CLOCK: now().iso(), "PYTHONPATH": paths}
        command = [sys.executable, *self.program, "serve", str(self.book), "--port", str(self.port), "--name", NAME]
        self.process = subprocess.Popen(
            [*command, *self.options], env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        assert self.process.stdout is not None
        said = ""
        for line in self.process.stdout:
            said += line
            if "/in/" in line:
                return
        raise AssertionError(f"the server did not start: {said}")

    def kill(self) -> None:
        """Stops it at once, in the middle of whatever it does."""
        if self.process is not None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait(10)
            assert self.process.stdout is not None
            self.process.stdout.close()
            self.process = None

    def link(self) -> str:
        """A new link that lets one browser in."""
        desk, _ = open_desk(str(self.book))
        try:
            return f"{self.address}/in/{new_key(desk)}"
        finally:
            desk.close()


@contextmanager
def serving(book: Path, *options: str, program: tuple[str, ...] = ("-m", "wheelside")) -> Iterator[Serving]:
    made = Serving(book, free_port(), options, program)
    made.start()
    try:
        yield made
    finally:
        made.kill()


def trust(home: Path, authority: Path) -> None:
    """Makes browsers with this home folder trust an authority, as a person does by installing its certificate."""
    program = shutil.which("certutil")
    assert program is not None, "certutil is missing: install the package libnss3-tools"
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    for command in (["-N", "--empty-password"], ["-A", "-t", "C,,", "-n", "wheelside", "-i", str(authority)]):
        subprocess.run([program, "-d", f"sql:{store}", *command], check=True, capture_output=True, timeout=30)


@contextmanager
def chromium(playwright: Playwright, home: Path | None = None, *, letters: int = 16) -> Iterator[Browser]:
    """Debian's Chromium, in which our name leads to loopback and every other name nowhere.

    One with a home folder of its own judges certificates: its process has the test's clock, too. `letters`: how large its owner set its
    letters, in pixels, where pages don't say otherwise.
    """
    path = next((p for p in ("/usr/bin/chromium", "/usr/bin/chromium-browser") if Path(p).exists()), None)
    assert path is not None, "Chromium is missing: install the package chromium"
    rules = f"--host-resolver-rules=MAP {NAME} 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"
    env: dict[str, str | float | bool] | None = None
    if home:
        env = {**os.environ, "HOME": str(home), **faked(f"{now().local:%Y-%m-%d %H:%M:%S}", ZONE)}
    browser = playwright.chromium.launch(
        executable_path=path,
        headless=True,
        args=[*FLAGS, f"--blink-settings=defaultFontSize={letters}", rules],
        env=env,
    )
    try:
        yield browser
    finally:
        browser.close()


@dataclass
class Visit:
    """One device: its page, what it asked for, and what its console complained of."""

    context: BrowserContext
    page: Page
    server: Serving
    asked: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def goto(self, path: str) -> None:
        self.page.goto(self.server.address + path)

    def fetch(self, path: str) -> bytes:
        """What a path gives this device, without drawing it."""
        cookies = "; ".join(f"{c['name']}={c['value']}" for c in self.context.cookies())
        return self.send(urllib.request.Request(self.local(path), headers={"Cookie": cookies}))

    def local(self, address: str) -> str:
        """An address or path of the server's as this process reaches it, which knows no names of ours."""
        return f"http://127.0.0.1:{self.server.port}{address.removeprefix(self.server.address)}"

    def send(self, request: urllib.request.Request) -> bytes:
        with urllib.request.urlopen(request, timeout=20) as got:
            data: bytes = got.read()
        return data

    def only_own_requests(self) -> None:
        """Nothing left the machine."""
        foreign = [a for a in self.asked if not re.match(rf"{self.server.address}/|blob:|data:", a)]
        assert not foreign, foreign


def context_of(browser: Browser, *, clock: bool = True, **device: Any) -> BrowserContext:
    """A device's own cookies and pages, in the test's zone and by its clock, but where the browser's process has that already."""
    context = browser.new_context(timezone_id=ZONE, **device)
    if clock:
        context.clock.install(time=now().local)
    return context


def come_in(browser: Browser, server: Serving, person: str = "Ada", *, clock: bool = True, **device: Any) -> Visit:
    """A device that was let in by a link of its own; `clock` as in `context_of`."""
    context = context_of(browser, clock=clock, **(device or PHONE))
    context.set_default_timeout(20_000)
    visit = Visit(context, context.new_page(), server)

    def asked(request: Request) -> None:
        visit.asked.append(request.url)

    visit.page.on("request", asked)
    visit.page.on("pageerror", lambda e: visit.errors.append(str(e)))
    visit.page.goto(server.link())
    visit.page.get_by_label("Who holds it").fill(person)
    visit.page.get_by_role("button", name="Come in").click()
    visit.page.wait_for_url(f"{server.address}/")
    return visit


def clock_of(visit: Visit) -> float:
    """What the page's clock says, in seconds since 1970."""
    return float(visit.page.evaluate("Date.now()")) / 1000


def begin_job(visit: Visit) -> str:
    """Begins the job that is due; the path of its sheet."""
    visit.goto("/")
    visit.page.get_by_role("button", name="Begin: ").click()
    visit.page.wait_for_url("**/jobs/*")
    ready(visit)
    return "/" + visit.page.url.split("#")[0].split("/", 3)[3]


def ready(visit: Visit) -> None:
    visit.page.wait_for_selector("[data-job][data-ready=yes]", state="attached")


@dataclass
class Thumb:
    """What a person does on a sheet: taps, and characters typed."""

    taps: int = 0
    typed: int = 0
    read: int = 0


def answer(
    visit: Visit, otherwise: dict[str, str] | None = None, *, stays: bool = False, thumb: Thumb | None = None
) -> str:
    """Answers the step in hand as planned and sends it, after its cautions; its id.

    `otherwise`: another option, by 'pick', or another figure, by the name of its field. `stays`: it has to be corrected, and stays in hand.
    """
    page, thumb = visit.page, thumb or Thumb()
    act = page.locator("[data-act]")
    page.locator("[data-gate]:visible, .in-hand .step:visible").first.wait_for()
    while page.locator("[data-gate]").is_visible():
        act.click()
        thumb.read += 1
    section = page.locator(".in-hand .step:visible")
    step = str(section.get_attribute("data-step"))
    for ask in section.locator("[data-ask]").all():
        if not ask.is_visible() or ask.locator("xpath=ancestor::details").count():
            continue
        _say(section, ask, otherwise or {}, thumb)
    act.click()
    thumb.taps += 1
    mark = page.locator(f"#step-{step} [data-mark]")
    expect(mark).not_to_have_text(re.compile("open"))
    if stays:
        expect(mark).to_contain_text("to be corrected")
        expect(section).to_be_visible()
    else:
        expect(page.locator(f"#step-{step}")).to_be_hidden()
        page.locator("[data-gate]:visible, [data-over]:visible, .in-hand .step:visible").first.wait_for()
    return step


def _say(section: Locator, ask: Locator, otherwise: dict[str, str], thumb: Thumb) -> None:
    """Answers one ask that is in sight, where the pinned action does not answer it by itself."""
    kind, one_tap = ask.get_attribute("data-kind"), section.get_attribute("data-tap")
    wanted = otherwise.get("pick")
    if kind == "pick" and (wanted or not one_tap) and ask.locator(".tiles").is_visible():
        expected = ask.get_attribute("data-expect")
        tile = (
            ask.get_by_label(wanted, exact=True)
            if wanted
            else ask.locator(f"input[value='{expected}']" if expected else "input").first
        )
        tile.check(force=True)
        thumb.taps += 1
    elif kind == "done" and not one_tap:
        ask.locator("input").check()
        thumb.taps += 1
    elif kind == "id" and ask.locator(".tiles").count() and not one_tap:
        ask.locator("input[value='as-shown']").check(force=True)
        thumb.taps += 1
    elif kind in ("pressure", "minutes", "temperature", "tread") or (
        kind == "id" and not ask.locator(".tiles").count()
    ):
        box = ask.locator("input").first
        said = _said(section, str(box.get_attribute("name")), otherwise)
        if box.input_value() != said:
            box.fill(said)
            thumb.taps += 1
            thumb.typed += len(said)


def _said(section: Locator, name: str, otherwise: dict[str, str]) -> str:
    """The figure or ID that a person reads who does as the sheet says."""
    if name in otherwise:
        return otherwise[name]
    step = str(section.get_attribute("data-step"))
    if name.startswith("a-id-"):
        return str(
            section.locator(f"[name='{name}']").locator("xpath=ancestor::*[@data-ask]").get_attribute("data-wanted")
            or "1234ABCD"
        )
    figure = str(section.get_attribute("data-figure") or "2.40")
    if name.startswith("a-pressure"):
        return "0.40" if step.startswith("let-down") else figure
    if name == "a-dash-before":
        return "1.90"
    if name == "a-dash-now":
        return figure
    return "5" if name.startswith("a-tread-") else {"a-temperature": "17", "a-minutes": "20"}.get(name, "3")


def at(visit: Visit, step: str) -> None:
    """Goes to a step, its cautions read."""
    visit.page.evaluate("id => { location.hash = ''; location.hash = '#step-' + id }", step)
    page = visit.page
    page.locator(f"[data-gate]:visible, #step-{step}:visible").first.wait_for()
    while page.locator("[data-gate]").is_visible():
        page.locator("[data-act]").click()
    expect(page.locator(f"#step-{step}")).to_be_visible()


def unfold(visit: Visit, step: str) -> Locator:
    """A step in hand with what may be left out, and the ways to skip it, in sight."""
    section = visit.page.locator(f"#step-{step}")
    if section.locator("details.more[open]").count() == 0:
        section.locator("details.more > summary").click()
    return section


def done_at(visit: Visit, step: str) -> None:
    """Sends the step that is in hand as it is filled in, and waits until it is no more in hand."""
    visit.page.locator("[data-act]").click()
    expect(visit.page.locator(f"#step-{step}")).to_be_hidden()


def all_sent(visit: Visit) -> None:
    """Waits until the book has every answer of this device."""
    expect(visit.page.locator("[data-line]")).to_have_text("✓ all saved", timeout=30_000)


def claims_of(book: Path) -> list[tuple[str, str]]:
    """Step and client of every claim in a book, in order."""
    import sqlite3

    conn = sqlite3.connect(book)
    try:
        return [tuple(row) for row in conn.execute("select step, client from evidence order by num")]
    finally:
        conn.close()


def wait_for(what: Any, seconds: float = 20) -> None:
    """Waits until a call gives something true."""
    until = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < until, "it did not happen in time"
        time.sleep(0.1)


def desk_at(book: Path) -> Desk:
    return open_desk(str(book))[0]
