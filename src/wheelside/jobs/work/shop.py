"""The shop's note of a job, for the tyre shop that changes sensors, and the link by which the shop sees it and answers."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from dataclasses import dataclass

from wheelside.book.shop_links import ShopLink, add_shop_link, end_shop_links, shop_link_of, shop_links_out
from wheelside.errors import BadRequest, NotThere
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.doing import Doing, doing_in, take_claims
from wheelside.said import Said
from wheelside.sensor.ident import PrintForm, SensorId
from wheelside.sheet.answers import ReadAnswer, read_answer
from wheelside.sheet.ask import Asked, Tells
from wheelside.sheet.claim import Claim
from wheelside.sheet.start import PlannedWheel
from wheelside.sheet.step import Does, Step
from wheelside.units.moment import US_PER_S

THE_SHOP = "the shop"
"""The person of every answer that comes by a link."""
LINK_LASTS_S = 7 * 86_400
"""A link counts for seven days, and never longer than its job."""
MOST_ANSWERS = 20
"""How often one link may answer: enough to correct oneself, too little to fill a book."""


@dataclass(frozen=True, slots=True)
class ShopWheel:
    """One wheel that goes to the shop. `id`: that of its new sensor as it is read aloud, or as it was noted where it can be read in
    several ways; '' while it is not noted. `decimal`: the same in decimal, where it is clear. `has_sensor`: whether an old one comes out."""

    name: str
    id: str
    decimal: str
    has_sensor: bool


@dataclass(frozen=True, slots=True)
class ShopNote:
    """What the shop is asked to do, and the step that its answers are for. It says nothing of the owner, the car or other wheels.

    `please`: what it is asked for, in a line. `wheels`: those whose sensors are changed; `lines`: what else it is told.
    """

    day: str
    step: Step
    please: str
    wheels: tuple[ShopWheel, ...]
    lines: tuple[Said | str, ...] = ()


_ASKED = {
    Does.CHANGE_SENSORS: "change the sensor in {}",
    Does.SHOP_SWAPS: "change the wheels",
    Does.CHANGE_TYRE: "change the tyre or the valve of {}",
}
"""Steps that a shop does, and what it is asked for there."""


def shop_note(now: Doing) -> ShopNote | None:
    """The note of a job; None where a shop does nothing in it."""
    steps = [s.step for s in now.states if s.step.does in _ASKED]
    if not steps:
        return None
    wheels = tuple(one for s in steps if s.does is Does.CHANGE_SENSORS for one in _changed(now, s))
    lines = tuple(line for s in steps if s.does is not Does.CHANGE_SENSORS for line in s.what)
    please = " and ".join(_ASKED[s.does] for s in steps)
    names = ", ".join(w.name for w in wheels) or next(
        (w.name for w in now.start.wheels if w.wheel == now.start.sheet.about), ""
    )
    return ShopNote(str(now.start.day), steps[0], please.format(names), wheels, lines)


def _changed(now: Doing, step: Step) -> Iterator[ShopWheel]:
    """The wheels whose sensors are changed at a step."""
    planned = {w.wheel: w for w in now.start.wheels}
    noted = {a.ask.wheel: a for a in _noted(now)}
    for a in step.asks:
        if a.kind is Asked.ID and a.wheel in planned:
            yield _wheel(planned[a.wheel], a.wanted, noted.get(a.wheel))


def _wheel(wheel: PlannedWheel, wanted: SensorId | None, noted: ReadAnswer | None) -> ShopWheel:
    one = wanted or (noted.id if noted is not None else None)
    shown = one.aloud() if one is not None else noted.said if noted is not None else ""
    return ShopWheel(wheel.name, shown, one.aloud(PrintForm.DECIMAL) if one else "", wheel.sensor is not None)


def _noted(now: Doing) -> Iterator[ReadAnswer]:
    """The IDs that were read of new sensors on the bench."""
    on_bench = [s for s in now.states if s.counts and s.step.does in (Does.NOTE_BOUGHT, Does.READ_BACK)]
    read = (a for s in on_bench for a in s.answers if a.ask.tells is Tells.READ_BACK)
    return (a for a in read if a.id is not None or a.readings)


def note_in(now: Doing) -> ShopNote:
    """The note of a job. Raises NotThere where a shop does nothing in it."""
    note = shop_note(now)
    if note is None:
        raise NotThere("no shop does anything in this job, so there is no note for one", found=now.row.id[:40])
    return note


def new_shop_link(desk: Desk, job: str) -> tuple[ShopLink, str]:
    """A link for the shop and its token, of 256 random bits; an earlier link of the job ends. Raises BadRequest where the job has
    ended, NotThere, Outside."""
    token, at = secrets.token_urlsafe(32), desk.clock()
    link = ShopLink(secrets.token_hex(6), job, at.us + LINK_LASTS_S * US_PER_S)
    with desk.book.quietly() as conn:
        now = doing_in(conn, job)
        note_in(now)
        if not now.open:
            raise BadRequest("this job has ended, and with it what a shop could answer", expected="a job under way")
        add_shop_link(conn, link, token, at)
    return link, token


def end_shop_link(desk: Desk, job: str) -> None:
    """Ends the link of a job, where one is out. Raises Outside."""
    with desk.book.quietly() as conn:
        end_shop_links(conn, job, desk.clock())


def links_out(desk: Desk) -> tuple[ShopLink, ...]:
    """Every link that counts now. Raises Outside."""
    with desk.book.reading() as conn:
        return shop_links_out(conn, desk.clock())


@dataclass(frozen=True, slots=True)
class AtTheShop:
    """What a link leads to: the job's note, and what the shop has answered by this link, read; `answers` is empty where nothing."""

    link: ShopLink
    now: Doing
    note: ShopNote
    answers: tuple[ReadAnswer, ...]


def at_the_shop(desk: Desk, token: str) -> AtTheShop | None:
    """What the link with a token leads to; None where it does not count, or counts no more. Raises Outside."""
    with desk.book.reading() as conn:
        link = shop_link_of(conn, token, desk.clock())
        now = doing_in(conn, link.job) if link is not None else None
    note = shop_note(now) if now is not None else None
    if link is None or now is None or note is None:
        return None
    said = {a.ask: a for k in _answered(now, link)[-1:] for a in k.answers}
    read = tuple(read_answer(ask, said.get(ask.id), now.start.units) for ask in note.step.asks) if said else ()
    return AtTheShop(link, now, note, read)


def _answered(now: Doing, link: ShopLink) -> list[Claim]:
    """What came by a link so far."""
    return [k.claim for k in now.claims if k.claim.device == link.id]


def take_shop_answers(desk: Desk, here: AtTheShop, claim: Claim) -> None:
    """Keeps what the shop answers, as evidence of its job. Raises BadRequest where it has answered too often, Outside."""
    if len(_answered(here.now, here.link)) >= MOST_ANSWERS:
        raise BadRequest(f"this link has answered {MOST_ANSWERS} times: ask for a new one", expected="a new link")
    take_claims(desk, here.link.job, [claim], via="shop link")
