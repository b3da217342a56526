"""Sets on offer are judged, named nowhere as the owner's, and in no plan."""

from __future__ import annotations

from typing import Any

import pytest

from garages import DAY, demo_table, garage_of, seeded
from wheelside.errors import BadFile, BadRequest
from wheelside.garage.offers import Offer, ids_of, offers, rows_of_offer, with_rows, without_offers
from wheelside.identity.plan import identity_plan
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.audited import audited

AD = Offer(
    "ad",
    {"price": "200 EUR"},
    {"inset": "46 mm", "width_in": "6.5Jx16"},
    {"designation": "205/60 R16 92H", "date_code": "3823;3823;4023;4023"},
    {"sends": "0x01020301;0x01020302;0x01020303;0x01020304", "family": "kestrel"},
)


def _with(offer: Offer) -> dict[str, Any]:
    table = demo_table()
    return with_rows(table, rows_of_offer(offer, ids_of(table)))


def test_an_offer_is_four_wheels_with_what_they_share_and_what_they_do_not() -> None:
    garage = garage_of(_with(AD))
    (offered,) = offers(garage)
    assert [corner.value for corner, _ in offered.wheels] == ["front left", "front right", "rear left", "rear right"]
    assert [garage.tyres[f"ad {n}"].date_code for n in (1, 2, 3, 4)] == ["3823", "3823", "4023", "4023"]
    assert {garage.rims[f"ad {n}"].inset for n in (1, 2, 3, 4)} == {garage.rims["ad 1"].inset}


def test_a_plan_is_the_same_with_and_without_offers() -> None:
    plain, more = garage_of(demo_table()), garage_of(_with(AD))
    assert without_offers(more) == plain
    before = identity_plan(plain, DAY, (), seeded())
    after = audited(more, DAY, (), (), seeded())
    assert document("plan", plan=before) == document("plan", plan=after)


@pytest.mark.parametrize("name", ["winter", "W1", "rim S1"])
def test_a_name_that_is_there_is_refused(name: str) -> None:
    table = demo_table()
    taken = ids_of(table) | {f"{name} 1"}
    with pytest.raises(BadRequest, match="is there already"):
        rows_of_offer(Offer(name, {}, {}, {}, None), taken)


def test_two_values_are_for_front_and_rear() -> None:
    rows = rows_of_offer(Offer("ad", {}, {"inset": "46 mm;40 mm"}, {}, None), ())
    assert [row["inset"] for kind, row in rows if kind == "rim"] == ["46 mm", "46 mm", "40 mm", "40 mm"]


@pytest.mark.parametrize("name", ["", "a/b", "ä", "100%", "x" * 57])
def test_a_name_that_makes_no_id_is_refused_once(name: str) -> None:
    with pytest.raises(BadRequest, match="no short name"):
        rows_of_offer(Offer(name, {}, {}, {}, None), ())


@pytest.mark.parametrize(("table", "key"), [("set", "on_offer"), ("set", "wheels"), ("rim", "id"), ("tyre", "ids")])
def test_what_an_offer_has_of_itself_can_t_be_said_otherwise(table: str, key: str) -> None:
    said = {name: ({key: "x"} if name == table else {}) for name in ("set", "rim", "tyre")}
    with pytest.raises(BadRequest, match="comes by itself"):
        rows_of_offer(Offer("ad", said["set"], said["rim"], said["tyre"], None), ())


@pytest.mark.parametrize("treads", ["6 mm;5 mm;4 mm", "1 mm;2 mm;3 mm;4 mm;5 mm"])
def test_values_are_one_two_or_four(treads: str) -> None:
    with pytest.raises(BadRequest, match="expected one, two"):
        rows_of_offer(Offer("ad", {}, {}, {"tread": treads}, None), ())


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"stay": [{"set": "ad", "at": "shed", "since": DAY}]}, "stay[1].set"),
        ({"set.sold": DAY}, "set[4].on_offer"),
        ({"holds": [{"set": "ad"}]}, "car[1].holds[1].set"),
        ({"listened": [{"set": "ad", "heard": False}]}, "path[1].listened[1].set"),
        ({"price": "200 GBP"}, "set[4].price"),
        ({"shows": "104 km/h"}, "car[1].speedometer_true"),
        ({"shows": "104 km/h", "true": "20 km/h"}, "car[1].speedometer_shows"),
        ({"shows": "160 km/h", "true": "100 km/h"}, "car[1].speedometer_shows"),
        ({"widths": ["7J", "6J"]}, "tyre[13].rim_widths"),
        ({"widths": ["7J"]}, "tyre[13].rim_widths"),
        ({"rim": {"seat_depth": "0 mm"}}, "rim[9].seat_depth"),
        ({"rim": {"inset": "500 mm"}}, "rim[9].inset"),
        ({"rim": {"centre_bore": "10 mm"}}, "rim[9].centre_bore"),
        ({"rim": {"max_load": "20 kg"}}, "rim[9].max_load"),
    ],
)
def test_what_contradicts_itself_is_named(change: dict[str, Any], key: str) -> None:
    table = _with(AD)
    if "stay" in change:
        table["stay"] = change["stay"]
    if "set.sold" in change:
        table["set"][-1]["sold"] = change["set.sold"]
    if "price" in change:
        table["set"][-1]["price"] = change["price"]
    for name, other in (("shows", "speedometer_shows"), ("true", "speedometer_true"), ("holds", "holds")):
        if name in change:
            table["car"][0][other] = change[name]
    if "listened" in change:
        table["path"][0]["listened"] = change["listened"]
    if "rim" in change:
        table["rim"][-4].update(change["rim"])
    if "widths" in change:
        table["tyre"][-4]["rim_widths"] = change["widths"]
    with pytest.raises(BadFile) as caught:
        garage_of(table)
    assert key in {problem.key for problem in caught.value.problems}
