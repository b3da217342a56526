"""Makes a book, a proof and its page with the Wheelside of an earlier commit, as the tests of the migration read them.

Run with that commit's `src` before everything else, in an environment that has today's dependencies:

    PYTHONPATH=OLD/src python tests/older/make.py NAME tests/older

NAME-open.sql: the book while its job is under way; NAME-open.json: how that version said the steps stand; NAME.sql: the book after
the job was finished; NAME.json, NAME.html: its proof.
"""

from __future__ import annotations

import inspect
import json
import shutil
import sqlite3
import sys
import tempfile
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from wheelside.demo import household
from wheelside.jobs.desk import Desk, new_desk, open_desk
from wheelside.jobs.doing import begin, doing, take_claims
from wheelside.jobs.files import take_in
from wheelside.jobs.finish import finish, proof_of
from wheelside.proof.page import proof_page
from wheelside.sheet.claim import Answer, Claim, ClaimKind
from wheelside.units.moment import Moment

NOON = Moment.of(datetime(2026, 11, 25, 12, tzinfo=timezone(timedelta(hours=1))))
OTHERWISE = {
    "snapshot": {"lamp": "never lights"},
    "codes-before": {"codes": "some"},
    "air-w2": {"pressure-w2": "2.1"},
    "air-w3": {"pressure-w3": "low"},
    "wake-w2": {"id-w2": "no answer within two minutes"},
    "second-start": {"lamp": "lights, then goes out"},
    "codes-after": {"codes": "none", "lamp": "not told"},
    "ids-heard": {"list": "just these, heard by a receiver"},
    "corner-w4": {"moved": "none"},
    "retorque": {"moved": "some moved"},
    "choose-set": {"chosen": "nothing yet"},
}
"""Answers in the sentences of then."""
SKIPPED = {"label": "tags are on"}
LEFT = ("store", "challenge")


def said_at(ask: Any) -> str:
    """What a person says whose work goes as planned."""
    kind = ask.kind.value
    if kind == "pick":
        return str(ask.expect or ask.options[0])
    if kind == "pressure":
        return f"{(ask.kpa if ask.kpa is not None else 240) / 100:.2f}"
    if kind == "id":
        return str(ask.expect or "0x1234ABCD")
    if getattr(ask, "kelvin", None) is not None:
        return f"{ask.kelvin - 273.15:.2f} °C"
    if "after how many minutes" in ask.label:
        return ""
    plain = {"done": "yes", "temperature": "17", "minutes": "20", "words": "noted", "photo": "", "tread": "5"}
    return plain[kind]


def do(desk: Desk, job: str) -> None:
    """Claims most steps: as planned, otherwise, skipped, in two ways."""
    claims = []
    for n, step in enumerate(doing(desk, job).start.sheet.steps):
        at, client = Moment(NOON.us + n * 600_000_000, NOON.offset_min), f"client-{n:04}"
        if step.id in SKIPPED:
            claims.append(
                Claim(client, job, step.id, ClaimKind.SKIPPED, at, "Ada", "phone", 10**9, reason=SKIPPED[step.id])
            )
        elif step.id not in LEFT:
            other = OTHERWISE.get(step.id, {})
            answers = tuple(Answer(a.id, other.get(a.id, said_at(a))) for a in step.asks)
            claims.append(Claim(client, job, step.id, ClaimKind.DONE, at, "Ada", "phone", 10**9, answers))
    take_claims(desk, job, claims)
    first = next(c for c in claims if c.step == "pressures-before")
    ben = (Answer(first.answers[0].ask, "1.9"), *first.answers[1:])
    take_claims(desk, job, [Claim("client-ben1", job, first.step, ClaimKind.DONE, first.at, "Ben", "other", 0, ben)])


def stand(desk: Desk, job: str) -> list[Any]:
    """How each step stands, by that version."""
    return [
        [
            s.step.id, s.finished, s.rival is not None, list(s.waits),
            [[a.ask.id, a.as_planned, bool(a.problem), a.hex] for a in s.answers],
        ]
        for s in doing(desk, job).states
    ]  # fmt: skip


def dumped(book: Path) -> str:
    """A book as text."""
    with sqlite3.connect(book) as conn:
        return "\n".join(conn.iterdump()) + "\n"


def main(name: str, into: Path) -> None:
    """Writes the five files."""
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "old.book"
        (Path(folder) / "household.toml").write_bytes(household())
        desk = new_desk(str(book))
        desk.clock = lambda: NOON
        take_in(desk, Path(folder) / "household.toml")
        job = begin(desk).job
        assert job is not None
        do(desk, job)
        (into / f"{name}-open.json").write_text(json.dumps({"job": job, "steps": stand(desk, job)}) + "\n")
        desk.close()
        shutil.copy(book, Path(folder) / "open.book")
        (into / f"{name}-open.sql").write_text(dumped(Path(folder) / "open.book"))
        desk, _ = open_desk(str(book))
        desk.clock = lambda: Moment(NOON.us + 86_400_000_000, NOON.offset_min)
        more = {"leave_open": True} if "leave_open" in inspect.signature(finish).parameters else {}
        finish(desk, job, **more)
        proof = proof_of(desk, job)
        desk.close()
        (into / f"{name}.sql").write_text(dumped(book))
        (into / f"{name}.json").write_text(json.dumps(proof, ensure_ascii=False) + "\n")
        (into / f"{name}.html").write_text(proof_page(proof, {}))


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
