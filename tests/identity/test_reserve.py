"""Fresh IDs are drawn once and kept until they are released."""

from __future__ import annotations

import random

import pytest

from garages import DAY, garage_of, learning_table, row
from wheelside.errors import BadRequest
from wheelside.identity.plan import identity_plan
from wheelside.identity.reserve import Reservation, release
from wheelside.sensor.ident import SensorId


def two_silent() -> object:
    table = learning_table()
    for name in ("s B1", "s B2"):
        row(table, "sensor", name)["answers"] = False
    return garage_of(table)


def bits(seed: int) -> random.Random:
    return random.Random(seed)


def test_planning_again_gives_the_same_ids() -> None:
    garage = two_silent()
    first = identity_plan(garage, DAY, (), bits(1).getrandbits)  # type: ignore[arg-type]  # a Garage
    again = identity_plan(garage, DAY, first.reserved, bits(2).getrandbits)  # type: ignore[arg-type]
    assert first.reserved == again.reserved
    assert [w.id for w in first.wheels] == [w.id for w in again.wheels]
    assert len({w.id for w in first.wheels}) == len(first.wheels)


def test_a_reservation_that_no_longer_fits_the_family_is_not_used() -> None:
    table = learning_table()
    row(table, "sensor", "s B1")["answers"] = False
    table["family"][0]["prefix"] = "2C"
    old = (Reservation("B1", SensorId("f", 32, 0x99000001), 3, DAY),)
    plan = identity_plan(garage_of(table), DAY, old, bits(1).getrandbits)
    wheel = next(w for w in plan.wheels if w.wheel == "B1")
    assert wheel.id is not None
    assert wheel.id.hex.startswith("2C")
    assert old[0] in plan.reserved


def test_a_released_id_is_never_drawn_again() -> None:
    table = learning_table()
    row(table, "sensor", "s B1")["answers"] = False
    garage = garage_of(table)
    first = identity_plan(garage, DAY, (), bits(1).getrandbits)
    released = release(first.reserved, "B1")
    second = identity_plan(garage, DAY, released, bits(1).getrandbits)
    old, new = first.reserved[0].id, next(w.id for w in second.wheels if w.wheel == "B1")
    assert new != old
    assert old in [r.id for r in second.reserved if r.released]


def test_ids_of_other_wheels_retired_and_held_ones_are_never_drawn() -> None:
    table = learning_table()
    row(table, "sensor", "s B1")["answers"] = False
    table["retired"] = [{"id": "0x12345678", "family": "f"}]
    table["car"][0]["holds"] = [{"ids": ["0x23456789"]}]
    table["family"].append({"id": "unsure"})
    table["sensor"].append(
        {"id": "elsewhere", "printed": "0x3456789A", "family": "unsure", "bits": 32, "kept_at": "away"}
    )
    source = iter([0x12345678, 0x23456789, 0x3456789A, 0xA1000001, 0x77777777])
    plan = identity_plan(garage_of(table), DAY, (), lambda _: next(source))
    assert next(w.id for w in plan.wheels if w.wheel == "B1") == SensorId("f", 32, 0x77777777)


def test_releasing_what_is_not_reserved_is_refused() -> None:
    with pytest.raises(BadRequest, match="no reserved ID"):
        release((), "B1")


@pytest.mark.parametrize("fate", ["sent by another", "sent and taken out", "retired"])
def test_a_reserved_id_that_was_used_is_not_given_out_again(fate: str) -> None:
    table = learning_table()
    row(table, "sensor", "s B1")["answers"] = False
    first = identity_plan(garage_of(table), DAY, (), bits(1).getrandbits)
    old = first.reserved[0].id
    if fate == "sent by another":
        row(table, "sensor", "s A2")["sends"] = f"0x{old.hex}"
    elif fate == "sent and taken out":
        row(table, "sensor", "s B1")["sends"] = f"0x{old.hex}"
    else:
        table["retired"] = [{"id": f"0x{old.hex}", "family": "f"}]
    again = identity_plan(garage_of(table), DAY, first.reserved, bits(2).getrandbits)
    assert next(w.id for w in again.wheels if w.wheel == "B1") not in (old, None)


def test_a_sensor_prepared_for_its_wheel_keeps_its_reservation() -> None:
    table = learning_table()
    row(table, "sensor", "s B1")["answers"] = False
    first = identity_plan(garage_of(table), DAY, (), bits(1).getrandbits)
    table["sensor"].append({"id": "new", "sends": f"0x{first.reserved[0].id.hex}", "family": "f", "kept_at": "home"})
    assert identity_plan(garage_of(table), DAY, first.reserved, bits(2).getrandbits).reserved == first.reserved
