"""No photo takes all memory: how much one is held depends on how it was written, and so does how many pixels it may have."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from wheelside.errors import BadRequest
from wheelside.jobs.work.photo import MOST_SCANNED_PIXELS, MOST_WEBP_PIXELS, smaller

MOST_MB = 500
CHILD = """
import json, resource, sys
from wheelside.jobs.work.photo import smaller
made = len(smaller(open(sys.argv[1], "rb").read()))
print(json.dumps([made, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""
LAUNCHER = "import subprocess, sys; sys.exit(subprocess.run(sys.argv[1:]).returncode)"
"""Starts the child from a small process, whose memory would count as its own."""


def photo(kind: str, side: int, **options: object) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (side, side), (10, 120, 30)).save(out, kind, **options)
    return out.getvalue()


def said_to_be(data: bytes, side: int) -> bytes:
    """A JPEG whose frame says that it is so large."""
    at = next(n for n in range(len(data)) if data[n : n + 2] in (b"\xff\xc0", b"\xff\xc2"))
    return data[: at + 5] + side.to_bytes(2, "big") * 2 + data[at + 9 :]


@pytest.mark.parametrize(
    ("kind", "most", "options"),
    [("JPEG", MOST_SCANNED_PIXELS, {"progressive": True, "subsampling": 0}), ("WEBP", MOST_WEBP_PIXELS, {})],
)
def test_the_largest_photo_of_a_kind_that_is_held_whole_is_taken(
    kind: str, most: int, options: dict[str, object], tmp_path: Path
) -> None:
    file = tmp_path / "photo"
    file.write_bytes(photo(kind, int(most**0.5), quality=20, **options))
    command = [sys.executable, "-S", "-c", LAUNCHER, sys.executable, "-c", CHILD, str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    made, megabytes = json.loads(done.stdout)
    assert made > 1000
    assert megabytes < MOST_MB


def test_a_larger_one_in_several_scans_is_refused_before_it_is_drawn() -> None:
    for name in (photo("JPEG", 64, progressive=True), in_single_scans(photo("JPEG", 64))):
        with pytest.raises(BadRequest, match="14000 × 14000 pixels"):
            smaller(said_to_be(name, 14_000))
    with pytest.raises(BadRequest, match="something else, or half of one"):
        smaller(said_to_be(photo("JPEG", 64), 14_000)[:-400])


def in_single_scans(data: bytes) -> bytes:
    """A JPEG whose first scan says that it holds one component of its three."""
    at = data.index(b"\xff\xda")
    return data[: at + 4] + b"\x01" + data[at + 5 :]


def test_one_in_a_single_scan_may_be_larger_as_it_is_read_at_a_fraction_of_its_size() -> None:
    side = int((1.2 * MOST_SCANNED_PIXELS) ** 0.5)
    with Image.open(io.BytesIO(smaller(photo("JPEG", side, quality=20)))) as made:
        assert max(made.size) == 1600
    with pytest.raises(BadRequest, match=f"{side} × {side} pixels"):
        smaller(said_to_be(photo("JPEG", 64, progressive=True), side))
