"""What a diagnostic description (ODX, ISO 22901-1) says of one control unit: what is read by identifier, how it lies, what would write.

The only place where the ODX library is used. Nothing is guessed: what port cards can't say comes with the reason.
"""

from __future__ import annotations

import io
import math
import warnings
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET
from xml.parsers import expat

from wheelside.car.card import READ, ROUTINE, WRITE
from wheelside.errors import BadRequest

if TYPE_CHECKING:
    from odxtools.compumethods.compumethod import CompuMethod
    from odxtools.compumethods.compuscale import CompuScale
    from odxtools.database import Database
    from odxtools.diaglayers.diaglayer import DiagLayer
    from odxtools.diagservice import DiagService
    from odxtools.parameters.parameter import Parameter

LARGEST_FILE, LARGEST_INSIDE = 12_000_000, 12_000_000
MOST_MEMBERS, MOST_ELEMENTS, DEEPEST = 1_000, 100_000, 100
HEAD = 3
"""The service and the identifier, which stand before what is read."""
WIDEST, MOST_WORDS = 4, 50
LARGEST_WORD = 999
LONGEST_MEASURE = 6
"""So many digits has the largest length or place, in bits or bytes, that is believed."""
MEASURES = frozenset(
    {
        "BIT-LENGTH",
        "BYTE-LENGTH",
        "BYTE-SIZE",
        "BYTE-POSITION",
        "BIT-POSITION",
        "REQUEST-BYTE-POS",
        "MIN-LENGTH",
        "MAX-LENGTH",
    }
)


@dataclass(frozen=True, slots=True)
class Piece:
    """One parameter of an answer, behind the identifier: `at` bytes from there, `length` bytes (None where that varies: text).

    number * scale + offset, in `unit`; `words` for numbers that mean something. `why_not`: why a port card can't say it, else '';
    `note`: what of it is left out.
    """

    name: str
    at: int
    length: int | None
    high_first: bool = True
    signed: bool = False
    scale: float = 1.0
    offset: float = 0.0
    unit: str = ""
    words: tuple[tuple[int, str], ...] = ()
    why_not: str = ""
    note: str = ""

    @property
    def alike(self) -> tuple[object, ...]:
        """Parameters that lie alike can be places of one value."""
        return (self.length, self.high_first, self.signed, self.scale, self.offset, self.unit, self.words, self.why_not)


@dataclass(frozen=True, slots=True)
class ReadService:
    """One service that reads by identifier; identifier None where the file leaves it open. `why_not` as for parts."""

    name: str
    identifier: int | None
    parts: tuple[Piece, ...]
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class Changes:
    """One service that writes or starts a routine; `request` is what of it is fixed."""

    name: str
    request: bytes


@dataclass(frozen=True, slots=True)
class UnitSaid:
    """One diagnostic layer: its name, CAN identifiers with their width where the file has them, services in the file's order."""

    layer: str
    request: tuple[int, bool] | None
    answer: tuple[int, bool] | None
    answers: tuple[ReadService, ...]
    changes: tuple[Changes, ...]


def read_odx(data: bytes, file: str, layer: str | None = None) -> UnitSaid:
    """What a .pdx or .odx-d file says of one layer, the only one if none is named. Raises BadRequest."""
    refuse_dangerous(data, file)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            db = _database(data, file)
            layers = {one.short_name: one for one in _layers(db)}
        except Exception as error:
            raise _no_odx(file, error) from error
        chosen = _chosen(layers, file, layer)
        try:
            return _said(chosen)
        except Exception as error:
            raise _no_odx(file, error) from error


def _no_odx(file: str, error: Exception) -> BadRequest:
    why = " ".join(str(error).split())[:200] or type(error).__name__
    return BadRequest(
        f"{file} can't be read as a diagnostic description: {why}; where it refers to other files, name the whole .pdx",
        found=file,
        expected="ODX 2 as .pdx or .odx-d (ISO 22901-1)",
    )


def refuse_dangerous(data: bytes, file: str) -> None:
    """Raises BadRequest for a file that is too large, unpacks to too much, declares entities or impossible lengths.

    The library has seen nothing of it then.
    """
    if len(data) > LARGEST_FILE:
        raise _too_large(file, f"{len(data)} bytes", f"at most {LARGEST_FILE} bytes")
    if not _is_pdx(file):
        _refuse_xml(data, file)
        return
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            _refuse_members(packed, file)
    except BadRequest:
        raise
    except Exception as error:
        raise _no_odx(file, error) from error


def _refuse_members(packed: zipfile.ZipFile, file: str) -> None:
    inside = packed.infolist()
    size = sum(one.file_size for one in inside)
    if size > LARGEST_INSIDE or len(inside) > MOST_MEMBERS:
        raise _too_large(file, f"{size} bytes in {len(inside)} files", f"at most {LARGEST_INSIDE} bytes unpacked")
    elements = 0
    for one in inside:
        with packed.open(one) as member:
            data = member.read(one.file_size + 1)  # no more, whatever it says of itself
        if _is_xml(one.filename):
            elements = _refuse_xml(data, f"{file}, {one.filename}", elements)


def _too_large(file: str, found: str, expected: str) -> BadRequest:
    return BadRequest(f"{file} is too large: {found}; take the part for this one unit", found=found, expected=expected)


def _is_pdx(file: str) -> bool:
    return file.lower().endswith(".pdx")


def _is_xml(name: str) -> bool:
    return ".odx" in name.lower() or name.lower().endswith(".xml")


def _refuse_xml(data: bytes, file: str, elements: int = 0) -> int:
    """Raises BadRequest for XML that declares entities, or has lengths, places or elements that would take all memory.

    `elements`: how many there were before; how many there are with these.
    """
    inside, size, depth = "", 0, 0

    def refuse_entity(*_: object) -> None:
        raise BadRequest(
            f"{file} declares XML entities, which no diagnostic description needs; it was not read",
            found="an entity declaration",
            expected="XML without one",
        )

    def begin(name: str, attributes: list[str]) -> None:
        nonlocal inside, size, elements, depth
        inside, size = name if name in MEASURES else "", 0
        elements, depth = elements + 1 + len(attributes) // 2, depth + 1
        if elements > MOST_ELEMENTS or depth > DEEPEST:
            raise _too_large(
                file, f"more than {MOST_ELEMENTS} elements and attributes, or {DEEPEST} in one another", "fewer"
            )

    def end(_: str) -> None:
        nonlocal depth
        depth -= 1

    def text(said: str) -> None:
        nonlocal size
        size += len(said.strip())
        if inside and size > LONGEST_MEASURE:
            raise BadRequest(
                f"{file} has an answer of impossible length; it was not read", found=said[:40], expected=f"a {inside}"
            )

    parser = expat.ParserCreate()
    parser.buffer_text = parser.ordered_attributes = True
    parser.EntityDeclHandler, parser.StartElementHandler, parser.CharacterDataHandler = refuse_entity, begin, text
    parser.EndElementHandler = end
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        raise _no_odx(file, error) from error
    return elements


def _database(data: bytes, file: str) -> Database:
    from odxtools.database import Database

    db = Database(use_weakrefs=False)
    if _is_pdx(file):
        db.add_pdx_file(io.BytesIO(data))
    else:
        db.add_odx_xml_tree(ET.fromstring(data))  # noqa: S314  entities were refused above
    db.refresh()
    return db


def _layers(db: Database) -> list[DiagLayer]:
    """Variants of units where there are any, else whatever has services."""
    units: list[DiagLayer] = [*db.base_variants, *db.ecu_variants]
    return list(units or [one for one in db.diag_layers if one.services])


def _chosen(layers: dict[str, DiagLayer], file: str, name: str | None) -> DiagLayer:
    if name is None and len(layers) == 1:
        return next(iter(layers.values()))
    if name in layers:
        return layers[name]
    known = ", ".join(sorted(layers)) or "none with services"
    what = f"has no layer '{name}'" if name else "has not exactly one layer; name it with --layer"
    raise BadRequest(f"{file} {what}: there is {known}", found=name or f"{len(layers)} layers", expected=known)


def _said(layer: DiagLayer) -> UnitSaid:
    answers, changes = [], []
    for service in layer.services:
        start = bytes(service.request.coded_const_prefix()) if service.request else b""
        if start[:1] == bytes([READ]):
            answers.append(_answer(service, start))
        elif start[:1] in (bytes([WRITE]), bytes([ROUTINE])):
            changes.append(Changes(service.short_name, start))
    request = _can_id(layer, "CP_CanPhysReqId", "CP_CanPhysReqFormat")
    answer = _can_id(layer, "CP_CanRespUSDTId", "CP_CanRespUSDTFormat")
    return UnitSaid(layer.short_name, request, answer, tuple(answers), tuple(changes))


def _can_id(layer: DiagLayer, name: str, format_name: str) -> tuple[int, bool] | None:
    """An identifier of CP_UniqueRespIdTable (ISO 22900-2), and whether it has 29 bits; None where the file has none, or several."""
    from odxtools.diaglayers.hierarchyelement import HierarchyElement

    if not isinstance(layer, HierarchyElement):
        return None
    tables = [one for one in layer.comparam_refs if one.short_name == "CP_UniqueRespIdTable"]
    ids = {one.get_subvalue(name) for one in tables} - {None, ""}
    if len(ids) != 1:
        return None
    number = int(str(ids.pop()), 0)
    if not 0 <= number < 1 << 29:
        return None
    formats = " ".join(str(one.get_subvalue(format_name)) for one in tables)
    return number, number > 0x7FF or "29" in formats


def _answer(service: DiagService, start: bytes) -> ReadService:
    name = service.short_name
    if len(start) != HEAD:
        why = "several identifiers at once" if len(start) > HEAD else "the file leaves the identifier open"
        return ReadService(name, None, (), why)
    identifier = int.from_bytes(start[1:HEAD], "big")
    if len(service.positive_responses) != 1:
        return ReadService(name, identifier, (), f"{len(service.positive_responses)} positive answers")
    parts = _parts(service.positive_responses[0].parameters)
    return ReadService(name, identifier, parts, _gap(parts))


def _parts(parameters: Iterable[Parameter]) -> tuple[Piece, ...]:
    """The parameters behind service and identifier, which are fixed or repeat the request."""
    out, at = list[Piece](), 0
    for one in parameters:
        at = at if one.byte_position is None else one.byte_position
        bits = one.get_static_bit_length()
        if at >= HEAD:
            out.append(_part(one, at - HEAD))
        at += ((one.bit_position or 0) + (bits or 0) + 7) // 8
    return tuple(sorted(out, key=lambda part: part.at))


def _gap(parts: tuple[Piece, ...]) -> str:
    """Why the parameters don't fill the answer without a gap; '' where they do."""
    end = 0
    for part in parts:
        if part.at != end and not part.why_not:
            return f"there is a gap before {part.name}, or it lies over another"
        end = part.at + (part.length or 0)
    return "" if parts else "the file does not say what the answer holds"


def _part(parameter: Parameter, at: int) -> Piece:
    from odxtools.dataobjectproperty import DataObjectProperty
    from odxtools.parameters.valueparameter import ValueParameter
    from odxtools.standardlengthtype import StandardLengthType

    name, bits = parameter.short_name, parameter.get_static_bit_length()
    length = bits // 8 if bits and bits % 8 == 0 else None
    if not isinstance(parameter, ValueParameter):
        return Piece(name, at, length, why_not=f"a parameter of the kind {parameter.parameter_type}")
    dop = parameter.dop
    if not isinstance(dop, DataObjectProperty):
        return Piece(name, at, length, why_not="a structure, field or multiplexer")
    coded, unit = dop.diag_coded_type, dop.unit.display_name if dop.unit else ""
    kind = coded.base_data_type.value
    if kind.endswith("STRING"):
        return Piece(name, at, None, unit=unit)
    if kind not in ("A_UINT32", "A_INT32", "A_FLOAT32", "A_FLOAT64"):
        return Piece(name, at, length, unit=unit)
    if not isinstance(coded, StandardLengthType) or coded.bit_mask is not None:
        return Piece(name, at, length, unit=unit, why_not="a number whose length varies, or of masked bits")
    if length is None or parameter.bit_position:
        return Piece(
            name, at, length, unit=unit, why_not=f"bits, not whole bytes: {bits} from bit {parameter.bit_position or 0}"
        )
    if kind not in ("A_UINT32", "A_INT32") or length > WIDEST:
        why = "a floating number" if kind.startswith("A_FLOAT") else f"{length} bytes"
        return Piece(name, at, length, unit=unit, why_not=why)
    return _meant(Piece(name, at, length, coded.is_highlow_byte_order, kind == "A_INT32", unit=unit), dop.compu_method)


def _meant(part: Piece, method: CompuMethod) -> Piece:
    """A part with scale, offset and words of its computation, or with why a port card can't say it."""
    from odxtools.compumethods.identicalcompumethod import IdenticalCompuMethod
    from odxtools.compumethods.linearcompumethod import LinearCompuMethod
    from odxtools.compumethods.texttablecompumethod import TexttableCompuMethod

    if isinstance(method, IdenticalCompuMethod):
        return part
    if isinstance(method, LinearCompuMethod):
        line = method.segment
        scale, offset = line.factor / line.denominator, line.offset / line.denominator
        fits = math.isfinite(scale) and math.isfinite(offset) and max(abs(scale), abs(offset)) < 1e9
        return replace(part, scale=scale, offset=offset) if fits else replace(part, why_not="a scale beyond measure")
    if isinstance(method, TexttableCompuMethod) and method.compu_internal_to_phys:
        words = [_word(one) for one in method.compu_internal_to_phys.compu_scales]
        kept = tuple(word for word in words if word)[:MOST_WORDS]
        left_out = (
            "" if len(kept) == len(words) else f"{len(words) - len(kept)} of the words, for ranges or large numbers"
        )
        return replace(part, words=kept, note=left_out)
    return replace(part, why_not=f"computed by {method.category.value}, not by one line")


def _word(scale: CompuScale) -> tuple[int, str] | None:
    """A number and its word; None for a range, and for what does not fit a port card."""
    low, high = scale.lower_limit, scale.upper_limit
    number = low.value if low else high.value if high else None
    if low and high and low.value != high.value:
        return None
    text = str(scale.compu_const.value).strip() if scale.compu_const else ""
    if not isinstance(number, int) or not 0 <= number <= LARGEST_WORD or not text:
        return None
    return number, " ".join(text.split())
