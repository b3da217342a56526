"""The enumeration's own rules, on households small enough for the answer to be known: one car, sets A and B of one wheel each.

Nothing here asks the planner: what is held to account is the second telling that the planner is held against.
"""

from __future__ import annotations

from datetime import date

import pytest
from oracle import Enumeration
from oracle_desk import Desk, decisions
from oracle_memory import Memory
from oracle_parts import Fact, Facts
from oracle_prices import Prices
from oracle_world import World

from garages import NO_RISK, Table, garage_of, row

DAY = date(2026, 1, 5)
SPRING, AUTUMN = date(2026, 4, 1), date(2026, 10, 1)
EUR = 360_000
"""One EUR as a weight."""


def sensor(name: str, number: str | None, **more: object) -> Table:
    known = {"sends": number} if number else {}
    return {"id": f"x{name}", "family": "f", "writing": "rewritable", "at_rest": "transmits", **known, **more}


def stay(set_id: str, since: date | None = None, until: date | None = None, **where: object) -> Table:
    return {"set": set_id, "since": since or DAY, **where} | ({"until": until} if until else {})


def add_set(table: Table, name: str, number: str | None, **more: object) -> None:
    table["sensor"].append(sensor(name, number, **more))
    table["wheel"].append({"id": name, "joined": [{"sensor": f"x{name}"}]})
    table["set"].append({"id": f"set {name}", "wheels": {"front_left": name}})


def household() -> Table:
    """A is on the car, which holds it; B lies in a shed that is not heard, from April to October the other way round."""
    table: Table = {
        "wheelside": 1,
        "place": [{"id": "home"}, {"id": "shed"}],
        "path": [{"between": ["home", "shed"], "heard": "no"}],
        "family": [{"id": "f", "band": "433.92 MHz", "bits": 32}, {"id": "g", "band": "315 MHz", "bits": 28}],
        "car": [
            {"id": "car", "stands_at": "home", "monitor": "direct", "family": "f", "corner_aware": True}
            | {"remembers_sets": 1, "taught_by": "driving", "holds": [{"set": "set A"}]}
        ],
        "writer": [{"id": "w", "can": ["given"]}],
        "stay": [
            *(stay("set A", DAY, SPRING, on="car"), stay("set B", DAY, SPRING, at="shed")),
            *(stay("set A", SPRING, AUTUMN, at="shed"), stay("set B", SPRING, AUTUMN, on="car")),
            *(stay("set A", AUTUMN, on="car"), stay("set B", AUTUMN, at="shed")),
        ],
        "plan": {"horizon_years": 1},
        "odds": dict(NO_RISK),
    }  # fmt: skip
    table |= {"sensor": [], "wheel": [], "set": []}
    add_set(table, "A", "0xA1000001")
    add_set(table, "B", "0xB2000001")
    return table


def own_car(table: Table) -> Table:
    return row(table, "car", "car")


def world_of(table: Table) -> World:
    return World(garage_of(table), DAY)


def least(table: Table) -> int | None:
    """The least weight of all plans."""
    world = world_of(table)
    return Enumeration(world, decisions(world)).run()


def facts(table: Table, wheel: str) -> dict[tuple[str, str], list[Fact]]:
    """What speaks against each choice for a wheel: 'stays' or 'refit', with what becomes of its ID."""
    desk, found = desk_of(table, wheel), {}
    for option, why in (*desk.stays(), *desk.refits()):
        choice = option.choice if option.written or not option.refit else "bought"
        if option.on is None:
            found["refit" if option.refit else "stays", choice] = why
    return found


def desk_of(table: Table, wheel: str) -> Desk:
    world = world_of(table)
    wheels = next(s for s in world.garage.set if wheel in dict(s.wheels).values())
    corner = next(corner for corner, name in wheels.wheels if name == wheel)
    return Desk(world, Prices(world.garage), wheels, corner, wheel)


def got(table: Table, wheel: str) -> set[tuple[bool, str]]:
    """The choices that rest on a writer that is got: refit or not, and what becomes of the ID."""
    desk = desk_of(table, wheel)
    return {(o.refit, o.choice) for o, why in (*desk.stays(), *desk.refits()) if o.got and not why}


def teachings(table: Table) -> int:
    """How often the car is taught where every wheel keeps its ID."""
    memory = Memory(world_of(table), garage_of(table).cars["car"])
    kept = ((d, next(o for o in d.options if o.choice == "keep")) for d in decisions(memory.world))
    return memory.teachings(memory.contents(kept))


# --- never written ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("writing", ["rewritable", "write once"])
@pytest.mark.parametrize("answers", [True, False, None])
def test_a_sensor_that_was_never_written_is_written_in_its_wheel(writing: str, answers: bool | None) -> None:
    """It takes A's ID over, so that nothing has to be taught."""
    table = household()
    blank = row(table, "sensor", "xB")
    blank |= {"writing": writing, "written": False} | ({} if answers is None else {"answers": answers})
    del blank["sends"]
    found = facts(table, "B")
    assert found["stays", "keep"] == [("not-written", "B")]
    assert found["stays", "fresh"] == found["stays", "clone"] == []
    assert least(table) == Prices(garage_of(table)).time("write_mounted")


def test_on_no_car_it_stays_as_it_is() -> None:
    table = household()
    add_set(table, "C", None, written=False, answers=False)
    assert facts(table, "C")["stays", "keep"] == []


def test_a_sensor_whose_id_is_known_was_written_whatever_is_noted() -> None:
    table = household()
    row(table, "sensor", "xB").update(written=False, answers=False)
    assert facts(table, "B")["stays", "keep"] == [("no-answer", "B")]
    row(table, "sensor", "xB")["sends"] = "0x00000000"
    assert facts(table, "B")["stays", "keep"] == [("not-written", "B")]


# --- a writer that is got -----------------------------------------------------------------------------------------


def without_writer(**sensors: object) -> Table:
    """No writer in the file, and neither sensor may stay as it is."""
    table = household()
    table["writer"] = []
    for one in table["sensor"]:
        one |= {"written": False, **sensors}
        del one["sends"]
    return table


def test_a_writer_is_paid_once_however_many_wheels_it_writes() -> None:
    table = without_writer()
    prices = Prices(garage_of(table))
    rest = 2 * prices.time("write_mounted") + 3 * prices.teach(garage_of(table).cars["car"])
    assert least(table) == 60 * EUR + rest
    table["costs"] = {"writer": "25 EUR"}
    assert least(table) == 25 * EUR + rest
    table["writer"] = [{"id": "w", "can": ["own"]}]
    assert least(table) == rest


def test_sensors_with_ids_of_their_own_are_bought_where_that_is_cheaper() -> None:
    table = without_writer()
    table["costs"] = {"writer": "500 EUR"}
    prices = Prices(garage_of(table))
    visits = 2 * prices.time("shop_trip")
    assert least(table) == 2 * prices.refit + visits + 3 * prices.teach(garage_of(table).cars["car"])
    table["plan"] |= {"buy_sensors": False}
    assert (least(table) or 0) > 500 * EUR


def test_none_is_got_where_the_owner_does_not_want_one() -> None:
    table = without_writer()
    table["plan"] |= {"get_writer": False}
    found = facts(table, "B")
    assert found["stays", "fresh"] == found["refit", "fresh"] == [("no-writer", "fresh/f")]
    assert found["refit", "bought"] == []
    table["plan"] |= {"buy_sensors": False}
    assert least(table) is None


def test_a_got_writer_has_to_know_the_width() -> None:
    table = without_writer()
    del table["family"][0]["bits"]
    assert facts(table, "B")["stays", "fresh"] == [("width-not-known", "fresh/f")]
    assert facts(table, "B")["refit", "bought"] == []


@pytest.mark.parametrize(
    ("skills", "wanting"),
    [
        ([], {(False, "fresh"), (False, "clone"), (True, "fresh"), (True, "clone")}),
        (["copy"], {(False, "fresh"), (True, "fresh")}),
        (["own"], {(False, "clone"), (True, "clone")}),
        (["copy", "own"], set()),
        (["given"], set()),
    ],
)
def test_what_a_writer_in_the_file_can_do_needs_no_other(skills: list[str], wanting: set[tuple[bool, str]]) -> None:
    table = household()
    table["writer"] = [{"id": "w", "can": skills}] if skills else []
    assert got(table, "B") == wanting
    assert (("refit", "bought") in facts(table, "B")) is (not {"own", "given"} & set(skills))


def test_a_writer_that_copies_copies_only_what_speaks() -> None:
    table = household()
    table["writer"] = [{"id": "w", "can": ["copy", "own"]}]
    row(table, "sensor", "xA")["answers"] = False
    assert got(table, "B") == {(False, "clone"), (True, "clone")}


# --- somebody else's car ------------------------------------------------------------------------------------------


def with_guest(number: str, **guest: object) -> Table:
    """A guest's car with a set of its own at the owner's home."""
    table = household()
    car = {"id": "guest", "somebody_elses": True, "stands_at": "home", "monitor": "direct", "family": "f"}
    table["car"].append(car | {"taught_by": "locked", "holds": []} | guest)
    add_set(table, "G", number, answers=False, battery_low=True)
    table["stay"].append(stay("set G", on="guest"))
    return table


def test_nothing_is_decided_taught_or_paid_for_somebody_elses_set() -> None:
    table = with_guest("0xC3000001")
    assert {d.wheel for d in decisions(world_of(table))} == {"A", "B"}
    assert least(table) == least(household())


def test_its_ids_bind_ours() -> None:
    """B is written, with A's ID; where it can't be, its sensor is changed."""
    same = with_guest("0xB2000001")
    assert least(same) == Prices(garage_of(same)).time("write_mounted")
    row(same, "sensor", "xB")["writing"] = "fixed"
    assert (least(same) or 0) >= Prices(garage_of(same)).refit
    other_family = with_guest("0xB2000001")
    row(other_family, "sensor", "xG").update(family="g", sends="0x2000001")
    assert least(other_family) == least(household())


def test_one_id_is_not_on_two_cars_though_they_stand_apart() -> None:
    table = with_guest("0xB2000001", stands_at="street")
    table["place"].append({"id": "street"})
    table["path"] += [{"between": [place, "street"], "heard": "no"} for place in ("home", "shed")]
    assert least(table) == Prices(garage_of(table)).time("write_mounted")
    row(table, "car", "guest")["monitor"] = "indirect"
    del row(table, "car", "guest")["holds"]
    assert least(table) == least(household())


def test_what_is_theirs_among_themselves_stands_in_no_plans_way() -> None:
    table = with_guest("0xC3000001")
    add_set(table, "H", "0xC3000001")
    table["stay"].append(stay("set H", riding_in="guest", until=SPRING))
    table["stay"].append(stay("set H", SPRING, on="other"))
    table["car"].append({"id": "other", "somebody_elses": True, "stands_at": "home", "monitor": "none"})
    assert least(table) == least(household())


def test_a_set_that_goes_on_ours_too_is_ours_and_judged_by_ours_alone() -> None:
    table = with_guest("0xC3000001", family="g")
    table["stay"] = [one for one in table["stay"] if one["set"] != "set B"]
    row(table, "set", "set G")["wheels"] = {"front_left": "G", "rear_left": "B"}
    table["set"] = [one for one in table["set"] if one["id"] != "set B"]
    row(table, "sensor", "xG")["answers"] = True
    lent = [one for one in table["stay"] if one["set"] == "set G"]
    lent[0]["until"] = SPRING
    table["stay"] += [stay("set G", SPRING, AUTUMN, on="car"), stay("set G", AUTUMN, at="shed")]
    assert {d.wheel for d in decisions(world_of(table))} == {"A", "B", "G"}
    assert facts(table, "G")["stays", "keep"] == []
    row(table, "car", "guest")["somebody_elses"] = False
    assert {kind for kind, _ in facts(table, "G")["stays", "keep"]} == {"wrong-band", "wrong-family", "wrong-width"}


# --- a full list that forgets all ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("places", "holds", "needed"),
    [
        (1, [{"set": "set A"}], 2),
        (2, [{"set": "set A"}], 1),
        (2, [{"ids": ["0xC3000001"]}], 3),
        (2, [{"ids": ["0xC3000001"]}, {"set": "set A"}], 2),
        (2, [{"ids": ["0xC3000001"]}, {"ids": ["0xC3000002"]}], 2),
        (3, [{"ids": ["0xC3000001"]}], 2),
        (2, [{"ids": ["0x00000000"]}, {"set": "set A"}], 1),
        (None, [{"set": "set A"}], 2),
        (None, [{"set": "set A"}, {"ids": ["0xC3000001"]}], 2),
        (None, [{"set": "set A"}, {"set": "set B"}], 0),
    ],
)
def test_into_a_free_place_a_set_is_added(places: int | None, holds: list[Table], needed: int) -> None:
    """A, B and A again go on the car."""
    table = household()
    own_car(table).update(when_full="all", holds=holds)
    own_car(table).pop("remembers_sets")
    own_car(table).update({} if places is None else {"remembers_sets": places})
    assert teachings(table) == needed


# --- originals that were sold -------------------------------------------------------------------------------------


def with_sold(number: str, **leaves: date) -> Table:
    table = household()
    add_set(table, "old", number)
    row(table, "set", "set old").update(leaves)
    return table


def test_no_wheel_keeps_an_id_that_was_sold() -> None:
    table = with_sold("0xB2000001", sold=date(2025, 5, 1))
    assert facts(table, "B")["stays", "keep"] == [("sold", "set old")]
    assert facts(table, "A")["stays", "keep"] == []
    assert {d.wheel for d in decisions(world_of(table))} == {"A", "B"}


@pytest.mark.parametrize(
    ("change", "kept"),
    [
        ({"sends": "0xB2000002"}, True),
        ({"family": "g", "sends": "0x2000001"}, True),
        ({"gone": date(2025, 4, 1)}, True),
        ({"gone": date(2025, 9, 1)}, True),
        ({"gone": date(2026, 2, 1)}, False),
        ({"answers": False, "at_rest": "silent"}, False),
    ],
)
def test_while_its_sensor_may_speak(change: Table, kept: bool) -> None:
    table = with_sold("0xB2000001", sold=date(2025, 5, 1))
    row(table, "sensor", "xold").update(change)
    if "gone" in change:
        row(table, "wheel", "old")["joined"][0]["until"] = change["gone"]
    assert (facts(table, "B")["stays", "keep"] == []) is kept


def test_what_was_scrapped_is_out_of_the_world() -> None:
    assert facts(with_sold("0xB2000001", scrapped=date(2025, 5, 1)), "B")["stays", "keep"] == []


def test_an_id_that_may_be_the_sold_one_is_not_kept_either() -> None:
    table = with_sold("0xB2000001", sold=date(2025, 5, 1))
    row(table, "sensor", "xB")["sends"] = "2986344449"
    assert facts(table, "B")["stays", "keep"] == [("sold", "set old")]


# --- whose entry --------------------------------------------------------------------------------------------------


def remembering(*holds: Table, places: int = 2) -> Table:
    table = household()
    own_car(table).update(remembers_sets=places, holds=list(holds))
    return table


def listed(number: str) -> Table:
    return {"corners": {"front_left": number}}


@pytest.mark.parametrize(
    ("holds", "mistaken"),
    [
        ({"set": "set A"}, True),
        (listed("0xA1000001"), True),
        (listed("0xC3000001"), False),
    ],
)
def test_a_clone_is_mistaken_only_where_the_entry_is_another_sets(holds: Table, mistaken: bool) -> None:
    why = [("set-mistaken", "car")] if mistaken else []
    found = facts(remembering(holds), "B")
    assert found["stays", "clone"] == found["refit", "clone"] == why
    assert facts(remembering(holds, places=1), "B")["stays", "clone"] == []


def test_a_clone_from_another_cars_list_is_mistaken_on_the_one_that_remembers_sets_apart() -> None:
    """B goes on a second car in summer, too; the first holds A and remembers one set, the second remembers two."""
    table = household()
    second = {"id": "second", "stands_at": "home", "monitor": "direct", "family": "f", "corner_aware": True}
    table["car"].append(second | {"remembers_sets": 2, "taught_by": "driving", "holds": [{"set": "set B"}]})
    table["stay"] = [one for one in table["stay"] if one["set"] != "set B"]
    table["stay"] += [stay("set B", DAY, SPRING, on="second"), stay("set B", SPRING, AUTUMN, on="car")]
    assert facts(table, "B")["stays", "clone"] == [("set-mistaken", "second")]
    row(table, "car", "second")["remembers_sets"] = 1
    assert facts(table, "B")["stays", "clone"] == []


def test_an_entry_held_for_another_set_by_name_is_its_own_though_nobody_carries_it() -> None:
    """The set was taught with the sensor that A had before."""
    table = remembering({"set": "set A", "as_of": date(2025, 6, 1)})
    table["sensor"].append(sensor("before", "0xA1000009"))
    changed = date(2025, 9, 1)
    row(table, "wheel", "A")["joined"] = [
        {"sensor": "xbefore", "until": changed},
        {"sensor": "xA", "since": changed},
    ]
    assert facts(table, "B")["stays", "clone"] == [("set-mistaken", "car")]
    assert facts(table, "A")["stays", "clone"] == []


def test_an_entry_that_only_a_wheel_of_the_same_set_carries_is_no_other_sets() -> None:
    table = remembering(listed("0xB2000002"))
    table["sensor"].append(sensor("B2", "0xB2000002"))
    table["wheel"].append({"id": "B2", "joined": [{"sensor": "xB2"}]})
    row(table, "set", "set B")["wheels"]["front_right"] = "B2"
    assert facts(table, "B")["stays", "clone"] == []
    row(table, "sensor", "xA")["sends"] = "0xB2000002"
    assert facts(table, "B")["stays", "clone"] == [("set-mistaken", "car")]


@pytest.mark.parametrize("leaves", ["sold", "scrapped"])
def test_nor_is_one_whose_set_has_left_which_is_retired(leaves: str) -> None:
    table = remembering(listed("0xC3000001"))
    add_set(table, "old", "0xC3000001")
    row(table, "set", "set old")[leaves] = date(2025, 5, 1)
    assert facts(table, "B")["stays", "clone"] == [("retired", "32/C3000001")]
    row(table, "set", "set old").pop(leaves)
    assert facts(table, "B")["stays", "clone"] == [("set-mistaken", "car")]


# --- an entry of another width ------------------------------------------------------------------------------------


def test_no_clone_of_an_id_of_another_width() -> None:
    table = household()
    row(table, "sensor", "xA").update(sends="0xA100001", bits=28)
    del row(table, "sensor", "xA")["family"]
    found = facts(table, "B")
    assert found["stays", "clone"] == found["refit", "clone"] == [("clone-width", "B")]
    assert facts(table, "A")["refit", "clone"] == [("clone-width", "A")]
    del table["family"][0]["bits"]
    assert facts(table, "B")["refit", "clone"] == []


# --- no shop, and a car that can't be taught ----------------------------------------------------------------------


def test_without_a_shop_no_sensor_is_changed() -> None:
    table = household()
    table["plan"]["shop"] = False
    found = facts(table, "B")
    assert found["refit", "fresh"] == found["refit", "clone"] == [("no-shop", "")]
    assert found["stays", "keep"] == found["stays", "fresh"] == found["stays", "clone"] == []
    table["writer"] = []
    assert facts(table, "B")["refit", "bought"] == [("no-shop", "")]
    row(table, "sensor", "xB")["answers"] = False
    assert least(table) is None


def untaught(*holds: Table, **car: object) -> Table:
    table = household()
    own_car(table).update({"taught_by": "not at all", "remembers_sets": max(1, len(holds)), "holds": list(holds)} | car)
    return table


def fixed(table: Table) -> Table:
    table["sensor"] = [one | {"writing": "fixed"} for one in table["sensor"]]
    return table | {"plan": {**table["plan"], "shop": False}}


def test_what_goes_on_a_car_that_cant_be_taught_carries_what_its_list_holds() -> None:
    table = untaught({"set": "set A"})
    prices = Prices(garage_of(table))
    assert least(table) == prices.time("write_mounted")
    row(table, "sensor", "xB")["writing"] = "fixed"
    assert least(table) == prices.refit + prices.time("write", "shop_trip")
    del own_car(table)["holds"]
    assert least(table) is None


@pytest.mark.parametrize(
    ("holds", "car", "possible"),
    [
        ([{"set": "set A"}, {"set": "set B"}], {}, True),
        ([{"set": "set A"}, {"set": "set B"}], {"when_full": "all"}, True),
        ([{"set": "set A"}], {"remembers_sets": 3}, False),
        ([{"ids": ["0xA1000001", "0xB2000001"]}], {}, True),
        ([{"corners": {"front_left": "0xA1000001", "rear_left": "0xB2000001"}}], {}, False),
        ([{"corners": {"front_left": "0xA1000001", "rear_left": "0xB2000001"}}], {"corner_aware": False}, True),
        ([], {}, False),
        ([], {"somebody_elses": True}, True),
    ],
)
def test_nothing_is_taught_nor_forgotten(holds: list[Table], car: Table, possible: bool) -> None:
    """A, B and A again go on the car, and neither can be written or changed."""
    assert least(fixed(untaught(*holds, **car))) == (0 if possible else None)


def test_a_plan_is_possible_as_soon_as_either_fact_is_left_out() -> None:
    garage = garage_of(fixed(untaught({"set": "set A"})))
    every = frozenset({("untaught", "car"), ("no-shop", ""), ("fixed", "B")})
    for left_out in (None, *every):
        world = World(garage, DAY, Facts(every - {left_out}))
        assert Enumeration(world, decisions(world)).possible() is (left_out is not None)
