"""What every page stands in: links, the browser's ticket, and how a page is drawn from its context."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from wheelside.errors import Mendable, Outside
from wheelside.finding import Basis, Way
from wheelside.fit.verdict import SIGNS
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.kept import Visitor
from wheelside.jobs.work.starting import Asker
from wheelside.said import Begun, Said, say
from wheelside.sheet.cautions import in_full
from wheelside.sheet.option import option_of
from wheelside.sheet.title import called_in, said_title
from wheelside.speech.speech import Speech
from wheelside.speech.together import together
from wheelside.units import UnitChoice
from wheelside.web import cards
from wheelside.web.claims import kept_as
from wheelside.web.figures import short_curve
from wheelside.web.guard import Manners, ticket_for
from wheelside.web.packed import Seen, packed
from wheelside.web.stepview import dots
from wheelside.web.wording import for_pages, on_page

if TYPE_CHECKING:
    from jinja2 import Environment

_HERE = Path(__file__).parent
LINKS = (("/", "Now"), ("/jobs", "Job"), ("/air", "Pressures"), ("/things", "Cars"))
"""The four tabs: at the bottom of a phone, at the top of a desk."""
MORE = (
    ("/plan", "ID plan"),
    ("/fit", "Before buying"),
    ("/facts", "Your answers"),
    ("/settings", "Settings"),
)
"""What stands under 'Cars' on a phone, and beside the tabs on a desk."""


@cache
def stamp() -> str:
    """A word that changes whenever a file of `static` does."""
    digest = hashlib.sha256()
    for path in sorted((_HERE / "static").iterdir()):
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:12]


@dataclass(frozen=True, slots=True)
class AskedSet:
    """A set that is taken to be on a car, though the day of its change has come and nobody has said: ids with their names."""

    car: str
    car_name: str
    on: str
    on_name: str
    coming: str
    coming_name: str
    due: date | None


@dataclass(frozen=True, slots=True)
class PageFrame:
    """What a page knows of the browser that asks for it."""

    here: str
    inside: bool
    ticket: str
    person: str
    stamp: str
    links: tuple[tuple[str, str], ...] = LINKS
    more: tuple[tuple[str, str], ...] = MORE
    short: bool = False
    asked: tuple[AskedSet, ...] = ()
    units: UnitChoice = field(default_factory=UnitChoice)


@cache
def templates() -> Environment:
    """The templates, each of which fails where it names what its context does not have."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    made = Environment(
        loader=PackageLoader("wheelside.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.filters["basis_text"] = _basis
    made.filters["way"] = _way
    made.filters["grouped"] = together
    made.filters["sign"] = SIGNS.__getitem__
    made.filters["for_pages"] = for_pages
    made.filters["said"] = _said
    made.filters["cell"] = on_page
    made.filters["begun"] = _begun
    made.filters["called"] = _called
    made.filters["short_curve"] = short_curve
    made.filters["kept_as"] = kept_as
    made.filters["in_full"] = in_full
    made.filters["gist"] = cards.gist
    made.filters["calls"] = cards.calls
    made.filters["in_tiles"] = cards.in_tiles
    made.filters["in_one_tap"] = cards.in_one_tap
    made.filters["by_the_dash"] = cards.by_the_dash
    made.filters["written"] = cards.written
    made.filters["beside_it"] = cards.beside_it
    made.filters["the_four"] = cards.the_four
    made.filters["lead"] = cards.lead
    made.filters["tells_found"] = cards.tells_found
    made.filters["care_once"] = cards.once
    made.filters["care_each"] = cards.each
    made.filters["packed"] = packed
    made.globals["no_rows"] = Seen
    made.filters["dots"] = dots
    made.filters["lower_first"] = _lower_first
    return made


def _said(value: object, units: UnitChoice | None = None) -> Markup:
    """What is said, in words; a text that is an answer's code, in that answer's words. Facts that it names are links."""
    return on_page((option_of(value) or value) if isinstance(value, str) else value, units or UnitChoice())


def _begun(value: Said, units: UnitChoice | None = None) -> Markup:
    """What is said, where it begins a line."""
    return _said(say("{said}", said=Begun(value)), units)


def _lower_first(text: str) -> str:
    """A text within a line: 'photo of the dash'; 'ID that it sends' stays."""
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def _way(way: Way | None, units: UnitChoice | None = None) -> Markup:
    """A way out; nothing where there is none."""
    return _said(way.said, units) if way is not None else Markup("")


def _basis(basis: Basis, units: UnitChoice | None = None) -> Markup:
    return _said(basis.said, units)


def _called(kept: str) -> str:
    """What a job is called, from how the book keeps it."""
    return Speech().text(said_title(called_in(kept)))


def frame_of(request: Request, here: str = "", *, short: bool = False, asks: bool = True) -> PageFrame:
    """The frame for a request. `short`: without links and without what is asked; `asks` False: with links alone."""
    visitor = visitor_of(request)
    ticket = ticket_for(request.state.token) if visitor else ""
    asked = tuple(_asked(desk_of(request))) if visitor and here and asks and not short else ()
    return PageFrame(
        here, visitor is not None, ticket, visitor.person if visitor else "", stamp(), short=short, asked=asked,
        units=_units(request) if visitor else UnitChoice(),
    )  # fmt: skip


def _units(request: Request) -> UnitChoice:
    """How figures are read here; as usual where the book can't be read, for its pages have to say so."""
    try:
        return desk_of(request).loaded().garage.units.choice
    except (Mendable, Outside):
        return UnitChoice()


def _asked(desk: Desk) -> Iterator[AskedSet]:
    now = desk.present()
    for one in now.open:
        if one.assumed and one.going is not None:
            cars, sets = now.garage.cars, now.garage.sets
            yield AskedSet(
                one.car, cars[one.car].name, one.going, sets[one.going].name, one.coming, sets[one.coming].name, one.due
            )


def visitor_of(request: Request) -> Visitor | None:
    """The browser that asks."""
    visitor: Visitor | None = getattr(request.state, "visitor", None)
    return visitor


def person_of(request: Request) -> str:
    """Who holds the browser that asks; its label where nobody is named."""
    visitor = visitor_of(request)
    return (visitor.person or visitor.label) if visitor else ""


def desk_of(request: Request) -> Desk:
    """The desk that this server works at."""
    desk: Desk = request.app.state.desk
    return desk


def asker_of(request: Request) -> Asker:
    """The conversations of the book that this server works at."""
    asker: Asker = request.app.state.asker
    return asker


def own_address(address: str, otherwise: str) -> str:
    """A page of ours to go back to, as an address or a form names it; `otherwise` for anything else."""
    plain = address.startswith("/") and not address.startswith("//") and "\\" not in address
    return address if plain and address.isprintable() else otherwise


def manners_of(request: Request) -> Manners:
    """How this server is reached."""
    manners: Manners = request.app.state.manners
    return manners


def page(template: str, context: Any, status: int = 200) -> Response:
    """A page drawn from its context, a frozen dataclass."""
    return HTMLResponse(part(template, context), status)


def part(template: str, context: Any) -> Markup:
    """A template drawn from its context, a frozen dataclass."""
    values = {f.name: getattr(context, f.name) for f in dataclasses.fields(context)}
    return Markup(templates().get_template(template).render(values))  # noqa: S704  templates escape what they are given


def see(address: str) -> Response:
    """Sends the browser to another page, after a form."""
    return Response(status_code=303, headers={"location": address})


@dataclass(frozen=True, slots=True)
class TroublePage:
    """The page for what went wrong, or is not there."""

    frame: PageFrame
    title: str
    lines: tuple[str, ...]
    back: str


def outside_page(text: str) -> Response:
    """The page for a browser that was not let in."""
    frame = PageFrame("", inside=False, ticket="", person="", stamp=stamp())
    return page("trouble.html", TroublePage(frame, "Not connected", (text,), ""), 401)
