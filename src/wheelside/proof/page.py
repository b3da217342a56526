"""A proof as one page that holds everything: text, wheel labels, photos, and the proof itself."""

from __future__ import annotations

import base64
import binascii
import json
import re
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from wheelside.proof.seal import fingerprint
from wheelside.sensor.qr import text_svg

if TYPE_CHECKING:
    from jinja2 import Template

Json = dict[str, Any]
_BLOCK = re.compile(r'<script type="application/json" id="proof">(.*?)</script>', re.DOTALL)
_PHOTO = re.compile(r'<img data-photo="([0-9a-f]{64}\.jpg)" src="data:image/jpeg;base64,([A-Za-z0-9+/=]+)"')


@cache
def _template() -> Template:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    loader = PackageLoader("wheelside.proof", ".")
    return Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    ).get_template("proof.html")


def proof_page(proof: Json, photos: Mapping[str, bytes]) -> str:
    """The page of a proof, with those of its photos that are at hand. The same proof gives the same page."""
    from markupsafe import Markup

    block = json.dumps(proof, ensure_ascii=True, separators=(",", ":"), sort_keys=True)
    shown = [
        {**noted, "data": base64.b64encode(photos[noted["text"]]).decode() if noted["text"] in photos else ""}
        for noted in proof["record"]["photos"]
    ]
    return _template().render(
        proof=proof,
        record=proof["record"],
        start=proof["start"],
        about=proof["about"],
        fingerprint=fingerprint(proof["seal"]["key"]),
        photos=shown,
        labels=[(w, Markup(label_svg(w))) for w in proof["record"]["wheels"]],  # noqa: S704  drawn by ourselves
        block=Markup(block.replace("<", "\\u003c").replace("&", "\\u0026")),  # noqa: S704  no sign of markup is left
    )


def label_svg(wheel: Json) -> str:
    """The QR code on a wheel's label: the hex digits of its ID, its name where that is not known."""
    return text_svg(wheel["hex"] or wheel["name"], f"QR code of wheel {wheel['name']}")


def proof_in(page: str) -> str | None:
    """The proof within a page, as JSON text; None where there is none, or more than one."""
    found = _BLOCK.findall(page)
    return found[0] if len(found) == 1 else None


def photos_in(page: str) -> dict[str, bytes]:
    """The photos within a page, by name."""
    found = {}
    for name, data in _PHOTO.findall(page):
        try:
            found[name] = base64.b64decode(data, validate=True)
        except binascii.Error:
            continue
    return found
