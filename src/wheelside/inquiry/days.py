"""When a set goes on, and where the one that is off is kept."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta

from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.inquiry.draft import Table, TableDraft, unknown
from wheelside.inquiry.opening import HOME, STORE
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Gap, Given, Occasion, Pick, Query
from wheelside.said import Said, say

SPRING, AUTUMN = (4, 1), (10, 15)
"""When wheels are taken to go back on, month and day, where nobody has said. Judgement; shown with each answer."""
SATURDAY, EARLY = 5, timedelta(days=28)


def when_query(car: Car, coming: WheelSet, day: date) -> Query:
    """When a set goes on its car."""
    saturday, later = _saturday(day), turn(coming.id, day)
    soon = (
        Pick("today", say("Today")),
        Pick("saturday", say("On Saturday, {day}", day=saturday), _until(coming, saturday)),
    )
    turned = (Pick("season", say("When the season turns, {day}", day=later), _until(coming, later)),) if later else ()
    picks = (*turned, *soon, Pick("day", say("On another day")))
    return Query(
        f"when/{car.id}/{coming.id}",
        say("When does {set} go on?", set=coming.name),
        picks,
        (Gap("day", say("another day"), "", "", "", "day"),),
        None,
        say("Then the plan is for what is on now."),
        alone=("season", "today", "saturday"),
    )


def _until(coming: WheelSet, since: date) -> Said | None:
    off = back(coming.id, since)
    return say("off again on {day}, unless you say otherwise", day=off) if off is not None else None


def turn(set_id: str, day: date) -> date | None:
    """The day on which a set usually goes on, where a day is out of its season by more than `EARLY`; else None."""
    month = {"Winter": AUTUMN, "Summer": SPRING}.get(set_id.split(maxsplit=1)[0])
    if month is None:
        return None
    coming = next(d for year in (day.year, day.year + 1) if (d := date(year, *month)) > day)
    off = back(set_id, date(coming.year - 1, *month))
    return coming if coming - day > EARLY and off is not None and off <= day else None


def _saturday(day: date) -> date:
    """The next one, a week on from a Saturday."""
    return day + timedelta(days=(SATURDAY - day.weekday() - 1) % 7 + 1)


def back(set_id: str, since: date) -> date | None:
    """The day on which the other set goes back on; None for wheels of all seasons."""
    month = {"Winter": SPRING, "Summer": AUTUMN}.get(set_id.split(maxsplit=1)[0])
    if month is None:
        return None
    this = date(since.year, *month)
    return this if this > since else date(since.year + 1, *month)


def answer_when(draft: TableDraft, rest: str, given: Given, now: Occasion) -> None:
    """Puts the season line of a car and its two sets in."""
    day = now.day
    car_id, _, coming = rest.rpartition("/")
    pick = given.get("pick", "")
    if pick == DONT_KNOW:
        unknown(draft.row("set", coming), "when")
        return
    since = _day(pick, given, day, turn(coming, day))
    stays = draft.rows("stay")
    seen = [s["set"] for s in draft.rows("seen") if s.get("on") == car_id and s.get("set")]
    on = seen[-1] if seen else next((s["set"] for s in stays if s.get("on") == car_id), None)
    place = next((s.get("at") for s in stays if s["set"] == coming and s.get("at")), STORE)
    stays[:] = [s for s in stays if s["set"] not in (on, coming)]
    until = back(coming, since)
    stays += _line(coming, car_id, str(place), day, since, until, begins_on=False)
    if on is not None:
        stays += _line(str(on), car_id, str(place), day, since, until, begins_on=True)


def _day(pick: str, given: Given, day: date, turned: date | None) -> date:
    if pick == "today":
        return day
    if pick == "saturday":
        return _saturday(day)
    if pick == "season" and turned is not None:
        return turned
    if pick != "day":
        raise AnswerRefused({"": "pick one of the answers"})
    typed = given.get("day", "").strip()
    german = re.fullmatch(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})", typed)
    try:
        found = date(*(int(n) for n in reversed(german.groups()))) if german else date.fromisoformat(typed)
    except ValueError:
        raise AnswerRefused({"day": "write the day as year-month-day, such as 2026-12-05"}) from None
    if found < day:
        raise AnswerRefused({"day": "that day is gone: what is on the car now goes before it"})
    return found


def _line(
    name: str, car: str, place: str, day: date, since: date, until: date | None, *, begins_on: bool
) -> Iterator[Table]:
    """The stays of one set: where it is before the change, and after it, year by year where it goes back."""
    here, there = ({"on": car}, {"at": place}) if begins_on else ({"at": place}, {"on": car})
    yearly = {"yearly": True} if until is not None else {}
    if until is None:
        if day < since:
            yield {"set": name, **here, "since": day, "until": since}
        yield {"set": name, **there, "since": since}
        return
    yield {"set": name, **here, "since": date(until.year - 1, until.month, until.day), "until": since, **yearly}
    yield {"set": name, **there, "since": since, "until": until, **yearly}


def kept_query(garage: Garage, car: Car) -> Iterator[Query]:
    """Whether the car hears the place where a set is kept."""
    if car.stands_at is None or STORE not in garage.places:
        return
    if frozenset((car.stands_at, STORE)) in garage.paths or "kept" in garage.places[STORE].not_known:
        return
    picks = (
        Pick("near", say("Near the car"), say("a garage, a shed, the cellar beneath: the car may hear them")),
        Pick("far", say("Far away"), say("at a shop, in another street: out of earshot")),
    )
    yield Query(
        f"kept/{car.id}",
        say("Where are the wheels kept that are not on {car}?", car=car.name),
        picks,
        (),
        say("A wheel that sends can be heard some tens of metres away, through walls of wood or brick."),
        say("Then they are taken to be heard."),
    )


def answer_kept(draft: TableDraft, car_id: str, given: Given, _now: Occasion) -> None:
    """Puts the path between car and store in."""
    pick = given.get("pick", "")
    place = draft.row("place", STORE, label="Where wheels are kept")
    if pick == DONT_KNOW:
        unknown(place, "kept")
        return
    if pick not in ("near", "far"):
        raise AnswerRefused({"": "pick one of the answers"})
    stands = draft.row("car", car_id).get("stands_at") or HOME
    draft.row("place", stands)
    draft.rows("path").append({"between": [stands, STORE], "heard": "yes" if pick == "near" else "no"})
