"""Readings are taken in on a page: columns matched, looked at, kept; a mistaken one is marked on its wheel's page."""

from __future__ import annotations

import html
import random
import re
from datetime import datetime

import pytest

from books import NOON
from sheetfiles import Value, ods, xlsx
from visits import Site, let_in, words
from wheelside.book.reading import Reading
from wheelside.book.readings import add_readings, all_readings
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import wrong
from wheelside.units import GaugePressure
from wheelside.web.form import MOST_FILE_TEXT, MOST_TEXT

DAY = datetime.fromisoformat("2026-11-25T12:00:00")
ROWS: list[list[Value]] = [
    ["Reifen", "Datum", "Druck", "Notiz"],
    ["S1", DAY, 2.4, "<b>kalt</b>"],
    ["S2", DAY, 2.5, None],
]
CSV = b"Reifen;Datum;Druck;Notiz\nS1;25.11.2026 12:00;2,4;<b>kalt</b>\nS2;25.11.2026 12:00;2,5;\n"
ANSWERS = {"column.0": "wheel", "column.1": "at", "column.2": "pressure_bar_gauge", "column.3": "-"}


@pytest.fixture
def site(home: Desk) -> Site:
    return let_in(home)


def kept(site: Site) -> list[tuple[str, float | None, str]]:
    with site.desk.book.reading() as conn:
        return [(r.subject[1], r.pressure.kpa if r.pressure else None, r.mistaken) for r in all_readings(conn)]


def send(site: Site, data: bytes, status: int = 200, **fields: str) -> str:
    answer = site.client.post("/settings/readings", data={"ticket": site.ticket, **fields}, files={"file": ("r", data)})
    assert answer.status_code == status, words(answer.text)[:800]
    return str(answer.text)


def plain(page: str) -> str:
    return html.unescape(words(page))


def answered(page: str, **fields: str) -> dict[str, str]:
    """What the page's form carries, with the answers that are given."""
    text = re.search(r'<textarea name="text"[^>]*>(.*?)</textarea>', page, re.DOTALL)
    match = re.search(r'name="match" value="(\w*)"', page)
    assert text is not None
    assert match is not None
    return {"text": html.unescape(text[1]), "match": match[1], **ANSWERS, "do": "look", **fields}


@pytest.mark.parametrize("data", [CSV, xlsx({"Werte": ROWS}), ods({"Werte": ROWS})], ids=["csv", "xlsx", "ods"])
def test_a_file_is_sent_its_columns_matched_looked_at_and_kept(site: Site, data: bytes) -> None:
    page = send(site, data)
    assert "&lt;b&gt;kalt" in page
    assert re.search(r'<option value="wheel" selected>', page)
    assert kept(site) == []
    looked = site.post("/settings/readings", 200, answered(page))
    assert "2 new, 0 known already" in words(looked)
    assert "2.40 bar" in words(looked)
    assert kept(site) == []
    fields = answered(looked, do="keep")
    assert site.post("/settings/readings", fields=fields) == "/settings?readings=2"
    assert kept(site) == [("S1", 240.0, ""), ("S2", 250.0, "")]
    assert "2 readings are kept" in words(site.get("/settings?readings=2"))
    again = site.post("/settings/readings", 200, answered(page))
    assert "0 new, 2 known already" in words(again)
    assert 'value="keep"' not in again
    assert wrong(site.desk) == ()


def test_only_what_was_looked_at_is_kept(site: Site) -> None:
    looked = site.post("/settings/readings", 200, answered(send(site, CSV)))
    changed = answered(looked, do="keep", **{"column.2": "pressure_psi_gauge"})
    shown = site.post("/settings/readings", 422, changed)
    assert "2.4 bar? Then choose that unit above" in plain(shown)
    assert kept(site) == []


def test_what_is_not_matched_or_odd_stops_it_and_says_what_to_do(site: Site) -> None:
    page = send(site, CSV)
    said = plain(site.post("/settings/readings", 422, answered(page, **{"column.3": ""})))
    assert "Notiz: a column that is not known" in said
    assert "Choose what it says, or 'left out'" in said
    said = plain(site.post("/settings/readings", 422, answered(page, **{"column.3": "pressure_bar_gauge"})))
    assert "a second column for what 'Druck' says" in said
    said = plain(site.post("/settings/readings", 422, answered(page, **{"column.2": "pressure_gauge"})))
    assert "Choose the unit" in said
    odd = site.post("/settings/readings", 422, answered(page, unit="kPa"))
    assert "Line 2: 2.4 kPa is not a pressure of a wheel in use. 2.4 bar? Then choose that unit above." in plain(odd)
    assert kept(site) == []
    looked = site.post("/settings/readings", 200, {**answered(odd, unit="bar")})
    site.post("/settings/readings", fields={**answered(looked, unit="bar", do="keep")})
    assert [p for _, p, _ in kept(site)] == [240.0, 250.0]


def test_it_really_was_so_is_said_line_by_line(site: Site) -> None:
    page = send(site, b"wheel,at,pressure_kpa_gauge\nS1,2026-11-25,2.4\nS2,2026-11-25,250\n")
    fields = {f"column.{i}": t for i, t in enumerate(("wheel", "at", "pressure_kpa_gauge"))}
    odd = site.post("/settings/readings", 422, {**answered(page), **fields})
    assert 'name="line" value="2"' in odd
    looked = site.post("/settings/readings", 200, {**answered(odd), **fields, "line": "2"})
    assert '<input type="hidden" name="line" value="2">' in looked
    site.post("/settings/readings", fields={**answered(looked, do="keep"), **fields, "line": "2"})
    assert [p for _, p, _ in kept(site)] == [2.4, 250.0]


def test_a_day_that_can_be_read_in_two_ways_is_asked_about(site: Site) -> None:
    page = send(site, CSV.replace(b"25.11.2026", b"03/04/2026"))
    said = plain(site.post("/settings/readings", 422, answered(page)))
    assert "2026-04-03 with the day first, 2026-03-04 with the month first. Choose which comes first." in said
    assert "2026-03-04 12:00 +02:00" in words(
        site.post("/settings/readings", 200, answered(page, order="month", zone="+02:00"))
    )


WRONG = {
    "nothing": b"",
    "another zip": b"PK\x03\x04 no spreadsheet",
    "bytes": b"\xff\xfe\x00a",
    "an old one": bytes.fromhex("D0CF11E0A1B11AE1"),
}


@pytest.mark.parametrize("what", WRONG)
def test_what_is_no_table_is_named(site: Site, what: str) -> None:
    said = words(send(site, WRONG[what], 400))
    assert re.search("no file was sent|is a zip file|not UTF-8|a spreadsheet \\(.xls\\)", said)


def test_a_file_too_long_for_a_page_says_what_to_do(site: Site) -> None:
    rows = b"".join(b"S1,2026-11-25T12:%02d:%02d.%06d,240\n" % (n // 60 % 60, n % 60, n) for n in range(200_000))
    assert "wheelside book import" in words(send(site, b"wheel,at,pressure_kpa_gauge\n" + rows, 400))


@pytest.mark.parametrize("seed", range(60))
def test_no_form_breaks_it(site: Site, seed: int) -> None:
    source = random.Random(seed)
    bits = [
        '{"headers":["a"],"decimal_comma":false,"sheet":"","rows":[[1,"x"]]}',
        "{}",
        "[]",
        "null",
        "1",
        '{"headers":[]',
        "x" * 50,
        "[" * 5000,
    ]
    text = source.choice(bits).replace('"x"', source.choice(('"x"', "1e999", "NaN", "[1]", "null", "9" * 400, "true")))
    fields = {
        "text": text, "column.0": source.choice(("", "wheel", "at", "-", "nonsense", "pressure_gauge")),
        "unit": source.choice(("", "bar", "furlong")), "order": source.choice(("", "day", "x")),
        "zone": source.choice(("", "+01:00", "Nowhere", "../../etc/passwd", "\x01")), "line": source.choice(("", "1", "-1", "9" * 30)),
        "do": source.choice(("look", "keep")), "match": "",
    }  # fmt: skip
    answer = site.client.post("/settings/readings", data={"ticket": site.ticket, **fields})
    assert answer.status_code in (200, 400, 422), (answer.status_code, words(answer.text)[:300])
    assert kept(site) == []


def noted(site: Site) -> None:
    with site.desk.writing("noted") as writing:
        add_readings(
            writing,
            [
                Reading(("wheel", "S1"), NOON.us, "gauge", GaugePressure(2.4), offset_min=60),
                Reading(("sensor", "sensor S1"), NOON.us, "port", GaugePressure(240.0), offset_min=60),
            ],
        )


def marking(site: Site, kind: str) -> tuple[str, dict[str, str]]:
    """The page that asks about the wheel's or the sensor's reading, and what its form carries."""
    links = [
        html.unescape(a) for a in re.findall(r'href="(/things/wheel/S1/mistaken[^"]*)"', site.get("/things/wheel/S1"))
    ]
    page = site.get(next(a for a in links if f"kind={kind}" in a))
    return page, dict(re.findall(r'<input type="hidden" name="(kind|thing|at|channel)" value="([^"]*)">', page))


def test_a_reading_is_marked_as_mistaken_from_the_page_of_its_wheel(site: Site) -> None:
    noted(site)
    asked, ours = marking(site, "wheel")
    assert "0.02 bar" in words(asked)
    site.post("/things/wheel/S1/mistaken", 400, {**ours, "why": ""})
    to = site.post("/things/wheel/S1/mistaken", fields={**ours, "why": "unit", "right": "2,4 bar"})
    assert to == "/things/wheel/S1#history"
    assert "noted by mistake (wrong unit), says Ada on 2026-11-25 12:00" in words(site.get("/things/wheel/S1"))
    assert kept(site) == [("sensor S1", 240.0, ""), ("S1", 240.0, ""), ("S1", 2.4, "unit")]
    _, theirs = marking(site, "sensor")
    site.post("/things/wheel/S1/mistaken", fields={**theirs, "why": "wheel"})
    site.post("/things/wheel/S1/mistaken", 404, {**theirs, "why": "wheel"})
    assert kept(site)[0] == ("sensor S1", 240.0, "wheel")


def test_a_reading_that_there_is_not_is_told(site: Site) -> None:
    site.get("/things/wheel/S1/mistaken?kind=wheel&thing=S1&at=2026-11-25", 404)
    site.get("/things/wheel/S1/mistaken", 404)


def test_a_field_that_is_too_long_is_told_with_the_figure_that_counts_for_it(site: Site) -> None:
    for name, most in (("text", MOST_FILE_TEXT), ("note", MOST_TEXT)):
        page = site.post("/settings/readings", 422, {name: "x" * (most + 1)})
        assert f"The field {name} holds more than {most} characters" in words(page)
