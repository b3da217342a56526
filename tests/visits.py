"""A browser without a screen: the application, asked in this process."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from datetime import date

from starlette.testclient import TestClient

from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.doors import new_key
from wheelside.web.app import make_app
from wheelside.web.guard import Manners, cookie_of, names_with, ticket_for

HOST = "http://localhost"


@dataclass
class Site:
    """One browser that was let in, and the desk behind the pages."""

    desk: Desk
    client: TestClient

    @property
    def token(self) -> str:
        return str(self.client.cookies[cookie_of(self.desk)])

    @property
    def ticket(self) -> str:
        return ticket_for(self.token)

    def get(self, path: str, status: int = 200) -> str:
        answer = self.client.get(path)
        assert answer.status_code == status, (path, answer.status_code, answer.text[:600])
        return str(answer.text)

    def post(self, path: str, status: int = 303, fields: dict[str, str] | None = None) -> str:
        """Sends a form; the address that it leads to, or the page where it leads nowhere."""
        answer = self.client.post(path, data={"ticket": self.ticket, **(fields or {})})
        assert answer.status_code == status, (path, answer.status_code, words(answer.text)[:900])
        return str(answer.headers.get("location", answer.text))

    def another(self) -> Site:
        """Another browser, let in by a key of its own."""
        return let_in(self.desk)

    def calendar(self) -> str:
        """The path of the calendar, as Settings show it."""
        found = re.search(rf"{HOST}(/calendar/\w+\.ics)", self.get("/settings"))
        assert found is not None
        return found[1]

    def begin(self) -> str:
        """Begins the job that is due; its id."""
        return self.post("/jobs").removeprefix("/jobs/")


def outside(
    desk: Desk, manners: Manners | None = None, car_link: str = "", example: tuple[str, date] = ("", date.min),
    *, host: str = "127.0.0.1",
) -> TestClient:  # fmt: skip
    """A browser that was not let in; `host`: the address from which it asks."""
    app = make_app(desk, manners or Manners(names_with(())), car_link, example)
    return TestClient(app, base_url=HOST, follow_redirects=False, raise_server_exceptions=False, client=(host, 50_000))


def let_in(
    desk: Desk,
    label: str = "phone",
    person: str = "Ada",
    car_link: str = "",
    example: tuple[str, date] = ("", date.min),
    host: str = "127.0.0.1",
) -> Site:
    """A browser that was let in; the server has a way to a car where one is named, and an example where there is one."""
    client = outside(desk, car_link=car_link, example=example, host=host)
    answer = client.post(f"/in/{new_key(desk)}", data={"label": label, "person": person})
    assert answer.status_code == 303, answer.text
    return Site(desk, client)


def words(page: str) -> str:
    """What a page says, without its markup."""
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))
