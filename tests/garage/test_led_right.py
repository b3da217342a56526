"""What people write instead: the message leads to what the file wants. And a set of four alike in few lines."""

from __future__ import annotations

import copy
from datetime import date

import pytest

from wheelside.errors import BadFile
from wheelside.garage.file import read_garage, read_text
from wheelside.garage.joined import parts_on
from wheelside.garage.rows import rows_of
from wheelside.garage.suppose import supposing
from wheelside.garage.write import written

DAY = date(2026, 11, 28)


def problem(body: str, name: str = "x.toml") -> str:
    with pytest.raises(BadFile) as caught:
        read_garage(f"wheelside = 1\n{body}\n".encode(), name)
    return caught.value.problems[0].suggestion


@pytest.mark.parametrize(
    ("body", "led"),
    [
        ("[[car]]\nid = 'a'\nholds = 'summer'", 'write holds = [{ set = "summer" }]'),
        ("[[car]]\nid = 'a'\nholds = ['summer']", 'write holds = [{ set = "summer" }]'),
        ("[[car]]\nid = 'a'\nteach_order = ['FL']", "write 'front left'"),
        ("[[car]]\nid = 'a'\nteach_order = ['rr']", "write 'rear right'"),
        ("[[set]]\nid = 'a'\nwheels = { FR = 'x' }", "write 'front_right'"),
        ("[[sensor]]\nids = ['a', 'b']\nprinted = ['0742500339']", 'write "" where one is not known'),
    ],
)
def test_a_message_leads_to_what_is_wanted(body: str, led: str) -> None:
    assert problem(body) == led


def test_a_table_of_readings_is_led_to_the_book() -> None:
    with pytest.raises(BadFile) as caught:
        read_garage(b"wheel,kPa\nW1,240\n", "r.csv")
    assert caught.value.problems[0].suggestion == "readings go into a book: wheelside book import BOOK r.csv"


@pytest.mark.parametrize("text", ["ET 50", "ET50", "et 50 mm", "50 mm"])
def test_an_inset_is_taken_as_it_is_cast(text: str) -> None:
    garage = read_garage(f'wheelside = 1\n[[rim]]\nid = "a"\ninset = "{text}"\n'.encode(), "x.toml")
    assert garage.rim[0].inset is not None
    assert garage.rim[0].inset.mm == 50


FOUR = """wheelside = 1
[[tyre]]
ids = ["W1", "W2", "W3", "W4"]
designation = "205/60 R16 92H"
[[sensor]]
ids = ["W1", "W2", "W3", "W4"]
printed = ["1893077246", "", "1893077001", "1893076555"]
writing = "rewritable"
[[wheel]]
ids = ["W1", "W2", "W3", "W4"]
[[set]]
id = "winter"
wheels = { front_left = "W1", front_right = "W2", rear_left = "W3", rear_right = "W4" }
"""


def test_four_alike_are_joined_by_their_own_ids() -> None:
    garage, table = read_text(FOUR, "x.toml")
    parts = [parts_on(garage, f"W{n}", DAY) for n in range(1, 5)]
    assert [p.sensor.printed if p.sensor else "none" for p in parts] == ["1893077246", None, "1893077001", "1893076555"]
    assert {p.tyre.id if p.tyre else "none" for p in parts} == {"W1", "W2", "W3", "W4"}
    assert {p.rim for p in parts} == {None}
    sensors = [body for kind, _, body in rows_of(table) if kind == "sensor"]
    assert sensors[1] == {"id": "W2", "writing": "rewritable"}
    assert sensors[0]["printed"] == "1893077246"


def test_a_wheel_that_is_said_to_have_none_has_none() -> None:
    garage, _ = read_text(
        FOUR.replace(
            'ids = ["W1", "W2", "W3", "W4"]\n[[set]]',
            'id = "W1"\njoined = [{}]\n[[wheel]]\nids = ["W2", "W3", "W4"]\n[[set]]',
        ),
        "x.toml",
    )
    assert parts_on(garage, "W1", DAY).sensor is None
    assert parts_on(garage, "W3", DAY).sensor is not None


def test_one_of_four_alike_is_supposed_and_written_by_itself() -> None:
    _, table = read_text(FOUR, "x.toml")
    other = supposing(table, ('sensor.W3.printed = "1893079999"', 'tyre.W1.tread = "5 mm"'))
    assert [s.printed for s in other.sensor] == ["1893077246", None, "1893079999", "1893076555"]
    assert [t.tread is not None for t in other.tyre] == [True, False, False, False]
    changed = copy.deepcopy(table)
    changed["sensor"][0]["printed"][1] = "1893078003"
    assert read_text(written(changed, FOUR), "x.toml")[0].sensors["W2"].printed == "1893078003"
