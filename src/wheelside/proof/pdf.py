"""A proof as PDF."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from wheelside.proof.page import label_svg
from wheelside.proof.seal import fingerprint
from wheelside.proof.view import view_of
from wheelside.typeset import typeset

Json = dict[str, Any]
_TEMPLATE = Path(__file__).parent / "proof.typ"


def proof_pdf(proof: Json, photos: Mapping[str, bytes]) -> bytes:
    """The PDF (PDF/A-2b) of a proof, with those of its photos that are at hand."""
    view = view_of(proof)
    wheels = [{**w, "qr": label_svg(w)} for w in view.record["wheels"]]
    shown = [noted for noted in view.record["photos"] if noted["text"] in photos]
    data = {
        "start": {"title": view.title, "day": proof["start"]["day"], "car": proof["start"]["car_name"]},
        "about": proof["about"], "record": {**view.record, "wheels": wheels}, "rules": view.rules, "judged": view.judged,
        "photos": [{"file": noted["text"], "title": noted["title"]} for noted in shown],
        "pieces": len(proof["evidence"]), "key": fingerprint(proof["seal"]["key"]),
    }  # fmt: skip
    return typeset(_TEMPLATE, data, {noted["text"]: photos[noted["text"]] for noted in shown})
