"""The enumeration's own rules on when a sensor is written, wheels of several sets, blanks and proofs, on households small enough to know.

Nothing here asks the planner: what is held to account is the second telling that the planner is held against.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

import pytest
from oracle_desk import decisions
from oracle_memory import Memory
from oracle_parts import Decision, Fact, Option
from oracle_prices import Prices
from oracle_together import Together
from test_oracle_rules import AUTUMN, DAY, EUR, SPRING, desk_of, household, least, own_car, sensor, stay, world_of

from garages import Table, garage_of, row

HORIZON = date(2027, 1, 5)
EVE = timedelta(days=1)


def alike() -> Table:
    """A and B carry one ID, which the car's list holds; teaching it is dear. They never meet: B lies where nothing is heard."""
    table = household()
    row(table, "sensor", "xB")["sends"] = "0xA1000001"
    own_car(table)["taught_by"] = "locked"
    return table


def price(table: Table, *names: str) -> int:
    return Prices(garage_of(table)).time(*names)


def later(table: Table, wheel: str) -> tuple[date, ...]:
    return world_of(table).later(wheel)


def options(table: Table, wheel: str) -> tuple[Option, ...]:
    return next(d.options for d in decisions(world_of(table)) if d.wheel == wheel)


def written(table: Table, wheel: str, choice: str, on: date | None) -> Option:
    return next(o for o, _ in desk_of(table, wheel).stays() if (o.choice, o.on) == (choice, on))


def speaks_against(table: Table, wheel: str, choice: str, on: date | None) -> list[Fact]:
    """What speaks against writing a sensor in its wheel on a day."""
    return next(why for o, why in desk_of(table, wheel).stays() if (o.choice, o.on) == (choice, on))


def clash(table: Table, one: tuple[str, str, date | None], two: tuple[str, str, date | None]) -> bool:
    together = Together(world_of(table))
    first, second = (written(table, *which).carriers[0] for which in (one, two))
    return together.clash(first, second)


def taught(table: Table, **choices: Option) -> int:
    """How often the car is taught; each wheel that is not named keeps its ID."""
    memory = Memory(world_of(table), garage_of(table).cars["car"])
    return memory.teachings(memory.contents(picked(decisions(memory.world), choices)))


def picked(decided: Iterable[Decision], choices: dict[str, Option]) -> list[tuple[Decision, Option]]:
    kept = {d.wheel: next(o for o in d.options if o.choice == "keep") for d in decided if d.wheel not in choices}
    return [(d, (choices | kept)[d.wheel]) for d in decided]


# --- the moments --------------------------------------------------------------------------------------------------


def test_it_is_written_on_the_day_on_which_its_set_goes_on_a_car_or_comes_off() -> None:
    assert later(household(), "A") == later(household(), "B") == (SPRING, AUTUMN)


def test_on_the_eve_of_any_other_move() -> None:
    """B goes from the shed to its owner's home in February; in March it is moved on paper alone."""
    table = household()
    table["stay"] = [one for one in table["stay"] if one["set"] != "set B" or one["since"] != DAY]
    february, march = date(2026, 2, 1), date(2026, 3, 1)
    table["stay"] += [stay("set B", DAY, february, at="shed"), stay("set B", february, march, at="home")]
    table["stay"].append(stay("set B", march, SPRING, at="home"))
    assert later(table, "B") == (february - EVE, SPRING, AUTUMN)
    table["stay"][-1] |= {"or_at": ["shed"]}
    assert later(table, "B") == (february - EVE, march - EVE, SPRING, AUTUMN)


def test_and_on_the_eve_of_its_sale() -> None:
    table = household()
    row(table, "set", "set B")["sold"] = date(2026, 12, 1)
    assert later(table, "B") == (SPRING, AUTUMN, date(2026, 11, 30))
    row(table, "set", "set B")["sold"] = AUTUMN
    assert later(table, "B") == (SPRING, AUTUMN - EVE)
    row(table, "set", "set B")["sold"] = HORIZON + timedelta(days=40)
    assert later(table, "B") == (SPRING, AUTUMN)


def test_a_set_that_is_scrapped_has_no_such_eve() -> None:
    table = household()
    row(table, "set", "set B")["scrapped"] = date(2026, 12, 1)
    assert later(table, "B") == (SPRING, AUTUMN)


def test_a_new_sensor_is_fitted_now() -> None:
    assert {o.on for o in options(household(), "B") if o.refit} == {None}


# --- what speaks against waiting ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"answers": False}, ("no-answer", "B")),
        ({"family": "g", "sends": "0x2000001"}, ("wrong-family", "B/car")),
        ({"writing": "fixed"}, ("fixed", "B")),
    ],
)
def test_what_speaks_against_keeping_speaks_against_waiting(change: Table, why: Fact) -> None:
    table = household()
    row(table, "sensor", "xB").update(change)
    assert why in speaks_against(table, "B", "fresh", SPRING)


def test_a_sensor_that_was_never_written_does_not_wait() -> None:
    table = household()
    row(table, "sensor", "xB")["written"] = False
    del row(table, "sensor", "xB")["sends"]
    assert speaks_against(table, "B", "clone", None) == []
    assert speaks_against(table, "B", "clone", SPRING) == [("not-written", "B")]


def test_nor_does_one_whose_id_was_sold() -> None:
    table = household()
    add_old(table, "0xB2000001", sold=date(2025, 5, 1))
    assert speaks_against(table, "B", "fresh", None) == []
    assert speaks_against(table, "B", "fresh", SPRING) == [("sold", "set old")]


def add_old(table: Table, number: str, **leaves: date) -> None:
    table["sensor"].append(sensor("old", number))
    table["wheel"].append({"id": "old", "joined": [{"sensor": "xold"}]})
    table["set"].append({"id": "set old", "wheels": {"front_left": "old"}} | leaves)


@pytest.mark.parametrize("leaves", ["sold", "scrapped"])
def test_retired_is_asked_as_of_the_day_of_writing(leaves: str) -> None:
    """The car's list holds an ID that goes with a set which leaves in June."""
    table = household()
    add_old(table, "0xC3000001", **{leaves: date(2026, 6, 1)})
    own_car(table)["holds"] = [{"corners": {"front_left": "0xC3000001"}}]
    assert speaks_against(table, "B", "clone", SPRING) == []
    assert speaks_against(table, "B", "clone", AUTUMN) == [("retired", "32/C3000001")]


def test_so_is_a_sensor_that_is_gone_by_then() -> None:
    table = household()
    table["sensor"].append(sensor("loose", "0xC3000001", gone=date(2026, 6, 1)))
    own_car(table)["holds"] = [{"corners": {"front_left": "0xC3000001"}}]
    assert speaks_against(table, "B", "clone", SPRING) == []
    assert speaks_against(table, "B", "clone", AUTUMN) == [("retired", "32/C3000001")]


# --- what it carries before and after -----------------------------------------------------------------------------


def test_it_carries_the_old_id_until_that_day_and_the_new_one_from_it_on() -> None:
    table = household()
    clone = written(table, "B", "clone", SPRING)
    carrier = clone.carriers[0]
    assert set(carrier.ids_on(SPRING - EVE)) == {(32, 0xB2000001)}
    assert set(carrier.ids_on(SPRING)) == {(32, 0xA1000001)}
    assert clone.weight == written(table, "B", "clone", None).weight


def test_two_of_one_id_are_heard_only_while_both_carry_it() -> None:
    """From autumn on B lies at home, where the car stands with A on."""
    table = alike()
    table["stay"][-1] |= {"at": "home"}
    assert clash(table, ("A", "keep", None), ("B", "keep", None))
    assert not clash(table, ("A", "keep", None), ("B", "fresh", AUTUMN))
    assert not clash(table, ("A", "keep", None), ("B", "fresh", SPRING))
    assert not clash(table, ("A", "fresh", AUTUMN), ("B", "keep", None))
    assert not clash(table, ("A", "fresh", SPRING), ("B", "fresh", AUTUMN))


def test_a_clone_that_is_made_later_is_heard_only_from_then_on() -> None:
    """B lies at home until spring, and in the shed after autumn."""
    table = household()
    table["stay"][1] |= {"at": "home"}
    assert clash(table, ("A", "keep", None), ("B", "clone", None))
    assert not clash(table, ("A", "keep", None), ("B", "clone", SPRING))


def test_a_car_minds_an_id_only_where_one_of_them_carries_it_on_the_car() -> None:
    """B lies at home until spring, beside a loose sensor that has its ID, which the list does not hold."""
    table = household()
    own_car(table)["taught_by"] = "locked"
    table["stay"][1] |= {"at": "home"}
    table["sensor"].append(sensor("loose", "0xB2000001", kept_at="home"))
    for on, heard in ((None, False), (SPRING, False), (AUTUMN, True)):
        world = world_of(table)
        assert Together(world).clash(written(table, "B", "fresh", on).carriers[0], world.loose[0]) is heard
    own_car(table)["taught_by"] = "driving"
    world = world_of(table)
    assert Together(world).clash(written(table, "B", "fresh", SPRING).carriers[0], world.loose[0])


def test_one_id_on_two_cars_at_a_time() -> None:
    """B is on another car in winter; until spring that is no harm if it gets A's ID only then."""
    table = household()
    second = {"id": "second", "stands_at": "street", "monitor": "direct", "family": "f", "holds": []}
    table["car"].append(second | {"taught_by": "locked", "remembers_sets": 1})
    table["place"].append({"id": "street"})
    table["path"] += [{"between": [place, "street"], "heard": "no"} for place in ("home", "shed")]
    table["stay"][1] = stay("set B", DAY, SPRING, on="second")
    assert clash(table, ("A", "keep", None), ("B", "clone", None))
    assert not clash(table, ("A", "keep", None), ("B", "clone", SPRING))


# --- a sale -------------------------------------------------------------------------------------------------------


def test_a_pair_may_last_until_a_sale_and_is_written_on_its_eve() -> None:
    """B is sold in December, and was on the car last until autumn: written then, at no teaching."""
    table = alike()
    row(table, "set", "set B")["sold"] = date(2026, 12, 1)
    assert clash(table, ("A", "keep", None), ("B", "keep", None))
    for on in (AUTUMN, date(2026, 11, 30)):
        assert not clash(table, ("A", "keep", None), ("B", "fresh", on))
    assert least(table) == price(table, "write_mounted")


def test_nor_may_the_other_be_written_with_the_sold_one_after_the_sale() -> None:
    """A is sold in June with the ID that B would get in autumn."""
    table = household()
    row(table, "set", "set A")["sold"] = date(2026, 6, 1)
    table["stay"] = [one for one in table["stay"] if one["since"] != AUTUMN]
    table["stay"] = [one for one in table["stay"] if one != stay("set B", SPRING, AUTUMN, on="car")]
    table["stay"] += [stay("set B", SPRING, AUTUMN, at="shed"), stay("set B", AUTUMN, on="car")]
    assert later(table, "B") == (AUTUMN,)
    assert clash(table, ("A", "keep", None), ("B", "clone", AUTUMN))
    assert not clash(table, ("A", "fresh", SPRING), ("B", "clone", AUTUMN))
    assert speaks_against(table, "B", "clone", AUTUMN) == [("retired", "32/A1000001")]


# --- teaching -----------------------------------------------------------------------------------------------------


def test_a_car_meets_the_new_id_at_a_change_of_that_very_day() -> None:
    """The list has room for one set: A, B and A again go on."""
    table = household()
    assert taught(table) == 2
    assert taught(table, B=written(table, "B", "clone", SPRING)) == 0
    assert taught(table, B=written(table, "B", "clone", AUTUMN)) == 2
    assert taught(table, A=written(table, "A", "fresh", SPRING)) == 2
    own_car(table)["remembers_sets"] = 3
    assert taught(table, A=written(table, "A", "fresh", None)) == 2
    assert taught(table, A=written(table, "A", "fresh", SPRING)) == 2
    assert taught(table, A=written(table, "A", "fresh", AUTUMN)) == 2
    assert taught(table, B=written(table, "B", "fresh", AUTUMN)) == 1


def test_what_is_written_while_it_is_on_a_car_is_taught_anew() -> None:
    """A is sold off the car: written on the eve of that, it would have to be taught for one day."""
    table = household()
    row(table, "set", "set A")["sold"] = date(2026, 12, 1)
    own_car(table)["remembers_sets"] = 2
    assert taught(table, A=written(table, "A", "fresh", date(2026, 11, 30))) == 2
    assert taught(table) == 1


def test_a_car_that_cant_be_taught_meets_what_its_list_holds_whenever_the_set_goes_on() -> None:
    table = alike()
    own_car(table)["taught_by"] = "not at all"
    assert least(table) == 0
    row(table, "set", "set B")["sold"] = date(2026, 12, 1)
    assert least(table) == price(table, "write_mounted")


# --- pairs --------------------------------------------------------------------------------------------------------


def met(table: Table, since: date, until: date | None) -> int:
    """The risk of one pair from day to day; until the horizon ends where that is not said."""
    world = world_of(table)
    end = 1.0 if until is None else (until - DAY).days / 365.25
    return Prices(world.garage).met(end - (since - DAY).days / 365.25)


def test_a_later_writing_ends_a_pair_on_its_day() -> None:
    """B is sold in December; the pair lasts until autumn."""
    table = alike()
    table["odds"]["pair_meets"] = "20 %"
    assert least(table) == met(table, DAY, None)
    row(table, "set", "set B")["sold"] = date(2026, 12, 1)
    assert least(table) == met(table, DAY, AUTUMN) + price(table, "write_mounted")


def test_one_that_begins_later_counts_from_today() -> None:
    """B is cloned when it goes on the car, or now: that comes to the same."""
    table = household()
    table["odds"]["pair_meets"] = "20 %"
    own_car(table)["taught_by"] = "locked"
    assert least(table) == met(table, DAY, None) + price(table, "write_mounted")


# --- a wheel of several sets --------------------------------------------------------------------------------------


def with_spare(**car: object) -> Table:
    """A spare that is in both sets; the car counts it."""
    table = household()
    table["sensor"].append(sensor("spare", "0xD4000001"))
    table["wheel"].append({"id": "spare", "joined": [{"sensor": "xspare"}]})
    for one in table["set"]:
        one["wheels"]["spare"] = "spare"
    own_car(table).update({"spare_counted": True, "corner_aware": False} | car)
    return table


def test_a_wheel_of_several_sets_is_decided_once() -> None:
    assert [d.wheel for d in decisions(world_of(with_spare()))] == ["A", "spare", "B"]
    assert [len(d.homes) for d in decisions(world_of(with_spare()))] == [1, 2, 1]


def test_it_is_with_the_set_that_is_on_a_car_else_with_the_one_that_was_on_last() -> None:
    table = with_spare()
    table["stay"][-2] = stay("set A", AUTUMN, at="home")
    world = world_of(table)
    assert [world.with_set("spare", day) for day in (DAY, SPRING, AUTUMN)] == ["set A", "set B", "set B"]
    table["stay"] = [stay("set A", at="home"), stay("set B", at="shed")]
    assert world_of(table).with_set("spare", DAY) == "set A"
    table["stay"] = [stay("set A", on="car"), stay("set B", on="other")]
    table["car"].append({"id": "other", "monitor": "none"})
    assert world_of(table).with_set("spare", DAY) == "set A"


def test_its_later_moments_are_those_of_all_its_sets() -> None:
    table = with_spare()
    row(table, "set", "set A")["sold"] = date(2026, 12, 1)
    assert later(table, "spare") == (SPRING, AUTUMN, date(2026, 11, 30))
    assert later(table, "B") == (SPRING, AUTUMN)


def test_it_leaves_with_the_last_of_its_sets() -> None:
    table = with_spare()
    row(table, "set", "set A")["sold"] = SPRING
    world = world_of(table)
    assert world.sale("spare") is None
    assert not world.wheel_left("spare", AUTUMN)
    row(table, "set", "set B")["sold"] = AUTUMN
    assert world_of(table).sale("spare") == (AUTUMN, "set B")
    row(table, "set", "set A")["sold"] = date(2025, 5, 1)
    assert world_of(table).counts_for("spare") == "set B"
    assert (32, 0xD4000001) not in world_of(table).retired(DAY)


def test_it_is_taught_with_each_of_its_sets() -> None:
    """A list of two sets that holds A with an older spare, and B as it is."""
    table = with_spare(remembers_sets=2)
    own_car(table)["holds"] = [{"ids": ["0xA1000001", "0xD4000009"]}, {"set": "set B"}]
    assert taught(table) == 1
    own_car(table)["holds"] = [{"set": "set A"}]
    assert taught(table) == 1


def test_two_sets_that_send_the_same_with_it_are_taught_once() -> None:
    """B's wheel takes A's ID over, and the spare gets a fresh one: what the list was taught for A is B's, too."""
    table = with_spare()
    fresh, clone = written(table, "spare", "fresh", None), written(table, "B", "clone", None)
    assert taught(table, spare=fresh, B=clone) == 1


def test_all_its_sets_are_its_own_where_a_car_remembers_sets_apart() -> None:
    """The list holds B by name; what the spare takes over from B's entry is no other set's."""
    table = with_spare(remembers_sets=2, corner_aware=False)
    own_car(table)["holds"] = [{"set": "set B"}]
    assert speaks_against(table, "spare", "clone", None) == []
    assert speaks_against(table, "A", "clone", None) == [("set-mistaken", "car")]


def test_it_takes_an_id_over_at_the_corners_that_it_has_on_that_car() -> None:
    table = with_spare(corner_aware=True)
    row(table, "set", "set B")["wheels"] = {"front_left": "B", "rear_left": "spare"}
    own_car(table)["holds"] = [{"corners": {"rear_left": "0xC3000001", "rear_right": "0xC3000002"}}]
    assert [o.known for o in options(table, "spare") if o.choice == "clone" and o.on is None and not o.refit] == [
        (32, 0xC3000001)
    ]


def test_it_is_changed_on_a_visit_with_any_of_its_sets() -> None:
    """B's new sensor takes A's ID over, which spares teaching both."""
    table = with_spare(taught_by="driving")
    row(table, "sensor", "xspare").update(answers=False)
    one = least(table)
    row(table, "sensor", "xB").update(answers=False)
    prices = Prices(garage_of(table))
    taught = 2 * prices.teach(garage_of(table).cars["car"])
    assert (least(table) or 0) - (one or 0) == prices.refit + prices.time("write") - taught


# --- blanks and proofs --------------------------------------------------------------------------------------------


def changed(*blanks: Table, **plan: object) -> Table:
    """B's sensor gave no answer."""
    table = household()
    row(table, "sensor", "xB").update(answers=False, at_rest="silent")
    table["blank"] = list(blanks)
    table["plan"] |= plan
    return table


@pytest.mark.parametrize(
    ("blank", "taken"),
    [
        ({"family": "g", "count": 1, "or_families": ["f"]}, 0),
        ({"family": "f", "count": 1, "each": "9 EUR"}, 9),
        ({"family": "g", "count": 1}, None),
        ({"family": "f", "count": 0}, None),
        ({"family": "g", "count": 1, "or_families": ["f"], "each": "50 EUR"}, None),
        ({"family": "f", "count": 1, "at_rest": "silent"}, 0),
        ({"family": "f", "count": 1, "at_rest": "transmits"}, 0),
    ],
)
def test_a_blank_serves_a_car_of_any_of_its_families(blank: Table, taken: int | None) -> None:
    bought = least(changed()) or 0
    assert least(changed(blank)) == (bought if taken is None else bought - (45 - taken) * EUR)


def test_blanks_go_where_they_are_of_most_use() -> None:
    """Of two kinds the one that only the one can be is left to it; both have to be in hand."""
    kinds = ({"family": "f", "count": 1}, {"family": "g", "count": 1, "or_families": ["f"]})
    table = changed(*kinds, buy_sensors=False)
    row(table, "sensor", "xA").update(answers=False)
    assert least(table) is not None
    table["blank"][1].pop("or_families")
    assert least(table) is None


def test_a_silent_blank_is_a_choice_of_its_own() -> None:
    """B lies at home, where the car hears it, and would take A's ID over."""
    table = changed({"family": "f", "count": 1, "at_rest": "silent"})
    refits = [o for o in options(table, "B") if o.refit]
    assert {(o.choice, o.at_rest) for o in refits} == {
        ("fresh", False), ("fresh", True), ("clone", False), ("clone", True)
    }  # fmt: skip
    assert {o.carriers[0].silent for o in refits if o.at_rest} == {True}
    assert {o.carriers[0].silent for o in refits if not o.at_rest} == {False}
    table["blank"][0]["at_rest"] = "transmits"
    assert not any(o.at_rest for o in options(table, "B"))


def test_one_that_is_not_chosen_so_takes_no_silent_blank() -> None:
    """A and B are changed and carry A's ID, and there is one silent blank: the other is bought, or not to be had."""
    table = changed({"family": "f", "count": 1, "at_rest": "silent"})
    one = least(table) or 0
    row(table, "sensor", "xA").update(answers=False)
    prices = Prices(garage_of(table))
    assert least(table) == one + prices.refit + prices.time("write", "shop_trip")
    table["plan"]["buy_sensors"] = False
    assert least(table) is None


def proven(table: Table, *names: str, rear: str = "205/55 R16") -> Table:
    """Tyres for the wheels of both sets, each with a second one behind; the dash shows pressures."""
    for name in ("A", "B"):
        table["sensor"].append(sensor(f"{name}2", f"0x{name}{name}000002"))
        table["wheel"].append({"id": f"{name}2", "joined": [{"sensor": f"x{name}2", "tyre": f"t{name}2"}]})
        row(table, "wheel", name)["joined"][0]["tyre"] = f"t{name}"
        row(table, "set", f"set {name}")["wheels"]["rear_left"] = f"{name}2"
        table.setdefault("tyre", []).append({"id": f"t{name}", "designation": "205/55 R16"})
        table["tyre"].append({"id": f"t{name}2", "designation": rear})
    own_car(table).update(taught_by="locked", dash_shows=True)
    return table


def test_a_clone_is_proven_corner_by_corner() -> None:
    """B's two wheels take A's IDs over: two corners are shown, once."""
    table = proven(household())
    rest = 2 * price(table, "write_mounted")
    assert least(table) == rest + 2 * 8 * 60 * 1500
    table["costs"] = {"show_corner": "3 min"}
    assert least(table) == rest + 2 * 3 * 60 * 1500
    own_car(table)["dash_shows"] = False
    assert least(table) == rest


def test_for_nothing_more_where_front_and_rear_tyres_differ_in_size() -> None:
    table = proven(household(), rear="225/50 R16")
    assert least(table) == 2 * price(table, "write_mounted")


def test_nor_where_nothing_is_cloned() -> None:
    table = proven(alike())
    row(table, "sensor", "xB2")["sends"] = "0xAA000002"
    assert least(table) == 0
