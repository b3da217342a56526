"""Words of findings and steps as a page says them: tables of the garage file become links, command-line options go."""

from __future__ import annotations

import re
from urllib.parse import quote

from markupsafe import Markup, escape

from wheelside.garage.rows import MANY, SINGLE
from wheelside.said import Command, Named, Option, Table
from wheelside.speech.speech import Keys, Place, Speech
from wheelside.units import UnitChoice

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


def on_page(said: object, units: UnitChoice) -> Markup:
    """What is said, as a page has it: a fact to be noted links to its field, a table to its rows; options of the command line go."""
    links: list[Markup] = []

    def placed(place: Place) -> str:
        links.append(link_to(place))
        return f"\0{len(links) - 1}\0"

    parts = Speech(units, place=placed).text(said).split("\0")
    return Markup("").join(links[int(part)] if n % 2 else escape(part) for n, part in enumerate(parts))


def link_to(place: Place) -> Markup:
    """The link to where a fact is noted or a thing is done; nothing for an option of the command line."""
    link = Markup('<a href="{}">{}</a>')
    if isinstance(place, Option):
        return Markup("")
    if isinstance(place, Command):
        return link.format(place.page, place.name)
    if isinstance(place, Named):
        return link.format(f"/things/{place.table}/{quote(place.row, safe='')}", place.name)
    if isinstance(place, Table):
        return link.format(f"/facts/{place.table}{'' if place.many else '/one'}", _spaced(place.table))
    if isinstance(place, Keys):
        rows = Markup(", ").join(link.format(_field(place.table, row, place.key), row) for row in place.rows)
        return Markup("{} ({})").format(_spaced(place.key), rows)
    return link.format(_field(place.table, place.row, place.key), _spaced(place.key or place.table))


def _field(table: str, row: str, key: str) -> str:
    """The address of a field in the form of a row; of the whole form without a key."""
    form = f"/facts/{table}/{quote(row, safe='') if row else 'one'}"
    return f"{form}#f-{key}" if key else form


def _spaced(key: str) -> str:
    return key.replace("_", " ")
