"""wheelside gate: a set's sensors, as they answer, held against what is written down."""

from __future__ import annotations

from datetime import date

import click

from wheelside.cli import options
from wheelside.cli.asked import open_changes, show_asked
from wheelside.cli.tell import Teller
from wheelside.garage.model import Garage
from wheelside.identity.gate import Answer, AtGate, Expected, GateCheck
from wheelside.jobs.jsonform import document
from wheelside.jobs.wheelset.gate import check_at_gate


@click.command("gate")
@options.garage
@click.argument("wheel_set", metavar="SET")
@click.argument("ids", nargs=-1, metavar="[ID]...")
@options.on_day
@options.wears
@options.as_json
def command(
    where: str,
    wheel_set: str,
    ids: tuple[str, ...],
    day: date | None,
    wears: tuple[tuple[str, str], ...],
    json_out: bool,
) -> int:
    """Hold a set's sensors, as they answer when triggered, against what is written down.

    For a store or a workshop, when a set comes in and before it goes out. Without IDs: which ones to expect.
    Status 1 where a wheel is missing or one answers that does not belong.
    """
    found = check_at_gate(where, wheel_set, ids, day=day, wears=wears)
    if json_out:
        click.echo(
            document(
                "gate",
                garage=found.garage.title,
                open=open_changes(found.garage, found.day),
                passed=found.check.passed,
                check=found.check,
            ),
            nl=False,
        )
        return 1 if found.check.passed is False else 0
    out = Teller(found.garage.units.choice)
    show_asked(out, found.garage, found.day)
    if not ids:
        _show_expected(out, found.garage, found.check)
        return 0
    _show(out, found.garage, found.check)
    return 0 if found.check.passed else 1


def _show_expected(out: Teller, garage: Garage, check: GateCheck) -> None:
    out.heading(f"{garage.sets[check.set].name} at the gate", "trigger each wheel, other wheels a metre away")
    rows = [(e.corner.value, garage.wheels[e.wheel].name, _expected(e)) for e in check.expected]
    out.table(("corner", "wheel", "should send"), rows)


def _expected(e: Expected) -> str:
    if not e.speaks:
        return "nothing: it has no sensor, or is noted as giving no answer"
    return " or ".join(e.ids) or "its ID is not known yet: note it"


def _show(out: Teller, garage: Garage, check: GateCheck) -> None:
    out.heading(f"{garage.sets[check.set].name} at the gate", "as written" if check.passed else "NOT as written")
    out.table(("ID read", "", "corner", "wheel"), [_row(out, garage, a) for a in check.answers], whole=(0,))
    for wheel in check.silent:
        out.line(f"no answer: {garage.wheels[wheel].name}", indent=2)
    out.findings(check.findings)


def _row(out: Teller, garage: Garage, a: Answer) -> tuple[str, str, str, str]:
    wheel = garage.wheels[a.wheel].name if a.wheel else ""
    whose = f" ({garage.sets[a.set].name})" if a.set and a.verdict is not AtGate.HERE else ""
    return a.text, out.speech.text(a.verdict) + whose, a.corner.value if a.corner else "", wheel
