"""Everything that must be refused is refused, on pages and on the API alike."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from cryptography import x509

from books import NOON, later
from commands import run
from servers import new_database
from visits import Site, let_in, outside, words
from wheelside.errors import BadRequest
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.doors import KEY_LASTS_S, new_key, show_out
from wheelside.web.guard import MB, Manners, names_with
from wheelside.web.tls import certified


@pytest.fixture
def site(home: Desk) -> Site:
    return let_in(home)


PAGES = (
    "/",
    "/jobs",
    "/plan",
    "/air",
    "/things",
    "/facts",
    "/settings",
    "/door",
    "/api/garage",
    "/api/openapi.json",
    "/photos/x",
)


@pytest.mark.parametrize("path", PAGES)
def test_a_browser_that_was_not_let_in_sees_nothing(home: Desk, path: str) -> None:
    answer = outside(home).get(path)
    assert answer.status_code == 401
    assert "Winter" not in answer.text
    assert "wheelside serve" in answer.text


@pytest.mark.parametrize("path", PAGES)
def test_an_ended_session_sees_nothing(site: Site, path: str) -> None:
    assert site.client.get(path).status_code in (200, 404)
    me = re.search(r'name="visitor" value="(\w+)"', site.get("/settings"))
    assert me is not None
    show_out(site.desk, me[1])
    assert site.client.get(path).status_code == 401


def test_a_device_is_shown_out_from_another_one(site: Site) -> None:
    other = site.another()
    (mine, theirs) = re.findall(r'name="visitor" value="(\w+)"', site.get("/settings"))
    for visitor in (mine, theirs):
        site.client.post("/settings/show-out", data={"ticket": site.ticket, "visitor": visitor})
        if other.client.get("/").status_code == 401:
            break
    assert 401 in (other.client.get("/").status_code, site.client.get("/").status_code)


def test_a_link_counts_once(home: Desk) -> None:
    key = new_key(home)
    assert outside(home).post(f"/in/{key}").status_code == 303
    again = outside(home).post(f"/in/{key}")
    assert again.status_code == 400
    assert "used already" in again.text
    assert "set-cookie" not in again.headers


def test_looking_at_a_link_does_not_use_it_up(home: Desk) -> None:
    key, client = new_key(home), outside(home)
    for _ in range(3):
        assert client.get(f"/in/{key}").status_code == 200
    assert client.post(f"/in/{key}").status_code == 303


def test_a_link_is_good_for_a_quarter_of_an_hour(home: Desk) -> None:
    key = new_key(home)
    home.clock = lambda: later(KEY_LASTS_S / 60 + 1)
    assert outside(home).post(f"/in/{key}").status_code == 400


@pytest.mark.parametrize("to", ["https://example.org/", "//example.org", "/\\example.org", "javascript:x"])
def test_a_link_never_leads_to_another_site(site: Site, to: str) -> None:
    assert site.client.post("/door", data={"ticket": site.ticket, "to": to}).status_code == 400


FOREIGN = (
    {"origin": "http://evil.example"},
    {"origin": "null"},
    {"origin": "http://localhost:9"},
    {"origin": "https://localhost"},
    {"sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "same-site"},
)


@pytest.mark.parametrize("headers", FOREIGN, ids=str)
def test_a_form_of_another_site_is_refused(site: Site, headers: dict[str, str]) -> None:
    answer = site.client.post("/jobs", data={"ticket": site.ticket}, headers=headers)
    assert answer.status_code == 403
    assert "another site" in answer.text
    api = site.client.post("/api/jobs", json={}, headers={**headers, "x-wheelside-ticket": site.ticket})
    assert api.status_code == 403
    assert "All jobs" not in site.get("/jobs")


@pytest.mark.parametrize("ticket", ["", "0" * 32, "ü"])
def test_a_form_without_this_browsers_ticket_is_refused(site: Site, ticket: str) -> None:
    assert site.client.post("/jobs", data={"ticket": ticket}).status_code == 403
    assert (
        site.client.post("/api/jobs", json={}, headers={b"x-wheelside-ticket": ticket.encode("latin-1")}).status_code
        == 403
    )
    assert site.client.post("/api/jobs", json={}).status_code == 403


def test_the_ticket_of_another_browser_is_refused(site: Site) -> None:
    assert site.client.post("/jobs", data={"ticket": site.another().ticket}).status_code == 403


def test_a_program_needs_its_token_and_no_ticket(site: Site) -> None:
    bare = outside(site.desk)
    assert bare.post("/api/jobs", json={}, headers={"authorization": f"Bearer {site.token}"}).status_code == 201
    assert bare.post("/api/jobs", json={}, headers={"authorization": "Bearer nonsense"}).status_code == 401


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "", "127.0.0.1.evil.example", "[::2]", "localhost:x"]
)
def test_another_hosts_name_is_not_answered(home: Desk, host: str) -> None:
    answer = outside(home).get("/", headers={"host": host})
    assert answer.status_code == 421


def test_a_name_that_was_given_is_answered(home: Desk) -> None:
    client = outside(home, Manners(names_with(("Garage.Test",))))
    assert client.get("/", headers={"host": "garage.test:8750"}).status_code == 401


def test_no_page_can_be_framed_or_run_foreign_script(site: Site) -> None:
    for path in ("/", "/nothing", "/in/x", "/api/jobs"):
        headers = site.client.get(path).headers
        policy = dict(part.strip().split(" ", 1) for part in headers["content-security-policy"].split(";"))
        assert policy["frame-ancestors"] == "'none'"
        assert policy["script-src"] == policy["style-src"] == "'self'"
        assert headers["x-frame-options"] == "DENY"
        assert headers["x-content-type-options"] == "nosniff"


def test_pages_hold_no_inline_script_or_style(site: Site) -> None:
    job = site.begin()
    for path in ("/", "/plan", "/air", f"/jobs/{job}", "/facts/car/estate", "/settings"):
        page = site.get(path)
        assert not re.search(r'<script(?! type="text/plain">)(?![^>]*\bsrc=)', page), (
            path
        )  # text alone is run by no browser
        assert not re.search(r"<[^>]+\s(style|on\w+)=", page), path
        assert all(a.startswith("/static/") for a in re.findall(r'(?:src|href)="([^"]+)"', page) if "static" in a)
        assert "//" not in ",".join(re.findall(r'(?:src|href|action)="([^"#]*)"', page)), path


def _endless(total: int) -> Iterator[bytes]:
    piece = b"x" * 65_536
    for _ in range(total // len(piece)):
        yield piece


@pytest.mark.parametrize(
    ("path", "limit"), [("/jobs", 1), ("/settings/garage-file", 9), ("/settings/readings", 9), ("/api/readings", 8)]
)
def test_a_body_that_is_too_large_is_refused_by_its_header(site: Site, path: str, limit: int) -> None:
    headers = {"content-length": str(5_000_000_000), "x-wheelside-ticket": site.ticket}
    answer = site.client.post(path, content=b"x", headers=headers)
    assert answer.status_code == 413
    assert f"{limit} MB" in answer.text


def test_a_body_that_does_not_say_its_length_is_cut_off(site: Site) -> None:
    taken = 0

    def counted() -> Iterator[bytes]:
        nonlocal taken
        for piece in _endless(200 * MB):
            taken += len(piece)
            yield piece

    job = site.begin()
    answer = site.client.post(f"/api/jobs/{job}/photos", content=counted(), headers={"x-wheelside-ticket": site.ticket})
    assert answer.status_code == 413


@pytest.mark.parametrize("length", ["-1", "1e3", "many", "٣"])
def test_a_length_that_is_none_is_refused(site: Site, length: str) -> None:
    headers = {b"content-length": length.encode(), b"x-wheelside-ticket": site.ticket.encode()}
    assert site.client.post("/api/jobs", content=b"{}", headers=headers).status_code in (400, 413)


@pytest.mark.parametrize(
    "name",
    ["../household.book", "..%2fhousehold.book", "%2e%2e/%2e%2e/etc/passwd", "x.jpg", "/etc/passwd", "a" * 64],
)
def test_a_path_outside_the_photo_folder_leads_nowhere(site: Site, name: str) -> None:
    answer = site.client.get(f"/photos/{name}")
    assert answer.status_code == 404
    assert b"SQLite" not in answer.content
    assert b"root:" not in answer.content


NASTY = "<script>alert(1)</script>\"><img src=x onerror=alert(2)>'{{7*7}}"


def test_markup_in_names_stays_words(site: Site) -> None:
    page = site.get("/facts/wheel/W1")
    since = re.search(r'name="since" value="(\d+)"', page)
    assert since is not None
    fields = {
        "f.id": "W1",
        "f.label": NASTY,
        "f.joined.0.rim": "rim W1",
        "f.joined.0.tyre": "tyre W1",
        "f.joined.0.sensor": "sensor W1",
    }
    site.post("/facts/wheel/W1", fields={"since": since[1], "do": "keep", **fields})
    site.client.post("/settings/me", data={"ticket": site.ticket, "label": NASTY, "person": NASTY})
    job = site.begin()
    for path in (
        "/",
        "/plan",
        "/air",
        "/things",
        "/things/set/winter",
        "/things/wheel/W1",
        f"/jobs/{job}",
        "/facts/wheel",
        "/settings",
    ):
        page = site.get(path)
        assert "<script>alert" not in page, path
        assert "<img src=x" not in page, path
    assert "alert(1)" in words(site.get("/things/wheel/W1"))


def test_a_cookie_is_out_of_reach_of_scripts(home: Desk) -> None:
    answer = outside(home).post(f"/in/{new_key(home)}")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    secure = outside(home, Manners(names_with(()), secure=True)).post(f"/in/{new_key(home)}")
    assert "Secure" in secure.headers["set-cookie"]


def test_the_book_keeps_no_key_and_no_token_in_the_clear(home: Desk) -> None:
    from sqlalchemy import text

    key = new_key(home)
    site = let_in(home)
    with home.book.reading() as conn:
        rows = [str(row) for name in ("door_key", "visitor") for row in conn.execute(text(f"select * from {name}"))]
    assert rows
    assert not [row for row in rows if key in row or site.token in row]


def test_what_plain_http_does_not_protect_is_said(site: Site) -> None:
    said = words(site.get("/door"))
    assert "What plain HTTP does not protect" in said
    assert "read along" in said


def test_the_calendar_needs_its_whole_address(site: Site) -> None:
    address = re.search(r"/calendar/(\w+)\.ics", site.get("/settings"))
    assert address is not None
    bare = outside(site.desk)
    assert bare.get(f"/calendar/{address[1]}.ics").status_code == 200
    assert bare.get(f"/calendar/{address[1][:-1]}0.ics").status_code in (404, 200)
    assert bare.get("/calendar/0.ics").status_code == 404
    assert bare.get(f"/calendar/{address[1]}.ics/../../settings").status_code in (401, 404)


def test_moments_of_visits_are_noted(site: Site) -> None:
    site.desk.clock = lambda: later(5)
    site.get("/")
    assert "2026-11-25 12:05" in site.get("/settings")
    assert NOON.short() == "2026-11-25 12:00"


def test_two_books_on_one_machine_have_two_cookies(home: Desk, tmp_path: Path) -> None:
    other = new_desk(str(tmp_path / "other.book"))
    names = {next(iter(let_in(desk).client.cookies.keys())) for desk in (home, other)}
    assert len(names) == 2
    other.close()


@pytest.mark.parametrize("to", ["/things/\u03a9", "/x\r\nset-cookie: a=b", "/ x"])
def test_a_link_leads_to_plain_addresses_only(site: Site, to: str) -> None:
    assert site.client.post("/door", data={"ticket": site.ticket, "to": to}).status_code == 400


def test_a_book_and_its_keys_can_be_read_by_their_owner_only(home: Desk, tmp_path: Path) -> None:
    assert Path(home.book.where).stat().st_mode & 0o077 == 0
    folder = tmp_path / "tls"
    folder.mkdir()
    (folder / "server-key.pem").write_text("old")
    (folder / "server-key.pem").chmod(0o644)
    certified(folder, ["garage.test"], NOON.local)
    assert (folder / "server-key.pem").stat().st_mode & 0o077 == 0


def test_the_authority_can_vouch_for_its_own_names_only(tmp_path: Path) -> None:
    made = certified(tmp_path, ["garage.test", "192.0.2.7"], NOON.local)
    authority = x509.load_pem_x509_certificate(made.authority)
    limits = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert limits.critical
    assert sorted(str(n.value) for n in limits.value.permitted_subtrees or []) == ["192.0.2.7/32", "garage.test"]
    assert made.new_authority
    assert not certified(tmp_path, ["garage.test"], NOON.local).new_authority
    assert certified(tmp_path, ["other.test"], NOON.local).new_authority
    with pytest.raises(BadRequest, match="host name"):
        certified(tmp_path, ["a b"], NOON.local)


def test_a_password_is_never_printed(capsys: pytest.CaptureFixture[str], postgres_server: str) -> None:
    address = new_database(postgres_server, "secretive").replace("postgres@", "postgres:sesame@")
    code, out, err = run(capsys, "book", "new", address)
    assert code == 0
    assert "sesame" not in out + err
