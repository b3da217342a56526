"""The drawings before buying are to scale."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from wheelside.units import Speed, UnitChoice
from wheelside.web.draw.hub import Bar, ShownLimit, hub
from wheelside.web.draw.radius import Radius, radius
from wheelside.web.draw.shown import shown

BOX = re.compile(r'<rect x="([-\d.]+)" y="[-\d.]+" width="([\d.]+)"')


def test_bars_along_the_hub_are_on_one_scale_with_what_stands_in_the_way() -> None:
    bars = (Bar("now", -130.0, 35.0, 0.5, "box"), Bar("then", -120.0, 60.0, 0.5, "box"))
    drawn = str(hub("Front axle", bars, (ShownLimit("arch", 70.0),), UnitChoice()))
    (x1, w1), (x2, w2) = ((float(x), float(w)) for x, w in BOX.findall(drawn))
    per_mm = w1 / 165
    assert w2 / 180 == pytest.approx(per_mm, abs=0.002)
    assert (x2 - x1) / per_mm == pytest.approx(10, abs=0.2)
    arch = float(re.search(r'<path d="M([\d.]+) 32L[\d.]+ [\d.]+" class="stop"', drawn)[1])  # type: ignore[index]
    assert (arch - x2) / per_mm == pytest.approx(190, abs=0.2)


def test_what_is_drawn_is_told_to_those_who_do_not_see_it() -> None:
    drawn = str(
        hub(
            "Front axle",
            (Bar("now: rim", -130.0, 35.0, 0.5, "box"),),
            (ShownLimit("arch", 70.0),),
            UnitChoice(decimal_mark=","),
        )
    )
    label = re.search(r'<svg[^>]* aria-label="([^"]*)"', drawn)
    assert label is not None
    assert "now: rim from -130,0 to 35,0" in label[1]
    assert "arch at 70,0" in label[1]


def test_radii_begin_at_the_middle_of_the_hub() -> None:
    rows = (Radius("now", 203.0, 316.0, 313.0, 321.0, "box"), Radius("then", 216.0, 324.0, 320.0, 330.0, "box"))
    drawn = str(radius("Both axles", rows, UnitChoice()))
    boxes = [(float(x), float(w)) for x, w in BOX.findall(drawn)]
    per_mm = boxes[0][1] / 203
    assert boxes[0][0] == boxes[2][0]
    for (rim_x, rim_w), (tyre_x, tyre_w), row in zip(boxes[0::2], boxes[1::2], rows, strict=True):
        assert rim_w / per_mm == pytest.approx(row.rim_mm, abs=0.2)
        assert (tyre_x + tyre_w - rim_x) / per_mm == pytest.approx(row.tyre_mm, abs=0.2)


@pytest.mark.parametrize("unit", ["km/h", "mph"])
def test_the_corridor_of_the_same_tyres_is_the_one_that_is_allowed(unit: str) -> None:
    drawn = str(shown(1.0, None, UnitChoice(speed=unit)))
    area = re.search(r'<path d="(M[^"]*)z" class="tint"', drawn)
    edges = re.findall(r'<path d="(M[^"]*)" class="act"', drawn)
    assert area is not None
    assert len(edges) == 2
    assert area[1].startswith(edges[1])


def test_other_tyres_and_a_comparison_move_the_lines() -> None:
    plain, more = str(shown(1.0, None, UnitChoice())), str(shown(1.05, (Speed(104), Speed(100)), UnitChoice()))
    lines = [re.findall(r'<path d="(M[^"]*)" class="act"', one) for one in (plain, more)]
    assert lines[0] != lines[1]
    assert "it would show 99 km/h at a true 100 km/h" in more
    assert 'class="ink" stroke-width="2.5"' in more
    for steps in lines[1]:
        xs = [float(x) for x in re.findall(r"[ML]([\d.]+) ", steps)]
        assert all(a < b for a, b in pairwise(xs))
