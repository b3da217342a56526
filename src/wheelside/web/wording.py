"""Words of findings and steps as a page says them: tables of the garage file become links, command-line options go."""

from __future__ import annotations

import re

from markupsafe import Markup, escape

from wheelside.garage.rows import MANY, SINGLE

_TABLE = re.compile(r"\[\[?([a-z_]+)\]\]?")
_OPTION = re.compile(r",? or --[a-z-]+(?: [-\w]+)?")
_KEY = re.compile(r"'([a-z]+(?:_[a-z]+)+)'")
_COMMANDS = (
    (re.compile(r"'wheelside sheet … --set \"([^\"]*)\"' lists the steps"), r"begin a job for \1 under Jobs"),
    (re.compile(r"'wheelside plan'"), "the ID plan"),
    (re.compile(r"'wheelside check' names the line"), "the forms under Facts name what is wrong"),
)


def for_pages(said: str) -> Markup:
    """A text with links in place of table names: 'in [conditions]' leads to the form of the conditions."""
    text = _OPTION.sub("", said)
    for pattern, words in _COMMANDS:
        text = pattern.sub(words, text)
    text = _KEY.sub(lambda m: f"'{m[1].replace('_', ' ')}'", text)
    parts, end = [], 0
    for found in _TABLE.finditer(text):
        kind = found[1]
        if kind in MANY or kind in SINGLE:
            address = f"/facts/{kind}" + ("" if kind in MANY else "/one")
            parts += [
                escape(text[end : found.start()]),
                Markup('<a href="{}">{}</a>').format(address, kind.replace("_", " ")),
            ]
            end = found.end()
    return Markup("").join([*parts, escape(text[end:])])
