"""A run sheet as Markdown, to print or to keep beside the photos."""

from __future__ import annotations

from wheelside.fill.contradictions import stands_first
from wheelside.finding import Finding
from wheelside.garage.model import Garage
from wheelside.sheet.step import RunSheet, Step
from wheelside.sheet.warmth import table_of
from wheelside.units import UnitChoice


def sheet_markdown(garage: Garage, sheet: RunSheet) -> str:
    """The sheet in CommonMark with task boxes; names from the file are escaped."""
    out = [f"# Run sheet: {_safe(sheet_title(garage, sheet))}", ""]
    out += _findings("First", [f for f in sheet.findings if stands_first(f)])
    if sheet.aim.missing:
        out += [
            f"With what the file lists, {sheet.aim.reachable} can be shown; for more it wants {_safe('; '.join(sheet.aim.missing))}.",
            "",
        ]
    out += [
        f"About {sheet.minutes} minutes, {len(sheet.steps)} steps. Evidence to reach: **{sheet.aim.level}** ({_safe(sheet.aim.why)}).",
        f"Shown by: {_safe(sheet.aim.shown_by)}. Leaves open: {_safe(sheet.aim.leaves_open)}.",
        "",
    ]
    numbers = {step.id: n for n, step in enumerate(sheet.steps, start=1)}
    stage = None
    for step in sheet.steps:
        if step.stage is not stage:
            stage = step.stage
            out += [f"## {stage.value}", ""]
        out += _step(step, numbers, garage.units.choice)
    out += _findings("To know", [f for f in sheet.findings if not stands_first(f)])
    return "\n".join(out)


def _findings(title: str, findings: list[Finding]) -> list[str]:
    """Findings under a heading; nothing where there are none."""
    if not findings:
        return []
    rows = [f"- **{f.weight.value}**: {_safe(f.about)}: {_safe(f.text)} {_safe(f.way_out)}".rstrip() for f in findings]
    return [f"## {title}", "", *rows, ""]


def sheet_title(garage: Garage, sheet: RunSheet) -> str:
    """'Winter set goes on Estate, 2026-11-28; Summer set comes off'."""
    coming = garage.sets[sheet.coming].name
    if not sheet.car:
        return f"Sensors of {coming}, {sheet.day}"
    car, due = garage.cars[sheet.car].name, f" (due {sheet.due})" if sheet.due and sheet.due != sheet.day else ""
    if sheet.stays_on:
        return f"{coming} stays on {car}, {sheet.day}"
    off = f"; {garage.sets[sheet.going].name} comes off" if sheet.going else ""
    return f"{coming} goes on {car}, {sheet.day}{due}{off}"


def _table(step: Step, units: UnitChoice) -> list[str]:
    """The figure to set by the tyre's temperature, where a step has one."""
    rows = table_of(step, units)
    if not rows:
        return []
    return ["", "| Tyre at | Gauge |", "| --- | --- |", *(f"| {t} | {figure} |" for t, figure in rows)]


def _step(step: Step, numbers: dict[str, int], units: UnitChoice) -> list[str]:
    marks = [f"{step.minutes} min"]
    if step.timed:
        marks.append(f"without a pause: {step.timed}")
    if step.optional:
        marks.append("may be left out")
    out = [f"### {numbers[step.id]}. {_safe(step.title)}", "", f"*{', '.join(marks)}*", ""]
    out += [f"> **Take care.** {_safe(c)}\n" for c in step.cautions]
    waits = [str(numbers[w]) for w in step.waits_for if w in numbers]
    if waits:
        out += [f"Opens after step {', '.join(waits)}.", ""]
    out += [f"- [ ] {_safe(w)}" for w in step.what]
    out += _table(step, units)
    out += ["", f"- Where: {_safe(step.where)}", f"- Expect: {_safe(step.expect)}"]
    out += [f"- Evidence: {', '.join(c.value for c in step.evidence)}: ____________", f"- Why: {_safe(step.why)}"]
    if step.if_fails not in ("", "-"):
        out.append(f"- If not: {_safe(step.if_fails)}")
    if step.lock:
        out.append("- **LOCK: no later step opens until this one is done and gauged.**")
    return [*out, ""]


def _safe(text: str) -> str:
    """`text` with the signs that Markdown or HTML would take for markup made harmless."""
    for sign in "\\`*_[]<>#|":
        text = text.replace(sign, f"\\{sign}")
    return text.replace("\n", " ")
