"""Who hears whom: the owner's word, the link budget, and listening. Anything not shown to be silent counts as heard."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.earshot.budget import BOOT_M, INSIDE, NOT_HEARD_BELOW, SAME_PLACE_M, Budget, budget
from wheelside.earshot.silence import bursts, weighed
from wheelside.earshot.walls import wall
from wheelside.finding import Basis, Ground
from wheelside.garage.ids import car_band
from wheelside.garage.model import Car, Garage, Path
from wheelside.garage.season import Spell, car_place
from wheelside.garage.words import AtRest, Heard
from wheelside.said import Distance, Figure, Said, listed, say
from wheelside.units import Length, Share

_NOT_STATED = Basis(Ground.DEFAULT, "not stated, so counted as heard")
LIKELY = 0.5
"""The chance from which a place is called heard; from 1 % to this it is called perhaps."""


@dataclass(frozen=True, slots=True)
class Hearing:
    """Whether a car may hear sensors somewhere, where that is, and what it rests on. `on`: the car that they are on, by its id.

    `chance` is that of the link budget, weighed by listening, None where there is no distance to reckon
    with. "perhaps" counts as heard. `against_word`: whether the owner's word that nothing is heard does not stand.
    """

    verdict: Heard
    where: Said
    basis: Basis
    chance: float | None = None
    budget: Budget | None = None
    against_word: bool = False
    on: str | None = None

    @property
    def heard(self) -> bool:
        return self.verdict is not Heard.NO


def path_between(garage: Garage, a: str, b: str) -> Path | None:
    """The path that joins two places; None where the file has none."""
    return garage.paths.get(frozenset((a, b)))


def judged(chance: float) -> Heard:
    """The word for a chance: heard, perhaps, or not heard below 1 %."""
    if chance < NOT_HEARD_BELOW:
        return Heard.NO
    return Heard.YES if chance >= LIKELY else Heard.PERHAPS


def heard_between(garage: Garage, car: Car, here: str | None, there: str | None, set_id: str | None = None) -> Hearing:
    """Whether `car`, standing at `here`, may hear sensors at `there`; an unknown place counts as heard.

    `set_id`: the wheel set they are in, for what was heard or not when listening for it.
    """
    if there is None:
        return Hearing(Heard.YES, say("somewhere that the season line does not name"), _NOT_STATED)
    where = say("{place}", place=garage.places[there].name)
    if here is None:
        return Hearing(Heard.YES, where, _NOT_STATED)
    if here == there:
        near = budget(car_band(garage, car), SAME_PLACE_M)
        spare = "a few metres leave about {margin} dB to spare at the receiver"
        basis = Basis(Ground.JUDGEMENT, say(spare, margin=Figure(near.margin_db, 0)))
        return Hearing(Heard.YES, where, basis, near.chance, near)
    path = path_between(garage, there, here)
    return Hearing(Heard.YES, where, _NOT_STATED) if path is None else _along(garage, car, path, where, set_id)


def _along(garage: Garage, car: Car, path: Path, where: Said, set_id: str | None) -> Hearing:
    described = _how_far(where, path)
    listened = tuple(one for one in path.listened if one.set == set_id)
    if any(one.heard for one in path.listened):
        return Hearing(Heard.YES, described, Basis(Ground.MEASURED, "heard when listening"), 1.0)
    if path.distance is None:
        verdict = path.heard or Heard.YES
        return Hearing(verdict, described, path.basis("heard") if path.heard else _NOT_STATED)
    link = link_along(garage, car, path.distance, path.walls)
    silences = tuple(n for one in listened if (n := bursts(garage, one)) is not None)
    chance = weighed(link, silences)
    verdict, basis = _settled(path, chance, listening=bool(silences))
    doubted = path.heard is Heard.NO and verdict is not Heard.NO
    return Hearing(verdict, described, basis, chance, link, doubted)


def link_along(garage: Garage, car: Car, distance: Length, walls: tuple[str, ...]) -> Budget:
    """The link budget from a wheel so far away, behind these walls, to `car`."""
    return budget(car_band(garage, car), distance.metres, tuple(wall(w) for w in walls))


def _settled(path: Path, chance: float, *, listening: bool) -> tuple[Heard, Basis]:
    """The owner's word and the computed chance: a 'no' stands only where the chance does not speak against it."""
    said = say("link budget: {chance}", chance=chance_said(chance))
    if listening:
        said = say("link budget and listening: {chance}", chance=chance_said(chance))
    if path.heard is None:
        return judged(chance), Basis(Ground.COMPUTED, said)
    if path.heard is Heard.NO and chance >= NOT_HEARD_BELOW:
        against = say("{budget}, against your word that nothing is heard", budget=said)
        return Heard.PERHAPS, Basis(Ground.COMPUTED, against)
    return path.heard, path.basis("heard")


def chance_said(chance: float) -> Said:
    """A chance as a person reads it: 'under 1 %', '34 %', 'over 99 %'."""
    if chance < NOT_HEARD_BELOW:
        return say("under 1 %")
    return say("over 99 %") if chance > 0.99 else say("{chance}", chance=Share(chance))


def heard_at(
    garage: Garage, car: Car, place_id: str | None, day: date | None = None, set_id: str | None = None
) -> Hearing:
    """Whether `car`, where it stands on a day (where it is parked for None), may hear sensors at a place."""
    here = car.stands_at if day is None else car_place(garage, car.id, day)
    return heard_between(garage, car, here, place_id, set_id)


def _how_far(where: Said, path: Path) -> Said:
    """'away, 6 m away behind wood', as far as the path is described."""
    if path.distance:
        where = say("{place}, {distance} away", place=where, distance=Distance(path.distance))
    return say("{place} behind {walls}", place=where, walls=listed(path.walls)) if path.walls else where


def set_heard(garage: Garage, car: Car, spell: Spell | None, day: date | None = None) -> Hearing:
    """Whether `car` may hear the set that is where `spell` says; its own set and one it carries always."""
    if spell is None:
        return heard_at(garage, car, None, day)
    if car.id in (spell.on, spell.riding_in):
        riding = spell.riding_in is not None
        near = budget(car_band(garage, car), BOOT_M, body=INSIDE) if riding else budget(car_band(garage, car), BOOT_M)
        budgeted = say("link budget at {far} m: {chance}", far=Figure(BOOT_M), chance=chance_said(near.chance))
        basis = Basis(Ground.COMPUTED, budgeted)
        return Hearing(Heard.YES, _borne(car, spell), basis, near.chance, near, on=spell.on)
    other = garage.cars.get(spell.on or spell.riding_in or "")
    if other is None:
        return heard_at(garage, car, spell.at, day, spell.set)
    there = other.stands_at if day is None else car_place(garage, other.id, day)
    at = heard_at(garage, car, there, day)
    return Hearing(at.verdict, _borne(other, spell), at.basis, at.chance, at.budget, on=spell.on)


def _borne(car: Car, spell: Spell) -> Said:
    """Where a set is that a car bears."""
    return say("riding in {car}", car=car.name) if spell.riding_in else say("on {car}", car=car.name)


def moves(spell: Spell | None) -> bool:
    """Whether sensors in a spell may be in motion, which wakes those that are silent at rest."""
    return spell is None or spell.at is None


def may_transmit(at_rest: AtRest | None, spell: Spell | None) -> bool:
    """Whether a sensor in a spell may transmit: always, but for one stated silent at rest in a stored set."""
    return at_rest is not AtRest.SILENT or moves(spell)
