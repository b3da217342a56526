"""Links for a tyre shop: each shows the note of one job, for a time, and lets no browser in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, and_, select

from wheelside.book import tables
from wheelside.book.checksum import amend, put
from wheelside.book.visitors import digest_of
from wheelside.units.moment import Moment


@dataclass(frozen=True, slots=True)
class ShopLink:
    """A link that counts: to which job, and until when, in microseconds since 1970, UTC."""

    id: str
    job: str
    until_us: int


_l = tables.shop_link.c


def add_shop_link(conn: Connection, link: ShopLink, token: str, at: Moment) -> None:
    """Keeps a link by its token's digest; an earlier one of its job ends."""
    end_shop_links(conn, link.job, at)
    row = {"id": link.id, "digest": digest_of(token), "job": link.job, "made_at": at.us, "until": link.until_us}
    put(conn, tables.shop_link, row)


def shop_link_of(conn: Connection, token: str, at: Moment) -> ShopLink | None:
    """The link with this token; None where it is unknown, was ended, is too old, or its job has ended."""
    return _link(conn.execute(_counting(at, _l.digest == digest_of(token))).first())


def shop_links_out(conn: Connection, at: Moment) -> tuple[ShopLink, ...]:
    """Every link that counts, the one that ends last first."""
    rows = conn.execute(_counting(at).order_by(_l.until.desc(), _l.id))
    return tuple(link for row in rows if (link := _link(row)) is not None)


def end_shop_links(conn: Connection, job: str, at: Moment) -> None:
    """Ends every link of a job."""
    amend(conn, tables.shop_link, and_(_l.job == job, _l.ended_at.is_(None)), ended_at=at.us)


def end_all_shop_links(conn: Connection, at: Moment) -> None:
    """Ends every link."""
    amend(conn, tables.shop_link, _l.ended_at.is_(None), ended_at=at.us)


def _counting(at: Moment, *more: ColumnElement[bool]) -> Select[Any]:
    """The links that count at a moment: not ended by hand, not too old, of a job that is under way."""
    over = tables.job_end.c.job
    return (
        select(_l.id, _l.job, _l.until)
        .join(tables.job_end, over == _l.job, isouter=True)
        .where(over.is_(None), _l.ended_at.is_(None), _l.until >= at.us, *more)
    )


def _link(row: Row[Any] | None) -> ShopLink | None:
    return None if row is None else ShopLink(row.id, row.job, row.until)
