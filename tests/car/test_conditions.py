"""What has to be so before anything is written or cleared: told by the unit, by the adapter, or by nobody."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cars import CARD, on_a_bus
from wheelside.car.address import UnitAddress
from wheelside.car.card import Holds, Needs, PortCard, Speaks
from wheelside.car.conditions import Condition, conditions
from wheelside.car.find import watches_tyres
from wheelside.car.link import open_link
from wheelside.car.talk import Talk
from wheelside.demo.practice import PracticeCar, practice_car, serve_tcp
from wheelside.errors import BadRequest
from wheelside.jobs.car.teach import refuse_conditions
from wheelside.jobs.source import RUNNING


def without(card: PortCard, *holds: Holds) -> PortCard:
    return replace(card, values=tuple(v for v in card.values if v.holds not in holds))


def found(car: PracticeCar, card: PortCard) -> tuple[Condition, ...]:
    with on_a_bus(car) as said:
        link = open_link(said, RUNNING)
        try:
            with Talk(link, card.unit) as talk:
                return conditions(talk, card)
        finally:
            link.close()


def test_a_car_that_tells_all_is_believed() -> None:
    assert [(c.found, c.right) for c in found(practice_car(), CARD)] == [
        ("0 km/h", True),
        ("on", True),
        ("12.6 V", True),
        ("it calls itself 'TYRE MONITOR'", True),
    ]


@pytest.mark.parametrize(
    ("what", "value", "which", "said"),
    [
        ("speed_kmh", 1, 0, "1 km/h"),
        ("ignition", 0, 1, "off"),
        ("ignition", 2, 1, "engine running"),
        ("supply_mv", 11_999, 2, "11.999 V"),
    ],
)
def test_each_is_wrong_where_the_car_tells_it(what: str, value: int, which: int, said: str) -> None:
    car = practice_car()
    setattr(car.around, what, value)
    condition = found(car, CARD)[which]
    assert condition.right is False
    assert condition.found == said
    with pytest.raises(BadRequest, match="Nothing was written"):
        refuse_conditions(found(car, CARD), owner_says=True)


def test_what_the_card_does_not_have_is_not_known_and_the_owner_vouches_for_it() -> None:
    told = found(practice_car(), without(CARD, Holds.SPEED, Holds.IGNITION, Holds.SUPPLY))
    assert [c.right for c in told] == [None, None, None, True]
    with pytest.raises(BadRequest, match="the car does not tell: the car stands, ignition on, engine off, voltage"):
        refuse_conditions(told, owner_says=False)
    refuse_conditions(told, owner_says=True)


def test_no_least_voltage_and_no_ignition_in_the_card_leave_both_open() -> None:
    told = found(practice_car(), replace(CARD, needs=Needs()))
    assert [c.right for c in told] == [True, None, None, True]


def test_the_adapter_measures_where_the_unit_does_not_tell() -> None:
    card = without(CARD, Holds.SUPPLY)
    car = practice_car()
    for millivolts, right in ((12_600, True), (11_400, False)):
        car.around.supply_mv = millivolts
        with serve_tcp(car, lasting_s=30) as (host, port):
            link = open_link(f"at socket://{host}:{port}", RUNNING)
            try:
                with Talk(link, card.unit) as talk:
                    voltage = conditions(talk, card)[2]
            finally:
                link.close()
        assert voltage == Condition("voltage", f"{millivolts / 1000:g} V by the adapter", right)


def test_a_unit_of_sae_j1979_tells_its_speed_by_parameter_0d() -> None:
    """SAE J1979, service 01, parameter 0D: vehicle speed in km/h, one byte (from memory)."""
    engine = replace(CARD, unit=UnitAddress(0x7E0, 0x7E8), speaks=Speaks.J1979, values=())
    car = practice_car()
    for speed in (0, 37):
        car.around.speed_kmh = speed
        assert found(car, engine)[0] == Condition("the car stands", f"{speed} km/h", speed == 0)


def test_a_unit_that_does_not_say_what_it_is_may_be_changed_only_on_the_owners_word() -> None:
    engine = replace(CARD, unit=UnitAddress(0x7E0, 0x7E8), speaks=Speaks.J1979, values=())
    brake = replace(CARD, unit=UnitAddress(0x760, 0x768), values=())
    assert found(practice_car(), engine)[3].right is None
    assert found(practice_car(), brake)[3].right is False


@pytest.mark.parametrize(
    ("name", "right"),
    [
        ("TYRE MONITOR", True), ("TPMS ECU", True), ("Reifendruck", True), ("RDK-STG", True), ("TIRE PRESSURE", True),
        ("DSC MODULE", False), ("VSC ECU", False), ("EBS", False), ("EHPS", False), ("ABS/TPM", False), ("LENKUNG", False),
        ("BODY COMPUTER", None), ("BCM", None), ("ABSORBER", None), ("RETIRED", None),
    ],
)  # fmt: skip
def test_only_a_name_that_speaks_of_tyres_and_of_nothing_else_needs_no_word_of_the_owner(
    name: str, right: bool | None
) -> None:
    assert watches_tyres(name) is right
