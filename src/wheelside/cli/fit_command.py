"""wheelside fit: should this wheel set go on this car."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from datetime import date

import click

from wheelside.cli import options
from wheelside.cli.asked import show_asked
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.fit.compare import Ranking
from wheelside.fit.price import Bill, each_said, needs_said, seasons_said
from wheelside.fit.report import Fit
from wheelside.fit.verdict import QUESTIONS, SIGNS, Line, Verdict
from wheelside.garage.model import Garage
from wheelside.jobs.jsonform import document
from wheelside.jobs.wheelset.fit import ASKED, Judged, judge, offer_said
from wheelside.jobs.wheelset.vin import VinRead, vin_says
from wheelside.units import Money, UnitChoice


@click.command("fit")
@options.garage
@options.on_day
@click.option("--car", metavar="CAR", help="The car; every car if left out.")
@click.option(
    "--set", "wheel_set", metavar="SET", help="The wheel set, yours or on offer; every set on offer if left out."
)
@click.option(
    "--rim",
    multiple=True,
    metavar="KEY=VALUE",
    help="What is read off the rims of a set that is not noted, as in 'inset=46 mm'.",
)
@click.option(
    "--tyre", multiple=True, metavar="KEY=VALUE", help="The same for its tyres, as in 'designation=205/55 R16 91V'."
)
@click.option(
    "--sensor",
    multiple=True,
    metavar="KEY=VALUE",
    help="The same for its sensors, as in 'band=315 MHz'; 'none' where there are none.",
)
@click.option("--price", metavar="MONEY", help="What is asked for that set.")
@click.option(
    "--vin",
    "ask_vin",
    is_flag=True,
    help="Ask for a vehicle identification number and say what it tells; it is not kept.",
)
@options.as_json
def command(
    where: str, day: date | None, car: str | None, wheel_set: str | None, rim: tuple[str, ...], tyre: tuple[str, ...],
    sensor: tuple[str, ...], price: str | None, ask_vin: bool, json_out: bool,
) -> int:  # fmt: skip
    """Should this wheel set go on this car, before the money changes hands.

    Rim, tyre and radio are judged apart, each line with what it rests on; what is not known is to be measured at the seller's.
    """
    asked = bool(rim or tyre or sensor)
    if asked and wheel_set:
        raise BadRequest(
            "--set names a set that is noted, and --rim, --tyre and --sensor describe another: say one of both",
            found=wheel_set,
        )
    if price and not asked:
        raise BadRequest(
            "--price is for a set that --rim, --tyre or --sensor describe; note that of a [[set]] as its 'price'",
            found=price,
        )
    offer = offer_said(rim, tyre, sensor, price) if asked else None
    vin = vin_says(_asked_number()) if ask_vin else None
    if vin is not None and not json_out:
        _show_vin(Teller(), vin)
    said = judge(where, day=day, car=car, wheel_set=wheel_set, offer=offer)
    if json_out:
        click.echo(
            document(
                "fit", garage=said.garage.title, day=said.day, vin=vin, rankings=said.rankings, reports=said.reports
            ),
            nl=False,
        )
    else:
        out = Teller(said.garage.units.choice)
        show_asked(out, said.garage, said.day)
        show_judged(out, said)
    return int(any(r.verdict is Verdict.NOT for r in said.reports))


def _asked_number() -> str:
    """The number, typed unseen or from standard input: never an argument, which others could read and shells keep."""
    if sys.stdin.isatty():
        text: str = click.prompt("Vehicle identification number (not shown, not kept)", hide_input=True, err=True)
        return text
    return sys.stdin.readline()


def show_judged(out: Teller, said: Judged) -> None:
    """Comparison and reports as text."""
    if not said.reports or len(said.reports) > 1:
        for ranking in said.rankings:
            show_ranking(out, said.garage, ranking)
    for report in said.reports:
        show_fit(out, said.garage, report)


def _show_vin(out: Teller, vin: VinRead) -> None:
    out.heading("Vehicle identification number", "read, and not kept")
    for line in vin.lines:
        out.line(line, indent=2)
    out.line(f"rests on {'; '.join(out.speech.text(b.said) for b in vin.basis)}", style="dim", indent=2)


def show_ranking(out: Teller, garage: Garage, ranking: Ranking) -> None:
    """The sets for one car, the best first."""
    units = garage.units.choice
    out.heading(f"Sets for {garage.cars[ranking.car].name}", "the best first")
    rows = []
    for one in ranking.candidates:
        verdicts = dict(one.verdicts)
        rows.append(
            (
                garage.sets[one.set].name,
                out.speech.text(one.verdict),
                *(f"{SIGNS[verdicts[q]]}" for q in QUESTIONS),
                out.speech.text(needs_said(one.bill)),
                _money(units, one.bill.total),
                out.speech.text(seasons_said(one.bill)),
                out.speech.text(each_said(one.bill)),
            )
        )
    out.table(
        ("set", "verdict", "rim", "tyre", "radio", "needs", "all in all", "seasons left", "a season"), rows, right=(6,)
    )
    if ranking.more:
        out.line(f"{ranking.more} more are not shown.", style="dim", indent=2)
    out.line("✓ fits   + fits with a part   ? not known: measure   ✕ does not fit", style="dim", indent=2)
    out.line("For one in full: --set and --car.", style="dim", indent=2)


def _money(units: UnitChoice, money: Money | None) -> str:
    return units.show_money(money) if money else "no price"


def show_fit(out: Teller, garage: Garage, report: Fit) -> None:
    """One report in full."""
    name = "The set asked about" if report.set == ASKED else garage.sets[report.set].name
    against = (
        f"against {garage.sets[report.present].name}, which is on it"
        if report.present
        else "against its own rims as noted"
    )
    out.heading(
        f"{name} on {garage.cars[report.car].name}: {out.speech.text(report.verdict)}", f"as of {report.day}; {against}"
    )
    for question, verdict in report.verdicts:
        out.blank()
        out.line(f"{out.speech.text(question)}: {out.speech.text(verdict)}", style="bold", indent=2)
        _show_lines(out, report.of(question))
    _show_visit(out, report)
    _show_bill(out, garage.units.choice, report.bill)
    out.findings(report.notes)


def _show_lines(out: Teller, lines: Iterable[Line]) -> None:
    for line in sorted(lines, key=lambda one: one.verdict in (Verdict.FITS, Verdict.NO_MATTER)):
        at = f" ({', '.join(line.corners)})" if line.corners else ""
        out.line(
            f"{SIGNS[line.verdict]} {out.speech.text(line.title)}{at}: {out.speech.text(line.verdict)}. {out.speech.text(line.text)}",
            indent=4,
        )
        if line.way_out:
            out.line(f"→ {out.speech.way(line.way_out)}", indent=6)
        out.line(f"rests on {'; '.join(out.speech.text(b.said) for b in line.basis)}", style="dim", indent=6)


def _show_visit(out: Teller, report: Fit) -> None:
    if report.to_measure:
        out.heading("To find out at the seller's", "or before")
        for line in report.to_measure:
            at = f", {', '.join(line.corners)}" if line.corners else ""
            out.line(f"□ {out.speech.text(line.title)}{at}: {out.speech.way(line.way_out)}", indent=2)
    if report.trials:
        out.heading("With the trigger at each wheel", "and what it means")
        out.table(
            ("what you see", "what it means"),
            [(out.speech.text(t.seen), out.speech.text(t.means)) for t in report.trials],
        )


def _show_bill(out: Teller, units: UnitChoice, bill: Bill) -> None:
    out.heading("What it comes to")
    rows = [("asked", _money(units, bill.asked), "")]
    rows += [
        (
            f"{n.count} × {out.speech.text(n.part)}",
            units.show_money(n.money),
            "; ".join(out.speech.text(b.said) for b in n.basis),
        )
        for n in bill.needs
    ]
    if bill.minutes:
        rows.append((f"{units.number(bill.minutes, 0)} min of your time", units.show_money(bill.time), ""))
    rows.append(("all in all", _money(units, bill.total), ""))
    rows.append(
        (
            "seasons left, by tread and age",
            out.speech.text(seasons_said(bill)),
            "each season 1 mm for 5,000 to 10,000 km; 6 to 10 years",
        )
    )
    rows.append(("a season", out.speech.text(each_said(bill)), ""))
    out.table(("", "", "rests on"), rows, right=(1,))
    if bill.off.amount:
        out.line(
            f"Sensors to be bought make {units.show_money(bill.off)} of that: as much less is the set worth to you.",
            indent=2,
        )
