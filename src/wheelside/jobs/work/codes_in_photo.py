"""IDs from a photo: QR codes and barcodes in it, read as sensor IDs. Nothing of the photo is kept."""

from __future__ import annotations

import io
import re
import threading
from typing import Any

from wheelside.errors import BadRequest, BadText
from wheelside.jobs.work.photo import smaller
from wheelside.sensor.reading import read_id

MOST_CODES, LEAST_DIGITS = 12, 6
_ONE_AT_A_TIME = threading.Lock()


def ids_in_photo(data: bytes) -> tuple[str, ...]:
    """The texts of the codes in a photo that can be sensor IDs, from the top left to the bottom right, each once.

    `data`: JPEG, PNG or WebP, 15 MB at most. Raises BadRequest for what is no photo, and where no code of it is an ID.
    """
    import zxingcpp
    from PIL import Image

    with _ONE_AT_A_TIME:
        picture = Image.open(io.BytesIO(smaller(data)))
        found = sorted(zxingcpp.read_barcodes(picture.convert("L")), key=_place)
    texts = tuple(dict.fromkeys(text for one in found[:MOST_CODES] if (text := _id_of(one.text))))
    if not texts:
        some = f"{len(found)} codes, none of which is an ID" if found else "no code that can be read"
        raise BadRequest(f"in this photo there is {some}: go nearer, into better light, or type the ID", found=some)
    return texts


def _place(code: Any) -> tuple[int, int]:
    """In rows of a few hundred pixels, each from the left."""
    at = code.position.top_left
    return at.y // 250, at.x


def _id_of(text: str) -> str:
    """A code's text where that can be an ID, else the last word of it that can; '' where none can."""
    words = re.split(r"[\s;,:=]+", text.strip())
    for part in (text if len(words) == 1 else "", *reversed(words), text):
        try:
            if part and len(part.strip()) >= LEAST_DIGITS:
                read_id(part)
                return part.strip()
        except BadText:
            continue
    return ""
