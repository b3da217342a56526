"""wheelside earshot: who hears whom, and how far away is far enough."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import click

from wheelside.cli import options
from wheelside.cli.asked import open_changes, show_asked
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller, exit_status
from wheelside.earshot.budget import Budget
from wheelside.earshot.hearing import chance_said
from wheelside.earshot.report import GARDEN_M, Earshot, FarEnough, HeardFrom, Listen
from wheelside.finding import Weight
from wheelside.garage.model import Garage
from wheelside.garage.words import Heard as Word
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.earshot import earshot_of
from wheelside.said import Said, listed
from wheelside.screens.screen import Findings, brief_part
from wheelside.speech.speech import Speech
from wheelside.units import Length

_WORDS = {Word.YES: "heard", Word.PERHAPS: "perhaps", Word.NO: "not heard"}


@click.command("earshot")
@options.garage
@options.on_day
@options.wears
@click.option(
    "--full",
    is_flag=True,
    help="Show every chance, how far is far enough behind which walls, and what listening could show.",
)
@click.option("--budget", "with_budget", is_flag=True, help="Show the link budget behind each chance, term by term.")
@options.as_json
def command(
    where: str, day: date | None, wears: tuple[tuple[str, str], ...], full: bool, with_budget: bool, json_out: bool
) -> int:
    """Who hears whom along the season line, and how far away is far enough.

    "Perhaps" counts as heard in every rule; "not heard" is a chance under 1 %.
    """
    found = earshot_of(where, day=day, wears=wears)
    if json_out:
        echo(
            document(
                "earshot",
                garage=found.garage.title,
                day=found.day,
                open=open_changes(found.garage, found.day),
                earshot=found.earshot,
            ),
            nl=False,
        )
    else:
        out = Teller(found.garage.units.choice)
        show_asked(out, found.garage, found.day)
        if full or with_budget:
            _show(out, found.garage, found.earshot, with_budget)
        else:
            show_heard_first(out, found.garage, found.earshot)
    return exit_status(found.earshot.findings)


SURELY, PROBABLY = 0.95, 0.5
"""From which chance on a car is said to hear surely, and probably: judgement, as the chances are."""


def show_heard_first(out: Teller, garage: Garage, found: Earshot) -> None:
    """What each car hears, in a sentence, and whether any garden is long enough."""
    cars = dict.fromkeys(row.car for row in found.far)
    if not cars:
        out.line("No car here listens to wheel sensors.")
    for car in cars:
        out.line(
            f"{garage.cars[car].name} {'; '.join(_hears(out, found, car)) or 'hears no wheel but its own'}.", indent=2
        )
    far = {car: next(row for row in found.far if row.car == car) for car in cars}
    if far and not all(row.in_a_garden for row in far.values()):
        _no_garden(out, garage)
    asked = [f for f in found.findings if f.weight is not Weight.NOTE]
    if asked:
        out.parts((brief_part("care", None, Findings(tuple(asked), brief=True)),))
    out.blank()
    out.line("More: --full (every chance, how far is far enough, what listening could show)  --budget", "dim")


def _hears(out: Teller, found: Earshot, car: str) -> Iterator[str]:
    """How surely it hears what, and where that is; each set of wheels at a place once."""
    groups: dict[str, dict[str, dict[str, None]]] = {}
    for row in found.heard:
        if row.car == car and row.hearing.verdict is not Word.NO:
            where = out.speech.text(row.hearing.where)
            groups.setdefault(_how_surely(row), {}).setdefault(where, {})[row.what] = None
    for how, places in groups.items():
        yield f"{how} {', '.join(f'{out.speech.text(listed(list(names)))} ({where})' for where, names in places.items())}"


def _how_surely(row: HeardFrom) -> str:
    if row.silent:
        return "would hear, were it not silent at rest,"
    chance = row.hearing.chance
    if chance is None or chance < PROBABLY:
        return "perhaps hears"
    return "surely hears" if chance >= SURELY else "probably hears"


def _show(out: Teller, garage: Garage, found: Earshot, with_budget: bool) -> None:
    cars = dict.fromkeys(row.car for row in found.far)
    if not cars:
        out.line("No car here listens to wheel sensors.")
    for car in cars:
        _show_heard(out, garage, found, car)
    tables: dict[tuple[tuple[float, ...], ...], list[str]] = {}
    for car in cars:
        rows = tuple((row.half_m, row.tenth_m, row.hundredth_m) for row in found.far if row.car == car)
        tables.setdefault(rows, []).append(car)
    for alike in tables.values():
        _show_far(out, garage, tuple(row for row in found.far if row.car == alike[0]), alike)
    _show_listening(out, garage, found.listen)
    if with_budget:
        told: dict[tuple[object, ...], tuple[Said, Budget]] = {}
        for row in found.heard:
            if row.hearing.budget is not None:
                told.setdefault(row.hearing.budget.terms, (row.hearing.where, row.hearing.budget))
        for where, budget in told.values():
            _show_budget(out, garage, out.speech.text(where), budget)
    out.findings(found.findings)


def _show_heard(out: Teller, garage: Garage, found: Earshot, car: str) -> None:
    out.heading(f"What {garage.cars[car].name} hears")
    own = [row for row in found.heard if row.car == car]
    told = [row for row in own if row.hearing.heard or row.hearing.on is None]
    rows = [
        (
            row.what, out.speech.text(row.hearing.where), str(row.since),
            "silent at rest" if row.silent else _WORDS[row.hearing.verdict], _chance(row.hearing.chance),
            _chance(row.by_receiver), out.speech.text(row.hearing.basis.said),
        )
        for row in told
    ]  # fmt: skip
    out.table(("what", "where", "from", "", "chance", "hand-held", "rests on"), rows, whole=(2, 3, 4, 5))
    if len(own) > len(told):
        out.line(f"{len(own) - len(told)} more on other cars are not heard.", style="dim", indent=2)


def _chance(chance: float | None) -> str:
    return "not known" if chance is None else Speech().text(chance_said(chance))


def _show_far(out: Teller, garage: Garage, rows: tuple[FarEnough, ...], cars: list[str]) -> None:
    units = garage.units.choice
    names = " or ".join(garage.cars[car].name for car in cars)
    out.heading(f"How far from {names} is far enough", "for wheels that transmit at rest")
    shown = [
        (
            " and ".join(row.walls) or "open air",
            *(units.show_distance(Length(1000.0 * round(m))) for m in (row.half_m, row.tenth_m, row.hundredth_m)),
        )
        for row in rows
    ]
    out.table(("between", "half are heard to", "1 in 10 to", "1 in 100 to"), shown, right=(1, 2, 3))
    open_air = rows[0]
    if not open_air.in_a_garden:
        _no_garden(out, garage)


def _no_garden(out: Teller, garage: Garage) -> None:
    garden = garage.units.choice.show_distance(Length(1000.0 * GARDEN_M))
    text = f"No garden of {garden} is long enough in the open: steel all round it, another street, or fresh IDs."
    out.line(text, indent=2)


def _show_listening(out: Teller, garage: Garage, rows: tuple[Listen, ...]) -> None:
    if not rows:
        return
    out.heading("What listening could show")
    for row in rows:
        name, place = garage.sets[row.set].name, garage.places[row.place].name
        if row.each is None:
            out.line(
                f"{name} at {place}: it is not known how often its sensors send, so silence would prove nothing.",
                indent=2,
            )
            continue
        if row.spots is None:
            out.line(
                f"{name} at {place}: a hand-held receiver hears too little there for its silence to prove enough.",
                indent=2,
            )
            continue
        spots = f"at each of {row.spots} spots" if row.spots > 1 else "at one spot"
        minutes = garage.units.choice.number(row.each.minutes, 0)
        out.line(f"{name} at {place}: nothing heard for {minutes} min {spots} would make it not heard.", indent=2)
    out.line(
        "Receiving is restricted in places: ask the local rule. IDs of strangers are not to be kept.",
        style="dim",
        indent=2,
    )


def _show_budget(out: Teller, garage: Garage, where: str, budget: Budget) -> None:
    number = garage.units.choice.number
    out.heading(f"Link budget   {where}")
    rows = [(t.name, number(t.db, 1), f"± {number(t.spread_db, 1)}", Speech().text(t.basis.said)) for t in budget.terms]
    rows.append(("margin", number(budget.margin_db, 1), f"± {number(budget.spread_db, 1)}", _chance(budget.chance)))
    out.table(("", "dB", "1 σ", "rests on"), rows, right=(1, 2))
