"""The pages before buying: comparisons, a report, an offer from its form to being ours, and a VIN that stands nowhere."""

from __future__ import annotations

import logging
from pathlib import Path

import pytest

from visits import Site, let_in, words
from wheelside.demo import purchases
from wheelside.errors import NotThere
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import garage_text, take_in_text
from wheelside.jobs.wheelset.offer import buy, let_go

VIN = "1M8GDM9AXKP042788"
AD = {
    "name": "ad", "f.set.label": "From the ad <b>", "f.set.price": "250 EUR", "f.rim.width_in": "6.5Jx16", "f.rim.inset": "46 mm",
    "f.rim.bolt_circle": "5x108", "f.tyre.designation": "205/60 R16 92H", "f.tyre.tread": "6 mm; 6 mm; 5,5 mm; 5,5 mm", "sensors": "there",
    "f.sensor.answers": "true", "f.sensor.band": "433.92 MHz",
}  # fmt: skip


@pytest.fixture
def shop(desk: Desk) -> Site:
    take_in_text(desk, purchases().decode(), "purchases.toml")
    return let_in(desk)


def test_offers_are_shown_side_by_side_with_their_verdicts(shop: Site) -> None:
    page = words(shop.get("/fit"))
    assert page.index("Winter wheels, silver") < page.index("Winter wheels, nearly new")
    assert "does not fit" in page


def test_a_report_shows_drawings_bill_and_what_to_find_out(shop: Site) -> None:
    text = shop.get("/fit?car=estate&set=third")
    assert text.count('class="drawing"') == 3
    page = words(text)
    for said in (
        "To find out at the seller's",
        "look for an arrow",
        "the inner shoulder of the tyre",
        "plugs in the tread",
        "bends, cracks and corrosion",
        "spin it on a balancer",
        "723 EUR",
        "315 MHz",
        "With the trigger at each wheel",
    ):
        assert said in page, said


@pytest.mark.parametrize("query", ["?car=nobody", "?set=nothing", "?car=estate&set=%3Cb%3E", "?set=" + "x" * 5000])
def test_what_is_not_there_is_said(shop: Site, query: str) -> None:
    assert "<b>" not in shop.get("/fit" + query).split("<main", 1)[1].replace("<b>✓", "")


def test_an_empty_book_says_how_to_begin(desk: Desk) -> None:
    assert "No car is noted yet" in words(let_in(desk).get("/fit"))


def test_an_offer_is_kept_judged_bought(shop: Site) -> None:
    where = shop.post("/fit/offer", fields=AD)
    assert where == "/fit?set=ad"
    page = shop.get(where)
    assert "From the ad &lt;b&gt;" in page
    assert "Tread" in words(page)
    garage = shop.desk.loaded().garage
    assert [t.tread.mm for t in garage.tyre if t.id.startswith("ad ") and t.tread] == [6.0, 6.0, 5.5, 5.5]
    assert garage.sets["ad"].on_offer
    assert shop.post("/fit/bought", fields={"set": "ad"}) == "/things/set/ad"
    assert not shop.desk.loaded().garage.sets["ad"].on_offer
    assert 'id = "ad"' in garage_text(shop.desk)


def test_sensors_said_to_be_there_and_those_filled_in_are_kept(shop: Site) -> None:
    plain = {k: v for k, v in AD.items() if not k.startswith("f.sensor")}
    shop.post("/fit/offer", fields={**plain, "name": "there"})
    shop.post("/fit/offer", fields={**plain, "name": "unsaid", "sensors": "unknown", "f.sensor.band": "315 MHz"})
    shop.post("/fit/offer", fields={**plain, "name": "none", "sensors": "none"})
    assert "There is a sensor in it" in words(shop.get("/fit?set=there"))
    assert "315 MHz" in words(shop.get("/fit?set=unsaid"))
    assert "There is no sensor in it" in words(shop.get("/fit?set=none"))


def test_an_offer_let_go_leaves_the_book_as_it_was(shop: Site) -> None:
    before = garage_text(shop.desk)
    shop.post("/fit/offer", fields=AD)
    assert shop.post("/fit/let-go", fields={"set": "ad"}) == "/fit"
    assert garage_text(shop.desk) == before


def test_parts_that_are_in_another_set_stay_when_an_offer_goes(desk: Desk) -> None:
    shared = purchases().decode()
    for one, other in (
        ('{ rim = "rim L1", tyre = "tyre L1", sensor = "sensor L1" }', '{ rim = "rim F1", tyre = "tyre L1" }'),
        ('{ rim = "rim F1", tyre = "tyre F1", sensor = "sensor F1" }', '{ tyre = "tyre F1", sensor = "sensor F1" }'),
    ):
        assert one in shared
        shared = shared.replace(one, other)
    take_in_text(desk, shared, "purchases.toml")
    let_go(desk, "first")
    garage = desk.loaded().garage
    assert "rim F1" in garage.rims
    assert "tyre F1" not in garage.tyres
    assert "second" in garage.sets


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"f.tyre.designation": "205/6x R16"}, "at character 6"),
        ({"f.tyre.tread": "6 mm; 5 mm; 4 mm"}, "expected one, two"),
        ({"name": "first"}, "is there already"),
        ({"name": "a/b"}, "no short name"),
        ({"f.set.price": "250"}, "currency"),
        ({"sensors": "none"}, "take one of both out"),
        ({"f.set.on_offer": "false"}, "comes by itself"),
        ({"f.sensor.family": "nobody"}, "nobody"),
    ],
)
def test_an_offer_that_can_t_be_read_keeps_nothing_and_shows_what_was_typed(
    shop: Site, change: dict[str, str], told: str
) -> None:
    before = garage_text(shop.desk)
    page = shop.post("/fit/offer", status=422, fields={**AD, **change})
    assert told in words(page)
    assert "From the ad &lt;b&gt;" in page
    assert garage_text(shop.desk) == before


def test_only_a_set_on_offer_can_be_bought_or_let_go(shop: Site) -> None:
    for act in (buy, let_go):
        with pytest.raises(NotThere):
            act(shop.desk, "fifth")
    shop.post("/fit/bought", fields={"set": "first"})
    shop.post("/fit/let-go", status=404, fields={"set": "first"})


def test_forms_want_their_ticket(shop: Site) -> None:
    for path in ("/fit/offer", "/fit/bought", "/fit/let-go", "/fit/vin"):
        assert shop.client.post(path, data={"set": "first", "vin": VIN}).status_code == 403


@pytest.mark.parametrize("number", [VIN, VIN[:-1] + "7", "hello", "I" * 17])
def test_a_vin_is_answered_about_and_kept_nowhere(
    shop: Site, number: str, caplog: pytest.LogCaptureFixture, tmp_path: Path
) -> None:
    caplog.set_level(logging.DEBUG)
    answer = shop.client.post("/fit/vin", data={"ticket": shop.ticket, "vin": number})
    assert answer.status_code == (200 if number == VIN else 422)
    if number != "hello":
        assert number not in answer.text
        assert number not in caplog.text
        assert number not in garage_text(shop.desk)
        kept = [path for path in tmp_path.rglob("*") if path.is_file() and number.encode() in path.read_bytes()]
        assert not kept


def test_offers_are_in_no_plan_and_no_season_line(shop: Site) -> None:
    assert "silver" not in words(shop.get("/plan"))
    assert "on offer" in words(shop.get("/things"))
    assert "silver" not in words(shop.get("/jobs"))
