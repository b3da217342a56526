"""wheelside fit: should this wheel set go on this car."""

from __future__ import annotations

import sys
from datetime import date

import click

from wheelside.cli import options
from wheelside.cli.asked import show_asked, show_one_more
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.fit.verdict import Verdict
from wheelside.jobs.jsonform import document
from wheelside.jobs.wheelset.fit import Judged, judge, offer_said
from wheelside.jobs.wheelset.vin import VinRead, vin_says
from wheelside.screens.fit import fit_screen, ranking_screen
from wheelside.screens.fit_first import fit_first, ranking_first


@click.command("fit")
@options.garage
@options.on_day
@click.option("--car", metavar="CAR", help="The car; every car by default.")
@click.option(
    "--set", "wheel_set", metavar="SET", help="The wheel set, yours or on offer; every set on offer by default."
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
@click.option("--full", is_flag=True, help="Show each line with what it rests on, and what each thing costs.")
@options.ask
@options.as_json
def command(
    where: str, day: date | None, car: str | None, wheel_set: str | None, rim: tuple[str, ...], tyre: tuple[str, ...],
    sensor: tuple[str, ...], price: str | None, ask_vin: bool, full: bool, ask: bool, json_out: bool,
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
    if ask and asked:
        raise BadRequest(
            "--ask is for a set that is noted: 'wheelside fit' alone says what to measure of the one described",
            found="--ask",
        )
    offer = offer_said(rim, tyre, sensor, price) if asked else None
    vin = vin_says(_asked_number()) if ask_vin else None
    if vin is not None and not json_out:
        _show_vin(Teller(), vin)
    said = judge(where, day=day, car=car, wheel_set=wheel_set, offer=offer)
    if json_out:
        echo(
            document(
                "fit", garage=said.garage.title, day=said.day, vin=vin, rankings=said.rankings, reports=said.reports
            ),
            nl=False,
        )
    else:
        out = Teller(said.garage.units.choice)
        show_asked(out, said.garage, said.day)
        show_judged(out, said, full=full)
        if ask:
            for report in said.reports:
                show_one_more(out, where, "used", car=report.car, wheel_set=report.set, day=day)
    return int(any(r.verdict is Verdict.NOT for r in said.reports))


def _asked_number() -> str:
    """The number, typed unseen or from standard input: never an argument, which others could read and shells keep."""
    if sys.stdin.isatty():
        text: str = click.prompt("Vehicle identification number (not shown, not kept)", hide_input=True, err=True)
        return text
    return sys.stdin.readline()


def show_judged(out: Teller, said: Judged, *, full: bool) -> None:
    """Comparison and reports as text; the answers alone where not in `full`."""
    several = not said.reports or len(said.reports) > 1
    if full:
        for ranking in said.rankings if several else ():
            out.screen(ranking_screen(said.garage, ranking))
        for report in said.reports:
            out.screen(fit_screen(said.garage, report))
        return
    for n, ranking in enumerate(said.rankings if several else ()):
        if n:
            out.blank()
        out.parts(ranking_first(said.garage, ranking).parts)
    for n, report in enumerate(said.reports):
        if n or several:
            out.blank()
        out.parts(fit_first(said.garage, report).parts)
    more = ("--set SET (one of them)  ", "") if several else ("", "  --ask")
    out.blank()
    out.line(f"More: {more[0]}--full (what fits, what each line rests on, what each thing costs){more[1]}", "dim")


def _show_vin(out: Teller, vin: VinRead) -> None:
    out.heading("Vehicle identification number", "read, and not kept")
    for line in vin.lines:
        out.line(line, indent=2)
    out.line(f"rests on {'; '.join(out.speech.text(b.said) for b in vin.basis)}", style="dim", indent=2)
