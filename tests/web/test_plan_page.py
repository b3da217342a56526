"""The plan's page speaks of fields and forms: no key, table, option or command of the garage file stands on it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import tomli_w

from books import NOON
from garages import Table, add_set, bare_table, demo_table, learning_table, seeded
from visits import let_in, words
from wheelside.jobs.book.desk import new_desk
from wheelside.jobs.book.files import take_in_text

LOCAL = re.compile(
    r"\[\[?[a-z_]+\]|&#39;[a-z]+(_[a-z]+)*&#39;|'[a-z]+(_[a-z]+)*'|--[a-z]|\bwheelside [a-z]|[{}‹›]|\b[a-z]+ = "
)


def unknown() -> Table:
    """Much is to be found out: nothing that answers, no width, no place, no family, a set nobody knows the wheels of."""
    table = bare_table()
    for sensor in table["sensor"]:
        del sensor["answers"]
    del table["sensor"][0]["family"]
    table["sensor"][1]["printed"] = "1234567"
    table["family"][0].pop("bits")
    for key in ("stands_at", "holds", "when_full", "taught_by", "corner_aware", "remembers_sets"):
        table["car"][0].pop(key, None)
    table["wheel"][0].pop("joined")
    table["retired"] = [{"id": "0x00000000", "family": "f"}]
    return table


def stuck() -> Table:
    table = learning_table()
    table["writer"], table["plan"] = [], {"buy_sensors": False}
    for name in ("C", "D"):
        add_set(table, name, [f"A100000{n}" for n in range(1, 5)], family="f", writing="fixed")
        table["stay"].append({"set": name, "at": "home", "since": NOON.day})
    return table


@pytest.mark.parametrize("table", [demo_table(), unknown(), stuck()], ids=["demo", "unknown", "stuck"])
def test_the_page_names_no_key_of_the_file_and_links_to_the_fields(table: Table, tmp_path: Path) -> None:
    desk = new_desk(str(tmp_path / "x.book"), clock=lambda: NOON)
    desk.bits = seeded()
    take_in_text(desk, tomli_w.dumps(table), "x.toml")
    site = let_in(desk)
    page = site.get("/plan")
    main = page[page.index("<main") : page.index("</main>")]
    said = words(re.sub(r"<(style|svg|script).*?</\1>", "", main, flags=re.DOTALL))
    assert [found[0] for found in LOCAL.finditer(said)] == []
    fields = dict.fromkeys(re.findall(r'href="(/facts/[^"]+)#f-([a-z_]+)"', page))
    assert fields
    for address, key in list(fields)[:12]:
        assert f'id="f-{key}"' in site.get(address), (address, key)
    desk.close()
