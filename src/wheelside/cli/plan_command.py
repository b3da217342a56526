"""wheelside plan: which ID each wheel carries, and why. Write it like this."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

import click

from wheelside.cli import options
from wheelside.cli.asked import show_asked, show_one_more
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller, exit_status
from wheelside.errors import BadRequest, ReadOnly
from wheelside.identity.plan import Reasons
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.plan import Planned, Supposed, plan_garage, suppose
from wheelside.screens.plan import difference_part, plan_screen, tipping_part
from wheelside.screens.plan_first import plan_first


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
@click.option("--why", is_flag=True, help="Show what each teaching, place and pair rests on, and all that was found.")
@click.option("--costs", is_flag=True, help="Show what it costs and what may come, item by item.")
@click.option("--all", "everything", is_flag=True, help="Show every wheel and every ID, and all of the above.")
@click.option("--tipping", is_flag=True, help="Show from which figures another plan would win.")
@click.option(
    "--if",
    "facts",
    multiple=True,
    metavar="FACT",
    help="Plan as if a fact were another, as in 'car.estate.remembers_sets = 1'; nothing is saved.",
)
@options.ask
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
    why: bool,
    costs: bool,
    everything: bool,
    tipping: bool,
    facts: tuple[str, ...],
    ask: bool,
    json_out: bool,
) -> int:
    """Which sensor ID each wheel is to carry, and why.

    Fresh IDs are drawn once and set aside in the plan file; planning again gives the same ones.
    """
    supposed, refused = None, ""
    answered = Reasons.ALL if reasons or json_out else Reasons.WHY
    if facts:
        if let_go:
            raise BadRequest("--if saves nothing, so --release has no use beside it; give one of the two")
        supposed = suppose(
            where, facts, day=day, plan_file=plan_file, reasons=answered, reasons_for=wheels, tipping=tipping
        )
        planned = supposed.planned
    else:
        plans = partial(
            plan_garage,
            where,
            day=day,
            plan_file=plan_file,
            let_go=let_go,
            reasons=answered,
            reasons_for=wheels,
            tipping=tipping,
            wears=wears,
        )
        planned, refused = _planned(plans, keep=not no_save, must=let_go is not None)
    if json_out:
        if refused:
            echo(f"wheelside: {_NOT_ASIDE} {refused}", err=True)
        _print_json(planned, supposed, tipping=tipping)
    else:
        out = Teller(planned.garage.units.choice)
        if refused:
            out.line(f"{_NOT_ASIDE} {refused}", "bold red")
        show_asked(out, planned.garage, planned.plan.day)
        if supposed is not None:
            out.parts((difference_part(supposed),))
        if everything or reasons or wheels:
            show_plan(out, planned)
        else:
            show_first(out, planned, why=why, costs=costs)
        if tipping:
            out.parts((tipping_part(planned.plan, planned.tipping),))
        _show_saved(out, planned, refused)
        if ask:
            show_one_more(out, where, "wheels", day=day)
    return exit_status(planned.plan.findings) or int(bool(refused))


_NOT_ASIDE = "The fresh IDs of this plan must NOT be written, as they are not set aside."


def _planned(plans: Callable[..., Planned], *, keep: bool, must: bool) -> tuple[Planned, str]:
    """The plan, and why its fresh IDs could not be set aside where nothing can be written; '' where they are. Raises Mendable, Outside."""
    try:
        return plans(keep=keep), ""
    except ReadOnly as error:
        if must:
            raise
        return plans(keep=False), str(error)


def _print_json(planned: Planned, supposed: Supposed | None, *, tipping: bool) -> None:
    parts: dict[str, object] = {"garage": planned.garage.title, "plan": planned.plan, "saved_in": planned.saved_in}
    if tipping:
        parts["tipping"] = planned.tipping
    if supposed is not None:
        parts |= {"if": supposed.facts, "difference": supposed.difference}
    echo(document("plan", **parts), nl=False)


def show_first(out: Teller, planned: Planned, *, why: bool = False, costs: bool = False, more: bool = True) -> None:
    """The answer and what to do, and of the rest what is asked for; all of it where there is no plan or no wheel to plan for."""
    garage, plan = planned.garage, planned.plan
    if not plan.possible or not plan.wheels:
        show_plan(out, planned)
        return
    out.parts(plan_first(garage, plan).parts)
    wanted = (*(_WHY if why else ()), *(_COSTS if costs else ()))
    if wanted:
        out.parts(part for part in plan_screen(garage, plan).parts if part.code in wanted)
    if not more:
        return
    left = [name for name, shown in (("--why", why), ("--costs", costs)) if not shown]
    out.blank()
    out.line(
        f"Next: wheelside sheet   More: {'  '.join(left)}{'  ' if left else ''}--ask  --all",
        "dim",
    )


_WHY, _COSTS = ("teaching", "places", "pairs", "to-know"), ("costs", "figures")


def show_plan(out: Teller, planned: Planned) -> None:
    """The whole plan as text."""
    out.parts(plan_screen(planned.garage, planned.plan).parts)


def _show_saved(out: Teller, planned: Planned, refused: str) -> None:
    drawn = [r for r in planned.plan.reserved if not r.released]
    if not drawn:
        return
    out.blank()
    if refused:
        out.line(
            "The fresh IDs above must NOT be written: they are not set aside, and planning again draws others.",
            "bold red",
        )
    elif planned.saved_in:
        out.line(f"Reserved IDs are kept in {planned.saved_in}; planning again gives the same ones.")
    else:
        out.line("The fresh IDs above are not set aside (--no-save): planning again draws others.")
