"""A small diagnostic description, written by hand after ISO 22901-1; every name and number in it is invented."""

from __future__ import annotations

import io
import zipfile

XSI = 'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"'
HEAD = f'<?xml version="1.0" encoding="UTF-8"?>\n<ODX MODEL-VERSION="2.2.0" {XSI}>'


def _dop(name: str, coded: str, compu: str, physical: str = "A_FLOAT64", unit: str = "") -> str:
    unit_ref = f'<UNIT-REF ID-REF="U.{unit}"/>' if unit else ""
    return (
        f'<DATA-OBJECT-PROP ID="D.{name}"><SHORT-NAME>{name}</SHORT-NAME>{compu}{coded}'
        f'<PHYSICAL-TYPE BASE-DATA-TYPE="{physical}"/>{unit_ref}</DATA-OBJECT-PROP>'
    )


def _coded(bits: int, kind: str = "A_UINT32", low_first: bool = False) -> str:
    order = ' IS-HIGHLOW-BYTE-ORDER="false"' if low_first else ""
    return (
        f'<DIAG-CODED-TYPE BASE-DATA-TYPE="{kind}"{order} xsi:type="STANDARD-LENGTH-TYPE">'
        f"<BIT-LENGTH>{bits}</BIT-LENGTH></DIAG-CODED-TYPE>"
    )


def _linear(offset: float, factor: float, by: float = 1) -> str:
    return (
        "<COMPU-METHOD><CATEGORY>LINEAR</CATEGORY><COMPU-INTERNAL-TO-PHYS><COMPU-SCALES><COMPU-SCALE><COMPU-RATIONAL-COEFFS>"
        f"<COMPU-NUMERATOR><V>{offset}</V><V>{factor}</V></COMPU-NUMERATOR><COMPU-DENOMINATOR><V>{by}</V></COMPU-DENOMINATOR>"
        "</COMPU-RATIONAL-COEFFS></COMPU-SCALE></COMPU-SCALES></COMPU-INTERNAL-TO-PHYS></COMPU-METHOD>"
    )


def _table(*words: tuple[int, int, str]) -> str:
    scales = "".join(
        f"<COMPU-SCALE><LOWER-LIMIT>{low}</LOWER-LIMIT><UPPER-LIMIT>{high}</UPPER-LIMIT><COMPU-CONST><VT>{word}</VT></COMPU-CONST></COMPU-SCALE>"
        for low, high, word in words
    )
    return (
        "<COMPU-METHOD><CATEGORY>TEXTTABLE</CATEGORY><COMPU-INTERNAL-TO-PHYS><COMPU-SCALES>"
        f"{scales}</COMPU-SCALES></COMPU-INTERNAL-TO-PHYS></COMPU-METHOD>"
    )


SAME = "<COMPU-METHOD><CATEGORY>IDENTICAL</CATEGORY></COMPU-METHOD>"
BENT = (
    "<COMPU-METHOD><CATEGORY>TAB-INTP</CATEGORY><COMPU-INTERNAL-TO-PHYS><COMPU-SCALES>"
    "<COMPU-SCALE><LOWER-LIMIT>0</LOWER-LIMIT><COMPU-CONST><V>0</V></COMPU-CONST></COMPU-SCALE>"
    "<COMPU-SCALE><LOWER-LIMIT>10</LOWER-LIMIT><COMPU-CONST><V>50</V></COMPU-CONST></COMPU-SCALE>"
    "<COMPU-SCALE><LOWER-LIMIT>255</LOWER-LIMIT><COMPU-CONST><V>60</V></COMPU-CONST></COMPU-SCALE>"
    "</COMPU-SCALES></COMPU-INTERNAL-TO-PHYS></COMPU-METHOD>"
)
DOPS = (
    _dop("Air", _coded(16), _linear(-10, 1, 10), unit="kPa")
    + _dop("Warmth", _coded(8), _linear(-50, 1), "A_INT32", "degC")
    + _dop("Swapped", _coded(16, low_first=True), _linear(0, 0.25), unit="kPa")
    + _dop("LampState", _coded(8), _table((0, 0, "off"), (1, 1, "steady &amp; yellow"), (2, 2, "flashing"), (3, 9, "unused")), "A_UNICODE2STRING")
    + _dop("Flag", _coded(1), SAME, "A_UINT32")
    + _dop("Odd", _coded(8), BENT)
    + _dop("Below", _coded(8, "A_INT32"), SAME, "A_INT32")
    + _dop("Letters", _coded(80, "A_ASCIISTRING"), SAME, "A_UNICODE2STRING")
    + _dop("Open", _coded(16), SAME, "A_UINT32")
)  # fmt: skip
UNITS = (
    '<UNIT-SPEC><UNITS><UNIT ID="U.kPa"><SHORT-NAME>kPa</SHORT-NAME><DISPLAY-NAME>kPa</DISPLAY-NAME></UNIT>'
    '<UNIT ID="U.degC"><SHORT-NAME>degC</SHORT-NAME><DISPLAY-NAME>°C</DISPLAY-NAME></UNIT></UNITS></UNIT-SPEC>'
)


def _const(name: str, at: int, value: int, bits: int = 8) -> str:
    return (
        f'<PARAM xsi:type="CODED-CONST"><SHORT-NAME>{name}</SHORT-NAME><BYTE-POSITION>{at}</BYTE-POSITION>'
        f"<CODED-VALUE>{value}</CODED-VALUE>{_coded(bits)}</PARAM>"
    )


def _param(name: str, dop: str, at: int | None, bit: int | None = None) -> str:
    where = f"<BYTE-POSITION>{at}</BYTE-POSITION>" if at is not None else ""
    where += f"<BIT-POSITION>{bit}</BIT-POSITION>" if bit is not None else ""
    return f'<PARAM xsi:type="VALUE"><SHORT-NAME>{name}</SHORT-NAME>{where}<DOP-REF ID-REF="D.{dop}"/></PARAM>'


MATCHING = (
    '<PARAM xsi:type="MATCHING-REQUEST-PARAM"><SHORT-NAME>Again</SHORT-NAME><BYTE-POSITION>1</BYTE-POSITION>'
    "<REQUEST-BYTE-POS>1</REQUEST-BYTE-POS><BYTE-LENGTH>2</BYTE-LENGTH></PARAM>"
)


def _service(name: str, asks: str, answers: str, sid: int) -> tuple[str, str, str]:
    positive = f'<POS-RESPONSE-REFS><POS-RESPONSE-REF ID-REF="A.{name}"/></POS-RESPONSE-REFS>'
    refs = f'<SHORT-NAME>{name}</SHORT-NAME><REQUEST-REF ID-REF="Q.{name}"/>{positive}'
    asked, answered = _const("Sid", 0, sid) + asks, _const("Sid", 0, sid + 0x40) + answers
    return (
        f'<DIAG-SERVICE ID="S.{name}">{refs}</DIAG-SERVICE>',
        f'<REQUEST ID="Q.{name}"><SHORT-NAME>Q_{name}</SHORT-NAME><PARAMS>{asked}</PARAMS></REQUEST>',
        f'<POS-RESPONSE ID="A.{name}"><SHORT-NAME>A_{name}</SHORT-NAME><PARAMS>{answered}</PARAMS></POS-RESPONSE>',
    )


def _reads(name: str, identifier: int, *params: str) -> tuple[str, str, str]:
    return _service(name, _const("Id", 1, identifier, 16), MATCHING + "".join(params), 0x22)


SERVICES = (
    _reads("AirRead", 0x2120, *(_param(f"Air{n}", "Air", 3 + 2 * n) for n in range(4))),
    _reads("WarmthRead", 0x2121, _param("Warmth", "Warmth", None)),
    _reads("SwappedRead", 0x2123, _param("Swapped", "Swapped", 3)),
    _reads("LampRead", 0x2140, _param("Lamp", "LampState", 3)),
    _reads("SerialRead", 0xF18C, _param("Serial", "Letters", 3)),
    _reads("FlagRead", 0x2122, _param("Flag", "Flag", 3, 2)),
    _reads("OddRead", 0x2124, _param("Odd", "Odd", 3)),
    _reads("BelowRead", 0x2125, _param("Below", "Below", 3)),
    _reads("SeveralRead", 0x2126, _param("First", "Air", 3), _param("Second", "Warmth", 5)),
    _reads("GapRead", 0x2127, _param("Late", "Warmth", 4)),
    _service("OpenRead", _param("Which", "Open", 1), MATCHING + _param("Got", "Warmth", 3), 0x22),
    _service("ListWrite", _const("Id", 1, 0x2110, 16) + _param("New", "Air", 3), MATCHING, 0x2E),
    _service("TeachStart", _const("Sub", 1, 1) + _const("Id", 2, 0x0310, 16), _const("Sub", 1, 1), 0x31),
)  # fmt: skip


def _layer(name: str, *, ids: str) -> str:
    comms, requests, responses = ("".join(one[n] for one in SERVICES) for n in range(3))
    return (
        f'<BASE-VARIANT ID="L.{name}"><SHORT-NAME>{name}</SHORT-NAME>'
        f"<DIAG-DATA-DICTIONARY-SPEC><DATA-OBJECT-PROPS>{DOPS}</DATA-OBJECT-PROPS>{UNITS}</DIAG-DATA-DICTIONARY-SPEC>"
        f"<DIAG-COMMS>{comms}</DIAG-COMMS><REQUESTS>{requests}</REQUESTS><POS-RESPONSES>{responses}</POS-RESPONSES>{ids}</BASE-VARIANT>"
    )


NAMES = ("CP_CanPhysReqFormat", "CP_CanPhysReqId", "CP_CanRespUSDTFormat", "CP_CanRespUSDTId")
SUBSET = (
    f'{HEAD}<COMPARAM-SUBSET CATEGORY="TRANSPORT" ID="C"><SHORT-NAME>Carrying</SHORT-NAME><COMPLEX-COMPARAMS>'
    '<COMPLEX-COMPARAM ID="C.Table" PARAM-CLASS="UNIQUE_ID" CPTYPE="STANDARD" CPUSAGE="ECU-COMM"><SHORT-NAME>CP_UniqueRespIdTable</SHORT-NAME>'
    + "".join(
        f'<COMPARAM ID="C.{name}" PARAM-CLASS="UNIQUE_ID" CPTYPE="STANDARD" CPUSAGE="ECU-COMM"><SHORT-NAME>{name}</SHORT-NAME>'
        '<PHYSICAL-DEFAULT-VALUE>0</PHYSICAL-DEFAULT-VALUE><DATA-OBJECT-PROP-REF ID-REF="C.Text"/></COMPARAM>'
        for name in NAMES
    )
    + "</COMPLEX-COMPARAM></COMPLEX-COMPARAMS><DATA-OBJECT-PROPS>"
    '<DATA-OBJECT-PROP ID="C.Text"><SHORT-NAME>Text</SHORT-NAME>' + SAME + _coded(32, "A_UNICODE2STRING")
    + '<PHYSICAL-TYPE BASE-DATA-TYPE="A_UNICODE2STRING"/></DATA-OBJECT-PROP></DATA-OBJECT-PROPS></COMPARAM-SUBSET></ODX>'
)  # fmt: skip


def _ids(request: int, answer: int, bits: int) -> str:
    values = (f"normal segmented {bits}-bit", str(request), f"normal segmented {bits}-bit", str(answer))
    listed = "".join(f"<SIMPLE-VALUE>{value}</SIMPLE-VALUE>" for value in values)
    return (
        '<COMPARAM-REFS><COMPARAM-REF ID-REF="C.Table" DOCREF="Carrying" DOCTYPE="COMPARAM-SUBSET">'
        f"<COMPLEX-VALUE>{listed}</COMPLEX-VALUE></COMPARAM-REF></COMPARAM-REFS>"
    )


def _container(*layers: str) -> str:
    return (
        f'{HEAD}<DIAG-LAYER-CONTAINER ID="K"><SHORT-NAME>Container</SHORT-NAME>'
        f"<BASE-VARIANTS>{''.join(layers)}</BASE-VARIANTS></DIAG-LAYER-CONTAINER></ODX>"
    )


def odx_d() -> bytes:
    """One layer without communication parameters, as .odx-d."""
    return _container(_layer("Monitor", ids="")).encode()


def zipped(**files: bytes) -> bytes:
    """A .pdx; keys with '__' for the dot."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in files.items():
            packed.writestr(name.replace("__", ".").replace("_", "-"), data)
    return out.getvalue()


INDEX = b'<?xml version="1.0"?><CATALOG F-DTD-VERSION="ODX-2.2.0"><SHORT-NAME>Package</SHORT-NAME></CATALOG>'


def pdx(request: int = 0x6A3, answer: int = 0x6AB, bits: int = 11, layers: tuple[str, ...] = ("Monitor",)) -> bytes:
    """Layers with their communication parameters, as .pdx."""
    made = _container(*(_layer(name, ids=_ids(request, answer, bits)) for name in layers))
    return zipped(index__xml=INDEX, carrying__odx_cs=SUBSET.encode(), container__odx_d=made.encode())
