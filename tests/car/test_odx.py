"""Diagnostic descriptions, held against what the ODX library encodes by the same file."""

from __future__ import annotations

import contextlib
import io
import random
import re
import warnings
from pathlib import Path

import odxtools
import pytest
from hypothesis import given
from hypothesis import strategies as st
from odxtools.database import Database

from odxfiles import INDEX, odx_d, pdx, zipped
from wheelside.car.card import Value
from wheelside.car.odx import ReadService, UnitSaid, read_odx
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import value_from
from wheelside.errors import BadRequest
from wheelside.jobs.car.card_draft import draft_port_card

CORNERS = ("front left", "front right", "rear left", "rear right")


def answer(said: UnitSaid, name: str) -> ReadService:
    return next(one for one in said.answers if one.name == name)


def library() -> Database:
    db = Database(use_weakrefs=False)
    db.add_pdx_file(io.BytesIO(pdx()))
    db.refresh()
    return db


def drafted(tmp_path: Path) -> dict[int, Value]:
    """The values of the drafted card, after its '?' are filled in."""
    file = tmp_path / "unit.pdx"
    file.write_bytes(pdx())
    text = draft_port_card(file)
    corners = iter(CORNERS)
    text = re.sub(r"places = .*", lambda row: re.sub(r'"\?"', lambda _: f'"{next(corners)}"', row[0]), text)
    card = read_port_card(text.replace('holds = "?"', 'holds = "pressure"').encode(), "unit.toml")
    return {one.identifier: one for one in card.values}


def encoded(service: str, **physical: float | str) -> bytes:
    """The bytes behind the identifier, as the library encodes them."""
    one = library().base_variants[0].services[service]
    request = one.encode_request()
    return bytes(one.positive_responses[0].encode(coded_request=request, **physical))[3:]


@pytest.mark.published  # the ODX library's encoder
def test_drafted_values_read_what_the_library_encodes(tmp_path: Path) -> None:
    values = drafted(tmp_path)
    air = {f"Air{n}": kpa for n, kpa in enumerate((230.0, 241.3, 0.0, 6543.5))}
    told = value_from(values[0x2120], encoded("AirRead", **air))
    assert [figure for _, figure, _ in told.figures] == [230.0, 241.3, 0.0, 6543.5]
    assert told.unit == "kPa"
    assert value_from(values[0x2121], encoded("WarmthRead", Warmth=-40)).figures == (("", -40.0, ""),)
    assert value_from(values[0x2123], encoded("SwappedRead", Swapped=64.5)).figures == (("", 64.5, ""),)
    for below in (-128, -40, -1, 0, 127):
        assert value_from(values[0x2125], encoded("BelowRead", Below=below)).figures == (("", float(below), ""),)
    assert value_from(values[0x2140], encoded("LampRead", Lamp="flashing")).figures == (("", 2.0, "flashing"),)


@pytest.mark.published  # the ODX library's writer
def test_a_package_that_the_library_wrote_says_the_same(tmp_path: Path) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        odxtools.write_pdx_file(str(tmp_path / "written.pdx"), library())
    assert read_odx((tmp_path / "written.pdx").read_bytes(), "written.pdx") == read_odx(pdx(), "x.pdx")


def test_can_identifiers_come_with_their_width_where_the_file_has_them() -> None:
    said = read_odx(pdx(), "x.pdx")
    assert (said.layer, said.request, said.answer) == ("Monitor", (0x6A3, False), (0x6AB, False))
    wide = read_odx(pdx(0x18DA10F1, 0x18DAF110, 29), "x.pdx")
    assert (wide.request, wide.answer) == ((0x18DA10F1, True), (0x18DAF110, True))
    low = read_odx(pdx(0x123, 0x124, 29), "x.pdx")
    assert low.request == (0x123, True)
    alone = read_odx(odx_d(), "x.odx-d")
    assert (alone.request, alone.answer) == (None, None)
    assert alone.answers == said.answers


@pytest.mark.parametrize(
    ("service", "why"),
    [
        ("FlagRead", "bits, not whole bytes"),
        ("OddRead", "computed by TAB-INTP"),
        ("GapRead", "a gap before Late"),
        ("OpenRead", "leaves the identifier open"),
    ],
)
def test_what_a_port_card_cant_say_comes_with_the_reason(service: str, why: str) -> None:
    one = answer(read_odx(pdx(), "x.pdx"), service)
    assert why in one.why_not + "".join(part.why_not for part in one.parts)


def test_services_that_write_or_start_are_told_apart() -> None:
    changes = {one.name: one.request.hex() for one in read_odx(pdx(), "x.pdx").changes}
    assert changes == {"ListWrite": "2e2110", "TeachStart": "31010310"}


def test_a_layer_is_named_where_there_are_several() -> None:
    data = pdx(layers=("Monitor", "Monitor_old"))
    with pytest.raises(BadRequest, match=r"--layer: there is Monitor, Monitor_old"):
        read_odx(data, "x.pdx")
    with pytest.raises(BadRequest, match=r"no layer 'Brakes': there is Monitor, Monitor_old"):
        read_odx(data, "x.pdx", "Brakes")
    assert read_odx(data, "x.pdx", "Monitor_old").layer == "Monitor_old"


ENTITY = '<!DOCTYPE ODX [<!ENTITY a "a"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_entities_are_refused(encoding: str) -> None:
    text = odx_d().decode().replace('encoding="UTF-8"?>', f'encoding="{encoding}"?>{ENTITY}', 1)
    with pytest.raises(BadRequest, match="declares XML entities"):
        read_odx(text.encode(encoding), "x.odx-d")
    with pytest.raises(BadRequest, match="declares XML entities"):
        read_odx(zipped(index__xml=INDEX, x__odx_d=text.encode(encoding)), "x.pdx")


@pytest.mark.parametrize("key", ["BIT-LENGTH", "BYTE-POSITION", "BYTE-LENGTH"])
def test_lengths_that_would_take_all_memory_are_refused(key: str) -> None:
    text = odx_d().decode()
    for length in ("9999999999", "9_999_999_999", "0xFFFFFFFF", "99999<!-- -->99999"):
        bad = re.sub(f"<{key}>[0-9]+", f"<{key}>{length}", text, count=1)
        with pytest.raises(BadRequest, match="impossible length"):
            read_odx(bad.encode(), "x.odx-d")


def test_what_unpacks_to_too_much_is_refused_unread() -> None:
    with pytest.raises(BadRequest, match="too large"):
        read_odx(zipped(index__xml=INDEX, **{f"n{n}__bin": bytes(30_000_000) for n in range(7)}), "x.pdx")
    with pytest.raises(BadRequest, match="too large"):
        read_odx(bytes(50_000_001), "x.odx-d")


def _refused(data: bytes, file: str) -> None:
    """Reads it, or refuses it in words; anything else is a fault."""
    with contextlib.suppress(BadRequest):
        read_odx(data, file)


@pytest.mark.parametrize("file", ["x.pdx", "x.odx-d"])
def test_a_file_cut_anywhere_is_refused_in_words(file: str) -> None:
    data = pdx() if file == "x.pdx" else odx_d()
    for n in range(200):
        with pytest.raises(BadRequest, match="can't be read as a diagnostic description"):
            read_odx(data[: n * len(data) // 200], file)


@pytest.mark.parametrize("file", ["x.pdx", "x.odx-d"])
def test_a_file_with_other_bytes_anywhere_is_read_or_refused_in_words(file: str) -> None:
    whole, pick = pdx() if file == "x.pdx" else odx_d(), random.Random(7)
    for _ in range(200):
        data = bytearray(whole)
        for _ in range(pick.randrange(1, 4)):
            data[pick.randrange(len(data))] = pick.randrange(256)
        _refused(bytes(data), file)


@pytest.mark.parametrize("seed", range(4))
def test_a_package_whose_xml_lost_something_is_read_or_refused_in_words(seed: int) -> None:
    whole, pick = odx_d().decode(), random.Random(seed)
    for _ in range(60):
        words = whole.split("<")
        at = pick.randrange(2, len(words))
        tag = words[at].split(">", maxsplit=1)[0].split()[0].strip("/")
        _refused(whole.replace(f"{tag}>", f"X-{tag}>").encode(), "x.odx-d")
        _refused(
            whole.replace(pick.choice("0123456789"), pick.choice(["", "-1", "9999999999", "x"])).encode(), "x.odx-d"
        )


@given(st.binary(max_size=200), st.sampled_from(["x.pdx", "x.odx-d"]))
def test_random_bytes_are_refused_in_words(data: bytes, file: str) -> None:
    with pytest.raises(BadRequest):
        read_odx(data, file)
