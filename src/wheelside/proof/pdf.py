"""A proof as PDF, set by typst with the fonts that it brings along."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from wheelside.proof.page import label_svg
from wheelside.proof.seal import fingerprint
from wheelside.proof.view import view_of

Json = dict[str, Any]
_TEMPLATE = Path(__file__).parent / "proof.typ"


def proof_pdf(proof: Json, photos: Mapping[str, bytes]) -> bytes:
    """The PDF (PDF/A-2b) of a proof, with those of its photos that are at hand."""
    import tempfile

    import typst

    view = view_of(proof)
    wheels = [{**w, "qr": label_svg(w)} for w in view.record["wheels"]]
    with tempfile.TemporaryDirectory(prefix="wheelside-pdf-") as name:
        folder = Path(name)
        (folder / "proof.typ").write_bytes(_TEMPLATE.read_bytes())
        pictures = []
        for noted in view.record["photos"]:
            if noted["text"] in photos:
                (folder / noted["text"]).write_bytes(photos[noted["text"]])
                pictures.append({"file": noted["text"], "title": noted["title"]})
        data = {
            "start": {"title": view.title, "day": proof["start"]["day"], "car": proof["start"]["car_name"]},
            "about": proof["about"], "record": {**view.record, "wheels": wheels}, "rules": view.rules, "judged": view.judged, "photos": pictures,
            "pieces": len(proof["evidence"]), "key": fingerprint(proof["seal"]["key"]),
        }  # fmt: skip
        made = typst.compile(
            folder / "proof.typ", root=folder, sys_inputs={"data": json.dumps(data)}, ignore_system_fonts=True,
            pdf_standards=["a-2b"],
        )  # fmt: skip
    assert isinstance(made, bytes), "one document gives one file"
    return made
