"""May a set go on a car: fit, air card and sheet give one answer."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import pytest
from fit_case import DAY, table_of
from fit_drawn import drawn, present_of

from garages import Table, garage_of, seeded
from spoken import words
from wheelside.fill.card import AirCard, air_card
from wheelside.finding import Finding, Weight
from wheelside.fit.gather import taken_ids
from wheelside.fit.match import side_by_side
from wheelside.fit.may import Unsettled, to_be_settled
from wheelside.fit.report import Fit, fit
from wheelside.fit.rule import Rule
from wheelside.fit.rules import RULES
from wheelside.fit.scene import scene
from wheelside.fit.screen import grades_of
from wheelside.fit.verdict import Verdict
from wheelside.fit.view import views
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.present import Present
from wheelside.garage.wishes import Conditions
from wheelside.garage.words import ROAD_CORNERS
from wheelside.identity.plan import IdentityPlan, identity_plan
from wheelside.jobs.work.asking import asking_for
from wheelside.jobs.work.sheet import make_sheet
from wheelside.sheet.context import Job
from wheelside.sheet.looks import looks
from wheelside.sheet.step import RunSheet
from wheelside.units import Length, Temperature

COLD = Temperature.from_celsius(5.0)
GARAGES, SHARES = 300, 6
ADVICE = {"age", "tread"}
"""Lines that only advise whoever buys."""


@dataclass(frozen=True)
class Said:
    """What is said of one set on one car."""

    report: Fit
    card: AirCard
    sheet: tuple[Finding, ...]

    @property
    def by_card(self) -> set[str]:
        return {f.code for f in self.card.findings if to_be_settled(f)}

    @property
    def by_sheet(self) -> set[str]:
        """Without wheels that the set lacks: for a part of a set there is no sheet, whatever fits."""
        return {f.code for f in self.sheet if to_be_settled(f)} - {"missing-wheels"}


def owned(seed: int) -> Garage:
    """A drawn garage whose sets are the owner's, under conditions in which the placard's pressures are set as they are."""
    garage = drawn(seed)
    load = ("full", "normal", None)[seed % 3]
    said = Conditions(tyre_temperature=COLD, temperature_of_use=COLD, height_here=Length(0.0), load=load)
    return replace(garage, conditions=said, set=tuple(replace(one, on_offer=False) for one in garage.set))


def said_of(garage: Garage, car: Car, one: WheelSet) -> Said:
    card = air_card(garage, car, one, DAY)
    end = DAY + timedelta(days=365)
    plan = IdentityPlan(DAY, end, True, "EUR", (), (), (), ())
    job = Job(garage, plan, card, car, one, None, DAY, DAY, Present(garage, DAY, end))
    return Said(fit(garage, car, one, DAY, {}), card, tuple(looks(job)))


def pairs(share: int) -> Iterator[tuple[str, Said]]:
    for seed in range(share, GARAGES, SHARES):
        garage = owned(seed)
        for car in garage.car:
            for one in garage.set:
                yield f"{seed} {car.id} {one.id}", said_of(garage, car, one)


@pytest.mark.parametrize("share", range(SHARES))
def test_what_fits_is_refused_by_nobody_and_what_is_passed_is_no_must_not(share: int) -> None:
    fitting, refused = 0, 0
    for where, said in pairs(share):
        no = {line.code for line in said.report.lines if line.verdict == Verdict.NOT} - ADVICE
        refused += bool(no)
        assert no <= said.by_card, where
        assert no <= said.by_sheet, where
        if said.report.verdict in (Verdict.FITS, Verdict.WITH_PART):
            fitting += 1
            assert not said.by_card | said.by_sheet, where
    assert fitting > 0
    assert refused > 100


@pytest.mark.parametrize("share", range(SHARES))
def test_one_pair_is_graded_as_it_is_among_columns(share: int) -> None:
    for seed in range(share, GARAGES, SHARES):
        garage = drawn(seed)
        present = present_of(garage, seed)
        s = scene(garage, garage.car, garage.set, present, DAY)
        columns = {rule.code: grades_of(rule, s) for rule in RULES}
        for c, car in enumerate(garage.car):
            on = garage.sets.get(present.get(car.id, ""))
            for n, one in enumerate(garage.set):
                alone = side_by_side(garage, car, one, on, DAY, taken_ids(garage))
                for view in views(garage, car, one, on, DAY, alone):
                    for rule in RULES:
                        place = ROAD_CORNERS.index(view.corner) if isinstance(rule, Rule) else 0
                        assert view.grade(rule) == columns[rule.code][c, n, place], (seed, car.id, one.id, rule.code)


# --- the cases on which fit, air card and sheet once disagreed -------------------------------------------------------------------


@dataclass(frozen=True)
class Case:
    """One set for one car: the fit's verdict of a line, the card, the sheet and what keeps it."""

    report: Fit
    card: AirCard
    sheet: RunSheet | None
    kept_by: tuple[Finding, ...]

    def verdict(self, code: str) -> set[Verdict]:
        return {line.verdict for line in self.report.lines if line.code == code}

    def weights(self, code: str) -> set[Weight]:
        """How serious a finding of the card and the sheet is."""
        everywhere = (*self.card.findings, *(self.sheet.findings if self.sheet else ()))
        return {f.weight for f in everywhere if f.code == code}

    def ways(self, code: str) -> str:
        return " ".join(words(f.way_out) for f in self.card.findings if f.code == code)


def case_of(**changes: Any) -> Case:
    table: Table = table_of(**changes)
    del table["set"][0]["on_offer"], table["set"][0]["price"]
    table["conditions"] = {
        "tyre_temperature": "5 °C",
        "temperature_of_use": "5 °C",
        "height_here": "0 m",
        "load": "full",
    }
    garage = asking_for(garage_of(table), DAY, "car", "set", now=True)
    plan = identity_plan(garage, DAY, (), seeded())
    card, sheet, kept_by = make_sheet(garage, plan, car="car", wheel_set="set")
    return Case(fit(garage, garage.cars["car"], garage.sets["set"], DAY, {}), card, sheet, kept_by)


def test_the_set_that_fits_has_four_pressures_and_a_sheet() -> None:
    case = case_of()
    assert case.report.verdict == Verdict.FITS
    assert len(case.card.wheels) == 4
    assert case.sheet is not None


def test_a_rim_stamped_5x114_goes_on_a_car_of_5x114_3() -> None:
    """4.5 in are 114.3 mm, and are stamped 114, too."""
    case = case_of(rim={"bolt_circle": "5x114"}, car={"bolt_circle": "5x114.3"})
    assert case.verdict("bolt-circle") == {Verdict.FITS}
    assert case.sheet is not None
    assert case.weights("bolt-circle") == set()
    other = case_of(rim={"bolt_circle": "5x112"}, car={"bolt_circle": "5x114.3"})
    assert other.verdict("bolt-circle") == {Verdict.NOT}
    assert other.sheet is None
    assert {f.code for f in other.kept_by} == {"bolt-circle"}


def test_a_bore_of_66_0_for_a_hub_of_66_1_is_measured() -> None:
    case = case_of(rim={"centre_bore": "66.0 mm"}, car={"centre_bore": "66.1 mm"})
    assert case.verdict("centre-bore") == {Verdict.MEASURE}
    assert case.weights("centre-bore") == {Weight.ASK}
    assert "calliper" in case.ways("centre-bore")
    assert case.sheet is not None
    other = case_of(rim={"centre_bore": "65.8 mm"}, car={"centre_bore": "66.1 mm"})
    assert other.verdict("centre-bore") == {Verdict.NOT}
    assert other.sheet is None


@pytest.mark.parametrize("season", ["winter", "all year"])
def test_an_h_tyre_with_a_snowflake_on_a_v_car_is_a_matter_of_the_local_rule_with_the_sticker(season: str) -> None:
    """H is 210 km/h, V 240 (UN R30)."""
    tyre = {"designation": "205/55 R16 91H", "season": season, "winter_mark": "snowflake"}
    case = case_of(tyre=tyre, car={"speed_symbol": "V"})
    assert case.verdict("speed-symbol") == {Verdict.MEASURE}
    assert case.weights("speed-symbol") == {Weight.WARNING}
    assert "sticker" in case.ways("speed-symbol")
    assert "local rule" in case.ways("speed-symbol")
    assert case.sheet is not None
    assert len(case.card.wheels) == 4


def test_an_h_tyre_for_summer_on_a_v_car_is_refused_and_of_no_known_season_it_is_asked_about_first() -> None:
    summer = case_of(
        tyre={"designation": "205/55 R16 91H", "season": "summer", "winter_mark": "none"}, car={"speed_symbol": "V"}
    )
    assert summer.verdict("speed-symbol") == {Verdict.NOT}
    assert summer.sheet is None
    unknown = case_of(
        tyre={"designation": "205/55 R16 91H", "season": None, "winter_mark": None}, car={"speed_symbol": "V"}
    )
    assert unknown.verdict("speed-symbol") == {Verdict.MEASURE}
    assert {f.code for f in unknown.kept_by} == {Unsettled.SEASON}
    assert {f.weight for f in unknown.kept_by} == {Weight.ASK}
    assert unknown.sheet is None


def test_the_placards_own_tyre_below_half_of_the_axle_contradicts_it_and_keeps_pressures_and_sheet() -> None:
    """91 is 615 kg; 1260 kg on the front axle are 630 each."""
    case = case_of(car={"axle_load_front": "1260 kg"}, rim={"max_load": "700 kg"})
    assert {line.corners: line.verdict for line in case.report.lines if line.code == "capacity"} == {
        ("front left", "front right"): Verdict.MEASURE, ("rear left", "rear right"): Verdict.FITS,
    }  # fmt: skip
    found = [f for f in case.card.findings if f.code == Unsettled.CONTRADICTION]
    assert [words(f.about) for f in found] == ["front left, wheel w0", "front right, wheel w1"]
    assert {f.weight for f in found} == {Weight.ASK}
    assert all("615" in words(f.text) and "630" in words(f.text) for f in found)
    assert [w.corner.value for w in case.card.wheels] == ["rear left", "rear right"]
    assert case.sheet is None
    assert set(case.kept_by) == set(found)
    settled = case_of(car={"axle_load_front": "1230 kg"}, rim={"max_load": "700 kg"})
    assert settled.sheet is not None
    assert len(settled.card.wheels) == 4


def test_another_tyre_than_the_placards_below_half_of_the_axle_is_refused() -> None:
    """90 is 600 kg: not the placard's 91, and less than 630."""
    case = case_of(
        car={"axle_load_front": "1260 kg", "load_index": None},
        rim={"max_load": "700 kg"},
        tyre={"designation": "205/55 R16 90V"},
    )
    assert Verdict.NOT in case.verdict("capacity")
    assert "capacity" in {f.code for f in case.kept_by if f.weight is Weight.FORBIDDEN}
    assert case.sheet is None


@pytest.mark.parametrize(("what", "code"), [("rim", "rim-damage"), ("tyre", "tyre-damage")])
def test_a_damaged_rim_or_tyre_has_no_sheet(what: str, code: str) -> None:
    case = case_of(**{what: {"damaged": True}})
    assert case.verdict(code) == {Verdict.NOT}
    assert case.sheet is None
    assert {f.code for f in case.kept_by} == {code}


def test_what_is_advice_is_no_must_not_on_the_sheet() -> None:
    """3.9 mm of winter tread and nine years and a half: no purchase, but the owner may drive on them, and is warned of the tread."""
    case = case_of(tyre={"tread": "3.9 mm", "date_code": "2017"})
    assert case.verdict("tread") == case.verdict("age") == {Verdict.NOT}
    assert case.sheet is not None
    assert case.weights("tread") == {Weight.WARNING}
    assert case.weights("tyre-age") == {Weight.NOTE}
    worn = case_of(tyre={"tread": "1.5 mm"})
    assert worn.verdict("tread-law") == {Verdict.NOT}
    assert {f.code for f in worn.kept_by} == {"tread-law"}


def test_room_is_judged_beside_what_is_on_the_car_now() -> None:
    """A rim of ET35 on a car of ET46 comes 11 mm out; 9 mm of room are too little, but not once it is on: the room is measured beside it."""
    changes: dict[str, Any] = {"rim": {"inset": "35 mm"}, "car": {"room_outside": "9 mm"}}
    assert {f.code for f in case_of(**changes).kept_by} == {"outside"}
    table = table_of(**changes)
    del table["set"][0]["on_offer"], table["set"][0]["price"]
    table["seen"] = [{"set": "set", "as_of": date(2026, 11, 1), "on": "car"}]
    table["conditions"] = {"tyre_temperature": "5 °C", "temperature_of_use": "5 °C", "height_here": "0 m"}
    garage = garage_of(table)
    assert not [
        f for f in air_card(garage, garage.cars["car"], garage.sets["set"], DAY).findings if f.code == "outside"
    ]


_AIR = """
import sys
from datetime import date
from wheelside.demo import household
from wheelside.fill.card import air_card
from wheelside.garage.file import read_garage
garage = read_garage(household(), "household.toml")
card = air_card(garage, garage.cars["estate"], garage.sets["winter"], date(2026, 11, 25))
assert card.wheels and any(f.code == "speed-symbol" for f in card.findings)
assert "numpy" not in sys.modules
"""


def test_an_air_card_needs_no_columns_of_numbers() -> None:
    done = subprocess.run(
        [sys.executable, "-c", _AIR], env=dict(os.environ), capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
