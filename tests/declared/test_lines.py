"""Lines of keys in TOML of every shape."""

from __future__ import annotations

from wheelside.declared.lines import LineIndex

TEXT = """\
a = 1
[t]
"b c" = 2
d.e = { f = 3 }

[[r]]
id = "one"
[r.sub]
x = 1
[[r]]
id = "two"
list = [
  { k = 1 },
  { k = 2 },
]
[[r.deep]]
y = 1
[[r.deep]]
y = 2
"""


def test_each_path_has_its_line() -> None:
    index = LineIndex(TEXT)
    expected = {
        ("a",): 1, ("t",): 2, ("t", "b c"): 3, ("t", "d", "e", "f"): 4, ("r", 0): 6, ("r", 0, "id"): 7, ("r", 0, "sub", "x"): 9,
        ("r", 1, "id"): 11, ("r", 1, "list", 1, "k"): 14, ("r", 1, "deep", 0, "y"): 17, ("r", 1, "deep", 1): 18, ("r", 1, "deep", 1, "y"): 19,
    }  # fmt: skip
    assert {path: index.line(path) for path in expected} == expected


def test_a_missing_key_is_put_on_its_table() -> None:
    assert LineIndex(TEXT).line(("r", 1, "absent")) == 10
    assert LineIndex(TEXT).line(("absent",)) is None
