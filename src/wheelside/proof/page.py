"""A proof as one page that holds everything: text, wheel labels, photos, and the proof itself."""

from __future__ import annotations

import base64
import binascii
import json
import re
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from wheelside.proof.seal import fingerprint, sign_page
from wheelside.proof.view import view_of
from wheelside.sensor.qr import text_svg

if TYPE_CHECKING:
    from jinja2 import Template

Json = dict[str, Any]
_BLOCK = re.compile(r'<script type="application/json" id="proof">(.*?)</script>', re.DOTALL)
_SEAL = '<script type="application/json" id="page-seal">"{}"</script>'
_NO_SEAL = _SEAL.format("")
_SEALED = re.compile(re.escape(_SEAL).replace(r"\{\}", "([0-9a-f]*)"))
_PHOTO = re.compile(r'<img data-photo="([0-9a-f]{64}\.jpg)" src="data:image/jpeg;base64,([A-Za-z0-9+/=]+)"')


@cache
def _template() -> Template:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    loader = PackageLoader("wheelside.proof", ".")
    return Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    ).get_template("proof.html")


def proof_page(proof: Json, photos: Mapping[str, bytes], seal: bytes) -> str:
    """The page of a proof, with those of its photos that are at hand, signed by the 32 bytes of the book's private key.

    Its words are signed as they are, so that a later program, which words things otherwise, can still say that nobody changed them.
    """
    text = _drawn(proof, photos)
    return text.replace(_NO_SEAL, _SEAL.format(sign_page(text, seal)))


def _drawn(proof: Json, photos: Mapping[str, bytes]) -> str:
    from markupsafe import Markup

    block = json.dumps(proof, ensure_ascii=True, separators=(",", ":"), sort_keys=True)
    view = view_of(proof)
    shown = [
        {**noted, "data": base64.b64encode(photos[noted["text"]]).decode() if noted["text"] in photos else ""}
        for noted in view.record["photos"]
    ]
    return _template().render(
        proof=proof,
        view=view,
        record=view.record,
        start=proof["start"],
        about=proof["about"],
        fingerprint=fingerprint(proof["seal"]["key"]),
        photos=shown,
        labels=[(w, Markup(label_svg(w))) for w in view.record["wheels"]],  # noqa: S704  drawn by ourselves
        page_seal=Markup(_NO_SEAL),  # noqa: S704  a text of ours
        block=Markup(block.replace("<", "\\u003c").replace("&", "\\u0026")),  # noqa: S704  no sign of markup is left
    )


def label_svg(wheel: Json) -> str:
    """The QR code on a wheel's label: the hex digits of its ID, its name where that is not known."""
    return text_svg(wheel["hex"] or wheel["name"], f"QR code of wheel {wheel['name']}")


def proof_in(page: str) -> str | None:
    """The proof within a page, as JSON text; None where there is none, or more than one."""
    found = _BLOCK.findall(page)
    return found[0] if len(found) == 1 else None


def page_seal(page: str) -> tuple[str, str]:
    """The text of a page that was signed, and its signature; '' for a page without one, or with several."""
    found = _SEALED.findall(page)
    return (_SEALED.sub(_NO_SEAL, page), found[0]) if len(found) == 1 else (page, "")


def photos_in(page: str) -> dict[str, bytes]:
    """The photos within a page, by name."""
    found = {}
    for name, data in _PHOTO.findall(page):
        try:
            found[name] = base64.b64decode(data, validate=True)
        except binascii.Error:
            continue
    return found
