"""Bringing a book's tables to the layout that this version writes, and refusing those of a newer one."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, inspect, text

from wheelside.errors import Outside

NEWEST = "0012"
"""The last step in `migrations/versions`; a test holds both together."""
_STEPS = Path(__file__).parent / "migrations"


def layout_of(conn: Connection) -> str | None:
    """The layout of the tables there are; None where there is no book."""
    if not inspect(conn).has_table("layout"):
        return None
    return str(conn.execute(text("select version_num from layout")).scalar_one())


def refuse_newer(layout: str, name: str) -> None:
    """Raises Outside where the layout is none that this version knows."""
    if layout not in known_layouts():
        raise Outside(
            f"opening the book {name}: its layout is {layout}, this Wheelside writes {NEWEST} and knows none later; "
            "use the Wheelside that wrote it, or a newer one. Nothing was changed"
        )


def known_layouts() -> frozenset[str]:
    """Every layout that this version knows."""
    return frozenset(f.name.split("_")[0] for f in (_STEPS / "versions").glob("0*.py"))


def bring_to(conn: Connection, layout: str = NEWEST) -> None:
    """Runs the steps that are missing up to `layout`, each recorded together with what it does."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_STEPS))
    config.attributes["connection"] = conn
    command.upgrade(config, layout)
