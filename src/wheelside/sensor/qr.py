"""QR codes: of a sensor ID, which holds its hex digits and nothing else, or of an address. The one user of segno."""

from __future__ import annotations

import io

from wheelside.sensor.ident import SensorId


def qr_svg(sensor_id: SensorId) -> str:
    """The QR code (ISO/IEC 18004, error correction M) as an SVG picture."""
    return _svg(sensor_id.hex, f"Sensor ID {sensor_id.hex}", sized=True)


def text_svg(text: str, title: str) -> str:
    """A text as a QR code, as an SVG picture with a title, as large as the page makes it."""
    return _svg(text, title, sized=False)


def _svg(text: str, title: str, *, sized: bool) -> str:
    import segno

    out = io.BytesIO()
    segno.make_qr(text, error="m").save(out, kind="svg", scale=4, xmldecl=False, title=title, omitsize=not sized)
    return out.getvalue().decode("utf-8")


def qr_terminal(sensor_id: SensorId) -> str:
    """The QR code as two rows of modules a line, for a terminal with a light or dark ground."""
    import segno

    out = io.StringIO()
    segno.make_qr(sensor_id.hex, error="m").terminal(out, compact=True)
    return out.getvalue()


def modules(text: str) -> tuple[int, str]:
    """A text as a QR code: its size in modules, and its dark modules as strokes of an SVG path one module wide."""
    import segno

    code = segno.make_qr(text, error="m")
    steps = []
    for y, row in enumerate(code.matrix):
        runs: list[str] = []
        x = pen = 0
        while x < len(row):
            run = next((i for i in range(x, len(row)) if not row[i]), len(row)) - x
            if run:
                runs.append(f"h{run}" if runs and x == pen else f"m{x - pen} 0h{run}" if runs else f"M{x} {y}.5h{run}")
                pen = x + run
            x += run + 1
        steps += runs
    return len(code.matrix), "".join(steps)


def dark(text: str) -> tuple[int, ...]:
    """A text as a QR code, row by row: its dark modules as the bits of a number, the leftmost the highest.

    >>> f"{dark('F799387A')[0]:021b}"[:8], len(dark("F799387A"))
    ('11111110', 21)
    """
    import segno

    return tuple(
        int("".join("1" if module else "0" for module in row), 2) for row in segno.make_qr(text, error="m").matrix
    )
