"""Tables are read by their declarations, whatever file they are of. The tables here are made up for the tests."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import pytest

from wheelside.corner import Corner
from wheelside.declared.kinds import TEXT, ByCorner, ListOf, Ref, Rows, fact, whole
from wheelside.declared.page import page_of
from wheelside.declared.read import alike, parse, problems
from wheelside.declared.row import LENGTH, Row, Thing
from wheelside.declared.schema import schema_of
from wheelside.declared.text import Sort, decode, read_toml
from wheelside.errors import BadFile
from wheelside.finding import Ground
from wheelside.units import Length

LOG = Sort("a log", too_large="cut it", spreadsheet="{first}write it as text", begin="begin with 'log = 1'")


@dataclass(frozen=True, slots=True, kw_only=True)
class Nail(Thing):
    """One nail."""

    FILE: ClassVar[str] = "log"
    ALIKE: ClassVar[bool] = True

    long: Length | None = fact(LENGTH, "How long it is.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Puncture(Row):
    """One puncture."""

    nail: str = fact(Ref("nail"), "The nail.", required=True)
    at: tuple[tuple[Corner, str], ...] = fact(ByCorner(TEXT), "What was seen, by corner.")
    hours: tuple[int, ...] = fact(ListOf(whole(0, 24), 2), "When.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Log(Row):
    """A log."""

    log: int = fact(whole(1, 1), "The format.", required=True)
    nail: tuple[Nail, ...] = fact(Rows(Nail), "Nails.")
    puncture: tuple[Puncture, ...] = fact(Rows(Puncture), "Punctures.")


TEXT_OF_IT = """\
log = 1

[[nail]]
ids = ["a", "b"]
long = "48 mm"

[[puncture]]
nail = "a"
at = { spare = "flat", front_left = "slow" }
hours = [7, 9]
"""


def test_rows_are_read_as_they_are_declared() -> None:
    parsed = parse(Log, read_toml(TEXT_OF_IT, "x.toml"))
    assert parsed.row is not None
    assert parsed.complaints == ()
    assert [(nail.id, nail.long) for nail in parsed.row.nail] == [("a", Length(48.0)), ("b", Length(48.0))]
    (puncture,) = parsed.row.puncture
    assert puncture.at == ((Corner.FRONT_LEFT, "slow"), (Corner.SPARE, "flat"))
    assert puncture.hours == (7, 9)
    assert parsed.references == ((("puncture", 0, "nail"), "nail", "a"),)


def test_a_fact_rests_on_the_file_that_it_is_of() -> None:
    nail = Nail(id="a", sources=(("long", "a rule"),))
    assert [(nail.basis(key).ground, nail.basis(key).source) for key in ("long", "label")] == [
        (Ground.OWNER, "a rule"),
        (Ground.OWNER, "log"),
    ]


@pytest.mark.parametrize(
    ("line", "new", "said"),
    [
        ('long = "48 mm"', "long = true", (5, "nail[1].long", "write it as in '48 mm'")),
        ('nail = "a"', 'nail = "a"\nlong = "3 mm"', (9, "puncture[1].long", "'long' belongs in [[nail]]")),
        ("hours = [7, 9]", "minutes = 3", (10, "puncture[1].minutes", "leave it out, or use 'note'")),
        ("hours = [7, 9]", "hours = [7, 25]", (10, "puncture[1].hours[2]", "write the digits without quotes")),
        ("spare =", "sparf =", (9, "puncture[1].at.sparf", "write 'spare'")),
    ],
)
def test_a_complaint_names_line_key_and_way_out(line: str, new: str, said: tuple[int, str, str]) -> None:
    text = TEXT_OF_IT.replace(line, new)
    assert text != TEXT_OF_IT
    (found,) = problems(text, parse(Log, read_toml(text, "x.toml")).complaints)
    assert (found.line, found.key, found.suggestion) == said


def test_a_row_that_can_not_be_read_takes_nobodys_reference_with_it() -> None:
    parsed = parse(Log, {"log": 1, "nail": [{"id": "a"}, {"id": "c", "long": "?"}], "puncture": [{"nail": "c"}]})
    assert [c.path for c in parsed.complaints] == [("nail", 1, "long")]
    assert [r[2] for r in parsed.references] == ["c"]
    parsed = parse(Log, {"log": 1, "puncture": [{"nail": "x", "at": 3}], "nail": [3, {"label": "no id"}]})
    assert [c.path for c in parsed.complaints] == [("puncture", 0, "at"), ("nail", 0), ("nail", 1, "id")]


def test_without_a_required_key_there_is_no_row() -> None:
    parsed = parse(Log, {"nail": [{"id": "a"}]})
    assert parsed.row is None
    assert [(c.path, c.found) for c in parsed.complaints] == [(("log",), "nothing")]


@pytest.mark.parametrize(
    ("data", "expected", "way"),
    [
        (b" \n", "a log", "begin with 'log = 1'"),
        (bytes.fromhex("D0CF11E0A1B11AE1"), "a log, which is TOML text", "save it as .xlsx or .ods, then write it as text"),
        (b"PK\x03\x04", "a log, which is TOML text", "write it as text"),
        (b"#" * 2_000_001, "at most 2000000 bytes", "cut it"),
    ],
)  # fmt: skip
def test_what_is_no_such_file_is_told_in_its_own_words(data: bytes, expected: str, way: str) -> None:
    with pytest.raises(BadFile) as caught:
        decode(data, "x.toml", LOG)
    (found,) = caught.value.problems
    assert (found.expected, found.suggestion) == (expected, way)


def test_schema_and_page_print_what_is_declared() -> None:
    schema = schema_of(Log, "Log")
    assert schema["required"] == ["log"]
    assert set(schema["$defs"]) == {"Nail", "Puncture"}
    assert schema["$defs"]["Nail"]["oneOf"] == [{"required": ["id"]}, {"required": ["ids"]}]
    assert set(schema["$defs"]["Puncture"]["properties"]["at"]["properties"]) == {corner.key for corner in Corner}
    page = page_of(Log, "# Log\n")
    assert page.startswith("# Log\n")
    assert "| `nail` | the id of a `[[nail]]` | *Required.* The nail. |" in page
    assert page.count("| `ids` | a list of short names |") == 1


def test_only_what_says_so_can_be_several_alike() -> None:
    assert alike(Nail)
    assert not alike(Puncture)
    (complaint,) = parse(Log, {"log": 1, "puncture": [{"nail": "a", "ids": ["x"]}]}).complaints
    assert complaint.path == ("puncture", 0, "ids")
