"""Taking in a photo: looked at, turned upright, made smaller, and without the place and time that phones write into it."""

from __future__ import annotations

import io
import threading

from wheelside.book.photos import keep_photo
from wheelside.errors import BadRequest
from wheelside.jobs.book.desk import Desk

LARGEST_BYTES = 15_000_000
LONGEST_SIDE = 1600
MOST_PIXELS, MOST_DRAWN_PIXELS, MOST_SIDE = 200_000_000, 30_000_000, 25_000
"""JPEG is read at a fraction of its size; others are drawn whole before they are made smaller."""
_ONE_AT_A_TIME = threading.Lock()


def take_photo(desk: Desk, data: bytes) -> str:
    """Keeps a photo; its name. Raises BadRequest for what is no photo, Outside."""
    with _ONE_AT_A_TIME:
        small = smaller(data)
    return keep_photo(desk.photos, small)


def smaller(data: bytes) -> bytes:
    """The photo as a JPEG of at most 1600 pixels a side, with nothing in it but the picture. Raises BadRequest."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    Image.MAX_IMAGE_PIXELS = None  # the pixels are counted below, before any is drawn
    if len(data) > LARGEST_BYTES:
        raise BadRequest(f"the photo has {len(data) // 1_000_000} MB; take one of at most 15 MB", expected="15 MB")
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as picture:
            most = MOST_PIXELS if picture.format == "JPEG" else MOST_DRAWN_PIXELS
            if picture.width * picture.height > most or max(picture.size) > MOST_SIDE:
                raise _no_photo(f"{picture.width} × {picture.height} pixels")
            picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            upright = ImageOps.exif_transpose(picture)
            out = io.BytesIO()
            bare = Image.new("RGB", upright.size, "white")
            bare.paste(upright.convert("RGBA"), mask=upright.convert("RGBA").getchannel("A"))
            bare.save(out, "JPEG", quality=82, optimize=True)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError) as error:
        raise _no_photo("something else, or half of one") from error
    return out.getvalue()


def _no_photo(found: str) -> BadRequest:
    return BadRequest(
        f"that is no photo that can be kept: found {found}; send a JPEG, PNG or WebP",
        found=found,
        expected="JPEG, PNG, WebP",
    )
