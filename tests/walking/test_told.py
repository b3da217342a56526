"""Households as their files tell them, carried out to the letter."""

from __future__ import annotations

from datetime import date

import pytest
from days import Came, Kind
from told import walk_file

from tomlrows import toml_text

DAY = date(2026, 11, 30)
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")


def by_wheel_speed() -> str:
    """A car that watches its tyres by wheel speed alone, and keeps the pressures that it is told of; the other set lies in a cellar nearby."""
    names = [f"{s}{n}" for s in "SW" for n in range(1, 5)]
    placard = [{"tyre": "195/65 R15 91T", "load": "normal", "front": "2.3 bar", "rear": "2.2 bar"}]
    on = {"since": date(2026, 4, 1), "until": date(2026, 12, 1)}
    rows: dict[str, list[dict[str, object]]] = {
        "place": [{"id": "home"}, {"id": "cellar"}],
        "path": [{"between": ["home", "cellar"], "distance": "10 m"}],
        "car": [
            {
                "id": "hatch",
                "stands_at": "home",
                "monitor": "indirect",
                "stores_reference": True,
                "torque": "110 Nm",
                "placard": placard,
            }
        ],
        "tyre": [{"id": f"tyre {n}", "designation": "195/65 R15 91T", "max_pressure": "3.5 bar"} for n in names],
        "wheel": [{"id": n, "joined": [{"tyre": f"tyre {n}"}]} for n in names],
        "set": [
            {"id": name, "wheels": dict(zip(CORNERS, [f"{s}{n}" for n in range(1, 5)], strict=True))}
            for name, s in (("summer", "S"), ("winter", "W"))
        ],
        "stay": [
            {"set": "summer", "on": "hatch", **on},
            {"set": "winter", "at": "cellar", **on},
            {"set": "winter", "on": "hatch", "since": date(2026, 12, 1), "until": date(2027, 4, 1)},
        ],
    }
    return toml_text(rows, {"conditions": {"tyre_temperature": "10 °C", "temperature_of_use": "0 °C"}})


@pytest.mark.parametrize("kind", [Kind.ON, Kind.HALF_WAY, Kind.GIVEN_UP])
def test_a_car_that_watches_by_wheel_speed(kind: Kind) -> None:
    lived = walk_file(by_wheel_speed(), DAY, kind)
    assert lived.came is Came.DONE, "\n".join([lived.why, *lived.log[-3:]])
    assert any("store-reference" in line for line in lived.log)
    assert not any("ids-heard" in line or "teach" in line for line in lived.log)
