"""wheelside plan: which ID each wheel carries, and why. Write it like this."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import click

from wheelside.cli import options
from wheelside.cli.asked import show_asked
from wheelside.cli.plan_more import show_conflict, show_difference, show_tipping
from wheelside.cli.tell import Teller, exit_status
from wheelside.errors import BadRequest
from wheelside.finding import Ground, Way
from wheelside.garage.model import Garage
from wheelside.garage.words import Monitor
from wheelside.identity.choice import Action, FreshFrom, IdChoice, id_label, id_words
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.teaching import to_do
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.plan import Planned, Supposed, plan_garage, suppose
from wheelside.said import Coded, Joined, Said, listed
from wheelside.sensor.ident import PrintForm


@click.command("plan")
@options.garage
@options.on_day
@options.wears
@options.plan_file
@options.no_save
@click.option("--release", "let_go", metavar="WHEEL", help="Give up the ID reserved for this wheel; another is drawn.")
@click.option(
    "--reasons",
    is_flag=True,
    help="Show every choice not taken, for every wheel (from 60 wheels on name them with --explain).",
)
@click.option("--explain", "wheels", multiple=True, metavar="WHEEL", help="Show the choices not taken for this wheel.")
@click.option("--tipping", is_flag=True, help="Show from which figures another plan would win.")
@click.option(
    "--if",
    "facts",
    multiple=True,
    metavar="FACT",
    help="Plan as if a fact were another, as in 'car.estate.remembers_sets = 1'; nothing is saved.",
)
@options.as_json
def command(
    where: str,
    day: date | None,
    wears: tuple[tuple[str, str], ...],
    plan_file: Path | None,
    no_save: bool,
    let_go: str | None,
    reasons: bool,
    wheels: tuple[str, ...],
    tipping: bool,
    facts: tuple[str, ...],
    json_out: bool,
) -> int:
    """Which sensor ID each wheel is to carry, and why.

    Fresh IDs are drawn once and set aside in the plan file; planning again gives the same ones.
    """
    supposed = None
    if facts:
        if let_go:
            raise BadRequest("--if saves nothing, so --release has no use beside it; give one of the two")
        supposed = suppose(where, facts, day=day, plan_file=plan_file, reasons_for=wheels, tipping=tipping)
        planned = supposed.planned
    else:
        planned = plan_garage(
            where,
            day=day,
            plan_file=plan_file,
            keep=not no_save,
            let_go=let_go,
            reasons_for=wheels,
            tipping=tipping,
            wears=wears,
        )
    if json_out:
        _print_json(planned, supposed, tipping=tipping)
    else:
        out = Teller(planned.garage.units.choice)
        show_asked(out, planned.garage, planned.plan.day)
        if supposed is not None:
            show_difference(out, supposed)
        show_plan(out, planned, reasons, wheels)
        if tipping:
            show_tipping(out, planned)
        _show_saved(out, planned)
    return exit_status(planned.plan.findings)


def _print_json(planned: Planned, supposed: Supposed | None, *, tipping: bool) -> None:
    parts: dict[str, object] = {"garage": planned.garage.title, "plan": planned.plan, "saved_in": planned.saved_in}
    if tipping:
        parts["tipping"] = planned.tipping
    if supposed is not None:
        parts |= {"if": supposed.facts, "difference": supposed.difference}
    click.echo(document("plan", **parts), nl=False)


def show_plan(out: Teller, planned: Planned, reasons: bool, explained: tuple[str, ...] = ()) -> None:
    """The whole plan as text. `explained`: wheels whose choices not taken are shown whatever was decided."""
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
        asked = reasons or wheel.wheel in explained
        if wheel.not_taken and (asked or wheel.action is Action.REFIT or wheel.choice is not IdChoice.KEEP):
            _show_reasons(out, garage, wheel)
    if plan.wheels:
        _show_places(out, garage, plan)
        _show_pairs(out, garage, plan)
        _show_teaching(out, garage, plan)
        _show_cost(out, garage, plan)
    if not plan.possible:
        show_conflict(out, plan, garage.units.choice)
    out.findings(f for f in plan.findings if f.code != "no-plan")


def _show_set(out: Teller, garage: Garage, plan: IdentityPlan, set_id: str) -> None:
    mounts = [s for s in plan.line if s.set == set_id and s.on]
    goes = "on no car"
    if mounts:
        first = max(mounts[0].since, plan.day)
        goes = f"on {garage.cars[mounts[0].on or ''].name} {'now' if plan.is_due(mounts[0].on, set_id, first) else f'from {first}'}"
    out.heading(garage.sets[set_id].name, goes)
    rows = []
    for w in plan.wheels:
        if w.set == set_id:
            hexed, decimal = (w.id.aloud(), w.id.aloud(PrintForm.DECIMAL)) if w.id else (_no_id(w), "")
            rows.append(
                (w.corner.value, garage.wheels[w.wheel].name, _sensor_word(w), _id_word(out, w), hexed, decimal)
            )
    out.table(("corner", "wheel", "sensor", "ID", "hex", "decimal"), rows, right=(5,), whole=(0, 1, 2, 4, 5))


def _sensor_word(w: WheelPlan) -> str:
    if w.action is Action.STAYS:
        return "stays"
    return "REFIT, in hand" if w.in_hand else "REFIT"


def _id_word(out: Teller, w: WheelPlan) -> str:
    if w.choice is IdChoice.CLONE:
        return out.speech.text(id_words(w.choice, w.source, own=w.own))
    if w.choice is IdChoice.FRESH:
        close = (
            f", {w.distance} digit{'s' if w.distance > 1 else ''} from the next"
            if w.distance is not None and w.distance < 3
            else ""
        )
        return f"{out.speech.text(w.choice)}, {out.speech.text(w.fresh_from or '')}{close}"
    return out.speech.text(w.choice)


def _no_id(w: WheelPlan) -> str:
    if w.fresh_from in (FreshFrom.WRITER, FreshFrom.BOUGHT):
        return "note it"
    return "read it"


def _show_reasons(out: Teller, garage: Garage, w: WheelPlan) -> None:
    said = out.speech.text
    name, one = garage.wheels[w.wheel].name, id_label(w.choice, own=w.own)
    out.heading(f"Wheel {name}: sensor {said(w.action)}, ID {said(one)}", said(w.why or ""))
    grouped: dict[tuple[Action, Said, Way | None], list[Coded]] = {}
    for n in w.not_taken:
        grouped.setdefault((n.action, n.text, n.way_out), []).append(id_label(n.choice, own=n.own))
    rows = [
        (
            f"sensor {said(action)}", f"ID {said(listed(ids, Joined.OR))}",
            said(text) + (f" → {out.speech.way(way)}" if way else ""),
        )
        for (action, text, way), ids in grouped.items()
    ]  # fmt: skip
    out.table(("not taken", "", "because"), rows)


def _show_places(out: Teller, garage: Garage, plan: IdentityPlan) -> None:
    if not plan.picked:
        return
    out.heading("Where each set is kept", "out of the places that its stay names")
    rows = [(str(max(p.since, plan.day)), garage.sets[p.set].name, garage.places[p.place].name) for p in plan.picked]
    out.table(("from", "set", "place"), rows)


def _show_pairs(out: Teller, garage: Garage, plan: IdentityPlan) -> None:
    if not plan.pairs:
        return
    said = out.speech.text
    out.heading("Pairs", "two wheels with one ID, which must never meet")
    rows = []
    for pair in plan.pairs:
        names = [garage.wheels[w].name for w in pair.wheels]
        for n, moment in enumerate(pair.line):
            head = f"{names[0]} and {names[1]}" if n == 0 else ""
            rows.append(
                (head, pair.id.aloud() if n == 0 else "", str(moment.day), said(moment.first), said(moment.other))
            )
    out.table(("wheels", "ID", "from", "the first is", "the other is"), rows, whole=(1, 2))


def _show_teaching(out: Teller, garage: Garage, plan: IdentityPlan) -> None:
    out.heading("What each car is taught", f"to {plan.end}")
    rows = [
        (
            "now" if plan.is_due(t.car, t.set, t.day) else str(t.day),
            garage.cars[t.car].name,
            garage.sets[t.set].name,
            "TEACH" if t.certain else out.speech.text(to_do(garage, t)),
            out.speech.text(t.why),
        )
        for t in plan.teachings
    ]
    out.table(("day", "car", "set goes on", "to do", "because"), rows)


def _show_cost(out: Teller, garage: Garage, plan: IdentityPlan) -> None:
    number = garage.units.choice.number
    out.heading(
        "What it costs",
        "proven least of all plans that do the work now"
        if plan.weight == plan.bound
        else "best found, not proven least",
    )
    said = out.speech.text
    rows = [(said(c.what), number(c.price.seconds / 60, 0), number(c.price.hundredths / 100, 2)) for c in plan.costs]
    rows.append(("together, sure", number(plan.total.seconds / 60, 0), number(plan.total.hundredths / 100, 2)))
    out.table(("", "min", plan.currency), rows, right=(1, 2))
    if plan.risks:
        risks = [(said(r.what), str(r.times), _odds(number, r.ppm), number(r.weight / 360_000, 2)) for r in plan.risks]
        risks.append(("together, expected", "", "", number(sum(r.weight for r in plan.risks) / 360_000, 2)))
        out.table(("what may come", "times", "odds", plan.currency), risks, right=(1, 2, 3))
    out.line(
        f"all in all {number(plan.weight / 360_000, 2)} {plan.currency}, your time at its worth; "
        f"proven: no plan is below {number(plan.bound / 360_000, 2)} {plan.currency}",
        indent=2,
    )
    _show_runner_up(out, plan, number)
    defaults = ", ".join(f"{r.name} {said(r.text)}" for r in plan.rates if r.basis.ground is Ground.DEFAULT)
    owner = ", ".join(f"{r.name} {said(r.text)}" for r in plan.rates if r.basis.ground is not Ground.DEFAULT)
    if owner:
        out.line(f"your figures: {owner}", style="dim", indent=2)
    if defaults:
        out.line(f"defaults, judgement, to be changed in [costs] and [odds]: {defaults}", style="dim", indent=2)


def _odds(number: Callable[[float, int], str], ppm: int) -> str:
    """Odds as a person reads them: '14 %', '0.4 %'."""
    share = ppm / 10_000
    return f"{number(share, 0 if share >= 10 else 1)} %"


def _show_runner_up(out: Teller, plan: IdentityPlan, number: Callable[[float, int], str]) -> None:
    told = [("the next best plan", plan.runner_up)]
    if plan.another_way != plan.runner_up:
        told.append(("the best plan that teaches or stores otherwise", plan.another_way))
    for name, other in told:
        if other is not None:
            more = f"costs {number(other.extra_weight / 360_000, 2)} {plan.currency} more"
            more = more if other.extra_weight else "costs just as much; the stated order of ties decides"
            changes = out.speech.text(listed(other.changes, Joined.SEMICOLON))
            out.line(f"{name} {more}: {changes or 'the same wheels, taught at another time'}", indent=2)


def _show_saved(out: Teller, planned: Planned) -> None:
    drawn = [r for r in planned.plan.reserved if not r.released]
    if not drawn:
        return
    out.blank()
    if planned.saved_in:
        out.line(f"Reserved IDs are kept in {planned.saved_in}; planning again gives the same ones.")
    else:
        out.line("The fresh IDs above are not set aside (--no-save): planning again draws others.")
