"""The cold pressure that a wheel is to have in use: the placard's, raised where the tyre is another one."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.joined import Parts
from wheelside.garage.model import Car, Garage, PlacardRow
from wheelside.garage.words import Corner
from wheelside.said import Joined, Key, Option, Said, listed, say
from wheelside.tyre.designation import Designation
from wheelside.tyre.load import capacity, load_rule, pressure_for
from wheelside.units import GaugePressure, Mass, PressureSpan

RAISED = "raised"
_LOAD_RULE = Basis(Ground.STANDARD, "load against pressure, exponent 0.8: ETRTO, ISO 4000-1, from memory")


@dataclass(frozen=True, slots=True)
class Target:
    """The cold gauge pressure wanted in use, the placard's own, and what was found on the way.

    `need`: the pressure at which the tyre carries half the axle's greatest load, at most `pressure`; None where that is not known.
    """

    pressure: GaugePressure
    placard: GaugePressure
    load: str
    basis: Basis
    findings: tuple[Finding, ...]
    need: GaugePressure | None = None


def load_rows(garage: Garage, car: Car, tyre: Designation) -> tuple[PlacardRow, ...]:
    """The placard rows for a tyre size and for the load in the conditions; all loads where none is given."""
    wanted = garage.conditions.load
    rows = [row for row in car.placard if row.tyre.size == tyre.size]
    return tuple(row for row in rows if wanted is None or row.load.casefold() == wanted.casefold())


def target(
    garage: Garage, car: Car, corner: Corner, parts: Parts, about: Said, tells_apart: PressureSpan
) -> Target | tuple[Finding, ...]:
    """What one wheel is to read in use; only findings where the file does not say enough. Whether it may go on the car, `fit` says.

    Of a figure raised by less than the gauge `tells_apart` nothing is said.
    """
    tyre = parts.tyre
    if tyre is None or tyre.designation is None:
        text = say("The tyre's designation is not known, so no placard row can be chosen.")
        way = say("write down size and service description from the sidewall")
        if tyre is not None:
            way = say("{way}: {key}", way=way, key=Key("tyre", "designation", tyre.id))
        return (_ask("no-tyre", about, text, way),)
    rows = load_rows(garage, car, tyre.designation)
    if len(rows) != 1:
        return (_which_row(garage, car, tyre.designation, rows, about),)
    placard: GaugePressure | None = getattr(rows[0], corner.axle)
    if placard is None:
        pattern = "The placard row for {size}, {load}, has no pressure for the {axle}."
        text = say(pattern, size=rows[0].tyre.size, load=rows[0].load, axle=corner.axle)
        return (
            _ask(
                "no-placard", about, text, say("add it to that row of {placard}", placard=Key("car", "placard", car.id))
            ),
        )
    pressure, raised = _raised(rows[0], placard, tyre.designation, about)
    findings = [f for f in raised if f.code != RAISED or pressure.kpa - placard.kpa >= tells_apart.kpa]
    need = _need(car, corner, tyre.designation, pressure)
    return Target(pressure, placard, rows[0].load, rows[0].basis(corner.axle), tuple(findings), need)


def _need(car: Car, corner: Corner, tyre: Designation, pressure: GaugePressure) -> GaugePressure | None:
    """The cold pressure below which a tyre does not carry its half of the axle's greatest load, at most the one wanted."""
    axle: Mass | None = getattr(car, f"axle_load_{corner.axle}", None)
    needed = pressure_for(tyre, Mass(axle.kg / 2)) if axle else None
    return min(needed, pressure) if needed else None


def _ask(code: str, about: Said, text: Said, way_out: Said) -> Finding:
    return Finding(Weight.ASK, code, about, text, (Basis(Ground.UNKNOWN),), note(way_out))


def _which_row(garage: Garage, car: Car, tyre: Designation, rows: tuple[PlacardRow, ...], about: Said) -> Finding:
    if rows:
        loads = listed((row.load for row in rows), Joined.COMMA)
        text = say("The placard has several loads for {size}: {loads}.", size=tyre.size, loads=loads)
        way = say("give {load}{option}", load=Key("conditions", "load"), option=Option("--load"))
        return _ask("which-load", about, text, way)
    if any(row.tyre.size == tyre.size for row in car.placard):
        loads = listed(sorted({row.load for row in car.placard if row.tyre.size == tyre.size}), Joined.COMMA)
        text = say(
            "The placard has no row for {size} at load {load}; it has {loads}.",
            size=tyre.size, load=garage.conditions.load, loads=loads,
        )  # fmt: skip
        return _ask("no-load-row", about, text, say("choose one of these loads"))
    named = sorted({row.tyre.size for row in car.placard})
    sizes = listed(named, Joined.COMMA) if named else say("none")
    pattern = "The placard has no row for {size} (it has: {sizes}). No pressure is guessed for a size it does not name."
    way = say("look in the handbook for this size and add its row to {placard}", placard=Key("car", "placard", car.id))
    return _ask("no-size-row", about, say(pattern, size=tyre.size, sizes=sizes), way)


def _other_rules(tyre: Designation) -> bool:
    """Van, truck and old tyres reach their index at pressures that the designation does not say; P-metric ones follow T&RA."""
    return not tyre.iso_passenger


def _raised(
    row: PlacardRow, placard: GaugePressure, tyre: Designation, about: Said
) -> tuple[GaugePressure, tuple[Finding, ...]]:
    """The placard pressure, or the higher one at which this tyre carries what the placard's tyre does there."""
    meant = row.tyre
    if (meant.load_index, meant.extra_load) == (tyre.load_index, tyre.extra_load):
        return placard, ()
    if _other_rules(meant) or _other_rules(tyre):
        pattern = (
            "{tyre} is not the placard's {meant}; for van and P-metric tyres the load rule used here does not hold."
        )
        way = say("ask the tyre maker's table for the pressure at this load")
        return placard, (_ask("unlike-tyre", about, say(pattern, tyre=tyre.text, meant=meant.text), way),)
    load, rule = capacity(meant, placard), load_rule(tyre)
    if load is None or rule is None or tyre.load_index is None:
        pattern = "The placard's tyre ({meant}) and this one ({tyre}) can't be compared without both load indices."
        way = say("write both with load index and speed symbol")
        return placard, (_ask("unlike-tyre", about, say(pattern, tyre=tyre.text, meant=meant.text), way),)
    needed = pressure_for(tyre, load)
    if needed is None:
        pattern = "{tyre} never carries the {load} that {meant} carries at the placard."
        text = say(pattern, tyre=tyre.text, load=load, meant=meant.text)
        buy = Way(WayKind.BUY, say("fit a tyre of at least the placard's load index"))
        return placard, (Finding(Weight.FORBIDDEN, "load-capacity", about, text, (_LOAD_RULE,), buy),)
    if needed <= placard:
        return placard, ()
    text = say(
        "{tyre} is not the placard's {meant}: to carry the same {load} it needs {needed} where the placard says {placard} "
        "(it carries its index at {reference}).",
        tyre=tyre.text, meant=meant.text, load=load, needed=needed, placard=placard, reference=rule.reference,
    )  # fmt: skip
    compare = Way(WayKind.WORK, say("the card sets the higher figure; compare with the tyre maker's table"))
    return needed, (Finding(Weight.WARNING, RAISED, about, text, (_LOAD_RULE,), compare),)
