"""A run sheet as Markdown, to print or to keep beside the photos."""

from __future__ import annotations

from wheelside.fill.contradictions import stands_first
from wheelside.finding import Finding
from wheelside.garage.model import Garage
from wheelside.said import Joined, listed
from wheelside.sheet.step import RunSheet, Step
from wheelside.sheet.title import called, said_title
from wheelside.sheet.warmth import table_of
from wheelside.speech.speech import Speech
from wheelside.units import UnitChoice


def sheet_markdown(garage: Garage, sheet: RunSheet) -> str:
    """The sheet in CommonMark with task boxes; names from the file are escaped."""
    speech = Speech(garage.units.choice)

    def said(*values: object) -> str:
        return safe(speech.text(listed(values, Joined.SEMICOLON)))

    out = [f"# Run sheet: {said(said_title(called(garage, sheet)))}", ""]
    out += _findings("First", speech, [f for f in sheet.findings if stands_first(f)])
    if sheet.aim.missing:
        out += [
            f"With what the file lists, {sheet.aim.reachable} can be shown; for more it wants {said(*sheet.aim.missing)}.",
            "",
        ]
    out += [
        f"About {sheet.minutes} minutes, {len(sheet.steps)} steps. Evidence to reach: **{sheet.aim.level}** ({said(*sheet.aim.reasons)}).",
        f"Shown by: {said(sheet.aim.shown_by)}. Leaves open: {said(sheet.aim.leaves_open)}.",
        "",
    ]
    numbers = {step.id: n for n, step in enumerate(sheet.steps, start=1)}
    stage = None
    for step in sheet.steps:
        if step.stage is not stage:
            stage = step.stage
            out += [f"## {said(stage)}", ""]
        out += _step(step, numbers, speech)
    out += _findings("To know", speech, [f for f in sheet.findings if not stands_first(f)])
    return "\n".join(out)


def _findings(title: str, speech: Speech, findings: list[Finding]) -> list[str]:
    """Findings under a heading; nothing where there are none."""
    if not findings:
        return []
    rows = [
        f"- **{speech.text(f.weight)}**: {safe(speech.text(f.about))}: {safe(speech.text(f.text))} {safe(speech.way(f.way_out))}".rstrip()
        for f in findings
    ]
    return [f"## {title}", "", *rows, ""]


def _table(step: Step, units: UnitChoice) -> list[str]:
    """The figure to set by the tyre's temperature, where a step has one."""
    rows = table_of(step, units)
    if not rows:
        return []
    return ["", "| Tyre at | Gauge |", "| --- | --- |", *(f"| {t} | {figure} |" for t, figure in rows)]


def _step(step: Step, numbers: dict[str, int], speech: Speech) -> list[str]:
    marks = [f"{step.minutes} min"]
    if step.timed:
        marks.append(f"without a pause: {step.timed}")
    if step.optional:
        marks.append("may be left out")
    out = [f"### {numbers[step.id]}. {safe(step.title)}", "", f"*{', '.join(marks)}*", ""]
    out += [f"> **Take care.** {safe(c)}\n" for c in step.cautions]
    waits = [str(numbers[w]) for w in step.waits_for if w in numbers]
    if waits:
        out += [f"Opens after step {', '.join(waits)}.", ""]
    out += [f"- [ ] {safe(speech.text(w))}" for w in step.what]
    out += _table(step, speech.units)
    out += ["", f"- Where: {safe(step.where)}", f"- Expect: {safe(step.expect)}"]
    out += [
        f"- Evidence: {', '.join(map(speech.text, step.evidence))}: ____________",
        f"- Why: {safe(speech.text(step.why))}",
    ]
    if step.if_fails not in ("", "-"):
        out.append(f"- If not: {safe(step.if_fails)}")
    if step.lock:
        out.append("- **LOCK: no later step opens until this one is done and gauged.**")
    return [*out, ""]


def safe(text: str) -> str:
    """`text` with the signs that Markdown or HTML would take for markup made harmless."""
    for sign in "\\`*_[]<>#|":
        text = text.replace(sign, f"\\{sign}")
    return text.replace("\n", " ")
