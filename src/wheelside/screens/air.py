"""The air card as a screen: what to set now, what it will then read, and from when the lamp must be lit."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.air.loss import FAST_KPA_PER_MONTH, LOSS_TEMPERATURE, SLOW_KPA_PER_MONTH, normal_loss
from wheelside.fill.card import COVERAGE, AirCard, WheelSetting
from wheelside.fill.lamp import OWN_RULE, LampDue
from wheelside.fill.situation import Situation
from wheelside.garage.model import Garage
from wheelside.said import Figure, Joined, Named, PlusMinus, Said, listed, say
from wheelside.screens.screen import (
    Block,
    Cell,
    Findings,
    Look,
    Screen,
    Section,
    Sentence,
    ShownRow,
    ShownTable,
    rows,
    to_know,
)
from wheelside.sheet.warmth import table_of_card

_WEEK_S = 604_800


def air_screen(garage: Garage, card: AirCard) -> Screen:
    """The whole card."""
    parts = [Section("first", say("First"), (Findings(card.first),))] if card.first else []
    s = card.situation
    if s is None or not card.wheels:
        none = "No pressure can be given yet. What has to be found out stands below."
        parts.append(Section("none", None, (Sentence(say(none), Look.STRONG),)))
    else:
        parts += [
            _settings(garage, card, s),
            *_by_temperature(garage, card, s),
            _readings(card, s),
            *_lamp(card),
            _sure(card, s),
        ]
    title = "Air card: {set} for {car}, load ‘{load}’" if card.load else "Air card: {set} for {car}"
    heading = say(title, set=garage.sets[card.set].name, car=garage.cars[card.car].name, load=card.load)
    return Screen(heading, (*parts, *to_know(card.later, say("To know"))), say("pressures as of {day}", day=card.day))


def _settings(garage: Garage, card: AirCard, s: Situation) -> Section:
    gauge = s.gauge_name
    now = "Cold tyres at {now} now; the placard is to hold on cold tyres at {use}."
    until = "Until the next check cold tyres between {coldest} and {warmest}; air here {here} kPa, there {there} kPa."
    here, there = Figure(s.air_here.kpa, 1), Figure(s.air_there.kpa, 1)
    blocks: list[Block] = [
        Sentence(say(now, now=s.now, use=s.use)),
        Sentence(say(until, coldest=s.coldest, warmest=s.warmest, here=here, there=there)),
    ]
    columns = (
        say("corner"), say("wheel"), say("placard"), say("set, true"), say("{gauge} shows", gauge=gauge), say("never above"), say("bound by"),
    )  # fmt: skip
    blocks.append(
        ShownTable(columns, tuple(ShownRow(_setting(garage, w)) for w in card.wheels), big=4, cards=True, on_cards=(6,))
    )
    cold = "▲ Cold tyres only: a tyre that was driven, or stands in the sun, is never let down to a cold figure."
    blocks.append(Sentence(say(cold), Look.CARE))
    if s.next_check:
        least, most = normal_loss(s.next_check, s.use)
        loss = "By the next check, in {weeks} weeks, normal loss takes {least} to {most}."
        blocks.append(Sentence(say(loss, weeks=Figure(s.next_check.seconds / _WEEK_S, 0), least=least, most=most)))
    return Section("settings", say("What to set"), tuple(blocks))


def _setting(garage: Garage, w: WheelSetting) -> tuple[Cell, ...]:
    return (
        w.corner.value, Named("wheel", w.wheel, garage.wheels[w.wheel].name), w.target.placard, PlusMinus(w.set_to, w.spread),
        w.gauge_shows, _or_not_known(w.highest), _bound(w),
    )  # fmt: skip


def _bound(w: WheelSetting) -> Cell:
    return say("the {limit}", limit=w.limited_by) if w.limited_by else ""


def _or_not_known(value: Cell | None) -> Cell:
    return say("not known") if value is None else value


def _readings(card: AirCard, s: Situation) -> Section:
    columns = (say("will then read"), say("{gauge} there", gauge=s.gauge_name), say("dash here"), say("dash there"), "")
    given = rows(
        (
            w.corner.value,
            w.reads.gauge_there,
            _or_not_known(w.reads.dash_here),
            _or_not_known(w.reads.dash_there),
            say("bound by {limit}", limit=_bound(w)) if w.limited_by else "",
        )
        for w in card.wheels
    )
    return Section("readings", say("What it will then read"), (ShownTable(columns, given),), folded=True)


def _by_temperature(garage: Garage, card: AirCard, s: Situation) -> Iterator[Section]:
    """The figure for a tyre that turns out warmer or colder than planned."""
    table = table_of_card(card, garage.units.choice)
    heading = say("What {gauge} has to show", gauge=s.gauge_name)
    grid = ShownTable((say("tyre"), *table.columns), rows((at, *figures) for at, figures in table.rows), whole=(0,))
    yield Section("by-temperature", heading, (grid,), say("by the tyre's own temperature when you set it"))


def _lamp(card: AirCard) -> Iterator[Section]:
    """One row for what is the same at several corners."""
    alike: dict[tuple[Cell, ...], list[str]] = {}
    for w in card.wheels:
        for due in w.lamp:
            alike.setdefault(_due(due), []).append(w.corner.value)
    if not alike:
        return
    columns = (
        say("rule"), say("reading"), say("tyre, in use, at or below"), say("weeks of normal loss"), say("corners"),
    )  # fmt: skip
    given = rows((*key, listed(corners, Joined.COMMA)) for key, corners in alike.items())
    bases = dict.fromkeys(due.basis.said for w in card.wheels for due in w.lamp)
    blocks: list[Block] = [
        ShownTable(columns, given),
        *(Sentence(say("rests on {basis}", basis=basis), Look.SOFT) for basis in bases),
    ]
    loss = "normal loss: {slow} to {fast} kPa a month at {at} (Tire Science and Technology 13(1)); faster is a leak"
    slow, fast = Figure(SLOW_KPA_PER_MONTH, 1), Figure(FAST_KPA_PER_MONTH, 1)
    floor = "the texts of UN R141 differ in whether its floor of 150 kPa is gauge or absolute, so both are shown"
    blocks += [
        Sentence(say(loss, slow=slow, fast=fast, at=LOSS_TEMPERATURE), Look.SOFT),
        Sentence(say(floor), Look.SOFT),
    ]
    yield Section("lamp", say("From when the lamp must be lit"), tuple(blocks), say("a car may light it earlier"))


def _due(due: LampDue) -> tuple[Cell, ...]:
    weeks = say("at once")
    if due.weeks.latest > 0:
        weeks = say("{least} to {most}", least=Figure(due.weeks.soonest, 0), most=Figure(due.weeks.latest, 0))
    own = due.applies and due.rule != OWN_RULE
    rule: Cell = say("{rule} (this car's)", rule=due.rule) if own else due.rule
    return (rule, say("{limit} {counted}", limit=due.limit, counted=due.counted), due.tyre_temperature, weeks)


def _sure(card: AirCard, s: Situation) -> Section:
    """On what the figures rest, and how sure they are."""
    parts = [
        say("{source} {spread} ({basis})", source=p.source, spread=p.standard, basis=p.basis.said)
        for p in card.wheels[0].parts
    ]
    spread = "± is the uncertainty with coverage factor {factor}: {parts}"
    bias = say("{gauge}: bias {bias} ({basis})", gauge=s.gauge_name, bias=s.gauge_bias, basis=s.gauge_bias_basis.said)
    lines: tuple[Said, ...] = (bias, say(spread, factor=Figure(COVERAGE, 0), parts=listed(parts, Joined.COMMA)))
    return Section(
        "sure", say("How sure the figures are"), tuple(Sentence(one, Look.SOFT) for one in lines), folded=True
    )
