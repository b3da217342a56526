"""wheelside sheet: the ordered steps of the next change of wheels."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import click

from wheelside.cli import options
from wheelside.cli.asked import show_asked
from wheelside.cli.sheet_markdown import sheet_markdown
from wheelside.cli.tell import Teller
from wheelside.fill.contradictions import stands_first
from wheelside.garage.model import Garage
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.sheet import Sheeted, sheet_for
from wheelside.said import Joined, listed
from wheelside.sheet.extent import Extent
from wheelside.sheet.step import RunSheet, Step
from wheelside.sheet.title import called, said_title
from wheelside.sheet.warmth import table_of
from wheelside.speech.speech import Speech
from wheelside.units import UnitChoice


@click.command("sheet")
@options.garage
@options.on_day
@options.wears
@options.which_change
@options.wishes
@options.plan_file
@options.no_save
@click.option("--now", is_flag=True, help="For a change made today, whatever day the season line has for it.")
@click.option(
    "--only",
    type=click.Choice([p.value for p in Extent if p is not Extent.ALL]),
    help="One part of the work, for the set that is on the car now.",
)
@click.option("--markdown", is_flag=True, help="Print Markdown, with a box to tick for each step.")
@options.as_json
def command(
    where: str, day: date | None, wears: tuple[tuple[str, str], ...], now: bool, car: str | None, wheel_set: str | None, hot: bool, load: str | None,
    plan_file: Path | None, no_save: bool, only: str | None, markdown: bool, json_out: bool, **said: Any,
) -> int:  # fmt: skip
    """The ordered steps of the next change of wheels, and the evidence each asks for."""
    wishes = options.wishes_from(hot, load, **said)
    made = sheet_for(
        where,
        day=day,
        car=car,
        wheel_set=wheel_set,
        wishes=wishes,
        plan_file=plan_file,
        keep=not no_save,
        now=now,
        wears=wears,
        extent=Extent(only or Extent.ALL),
    )
    if json_out:
        click.echo(
            document(
                "sheet",
                garage=made.planned.garage.title,
                forbidden=made.forbidden,
                sheet=made.sheet,
                saved_in=made.planned.saved_in,
            ),
            nl=False,
        )
    elif markdown and made.sheet:
        click.echo(sheet_markdown(made.planned.garage, made.sheet), nl=False)
    else:
        out = Teller(made.planned.garage.units.choice)
        show_asked(out, made.planned.garage, made.planned.plan.day)
        show_made(out, made)
    return int(bool(made.forbidden))


def show_made(out: Teller, made: Sheeted) -> None:
    """The sheet, or why there is none."""
    if made.sheet is None:
        out.heading("No run sheet")
        out.line("Something must not be done, or can't all be so, as the file has it; mend that first.", indent=2)
        out.findings(made.forbidden)
    else:
        show_sheet(out, made.planned.garage, made.sheet)


def show_sheet(out: Teller, garage: Garage, sheet: RunSheet) -> None:
    """The whole sheet as text."""
    said = Speech(garage.units.choice).text
    out.heading("Run sheet", said(said_title(called(garage, sheet))))
    out.findings((f for f in sheet.findings if stands_first(f)), "First")
    out.line(f"About {sheet.minutes // 60} h {sheet.minutes % 60:02d} min in {len(sheet.steps)} steps. "
             f"Evidence to reach: {sheet.aim.level}, because {said(listed(sheet.aim.reasons, Joined.SEMICOLON))}.", indent=2)  # fmt: skip
    out.line(
        f"{sheet.aim.level} is shown by: {said(sheet.aim.shown_by)}. It leaves open: {said(sheet.aim.leaves_open)}.",
        indent=2,
    )
    if sheet.aim.missing:
        missing = said(listed(sheet.aim.missing, Joined.SEMICOLON))
        out.line(
            f"With what the file lists, {sheet.aim.reachable} can be shown; for more it wants {missing}.",
            style="yellow",
            indent=2,
        )
    stage = timed = None
    seen: dict[str, int] = {}
    numbers = {step.id: n for n, step in enumerate(sheet.steps, start=1)}
    for n, step in enumerate(sheet.steps, start=1):
        if step.stage is not stage:
            stage = step.stage
            seen = {}
            out.heading(said(stage))
        if step.timed and step.timed != timed:
            out.line(f"▍without a pause: {step.timed}", style="bold", indent=2)
        timed = step.timed
        _show_step(out, n, step, numbers, seen, garage.units.choice)
    out.findings(f for f in sheet.findings if not stands_first(f))


def _show_table(out: Teller, step: Step, units: UnitChoice) -> None:
    """The figure to set by the tyre's temperature, warmer to the right."""
    rows = table_of(step, units)
    if rows:
        out.table(("tyre at", *(t for t, _ in rows)), [("set", *(figure for _, figure in rows))], indent=6)


def _show_step(
    out: Teller, n: int, step: Step, numbers: dict[str, int], seen: dict[str, int], units: UnitChoice
) -> None:
    """One step; a caution that stood on an earlier step of the same stage is pointed to there."""
    left = " (may be left out)" if step.optional else ""
    out.line(f"{n:2d}  {step.title}{left}   {step.minutes} min", style="bold", indent=2)
    for caution in step.cautions:
        first = seen.setdefault(caution, n)
        words = (
            caution
            if first == n
            else f"{caution.split(':')[0].split(',')[0].split('.')[0]} …: take care as at step {first}"
        )
        out.line(f"▲ {words}", style="yellow", indent=6)
    waits = [numbers[w] for w in step.waits_for if w in numbers]
    if waits:
        out.line(f"opens after step{'s' if len(waits) > 1 else ''} {', '.join(map(str, waits))}", style="dim", indent=6)
    for one in step.what:
        out.line(f"- {out.speech.text(one)}", indent=6)
    _show_table(out, step, units)
    rows = [
        ("where", step.where),
        ("expect", step.expect),
        ("evidence", ", ".join(map(Speech(units).text, step.evidence))),
        ("why", out.speech.text(step.why)),
        ("if not", step.if_fails),
    ]
    out.table(("", ""), [(name, text) for name, text in rows if text not in ("", "-")], indent=6)
    if step.lock:
        out.line("■ LOCK: no later step opens until this one is done and gauged.", style="bold red", indent=6)
