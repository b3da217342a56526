"""wheelside air: the pressures to set now."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from wheelside.air.loss import FAST_KPA_PER_MONTH, LOSS_TEMPERATURE, SLOW_KPA_PER_MONTH, normal_loss
from wheelside.cli import options
from wheelside.cli.asked import open_changes, show_asked
from wheelside.cli.tell import Teller, exit_status
from wheelside.fill.card import COVERAGE, AirCard, WheelSetting
from wheelside.fill.lamp import OWN_RULE
from wheelside.fill.situation import Situation
from wheelside.garage.model import Garage
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.air import card_for
from wheelside.sheet.warmth import table_of_card
from wheelside.speech.speech import Speech
from wheelside.units import GaugePressure, UnitChoice


@click.command("air")
@options.garage
@options.on_day
@options.wears
@options.which_change
@options.wishes
@options.as_json
def command(
    where: str,
    day: date | None,
    wears: tuple[tuple[str, str], ...],
    car: str | None,
    wheel_set: str | None,
    hot: bool,
    load: str | None,
    json_out: bool,
    **said: Any,
) -> int:
    """The pressures to set now, and from when the lamp must be lit.

    For the next change of wheels, or for the car and set asked for.
    """
    wishes = options.wishes_from(hot, load, **said)
    aired = card_for(where, day=day, car=car, wheel_set=wheel_set, wishes=wishes, wears=wears)
    if json_out:
        click.echo(
            document(
                "air",
                garage=aired.garage.title,
                open=open_changes(aired.garage, aired.card.day),
                change=aired.change,
                card=aired.card,
            ),
            nl=False,
        )
    else:
        out = Teller(aired.garage.units.choice)
        show_asked(out, aired.garage, aired.card.day)
        show_card(out, aired.garage, aired.card)
    return exit_status(aired.card.findings) or int(not aired.card.wheels)


def show_card(out: Teller, garage: Garage, card: AirCard) -> None:
    """The whole card as text."""
    load = f", load '{card.load}'" if card.load else ""
    out.heading(
        "Air card", f"{garage.sets[card.set].name} for {garage.cars[card.car].name}{load}, pressures as of {card.day}"
    )
    out.findings(card.first, "First")
    s, units = card.situation, garage.units.choice
    if s is None or not card.wheels:
        out.line("No pressure can be given yet; see below.", indent=2)
    else:
        _show_situation(out, units, s)
        _show_settings(out, garage, units, card, s)
        _show_by_temperature(out, units, card, s)
        _show_lamp(out, units, card)
    out.findings(card.later)


def _show_situation(out: Teller, u: UnitChoice, s: Situation) -> None:
    out.line(
        f"Tyres cold at {u.show_temperature(s.now)} now; the placard is to hold on cold tyres at {u.show_temperature(s.use)}.",
        indent=2,
    )
    out.line(f"Until the next check cold tyres between {u.show_temperature(s.coldest)} and {u.show_temperature(s.warmest)}; "
             f"air here {s.air_here.kpa:.1f} kPa, there {s.air_there.kpa:.1f} kPa.", indent=2)  # fmt: skip


def _show_settings(out: Teller, garage: Garage, u: UnitChoice, card: AirCard, s: Situation) -> None:
    out.blank()
    settings = [
        (
            w.corner.value,
            garage.wheels[w.wheel].name,
            u.show_pressure(w.target.placard),
            u.show_plus_minus(w.set_to, w.spread),
            u.show_pressure(w.gauge_shows),
            u.show_pressure(w.highest) if w.highest else "not known",
        )
        for w in card.wheels
    ]
    out.table(("corner", "wheel", "placard", "set, true", f"{s.gauge_name} shows", "never above"), settings)
    out.blank()
    readings = [
        (
            w.corner.value,
            u.show_pressure(w.reads.gauge_there),
            _dash(u, w.reads.dash_here),
            _dash(u, w.reads.dash_there),
            f"bound by the {w.limited_by}" if w.limited_by else "",
        )
        for w in card.wheels
    ]
    out.table(("will then read", f"{s.gauge_name} there", "dash here", "dash there", ""), readings)
    out.blank()
    if s.next_check:
        least, most = normal_loss(s.next_check, s.use)
        weeks = u.number(s.next_check.seconds / 604800, 0)
        text = f"By the next check, in {weeks} weeks, normal loss takes {u.show_pressure(least)} to {u.show_pressure(most)}."
        out.line(text, indent=2)
    bias = f"{s.gauge_name}: bias {u.show_pressure(s.gauge_bias)} ({Speech(u).text(s.gauge_bias_basis.said)})"
    out.line(bias, style="dim", indent=2)
    parts = _parts(u, card.wheels)
    out.line(f"± is the uncertainty with coverage factor {COVERAGE:.0f}: {parts}", style="dim", indent=2)


def _show_by_temperature(out: Teller, u: UnitChoice, card: AirCard, s: Situation) -> None:
    """The figure for a tyre that turns out warmer or colder than planned."""
    table = table_of_card(card, u)
    out.heading(f"What {s.gauge_name} has to show", "by the tyre's own temperature when you set it")
    out.table(("tyre", *table.columns), [(at, *figures) for at, figures in table.rows])


def _dash(u: UnitChoice, p: GaugePressure | None) -> str:
    return u.show_pressure(p) if p else "not known"


def _parts(u: UnitChoice, wheels: tuple[WheelSetting, ...]) -> str:
    if not wheels:
        return ""
    return ", ".join(
        f"{p.source} {u.show_pressure(p.standard)} ({Speech(u).text(p.basis.said)})" for p in wheels[0].parts
    )


def _show_lamp(out: Teller, u: UnitChoice, card: AirCard) -> None:
    if not any(w.lamp for w in card.wheels):
        return
    out.heading("From when the lamp must be lit", "a car may light it earlier")
    rows: dict[tuple[str, ...], list[str]] = {}
    for w in card.wheels:
        for due in w.lamp:
            weeks = "at once" if due.weeks.latest <= 0 else f"{due.weeks.soonest:.0f} to {due.weeks.latest:.0f}"
            mine = " (this car's)" if due.applies and due.rule != OWN_RULE else ""
            key = (
                due.rule + mine,
                f"{u.show_pressure(due.limit)} {due.counted}",
                u.show_temperature(due.tyre_temperature),
                weeks,
            )
            rows.setdefault(key, []).append(w.corner.value)
    columns = ("rule", "reading", "tyre, in use, at or below", "weeks of normal loss", "corners")
    out.table(columns, [(*key, ", ".join(corners)) for key, corners in rows.items()])
    bases = dict.fromkeys(Speech().text(due.basis.said) for w in card.wheels for due in w.lamp)
    for basis in bases:
        out.line(f"rests on {basis}", style="dim", indent=2)
    loss = u.number(SLOW_KPA_PER_MONTH, 1), u.number(FAST_KPA_PER_MONTH, 1), u.show_temperature(LOSS_TEMPERATURE)
    source = "Tire Science and Technology 13(1)"
    out.line(
        f"normal loss: {loss[0]} to {loss[1]} kPa a month at {loss[2]} ({source}); faster is a leak",
        style="dim",
        indent=2,
    )
    floor = "the texts of UN R141 differ in whether its floor of 150 kPa is gauge or absolute, so both are shown"
    out.line(floor, style="dim", indent=2)
