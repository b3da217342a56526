"""Checking a proof without the book: is it unaltered since it was signed, and does what it states follow from its evidence?"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from wheelside.errors import BadFile, Problem
from wheelside.proof.page import page_seal, photos_in, proof_in
from wheelside.proof.plain import read_claims, read_start, record_json
from wheelside.proof.record import RULES, record_of
from wheelside.proof.seal import (
    FORMATS,
    PARTS,
    PROOF_FORMAT,
    digest,
    fingerprint,
    links,
    page_signature_holds,
    rules_of,
    signature_holds,
)  # fmt: skip
from wheelside.proof.tyres import tyres_sealed
from wheelside.proof.view import photo_names
from wheelside.said import Coded, Said, say

Json = dict[str, Any]


class Flaw(Coded):
    """What is wrong with a proof, or can't be told of it."""

    SEAL = "seal", "the seal: its signature is not that of the key in it, so nothing below it can be trusted"
    ABOUT = "about", "what it is about (book, job, times, what was said of tyres) was altered"
    START = "start", "the plan and the run sheet that the job began with was altered"
    RECORD = "record", "what it states (level, wheels, lamp, codes) was altered"
    COUNT = "count", "evidence was taken out or added: {n} pieces, {signed} were signed"
    PIECE = "piece", "evidence {n} ({step}) was altered, put elsewhere, or follows one that was"
    CHAIN = "chain", "the evidence as a whole is not what was signed"
    UNLIKE = "does-not-follow", "what it states does not follow from its evidence"
    PHOTO = "photo", "the photo {name}… on the page is not the one that was kept"
    PAGE = "page", "the page shows something else than it did when it was made"
    NEWER = (
        "newer-rules",
        "it was made under rules {rules}, which this version of Wheelside does not know: a newer one can check it",
    )
    NOT_READ = "not-read", "what it states could not be worked out again by this version of Wheelside ({why})"
    BARE_PAGE = (
        "bare-page",
        "the page around the proof is not signed, and can't be compared with it: trust its JSON only",
    )
    NO_PHOTO = "no-photo", "the photo {name}… is not on the page"


LARGEST = 5_000_000
_PART = {"about": Flaw.ABOUT, "start": Flaw.START, "record": Flaw.RECORD}


@dataclass(frozen=True, slots=True)
class Flawed:
    """One flaw, in a pattern with its values."""

    flaw: Flaw
    said: Said


def _found(flaw: Flaw, **values: object) -> Flawed:
    return Flawed(flaw, say(flaw.words, **values))


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found: the key's fingerprint, everything that was altered, and what could not be checked.

    `rules`: those that it was made under; `judged`: whether what it states was worked out again by them. An older proof of other rules
    is checked for its seal alone. `sound`: nothing was altered, and nothing is left unchecked that could be. `notes` are of no weight.
    """

    key: str
    rules: int
    judged: bool
    altered: tuple[Flawed, ...]
    unchecked: tuple[Flawed, ...]
    notes: tuple[Flawed, ...]
    proof: Json

    @property
    def sound(self) -> bool:
        return not self.altered and not self.unchecked


def check_proof(data: bytes, file: str) -> Checked:
    """Checks a proof's JSON or page. Raises BadFile where it is neither."""
    if data[:5] == b"%PDF-":
        raise _unfit(file, "a PDF", "the proof's JSON file, or its page; a PDF is for reading and printing")
    text = _decoded(data, file)
    page = text if text.lstrip()[:1] == "<" else None
    proof = _parsed(proof_in(page) if page is not None else text, file)
    altered, unchecked, notes = _altered(proof), list[Flawed](), list[Flawed]()
    rules, judged = rules_of(proof), False
    if not altered and rules > RULES:
        unchecked = [_found(Flaw.NEWER, rules=rules)]
    elif not altered and rules == RULES:
        altered, unchecked = _follows(proof)
        judged = not unchecked
    if page is not None and not altered and not unchecked:
        wrong, bare, notes = _same_page(page, proof, file)
        altered, unchecked = [*altered, *wrong], [*unchecked, *bare]
    key = fingerprint(proof["seal"]["key"])
    return Checked(key, rules, judged, tuple(altered), tuple(unchecked), tuple(notes), proof)


def _unfit(file: str, found: str, expected: str) -> BadFile:
    return BadFile(file, (Problem(None, "proof", found, expected, "take the file as Wheelside made it"),))


def _decoded(data: bytes, file: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise _unfit(file, "a file that is not text", "a proof as JSON or as a page") from error


def _parsed(text: str | None, file: str) -> Json:
    """The proof in a text, with every part where it belongs. Raises BadFile."""
    if text is None:
        raise _unfit(file, "a page without a proof in it", "a proof's page")
    if len(text) > LARGEST:
        raise _unfit(file, f"{len(text)} characters", f"a proof of at most {LARGEST}, photos aside")
    try:
        proof = json.loads(text, object_pairs_hook=_once)
        version = proof["wheelside_proof"]
        seal = proof["seal"]
        shaped = isinstance(seal["parts"], dict) and all(isinstance(proof[part], dict) for part in PARTS)
        shaped = shaped and all(isinstance(piece, dict) for piece in proof["evidence"])
        bytes.fromhex(seal["key"])
        digest(proof)
    except (ValueError, KeyError, TypeError, RecursionError, AttributeError) as error:
        raise _unfit(file, "a file that is no proof, or one that was cut", "a proof made by Wheelside") from error
    if version not in FORMATS or isinstance(version, bool):
        raise _unfit(file, f"format {version!r}", f"format {PROOF_FORMAT}; a newer Wheelside reads later ones")
    rules = proof["about"].get("rules", 1)
    shaped = shaped and isinstance(rules, int) and not isinstance(rules, bool) and (rules == 1) == (version == 1)
    if not shaped or set(proof) != {"wheelside_proof", *PARTS, "evidence", "seal"}:
        raise _unfit(file, "parts that a proof does not have, or has otherwise", "a proof made by Wheelside")
    whole: Json = proof
    return whole


def _once(pairs: list[tuple[str, Any]]) -> Json:
    """An object none of whose keys comes twice. Raises ValueError."""
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key comes twice")
    return found


def _altered(proof: Json) -> list[Flawed]:
    """Every part whose digest or link is not what was signed."""
    seal = proof["seal"]
    if not signature_holds(seal):
        return [_found(Flaw.SEAL)]
    found = [_found(_PART[part]) for part in PARTS if digest(proof[part]) != seal["parts"].get(part)]
    evidence = proof["evidence"]
    if len(evidence) != seal["pieces"]:
        found.append(_found(Flaw.COUNT, n=len(evidence), signed=seal["pieces"]))
    chain = links(proof["about"], evidence)
    for number, (piece, link) in enumerate(zip(evidence, chain, strict=True), start=1):
        if piece.get("link") != link:
            found.append(_found(Flaw.PIECE, n=number, step=_spoken(piece)))
            break
    else:
        if chain and chain[-1] != seal["chain"]:
            found.append(_found(Flaw.CHAIN))
    return found


def _spoken(piece: Json) -> str:
    claim = piece.get("claim")
    return str(claim.get("step", "?"))[:60] if isinstance(claim, dict) else "?"


def _follows(proof: Json) -> tuple[list[Flawed], list[Flawed]]:
    """Works the record out again from the start and the evidence: what was altered, and why it could not be told."""
    try:
        start, claims = read_start(json.dumps(proof["start"])), read_claims(proof["evidence"])
        again = json.loads(json.dumps(record_json(record_of(start, claims))))
        tyres_sealed(proof)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        return [], [_found(Flaw.NOT_READ, why=type(error).__name__)]
    return ([] if again == proof["record"] else [_found(Flaw.UNLIKE)]), []


def _same_page(page: str, proof: Json, file: str) -> tuple[list[Flawed], list[Flawed], list[Flawed]]:
    """Holds the photos against their names, and the page's text against its signature: what was altered, can't be told, is missing."""
    photos = photos_in(page)
    try:
        names = photo_names(proof)
    except (KeyError, TypeError) as error:
        raise _unfit(file, "a record that is not one of Wheelside's", "a proof made by Wheelside") from error
    altered = [
        _found(Flaw.PHOTO, name=name[:12])
        for name, data in photos.items()
        if f"{hashlib.sha256(data).hexdigest()}.jpg" != name
    ]
    notes = [_found(Flaw.NO_PHOTO, name=name[:12]) for name in sorted(set(names) - photos.keys())]
    text, signature = page_seal(page)
    if not signature:
        return altered, [_found(Flaw.BARE_PAGE)], notes
    if not page_signature_holds(text, signature, proof["seal"]["key"]):
        altered.append(_found(Flaw.PAGE))
    return altered, [], notes
