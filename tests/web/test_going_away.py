"""A client that goes away in the middle of what it sends: no bug, no report, nothing kept."""

from __future__ import annotations

import asyncio
import tempfile
from pathlib import Path
from typing import Any

import pytest

from visits import Site, let_in, outside
from wheelside.jobs.book.desk import Desk
from wheelside.web.guard import cookie_of

PART = b'--x\r\ncontent-disposition: form-data; name="file"; filename="garage.toml"\r\n\r\nwheelside = 1\r\n'


@pytest.fixture
def site(home: Desk) -> Site:
    return let_in(home)


@pytest.fixture
def reports(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder in which reports of bugs would lie."""
    folder = tmp_path / "reports"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


def _sent_by_half(site: Site, path: str, kind: str, body: bytes, *, inside: bool) -> list[dict[str, Any]]:
    """What is answered to a request whose client goes away after the first piece of its body."""
    messages: list[dict[str, Any]] = [
        {"type": "http.request", "body": body, "more_body": True},
        {"type": "http.disconnect"},
    ]
    headers = [(b"host", b"localhost"), (b"content-type", kind.encode()), (b"content-length", b"90000")]
    if inside:
        headers.append((b"cookie", f"{cookie_of(site.desk)}={site.token}".encode()))
        headers.append((b"x-wheelside-ticket", site.ticket.encode()))
    scope = {
        "type": "http", "http_version": "1.1", "method": "POST", "path": path, "raw_path": path.encode(), "root_path": "",
        "query_string": b"", "scheme": "http", "headers": headers, "client": ("127.0.0.1", 9), "server": ("localhost", 80),
    }  # fmt: skip
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return messages.pop(0) if messages else {"type": "http.disconnect"}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    async def asked() -> None:
        await outside(site.desk).app(scope, receive, send)  # type: ignore[arg-type]

    asyncio.run(asked())
    return sent


FORM, PARTS, JSON = "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "application/json"
SENT = (
    ("/settings/garage-file", PARTS, PART),
    ("/settings/readings", PARTS, PART),
    ("/jobs", FORM, b"ticket="),
    ("/jobs/JOB/steps/torque", PARTS, PART),
    ("/api/jobs/JOB/photos", "image/jpeg", b"\xff\xd8\xff"),
    ("/api/jobs", JSON, b"{"),
    ("/api/readings", JSON, b"[{"),
    ("/in/none", FORM, b"label="),
    ("/in/none", PARTS, PART),
    ("/shop/none", FORM, b"ticket="),
)


@pytest.mark.parametrize("inside", [True, False])
def test_a_client_that_goes_away_is_no_bug_and_leaves_nothing(site: Site, reports: Path, inside: bool) -> None:
    job = site.begin()
    journal = site.get("/settings").split("Journal")[1]
    for path, kind, body in SENT:
        sent = _sent_by_half(site, path.replace("JOB", job), kind, body, inside=inside)
        assert [m["status"] for m in sent if "status" in m] in ([400], [401]), path
        assert list(reports.iterdir()) == [], path
    assert not site.desk.photos.exists() or list(site.desk.photos.iterdir()) == []
    assert site.get("/settings").split("Journal")[1] == journal
