"""Reading a card as somebody does who has it before them: what its own words name has to be what its rows name, and its cautions are there.

What is looked at: wheels, sets, places, corners, pressures, torques, and minutes; which caution stands before which act.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING

from reading import SaysOtherwise, corner_in, named
from things import Car

from spoken import lines, words
from wheelside.sheet.cautions import OF_ACT, Caution
from wheelside.sheet.step import Card, Does, OnCard, RunSheet, Sitting, Step

if TYPE_CHECKING:
    from person import Person

_QUANTITY = re.compile(r"(\d+(?:[.,]\d+)?) ?(bar|psi|kPa|Nm|min(?:utes)?|km/h)\b")
_DRIVES = re.compile(r"\b[Dd]rive (?!back)\S")
OWN = {OnCard.AWAY: r"Next season: [^.]*\.|The car rests meanwhile: [^.]*\."}
"""What a card says beside its rows, and is looked at by itself."""


def read_deck(sheet: RunSheet) -> None:
    """Each step stands on one card, the one that it names, in its order; sittings follow one another."""
    on = Counter(step for card in sheet.cards for step in card.steps)
    ids = [s.id for s in sheet.steps]
    if list(on) != ids or set(on.values()) - {1}:
        raise SaysOtherwise(f"the cards have {list(on)}, and the steps are {ids}")
    by_id = {s.id: s for s in sheet.steps}
    wrong = [one for card in sheet.cards for one in card.steps if by_id[one].card is not card.of]
    if wrong:
        raise SaysOtherwise(f"{wrong} stand on other cards than they name")
    order = list(Sitting)
    went = [order.index(card.sitting) for card in sheet.cards if card.of is not OnCard.WRONG]
    if went != sorted(went):
        raise SaysOtherwise(f"the sittings go {[card.sitting.value for card in sheet.cards]}")


def read_card(me: Person, card: Card, steps: list[Step], car: Car | None) -> None:
    """One card, opened."""
    _cautions(me, card, steps, car)
    text = "; ".join(words(one) for one in (card.title, card.line, card.expect, *card.how))
    if card.of is OnCard.AWAY:
        _away(me, text, steps)
        text = re.sub(OWN[card.of], "", text)
    rows = "; ".join(part for s in steps for part in _row(s))
    for what, ours, theirs in (
        ("wheels", {w.name for w in me.wheels_in(text)}, {w.name for w in me.wheels_in(rows)}),
        ("places", _places(me, text), _places(me, rows)),
        ("corners", corner_in(text), corner_in(rows)),
        ("figures", _quantities(text), _quantities(rows)),
    ):
        if ours - theirs:
            raise SaysOtherwise(
                f"card {card.of.value} names {what} {sorted(ours - theirs)}, and its rows do not: '{text}'"
            )
    if card.of is OnCard.REFERENCE and "Now, " in text and "three hours" in rows:
        raise SaysOtherwise("the card says now, and its row in three hours")


def _row(step: Step) -> tuple[str, ...]:
    asks = (a.label for a in step.asks)
    return (step.title, *lines(step), step.where, step.expect, *asks, f"{step.minutes} minutes")


def _places(me: Person, text: str) -> set[str]:
    return {p for p, name in me.places.items() if named(name, text) >= 0}


def _quantities(text: str) -> set[str]:
    """Figures with their units; minutes however they are written."""
    return {f"{n} {unit[:3]}" for n, unit in _QUANTITY.findall(text)}


def _away(me: Person, text: str, steps: list[Step]) -> None:
    """Where each wheel goes next season is where its set has it; a car that rests meanwhile is not driven."""
    if "The car rests meanwhile" in text and any(_DRIVES.search(line) for s in steps for line in lines(s)):
        raise SaysOtherwise("the car rests meanwhile, and its rows have it driven")
    for part in re.findall(r"Next season: ([^.]*)\.", text):
        for one in part.split(", "):
            (wheel,) = me.wheels_in(one)
            if corner_in(one) != {wheel.meant}:
                raise SaysOtherwise(f"'{one}', and {wheel.name} belongs {wheel.meant}")


def _cautions(me: Person, card: Card, steps: list[Step], car: Car | None) -> None:
    """Each act's cautions stand on its card: those of the act, of carrying or driving wheels, and of a teaching that may empty the list. A spare
    is taken out as it is stowed."""
    for step in steps:
        act = Does.STOW_SPARE if step.does is Does.TAKE_OFF and "spare" in step.where else step.does
        wanted = {one.value for one in OF_ACT.get(act, ())}
        if step.does in (Does.BRING, Does.CARRY_AWAY, Does.STORE):
            driven = any(_DRIVES.search(line.split(" Else ")[0]) for line in lines(step)) or _far(me, step, car)
            wanted |= {Caution.LOAD.value, Caution.LAMP.value} if driven else {Caution.CARRY.value}
        if step.does is Does.TEACH_BEGIN and car is not None and car.erases:
            wanted.add(Caution.ERASES.value)
        if wanted - set(card.cautions):
            raise SaysOtherwise(f"{step.id}: its card lacks {sorted(wanted - set(card.cautions))}")


def _far(me: Person, step: Step, car: Car | None) -> bool:
    """Whether a step has wheels put where one drives, and they are not there yet."""
    if step.does is not Does.STORE or car is None:
        return False
    place, sets = me.place_in(step.title), me.sets_in(step.title)
    there = all(w.place == place for w in me.world.wheels.values() if w.set in sets and w.car is None)
    return place is not None and not there and me.world.one_drives(car.place, place)
