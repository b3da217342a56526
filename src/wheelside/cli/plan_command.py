"""wheelside plan: which ID each wheel carries, and why. Write it like this."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from wheelside.cli import options
from wheelside.cli.tell import Teller, exit_status
from wheelside.garage.model import Garage
from wheelside.garage.words import Monitor
from wheelside.identity.choice import Action, FreshFrom, IdChoice
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.jobs.jsonform import document
from wheelside.jobs.plan import Planned, plan_garage
from wheelside.sensor.ident import PrintForm


@click.command("plan")
@options.garage_file
@options.on_day
@options.plan_file
@options.no_save
@click.option("--release", "let_go", metavar="WHEEL", help="Give up the ID reserved for this wheel; another is drawn.")
@click.option("--reasons", is_flag=True, help="Show every choice not taken, for every wheel.")
@options.as_json
def command(
    file: Path,
    day: date | None,
    plan_file: Path | None,
    no_save: bool,
    let_go: str | None,
    reasons: bool,
    json_out: bool,
) -> int:
    """Which sensor ID each wheel is to carry, and why.

    Fresh IDs are drawn once and set aside in the plan file; planning again gives the same ones.
    """
    planned = plan_garage(file, day=day, plan_file=plan_file, keep=not no_save, let_go=let_go)
    if json_out:
        click.echo(
            document("plan", garage=planned.garage.title, plan=planned.plan, saved_in=planned.saved_in), nl=False
        )
    else:
        out = Teller()
        show_plan(out, planned, reasons)
        _show_saved(out, planned)
    return exit_status(planned.plan.findings)


def show_plan(out: Teller, planned: Planned, reasons: bool) -> None:
    """The whole plan as text."""
    garage, plan = planned.garage, planned.plan
    if not plan.wheels:
        out.heading("Identity plan")
        out.line(
            "No wheel has a sensor that a car watches: no IDs to plan."
            if plan.possible
            else "No plan is possible; see below."
        )
        for car in garage.car:
            if car.monitor is Monitor.INDIRECT:
                out.line(
                    f"{car.name} watches by wheel speed: after each change set the pressures cold, then store them in the car."
                )
    for set_id in dict.fromkeys(w.set for w in plan.wheels):
        _show_set(out, garage, plan, set_id)
    for wheel in plan.wheels:
        if reasons or wheel.action is Action.REFIT or wheel.choice is not IdChoice.KEEP:
            _show_reasons(out, garage, wheel)
    if plan.wheels:
        _show_teaching(out, garage, plan)
        _show_cost(out, garage, plan)
    out.findings(plan.findings)


def _show_set(out: Teller, garage: Garage, plan: IdentityPlan, set_id: str) -> None:
    mounts = [s for s in plan.line if s.set == set_id and s.on]
    goes = f"on {garage.cars[mounts[0].on or ''].name} from {max(mounts[0].since, plan.day)}" if mounts else "on no car"
    out.heading(garage.sets[set_id].name, goes)
    rows = []
    for w in plan.wheels:
        if w.set == set_id:
            hexed, decimal = (w.id.aloud(), w.id.aloud(PrintForm.DECIMAL)) if w.id else (_no_id(w), "")
            rows.append((w.corner.value, garage.wheels[w.wheel].name, _sensor_word(w), _id_word(w), hexed, decimal))
    out.table(("corner", "wheel", "sensor", "ID", "hex", "decimal"), rows, right=(5,), whole=(0, 1, 2, 4, 5))


def _sensor_word(w: WheelPlan) -> str:
    return "stays" if w.action is Action.STAYS else "REFIT"


def _id_word(w: WheelPlan) -> str:
    if w.choice is IdChoice.CLONE:
        return f"clone of {w.source}"
    if w.choice is IdChoice.FRESH:
        close = (
            f", {w.distance} digit{'s' if w.distance > 1 else ''} from the next"
            if w.distance is not None and w.distance < 3
            else ""
        )
        return f"fresh, {w.fresh_from.value if w.fresh_from else ''}{close}"
    return "keep"


def _no_id(w: WheelPlan) -> str:
    if w.fresh_from in (FreshFrom.WRITER, FreshFrom.BOUGHT):
        return "note it"
    return "read it"


def _show_reasons(out: Teller, garage: Garage, w: WheelPlan) -> None:
    out.heading(f"Wheel {garage.wheels[w.wheel].name}: sensor {w.action.value}, ID {w.choice.value}", w.why)
    grouped: dict[tuple[str, str], list[str]] = {}
    for n in w.not_taken:
        because = n.text + (f" → {n.way_out}" if n.way_out else "")
        grouped.setdefault((f"sensor {n.action.value}", because), []).append(n.choice.value)
    rows = [(sensor, f"ID {' or '.join(ids)}", because) for (sensor, because), ids in grouped.items()]
    out.table(("not taken", "", "because"), rows)


def _show_teaching(out: Teller, garage: Garage, plan: IdentityPlan) -> None:
    out.heading("What each car is taught", f"to {plan.end}")
    rows = [
        (str(t.day), garage.cars[t.car].name, garage.sets[t.set].name, "TEACH" if t.needed else "nothing", t.why)
        for t in plan.teachings
    ]
    out.table(("day", "car", "set goes on", "to do", "because"), rows)


def _show_cost(out: Teller, garage: Garage, plan: IdentityPlan) -> None:
    number = garage.units.choice.number
    out.heading("What it costs", "proven least" if plan.weight == plan.bound else "best found, not proven least")
    rows = [(c.what, number(c.price.seconds / 60, 0), number(c.price.hundredths / 100, 2)) for c in plan.costs]
    rows.append(("together", number(plan.total.seconds / 60, 0), number(plan.total.hundredths / 100, 2)))
    out.table(("", "min", plan.currency), rows, right=(1, 2))
    defaults = ", ".join(f"{r.name} {r.text}" for r in plan.rates if r.basis.ground.value == "default")
    owner = ", ".join(f"{r.name} {r.text}" for r in plan.rates if r.basis.ground.value != "default")
    if owner:
        out.line(f"your figures: {owner}", style="dim", indent=2)
    if defaults:
        out.line(f"defaults, judgement, to be changed in [costs]: {defaults}", style="dim", indent=2)


def _show_saved(out: Teller, planned: Planned) -> None:
    drawn = [r for r in planned.plan.reserved if not r.released]
    if not drawn:
        return
    out.blank()
    if planned.saved_in:
        out.line(f"Reserved IDs are kept in {planned.saved_in}; planning again gives the same ones.")
    else:
        out.line("The fresh IDs above are not set aside (--no-save): planning again draws others.")
