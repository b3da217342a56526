"""What to try, to buy and to book before sets go on: as a card on the first page, and all of it as a list."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wheelside.garage.model import Garage
from wheelside.jobs.work.season_ahead import SetAhead, Shopping, ToBuy
from wheelside.jobs.work.season_said import ahead_lines, ahead_reasons, names_of, stored_said, ware_said
from wheelside.said import Command, Said, say
from wheelside.screens.screen import Cell, Look, Screen, Section, Sentence, ShownTable, rows


@dataclass(frozen=True, slots=True)
class SeasonCard:
    """What is to be done before a set goes on: at most three lines, none where there is nothing; and what a page folds."""

    heading: Said
    lines: tuple[Said, ...]
    more: tuple[Said, ...]


def season_cards(garage: Garage, ahead: tuple[SetAhead, ...], today: date) -> dict[str, tuple[SeasonCard, ...]]:
    """By car the sets that go on within fourteen days, or were to, as far as anything is to be said of them."""
    found: dict[str, tuple[SeasonCard, ...]] = {}
    for one in ahead:
        card = SeasonCard(_before(garage, one), ahead_lines(garage, one), tuple(_more(garage, one)))
        if one.near(today) and (card.lines or card.more):
            found[one.car] = (*found.get(one.car, ()), card)
    return found


def _before(garage: Garage, one: SetAhead) -> Said:
    return say("Before {set} goes on", set=garage.sets[one.set].name)


def _more(garage: Garage, one: SetAhead) -> Iterator[Said]:
    yield from ahead_reasons(garage, one)
    stored = stored_said(garage, one)
    if stored is not None:
        yield stored


def shopping_screen(found: Shopping) -> Screen:
    """What to buy, for what and by when; what to try before and what to book; why."""
    parts = (*_first(found), *_buy(found), *_to_do(found), *_why(found))
    return Screen(say("Shopping list"), parts)


def _first(found: Shopping) -> Iterator[Section]:
    if not found.possible:
        plan = Command("plan", "/plan", "the ID plan")
        none = say("Which sensors are needed is not known: there is no plan. See {plan}.", plan=plan)
        yield Section("no-plan", None, (Sentence(none, Look.CARE),))
    if not found.buy:
        yield Section("nothing", None, (Sentence(say("Nothing to buy.")),))


def _buy(found: Shopping) -> Iterator[Section]:
    if not found.buy:
        return
    priced = any(each.each is not None for _, each in found.buy)
    columns = (say("buy"), say("for"), say("by"), *((say("each, by your figure"),) if priced else ()))
    given = (
        (_ware(each), _for(found, one, each), _by(found, one, each), *((each.each or "–",) if priced else ()))
        for one, each in found.buy
    )
    yield Section("buy", say("To buy"), (ShownTable(columns, rows(given), whole=(2,)),))


def _ware(one: ToBuy) -> Said:
    return say("{ware}: {kind}", ware=ware_said(one), kind=one.kind) if one.kind else say("{ware}", ware=ware_said(one))


def _for(found: Shopping, one: SetAhead, each: ToBuy) -> Said:
    garage = found.garage
    return say("{wheels} of {set}", wheels=names_of(garage, each.wheels), set=garage.sets[one.set].name)


def _by(found: Shopping, one: SetAhead, each: ToBuy) -> Cell:
    return say("now") if one.is_on or each.by <= found.day else each.by


def _to_do(found: Shopping) -> Iterator[Section]:
    """What else there is to do for each set, the orders left out: they stand in the list."""
    for one in found.sets:
        lines = [Sentence(line) for line in ahead_lines(found.garage, one, orders=False)]
        stored = stored_said(found.garage, one) if one.near(found.day) else None
        lines += [Sentence(stored, Look.SOFT)] if stored is not None else []
        if lines:
            heading = say("{set}, on {car}", set=found.garage.sets[one.set].name, car=found.garage.cars[one.car].name)
            goes = [] if one.is_on else [Sentence(say("It goes on {day}.", day=one.day), Look.SOFT)]
            yield Section("set", heading, (*goes, *lines))


def _why(found: Shopping) -> Iterator[Section]:
    lines = tuple(Sentence(why) for one in found.sets for why in ahead_reasons(found.garage, one))
    if lines:
        yield Section("why", say("Why"), lines, folded=True)
