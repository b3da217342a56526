"""wheelside gauge: four figures in a minute, and what they say."""

from __future__ import annotations

import re
import sys

import click

from wheelside.cli.conversation import Conversation
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.inquiry.query import AnswerRefused
from wheelside.jobs.book.desk import Desk, open_desk, usual_book
from wheelside.jobs.book.kept import clock_of
from wheelside.jobs.work.gauging import (
    GAUGE,
    OUTSIDE,
    Came,
    GaugeCard,
    HowRead,
    gauge_card,
    keep_gauging,
    tyres_of_card,
)
from wheelside.jobs.work.mornings import mornings_asked
from wheelside.jobs.work.starting import Asker
from wheelside.jobs.work.tyres import losing, tyres_now
from wheelside.screens.tyres import corners_said, headline
from wheelside.speech.speech import Speech

_FIGURE = re.compile(r"-|\d+([.,]\d+)?\s*(bar|psi|kPa)?", re.IGNORECASE)


@click.command("gauge")
@click.argument("words", nargs=-1, metavar="[BOOK] [FIGURES]")
@click.option("--car", default="", help="The car's id; the first one where it is not given.")
@click.option("--set", "wheel_set", default="", help="A set that is put away, by its id, in place of a car.")
@click.option("--outside", default="", help="How cold it is outside, or where the set lies, such as 8C.")
@click.option("--driven", is_flag=True, help="The tyres are warm: driven two kilometres or more within three hours.")
@click.option("--dash", is_flag=True, help="The figures are off the car's display.")
@click.option("--gauge", default="", help="The gauge's id or name; the one used last where it is not given.")
@click.option("--as-it-is", is_flag=True, help="Keep odd figures: they really read so.")
def command(
    words: tuple[str, ...], car: str, wheel_set: str, outside: str, driven: bool, dash: bool, gauge: str, as_it_is: bool
) -> int:
    """Four pressures in a minute: front left, front right, rear left, rear right. Says at once what they mean.

    Without FIGURES it asks for them; where nobody can be asked, it says what is known. '-' leaves a corner out. Without BOOK, the one
    in the usual place.
    """
    named = bool(words) and not _FIGURE.fullmatch(words[0])
    book, figures = (words[0], words[1:]) if named else (str(usual_book()), words)
    if not named and not usual_book().exists():
        raise BadRequest("there is no book yet: begin with 'wheelside start', or name one", expected="a book")
    desk, _ = open_desk(book)
    try:
        noticed = clock_of(desk)
        if noticed is not None:
            echo(f"wheelside: {Speech().text(noticed)}", err=True)
        return _gauged(
            desk,
            (car, wheel_set),
            figures,
            {OUTSIDE: outside, GAUGE: gauge},
            driven=driven,
            dash=dash,
            as_it_is=as_it_is,
        )
    finally:
        desk.close()


def _gauged(
    desk: Desk,
    of: tuple[str, str],
    figures: tuple[str, ...],
    more: dict[str, str],
    *,
    driven: bool,
    dash: bool,
    as_it_is: bool,
) -> int:
    out, card = Teller(desk.loaded().garage.units.choice), gauge_card(desk, *of)
    asks = not figures and sys.stdin.isatty()
    if asks:
        out.line(f"{card.name}: check in a minute. Enter leaves a corner out.", style="bold")
        figures = tuple(input(f"{w.corner.value} ({w.name}): ").strip() or "-" for w in card.wheels)
        more[OUTSIDE] = more[OUTSIDE] or input("outside: " if card.car is not None else "where it lies: ").strip()
    if figures and any(f != "-" for f in figures):
        typed = {**_by_corner(card, figures), **{k: v for k, v in more.items() if v}}
        typed.setdefault(GAUGE, card.gauge)
        try:
            how = HowRead(driven, Came.DASH if dash else Came.GAUGE, as_it_is)
            keep_gauging(desk, of[0], typed, how, set_id=of[1], via="command")
        except AnswerRefused as error:
            told = "; ".join(f"{gap}: {text}" if gap else text for gap, text in error.wrong.items())
            raise BadRequest(
                f"nothing was kept. {told}", found=" ".join(figures)[:60], expected="pressures such as 2.4"
            ) from error
    found = show_tyres(out, desk, card)
    return _mornings(out, desk, card, found, asks=asks)


def _mornings(out: Teller, desk: Desk, card: GaugeCard, found: int, *, asks: bool) -> int:
    """How cold mornings are, where the lamp's days hang on it: asked where somebody is asked, and told once more with the answer; else named."""
    garage = desk.loaded().garage
    query = mornings_asked(garage, tyres_now(desk, car=card.car.id), card.car.id) if card.car is not None else None
    if query is None:
        return found
    out.blank()
    if not asks:
        out.line("One answer could change the lamp's days; without figures the command asks it:", style="dim")
        out.line(out.speech.text(query.title), style="dim", indent=2)
        return found
    out.line("One answer could change the lamp's days; q leaves it open.", style="dim")
    if not Conversation(out, Asker(desk), input).ask_one(query) or not desk.loaded().garage.climate:
        return found
    out.blank()
    return show_tyres(out, desk, card)


def _by_corner(card: GaugeCard, figures: tuple[str, ...]) -> dict[str, str]:
    if len(figures) > len(card.wheels):
        there = ", ".join(w.corner.value for w in card.wheels) or "none"
        raise BadRequest(
            f"{len(figures)} figures for {len(card.wheels)} wheels: {there}", found=str(len(figures)), expected=there
        )
    return {w.key: f for w, f in zip(card.wheels, figures, strict=False) if f != "-"}


def show_tyres(out: Teller, desk: Desk, card: GaugeCard) -> int:
    """What is said of the tyres of a car or a set: the answer first, then a line a wheel. 1 where something is to be done."""
    (tyres, _), today = tyres_of_card(desk, card), desk.clock().day
    corner = {w.wheel: w.corner.value for w in card.wheels}
    first, then = headline(tyres, today)
    grave, text = losing(tyres), out.speech.text
    out.line(f"{'▲ ' if grave else ''}{text(first)}", style="bold")
    for line in then:
        out.line(text(line), indent=2)
    rows = [
        (
            corner.get(c.wheel, ""),
            c.name,
            text(c.reads) if c.reads is not None else "",
            text(c.says) if c.reads is not None else "not read yet",
        )
        for c in corners_said(tyres, today)
    ]
    if rows:
        out.table(("", "", "", ""), rows, right=(2,), whole=(0, 1, 2))
    return int(bool(grave))
