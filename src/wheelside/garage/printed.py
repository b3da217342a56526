"""The declarations of a garage, printed: as a JSON Schema and as the reference page."""

from __future__ import annotations

from wheelside.declared.kinds import Json
from wheelside.declared.page import page_of
from wheelside.declared.schema import schema_of
from wheelside.garage.model import FORMAT_VERSION, Garage

_HEAD = """\
# Garage file

One TOML file holds what you know of your cars, wheel sets and sensors. Every key may be left out unless
it says *required*: what is missing is asked for when it matters, and never guessed. Any table may carry
`note = "…"`, and `from = { key = "where this fact comes from" }` for any of its keys.

Quantities are text with a unit: `"2.4 bar"`, `"36 psi"`, `"250 kPa"`, `"-12 °C"`, `"10 F"`, `"7/32 in"`. A comma
does for a decimal point. Pressures are gauge unless the key says air pressure. Days are written without
quotes: `2026-11-28`.

`wheelside check FILE` names every problem with its line. `wheelside schema` prints the same as JSON Schema;
`wheelside demo --write FOLDER` gives you an example. This page is `wheelside schema --markdown`.
"""


def garage_schema() -> Json:
    """The schema of garage files of this format, JSON Schema draft 2020-12."""
    return schema_of(Garage, f"Wheelside garage file, format {FORMAT_VERSION}")


def garage_page() -> str:
    """The page in Markdown."""
    return page_of(Garage, _HEAD)
