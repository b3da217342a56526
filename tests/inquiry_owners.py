"""Invented owners: what each knows, what each errs in, and the garage file that each would have written by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from wheelside.garage.file import complaints_of
from wheelside.inquiry.course import always, answered, besides, opening_query
from wheelside.inquiry.draft import Table
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Errand, Given, Occasion, Query
from wheelside.inquiry.rating import Weighed, best, rated
from wheelside.jobs.work.starting import car_of

DAY = date(2026, 11, 30)
MOST = 60
Knows = Mapping[str, Given]
UNKNOWN: Given = {"pick": DONT_KNOW}


@dataclass
class Told:
    """A conversation as it went: each question with what was answered, those of the last leg apart, and the garage that came of it."""

    table: Table = field(default_factory=lambda: {"wheelside": 1})
    asked: list[str] = field(default_factory=list)
    besides: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


def said(knows: Knows, query: Query) -> Given:
    """What an owner answers: what is known by the longest beginning of the question's code."""
    fitting = [code for code in knows if query.code.startswith(code)]
    return knows[max(fitting, key=len)] if fitting else UNKNOWN


def converse(knows: Knows, errand: Errand = Errand.WHEELS, *, errs: Knows | None = None, day: date = DAY) -> Told:
    """The whole conversation. `errs`: what is answered at first, and has to be refused."""
    told = Told()
    wrong, weighed = dict(errs or {}), Weighed()
    for _ in range(MOST):
        query, leg = upcoming(told.table, errand, day, weighed)
        if query is None:
            return told
        told.asked.append(query.code)
        if leg == "besides":
            told.besides.append(query.code)
        for code in [code for code in wrong if query.code.startswith(code)]:
            try:
                answered(told.table, query.code, wrong.pop(code), Occasion(day))
            except AnswerRefused:
                told.refused.append(query.code)
        given = said(knows, query)
        if given.get("pick") == DONT_KNOW and query.unknown is None:
            raise AssertionError(f"{query.code} can't be answered by not knowing")
        told.table = answered(told.table, query.code, given, Occasion(day))
    raise AssertionError(f"it does not end: {told.asked}")


def upcoming(table: Table, errand: Errand, day: date, weighed: Weighed) -> tuple[Query | None, str]:
    """The next question, all weighed, and which leg it is of."""
    garage, _ = complaints_of(table)
    car = car_of(garage, "")
    first = opening_query(garage, car, day, errand)
    if first is not None:
        return first, "opening"
    assert car is not None
    must = next(always(garage, car, day, errand), None)
    if must is not None:
        return must, "always"
    return best(rated(table, tuple(besides(garage, car, day, errand)), day, errand, weighed=weighed)), "besides"
