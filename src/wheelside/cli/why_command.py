"""wheelside why: the lamp is on, what is it, and what to do first."""

from __future__ import annotations

import click

from wheelside.cli import options
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.inquiry.lamp import LOOK as LOOK_QUERY
from wheelside.inquiry.lamp import lamp_advice
from wheelside.jobs.book.desk import Desk, open_desk, usual_book
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.why_evidence import KnownCase, known_of
from wheelside.jobs.work.why_next import LOOK, WhyTurn, said_from, why_turn
from wheelside.said import say
from wheelside.screens.why import LOW, WhyAct, act_said, basis_said, causes_said, likely_said, said_back
from wheelside.sheet import cautions
from wheelside.sheet.cautions import Caution
from wheelside.why.gate import AIR, FirstGate


@click.command("why")
@click.argument("words", nargs=-1, metavar="[BOOK] [ANSWERS]")
@click.option("--car", default="", help="The car's id; the first one where it is not given.")
@click.option(
    "--without", "struck", multiple=True, metavar="NAME", help="Does not count: a thing that is known, by its name."
)
@click.option(
    "--all", "everything", is_flag=True, help="Show everything that is still possible, and why this comes next."
)
@options.as_json
def command(words: tuple[str, ...], car: str, struck: tuple[str, ...], everything: bool, json_out: bool) -> int:
    """The tyre lamp is on: what is most likely, and what to do first.

    What you see is given as ANSWERS, such as look=no lamp-at-start=flashes; it says which there are. Nothing of them is kept: give them all
    again with the next one. What the book knows counts already. Without BOOK, the one in the usual place.
    """
    named = bool(words) and "=" not in words[0]
    book, answers = (words[0], words[1:]) if named else (str(usual_book()), words)
    if not named and not usual_book().exists():
        raise BadRequest("there is no book yet: begin with 'wheelside start', or name one", expected="a book")
    desk, _ = open_desk(book)
    try:
        options.look_at_clock(desk)
        case = known_of(desk, car)
        said = said_from(case, [*map(_pair, answers), *(("not", one) for one in struck)], strict=True)
        turn = why_turn(case, said)
        if json_out:
            echo(_document(desk, case, turn), nl=False)
        else:
            _tell(
                Teller(desk.loaded().garage.units.choice),
                desk,
                case,
                turn,
                words[:1] if named else (),
                everything=everything,
            )
    finally:
        desk.close()
    return int(turn.gate is FirstGate.SHUT)


def _pair(word: str) -> tuple[str, str]:
    name, sign, value = word.partition("=")
    if not sign:
        raise BadRequest(f"'{word[:40]}' is no answer", found=word[:40], expected="such as look=no")
    return name, value


def _document(desk: Desk, case: KnownCase, turn: WhyTurn) -> str:
    step, found = turn.step, turn.belief
    return document(
        "why",
        garage=desk.loaded().garage.title,
        car=case.car.id,
        day=case.day,
        gate=turn.gate,
        stops=[t.wheel for t in case.stopping],
        known=[
            {"name": k.code, "text": k.said, "on": k.on, "counts": k in turn.counted, "outcomes": k.outcomes,
             "contexts": k.contexts, "excluded": k.excluded}
            for k in case.known
        ],
        said={LOOK: turn.said.look, **turn.said.answers} if turn.said.look else dict(turn.said.answers),
        next=None if step is None else {"test": step.test, "cures": step.cures, "forced": step.forced, "saves": turn.saves, "tells": turn.tells},
        ways=None if step is None or step.best is None else step.best.ways,
        causes=None if found is None else found.causes,
        nothing=None if found is None else found.nothing,
    )  # fmt: skip


def _tell(out: Teller, desk: Desk, case: KnownCase, turn: WhyTurn, book: tuple[str, ...], *, everything: bool) -> None:
    text = out.speech.text
    if turn.gate is FirstGate.SHUT:
        _stop(out, case)
    elif turn.gate is FirstGate.ASK:
        out.line(text(say("{car}. {title}", car=case.car.name, title=LOOK_QUERY.title)), style="bold")
        if LOOK_QUERY.where is not None:
            out.line(text(LOOK_QUERY.where), indent=2)
        out.line(f"▲ {cautions.in_full(Caution.LAMP)}", style="yellow")
        out.blank()
        out.table(("", ""), [(f"{LOOK}={p.code}", text(p.words)) for p in LOOK_QUERY.picks], whole=(0,))
    else:
        _next(out, desk, case, turn, everything=everything)
    if turn.gate is FirstGate.SHUT:
        return
    if turn.counted:
        out.blank()
        out.line("Counted already", style="bold")
        out.table(("", ""), [(k.code, text(k.said)) for k in turn.counted], whole=(0,))
    out.blank()
    given = {**({LOOK: turn.said.look} if turn.said.look else {}), **turn.said.answers}
    words = ["wheelside why", *book, "--car", case.car.id, *(f"--without {one}" for one in turn.said.struck)]
    out.line(" ".join(["Answer:", *words, *(f"{k}={v}" for k, v in given.items()), "…"]), style="dim")
    out.line("More: --all (everything still possible)   --without NAME (does not count)", style="dim")


def _stop(out: Teller, case: KnownCase) -> None:
    text, advice = out.speech.text, lamp_advice({})
    out.line(f"■ {text(advice.do)}", style="bold red")
    for tyre in case.stopping:
        reads = tyre.says.reads
        what = say("looks flat") if reads is None or tyre.says.flat else say("read {reads} last", reads=reads)
        out.line(text(say("{wheel} {what}. If that is mended, gauge it again.", wheel=tyre.name, what=what)), indent=2)
    out.line(text(advice.because), indent=2)
    out.line(f"▲ {cautions.in_full(Caution.ROADSIDE)}", style="yellow")
    for line in advice.then:
        out.line(text(line), indent=2)


def _next(out: Teller, desk: Desk, case: KnownCase, turn: WhyTurn, *, everything: bool) -> None:
    text, garage = out.speech.text, desk.loaded().garage
    act = act_said(garage, case, turn)
    if act is None:
        return
    if turn.low:
        out.line(f"▲ {text(LOW)}", style="yellow")
    out.line(
        text(say("First: {title}", title=act.title) if act.test else say("Try: {title}", title=act.title)), style="bold"
    )
    out.line(text(say("{likely} It takes {takes}.", likely=likely_said(case, turn), takes=act.takes)), indent=2)
    if act.cautions:
        out.line(f"▲ {' '.join(one.words for one in act.cautions)}", style="yellow")
    if turn.said.answers:
        out.blank()
        out.line("You said", style="bold")
        out.table(("", "", ""), [(c, text(w), text(a)) for c, w, a in said_back(case, turn.said)], whole=(0,))
    out.blank()
    _options(out, act, case)
    for line in act.then:
        out.line(text(line), indent=2)
    if everything:
        _all(out, case, turn, act)


def _options(out: Teller, act: WhyAct, case: KnownCase) -> None:
    text = out.speech.text
    if act.test == AIR:
        out.line(f"With figures: wheelside gauge --car {case.car.id} 2.3 2.3 2.2 2.2")
    rows = [(f"{act.test}={o.code}", text(o.words), text(o.then) if o.then is not None else "") for o in act.options]
    if rows:
        out.table(("", "", ""), rows, whole=(0,))


def _all(out: Teller, case: KnownCase, turn: WhyTurn, act: WhyAct) -> None:
    text = out.speech.text
    out.blank()
    out.line("Why this comes next", style="bold")
    for line in act.why:
        out.line(text(line), indent=2)
    out.blank()
    out.line("Still possible", style="bold")
    out.table(("", ""), [(text(words), text(share)) for _, words, share in causes_said(case, turn)], right=(1,))
    out.line(text(basis_said()), style="dim")
