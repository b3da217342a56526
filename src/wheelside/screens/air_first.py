"""The air card, the answer first: what must not be, the figures as the car stands, the temperature of the tyre, and how far the lamp is."""

from __future__ import annotations

from wheelside.fill.card import AirCard
from wheelside.fill.situation import Situation
from wheelside.finding import Weight
from wheelside.garage.model import Garage
from wheelside.garage.words import Corner
from wheelside.said import Joined, Named, Said, listed, say
from wheelside.screens.air import axles, lamp_line
from wheelside.screens.screen import Block, Cell, Findings, Look, Screen, Sentence, ShownTable, brief_part, rows
from wheelside.sheet.warmth import table_of_card
from wheelside.units import GaugePressure

_LACKS = {
    "no-looks-flat": say("whether a tyre looks flat"),
    "no-tyre-temperature": say("how warm the tyres are"),
    "no-temperature-of-use": say("how cold it will be"),
    "no-tyre": say("the size of the tyres"),
    "no-placard": say("what the label says for this axle"),
    "no-size-row": say("what the label says for this size"),
    "no-load-row": say("what the label says for this load"),
    "which-load": say("which load you drive with"),
}
"""What a figure waits for, by the code of the question."""
_ROWS = (("front", Corner.FRONT_LEFT, Corner.FRONT_RIGHT), ("rear", Corner.REAR_LEFT, Corner.REAR_RIGHT))


def air_first(garage: Garage, card: AirCard) -> Screen:
    """What a person sets now, or what stands against it, with the figures for another temperature."""
    s = card.situation
    stops = card.first
    asks = tuple(f for f in card.later if f.weight in (Weight.WARNING, Weight.ASK))
    parts = [brief_part("must-not", None, Findings(stops, brief=True))] if stops else []
    if s is None or not card.wheels:
        parts.append(brief_part("answer", None, Sentence(_none_yet(card), Look.STRONG)))
    else:
        parts += [
            brief_part(
                "answer", None, Sentence(_answer(garage, card), Look.STRONG), Sentence(_given(card, s), Look.SOFT)
            ),
            brief_part("figures", None, _grid(garage, card)),
        ]
    if asks:
        parts.append(brief_part("care", None, Findings(asks, brief=True)))
    if s is not None and card.wheels:
        parts.append(brief_part("warmer", None, *_warmer(garage, card)))
        parts.append(brief_part("lamp", None, lamp_line(garage, card, s)))
    return Screen(say("Pressures, {day}", day=card.day), tuple(parts))


def _none_yet(card: AirCard) -> Said:
    """That there is no figure, and what it waits for."""
    lacks = dict.fromkeys(_LACKS[f.code] for f in card.findings if f.code in _LACKS)
    if any(f.weight is Weight.FORBIDDEN for f in card.first) or not lacks:
        return say("No pressure can be given: see why first.")
    return say("No pressure can be given yet. First find out {what}.", what=listed(lacks))


def _answer(garage: Garage, card: AirCard) -> Said:
    """The figures in one sentence: an axle's where its two are the same, else each corner's."""
    figure = {w.corner: w.gauge_shows for w in card.wheels}
    said: list[Said] = []
    for axle, *corners in _ROWS:
        mine = [(c.value, figure[c]) for c in corners if c in figure]
        alike = len({str(p) for _, p in mine}) == 1
        said += [
            say("{where} {figure}", where=say(where), figure=p)
            for where, p in ([(axle, mine[0][1])] if alike else mine)
        ]
    set_name, car = garage.sets[card.set].name, garage.cars[card.car].name
    return say("{set} on {car}: {figures}.", set=set_name, car=car, figures=listed(said, Joined.COMMA))


def _given(card: AirCard, s: Situation) -> Said:
    """What the figures are for."""
    load = say("load ‘{load}’, ", load=card.load) if card.load else ""
    return say("{load}cold tyres at {now}, by {gauge}", load=load, now=s.now, gauge=s.gauge_name)


def _grid(garage: Garage, card: AirCard) -> ShownTable:
    """The figures as the car stands, the names of the wheels beside them."""
    by_corner = {w.corner: w for w in card.wheels}
    given: list[tuple[Cell, ...]] = []
    for axle, *corners in _ROWS:
        mine = [by_corner.get(c) for c in corners]
        if any(mine):
            names = listed(
                [Named("wheel", w.wheel, garage.wheels[w.wheel].name) for w in mine if w is not None], Joined.COMMA
            )
            given.append((axle, *(w.gauge_shows if w is not None else say("none") for w in mine), names))
    given += [
        (w.corner.value, w.gauge_shows, "", garage.wheels[w.wheel].name)
        for w in card.wheels
        if w.corner is Corner.SPARE
    ]
    return ShownTable(("", say("left"), say("right"), ""), rows(given), whole=(0, 1, 2))


def _warmer(garage: Garage, card: AirCard) -> tuple[Block, ...]:
    """The figure for a tyre that turns out warmer or colder, and what no tyre passes."""
    table = table_of_card(card, garage.units.choice)
    unit = garage.units.choice.pressure
    heads = [at for at, _ in table.rows]
    given = [
        (axles(corners), *(figures[n].removesuffix(f" {unit}") for _, figures in table.rows))
        for n, corners in enumerate(table.corners)
    ]
    limits = {w.highest for w in card.wheels}
    most = min((one for one in limits if one is not None), key=lambda p: p.kpa, default=None)
    return (
        ShownTable((say("tyre at"), *heads), rows(given), whole=tuple(range(len(heads) + 1)), across=True),
        Sentence(_cold(most), Look.CARE),
    )


def _cold(most: GaugePressure | None) -> Said:
    cold = "▲ Cold tyres only: never let a warm one down to these."
    return say(cold + " Never above {most}.", most=most) if most is not None else say(cold)
