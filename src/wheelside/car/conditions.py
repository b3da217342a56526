"""What has to be so before anything is changed in a car: told by its unit, by the adapter, or by nobody."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.car.card import Holds, PortCard, Speaks
from wheelside.car.find import name_of, watches_tyres
from wheelside.car.frames import UnitTrouble
from wheelside.car.reads import read_value
from wheelside.car.talk import Talk


@dataclass(frozen=True, slots=True)
class Condition:
    """One thing that has to be so: what was found, and whether it is right; None where the car doesn't tell it."""

    name: str
    found: str
    right: bool | None


def conditions(talk: Talk, card: PortCard) -> tuple[Condition, ...]:
    """What has to be so before anything is changed: standing, ignition, voltage, and which unit it is. Raises LinkLost."""
    return (_standing(talk, card), _ignition(talk, card), _supply(talk, card), _unit(talk))


def _unit(talk: Talk) -> Condition:
    name = name_of(talk, asked_again=True)
    said = "it does not say what it is" if not name else f"it calls itself '{name}'"
    return Condition("not a unit for brakes, airbag or steering", said, watches_tyres(name) if name else None)


def _told(talk: Talk, card: PortCard, holds: Holds) -> tuple[float | None, str]:
    value = card.value(holds)
    if value is None:
        return None, "the port card does not say where to read it"
    try:
        ((_, figure, word),) = read_value(talk, value).figures
    except (UnitTrouble, ValueError) as error:
        return None, str(error)
    return figure, word or ("not told" if figure is None else f"{figure:g} {value.unit}".strip())


def _standing(talk: Talk, card: PortCard) -> Condition:
    speed, said = _speed_by_j1979(talk) if card.speaks is Speaks.J1979 else _told(talk, card, Holds.SPEED)
    return Condition("the car stands", said, None if speed is None else speed == 0)


def _speed_by_j1979(talk: Talk) -> tuple[float | None, str]:
    """Vehicle speed by SAE J1979, parameter 0D: one byte, km/h."""
    try:
        answer = talk.ask(b"\x01\x0d")
    except UnitTrouble as error:
        return None, str(error)
    return (float(answer[2]), f"{answer[2]} km/h") if len(answer) == 3 else (None, "not told")


def _ignition(talk: Talk, card: PortCard) -> Condition:
    state, said = _told(talk, card, Holds.IGNITION)
    return Condition(
        "ignition on, engine off",
        said,
        None if state is None or not card.needs.ignition else int(state) in card.needs.ignition,
    )


def _supply(talk: Talk, card: PortCard) -> Condition:
    volts, said = _told(talk, card, Holds.SUPPLY)
    if volts is None and (measured := talk.link.supply_v()) is not None:
        volts, said = measured, f"{measured:g} V by the adapter"
    least = card.needs.least_supply_v
    return Condition("voltage", said, None if volts is None or least is None else volts >= least)
