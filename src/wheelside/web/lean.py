"""Style sheets and scripts as they are sent: without remarks, and without the blanks that only people need."""

from __future__ import annotations

import re

_REMARK = re.compile(r"(?:^|(?<=[\s{};]))/\*(?:(?!\*/).)*\*/", re.DOTALL | re.MULTILINE)
_EDGES = re.compile(r"[ \t]*\n\s*")


def lean_script(text: str) -> str:
    r"""A script without its remarks, each line without its blanks at either end; lines stay, for a line's end may end a statement.

    A remark stands after a blank, so that 'image/*' is none. No script of ours has a text of several lines.

    >>> lean_script("/* All of it. */\nlet a = 1; /* one */\n  a++;\n")
    'let a = 1;\na++;\n'
    """
    return _EDGES.sub("\n", _REMARK.sub("", text)).lstrip()


def lean_style(text: str) -> str:
    r"""A style sheet without its remarks and needless blanks; blanks within a selector or a value stay, and so does what is quoted.

    >>> lean_style('/* Rows. */\n.row > b, .tag { color: red; content: "a: b" }\n')
    '.row > b,.tag{color:red;content:"a: b"}'
    """
    parts = re.split(r'("[^"]*")', _REMARK.sub("", text))
    return "".join(part if n % 2 else _tight(part) for n, part in enumerate(parts)).strip()


def _tight(style: str) -> str:
    style = re.sub(r"\s+", " ", style)
    style = re.sub(r" ?([{};]) ?", r"\1", style)
    return re.sub(r"([:,]) ", r"\1", style).replace(";}", "}")
