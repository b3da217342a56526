"""Fifty people with phones at one book: how long its pages take, and how much each of them weighs.

    python benchmarks/pages.py                  50 people for 60 s, with 1 to 3 s of thinking between two requests
    python benchmarks/pages.py --sets 47        with 47 more invented sets, each on a car of its own: 200 wheels
    python benchmarks/pages.py --rate 0         pages and polls only, nothing is written

A real `wheelside serve` runs beside this program, on loopback, with the demo household and a job that was begun. The
people came in by links of their own, and look at pages in a random order from a seed; one request in ten is a write:
evidence of the job, and now and then the correction of a fact. Each keeps one connection, as a browser does. A time
is from the first byte sent to the last one received, with whatever this program is late by left in; it prints its
own share of a processor, how late its timers were, and what else went on beside it, so that one can tell.

Prints requests, failures (any status from 400 on, and anything raised), times by kind of page, and the weight of pages:
HTML, and the whole with style and script, uncompressed, without photos. The project holds itself to: none fails,
95 % of requests below 100 ms, no page above 150 kB.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import random
import re
import resource
import subprocess
import sys
import tempfile
import time
import uuid
from collections import defaultdict
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from wheelside.demo import household
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.doors import new_key
from wheelside.jobs.book.files import take_in
from wheelside.jobs.source import now
from wheelside.jobs.work.doing import begin, doing
from wheelside.sheet.ask import Ask, Asked
from wheelside.web.guard import ticket_for

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

PEOPLE = 50
SEED = 20261125
BAR_MS, BAR_BYTES = 100.0, 150_000
THINKING_S = (1.0, 3.0)
TICK_S = 0.01
FORMS = ("car/estate", "sensor/sensor S1", "wheel/W1", "set/winter", "tyre/tyre S1", "conditions/one", "family/kestrel")


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    body: bytes
    ms: float


class Line:
    """One browser's connection, kept open; as little HTTP as the server needs."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.cookie = ""
        self.streams: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = None

    async def ask(self, method: str, path: str, body: bytes = b"", kind: str = "", ticket: str = "") -> Answer:
        """Sends one request and reads its whole answer. Raises OSError, EOFError."""
        lines = [f"{method} {path} HTTP/1.1", f"Host: 127.0.0.1:{self.port}"]
        lines += [f"Cookie: {self.cookie}"] if self.cookie else []
        lines += [f"Content-Type: {kind}", f"Content-Length: {len(body)}"] if kind else []
        lines += [f"X-Wheelside-Ticket: {ticket}"] if ticket else []
        data = "\r\n".join([*lines, "", ""]).encode() + body
        if self.streams is None:
            self.streams = await asyncio.open_connection("127.0.0.1", self.port)
        reader, writer = self.streams
        try:
            start = time.perf_counter()
            writer.write(data)
            head = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1").split("\r\n")
            headers = {k.lower(): v.strip() for k, _, v in (line.partition(":") for line in head[1:] if line)}
            got = await reader.readexactly(int(headers.get("content-length", "0")))
            ms = (time.perf_counter() - start) * 1000
        except BaseException:
            self.close()
            raise
        if headers.get("connection") == "close":
            self.close()
        return Answer(int(head[0].split()[1]), headers, got, ms)

    def close(self) -> None:
        """Gives the connection up."""
        if self.streams is not None:
            self.streams[1].close()
            self.streams = None


@dataclass
class Seen:
    """What was measured: times by kind, failures, and the largest body of each page."""

    times: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    failures: list[str] = field(default_factory=list)
    largest: dict[str, tuple[int, str]] = field(default_factory=dict)
    late: list[float] = field(default_factory=list)

    def note(self, kind: str, path: str, answer: Answer) -> None:
        """Notes one answer."""
        self.times[kind].append(answer.ms)
        if answer.status >= 400:
            self.failures.append(f"{path}: {answer.status} {answer.body[:200].decode(errors='replace')}")
        elif len(answer.body) > self.largest.get(kind, (0, ""))[0]:
            self.largest[kind] = (len(answer.body), path)


@dataclass(frozen=True)
class Household:
    """The book that is served: its job, its pages by kind, what can be claimed at which step, whose facts are corrected."""

    job: str
    pages: dict[str, tuple[str, ...]]
    claims: tuple[tuple[str, list[dict[str, str]]], ...]
    tyres: tuple[str, ...]


def garage_text(more_sets: int) -> str:
    """The demo household, with more invented sets, each on a car of its own."""
    lines = [household().decode()]
    for n in range(more_sets):
        lines.append(
            f'[[car]]\nid = "c{n}"\nlabel = "Van {n}"\nstands_at = "carport"\nmonitor = "direct"\nfamily = "kestrel"\n'
            f'spare_counted = false\ncorner_aware = false\ntaught_by = "driving"\nholds = [{{ set = "set{n}" }}]'
        )
        for k in range(4):
            wheel = f"{n}.{k}"
            lines.append(
                f'[[tyre]]\nid = "tyre {wheel}"\ndesignation = "175/65 R15 84T"\nmax_pressure = "51 psi"\n'
                f'[[sensor]]\nid = "sensor {wheel}"\nsends = "0x{0x51000000 + 4099 * (4 * n + k):08X}"\nfamily = "kestrel"\nanswers = true\n'
                f'[[wheel]]\nid = "wheel {wheel}"\njoined = [{{ tyre = "tyre {wheel}", sensor = "sensor {wheel}" }}]'
            )
        corners = ", ".join(
            f'{c} = "wheel {n}.{k}"' for k, c in enumerate(("front_left", "front_right", "rear_left", "rear_right"))
        )
        lines.append(f'[[set]]\nid = "set{n}"\nlabel = "Set {n}"\nwheels = {{ {corners} }}')
        lines.append(f'[[stay]]\nset = "set{n}"\non = "c{n}"\nsince = 2021-05-01')
    return "\n".join(lines) + "\n"


def said(ask: Ask) -> str:
    """An answer as planned, where there is one."""
    if ask.kind is Asked.PRESSURE:
        return f"{(ask.pressure.kpa if ask.pressure else 230) / 100:.2f} bar"
    if ask.kind is Asked.TEMPERATURE:
        return "12 °C"
    if ask.kind is Asked.DONE:
        return "done"
    if ask.wanted is not None:
        return ask.wanted.hex
    return "" if ask.kind is Asked.PHOTO else ask.expect or (ask.options[0] if ask.options else "")


def made(desk: Desk, file: Path, more_sets: int) -> Household:
    """Fills a book, and begins the job of putting the winter set on."""
    file.write_text(garage_text(more_sets), encoding="utf-8")
    take_in(desk, file)
    begun = begin(desk, car="estate", wheel_set="winter")
    assert begun.job is not None, begun.forbidden
    garage = desk.loaded().garage
    steps = doing(desk, begun.job).start.sheet.steps
    claims = tuple((s.id, [{"ask": a.id, "said": t} for a in s.asks if (t := said(a))]) for s in steps)
    pages = {
        "/": ("/",), "/plan": ("/plan",), "/air": ("/air",), "/things": ("/things",), "/facts": ("/facts",),
        "/settings": ("/settings",), "run sheet": (f"/jobs/{begun.job}",),
        "car": tuple(f"/things/car/{quote(c.id)}" for c in garage.car),
        "set": tuple(f"/things/set/{quote(s.id)}" for s in garage.set),
        "wheel": tuple(f"/things/wheel/{quote(w.id)}" for w in garage.wheel),
        "facts form": tuple(f"/facts/{quote(one)}" for one in FORMS),
    }  # fmt: skip
    return Household(begun.job, pages, claims, tuple(t.id for t in garage.tyre))


@dataclass
class Person:
    """One person with a browser."""

    number: int
    line: Line
    house: Household
    seen: Seen
    writes: float
    facts: float
    after: int = 0
    made: int = 0

    def __post_init__(self) -> None:
        self.draw = random.Random(SEED * 1000 + self.number)

    @property
    def ticket(self) -> str:
        return ticket_for(self.line.cookie.partition("=")[2])

    async def come_in(self, way: str) -> None:
        """Comes in by a one-time link."""
        form = urlencode({"label": f"phone {self.number}", "person": f"Person {self.number}"}).encode()
        answer = await self.line.ask("POST", way, form, "application/x-www-form-urlencoded")
        assert answer.status == 303, answer
        self.line.cookie = answer.headers["set-cookie"].partition(";")[0]

    async def stay(self, start: float, end: float) -> None:
        """Looks at pages and writes until the end."""
        await asyncio.sleep(max(0.0, start - time.perf_counter()))
        round_of: list[str] = []
        while time.perf_counter() < end:
            if self.draw.random() < self.writes:
                await self._tried(self._correct if self.draw.random() < self.facts else self._claim)
            else:
                if not round_of:
                    round_of = [*self.house.pages, "poll"]
                    self.draw.shuffle(round_of)
                kind = round_of.pop()
                await self._tried(self._poll if kind == "poll" else lambda kind=kind: self._look(kind))
            await asyncio.sleep(self.draw.uniform(*THINKING_S))
        self.line.close()

    async def _tried(self, what: Any) -> None:
        try:
            await what()
        except (OSError, EOFError) as error:
            self.seen.failures.append(f"{type(error).__name__}: {error}")

    async def _ask(self, kind: str, method: str, path: str, data: Any = None) -> Answer:
        body = b"" if data is None else json.dumps(data).encode()
        ticket = self.ticket if data is not None else ""
        answer = await self.line.ask(method, path, body, "application/json" if body else "", ticket)
        self.seen.note(kind, path, answer)
        return answer

    async def _look(self, kind: str) -> None:
        await self._ask(kind, "GET", self.draw.choice(self.house.pages[kind]))

    async def _poll(self) -> None:
        answer = await self._ask("poll", "GET", f"/api/jobs/{self.house.job}/evidence?after={self.after}")
        self.after = json.loads(answer.body)["last"] if answer.status == 200 else self.after

    async def _claim(self) -> None:
        step, answers = self.draw.choice(self.house.claims)
        claim = {
            "client": uuid.uuid4().hex, "step": step, "kind": "done", "at_us": now().us, "seen": self.after,
            "answers": answers,
        }  # fmt: skip
        await self._ask("evidence sent", "POST", f"/api/jobs/{self.house.job}/evidence", {"claims": [claim]})

    async def _correct(self) -> None:
        """Another tread depth for a tyre that nobody else of these people corrects, unless there are more people than tyres."""
        path = f"/api/facts/tyre/{quote(self.house.tyres[self.number % len(self.house.tyres)])}"
        async with _ALONE:
            row = json.loads((await self._ask("fact asked for", "GET", path)).body)
            self.made += 1
            body = {**row["body"], "tread": f"{5 - self.made / 100 - self.number / 1000:.3f} mm"}
            await self._ask("fact corrected", "PUT", path, {"since": row["since"], "body": body})


_ALONE = asyncio.Lock()
"""Corrections take turns: two of one row at a time are refused by right, which would count as a failure here."""


@asynccontextmanager
async def watched(seen: Seen) -> AsyncIterator[None]:
    """Notes how late this program's own timers are while the block runs."""

    async def watch() -> None:
        while True:
            start = time.perf_counter()
            await asyncio.sleep(TICK_S)
            seen.late.append((time.perf_counter() - start - TICK_S) * 1000)

    task = asyncio.create_task(watch())
    try:
        yield
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task


@dataclass(frozen=True)
class Server:
    """A server that runs, and the link that it printed."""

    process: subprocess.Popen[str]
    port: int
    way: str


@contextmanager
def served(book: Path) -> Iterator[Server]:
    """`wheelside serve` for a book, until the block ends."""
    from servers import free_port

    port = free_port()
    command = [str(Path(sys.executable).with_name("wheelside")), "serve", str(book), "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"})
    try:
        assert process.stdout is not None
        found = next((m for line in process.stdout if (m := re.search(r"https?://[^/]+(/in/\S+)", line))), None)
        assert found is not None, "the server printed no link"
        yield Server(process, port, found[1])
    finally:
        process.terminate()
        process.wait(30)
        assert process.stdout is not None
        process.stdout.close()


async def crowd(server: Server, ways: list[str], house: Household, seen: Seen, asked: argparse.Namespace) -> None:
    """Lets everybody in, looks at each kind of page once without measuring, then lets them go about."""
    people = [Person(n, Line(server.port), house, seen, asked.rate, asked.facts) for n in range(len(ways))]
    for person, way in zip(people, ways, strict=True):
        await person.come_in(way)
    first = people[0].line
    for paths in house.pages.values():
        await first.ask("GET", paths[0])
    start, before = time.perf_counter(), used(server.process.pid)
    async with watched(seen):
        stays = [p.stay(start + THINKING_S[1] * p.number / len(people), start + asked.seconds) for p in people]
        await asyncio.gather(*stays)
    took = time.perf_counter() - start
    mine, its, others = (100 * (b - a) / took for a, b in zip(before, used(server.process.pid), strict=True))
    print(
        f"share of a processor: this program {mine:.1f} %, the server {its:.0f} %, all else on this machine {others:.0f} %"
    )
    late = sorted(seen.late)
    print(f"timers late by {share(late, 0.5):.1f} ms median, {share(late, 0.95):.1f} ms 95 %, {late[-1]:.1f} ms most")
    await weights(first, house, seen)


def used(server: int) -> tuple[float, float, float]:
    """Seconds of processor time used so far by this program, by the server and by all else; not numbers where the system does not tell."""
    mine, tick = time.process_time(), os.sysconf("SC_CLK_TCK")
    try:
        fields = Path(f"/proc/{server}/stat").read_text().rpartition(")")[2].split()
        busy = Path("/proc/stat").read_text().split("\n", 1)[0].split()
    except OSError:
        return mine, float("nan"), float("nan")
    its = (int(fields[11]) + int(fields[12])) / tick
    everybody = sum(int(n) for i, n in enumerate(busy[1:9]) if i not in (3, 4)) / tick
    return mine, its, everybody - its - mine


async def weights(line: Line, house: Household, seen: Seen) -> None:
    """Loads every page once more with its style and script, and prints the heaviest of each kind."""
    worst, files = 0, dict[str, int]()
    print(f"weight in bytes, uncompressed (bar {BAR_BYTES:,})")
    for kind, paths in house.pages.items():
        rows = []
        for path in paths:
            answer = await line.ask("GET", path)
            if answer.status >= 400:
                seen.failures.append(f"{path}: {answer.status}")
            named = set(re.findall(r'(?:href|src)="(/static/[^"]+\.(?:css|js))"', answer.body.decode()))
            for name in named - files.keys():
                files[name] = len((await line.ask("GET", name)).body)
            html = max(len(answer.body), seen.largest[kind][0] if seen.largest.get(kind, (0, ""))[1] == path else 0)
            rows.append((html, html + sum(files[name] for name in named), path))
        html, whole, path = max(rows)
        worst = max(worst, whole)
        print(f"  {kind:16} HTML {html:>8,}   whole {whole:>8,}   {path}")
    print(
        f"  heaviest page {worst:,}; style and script: {', '.join(f'{Path(n).name} {s:,}' for n, s in files.items())}"
    )
    if worst > BAR_BYTES:
        seen.failures.append(f"a page weighs {worst:,} bytes")


def share(ordered: list[float], part: float) -> float:
    """The value below which a part of the values lie."""
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))]


def tell(seen: Seen) -> bool:
    """Prints the times; whether the bar is kept."""
    everything = sorted(ms for times in seen.times.values() for ms in times)
    print(f"requests: {len(everything)}; failures: {len(seen.failures)}")
    for failure in seen.failures[:10]:
        print(f"  ! {failure}")
    print(f"  {'ms':16} {'number':>7} {'median':>8} {'95 %':>8} {'99 %':>8} {'most':>8}")
    rows = [*sorted(seen.times.items(), key=lambda row: -share(sorted(row[1]), 0.95)), ("all", everything)]
    for kind, times in rows:
        t = sorted(times)
        print(
            f"  {kind:16} {len(t):>7} {share(t, 0.5):>8.1f} {share(t, 0.95):>8.1f} {share(t, 0.99):>8.1f} {t[-1]:>8.1f}"
        )
    within = share(everything, 0.95)
    print(f"95 % within {within:.1f} ms (bar {BAR_MS:.0f} ms)")
    return not seen.failures and within < BAR_MS


def main() -> int:
    """0 where the bars are kept, else 1."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--people", type=int, default=PEOPLE)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--sets", type=int, default=0, help="how many sets more than the household's three")
    parser.add_argument("--rate", type=float, default=0.1, help="which part of the requests are writes")
    parser.add_argument("--facts", type=float, default=0.1, help="which part of the writes are corrections of facts")
    asked = parser.parse_args()
    seen = Seen()
    with tempfile.TemporaryDirectory(prefix="wheelside-pages-") as folder:
        book = Path(folder) / "household.book"
        desk = new_desk(str(book))
        house = made(desk, Path(folder) / "household.toml", asked.sets)
        ways = [f"/in/{new_key(desk)}" for _ in range(asked.people - 1)]
        desk.close()
        wheels = len(house.pages["wheel"])
        print(
            f"{asked.people} people for {asked.seconds:.0f} s at a book of {wheels} wheels, {100 * asked.rate:.0f} % writes"
        )
        with served(book) as server:
            asyncio.run(crowd(server, [server.way, *ways], house, seen, asked))
    print(f"the server's most memory: {resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024:.0f} MiB")
    return 0 if tell(seen) else 1


if __name__ == "__main__":
    sys.exit(main())
