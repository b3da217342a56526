"""Garages in which a rule is easily got wrong, each with the weight of its best plan, worked out by hand.

Default figures: an hour 15 EUR, a refit 70 EUR and an hour's trip, teaching 15 min (port, steps).
"""

from __future__ import annotations

from datetime import date
from typing import Any

from garages import NO_RISK, Table, garage_of, of_wheel, seeded
from wheelside.identity.choice import FreshFrom, IdChoice
from wheelside.identity.plan import IdentityPlan, identity_plan

DAY = date(2026, 5, 1)
TEACH = 15 * 60 * 1500
REFIT = 70 * 100 * 3600 + 60 * 60 * 1500
WRITE, WRITE_MOUNTED = 4 * 60 * 1500, 12 * 60 * 1500
ID, OTHER, THIRD = "0xBADCAFE", "0x1111111B", "0x1111111C"


def plan(table: Table, day: date = DAY) -> IdentityPlan:
    """The plan where nothing goes wrong, so that only what is sure is weighed."""
    table.setdefault("odds", NO_RISK)
    return identity_plan(garage_of(table), day, (), seeded())


def world(*families: Table, **tables: Any) -> Table:
    return {"wheelside": 1, "family": list(families), **tables}


def family(name: str, **more: Any) -> Table:
    return {"id": name, "bits": 32, **more}


def car(name: str, **more: Any) -> Table:
    return {"id": name, "monitor": "direct", **more}


def one_wheel_set(table: Table, name: str, corner: str = "front_left", **sensor: Any) -> None:
    """A set of one wheel, named like the set; without a sensor where nothing is said of it."""
    joined = [{"sensor": f"x {name}"}] if sensor else [{}]
    if sensor:
        table.setdefault("sensor", []).append({"id": f"x {name}", **sensor})
    table.setdefault("wheel", []).append({"id": name, "joined": joined})
    table.setdefault("set", []).append({"id": name, "wheels": {corner: name}})


def on(table: Table, set_id: str, car_id: str, since: date = date(2026, 1, 1), until: date | None = None) -> None:
    stay = {"set": set_id, "on": car_id, "since": since, **({"until": until} if until else {})}
    table.setdefault("stay", []).append(stay)


def test_a_writer_that_cannot_be_used_leaves_buying_open() -> None:
    """No width is known, so no ID can be drawn; a new sensor still comes with its own."""
    table = world(car=[car("c")], writer=[{"id": "w", "can": ["given"]}])
    one_wheel_set(table, "a")
    on(table, "a", "c")
    assert of_wheel(plan(table), "a").fresh_from is FreshFrom.BOUGHT
    table["writer"][0]["can"] = ["given", "own"]
    assert of_wheel(plan(table), "a").fresh_from is FreshFrom.WRITER


def test_a_loose_sensor_is_compared_with_each_wheel_by_itself() -> None:
    """The wheel of another family in between hides nothing: A and the loose one share family and ID."""
    table = world(family("f"), family("g", unlike=["f"]), car=[car("c", family="f")])
    one_wheel_set(table, "a", sends=ID, family="f")
    one_wheel_set(table, "b", sends=ID, family="g")
    table["sensor"].append({"id": "loose", "sends": ID, "family": "f"})
    on(table, "a", "c")
    assert plan(table).weight == REFIT + TEACH


def test_two_cars_are_compared_whatever_a_third_carries() -> None:
    places = [{"id": p} for p in ("p", "q", "r")]
    paths = [{"between": pair, "heard": "no"} for pair in (["p", "q"], ["p", "r"], ["q", "r"])]
    table = world(family("f"), family("g", unlike=["f"]), place=places, path=paths, car=[])
    for name, fam, place in (("a", "f", "p"), ("b", "f", "q"), ("c", "g", "r")):
        table["car"].append(car(f"car {name}", family=fam, stands_at=place))
        one_wheel_set(table, name, sends=ID, family=fam)
        on(table, name, f"car {name}")
    assert plan(table).weight == REFIT + 3 * TEACH


def test_a_clone_speaks_in_the_frames_of_its_own_sensor() -> None:
    """A copy onto a new sensor of the car's family meets the fitted one it was copied from."""
    table = world(family("g"), car=[car("c", family="g", corner_aware=False, holds=[{"set": "s"}])])
    table["sensor"] = [{"id": "x", "sends": ID, "family": "g"}]
    table["wheel"] = [{"id": "a", "joined": [{"sensor": "x"}]}, {"id": "b", "joined": [{}]}]
    table["set"] = [{"id": "s", "wheels": {"front_right": "a", "rear_left": "b"}}]
    table["writer"] = [{"id": "w", "can": ["copy"]}]
    on(table, "s", "c")
    assert of_wheel(plan(table), "b").choice is IdChoice.FRESH


def learnt(sensor: Table) -> Table:
    table = world(family("f"), car=[car("c", family="f", taught_by="port", holds=[{"corners": {"front_left": ID}}])])
    one_wheel_set(table, "a", sends=ID, bits=32, **sensor)
    return table


def test_an_id_in_the_list_is_known_though_the_sensors_family_is_not_stated() -> None:
    table = learnt({})
    on(table, "a", "c")
    assert plan(table).weight == 0
    table = learnt({"writing": "rewritable"})
    table["writer"] = [{"id": "w", "can": ["given"]}]
    on(table, "a", "c")
    assert plan(table).weight == 0


def test_an_id_in_the_list_matters_though_no_family_is_stated() -> None:
    table = learnt({"writing": "rewritable"})
    table["sensor"].append({"id": "loose", "sends": ID, "bits": 32})
    table["writer"] = [{"id": "w", "can": ["own"]}]
    assert plan(table).weight == WRITE_MOUNTED


def test_a_full_list_that_forgets_all_still_holds_what_it_holds_now() -> None:
    """Nothing was taught yet, so the older of two groups is in the list too."""
    held = [{"ids": ["0x1111111A"]}, {"ids": [OTHER]}]
    keeper = car("c", family="f", corner_aware=False, taught_by="port", remembers_sets=2, when_full="all", holds=held)
    table = world(family("f"), car=[keeper], plan={"horizon_years": 1})
    one_wheel_set(table, "a", sends="0x1111111A", family="f")
    on(table, "a", "c")
    assert plan(table).weight == 0


def test_what_the_list_held_for_two_sets_takes_one_place() -> None:
    """The owner picks what goes: the first group serves two sets, and with two places only the third set is taught."""
    held = [{"ids": ["0x1111111A", OTHER]}]
    keeper = car(
        "c", family="f", corner_aware=False, taught_by="port", remembers_sets=2, when_full="chosen", holds=held
    )
    table = world(family("f"), car=[keeper], plan={"horizon_years": 1})
    for name, sends in (("a", "0x1111111A"), ("b", OTHER), ("c", THIRD)):
        one_wheel_set(table, name, sends=sends, family="f")
    on(table, "c", "c", until=date(2026, 6, 1))
    on(table, "a", "c", date(2026, 6, 1), date(2026, 9, 1))
    on(table, "b", "c", date(2026, 9, 1))
    assert plan(table).weight == TEACH
    keeper["remembers_sets"] = 1
    assert plan(table).weight == 3 * TEACH
    table["stay"] = []
    for n, name in enumerate("abc"):
        on(table, name, "c", date(2026, 4 + 2 * n, 1), date(2026, 6 + 2 * n, 1))
    assert plan(table).weight == TEACH


def test_a_set_that_the_list_still_holds_is_not_taught_to_renew_it() -> None:
    """A B A B C A B C on a car of two places that forgets the oldest: taught six times, never while it is known."""
    table = world(
        family("f"), car=[car("c", family="f", taught_by="port", remembers_sets=2, when_full="oldest", holds=[])]
    )
    for name, sends in (("a", "0x1111111A"), ("b", OTHER), ("c", THIRD)):
        one_wheel_set(table, name, sends=sends, family="f")
    for n, name in enumerate("ababcabc", start=1):
        on(table, name, "c", date(2026, n, 2), date(2026, n + 1, 2))
    made = plan(table, date(2026, 1, 5))
    assert [t.needed for t in made.teachings] == [True, True, False, False, True, True, True, True]
    assert made.weight == 6 * TEACH


def test_families_are_compared_with_each_other_not_with_the_car_alone() -> None:
    """The car's own family is not known, the two sensors are proven different: they can't be taken for one another."""
    table = world(family("f"), family("g", unlike=["f"]), car=[car("c")])
    one_wheel_set(table, "a", sends=ID, family="g")
    one_wheel_set(table, "b", sends=ID, family="f")
    on(table, "a", "c")
    assert plan(table).weight == TEACH


def test_an_id_matters_only_between_sensors_one_of_which_the_car_carries() -> None:
    """Once the fitted one is changed, the stored and the loose one with the old ID are nothing to this car."""
    table = world(car=[car("c", taught_by="step by step", holds=[])])
    one_wheel_set(table, "a", sends=ID, bits=32)
    one_wheel_set(table, "b", sends=ID, bits=32)
    table["sensor"].append({"id": "loose", "sends": ID, "bits": 32})
    on(table, "a", "c")
    made = plan(table)
    assert made.possible
    assert made.weight == REFIT + TEACH


def test_the_same_ids_at_other_corners_are_another_set_to_a_car_that_cares() -> None:
    """Two sets, out of earshot of each other's car, with the same two IDs, left and right exchanged."""
    table = world(family("f"), place=[{"id": "p"}, {"id": "q"}], path=[{"between": ["p", "q"], "heard": "no"}])
    table["car"] = [car("c", family="f", stands_at="p", taught_by="port", remembers_sets=1, holds=[{"set": "s"}])]
    table["sensor"], table["wheel"], table["set"] = [], [], []
    for name, first, second in (("s", ID, OTHER), ("t", OTHER, ID)):
        for wheel, sends in (("l", first), ("r", second)):
            table["sensor"].append({"id": f"{name}{wheel}", "sends": sends, "family": "f"})
            table["wheel"].append({"id": f"{name}{wheel}", "joined": [{"sensor": f"{name}{wheel}"}]})
        table["set"].append({"id": name, "wheels": {"front_left": f"{name}l", "front_right": f"{name}r"}})
    on(table, "s", "c", until=date(2026, 7, 1))
    on(table, "t", "c", date(2026, 7, 1))
    table["stay"] += [
        {"set": "s", "at": "q", "since": date(2026, 7, 1)},
        {"set": "t", "at": "q", "since": date(2026, 1, 1), "until": date(2026, 7, 1)},
    ]
    for aware, weight in ((True, TEACH), (None, TEACH), (False, 0)):
        table["car"][0].pop("corner_aware", None)
        table["car"][0] |= {} if aware is None else {"corner_aware": aware}
        assert plan(table).weight == weight


def test_a_copy_is_taken_from_any_sensor_that_speaks() -> None:
    held = [{"corners": {"front_left": ID}}]
    table = world(
        family("f"), car=[car("c", family="f", taught_by="locked", holds=held)], writer=[{"id": "w", "can": ["copy"]}]
    )
    one_wheel_set(table, "a")
    quiet = {"sends": ID, "family": "f", "at_rest": "silent"}
    table["sensor"] = [{"id": "dead", "answers": False, **quiet}, {"id": "live", **quiet}]
    on(table, "a", "c")
    assert plan(table).weight == REFIT + WRITE


def test_a_spare_that_is_not_watched_is_not_in_the_list() -> None:
    table = world(
        family("f"), car=[car("c", family="f", corner_aware=False, spare_counted=False, holds=[{"set": "s"}])]
    )
    table["sensor"] = [{"id": "x", "sends": ID, "family": "f"}]
    table["wheel"] = [{"id": "a", "joined": [{}]}, {"id": "b", "joined": [{"sensor": "x"}]}]
    table["set"] = [{"id": "s", "wheels": {"front_right": "a", "spare": "b"}}]
    table["writer"] = [{"id": "w", "can": ["given"]}]
    on(table, "s", "c")
    assert of_wheel(plan(table), "a").choice is IdChoice.FRESH


def test_a_sensor_in_a_wheel_of_no_set_counts_as_heard() -> None:
    table = world(family("f"), car=[car("c", family="f", holds=[{"set": "a"}])])
    one_wheel_set(table, "a", sends=ID, family="f")
    table["sensor"].append({"id": "y", "sends": ID, "family": "f"})
    table["wheel"].append({"id": "alone", "joined": [{"sensor": "y"}]})
    on(table, "a", "c")
    assert plan(table).weight == REFIT + TEACH


def test_no_single_sensor_serves_cars_of_two_bands() -> None:
    table = world(family("f", band="315 MHz"), family("g", band="433.92 MHz"))
    table["car"] = [car("c", family="f"), car("d", family="g")]
    one_wheel_set(table, "a", sends=ID, family="f")
    on(table, "a", "c", until=date(2026, 7, 1))
    on(table, "a", "d", date(2026, 7, 1))
    made = plan(table)
    assert not made.possible
    assert "two-families" in {f.kind for f in made.conflict}
