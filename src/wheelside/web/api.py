"""The HTTP API: the same jobs as the pages, as JSON, under the same rules."""

from __future__ import annotations

import json
from collections.abc import Callable, Coroutine
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Header, HTTPException, Path, Query, Request
from fastapi.routing import APIRoute
from pydantic import BaseModel, ConfigDict, Field
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from wheelside.declared.kinds import ByCorner, Kind, ListOf, Rows, Shape
from wheelside.declared.read import spoken
from wheelside.errors import BadRequest, NotThere
from wheelside.identity.plan import Reasons
from wheelside.jobs.book import kept
from wheelside.jobs.book.edit import fact_of, facts_of, try_save
from wheelside.jobs.book.kept import JobRow, Row
from wheelside.jobs.car.visit import records
from wheelside.jobs.jsonform import plain
from wheelside.jobs.work.agenda import agenda
from wheelside.jobs.work.doing import begin, doing, take_claims
from wheelside.jobs.work.finish import finish, proof_of
from wheelside.jobs.work.photo import take_photo
from wheelside.sheet.extent import Extent
from wheelside.sheet.title import called_in, said_title
from wheelside.speech.speech import Speech
from wheelside.web.claims import ClaimsIn, ErrorOut, ProgressOut, ReceivedOut, claim_of, progress_out
from wheelside.web.entry import shape_of
from wheelside.web.form import check_ticket
from wheelside.web.frame import desk_of, person_of, visitor_of

ERRORS: dict[int | str, dict[str, Any]] = {
    400: {"model": ErrorOut, "description": "It can't be done so."},
    401: {"model": ErrorOut, "description": "Not connected."},
    403: {"model": ErrorOut, "description": "Sent by another site, or without the browser's ticket."},
    404: {"model": ErrorOut, "description": "Not there."},
    409: {"model": ErrorOut, "description": "Somebody else has changed it meanwhile, or something forbids it."},
    413: {"model": ErrorOut, "description": "Too large."},
    422: {"model": ErrorOut, "description": "It can't be read."},
    503: {"model": ErrorOut, "description": "The book can't be reached."},
}


def ticketed(request: Request, x_wheelside_ticket: Annotated[str, Header()] = "") -> None:
    """A browser names its ticket with every change; a program its token."""
    check_ticket(request, x_wheelside_ticket)


class PlainRoute(APIRoute):
    """Refuses JSON whose text no book can keep: with NUL or halves of signs in it."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        handler = super().get_route_handler()

        async def checked(request: Request) -> Response:
            if "json" in request.headers.get("content-type", ""):
                refuse_odd_text(await request.body())
            return await handler(request)

        return checked


def refuse_odd_text(body: bytes) -> None:
    """Raises BadRequest where a JSON text holds NUL, a half of a sign, or a number that JSON does not have."""
    try:
        text = json.dumps(json.loads(body), ensure_ascii=False, allow_nan=False)
        text.encode()
    except UnicodeEncodeError as error:
        raise BadRequest("there is half of a sign in the text: send whole ones", expected="Unicode text") from error
    except RecursionError as error:
        raise BadRequest("that is nested too deep", expected="JSON of a few levels") from error
    except ValueError:
        return  # no JSON at all, or NaN within: told by the reader of the body
    if "\\u0000" in text:
        raise BadRequest("there is a NUL in the text: leave it out", expected="text without NUL")


router = APIRouter(responses=ERRORS, route_class=PlainRoute)
writes = [Depends(ticketed)]
Key = Annotated[str, Path(max_length=200)]


class JobIn(BaseModel):
    """Which job to begin; both left out for the one that is due."""

    model_config = ConfigDict(extra="forbid")
    car: str | None = Field(None, max_length=80)
    set: str | None = Field(None, max_length=80)
    extent: Extent = Field(
        Extent.ALL, description="Everything, or one part of the work on the set that is on the car now."
    )
    wheel: str = Field(
        "", max_length=80, description="For work on one wheel: its id, its name, or its corner, as 'rear left'."
    )


class JobOut(BaseModel):
    """One job."""

    id: str
    title: str
    day: date
    begun: str
    outcome: str | None
    ended: str | None


def _job(row: JobRow) -> JobOut:
    return JobOut(
        id=row.id, title=Speech().text(said_title(called_in(row.title))), day=date.fromisoformat(row.day), begun=row.begun.iso(), outcome=row.outcome,
        ended=row.ended.iso() if row.ended else None,
    )  # fmt: skip


@router.get("/jobs")
def list_jobs(request: Request) -> list[JobOut]:
    """Every job, newest first."""
    return [_job(row) for row in kept.all_jobs(desk_of(request))]


@router.post("/jobs", status_code=201, dependencies=writes)
def begin_job(request: Request, body: JobIn) -> JobOut:
    """Begins a job. 409 with the reasons where something forbids it."""
    desk = desk_of(request)
    begun = begin(
        desk,
        car=body.car,
        wheel_set=body.set,
        extent=body.extent,
        about=body.wheel,
        person=person_of(request),
        via="api",
    )
    if begun.under_way is not None:
        raise HTTPException(409, f"a job for this car is under way: {begun.under_way}")
    if begun.job is None:
        raise HTTPException(
            409, "; ".join(f"{f.about}: {f.text}" for f in begun.forbidden)[:2000] or "something forbids it"
        )
    return _job(doing(desk, begun.job).row)


@router.get("/jobs/{job}")
def one_job(request: Request, job: Key) -> ProgressOut:
    """How a job stands, step by step."""
    return progress_out(doing(desk_of(request), job))


@router.get("/jobs/{job}/evidence")
def evidence(request: Request, job: Key, after: Annotated[int, Query(ge=0, le=2**53)] = 0) -> ProgressOut:
    """How a job stands; without its steps where nothing came after the claim of this number."""
    return progress_out(doing(desk_of(request), job), after)


@router.post("/jobs/{job}/evidence", dependencies=writes)
def take_evidence(request: Request, job: Key, body: ClaimsIn) -> ReceivedOut:
    """Keeps claims, each once however often it is sent. All of them are kept, or none."""
    visitor = visitor_of(request)
    device = visitor.id if visitor else ""
    claims = [claim_of(job, one, person_of(request), device) for one in body.claims]
    got = take_claims(desk_of(request), job, claims, via="api")
    return ReceivedOut(kept=list(got.kept), new=got.new, last=got.last)


class PhotoOut(BaseModel):
    """The name of a photo that is kept."""

    photo: str


@router.post(
    "/jobs/{job}/photos",
    dependencies=writes,
    openapi_extra={
        "requestBody": {"required": True, "content": {"image/jpeg": {"schema": {"type": "string", "format": "binary"}}}}
    },
)
async def take_picture(request: Request, job: Key) -> PhotoOut:
    """Keeps a photo, sent as the body: JPEG, PNG or WebP of at most 15 MB. The same photo has the same name."""
    desk = desk_of(request)
    await run_in_threadpool(doing, desk, job)
    data = await request.body()
    return PhotoOut(photo=await run_in_threadpool(take_photo, desk, data))


class FinishIn(BaseModel):
    """Whether what the job changed is put into the book."""

    model_config = ConfigDict(extra="forbid")
    put_right: bool = True
    leave_open: bool = Field(False, description="Finish even with steps that are not done.")


@router.post("/jobs/{job}/finish", dependencies=writes)
def finish_job(request: Request, job: Key, body: FinishIn) -> dict[str, Any]:
    """Ends a job and seals its proof, which is the answer."""
    desk = desk_of(request)
    finish(desk, job, put_right=body.put_right, leave_open=body.leave_open, person=person_of(request), via="api")
    return proof_of(desk, job)


@router.get("/jobs/{job}/proof")
def job_proof(request: Request, job: Key) -> dict[str, Any]:
    """The proof of a finished job."""
    return proof_of(desk_of(request), job)


@router.get("/garage")
def garage(request: Request) -> dict[str, Any]:
    """Every fact, in the shape of a garage file; days as text."""
    table: dict[str, Any] = plain_row(desk_of(request).loaded().table)
    return table


@router.get("/plan")
def plan(request: Request) -> dict[str, Any]:
    """The identity plan, in the form of `wheelside plan --json`."""
    made: dict[str, Any] = plain(desk_of(request).plan(reasons=Reasons.ALL))
    return made


@router.get("/agenda")
def due(request: Request) -> list[dict[str, Any]]:
    """What is due when."""
    return [
        {
            "day": str(d.day),
            "matter": d.matter.value,
            "title": Speech().text(d.title),
            "text": Speech().text(d.text),
            "link": d.link,
        }
        for d in agenda(desk_of(request))
    ]


class FactIn(BaseModel):
    """A row and the version that it replaces: 0 for a new one."""

    model_config = ConfigDict(extra="forbid")
    since: int = Field(0, ge=0, le=2**53)
    body: dict[str, Any]


class FactOut(BaseModel):
    """A row with its key and version."""

    key: str
    since: int
    body: dict[str, Any]


@router.get("/facts/{kind}")
def rows(request: Request, kind: Key) -> list[FactOut]:
    """The rows of one table."""
    return [FactOut(key=f.key, since=f.since, body=plain_row(f.body)) for f in facts_of(desk_of(request), kind)]


@router.get("/facts/{kind}/{key}")
def row(request: Request, kind: Key, key: Key) -> FactOut:
    """One row; '-' for a table of which there is one."""
    f = fact_of(desk_of(request), kind, "" if key == "-" else key)
    return FactOut(key=f.key, since=f.since, body=plain_row(f.body))


@router.post("/facts/{kind}", status_code=201, dependencies=writes)
def add_row(request: Request, kind: Key, body: FactIn) -> FactOut:
    """Adds a row. 400 with every mistake where it can't be kept."""
    return _save(request, kind, None, body.body, body.since)


@router.put("/facts/{kind}/{key}", dependencies=writes)
def change_row(request: Request, kind: Key, key: Key, body: FactIn) -> FactOut:
    """Puts a row in place of its version `since`. 409 where somebody else has changed it meanwhile."""
    return _save(request, kind, "" if key == "-" else key, body.body, body.since)


@router.delete("/facts/{kind}/{key}", status_code=204, dependencies=writes)
def take_row_out(request: Request, kind: Key, key: Key, since: Annotated[int, Query(ge=0, le=2**53)]) -> None:
    """Takes a row out; what was believed stays in the history."""
    desk = desk_of(request)
    own = "" if key == "-" else key
    fact_of(desk, kind, own)
    _refuse(try_save(desk, kind, own, None, since, person=person_of(request), via="api"))


def _save(request: Request, kind: str, key: str | None, body: Row, since: int) -> FactOut:
    desk = desk_of(request)
    known = facts_of(desk, kind)
    if key is not None and since != 0 and all(f.key != key for f in known):
        raise NotThere(f"there is no such {kind} in this book", found=key[:60])
    saved = try_save(desk, kind, key, dated(shape_of(kind), body), since, person=person_of(request), via="api")
    _refuse(saved)
    kept = fact_of(desk, kind, saved.key)
    return FactOut(key=kept.key, since=kept.since, body=plain_row(kept.body))


def _refuse(saved: Any) -> None:
    found = (*saved.complaints, *saved.elsewhere)
    if found:
        lines = [f"{spoken(c.path)}: found {c.found}, expected {c.expected}. {c.suggestion}".strip() for c in found]
        raise BadRequest("\n".join(lines), found=found[0].found, expected=found[0].expected)


def plain_row(value: Any) -> Any:
    """Facts with days as text."""
    if isinstance(value, dict):
        return {k: plain_row(v) for k, v in value.items()}
    if isinstance(value, list):
        return [plain_row(v) for v in value]
    return value.isoformat() if isinstance(value, date) else value


def dated(cls: type[Any], row: Row) -> Row:
    """Facts from JSON, with text as days where a day is wanted; all else as it is, for the garage's own check."""
    import dataclasses

    shapes = {f.name: f.metadata["kind"] for f in dataclasses.fields(cls) if "kind" in f.metadata}
    return {k: _dated(shapes[k], v) if k in shapes else v for k, v in row.items()}


def _dated(shape: Shape, value: Any) -> Any:
    if isinstance(shape, Kind) and shape.schema().get("format") == "date" and isinstance(value, str):
        try:
            return date.fromisoformat(value)
        except ValueError:
            return value
    if isinstance(shape, Rows) and shape.many and isinstance(value, list):
        return [dated(shape.cls, one) if isinstance(one, dict) else one for one in value]
    if isinstance(shape, ListOf) and isinstance(value, list):
        return [_dated(shape.of, one) for one in value]
    if isinstance(shape, ByCorner) and isinstance(value, dict):
        return {k: _dated(shape.of, one) for k, one in value.items()}
    return value


@router.get("/cars/{car}/port")
def port_records(request: Request, car: Key) -> list[dict[str, Any]]:
    """What was read from a car's port and done to it, oldest first: port cards, readings, codes, teachings with their stages."""
    return [plain(record) for record in records(desk_of(request), car)]


@router.get("/wheels/{wheel}/history")
def history(request: Request, wheel: Key, most: Annotated[int, Query(ge=1, le=10_000)] = 1000) -> list[dict[str, Any]]:
    """Everything about one wheel, newest first."""
    return [plain(line) for line in kept.history(desk_of(request), wheel, most)]
