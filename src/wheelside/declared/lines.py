"""Which line of a TOML text each key stands on. Asked for only when there is something to complain about."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tree_sitter import Node, Tree

PathKey = tuple[str | int, ...]


def toml_tree(text: str) -> Tree:
    """The text as a syntax tree with positions."""
    import tree_sitter_toml
    from tree_sitter import Language, Parser

    return Parser(Language(tree_sitter_toml.language())).parse(text.encode("utf-8"))


class LineIndex:
    """The lines of one text, counted from 1, found by the path of a key: ('car', 0, 'band')."""

    def __init__(self, text: str) -> None:
        self._lines: dict[PathKey, int] = {}
        self._counts: dict[PathKey, int] = {}
        for node in toml_tree(text).root_node.children:
            self._read_top(node)

    def line(self, path: PathKey) -> int | None:
        """The line of `path`, or of the nearest table around it; None for the whole file."""
        while path:
            if path in self._lines:
                return self._lines[path]
            path = path[:-1]
        return None

    def _read_top(self, node: Node) -> None:
        if node.type == "pair":
            self._read_pair(node, ())
        elif node.type in ("table", "table_array_element"):
            keys = next((child for child in node.children if child.type.endswith("key")), None)
            if keys is None:
                return
            base = self._resolve(tuple(key_parts(keys)), node.type == "table_array_element")
            self._lines.setdefault(base, node.start_point[0] + 1)
            for child in node.children:
                if child.type == "pair":
                    self._read_pair(child, base)

    def _resolve(self, keys: tuple[str, ...], opens_row: bool) -> PathKey:
        """The path of a table header, with the row number that each array on the way has reached."""
        path: PathKey = ()
        for i, key in enumerate(keys):
            path = (*path, key)
            if opens_row and i == len(keys) - 1:
                self._counts[path] = self._counts.get(path, -1) + 1
            if path in self._counts:
                path = (*path, self._counts[path])
        return path

    def _read_pair(self, node: Node, base: PathKey) -> None:
        keys = tuple(key_parts(node.children[0]))
        path = base + keys
        for depth in range(1, len(keys) + 1):
            self._lines.setdefault(base + keys[:depth], node.start_point[0] + 1)
        if len(node.children) > 2:
            self._read_value(node.children[2], path)

    def _read_value(self, node: Node, path: PathKey) -> None:
        if node.type == "inline_table":
            for child in node.children:
                if child.type == "pair":
                    self._read_pair(child, path)
        elif node.type == "array":
            items = [c for c in node.children if c.is_named and c.type != "comment"]
            for i, child in enumerate(items):
                self._lines[(*path, i)] = child.start_point[0] + 1
                self._read_value(child, (*path, i))


def key_parts(node: Node) -> Iterator[str]:
    """The parts of a key: front, left of front.left."""
    if node.type == "dotted_key":
        for child in node.children:
            yield from key_parts(child)
    elif node.type in ("bare_key", "quoted_key") and node.text is not None:
        yield node.text.decode("utf-8").strip("\"'")
