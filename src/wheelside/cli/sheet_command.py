"""wheelside sheet: the cards of the next change of wheels."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

import click

from wheelside.cli import options
from wheelside.cli.asked import show_asked, show_one_more
from wheelside.cli.output import echo
from wheelside.cli.sheet_markdown import sheet_markdown
from wheelside.cli.sheet_paper import SITTINGS, Paper, paper_of, refusals
from wheelside.cli.sheet_pdf import sheet_pdf
from wheelside.cli.sheet_text import WIDEST, PaperLine, in_full, one_card, one_sitting, refused, short
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.jobs.jsonform import document
from wheelside.jobs.source import write_whole
from wheelside.jobs.work.sheet import Sheeted, sheet_for
from wheelside.screens.tyres import BesideAsk, beside_asks
from wheelside.sheet.extent import Extent
from wheelside.sheet.step import RunSheet


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
    type=click.Choice([p.value for p in Extent if not p.changes and not p.of_one_wheel]),
    help="One part of the work, for the set that is on the car now.",
)
@click.option("--flat", metavar="WHEEL", help="This wheel is flat: by its name, or its corner, as 'rear left'.")
@click.option("--new-tyre", metavar="WHEEL", help="This wheel gets a new tyre or valve.")
@click.option("--shop-swaps", is_flag=True, help="The shop changes the wheels, and you check.")
@click.option("--sitting", type=click.Choice(list(SITTINGS)), help="The cards of one sitting alone.")
@click.option("--card", "card_key", metavar="NAME", help="One card in full, also one that is only called for.")
@click.option("--full", is_flag=True, help="Everything: how, why, what if not, the evidence level, all that is found.")
@click.option("--markdown", is_flag=True, help="Print everything as Markdown, with boxes to tick.")
@click.option("--pdf", type=options.FILE, help="Write the cards as a PDF for the wall, to be filled in by hand.")
@options.ask
@options.as_json
def command(
    where: str, day: date | None, wears: tuple[tuple[str, str], ...], now: bool, car: str | None, wheel_set: str | None, hot: bool, load: str | None,
    plan_file: Path | None, no_save: bool, only: str | None, flat: str | None, new_tyre: str | None,
    shop_swaps: bool, sitting: str | None, card_key: str | None, full: bool, markdown: bool,
    pdf: Path | None, ask: bool, json_out: bool, **said: Any,
) -> int:  # fmt: skip
    """The cards of the next change of wheels, sitting by sitting, and the evidence each asks for."""
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
        extent=_extent(only, flat, new_tyre, shop_swaps=shop_swaps),
        about=flat or new_tyre or "",
    )
    if json_out:
        echo(
            document(
                "sheet",
                garage=made.planned.garage.title,
                forbidden=made.forbidden,
                sheet=made.sheet,
                saved_in=made.planned.saved_in,
            ),
            nl=False,
        )
        return int(bool(made.forbidden))
    if made.sheet is None:
        show_made(Teller(made.planned.garage.units.choice), made)
        return int(bool(made.forbidden))
    garage, says = made.planned.garage, _says(made, made.sheet)
    paper = paper_of(garage, made.sheet, says)
    if pdf is not None:
        _write_pdf(pdf, paper)
    elif markdown:
        echo(sheet_markdown(garage, made.sheet, says), nl=False)
    else:
        out = Teller(garage.units.choice)
        show_asked(out, garage, made.planned.plan.day)
        out.lines(_chosen(paper, min(WIDEST, out.width), sitting=sitting, card=card_key, full=full))
        if ask:
            show_one_more(out, where, "wheels", car=made.sheet.car, day=day)
    return int(bool(made.forbidden))


def _extent(only: str | None, flat: str | None, new_tyre: str | None, *, shop_swaps: bool) -> Extent:
    """What the sheet is to be for. Raises BadRequest where two things are asked for at once."""
    asked = [
        extent
        for extent, wanted in (
            (Extent.FLAT, flat), (Extent.WHEEL, new_tyre), (Extent.SHOP, shop_swaps), (Extent(only or Extent.ALL), only),
        )
        if wanted
    ]  # fmt: skip
    if len(asked) > 1:
        raise BadRequest("--only, --flat, --new-tyre, --shop-swaps: one of them at a time.")
    return asked[0] if asked else Extent.ALL


def _chosen(paper: Paper, width: int, *, sitting: str | None, card: str | None, full: bool) -> Iterable[PaperLine]:
    """The lines that are asked for. Raises BadRequest where the sheet has no such sitting or card."""
    if card is not None:
        cards = {one.key: one for one in (*(c for p in paper.parts for c in p.cards), *paper.called_for)}
        if card not in cards:
            raise BadRequest(
                f"--card {card}: this sheet has none of that name. It has: {', '.join(cards)}.", found=card
            )
        return one_card(cards[card], width)
    if sitting is not None:
        own = [part for part in paper.parts if part.sitting is SITTINGS[sitting]]
        if not own:
            has = [name for name, one in SITTINGS.items() if any(p.sitting is one for p in paper.parts)]
            raise BadRequest(
                f"--sitting {sitting}: this sheet has no such sitting. It has: {', '.join(has)}.", found=sitting
            )
        return one_sitting(paper, own, width)
    return in_full(paper, width) if full else short(paper, width)


def _says(made: Sheeted, sheet: RunSheet) -> dict[str, BesideAsk]:
    """What is said of the tyres whose pressures a sheet asks for, by wheel."""
    wheels = {w for step in sheet.steps for w in step.gauged}
    said = made.planned.tyres
    return beside_asks(said.tyres if said is not None else (), wheels, made.planned.plan.day)


def _write_pdf(file: Path, paper: Paper) -> None:
    write_whole(file, sheet_pdf(paper), "the PDF")
    echo(f"{file} is for the wall.")


def show_made(out: Teller, made: Sheeted) -> None:
    """The cards, or why there are none."""
    if made.sheet is None:
        out.lines(refused(refusals(made.planned.garage, made.forbidden), min(WIDEST, out.width)))
    else:
        paper = paper_of(made.planned.garage, made.sheet, _says(made, made.sheet))
        out.lines(short(paper, min(WIDEST, out.width)))
