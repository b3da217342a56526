"""QR codes: of a sensor ID, which holds its hex digits and nothing else, or of an address. The one user of segno."""

from __future__ import annotations

import io

from wheelside.sensor.ident import SensorId


def qr_svg(sensor_id: SensorId) -> str:
    """The QR code (ISO/IEC 18004, error correction M) as an SVG picture."""
    return text_svg(sensor_id.hex, f"Sensor ID {sensor_id.hex}")


def text_svg(text: str, title: str) -> str:
    """A text as a QR code, as an SVG picture with a title."""
    import segno

    out = io.BytesIO()
    segno.make_qr(text, error="m").save(out, kind="svg", scale=4, xmldecl=False, title=title)
    return out.getvalue().decode("utf-8")


def qr_terminal(sensor_id: SensorId) -> str:
    """The QR code as two rows of modules a line, for a terminal with a light or dark ground."""
    import segno

    out = io.StringIO()
    segno.make_qr(sensor_id.hex, error="m").terminal(out, compact=True)
    return out.getvalue()
