"""A set before it is bought as a screen: several side by side, or one in full."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.fit.compare import Candidate, Ranking
from wheelside.fit.price import Bill, each_said, needs_said, seasons_said
from wheelside.fit.report import Fit
from wheelside.fit.verdict import QUESTIONS, SIGNS, Question, Verdict
from wheelside.fit.verdict import Line as FitLine
from wheelside.garage.model import Garage
from wheelside.jobs.wheelset.fit import ASKED
from wheelside.said import Figure, Joined, Named, Said, count, listed, say
from wheelside.screens.screen import (
    Block,
    Cell,
    Look,
    Screen,
    Section,
    Sentence,
    ShownRow,
    ShownTable,
    Verdicts,
    rows,
    to_know,
)
from wheelside.units import Money

_FINE = (Verdict.FITS, Verdict.NO_MATTER)


def ranking_screen(garage: Garage, ranking: Ranking) -> Screen:
    """The sets for one car, the best first."""
    columns = (
        say("car"), say("set"), say("verdict"), say("rim"), say("tyre"), say("radio"), say("needs"), say("all in all"),
        say("seasons left"), say("a season"),
    )  # fmt: skip
    candidates = tuple(ShownRow(_candidate(garage, one)) for one in ranking.candidates)
    blocks: list[Block] = [ShownTable(columns, candidates, right=(7,), big=2, cards=True, on_cards=(0,))]
    if ranking.more:
        blocks.append(Sentence(say("{n} more are not shown.", n=ranking.more), Look.SOFT))
    signs = listed((_signed(v) for v in Verdict if v is not Verdict.NO_MATTER), Joined.COMMA)
    blocks.append(Sentence(say("{signs}", signs=signs), Look.SOFT))
    heading = say("Sets for {car}", car=garage.cars[ranking.car].name)
    return Screen(heading, (Section("ranking", None, tuple(blocks)),), say("the best first"))


def _candidate(garage: Garage, one: Candidate) -> tuple[Cell, ...]:
    verdicts, car = dict(one.verdicts), garage.cars[one.car].name
    name = Named("set", one.set, garage.sets[one.set].name)
    signs = (SIGNS[verdicts[q]] for q in QUESTIONS)
    bill = one.bill
    return (car, name, one.verdict, *signs, needs_said(bill), _price(bill.total), seasons_said(bill), each_said(bill))


def _signed(verdict: Verdict) -> Said:
    return say("{sign} {verdict}", sign=SIGNS[verdict], verdict=verdict)


def _price(money: Money | None) -> Cell:
    return say("no price") if money is None else money


def fit_screen(garage: Garage, report: Fit) -> Screen:
    """One report in full: the verdict first, then what to find out, the money, and every line."""
    name = say("The set asked about") if report.set == ASKED else say("{set}", set=garage.sets[report.set].name)
    car = garage.cars[report.car].name
    heading = say("{set} on {car}: {verdict}", set=name, car=car, verdict=report.verdict)
    as_of = "as of {day}; against its own rims as noted"
    if report.present:
        as_of = "as of {day}; against {present}, which is on it"
    present = garage.sets[report.present].name if report.present else ""
    parts = [
        _to_measure(report), _bill(report.bill), *(part for q, v in report.verdicts for part in _question(report, q, v)),
        *_trials(report), *to_know(report.notes, say("To know")),
    ]  # fmt: skip
    return Screen(heading, tuple(parts), say(as_of, day=report.day, present=present))


def _question(report: Fit, question: Question, verdict: Verdict) -> Iterator[Section]:
    """Its lines, those that fit behind those that want something."""
    lines = report.of(question)
    fine = tuple(line for line in lines if line.verdict in _FINE)
    rest = tuple(line for line in lines if line not in fine)
    heading = say("{question}: {verdict}", question=question, verdict=verdict)
    yield Section(question.value, heading, (Verdicts(rest or fine),))
    if rest and fine:
        heading = count(len(fine), "{n} line that fits", "{n} lines that fit")
        yield Section(f"{question.value}-fits", heading, (Verdicts(fine),), folded=True)


def _to_measure(report: Fit) -> Section:
    """What this offer leaves open, then what no advertisement shows, on every wheel."""
    lines = [Sentence(_measured(line)) for line in report.to_measure]
    for one in report.looks:
        lines += [Sentence(say("□ On every wheel: {how}", how=one.how)), Sentence(one.means, Look.SOFT, deeper=True)]
    return Section("to-measure", say("To find out at the seller's, or before"), tuple(lines))


def _measured(line: FitLine) -> Said:
    said = "□ {title}, {corners}: {way}" if line.corners else "□ {title}: {way}"
    corners = listed((corner.value for corner in line.corners), Joined.COMMA)
    return say(said, title=line.title, corners=corners, way=line.way_out.said if line.way_out else "")


def _trials(report: Fit) -> Iterator[Section]:
    if report.trials:
        grid = ShownTable((say("what you see"), say("what it means")), rows((t.seen, t.means) for t in report.trials))
        yield Section("trials", say("With the trigger at each wheel"), (grid,))


def _bill(bill: Bill) -> Section:
    given: list[tuple[Cell, ...]] = [(say("asked"), _price(bill.asked), "")]
    for need in bill.needs:
        basis = listed((b.said for b in need.basis), Joined.SEMICOLON)
        given.append((say("{n} × {part}", n=need.count, part=need.part), need.money, basis))
    if bill.minutes:
        given.append((say("{n} min of your time", n=Figure(bill.minutes, 0)), bill.time, ""))
    seasons = say("each season 1 mm for 5,000 to 10,000 km; 6 to 10 years")
    given += [
        (say("all in all"), _price(bill.total), ""),
        (say("seasons left, by tread and age"), seasons_said(bill), seasons),
        (say("a season"), each_said(bill), ""),
    ]
    blocks: list[Block] = [ShownTable(("", "", say("rests on")), rows(given), right=(1,))]
    if bill.off.amount:
        worth = "Sensors to be bought make {off} of that: as much less is the set worth to you."
        blocks.append(Sentence(say(worth, off=bill.off)))
    return Section("bill", say("What it comes to"), tuple(blocks))
