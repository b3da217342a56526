"""Writing a garage file: only what has changed is touched in the text there was; all else stays to the letter."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from wheelside.declared.lines import key_parts, toml_tree
from wheelside.garage.model import FORMAT_VERSION
from wheelside.garage.rows import MANY, NAMED, SINGLE, Table, expanded, rows_of

if TYPE_CHECKING:
    from tree_sitter import Node


def written(table: Table, text: str = "") -> str:
    """A garage file that says what `table` says, written into `text` where there is one: comments and order stay.

    Where `text` says the same already, it comes back to the letter.
    """
    old: Table = tomllib.loads(text)
    if _same(old, table):
        return text
    source = _Source(text)
    _put_top(source, old, {"wheelside": FORMAT_VERSION, **table})
    for kind in SINGLE:
        _put_single(source, kind, old.get(kind), table.get(kind))
    for kind in MANY:
        _put_rows(source, kind, old.get(kind, []), table.get(kind, []))
    return source.result()


def _same(old: Table, new: Table) -> bool:
    """Whether two tables have the same rows, in the same order among those without an id."""
    named = [{(kind, key): body for kind, key, body in rows_of(t) if kind in NAMED} for t in (old, new)]
    loose = [[(kind, body) for kind, _, body in rows_of(t) if kind not in NAMED and body] for t in (old, new)]
    return named[0] == named[1] and loose[0] == loose[1]


@dataclass(slots=True)
class _Block:
    """One table of the text: its header, its keys, and the tables within it by key."""

    node: Node | None
    pairs: dict[str, Node] = field(default_factory=dict)
    within: dict[str, list[Node]] = field(default_factory=dict)

    @property
    def nodes(self) -> list[Node]:
        return [n for n in (self.node, *(n for nodes in self.within.values() for n in nodes)) if n is not None]


class _Source:
    """A text with its tables by kind, and the changes that are to be made to it."""

    def __init__(self, text: str) -> None:
        self.data = text.encode()
        self.top = _Block(None)
        self.rows: dict[str, list[_Block]] = {}
        self.edits: list[tuple[int, int, bytes]] = []
        self.added: list[str] = []
        for node in toml_tree(text).root_node.children:
            self._take(node)

    def _take(self, node: Node) -> None:
        if node.type == "pair":
            self.top.pairs[next(iter(key_parts(node.children[0])))] = node
        elif node.type in ("table", "table_array_element"):
            header = next(child for child in node.children if child.type.endswith("key"))
            first, *rest = key_parts(header)
            if rest:
                self.rows[first][-1].within.setdefault(rest[0], []).append(node)
            else:
                block = _Block(
                    node, {p: child for child in node.children if child.type == "pair" for p in _first(child)}
                )
                self.rows.setdefault(first, []).append(block)

    def replace(self, start: int, end: int, text: str) -> None:
        self.edits.append((start, end, text.encode()))

    def cut(self, node: Node) -> None:
        """Takes a key or a table out, with its lines; comments below a table stay."""
        start = self.data.rfind(b"\n", 0, node.start_byte) + 1
        end = _end(node)
        while end < len(self.data) and self.data[end : end + 1] in (b" ", b"\t"):
            end += 1
        if self.data[end : end + 1] == b"\n":
            end += 1
        self.replace(start, end, "")

    def result(self) -> str:
        data = self.data
        after = len(data)
        numbered = [(start, end, n, new) for n, (start, end, new) in enumerate(self.edits)]
        for start, end, _, new in sorted(numbered, reverse=True):  # at one place the first one wanted comes first
            data = data[:start] + new + data[min(end, after) :]
            after = start
        text = data.decode().rstrip("\n")
        parts = [text, *self.added] if text else self.added
        return "\n\n".join(part.rstrip("\n") for part in parts) + "\n"


def _end(node: Node) -> int:
    """Where a key or a table ends: behind its last part that is no comment."""
    parts = [child for child in node.children if child.type != "comment"]
    return parts[-1].end_byte if node.type != "pair" and parts else node.end_byte


def _first(pair: Node) -> Iterator[str]:
    yield next(iter(key_parts(pair.children[0])))


def _put_top(source: _Source, old: Table, new: Table) -> None:
    keys = [k for k in (*new, *old) if k not in MANY and k not in SINGLE]
    if not source.data.strip():
        source.added.append(_lines({k: new[k] for k in dict.fromkeys(keys)}))
        return
    _update(source, source.top, {k: old[k] for k in keys if k in old}, {k: new[k] for k in keys if k in new})


def _put_single(source: _Source, kind: str, old: Table | None, new: Table | None) -> None:
    blocks = source.rows.get(kind, [])
    if new and blocks:
        _update(source, blocks[0], old or {}, new)
    elif new and kind in source.top.pairs:
        source.replace(*_value(source.top.pairs[kind]), _inline(new))
    elif new:
        source.added.append(f"[{kind}]\n{_lines(new)}")
    elif old is not None:
        for node in [n for block in blocks for n in block.nodes] or [source.top.pairs[kind]]:
            source.cut(node)


def _put_rows(source: _Source, kind: str, old: list[Table], new: list[Table]) -> None:
    """The rows of one table: those that say the same stay, those that changed are changed where they stand."""
    if kind in source.top.pairs:  # written as one array of inline tables
        if old != new:
            source.replace(*_value(source.top.pairs[kind]), _inline(new))
        return
    wanted = [dict(row) for row in new]
    waiting = []
    for block, row in zip(source.rows.get(kind, []), old, strict=True):
        group = expanded(row)
        if all(one in wanted for one in group):
            for one in group:
                wanted.remove(one)
        else:
            waiting.append((block, row))
    for block, row in waiting:
        changed = next((w for w in wanted if kind in NAMED and w.get("id") == row.get("id")), None)
        if changed is None:
            for node in block.nodes:
                source.cut(node)
        else:
            wanted.remove(changed)
            _update(source, block, row, changed)
    _add(source, kind, wanted)


def _add(source: _Source, kind: str, rows: list[Table]) -> None:
    """New rows behind the last one of their kind, or at the end of the text."""
    printed = [f"[[{kind}]]\n{_lines(row)}" for row in rows]
    blocks = source.rows.get(kind, [])
    if not blocks or not printed:
        source.added += printed
        return
    end = max(_end(node) for node in blocks[-1].nodes)
    kept = source.data[:end].rstrip()
    source.replace(len(kept), len(kept), "".join("\n\n" + p.rstrip("\n") for p in printed))


def _update(source: _Source, block: _Block, old: Table, new: Table) -> None:
    added = {}
    for key, value in new.items():
        if key in old and old[key] == value:
            continue
        if key in block.pairs and not _dotted(block.pairs[key]):
            source.replace(*_value(block.pairs[key]), _inline(value))
        else:
            _drop(source, block, key)
            added[key] = value
    for key in old:
        if key not in new:
            _drop(source, block, key)
    if added:
        staying = [p for key, p in block.pairs.items() if key in new and not _dotted(p)]
        last = max(staying, key=lambda n: n.end_byte, default=None)
        at = last.end_byte if last else (block.node.start_byte if block.node else 0)
        if last is None and block.node is not None:
            at = source.data.find(b"]", block.node.start_byte)
            while source.data[at : at + 1] == b"]":
                at += 1
        source.replace(at, at, "\n" + _lines(added).rstrip("\n"))


def _drop(source: _Source, block: _Block, key: str) -> None:
    for node in (*([block.pairs[key]] if key in block.pairs else ()), *block.within.get(key, ())):
        source.cut(node)


def _dotted(pair: Node) -> bool:
    return len(list(key_parts(pair.children[0]))) > 1


def _value(pair: Node) -> tuple[int, int]:
    return pair.children[2].start_byte, pair.children[2].end_byte


def _lines(row: Table) -> str:
    return "".join(f"{_key(key)} = {_inline(value)}\n" for key, value in row.items())


def _key(key: str) -> str:
    import tomlkit

    return tomlkit.key(key).as_string()


def _inline(value: Any) -> str:
    """A value on one line, as a person writes it."""
    import tomlkit

    if isinstance(value, dict):
        inner = ", ".join(f"{_key(key)} = {_inline(one)}" for key, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list):
        return f"[{', '.join(_inline(one) for one in value)}]"
    text: str = tomlkit.item(value).as_string()
    return text
