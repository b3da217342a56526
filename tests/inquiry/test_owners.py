"""Ten invented owners through the conversation: what comes out is what comes out of the file that each would have written by hand.

Each file is written from what the owner knows, with ids of its own, and held against the conversation's by car, set and corner.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest

from inquiry_owners import DAY, UNKNOWN, Knows, Told, converse
from wheelside.fill.card import air_card
from wheelside.garage.file import complaints_of, read_text
from wheelside.garage.ids import sensor_readings
from wheelside.garage.model import Garage
from wheelside.identity.plan import Reasons, identity_plan
from wheelside.inquiry.query import Given

CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
WINTER_ON, WINTER_OFF = "2026-12-05", "2027-04-01"


def ids(*texts: str) -> Given:
    return dict(zip(CORNERS, texts, strict=True))


def sized(pick: str, size: str) -> Given:
    return {"pick": pick, "size": size}


SIZE, WINTER_SIZE = "205/60 R16 92V", "205/60 R16 92H"
DECIMALS = ("0742500339", "0742500417", "0742498790", "0742501162")
MIXED = ("0742500339", "0742500417", "2C41A1E6", "2C41AB2A")
WINTER_IDS = ("1893077246", "1893078003", "1893077001", "1893076555")
USUAL: Knows = {
    "begin": {"pick": "figures"},
    "on/": sized("summer", SIZE),
    "ids/Summer": ids(*DECIMALS),
    "heard/": {"pick": "yes"},
    "other/": sized("winter", WINTER_SIZE),
    "ids/Winter": ids(*WINTER_IDS),
    "label/": {"front": "2.3", "rear": "2.2"},
    "when/": {"pick": "saturday"},
    "today": {"pick": "false", "tyre_temperature": "12", "temperature_of_use": "0"},
}


@dataclass
class Sets:
    """One set as an owner writes it down by hand."""

    name: str
    season: str
    size: str
    ids: tuple[str, ...] = ()
    sensor: str = ""
    rear: str = ""

    def text(self) -> str:
        out = []
        for n in range(4):
            own = f"{self.name}-{n}"
            size = self.rear if self.rear and n > 1 else self.size
            out.append(f'[[tyre]]\nid = "t {own}"\ndesignation = "{size}"\nseason = "{self.season}"\n')
            if self.sensor != "none":
                printed = f'printed = "{self.ids[n]}"\n' if self.ids and self.ids[n] else ""
                out.append(f'[[sensor]]\nid = "s {own}"\n{printed}{self.sensor}\n')
            sensor = "" if self.sensor == "none" else f', sensor = "s {own}"'
            out.append(f'[[wheel]]\nid = "{own}"\njoined = [{{ tyre = "t {own}"{sensor} }}]\n')
        wheels = ", ".join(f'{c} = "{self.name}-{n}"' for n, c in enumerate(CORNERS))
        return "".join(out) + f'[[set]]\nid = "{self.name}"\nwheels = {{ {wheels} }}\n'


@dataclass
class Owner:
    """What somebody knows, what the first answers are that have to be refused, and the file written by hand."""

    knows: dict[str, Given]
    car: str
    sets: tuple[Sets, ...]
    more: str = ""
    errs: dict[str, Given] = field(default_factory=dict)
    conditions: str = 'tyre_temperature = "12 °C"\ntemperature_of_use = "0 °C"'
    seasons: str | None = None

    def by_hand(self) -> Garage:
        sets = "".join(one.text() for one in self.sets)
        line = SEASONS if self.seasons is None else self.seasons
        car = f'[[car]]\nid = "mine"\nstands_at = "street"\n{self.car}\n'
        text = f"wheelside = 1\n{PLACES}{car}{sets}{line}{self.more}\n[conditions]\n{self.conditions}\n"
        return read_text(text, "by hand")[0]


PLACES = '[[place]]\nid = "street"\n[[place]]\nid = "cellar"\n'
LABEL = '[[car.placard]]\ntyre = "205/60 R16 92V"\nload = "normal"\nfront = "2.3 bar"\nrear = "2.2 bar"\n'
SEEN = f'[[seen]]\nset = "S"\non = "mine"\nas_of = {DAY}\n'
SEASONS = f"""
[[stay]]
set = "S"
on = "mine"
since = 2026-04-01
until = {WINTER_ON}
yearly = true
[[stay]]
set = "S"
at = "cellar"
since = {WINTER_ON}
until = {WINTER_OFF}
yearly = true
[[stay]]
set = "W"
at = "cellar"
since = 2026-04-01
until = {WINTER_ON}
yearly = true
[[stay]]
set = "W"
on = "mine"
since = {WINTER_ON}
until = {WINTER_OFF}
yearly = true
{SEEN}"""
DIRECT = 'monitor = "direct"\ndash_shows = true\n'
KIND = '[[family]]\nid = "own"\n'
HELD = f'family = "own"\nholds = [{{ set = "S", as_of = {DAY} }}]\n'
HEARD = 'family = "own"\nanswers = true'
NEAR = '[[path]]\nbetween = ["street", "cellar"]\nheard = "yes"\n'
FAR = '[[path]]\nbetween = ["street", "cellar"]\nheard = "no"\n'

OWNERS = {
    "knows it all": Owner(
        {**USUAL, "kind/": {"pick": "same"}, "car/My car/taught_by": {"pick": "step by step"}, "car/My car/remembers_sets": {"pick": "2"},
         "car/My car/corner_aware": {"pick": "true"}, "set/Winter/sensor.answers": {"pick": "true"}, "kept/": {"pick": "near"},
         "set/Winter/sensor.writing": {"pick": "rewritable"}, "set/Summer/sensor.writing": {"pick": "fixed"}, "writer": {"pick": "given"},
         "set/Winter/sensor.first_used": {"value": "2021"}, "set/Summer/sensor.first_used": {"value": "2022"}},
        DIRECT + HELD + 'taught_by = "step by step"\nremembers_sets = 2\ncorner_aware = true\nother_set = true\n' + LABEL,
        (Sets("S", "summer", SIZE, DECIMALS, HEARD + '\nwriting = "fixed"\nfirst_used = 2022-07-01'),
         Sets("W", "winter", WINTER_SIZE, WINTER_IDS, HEARD + '\nwriting = "rewritable"\nfirst_used = 2021-07-01')),
        KIND + NEAR + '[[writer]]\nid = "tool"\ncan = ["given", "copy"]\nfamilies = ["own"]\n',
    ),
    "knows nothing but sizes": Owner(
        {"begin": {"pick": "lamp"}, "on/": sized("summer", SIZE), "other/": sized("winter", WINTER_SIZE), "when/": {"pick": "saturday"},
         "label/": USUAL["label/"], "today": USUAL["today"]},
        'monitor = "direct"\n' + LABEL,
        (Sets("S", "summer", SIZE), Sets("W", "winter", WINTER_SIZE)),
    ),
    "reads decimal and hex": Owner(
        {**USUAL, "ids/Summer": ids(*MIXED), "ids/Winter": UNKNOWN, "alike/": {"pick": "yes"}, "kept/": {"pick": "far"}},
        DIRECT + HELD + LABEL,
        (Sets("S", "summer", SIZE, MIXED, HEARD), Sets("W", "winter", WINTER_SIZE)),
        '[[family]]\nid = "own"\nbits = 32\n' + FAR,
    ),
    "has one sensor that can't be read": Owner(
        {**USUAL, "ids/Winter": ids("1893077246", "", "1893077001", "1893076555"), "kind/": {"pick": "same"}},
        DIRECT + HELD + LABEL,
        (Sets("S", "summer", SIZE, DECIMALS, HEARD),
         Sets("W", "winter", WINTER_SIZE, ("1893077246", "", "1893077001", "1893076555"), 'family = "own"')),
        KIND,
    ),
    "bought a set of another kind": Owner(
        {**USUAL, "kind/": {"pick": "other"}},
        DIRECT + HELD + LABEL,
        (Sets("S", "summer", SIZE, DECIMALS, HEARD), Sets("W", "winter", WINTER_SIZE, WINTER_IDS, 'family = "alien"')),
        KIND + '[[family]]\nid = "alien"\nunlike = ["own"]\n',
    ),
    "goes by wheel speed": Owner(
        {**USUAL, "begin": {"pick": "wheel-speed"}},
        'monitor = "indirect"\ndash_shows = false\n' + LABEL,
        (Sets("S", "summer", SIZE, sensor="none"), Sets("W", "winter", WINTER_SIZE, sensor="none")),
    ),
    "has one set only": Owner(
        {**USUAL, "other/": {"pick": "none"}},
        DIRECT + HELD + LABEL,
        (Sets("S", "summer", SIZE, DECIMALS, HEARD),),
        KIND,
        seasons=f'[[stay]]\nset = "S"\non = "mine"\nsince = {DAY}\n{SEEN}',
    ),
    "has the lamp on and types in German": Owner(
        {**USUAL, "heard/": {"pick": "no"}, "label/": {"front": "2,3", "rear": "2,2 bar"}, "car/My car/taught_by": {"pick": "driving"},
         "today": {"pick": "false", "tyre_temperature": "12,0", "temperature_of_use": "-5"}},
        DIRECT + 'taught_by = "driving"\n' + LABEL,
        (Sets("S", "summer", SIZE, DECIMALS), Sets("W", "winter", WINTER_SIZE, WINTER_IDS)),
        conditions='tyre_temperature = "12 °C"\ntemperature_of_use = "-5 °C"',
    ),
    "measures in psi and errs at first": Owner(
        {**USUAL, "label/": {"front": "33", "rear": "32"}, "kept/": {"pick": "far"}, "car/My car/taught_by": {"pick": "port"}},
        DIRECT + HELD + 'taught_by = "port"\n[[car.placard]]\ntyre = "205/60 R16 92V"\nload = "normal"\nfront = "33 psi"\nrear = "32 psi"\n',
        (Sets("S", "summer", SIZE, DECIMALS, HEARD), Sets("W", "winter", WINTER_SIZE, WINTER_IDS)),
        KIND + FAR,
        errs={"on/": sized("summer", "205/60 R16"), "ids/Summer": ids("07425003391234", *DECIMALS[1:]), "label/": {"front": "two", "rear": ""},
              "today": {"pick": "false", "tyre_temperature": "warm", "temperature_of_use": "0"}},
    ),
    "has other tyres at the rear": Owner(
        {**USUAL, "on/": {"pick": "summer", "size": "225/45 R17 91W", "rear": "245/40 R17 91W"}, "other/": sized("winter", "225/45 R17 91H"),
         "label/My car/225": {"front": "2.5", "rear": "2.7"}, "label/My car/245": {"front": "2.5", "rear": "2.8"}, "kind/": {"pick": "same"}},
        DIRECT + HELD + '[[car.placard]]\ntyre = "225/45 R17 91W"\nload = "normal"\nfront = "2.5 bar"\nrear = "2.7 bar"\n'
        '[[car.placard]]\ntyre = "245/40 R17 91W"\nload = "normal"\nfront = "2.5 bar"\nrear = "2.8 bar"\n',
        (Sets("S", "summer", "225/45 R17 91W", DECIMALS, HEARD, rear="245/40 R17 91W"),
         Sets("W", "winter", "225/45 R17 91H", WINTER_IDS, 'family = "own"')),
        KIND,
    ),
}  # fmt: skip


def outcome_of(garage: Garage) -> dict[str, Any]:
    """Choices, readings and pressures by set and corner, and the plan's money and time."""
    plan = identity_plan(garage, DAY, (), random.Random(1).getrandbits, reasons=Reasons.NONE)
    names = {s.id: s.id[0] for s in garage.set}
    corners = {w: (names[s.id], c.key) for s in garage.set for c, w in s.wheels}
    return {
        "choices": {corners[w.wheel]: (w.action, w.choice, w.writes, w.own, w.when) for w in plan.wheels},
        "taught": sorted((names[t.set], t.day, t.needed, str(t.first)) for t in plan.teachings),
        "money": (plan.total.hundredths, plan.total.seconds),
        "risks": sorted((r.name, r.times, r.ppm) for r in plan.risks),
        "readings": dict(_readings(garage, corners)),
        "pressures": {(names[s.id], w.corner.key): round(w.gauge_shows.kpa, 3) for s in garage.set for w in _card(garage, s.id)},
    }  # fmt: skip


def _card(garage: Garage, set_id: str) -> tuple[Any, ...]:
    return air_card(garage, garage.car[0], garage.sets[set_id], DAY).wheels


def _readings(garage: Garage, corners: dict[str, tuple[str, str]]) -> Iterator[tuple[tuple[str, str], Any]]:
    for wheel in garage.wheel:
        sensor = garage.sensors.get(wheel.joined[-1].sensor or "")
        if sensor is not None and wheel.id in corners:
            found = sensor_readings(garage, sensor)
            yield corners[wheel.id], found and sorted(one.key for one in found.ids)


@pytest.mark.parametrize("name", OWNERS)
def test_what_comes_out_is_what_the_file_written_by_hand_gives(name: str) -> None:
    owner = OWNERS[name]
    told = converse(owner.knows, errs=owner.errs)
    garage, complaints = complaints_of(told.table)
    assert complaints == ()
    assert outcome_of(garage) == outcome_of(owner.by_hand())
    is_asked_well(told)
    assert len(told.refused) == len(owner.errs)


def is_asked_well(told: Told) -> None:
    """Nothing twice; every question of the last leg was worth asking when it was asked, which `best` sees to."""
    assert len(told.asked) == len(set(told.asked))
    assert sum(code.split("/")[0] in ("begin", "on", "ids", "heard", "other") for code in told.asked) <= 6
