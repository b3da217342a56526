"""Checking a proof without the book: is it unaltered since it was signed, and does what it states follow from its evidence?"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from wheelside import __version__
from wheelside.errors import BadFile, Problem
from wheelside.proof.page import photos_in, proof_in, proof_page
from wheelside.proof.plain import read_claims, read_start, record_json
from wheelside.proof.record import record_of
from wheelside.proof.seal import PARTS, PROOF_FORMAT, digest, fingerprint, links, signature_holds

Json = dict[str, Any]
_NAMES = {
    "about": "what it is about (book, job, times)",
    "start": "the plan and the run sheet that the job began with",
    "record": "what it states (level, wheels, lamp, codes)",
}


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found: the key's fingerprint, everything that was altered, and what could not be checked.

    `sound`: everything was checked and nothing was altered. `notes` are of no weight.
    """

    key: str
    altered: tuple[str, ...]
    unchecked: tuple[str, ...]
    notes: tuple[str, ...]
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
    altered = list(_altered(proof))
    unchecked: list[str] = []
    notes: list[str] = []
    if not altered:
        _follows(proof, altered, unchecked)
    if page is not None and not altered and not unchecked:
        _same_page(page, proof, altered, unchecked, notes)
    return Checked(fingerprint(proof["seal"]["key"]), tuple(altered), tuple(unchecked), tuple(notes), proof)


def _unfit(file: str, found: str, expected: str) -> BadFile:
    return BadFile(file, (Problem(None, "proof", found, expected, "take the file as Wheelside made it"),))


def _decoded(data: bytes, file: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise _unfit(file, "a file that is no text", "a proof as JSON or as a page") from error


def _parsed(text: str | None, file: str) -> Json:
    """The proof in a text, with every part where it belongs. Raises BadFile."""
    if text is None:
        raise _unfit(file, "a page without a proof in it", "a proof's page")
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
    if version != PROOF_FORMAT or isinstance(version, bool):
        raise _unfit(file, f"format {version!r}", f"format {PROOF_FORMAT}; a newer Wheelside reads later ones")
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


def _altered(proof: Json) -> list[str]:
    """Every part whose digest or link is not what was signed."""
    seal = proof["seal"]
    if not signature_holds(seal):
        return ["the seal: its signature is not that of the key in it, so nothing below it can be trusted"]
    found = [f"{_NAMES[part]} was altered" for part in PARTS if digest(proof[part]) != seal["parts"].get(part)]
    evidence = proof["evidence"]
    if len(evidence) != seal["pieces"]:
        found.append(f"evidence was taken out or added: {len(evidence)} pieces, {seal['pieces']} were signed")
    chain = links(proof["about"], evidence)
    for number, (piece, link) in enumerate(zip(evidence, chain, strict=True), start=1):
        if piece.get("link") != link:
            found.append(f"evidence {number} ({_spoken(piece)}) was altered, put elsewhere, or follows one that was")
            break
    else:
        if chain and chain[-1] != seal["chain"]:
            found.append("the evidence as a whole is not what was signed")
    return found


def _spoken(piece: Json) -> str:
    claim = piece.get("claim")
    return str(claim.get("step", "?"))[:60] if isinstance(claim, dict) else "?"


def _follows(proof: Json, altered: list[str], unchecked: list[str]) -> None:
    """Works the record out again from the start and the evidence."""
    try:
        start, claims = read_start(json.dumps(proof["start"])), read_claims(proof["evidence"])
        again = json.loads(json.dumps(record_json(record_of(start, claims))))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        unchecked.append(
            f"what it states could not be worked out again by this version of Wheelside ({type(error).__name__})"
        )
        return
    made = proof["about"].get("program")
    if again != proof["record"] and made != __version__:
        unchecked.append(
            f"what it states was worked out by version {made}; this version works it out otherwise from the same evidence"
        )
    elif again != proof["record"]:
        altered.append("what it states does not follow from its evidence, as this version of Wheelside works it out")


def _same_page(page: str, proof: Json, altered: list[str], unchecked: list[str], notes: list[str]) -> None:
    """Holds the photos against their names, and draws the page again from the proof in it."""
    photos = photos_in(page)
    altered += [
        f"the photo {name[:12]}… on the page is not the one that was kept"
        for name, data in photos.items()
        if f"{hashlib.sha256(data).hexdigest()}.jpg" != name
    ]
    missing = {noted["text"] for noted in proof["record"]["photos"]} - photos.keys()
    notes += [f"the photo {name[:12]}… is not on the page" for name in sorted(missing)]
    if proof_page(proof, photos) == page:
        return
    if proof["about"].get("program") != __version__:
        made = proof["about"].get("program")
        unchecked.append(
            f"the page around the proof was drawn by version {made}, and can't be held against it: trust its JSON only"
        )
    else:
        altered.append("the page shows something else than the proof within it")
