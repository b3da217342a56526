"""Who hears whom by what the owner states. Silence has to be stated; anything else counts as heard."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import Basis, Ground
from wheelside.garage.model import Car, Garage, Path
from wheelside.garage.season import Spell
from wheelside.garage.words import AtRest, Heard

_SAME_PLACE = Basis(Ground.JUDGEMENT, "a wheel three metres away has about 30 dB to spare at the receiver")
_NOT_STATED = Basis(Ground.DEFAULT, "not stated, so counted as heard")


@dataclass(frozen=True, slots=True)
class Hearing:
    """Whether a car may hear sensors somewhere, in words for the reader, and what that rests on."""

    heard: bool
    where: str
    basis: Basis


def path_between(garage: Garage, a: str, b: str) -> Path | None:
    """The path that joins two places; None where the file has none."""
    return next((p for p in garage.path if set(p.between) == {a, b}), None)


def heard_at(garage: Garage, car: Car, place_id: str | None) -> Hearing:
    """Whether `car`, where it stands, may hear sensors at a place; an unknown place counts as heard."""
    if place_id is None:
        return Hearing(True, "somewhere that the season line does not name", _NOT_STATED)
    where = garage.places[place_id].name
    if car.stands_at is None:
        return Hearing(True, where, _NOT_STATED)
    if place_id == car.stands_at:
        return Hearing(True, where, _SAME_PLACE)
    path = path_between(garage, place_id, car.stands_at)
    if path is None:
        return Hearing(True, where, _NOT_STATED)
    described = f"{where}{_how_far(garage, path)}"
    if path.heard is None:
        return Hearing(True, described, _NOT_STATED)
    return Hearing(path.heard is not Heard.NO, described, path.basis("heard"))


def _how_far(garage: Garage, path: Path) -> str:
    """', 6 m away behind wood', as far as the path is described."""
    far = f", {garage.units.choice.show_distance(path.distance)} away" if path.distance else ""
    return far + (f" behind {' and '.join(path.walls)}" if path.walls else "")


def set_heard(garage: Garage, car: Car, spell: Spell | None) -> Hearing:
    """Whether `car` may hear the set that is where `spell` says; its own set and one it carries always."""
    if spell is None:
        return heard_at(garage, car, None)
    if car.id in (spell.on, spell.riding_in):
        return Hearing(True, f"on {car.name}" if spell.on else f"riding in {car.name}", _SAME_PLACE)
    other = garage.cars.get(spell.on or spell.riding_in or "")
    if other is None:
        return heard_at(garage, car, spell.at)
    at = heard_at(garage, car, other.stands_at)
    return Hearing(at.heard, f"on {other.name}" if spell.on else f"riding in {other.name}", at.basis)


def moves(spell: Spell | None) -> bool:
    """Whether sensors in a spell may be in motion, which wakes those that are silent at rest."""
    return spell is None or spell.at is None


def may_transmit(at_rest: AtRest | None, spell: Spell | None) -> bool:
    """Whether a sensor in a spell may transmit: always, but for one stated silent at rest in a stored set."""
    return at_rest is not AtRest.SILENT or moves(spell)
