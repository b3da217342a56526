"""Before buying: should this wheel set go on this car; offers noted, bought and let go; what a VIN says."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import quote

from fastapi import Depends, Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.declared.read import Complaint
from wheelside.errors import BadRequest, BadText
from wheelside.fit.compare import Ranking
from wheelside.fit.report import Fit
from wheelside.fit.verdict import Verdict
from wheelside.garage.model import Garage
from wheelside.garage.offers import WHOLE, Offer, offers
from wheelside.garage.rows import NAMED
from wheelside.jobs.wheelset.fit import judged
from wheelside.jobs.wheelset.offer import OfferRefused, buy, let_go, note_offer
from wheelside.jobs.wheelset.vin import VinRead, vin_says
from wheelside.screens.fit import fit_screen, ranking_screen
from wheelside.screens.fit_first import fit_first
from wheelside.screens.screen import Screen
from wheelside.units import UnitChoice
from wheelside.web.drawn_fit import hubs_of, radii_of, speedometer_of
from wheelside.web.entry import Field, body_of, fields_of
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page, person_of, see
from wheelside.web.route import pages

router = pages()


@dataclass(frozen=True, slots=True)
class FitPage:
    """Comparisons, or one report with its drawings; `why_not` says what is lacking for either.

    `first`: the answer of that report; `judged`: its set, by id.
    """

    frame: PageFrame
    units: UnitChoice
    cars: tuple[tuple[str, str], ...]
    sets: tuple[tuple[str, str], ...]
    chosen: tuple[str, str]
    rankings: tuple[Screen, ...]
    first: Screen | None
    screen: Screen | None
    judged: str
    on_offer: bool
    refused: bool
    hubs: tuple[Markup, ...]
    radii: tuple[Markup, ...]
    speedometer: Markup
    why_not: str
    day: date


@router.get("/fit")
def fit_page(request: Request, car: str = "", set: str = "") -> Response:  # noqa: A002  the word of the address
    """One set on one car, or all sets on offer side by side."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    rankings: tuple[Ranking, ...] = ()
    reports: tuple[Fit, ...] = ()
    why_not = ""
    try:
        found = judged(garage, today, car or None, set or None)
        rankings, reports = found.rankings, found.reports
    except BadRequest as error:
        why_not = _lacking(garage, error)
    report = reports[0] if len(reports) == 1 else None
    units = garage.units.choice
    lying = report.lying if report else ()
    return page(
        "fit.html",
        FitPage(
            frame=frame_of(request, "/fit"),
            units=units,
            cars=tuple((c.id, c.name) for c in garage.car),
            sets=tuple(
                (s.id, f"{s.name}{' (on offer)' if s.on_offer else ''}")
                for s in sorted(garage.set, key=lambda s: not s.on_offer)
            ),
            chosen=(car or (report.car if report else ""), set or (report.set if report else "")),
            rankings=() if report else tuple(ranking_screen(garage, one) for one in rankings),
            first=fit_first(garage, report) if report else None,
            screen=fit_screen(garage, report) if report else None,
            judged=report.set if report else "",
            on_offer=report is not None and garage.sets[report.set].on_offer,
            refused=report is not None and report.verdict is Verdict.NOT,
            hubs=hubs_of(lying, units),
            radii=radii_of(lying, units),
            speedometer=speedometer_of(lying, garage.cars[report.car], units) if report else Markup(),
            why_not=why_not,
            day=today,
        ),
    )


def _lacking(garage: Garage, error: BadRequest) -> str:
    """What is lacking, in the words of the pages."""
    if not garage.car:
        return "No car is noted yet: a set is judged for a car."
    return "No set is on offer. Note one below, or choose one of yours." if not offers(garage) else error.message


@dataclass(frozen=True, slots=True)
class OfferPage:
    """The form for four wheels on offer."""

    frame: PageFrame
    name: str
    sensors: str
    parts_of: tuple[tuple[str, tuple[Field, ...]], ...]
    sensor_words: tuple[tuple[str, str], ...]
    trouble: tuple[str, ...]


_TABLES = (("set", "The offer"), ("rim", "Rims"), ("tyre", "Tyres"), ("sensor", "Sensors"))
_NOT_ASKED = {
    "id",
    "from",
    "wheels",
    "on_offer",
    "sold",
    "scrapped",
    "gone",
    "kept_at",
    "written",
    "not_known",
    "goes_on",
}
_FIRST = {"set": ("label", "price"), "tyre": ("designation", "date_code", "tread", "season", "max_pressure"),
          "rim": ("width_in", "inset", "bolt_circle", "centre_bore", "seat", "max_load"),
          "sensor": ("band", "family", "answers", "sends")}  # fmt: skip
SENSORS = (("unknown", "not known"), ("there", "there, as below"), ("none", "none"))


@router.get("/fit/offer")
def offer_form(request: Request) -> Response:
    """An empty form."""
    return _offer_form(request, "", {}, "unknown", (), ())


def _offer_form(
    request: Request,
    name: str,
    bodies: dict[str, Any],
    sensors: str,
    trouble: Iterable[str],
    complaints: Iterable[Complaint],
) -> Response:
    garage = desk_of(request).loaded().garage
    ids = {kind: tuple((r.id, r.name) for r in getattr(garage, kind)) for kind in NAMED}
    wrong = tuple(complaints)
    parts = tuple((title, _fields(kind, bodies.get(kind, {}), ids, wrong)) for kind, title in _TABLES)
    shown = OfferPage(frame_of(request, "/fit"), name, sensors, parts, SENSORS, tuple(trouble))
    return page("offer.html", shown, 422 if shown.trouble else 200)


def _fields(kind: str, body: dict[str, Any], ids: Any, complaints: tuple[Complaint, ...]) -> tuple[Field, ...]:
    mine = tuple({c.path[2:]: c for c in complaints if c.path[:1] == (kind,)}.values())
    fields = [f for f in fields_of(kind, body, ids, mine) if f.name not in _NOT_ASKED]
    first = _FIRST[kind]
    fields.sort(key=lambda f: first.index(f.name) if f.name in first else len(first))
    return tuple(_of_four(f, kind) for f in fields)


def _of_four(f: Field, kind: str) -> Field:
    """The field under its table's name; one that may differ between wheels is a text that can hold several."""
    if kind != "set" and f.name not in WHOLE and f.control == "text":
        f = dataclasses.replace(f, doc=f"{f.doc} {_SEVERAL}" if f.name in _FIRST[kind] else f.doc)
    return dataclasses.replace(f, name=f"{kind}.{f.name}")


_SEVERAL = "One for all, front; rear, or all four with ; between."


@router.post("/fit/offer")
def keep_offer(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Keeps the offer and shows whether it fits."""
    sensors = form.get("sensors", "unknown")
    bodies = {kind: body_of(kind, form.starting(f"f.{kind}.")) for kind, _ in _TABLES}
    name = form.get("name")
    if sensors == "none" and bodies["sensor"]:
        trouble = ("You chose that there are no sensors, and filled in what they are: take one of both out.",)
        return _offer_form(request, name, bodies, sensors, trouble, ())
    there = {"note": "said to be in it"} if sensors == "there" else {}
    sensor = None if sensors == "none" else bodies["sensor"] or there
    offer = Offer(name, bodies["set"], bodies["rim"], bodies["tyre"], sensor)
    try:
        note_offer(desk_of(request), offer, person=person_of(request))
    except OfferRefused as refused:
        lines = (
            f"{c.path[-1]}: found {c.found}, expected {c.expected}" + (f"; {c.suggestion}" if c.suggestion else "")
            for c in refused.complaints
        )
        return _offer_form(
            request, name, bodies, sensors, dict.fromkeys(str(line) for line in lines), refused.complaints
        )
    except BadRequest as error:
        return _offer_form(request, name, bodies, sensors, (error.message,), ())
    return see(f"/fit?set={quote(offer.name)}")


@router.post("/fit/bought")
def bought(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """The set is the owner's now."""
    set_id = form.get("set")
    buy(desk_of(request), set_id, person=person_of(request))
    return see(f"/things/set/{quote(set_id)}")


@router.post("/fit/let-go")
def gone(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """The offer is taken out of the book."""
    let_go(desk_of(request), form.get("set"), person=person_of(request))
    return see("/fit")


@dataclass(frozen=True, slots=True)
class VinPage:
    """What a number says. The number itself is not on it."""

    frame: PageFrame
    read: VinRead | None
    trouble: str


@router.post("/fit/vin")
def vin(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Answers about a number, and forgets it: it came in the body, not in an address that is written down."""
    read, trouble = None, ""
    try:
        read = vin_says(form.get("vin"), desk_of(request).clock().day)
    except BadText as error:
        trouble = error.message
    return page("vin.html", VinPage(frame_of(request, "/fit"), read, trouble), 422 if trouble else 200)
