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
MOST_SCANNED_PIXELS, MOST_WEBP_PIXELS = 50_000_000, 18_000_000
"""JPEG in several scans is held whole, six bytes a pixel; WebP is held more than once. Measured: some 400 MB each."""
_SEVERAL_SCANS = frozenset((0xC2, 0xC6, 0xCA, 0xCE))
"""Markers of frames whose coefficients come in several scans (ITU-T T.81, table B.1)."""
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
            most = _most_pixels(picture.format or "", data)
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


def _most_pixels(kind: str, data: bytes) -> int:
    """How many pixels a photo of this kind may have."""
    if kind == "JPEG":
        return MOST_SCANNED_PIXELS if _in_several_scans(data) else MOST_PIXELS
    return MOST_WEBP_PIXELS if kind == "WEBP" else MOST_DRAWN_PIXELS


def _in_several_scans(data: bytes) -> bool:
    """Whether a JPEG has to be held whole until its last scan; so has one whose first scan lacks a component, or that can't be followed."""
    at, parts = 2, 0
    while at + 10 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker in _SEVERAL_SCANS:
            return True
        if marker == 0xDA:
            return data[at + 4] < parts
        if marker in (0xC0, 0xC1):
            parts = data[at + 9]
        at += 1 if marker == 0xFF else 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return True


def _no_photo(found: str) -> BadRequest:
    return BadRequest(
        f"that is no photo that can be kept: found {found}; send a JPEG, PNG or WebP",
        found=found,
        expected="JPEG, PNG, WebP",
    )
