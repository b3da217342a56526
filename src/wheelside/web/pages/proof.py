"""Proofs of finished jobs, to read and to take along; and photos."""

from __future__ import annotations

import json
from dataclasses import dataclass

from fastapi import Request
from starlette.responses import HTMLResponse, Response

from wheelside.errors import NotThere
from wheelside.jobs.book.kept import photo_of
from wheelside.jobs.work.finish import page_of, photos_for, proof_of
from wheelside.proof.seal import fingerprint
from wheelside.proof.view import View, view_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page
from wheelside.web.guard import OWN_STYLE
from wheelside.web.route import pages

router = pages()


@dataclass(frozen=True, slots=True)
class ProofSummary:
    """A proof in short, and its files."""

    frame: PageFrame
    job: str
    view: View
    key: str
    pieces: int


@router.get("/jobs/{job}/proof")
def summary(request: Request, job: str) -> Response:
    """The proof in short."""
    proof = proof_of(desk_of(request), job)
    shown = ProofSummary(
        frame_of(request, "/jobs", asks=False), job, view_of(proof), fingerprint(proof["seal"]["key"]),
        len(proof["evidence"]),
    )  # fmt: skip
    return page("proof.html", shown)


@router.get("/jobs/{job}/proof.{form}")
def file(request: Request, job: str, form: str) -> Response:
    """The proof as a page, a PDF or JSON."""
    desk = desk_of(request)
    proof = proof_of(desk, job)
    named = {"content-disposition": f'attachment; filename="proof-{proof["start"]["day"]}-{job[:6]}.{form}"'}
    if form == "json":
        return Response(json.dumps(proof, ensure_ascii=False, indent=1), media_type="application/json", headers=named)
    if form == "html":
        shown = page_of(desk, proof)
        return HTMLResponse(shown, headers={"content-security-policy": OWN_STYLE})
    if form == "pdf":
        from wheelside.proof.pdf import proof_pdf

        return Response(proof_pdf(proof, photos_for(desk, proof)), media_type="application/pdf", headers=named)
    raise NotThere("a proof comes as json, html or pdf", found=form[:20])


@router.get("/photos/{name:path}")
def photo(request: Request, name: str) -> Response:
    """One photo."""
    data = photo_of(desk_of(request), name)
    return Response(data, media_type="image/jpeg", headers={"cache-control": "private, max-age=31536000, immutable"})
