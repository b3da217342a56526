"""The drawings of a garage: its sets, its pressures, its seasons."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

from markupsafe import Markup

from wheelside.air.gas import gauge_elsewhere
from wheelside.fill.card import AirCard, WheelSetting
from wheelside.fill.lamp import LampDue, rule_names, the_cars
from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.garage.present import line_now
from wheelside.garage.season import Spell, spells, where
from wheelside.garage.words import Monitor
from wheelside.identity.choice import Action
from wheelside.identity.plan import IdentityPlan
from wheelside.units import GaugePressure, Temperature
from wheelside.web.draw.grid import Cell, Strip, grid
from wheelside.web.draw.ruler import Axle, Mark, ruler
from wheelside.web.draw.season import Bar, Track, season
from wheelside.web.draw.warmth import Point, ShownLimit, warmth

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def grid_of(garage: Garage, plan: IdentityPlan, only: tuple[str, ...] = ()) -> Markup:
    """Sets and corners with the IDs that the plan gives them now; those of `only` where named."""
    now = (w.as_on(plan.day) for w in plan.wheels)
    carried = Counter(w.id.key for w in now if w.id is not None)
    shared = [key for key, times in carried.items() if times > 1]
    letters = {key: LETTERS[i % 26] for i, key in enumerate(shared)}
    strips = []
    for one in garage.set:
        mine = plan.of_set(one.id, plan.day)
        if not mine or (only and one.id not in only):
            continue
        cells = tuple(
            Cell(
                w.corner.value, garage.wheels[w.wheel].name, w.id.hex if w.id else "", "keep" if w.own else w.choice.value,
                w.action is Action.REFIT, letters.get(w.id.key, "") if w.id else "",
            )
            for w in mine
        )  # fmt: skip
        strips.append(Strip(one.name, whereabouts(garage, where(plan.line, one.id, plan.day)), cells))
    return grid(strips)


def whereabouts(garage: Garage, spell: Spell | None) -> str:
    """Where a set is, in words."""
    if spell is None:
        return "not noted where"
    if spell.on is not None:
        return f"on {garage.cars[spell.on].name}"
    if spell.riding_in is not None:
        return f"riding in {garage.cars[spell.riding_in].name}"
    return f"at {garage.places[spell.at].name}" if spell.at in garage.places else "not noted where"


def rulers_of(garage: Garage, card: AirCard, read: Mapping[str, tuple[int, GaugePressure]]) -> Markup:
    """One ruler an axle, for cold tyres: placard, setting, what was read last, the coldest to come, and the lamp."""
    axles: dict[str, list[WheelSetting]] = {}
    for line in card.wheels:
        axles.setdefault(line.corner.axle, []).append(line)
    return ruler([_axle(garage, card, name, lines, read) for name, lines in axles.items()], garage.units.choice)


def _axle(
    garage: Garage, card: AirCard, name: str, lines: list[WheelSetting], read: Mapping[str, tuple[int, GaugePressure]]
) -> Axle:
    first, s = lines[0], card.situation
    assert s is not None, "a card with settings has a situation"
    due = () if garage.cars[card.car].monitor is Monitor.INDIRECT else the_cars(first.lamp)
    limit = max((d.cold_limit + s.gauge_bias for d in due), default=None)
    tonight = gauge_elsewhere(first.set_to, s.now, s.air_here, s.coldest, s.air_there) + s.gauge_bias
    marks = [
        Mark("placard, in use", first.target.pressure, "diamond"),
        Mark("set now, gauge", first.gauge_shows, "up", "actfill"),
        Mark(f"coldest, {garage.units.choice.show_temperature(s.coldest)}", tonight, "up"),
    ]
    if limit is not None:
        marks.append(Mark("lamp due, gauge", limit, "down", "stopfill"))
    marks += [
        Mark(f"{garage.wheels[one.wheel].name} last read", read[one.wheel][1], "dot")
        for one in lines
        if one.wheel in read
    ]
    return Axle(f"{name[:1].upper()}{name[1:]} axle" if name != "spare" else "Spare", tuple(marks), first.highest)


def warmth_of(garage: Garage, card: AirCard) -> tuple[Markup, ...]:
    """One curve an axle: what the gauge in hand reads outside over the tyre's temperature, after setting as the card says."""
    s = card.situation
    if s is None:
        return ()
    drawn, seen = [], set()
    for line in card.wheels:
        if line.corner.axle in seen:
            continue
        seen.add(line.corner.axle)
        drawn.append(_curve(garage, card, line))
    return tuple(drawn)


def _curve(garage: Garage, card: AirCard, line: WheelSetting) -> Markup:
    s = card.situation
    assert s is not None, "a card with settings has a situation"

    def reads(at: Temperature) -> GaugePressure:
        return gauge_elsewhere(line.set_to, s.now, s.air_here, at, s.air_there) + s.gauge_bias

    points = {
        round(p.at.kelvin, 2): p for p in (Point("coldest", s.coldest), Point("in use", s.use), Point("now", s.now))
    }
    alike: dict[int, list[LampDue]] = {}
    for due in line.lamp:
        if due.applies is not False and due.tyre_temperature is not None:
            alike.setdefault(round(due.limit.kpa), []).append(due)
    limits = {kpa: ShownLimit(", ".join(rule_names(dues)), dues[0].limit + s.gauge_bias) for kpa, dues in alike.items()}
    name = f"{line.corner.axle} axle"
    return warmth(
        name[:1].upper() + name[1:], reads, tuple(points.values()), tuple(limits.values())[:2], garage.units.choice
    )


def season_of(garage: Garage, today: date) -> Markup:
    """Where each set is, from three months ago to fifteen months ahead."""
    start, end = today - timedelta(days=92), today + timedelta(days=457)
    meant, real = spells(garage, start, today), line_now(without_offers(garage), today, end)
    tracks = []
    for one in without_offers(garage).set:
        bars: list[Bar] = []
        for s in (*(s for s in meant if s.set == one.id), *(s for s in real if s.set == one.id)):
            since = max(s.since, start if s in meant else today)
            bar = Bar(since, min(s.until, end), whereabouts(garage, s), s.on is not None)
            if bars and bars[-1].where == bar.where and bars[-1].until >= bar.since:
                bar = replace(bar, since=bars.pop().since)
            bars.append(bar)
        tracks.append(Track(one.name, tuple(bars)))
    return season(tracks, today, start, end)
