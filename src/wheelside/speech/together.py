"""Findings as they stand together on a screen: the serious ones first, and those that say the same of several things as one."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from wheelside.finding import Finding, Way, Weight
from wheelside.said import Begun, Joined, Key, Listing, Said, listed, say
from wheelside.speech.speech import Keys


def together(findings: Iterable[Finding]) -> list[Finding]:
    """Findings in the order of their weight, those as one that differ in what they are about and in the rows to be noted alone.

    Where several rows of a table want the same key, the way out names them all.
    """
    alike: dict[tuple[object, ...], list[Finding]] = {}
    for f in findings:
        alike.setdefault((f.weight, f.text, _rowless(f.way_out), f.basis), []).append(f)
    order = list(Weight)
    groups = sorted(alike.values(), key=lambda same: order.index(same[0].weight))
    return [same[0] if len(same) == 1 else _one(same) for same in groups]


def _one(same: list[Finding]) -> Finding:
    about = say("{about}", about=listed(dict.fromkeys(f.about for f in same), Joined.SEMICOLON))
    ways = [f.way_out for f in same if isinstance(f.way_out, Way)]
    if not ways:
        return replace(same[0], about=about)
    keys = [_keys(way.said) for way in ways]
    merged = iter([_merged([own[n] for own in keys]) for n in range(len(keys[0]))])
    way = Way(ways[0].kind, _said_with(ways[0].said, lambda _: next(merged)))
    return replace(same[0], about=about, way_out=way)


def _merged(keys: list[Key]) -> Key | Keys:
    """Keys of one name in several rows."""
    rows = tuple(dict.fromkeys(key.row for key in keys))
    return keys[0] if len(rows) == 1 else Keys(keys[0].table, keys[0].key, rows)


def _rowless(way: Way | str | None) -> object:
    """A way out without the rows that it names, by which like ones are found."""
    if not isinstance(way, Way):
        return way
    return way.kind, _said_with(way.said, lambda key: Key(key.table, key.key))


def _keys(said: Said) -> list[Key]:
    """The keys that something said names, in their order."""
    found: list[Key] = []

    def take(key: Key) -> Key:
        found.append(key)
        return key

    _said_with(said, take)
    return found


def _said_with(said: Said, change: Callable[[Key], object]) -> Said:
    """The same with other values for its keys."""
    return replace(said, values=tuple((name, _with(value, change)) for name, value in said.values))


def _with(value: object, change: Callable[[Key], object]) -> object:
    if isinstance(value, Key):
        return change(value)
    if isinstance(value, Listing):
        return replace(value, parts=tuple(_with(part, change) for part in value.parts))
    if isinstance(value, Begun):
        return Begun(_said_with(value.said, change))
    return _said_with(value, change) if isinstance(value, Said) else value
