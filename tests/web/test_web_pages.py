"""The pages say what they should, keep what is entered, and show what is wrong with it."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

import wheelside.web.pages as pages_room
from books import later
from cars import keep_card, on_a_bus
from claiming import do_all, without_cards
from visits import Site, let_in, outside, words
from wheelside.book.reading import Reading
from wheelside.book.readings import add_readings
from wheelside.demo.practice import practice_car
from wheelside.garage.rows import MANY, NAMED, SINGLE
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import garage_text, take_in
from wheelside.jobs.work.doing import begin
from wheelside.jobs.work.shop import new_shop_link
from wheelside.units import GaugePressure
from wheelside.web.app import PAGES
from wheelside.web.wording import for_pages


@pytest.fixture
def site(home: Desk) -> Site:
    return let_in(home)


TEMPLATES = Path(pages_room.__file__).parents[1] / "templates"
MORE = (
    "/things/car/estate", "/things/set/winter", "/things/set/winter/hand-over", "/things/set/winter/hand-over.html", "/things/wheel/W1",
    "/facts", "/facts/car", "/answers/car/estate", "/answer?code=car/estate/taught_by", "/start", "/start/wheels?car=-new",
    "/start/wheels/so-far", "/start/lamp?look=yes", "/gauge", "/gauge/said?car=estate", "/gauge/leak/S1", "/gauge/leak/S1/note", "/shopping",
    "/why", "/why?car=estate", "/why?car=estate&look=yes", "/why?car=estate&look=no&lamp-at-start=flashes", "/why?car=estate&look=no&gauge=right",
)  # fmt: skip
"""Pages that need no job."""


def test_each_page_is_drawn_from_one_record_and_uses_all_of_it(home: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a template names and its record lacks is an error when it is drawn; what a record has and its template lacks, here."""
    drawn: dict[str, set[type[Any]]] = {}
    for module in PAGES:
        for way, drawing in ((w, vars(module)[w]) for w in ("page", "part") if w in vars(module)):

            def noted(template: str, context: Any, *status: int, plain: Any = drawing) -> Any:
                drawn.setdefault(template, set()).add(type(context))
                return plain(template, context, *status)

            monkeypatch.setattr(module, way, noted)
    site = let_in(home)
    job = site.begin()
    do_all(home, job)
    for path in (
        "/",
        "/jobs",
        f"/jobs/{job}",
        f"/jobs/{without_cards(home, job, 'aa')}",
        f"/jobs/{job}/steps/drive",
        f"/jobs/{job}/finish",
        f"/jobs/{job}/note",
        f"/jobs/{job}/note.html",
        f"/shop/{new_shop_link(home, job)[1]}",
        "/plan",
        "/air",
        "/things",
    ):
        site.get(path)
    site.post(f"/jobs/{job}/finish", fields={"how": "finish", "leave_open": "yes"})
    site.client.get("/in/x")
    site.client.post(
        "/settings/garage-file", data={"ticket": site.ticket}, files={"file": ("g.toml", b"wheelside = 1\n")}
    )
    with home.writing("noted") as writing:
        add_readings(writing, [Reading(("wheel", "W1"), later(-9).us, "gauge", GaugePressure(240.0), offset_min=60)])
    site.get("/things/wheel/W1/mistaken?thing=W1&at=2026-11-25T11:51")
    site.client.post("/settings/readings", data={"ticket": site.ticket}, files={"file": ("r.csv", b"wheel,at\n")})
    for path in (
        f"/jobs/{job}/proof",
        *MORE,
        "/facts/car/estate",
        "/settings",
        "/door",
        "/fit",
        "/fit/offer",
        "/fit?car=estate&set=winter",
    ):
        site.get(path)
    site.post("/fit/vin", status=200, fields={"vin": "1M8GDM9AXKP042788"})
    keep_card(home)
    with on_a_bus(practice_car()) as link:
        asking = let_in(home, car_link=link)
        asking.get("/things/car/estate/port")
        asking.post("/things/car/estate/port/draft", status=200, fields={"set": "summer", "list": "set 2"})
    assert drawn.keys() == {p.name for p in TEMPLATES.glob("*.html")} - {
        "base.html",
        "cardstep.html",
        "fields.html",
        "parts.html",
        "screen.html",
        "shopnote.html",
        "step.html",
        "trouble.html",
    }
    for template, kinds in drawn.items():
        (kind,) = kinds
        source = (TEMPLATES / template).read_text(encoding="utf-8")
        unused = [
            f.name for f in dataclasses.fields(kind) if f.name != "frame" and not re.search(rf"\b{f.name}\b", source)
        ]
        assert unused == [], template


def row_of(site: Site, path: str) -> dict[str, str]:
    """What a form holds as it is drawn."""
    page = site.get(path)
    found = dict(re.findall(r'<input(?=[^>]*\bname="(f\.[^"]+)")[^>]*\bvalue="([^"]*)"', page))
    found |= dict(re.findall(r'<textarea[^>]*\bname="(f\.[^"]+)"[^>]*>(.*?)</textarea>', page, re.DOTALL))
    for name, inner in re.findall(r'<select[^>]*\bname="(f\.[^"]+)"[^>]*>(.*?)</select>', page, re.DOTALL):
        chosen = re.search(r'<option value="([^"]*)" selected', inner)
        found[name] = chosen[1] if chosen else ""
    since = re.search(r'name="since" value="(\d+)"', page)
    assert since is not None
    return {k: _unescaped(v) for k, v in found.items()} | {"since": since[1], "do": "keep"}


def _unescaped(text: str) -> str:
    import html

    return html.unescape(text)


def test_every_row_sent_back_as_it_was_drawn_changes_nothing(site: Site) -> None:
    before = garage_text(site.desk)
    with site.desk.book.reading() as conn:
        from wheelside.book.facts import facts_now

        rows = facts_now(conn)
    assert len(rows) > 60
    for row in rows:
        key = "one" if row.kind in SINGLE or row.kind == "garage" else row.key
        path = f"/facts/{row.kind}/{key}"
        site.post(path, fields=row_of(site, path))
    assert garage_text(site.desk) == before


@pytest.mark.parametrize("kind", ["garage", *SINGLE, *MANY])
def test_every_table_of_the_garage_file_has_a_form_with_all_its_keys(site: Site, kind: str) -> None:
    from wheelside.web.entry import shape_of

    page = site.get(f"/facts/{kind}/{'one' if kind in SINGLE or kind == 'garage' else '-new'}")
    for f in dataclasses.fields(shape_of(kind)):
        if "kind" in f.metadata and not (kind == "garage" and f.name not in ("title", "note")):
            assert f'"f.{f.name}' in page or f"<legend>{f.name.replace('_', ' ')}" in page, f.name


WRONG = {
    "tyre": ({"f.id": "T", "f.tread": "6"}, "f-tread", "6 mm"),
    "car": ({"f.id": "C", "f.monitor": "radar"}, "f-monitor", "one of"),
    "stay": ({"f.set": "winter", "f.since": "soon"}, "f-since", "a day"),
    "place": ({"f.id": "ö/x"}, "f-id", "a short name"),
    "set": ({"f.id": "S", "f.wheels.front_left": "none"}, "f-wheels-front_left", "wheel"),
    "family": ({"f.id": "F", "f.bits": "31"}, "f-bits", "24, 28 or 32"),
    "path": ({"f.between": "carport"}, "f-between", "two"),
    "instrument": ({"f.id": "G"}, "f-kind", "a value for"),
}


@pytest.mark.parametrize("kind", WRONG)
def test_what_is_wrong_stands_beside_its_field_and_nothing_typed_is_lost(site: Site, kind: str) -> None:
    fields, field, says = WRONG[kind]
    page = site.post(f"/facts/{kind}/-new", 422, {**fields, "f.note": "keep me", "since": "0"})
    assert "keep me" in page
    assert re.search(rf'id="{field}"[^>]*aria-invalid="true"', page), field
    assert says in words(page)
    assert all(v in page for v in fields.values() if v.isascii())


def test_a_second_car_is_entered_by_hand(site: Site) -> None:
    fields = {
        "f.id": "van", "f.label": "Van", "f.kind": "light van", "f.monitor": "direct", "f.family": "kestrel", "f.torque": "160 Nm",
        "f.placard.0.tyre": "205/65 R16 107T", "f.placard.0.load": "full", "f.placard.0.front": "3,6 bar", "f.holds.0.set": "summer",
        "f.teach_order": "front left\nfront right\n", "f.from": "torque: handbook, page 7", "since": "0",
    }  # fmt: skip
    site.post("/facts/car/-new", fields=fields)
    car = site.desk.loaded().garage.cars["van"]
    assert car.torque is not None
    assert (car.torque.nm, car.basis("torque").source, len(car.placard), len(car.teach_order)) == (
        160,
        "handbook, page 7",
        1,
        2,
    )
    assert "Van" in words(site.get("/things"))


def test_somebody_elses_change_meanwhile_is_shown_and_not_overwritten(site: Site) -> None:
    mine, theirs = row_of(site, "/facts/tyre/tyre W1"), row_of(site, "/facts/tyre/tyre W1")
    site.post("/facts/tyre/tyre W1", fields={**theirs, "f.tread": "5 mm"})
    page = site.post("/facts/tyre/tyre W1", 409, {**mine, "f.tread": "4 mm"})
    assert "somebody else has changed" in page.lower()
    assert "5 mm" in words(page)
    assert 'value="4 mm"' in page
    assert "5 mm" in garage_text(site.desk)
    since = re.search(r'name="since" value="(\d+)"', page)
    assert since is not None
    site.post("/facts/tyre/tyre W1", fields={**mine, "f.tread": "4 mm", "since": since[1]})
    assert "4 mm" in garage_text(site.desk)


def test_what_others_refer_to_is_not_taken_out(site: Site) -> None:
    row = row_of(site, "/facts/sensor/sensor W1")
    page = site.post("/facts/sensor/sensor W1", 422, {**row, "do": "take out"})
    assert "other facts would be wrong" in words(page)
    assert "sensor W1" in site.desk.loaded().garage.sensors
    row = row_of(site, "/facts/writer/writer")
    site.post("/facts/writer/writer", fields={**row, "do": "take out"})
    assert site.desk.loaded().garage.writer == ()


def test_what_was_believed_before_stands_below(site: Site) -> None:
    row = row_of(site, "/facts/tyre/tyre W1")
    site.post("/facts/tyre/tyre W1", fields={**row, "f.tread": "5 mm"})
    assert "tread was 7/32 in" in words(site.get("/facts/tyre/tyre W1"))


def test_a_part_of_the_work_with_nothing_to_do_says_what_to_do_instead(site: Site) -> None:
    page = site.post("/jobs", 400, fields={"car": "estate", "extent": "teach"})
    assert "As noted, Estate knows the IDs of Summer set already." in page
    assert "The wheels stay on" in page, "one can choose again"
    assert "There is no such part of the work." in site.post("/jobs", 400, fields={"car": "estate", "extent": "wash"})


def test_an_empty_book_says_where_to_begin(tmp_path: Path) -> None:
    desk = new_desk(str(tmp_path / "empty.book"))
    site = let_in(desk)
    assert site.client.get("/").headers["location"] == "/start"
    assert "What brings you?" in words(site.get("/start"))
    for path in ("/jobs", "/plan", "/air", "/things", "/facts", "/settings", "/door"):
        site.get(path)
    page = site.post("/jobs", 400)
    assert "Which set goes on which car?" in words(page)
    desk.close()


def test_a_garage_file_is_taken_in_or_refused_with_every_line(site: Site, file: Path) -> None:
    def send(data: bytes) -> Any:
        return site.client.post("/settings/garage-file", data={"ticket": site.ticket}, files={"file": ("g.toml", data)})

    bad = send(b'wheelside = 1\n[[car]]\nid = "x"\nmonitor = "radar"\n[[set]]\nid = 5\n')
    assert bad.status_code == 422
    assert "garage.toml:4" in bad.text
    assert "garage.toml:6" in bad.text
    look = send(file.read_bytes().replace(b"120 Nm", b"115 Nm").replace(b"[[writer]]", b'[[writer]]\nnote = "x"'))
    assert look.status_code == 200
    assert "Changed: 2 ▲ car estate ▲ writer writer" in words(look.text)
    held = re.search(r'name="revision" value="(\d+)"><textarea[^>]*>(.*?)</textarea>', look.text, re.DOTALL)
    assert held is not None
    fields = {"ticket": site.ticket, "revision": held[1], "text": _unescaped(held[2])}
    good = site.client.post("/settings/garage-file", data=fields)
    assert good.status_code == 303
    assert site.client.post("/settings/garage-file", data=fields).status_code == 409
    car = site.desk.loaded().garage.cars["estate"]
    assert car.torque is not None
    assert car.torque.nm == 115
    assert "2 rows changed" in words(site.get(str(good.headers["location"])))


def test_a_german_reads_commas(site: Site) -> None:
    row = row_of(site, "/facts/units/one")
    site.post("/facts/units/one", fields={**row, "f.decimal_mark": ","})
    assert "2,67 bar" in site.get("/air")
    assert "2.67 bar" not in site.get("/air")
    job = site.begin()
    assert "2,67 bar" in site.get(f"/jobs/{job}")


def test_pressures_are_told_in_psi_where_that_is_wished(site: Site) -> None:
    row = row_of(site, "/facts/units/one")
    site.post("/facts/units/one", fields={**row, "f.pressure": "psi", "f.temperature": "°F"})
    page = site.get("/air")
    assert "38.8 psi" in page
    assert "63 °F" in page


NOT_THERE = (
    "/things/car/none", "/things/set/none", "/things/wheel/none", "/facts/none", "/facts/car/none", "/jobs/none",
    "/jobs/none/finish", "/jobs/none/proof", "/jobs/none/proof.pdf", "/nothing",
)  # fmt: skip


@pytest.mark.parametrize("path", NOT_THERE)
def test_what_is_not_there_says_so(site: Site, path: str) -> None:
    assert "Not there" in words(site.get(path, 404))


def test_every_link_of_every_page_leads_somewhere(site: Site) -> None:
    site.begin()
    seen: set[str] = set()
    todo = ["/"]
    while todo:
        path = todo.pop()
        if path in seen:
            continue
        seen.add(path)
        answer = site.client.get(path, follow_redirects=True)
        assert answer.status_code == 200, path
        if "text/html" in answer.headers["content-type"]:
            todo += [_unescaped(a).split("#")[0] for a in re.findall(r'href="(/[^"]*)"', answer.text)]
    assert len(seen) > 120


def test_ids_with_blanks_and_odd_signs_lead_to_their_pages(site: Site) -> None:
    site.post("/facts/wheel/-new", fields={"f.id": "A 1.x-y_z", "since": "0"})
    assert "A 1.x-y_z" in words(site.get("/things/wheel/A%201.x-y_z"))
    site.get("/facts/wheel/A%201.x-y_z")


def test_the_calendar_holds_what_is_due(site: Site) -> None:
    job = begin(site.desk).job
    assert job is not None
    do_all(site.desk, job, skip=("retorque",))
    address = re.search(r"(/calendar/\w+\.ics)", site.get("/settings"))
    assert address is not None
    answer = outside(site.desk).get(address[1])
    assert answer.headers["content-type"].startswith("text/calendar")
    made = Calendar.from_ical(answer.content)
    found = sorted(((str(e["summary"]), str(e.decoded("dtstart"))) for e in made.walk("VEVENT")), reverse=True)
    events = dict(found)
    assert {
        "Torque the wheels of Estate again",
        "Winter set goes on Estate",
        "Sensors of Winter set are 7 years old",
        "Tyres of Winter set are 10 years old",
    } <= set(events)
    assert events["Torque the wheels of Estate again"] == "2026-11-28"
    assert events["Winter set goes on Estate"] == "2027-11-28", "this year's is done"
    assert events["Summer set goes on Estate"] == "2027-04-11"
    assert events["Tyres of Winter set are 10 years old"] == "2029-09-01"
    again = Calendar.from_ical(outside(site.desk).get(address[1]).content)
    assert [str(e["uid"]) for e in again.walk("VEVENT")] == [str(e["uid"]) for e in made.walk("VEVENT")]
    assert len({str(e["uid"]) for e in made.walk("VEVENT")}) == len(made.walk("VEVENT"))
    for line in answer.content.split(b"\r\n"):  # RFC 5545, 3.1: lines end in CRLF and have at most 75 octets
        assert len(line) <= 75
        assert b"\n" not in line


def test_a_pressure_check_falls_due_four_weeks_after_the_last_one(site: Site) -> None:
    job = begin(site.desk).job
    assert job is not None
    do_all(site.desk, job)
    site.desk.clock = lambda: later(60 * 24 * 40)
    page = words(site.get("/"))
    assert "Overdue" in page
    assert "Check the pressures of Estate" in page


def test_a_clock_that_was_put_back_is_said_first(site: Site) -> None:
    assert "set the clock right" not in words(site.get("/"))
    site.desk.clock = lambda: later(-60 * 24)
    assert "set the clock right" in words(site.get("/"))


def test_the_grid_shows_which_wheels_share_an_id(tmp_path: Path, file: Path) -> None:
    text = (
        file.read_text()
        .replace('printed = "1893077246"', 'sends = "0x2C41A7F3"')
        .replace('printed = "0742500339"', 'sends = "0x2C41A7F3"')
    )
    text = (
        text.replace('heard = "yes"', 'heard = "no"')
        .replace('distance = "6 m"\n', "")
        .replace('from = { heard = "both cars\' sensors were received in the shed, 3 October 2026" }', "")
    )
    (tmp_path / "x.toml").write_text(text)
    desk = new_desk(str(tmp_path / "x.book"))
    take_in(desk, tmp_path / "x.toml")
    page = let_in(desk).get("/")
    carried = [w for w in desk.plan().wheels if w.id is not None and w.id.hex == "2C41A7F3"]
    assert page.count(">(A)<") == (len(carried) if len(carried) > 1 else 0)
    desk.close()


def test_drawings_tell_in_words_what_they_show(site: Site) -> None:
    page = site.get("/air")
    told = re.findall(r'<svg[^>]*aria-label="([^"]+)"', page)
    assert len(told) == 3
    assert "set now, gauge 2.67 bar" in told[0]
    assert "lamp due" in told[0]
    assert "coldest at -15 °C" in told[1]
    now = re.findall(r'<svg[^>]*aria-label="([^"]+)"', site.get("/"))
    assert any("front left W1 70D610FE" in t for t in now)
    assert any("Winter set: at Shed" in t for t in now)


def test_forms_of_named_tables_keep_their_id(site: Site) -> None:
    row = row_of(site, "/facts/tyre/tyre W1")
    site.post("/facts/tyre/tyre W1", fields={**row, "f.id": "other"})
    assert "tyre W1" in site.desk.loaded().garage.tyres
    assert "other" not in site.desk.loaded().garage.tyres
    assert set(MANY) >= set(NAMED)


def test_a_garage_file_that_would_take_everything_out_says_so_first(site: Site) -> None:
    answer = site.client.post(
        "/settings/garage-file", data={"ticket": site.ticket}, files={"file": ("g.toml", b"wheelside = 1\n")}
    )
    said = words(answer.text)
    assert "Taken out of the book: 66" in said
    assert "✕ path carport, shed, distance 6 m" in said
    assert site.desk.loaded().garage.cars


def test_what_refers_to_a_row_is_named_when_it_is_taken_out(site: Site) -> None:
    row = row_of(site, "/facts/sensor/sensor W1")
    page = words(site.post("/facts/sensor/sensor W1", 422, {**row, "do": "take out"}))
    assert "wheel W1 still has sensor sensor W1: change that first" in page


def test_rows_within_a_row_keep_their_own_sources(site: Site) -> None:
    row = site.desk.loaded().table["car"][0]
    held = [
        {"set": "summer", "as_of": row["holds"][0]["as_of"], "from": {"set": "FIRST"}},
        {"set": "winter", "from": {"set": "SECOND"}},
    ]
    from wheelside.jobs.book.edit import fact_of, try_save

    since = fact_of(site.desk, "car", "estate").since
    assert try_save(site.desk, "car", "estate", {**row, "holds": held}, since).kept
    form = row_of(site, "/facts/car/estate")
    site.post("/facts/car/estate", fields={**form, "f.holds.0.set": "", "f.holds.0.as_of": ""})
    assert site.desk.loaded().table["car"][0]["holds"] == [{"set": "winter", "from": {"set": "SECOND"}}]


def test_a_row_may_be_called_new(site: Site) -> None:
    site.post("/facts/place/-new", fields={"f.id": "new", "since": "0"})
    assert 'value="new"' in site.get("/facts/place/new")


def test_a_page_without_a_card_says_why(tmp_path: Path) -> None:
    desk = new_desk(str(tmp_path / "empty.book"))
    assert "the season line never puts a set on any car" in words(let_in(desk).get("/air"))
    desk.close()


def test_a_field_that_is_too_long_is_refused_and_never_cut(site: Site) -> None:
    page = site.post("/facts/place/-new", 422, {"f.id": "p", "f.note": "x" * 20_001, "since": "0"})
    assert "shorten it" in words(page)
    assert "p" not in site.desk.loaded().garage.places


def test_a_book_that_is_busy_is_no_bug(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    from wheelside.book import engine as engines

    monkeypatch.setattr(engines, "WAIT_S", 0.1)
    with site.desk.book.quietly():
        assert site.client.get("/jobs").status_code == 200


def test_a_server_that_is_away_is_told_as_such(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    from wheelside.errors import Outside

    def away(*_: object) -> None:
        raise Outside("reading the book: the database server can't be reached")

    monkeypatch.setattr("wheelside.web.guard.who_is", away)
    answer = site.client.get("/")
    assert answer.status_code == 503
    assert answer.headers["x-frame-options"] == "DENY"


def test_what_is_to_be_found_out_leads_to_its_form_and_names_no_option(site: Site) -> None:
    row = row_of(site, "/facts/conditions/one")
    site.post("/facts/conditions/one", fields={**row, "f.tyre_temperature": "", "f.load": ""})
    page = site.get("/air")
    assert 'give <a href="/facts/conditions/one#f-tyre_temperature">tyre temperature</a>' in page
    assert "--tyre" not in page
    assert "[conditions]" not in page


@pytest.mark.parametrize(
    ("said", "page"),
    [
        ("note it in [[instrument]]", 'note it in <a href="/facts/instrument">instrument</a>'),
        (
            "give 'load' in [conditions], or --load",
            'give &#39;load&#39; in <a href="/facts/conditions/one">conditions</a>',
        ),
        ("<b>[x] & [[y]]</b>", "&lt;b&gt;[x] &amp; [[y]]&lt;/b&gt;"),
        ("buy_sensors = true in [plan]", 'buy_sensors = true in <a href="/facts/plan/one">plan</a>'),
    ],
)
def test_tables_named_in_a_text_become_links_and_markup_stays_words(said: str, page: str) -> None:
    assert str(for_pages(said)) == page
