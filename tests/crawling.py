"""Walking through every page that links lead to, as somebody who was let in."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable
from html.parser import HTMLParser

from sqlalchemy import select

from visits import Site
from wheelside.book import tables
from wheelside.jobs.book.desk import Desk

MOST = 400
"""Pages of one book: more than the demo has."""


class Visible(HTMLParser):
    """What a person can read on a page, and where its links lead."""

    def __init__(self) -> None:
        super().__init__()
        self.hidden = 0
        self.text: list[str] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.hidden += tag in ("script", "style", "textarea")
        if tag == "a" and named.get("href"):
            self.links.append(str(named["href"]))
        self.text += [str(named[name]) for name in ("placeholder", "title", "aria-label") if named.get(name)]

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in ("script", "style", "textarea")

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.text.append(data)


def seen_on(page: str) -> Visible:
    found = Visible()
    found.feed(page)
    return found


def crawl(site: Site, never: Iterable[str] = ()) -> dict[str, str]:
    """Every page that links lead to, by its address: what can be read on it. `never`: what may stand in none, hidden or not."""
    todo: list[str] = ["/", "/jobs", "/plan", "/air", "/things", "/fit", "/facts", "/settings"]
    found: dict[str, str] = {}
    while todo and len(found) < MOST:
        path = todo.pop().split("#")[0]
        if (
            path in found
            or not path.startswith("/")
            or re.search(r"\.(ics|json|pdf|jpg|css|js|csv|toml)$|^/static|^/api", path)
        ):
            continue
        answer = site.client.get(path)
        if answer.headers.get("content-type", "").startswith("text/html"):
            assert [text for text in never if text in answer.text] == [], path
            page = seen_on(answer.text)
            found[path] = re.sub(r"\s+", " ", " ".join(page.text))
            todo += page.links
        elif answer.status_code in (302, 303, 307):
            todo.append(str(answer.headers["location"]))
    assert len(found) < MOST
    return found


def secrets_of(desk: Desk, site: Site, *keys: str) -> list[str]:
    """Every secret in the forms in which it could be printed."""
    with desk.book.reading() as conn:
        seal = str(conn.execute(select(tables.book.c.seal)).scalar_one())
        digests = conn.execute(select(tables.visitor.c.digest)).scalars().all()
    raw = bytes.fromhex(seal)
    forms = [seal, seal.upper(), base64.b64encode(raw).decode(), base64.urlsafe_b64encode(raw).decode().rstrip("=")]
    return [*forms, site.token, *map(str, digests), *keys]
