"""Bringing a book's tables to the layout that this version writes, and refusing those of a newer one."""

from __future__ import annotations

import re
from pathlib import Path

from sqlalchemy import Connection, inspect, text

from wheelside.errors import Outside

NEWEST = "0002"
"""The last step in `migrations/versions`; a test holds both together."""
_STEPS = Path(__file__).parent / "migrations"


def layout_of(conn: Connection) -> str | None:
    """The layout of the tables there are; None where there is no book."""
    if not inspect(conn).has_table("layout"):
        return None
    return str(conn.execute(text("select version_num from layout")).scalar_one())


def refuse_newer(layout: str, name: str) -> None:
    """Raises Outside where the layout is none that this version knows."""
    known = {re.match(r"\d+", f.name)[0] for f in (_STEPS / "versions").glob("0*.py")}  # type: ignore[index]
    if layout not in known:
        raise Outside(
            f"opening the book {name}: its layout is {layout}, this Wheelside writes {NEWEST} and knows none later; "
            "use the Wheelside that wrote it, or a newer one. Nothing was changed"
        )


def bring_to(conn: Connection, layout: str = NEWEST) -> None:
    """Runs the steps that are missing up to `layout`, each recorded together with what it does."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_STEPS))
    config.attributes["connection"] = conn
    command.upgrade(config, layout)
