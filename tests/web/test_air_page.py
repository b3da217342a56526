"""The page of the air card: the lamp in one line, its limits behind a fold, and no pressures of a lamp that knows none."""

from __future__ import annotations

import re
from pathlib import Path

import tomli_w

from books import NOON
from garages import Table, bare_table, demo_table
from visits import let_in, words
from wheelside.jobs.book.desk import new_desk
from wheelside.jobs.book.files import take_in_text


def page_of(table: Table, tmp_path: Path, address: str) -> str:
    desk = new_desk(str(tmp_path / "x.book"), clock=lambda: NOON)
    take_in_text(desk, tomli_w.dumps(table), "x.toml")
    page = let_in(desk).get(address)
    desk.close()
    return page[page.index("<main") : page.index("</main>")]


def drawn(page: str) -> str:
    """What the drawings say, by their texts and descriptions."""
    return words(" ".join(re.findall(r"<svg.*?</svg>", page, flags=re.DOTALL)))


def test_the_lamp_stands_in_one_line_and_its_limits_behind_a_fold(tmp_path: Path) -> None:
    page = page_of(demo_table(), tmp_path, "/air?car=estate&set=winter")
    folds = "".join(re.findall(r"<details>.*?</details>", page, flags=re.DOTALL))
    open_to_all = words(
        page.replace(folds, "") if folds in page else re.sub(r"<details>.*?</details>", "", page, flags=re.DOTALL)
    )
    assert (
        "Rear wheels: 0.55 bar above the lamp at -9 °C; after 4 weeks on a -15 °C morning still 2.12 bar."
        in open_to_all
    )
    for behind in ("UN R141 (this car's)", "faster than its fellows"):
        assert behind in words(folds)
        assert behind not in open_to_all


def test_the_ruler_has_the_lamp_where_the_line_has_it(tmp_path: Path) -> None:
    """Cold tyres by the gauge in hand, which shows 0.05 bar more: limits of 1.725 and 1.65 bar."""
    page = page_of(demo_table(), tmp_path, "/air?car=estate&set=winter")
    ruler, *curves = re.findall(r"<svg.*?</svg>", page, flags=re.DOTALL)
    assert set(re.findall(r"lamp due, gauge (\d\.\d\d) bar", words(ruler))) == {"1.77", "1.70"}
    assert "UN R141" in words(curves[0])
    assert "floor" not in words(curves[0])
    assert set(re.findall(r"lamp due (\d\.\d\d) bar", words(" ".join(curves)))) == {"1.77", "2.07", "1.70", "1.99"}


def test_a_car_that_goes_by_wheel_speed_has_no_lamp_in_pressures_on_its_page(tmp_path: Path) -> None:
    table = bare_table()
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "20 °C", "coldest": "0 °C"}
    car = table["car"][0]
    table["car"][0] = {key: car[key] for key in ("id", "stands_at", "placard")} | {
        "monitor": "indirect",
        "standard": "UN R141",
    }
    page = page_of(table, tmp_path, "/air?car=car&set=A")
    said = words(page)
    assert "only warn while it rolls, and hardly where all four lose alike: gauge them every month" in said
    assert "From when the lamp must be lit" not in said
    assert "R141" not in said
    assert "lamp" not in drawn(page)
