"""Stages and ends of teachings as codes, in place of the sentences that stood for them; and who holds a car.

What no code is known for stays as it was said. The tables here are frozen: they say what the words meant in layout 0004.
"""

from __future__ import annotations

import json
import re
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"

BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
SMALL = sa.SmallInteger().with_variant(sa.Integer(), "sqlite")

STAGE, TOLD = "stage", "what came of it"
STAGES = {
    "old list kept": "saved", "extended session": "session", "begun": "begun", "written": "written", "finished": "finished",
    "read back": "read-back", "undoing": "undo", "ended": "ended",
}  # fmt: skip
OUTCOMES = {
    "the new list is in the car": "new-list",
    "the old list is in the car": "old-list",
    "what the car holds is not known": "not-known",
    "the car holds neither the old list nor the new one": "neither-list",
    "the old list is in the car, and the car does not say that it counts": "old-list-not-confirmed",
    "the old list is written back, and the car does not say that it counts": "old-list-not-confirmed",
    "the new list is in the car, and the car does not say that it counts": "new-list-not-confirmed",
    "the new list is written, and the car does not say that it counts": "new-list-not-confirmed",
    "the car's list was left as it is, on the owner's word": "accepted",
    "it was left as it is, on the owner's word": "accepted",
    "nothing was written": "nothing-written",
}
READ = re.compile(r"(?P<outcome>.+): (?P<holds>(?:[0-9A-F]{2} ?)*) was read from it\.", re.ASCII)
UNREAD = re.compile(
    r"(?P<outcome>.+): it could not be read after the step '(?P<stage>[^']+)'\.(?P<untouched> Nothing was written into it\.)?"
)


def upgrade() -> None:
    """Brings the records over, and makes the table."""
    op.create_table(
        "car_lock", sa.Column("car", sa.Text, primary_key=True), sa.Column("visit", sa.Text, nullable=False),
        sa.Column("person", sa.Text, nullable=False), sa.Column("program", sa.Text, nullable=False), sa.Column("doing", sa.Text, nullable=False),
        sa.Column("since", BIG, nullable=False), sa.Column("offset_min", SMALL, nullable=False), sa.Column("seen", BIG, nullable=False),
        sqlite_strict=True,
    )  # fmt: skip
    conn = op.get_bind()
    rows = conn.execute(
        sa.text("SELECT num, what, body FROM car_record WHERE what = :stage OR what = :told"),
        {"stage": STAGE, "told": TOLD},
    ).all()
    for num, what, body in rows:
        now = json.dumps((stage_now if what == STAGE else told_now)(json.loads(body)), sort_keys=True)
        conn.execute(sa.text("UPDATE car_record SET body = :body WHERE num = :num"), {"body": now, "num": num})


def stage_now(body: dict[str, Any]) -> dict[str, Any]:
    """A stage with its code, and the end's."""
    stage = STAGES.get(body["stage"], body["stage"])
    return {
        **body,
        "stage": stage,
        "data": OUTCOMES.get(body["data"], body["data"]) if stage == "ended" else body["data"],
    }


def told_now(body: dict[str, Any]) -> dict[str, Any]:
    """What was said in the end, as codes where all of it is known; else as it was said."""
    lines = [str(line) for line in body.get("lines", [])]
    came = _came(lines[0]) if lines else None
    if came is None:
        return {"of": body["of"], "said": lines}
    return {"of": body["of"], "came": {**came, "trouble": [{"what": "as-said", "text": line} for line in lines[1:]]}}


def _came(statement: str) -> dict[str, Any] | None:
    read, unread = READ.fullmatch(statement), UNREAD.fullmatch(statement)
    found = read or unread
    if found is None or found["outcome"] not in OUTCOMES:
        return None
    outcome = OUTCOMES[found["outcome"]]
    if read is not None:
        return {"outcome": outcome, "holds": read["holds"].replace(" ", "").lower(), "last": None, "touched": True}
    if found["stage"] not in STAGES:
        return None
    return {"outcome": outcome, "holds": None, "last": STAGES[found["stage"]], "touched": found["untouched"] is None}
