"""A set before it is bought, the answer first: what must not be, the verdict, what it comes to, what to find out and to get."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wheelside.fit.compare import Candidate, Ranking
from wheelside.fit.price import Bill, each_said, needs_said
from wheelside.fit.report import Fit
from wheelside.fit.verdict import SIGNS, Verdict
from wheelside.fit.verdict import Line as FitLine
from wheelside.garage.model import Garage
from wheelside.jobs.wheelset.fit import ASKED
from wheelside.said import Joined, Key, Said, listed, say
from wheelside.screens.screen import Look, Screen, Section, Sentence, brief_part


def ranking_first(garage: Garage, ranking: Ranking) -> Screen:
    """The sets for one car, the best first, each in two lines."""
    heading = say("Sets for {car}, the best first:", car=garage.cars[ranking.car].name)
    lines = [Sentence(heading, Look.STRONG)]
    for one in ranking.candidates:
        lines += _candidate(garage, one)
    if ranking.more:
        lines.append(Sentence(say("{n} more are not shown.", n=ranking.more), Look.SOFT))
    return Screen(heading, (brief_part("answer", None, *lines),))


def _candidate(garage: Garage, one: Candidate) -> Iterator[Sentence]:
    head = "{sign} {set}: {verdict}. {price}"
    name, price = garage.sets[one.set].name, _price(one.bill)
    yield Sentence(say(head, sign=SIGNS[one.verdict], set=name, verdict=one.verdict, price=price))
    if one.bill.needs:
        yield Sentence(say("It wants {needs}.", needs=needs_said(one.bill)), Look.SOFT, deeper=True)


def _price(bill: Bill) -> Said:
    if bill.total is None:
        return say("No price is noted.")
    return say("{total} all in all, {each} a season.", total=bill.total, each=each_said(bill))


def fit_first(garage: Garage, report: Fit) -> Screen:
    """One set: all that forbids it, its verdict and price, then what to find out at the seller's and what to get."""
    name = say("The set asked about") if report.set == ASKED else say("{set}", set=garage.sets[report.set].name)
    heading = say("{set} on {car}: {verdict}.", set=name, car=garage.cars[report.car].name, verdict=report.verdict)
    stops = [line for line in report.lines if line.verdict is Verdict.NOT]
    asks, parts = report.to_measure, [line for line in report.lines if line.verdict is Verdict.WITH_PART]
    answer = [Sentence(heading, Look.STRONG), Sentence(_price(report.bill), Look.STRONG)]
    if report.bill.off.amount:
        worth = "Without its sensors it is worth {off} less to you."
        answer.append(Sentence(say(worth, off=report.bill.off), Look.STRONG))
    shown = (
        _some("must-not", say("Leave it"), _alike(stops, way=False)),
        brief_part("answer", None, *answer),
        _some("to-measure", say("Find out"), _alike(asks, way=True)),
        _some("parts", say("Get"), _alike(parts, way=False)),
        _some(
            "looks",
            say("On every wheel, at the seller's"),
            () if stops else (say("□ {how}", how=one.how) for one in report.looks),
        ),
    )
    return Screen(heading, tuple(part for part in shown if part.blocks))


def _some(code: str, heading: Said, lines: Iterable[Said]) -> Section:
    return brief_part(code, heading, *map(Sentence, lines))


def _alike(lines: Iterable[FitLine], *, way: bool) -> Iterator[Said]:
    """What is so, or what to do about it, once for all corners."""
    alike: dict[object, list[FitLine]] = {}
    for line in lines:
        said = line.way_out.said if way and line.way_out else line.text
        alike.setdefault((line.code, said.pattern, *(v for _, v in said.values if not isinstance(v, Key))), []).append(
            line
        )
    for same in alike.values():
        one, corners = same[0], [corner for line in same for corner in line.corners]
        said = one.way_out.said if way and one.way_out else one.text
        where = listed([c.value for c in corners], Joined.COMMA) if corners and len(corners) < _ALL else ""
        head = "{sign} {title} ({where}): {said}" if where else "{sign} {title}: {said}"
        yield say(head, sign=SIGNS[one.verdict], title=one.title, where=where, said=said)


_ALL = 4
