"""Cases reckoned by hand: one car and one set that fits in every line, and what one other fact makes of it."""

from __future__ import annotations

from typing import Any

import pytest
from fit_case import report

from spoken import words
from wheelside.finding import Ground
from wheelside.fit.report import Fit
from wheelside.fit.verdict import Line, Part, Question, Verdict


def lines(made: Fit, code: str) -> tuple[Line, ...]:
    return tuple(line for line in made.lines if line.code == code)


def verdict(made: Fit, code: str) -> Verdict:
    """The one verdict of a line that is told alike of all corners; 'does not matter' where it is not told."""
    found = {line.verdict for line in lines(made, code)}
    assert len(found) <= 1, found
    return found.pop() if found else Verdict.NO_MATTER


def text(made: Fit, code: str) -> str:
    return " ".join(words(line.text) for line in lines(made, code))


def needs(made: Fit) -> dict[Part, int]:
    return {need.part: need.count for need in made.bill.needs}


def test_the_set_that_every_case_starts_from_fits_in_every_line() -> None:
    made = report()
    assert {(line.code, line.verdict) for line in made.lines if line.verdict != Verdict.FITS} == set()
    assert needs(made) == {}


# --- rim and hub ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rim", "car", "said"),
    [
        ("5x112", "5x114.3", Verdict.NOT),  # 2.3 mm apart: bolts go on by force and never come to sit true
        ("5x114.3", "5x112", Verdict.NOT),
        ("5x114", "5x114.3", Verdict.FITS),  # 114.3 = 4.5 in is stamped 114, too
        ("4x112", "5x112", Verdict.NOT),
        (None, "5x112", Verdict.MEASURE),
        ("5x112", None, Verdict.MEASURE),
    ],
)
def test_a_bolt_circle_is_the_cars_or_it_is_refused(rim: str | None, car: str | None, said: Verdict) -> None:
    assert verdict(report(rim={"bolt_circle": rim}, car={"bolt_circle": car}), "bolt-circle") == said


def test_a_smaller_bore_is_refused_and_a_larger_one_wants_rings() -> None:
    assert verdict(report(rim={"centre_bore": "65.1 mm"}), "centre-bore") == Verdict.NOT
    larger = report(rim={"centre_bore": "72.6 mm"})
    assert verdict(larger, "centre-bore") == Verdict.WITH_PART
    assert "72.6/66.6" in text(larger, "centre-bore")
    assert needs(larger) == {Part.RINGS: 1}
    assert verdict(report(rim={"centre_bore": "66.7 mm"}), "centre-bore") == Verdict.FITS


WIDER = {"width_in": "7.5Jx16", "inset": "35 mm"}
"""Against 6.5J ET46: 1 in = 25.4 mm wider, 12.7 on each side; the centre 11 mm further out. Inner edge 12.7 - 11 = 1.7 mm further in, outer
edge 12.7 + 11 = 23.7 mm further out, the track 2 x 11 = 22 mm wider. The tyre's section grows by 0.4 x 25.4 = 10.16 mm, 5.08 on each side:
205 + 0.4 (165.1 - 165.1) = 205 on its measuring rim of 6.5 in; 215.16 on 7.5 in. So the tyre comes 5.08 - 11 = 5.92 mm away inside and
5.08 + 11 = 16.08 mm out."""


def test_edges_and_track_of_a_wider_rim_are_told() -> None:
    made = report(rim=WIDER)
    assert "the inner edge lies 1.7 mm further in, the outer one 23.7 mm further out; the track 22 mm wider" in text(
        made, "inside"
    )
    assert "5.9 mm away from" in text(made, "inside")
    assert "16.1 mm nearer to" in text(made, "outside")


@pytest.mark.parametrize(
    ("room", "said"),
    [
        ("22 mm", Verdict.FITS),  # 22 - 16.08 = 5.92 mm are left, 5 are wanted
        ("21 mm", Verdict.MEASURE),  # 4.92
        ("16.1 mm", Verdict.MEASURE),
        ("16 mm", Verdict.NOT),
        (None, Verdict.MEASURE),
    ],
)
def test_room_that_is_measured_is_enough_or_it_is_not(room: str | None, said: Verdict) -> None:
    made = report(rim=WIDER, car={"room_outside": room})
    assert verdict(made, "outside") == said
    assert verdict(made, "inside") == Verdict.FITS


def test_a_rim_with_more_inset_comes_nearer_to_the_strut() -> None:
    """ET58 against ET46: 12 mm inward; 16 - 12 = 4 mm are left of the room, less than 5."""
    assert verdict(report(rim={"inset": "58 mm"}), "inside") == Verdict.MEASURE
    assert verdict(report(rim={"inset": "57 mm"}), "inside") == Verdict.FITS
    assert verdict(report(rim={"inset": "63 mm"}), "inside") == Verdict.NOT


def test_a_rim_smaller_than_the_smallest_stated_is_refused_and_below_the_named_sizes_it_is_asked() -> None:
    small = {"rim": {"width_in": "6.5Jx15"}, "tyre": {"designation": "195/65 R15 91H"}}
    assert verdict(report(**small), "brakes") == Verdict.MEASURE
    assert verdict(report(**small, car={"least_rim": 16}), "brakes") == Verdict.NOT
    assert verdict(report(**small, car={"least_rim": 15}), "brakes") == Verdict.FITS


def test_seats_are_never_mixed() -> None:
    made = report(rim={"seat": "ball R13"})
    assert verdict(made, "seat") == Verdict.WITH_PART
    assert needs(made) == {Part.FASTENERS: 1}
    assert verdict(report(rim={"seat": "ball R13"}, car={"seat": "ball R14"}), "seat") == Verdict.WITH_PART
    assert verdict(report(rim={"seat": None}), "seat") == Verdict.MEASURE


@pytest.mark.parametrize(
    ("depth", "fastening", "said"),
    [
        ("14 mm", "bolts", Verdict.FITS),  # 28 - 14 = 14 mm of M14: one diameter
        ("14.5 mm", "bolts", Verdict.WITH_PART),  # 13.5 mm: longer bolts
        ("14.5 mm", "nuts", Verdict.NOT),  # studs are the hub's
        ("14.5 mm", None, Verdict.MEASURE),
        ("14 mm", None, Verdict.FITS),
        (None, "bolts", Verdict.MEASURE),
    ],
)
def test_a_thread_engages_by_its_diameter(depth: str | None, fastening: str | None, said: Verdict) -> None:
    assert verdict(report(rim={"seat_depth": depth}, car={"fastening": fastening}), "engagement") == said


def test_a_rim_bears_half_of_its_axles_load() -> None:
    """Half of 1060 kg is 530 in front, half of 1000 is 500 behind."""
    made = report(rim={"max_load": "520 kg"})
    assert {line.corners: line.verdict for line in lines(made, "rim-load")} == {
        ("front left", "front right"): Verdict.NOT, ("rear left", "rear right"): Verdict.FITS,
    }  # fmt: skip
    assert verdict(report(rim={"max_load": "530 kg"}), "rim-load") == Verdict.FITS


def test_a_rim_that_is_marked_for_less_than_the_placard_wants_is_refused() -> None:
    """2.55 bar: enough for 2.5 in front, not for 2.6 behind."""
    made = report(rim={"max_pressure": "2.55 bar"})
    assert [line.verdict for line in lines(made, "rim-pressure")] == [Verdict.FITS, Verdict.NOT]
    assert verdict(report(rim={"max_pressure": None}), "rim-pressure") == Verdict.NO_MATTER


# --- tyre ----------------------------------------------------------------------------------------


def test_a_load_index_below_the_required_one_is_refused() -> None:
    """95 is 690 kg, though a short list in circulation prints 680."""
    made = report(tyre={"designation": "205/55 R16 95V XL"}, car={"load_index": 96})
    assert verdict(made, "load-index") == Verdict.NOT
    assert "95 (690 kg)" in text(made, "load-index")
    assert (
        verdict(report(tyre={"designation": "205/55 R16 95V XL"}, car={"load_index": 95}), "load-index") == Verdict.FITS
    )


@pytest.mark.published
def test_without_a_required_index_the_axles_load_is_asked() -> None:
    """87 is 545 kg: 2 x 545 = 1090 kg bear an axle of 1060 with 30 to spare; 86 is 530 kg: 2 x 530 = 1060; 85 is 515: 1030."""
    for index, said in ((87, Verdict.FITS), (86, Verdict.FITS), (85, Verdict.NOT)):
        car: dict[str, Any] = {"load_index": None, "axle_load_rear": "1060 kg", "placard": [], "approved": []}
        made = report(tyre={"designation": f"205/55 R16 {index}V"}, car=car)
        assert verdict(made, "load-index") == said


@pytest.mark.parametrize(
    ("symbol", "needs", "season", "said"),
    [
        ("H", "U", "summer", Verdict.FITS),  # U 200, H 210, V 240: H is not before U, as the alphabet has it
        ("U", "H", "summer", Verdict.NOT),
        ("H", "V", "summer", Verdict.NOT),
        ("H", "V", "winter", Verdict.MEASURE),  # some places allow a slower winter tyre with a sticker
        ("V", "V", "winter", Verdict.FITS),
    ],
)
def test_a_speed_symbol_is_as_fast_as_the_required_one(symbol: str, needs: str, season: str, said: Verdict) -> None:
    tyre = {
        "designation": f"205/55 R16 91{symbol}",
        "season": season,
        "winter_mark": "snowflake" if season == "winter" else "none",
    }
    made = report(tyre=tyre, car={"speed_symbol": needs})
    assert verdict(made, "speed-symbol") == said


def test_without_a_required_symbol_the_cars_greatest_speed_is_asked() -> None:
    for speed, said in (("210 km/h", Verdict.FITS), ("211 km/h", Verdict.NOT)):
        tyre = {"designation": "205/55 R16 91H", "season": "summer", "winter_mark": "none"}
        made = report(tyre=tyre, car={"speed_symbol": None, "top_speed": speed, "placard": [], "approved": []})
        assert verdict(made, "speed-symbol") == said


def test_an_extra_load_tyre_carries_less_at_the_same_pressure() -> None:
    """94 is 670 kg at 290 kPa: at 250 kPa 670 (250/290)^0.8 = 595 kg; 91 is 615 kg at 250 kPa. No more is asked of it up to 160 km/h."""
    made = report(tyre={"designation": "205/55 R16 94V XL"}, car={"top_speed": "160 km/h"})
    front = lines(made, "capacity")[0]
    assert "carries 595 kg" in words(front.text)
    assert "205/55 R16 91V 615 kg" in words(front.text)


@pytest.mark.parametrize(
    ("axle", "said"), [("1189 kg", Verdict.FITS), ("1191 kg", Verdict.MEASURE), ("1342 kg", Verdict.NOT)]
)
def test_what_a_tyre_carries_is_held_against_half_of_the_axle(axle: str, said: Verdict) -> None:
    """94 XL at 250 kPa carries 595.0 kg: 594.5 is less, 595.5 is more; 671 is more than 670, which it carries at any pressure."""
    car = {"top_speed": "160 km/h", "axle_load_front": axle}
    made = report(tyre={"designation": "205/55 R16 94V XL"}, car=car)
    assert {line.verdict for line in lines(made, "capacity") if "front left" in line.corners} == {said}


@pytest.mark.published
def test_a_v_tyre_carries_91_percent_at_240() -> None:
    """0.91 x 615 = 559.65 kg; 0.3 bar are taken off the 2.8 for the speed, which leaves the 2.5 of the reference."""
    placard = [{"tyre": "205/55 R16 92V", "load": "full", "front": "2.8 bar", "rear": "2.8 bar"}]
    for axle, said in (("1119 kg", Verdict.FITS), ("1120 kg", Verdict.NOT)):
        car = {
            "top_speed": "240 km/h",
            "speed_symbol": "V",
            "placard": placard,
            "axle_load_front": axle,
            "axle_load_rear": axle,
        }
        assert verdict(report(car=car), "capacity") == said


def test_a_size_without_a_pressure_on_the_placard_has_its_load_asked() -> None:
    made = report(tyre={"designation": "225/50 R16 92V"})
    assert verdict(made, "size") == Verdict.MEASURE
    assert verdict(made, "capacity") == Verdict.MEASURE


def test_a_van_tyre_has_no_rule_for_its_pressure() -> None:
    made = report(tyre={"designation": "205/55 R16C 98/96T"}, car={"speed_symbol": "T", "top_speed": "160 km/h"})
    assert verdict(made, "capacity") == Verdict.MEASURE


@pytest.mark.parametrize(
    ("drive", "monitor", "said"),
    [
        (True, "direct", Verdict.NOT),
        (False, "indirect", Verdict.NOT),
        (False, "direct", Verdict.FITS),
        (None, "direct", Verdict.MEASURE),
        (False, None, Verdict.MEASURE),
    ],
)
def test_front_and_rear_go_equally_far_where_they_are_driven_or_compared(
    drive: bool | None, monitor: str | None, said: Verdict
) -> None:
    """205/55 R16: 406 + 2 x 113 = 632 mm; 205/60 R16: 406 + 2 x 123 = 652 mm; 632 / 652 = 0.969, 3.1 % apart."""
    rear = {n: {"designation": "205/60 R16 92V"} for n in (2, 3)}
    assert verdict(report(tyres=rear, car={"all_wheel_drive": drive, "monitor": monitor}), "round-even") == said


def test_one_percent_between_the_axles_is_borne() -> None:
    """225/45 R17: 432 + 2 x 101 = 634 mm against 632: 0.3 %."""
    rear = {n: {"designation": "225/45 R17 94V"} for n in (2, 3)}
    assert verdict(report(tyres=rear, car={"all_wheel_drive": True}), "round-even") == Verdict.FITS


def test_treads_more_than_3_mm_apart_strain_an_all_wheel_drive() -> None:
    for depth, said in (("4 mm", Verdict.FITS), ("3.9 mm", Verdict.NOT)):
        made = report(
            tyres={n: {"tread": depth, "season": "summer"} for n in range(1)}
            | {n: {"season": "summer"} for n in (1, 2, 3)},
            car={"all_wheel_drive": True},
        )
        assert verdict(made, "round-even") == said


@pytest.mark.published
@pytest.mark.parametrize(("code", "years"), [("031", "1981 or 1991"), ("317", "1987 or 1997")])
def test_three_digits_are_too_old_whatever_the_decade(code: str, years: str) -> None:
    made = report(tyre={"date_code": code})
    assert verdict(made, "age") == Verdict.NOT
    assert years in text(made, "age")


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("4617", Verdict.NOT),  # 12 to 18 November 2017: nine years and a week at least
        ("4717", Verdict.MEASURE),  # 19 to 25 November 2017: nine years on some of its days
        ("4817", Verdict.FITS),  # 26 November 2017 and later: not yet nine
        ("5226", Verdict.MEASURE),  # 27 December 2026: yet to come
    ],
)
def test_a_season_is_left_until_ten_years(code: str, said: Verdict) -> None:
    """2017 began on a Sunday: week 01 is from 1 January; week 47 from 19 November."""
    assert verdict(report(tyre={"date_code": code}), "age") == said


def test_a_winter_tyre_is_used_up_at_4_mm_and_another_at_3() -> None:
    for season, depth, said in (
        ("winter", "4.1 mm", Verdict.FITS), ("winter", "4 mm", Verdict.NOT), ("summer", "3.1 mm", Verdict.FITS), ("summer", "3 mm", Verdict.NOT),
    ):  # fmt: skip
        assert verdict(report(tyre={"season": season, "tread": depth}), "tread") == said


def test_patterns_mixed_on_one_axle_are_refused_and_between_axles_they_are_told() -> None:
    assert verdict(report(tyres={0: {"pattern": "ribs"}}), "mixed") == Verdict.NOT
    by_axle = report(tyres={0: {"pattern": "ribs"}, 1: {"pattern": "Ribs"}})
    assert verdict(by_axle, "mixed") == Verdict.FITS
    assert "another pattern" in text(by_axle, "mixed")
    assert verdict(report(tyres={0: {"pattern": None}}), "mixed") == Verdict.MEASURE


def test_mixed_seasons_are_refused() -> None:
    assert verdict(report(tyres={0: {"season": "summer"}, 1: {"season": "summer"}}), "mixed") == Verdict.NOT


@pytest.mark.parametrize(
    ("sides", "turned"),
    [
        ("left left left left", 2),
        ("left left left right", 1),
        ("left right left right", 0),
        ("right right right right", 2),
        ("left left left none", 1),
    ],
)
def test_two_tyres_run_on_each_side_and_the_rest_is_turned(sides: str, turned: int) -> None:
    made = report(tyres={n: {"direction": side} for n, side in enumerate(sides.split())})
    assert verdict(made, "direction") == (Verdict.WITH_PART if turned else Verdict.FITS)
    assert needs(made) == ({Part.TURNING: turned} if turned else {})


@pytest.mark.published
def test_seasons_left_are_the_fewer_of_tread_and_age() -> None:
    """7 - 4 = 3 mm; 7500 km wear 0.75 to 1.5 mm: 2 to 4 seasons. Made 17 to 23 September 2023: 6 - 3.2 and 10 - 3.2 are more."""
    left = report().bill.seasons
    assert left is not None
    assert left == pytest.approx((2.0, 4.0))
    old = report(
        tyre={"date_code": "3821"}
    )  # 19 to 25 September 2021: 1893 days from the first, 6 - 1893 / 365.25 = 0.817
    assert old.bill.seasons is not None
    assert old.bill.seasons[0] == pytest.approx(0.817, abs=0.001)


# --- radio ---------------------------------------------------------------------------------------


def test_sensors_of_the_other_band_are_for_another_car() -> None:
    made = report(sensor={"family": "west"})
    assert verdict(made, "band") == Verdict.WITH_PART
    assert "315 MHz" in text(made, "band")
    assert not [line for line in made.lines if line.code in ("family", "width", "state", "accepted", "id")]
    assert needs(made) == {Part.SENSOR: 4}
    assert verdict(report(sensor={"family": "dim"}), "band") == Verdict.MEASURE


@pytest.mark.parametrize(
    ("writing", "code", "part"),
    [("rewritable", "id", Part.REWRITING), ("fixed", "id-taken", Part.SENSOR), (None, "id-taken", Part.SENSOR)],
)
def test_an_id_that_is_in_the_garage_already_is_written_anew_or_its_sensor_replaced(
    writing: str | None, code: str, part: Part
) -> None:
    made = report(sensor={"writing": writing}, retired=[{"id": "0xA1000002", "family": "f"}])
    found = [
        (line.code, line.corners)
        for line in made.lines
        if line.code in ("id", "id-taken") and line.verdict == Verdict.WITH_PART
    ]
    assert found == [(code, ("rear left",))]
    assert needs(made) == {part: 1}


@pytest.mark.parametrize(
    ("taught", "sets", "writing", "said"),
    [
        ("locked", 1, "fixed", Verdict.WITH_PART),
        ("locked", 1, "rewritable", Verdict.FITS),
        ("locked", 1, None, Verdict.MEASURE),
        ("locked", 2, "fixed", Verdict.FITS),
        ("locked", None, "fixed", Verdict.MEASURE),
        ("step by step", 1, "fixed", Verdict.FITS),
        (None, 1, "fixed", Verdict.MEASURE),
    ],
)
def test_a_locked_list_of_one_set_takes_only_sensors_that_can_be_written(
    taught: str | None, sets: int | None, writing: str | None, said: Verdict
) -> None:
    made = report(car={"taught_by": taught, "remembers_sets": sets}, sensor={"writing": writing})
    assert verdict(made, "accepted") == said
    assert needs(made) == ({Part.SENSOR: 4} if said == Verdict.WITH_PART else {})


@pytest.mark.parametrize("monitor", ["indirect", "none"])
def test_sensors_do_not_matter_to_a_car_that_does_not_listen(monitor: str) -> None:
    made = report(car={"monitor": monitor}, sensor={"family": "west", "answers": False, "battery_low": True})
    assert dict(made.verdicts)[Question.RADIO] == Verdict.NO_MATTER
    assert [line.code for line in made.of(Question.RADIO)] == ["sensor"]
    assert needs(made) == {}
    assert made.trials == ()


@pytest.mark.parametrize("monitor", ["direct", "indirect", "none", None])
def test_what_no_advertisement_shows_is_on_every_sellers_list(monitor: str | None) -> None:
    """Inner shoulder, plugs, inner rim, run-out: common practice, no source."""
    made = report(car={"monitor": monitor})
    assert [one.code for one in made.looks] == ["inner-shoulder", "plugs", "inner-rim", "run-out"]
    assert {b.ground for one in made.looks for b in one.basis} == {Ground.PRACTICE}


def test_a_wheel_without_a_sensor_wants_one() -> None:
    made = report(sensed=False)
    assert verdict(made, "sensor") == Verdict.WITH_PART
    assert needs(made) == {Part.SENSOR: 4}
    # 200 asked, 4 x (45 + 5 + 20) = 280, one trip of an hour at 15: 495
    assert made.bill.total is not None
    assert float(made.bill.total.amount) == 495.0


def test_a_rubber_valve_is_too_weak_above_210() -> None:
    for speed, said in (("210 km/h", Verdict.NO_MATTER), ("211 km/h", Verdict.WITH_PART)):
        made = report(car={"top_speed": speed, "speed_symbol": "V"}, sensor={"stem": "rubber"})
        assert verdict(made, "valve") == said
        assert needs(made) == ({Part.VALVE: 4} if said == Verdict.WITH_PART else {})


def test_a_valve_for_another_hole_is_bought_once_with_its_sensor_or_alone() -> None:
    small = {"valve_hole": "8.3 mm"}
    assert needs(report(sensor=small)) == {Part.VALVE: 4}
    assert needs(report(sensor={**small, "battery_low": True})) == {Part.SENSOR: 4}
