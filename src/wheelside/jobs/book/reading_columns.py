"""Which column of a file says what: by the names that a readings file has, by the owner's word, else asked."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from wheelside.errors import BadRequest

PRESSURES = {
    f"pressure_{unit.lower()}_{kind}": (unit, kind == "absolute")
    for unit in ("kPa", "bar", "psi")
    for kind in ("gauge", "absolute")
}
"""Columns of pressures with their unit, and whether they are against vacuum."""
OPEN_PRESSURES = {"pressure_gauge": ("", False), "pressure_absolute": ("", True)}
"""The same where the column names no unit: the cells do, or the owner."""
TEMPERATURES = {"temperature_c": "°C", "temperature_f": "°F"}
"""Columns of temperatures with their unit, where it is not said what they are of."""
TYRE_TEMPERATURES = {f"tyre_{name}": unit for name, unit in TEMPERATURES.items()}
OUTSIDE_TEMPERATURES = {f"outside_{name}": unit for name, unit in TEMPERATURES.items()}
AIR_PRESSURES = {"air_pressure_kpa": "kPa", "air_pressure_hpa": "hPa"}
"""Columns of the pressure of the air around, with their unit."""
UNIT_IN_NAME = TEMPERATURES | TYRE_TEMPERATURES | OUTSIDE_TEMPERATURES | AIR_PRESSURES
"""Columns whose name alone says their unit: no other word on a file does."""
TARGETS = (
    "wheel", "sensor", "at", "time", "channel", *PRESSURES, *OPEN_PRESSURES, *UNIT_IN_NAME, "battery_low", "instrument", "instrument_id",
    "purpose", "warmth", "place", "mistaken",
)  # fmt: skip
"""Everything that a column can say."""
LEFT_OUT = "-"
_WORDS = {
    "wheel": ("wheel", "tyre", "tire", "rad", "reifen", "position", "corner"),
    "at": ("date", "day", "when", "moment", "datum", "tag", "zeitpunkt", "measured"),
    "time": ("clock", "hour", "uhrzeit", "zeit", "time"),
    "instrument": ("instrument", "gauge", "device", "messgerät", "gerät"),
    "battery_low": ("battery", "batterie"),
    "sensor": ("sensor", "sensor id"),
    "place": ("place", "ort", "where"),
    "purpose": ("purpose", "zweck"),
}
"""Words of headings, in English and German, that propose a column; nothing is matched by them without the owner."""
_PRESSURE_WORDS = ("pressure", "druck", "luftdruck", "inflation", "fülldruck")


@dataclass(frozen=True, slots=True)
class Matched:
    """What each column says: a name of `TARGETS`, '-' where it is left out, '' where that is not known yet."""

    headers: tuple[str, ...]
    targets: tuple[str, ...]

    @property
    def unmatched(self) -> tuple[str, ...]:
        return tuple(h for h, t in zip(self.headers, self.targets, strict=True) if not t)


def split_columns(words: Iterable[str]) -> dict[str, str]:
    """'Reifen=wheel' as the owner gives it, by heading. Raises BadRequest for one without '=', or twice."""
    found: dict[str, str] = {}
    for word in words:
        heading, mark, target = word.rpartition("=")
        if not mark or not heading.strip():
            raise BadRequest(f'--column {word}: write HEADING=COLUMN, as in --column "Reifen=wheel"', found=word)
        key = plain(heading)
        if found.setdefault(key, target.strip()) != target.strip():
            raise BadRequest(f"--column {word}: this heading is matched to two columns; keep one", found=word)
    return found


def match_columns(headers: Iterable[str], given: Mapping[str, str]) -> Matched:
    """What the columns under these headings say, the owner's word first.

    `given` is by heading, as `split_columns` makes it. Raises BadRequest where the word names no heading or no column.
    """
    heads = tuple(headers)
    known = {plain(h) for h in heads}
    for heading, target in given.items():
        if heading not in known:
            raise BadRequest(
                f"no column '{heading}' in the file: it has {', '.join(h for h in heads if h)}",
                found=heading,
                expected=", ".join(heads),
            )
        check_target(target)
    return Matched(heads, tuple(given.get(plain(h)) or _by_name(h) for h in heads))


def check_target(target: str) -> None:
    """Raises BadRequest where a name is that of no column."""
    if target in (*TARGETS, LEFT_OUT):
        return
    near = get_close_matches(target, TARGETS, 1, 0.5)
    offer = f"write '{near[0]}'; " if near else ""
    raise BadRequest(
        f"'{target}' is not a column: {offer}there are {', '.join(TARGETS)}, and '{LEFT_OUT}' to leave it out",
        found=target,
    )


def twice(matched: Matched) -> tuple[tuple[str, str], ...]:
    """Each column that says what one before it says, with the heading of that one."""
    seen: dict[str, str] = {}
    found = []
    for heading, target in zip(matched.headers, matched.targets, strict=True):
        if target in ("", LEFT_OUT):
            continue
        if target in seen:
            found.append((heading, seen[target]))
        seen.setdefault(target, heading)
    return tuple(found)


def plain(heading: str) -> str:
    """A heading or a name as it is compared: without regard to case and spaces."""
    return " ".join(heading.split()).casefold()


def _by_name(heading: str) -> str:
    name = re.sub(r"[\s-]+", "_", heading.strip().casefold())
    return name if name in TARGETS else ("" if name else LEFT_OUT)


def proposed(heading: str) -> str:
    """What a heading most likely says; '' where nothing is near. A pressure has a unit only where the heading names one."""
    words = re.findall(r"[^\W_]+", heading.casefold())
    if almost := get_close_matches("_".join(words), TARGETS, 1, 0.9):
        return almost[0]
    if any(word.startswith(one) or word.endswith(one) for word in words for one in _PRESSURE_WORDS):
        return _pressure(words)
    if any(word.startswith("temp") or word.endswith("temperatur") for word in words):
        return _temperature(words)
    for target, near in _WORDS.items():
        if any(word.startswith(one) for word in words for one in near):
            return target
    close = get_close_matches("_".join(words), TARGETS, 1, 0.7)
    return close[0] if close else _pressure(words) if {"bar", "psi", "kpa"} & set(words) else ""


_TYRE_WORDS, _OUTSIDE_WORDS = ("tyre", "tire", "reifen"), ("outside", "ambient", "außen", "aussen")


def _temperature(words: list[str]) -> str:
    """The column of a temperature: of the tyre or the air outside where the heading says so."""
    unit = "f" if {"f", "fahrenheit"} & set(words) else "c"
    outside = any(word.startswith(_OUTSIDE_WORDS) for word in words)
    tyre = any(word.startswith(_TYRE_WORDS) for word in words)
    return f"{'outside_' if outside else 'tyre_' if tyre else ''}temperature_{unit}"


def _pressure(words: list[str]) -> str:
    kind = "absolute" if any(word.startswith("abs") for word in words) else "gauge"
    unit = next((one for one in ("kpa", "bar", "psi") if one in words), "")
    return f"pressure_{unit}_{kind}" if unit else f"pressure_{kind}"
