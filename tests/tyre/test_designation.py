"""What a designation says, and how it is printed."""

from __future__ import annotations

import pytest

from wheelside.tyre.designation import Designation, MarkForm, Service
from wheelside.tyre.sidewall import read_designation


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("205/55 R16 91V", "205/55 R16 91V"), ("205/55R16 91 V", "205/55 R16 91V"), ("P205/55R16 89H", "P205/55 R16 89H"),
        ("225/45 R17 94W XL", "225/45 R17 94W XL"), ("225/45ZR17 94W", "225/45 ZR17 94W"), ("255/35 ZR19 (96Y)", "255/35 ZR19 (96Y)"),
        ("215/65 R16C 109/107T", "215/65 R16C 109/107T"), ("215/65R16C 109/107T(106T)", "215/65 R16C 109/107T (106T)"),
        ("235/60 r18 103h", "235/60 R18 103H"), ("205/55 R16", "205/55 R16"), ("205/55 R16 XL 94V", "205/55 R16 94V XL"),
        ("205/55 R16 91V extra load", "205/55 R16 91V XL"), ("205/55 R16 94V REINF.", "205/55 R16 94V XL"),
        ("P205/55 R16 SL 89H M+S", "P205/55 R16 89H SL M+S"), ("245/40RF18 97Y", "245/40 RF18 97Y"), ("245/40 ZRF18 97Y", "245/40 ZRF18 97Y"),
        ("HL245/40R19 101Y", "HL245/40 R19 101Y"), ("LT245/75R17/E 121/118S", "LT245/75 R17/E 121/118S"), ("LT245/75R16C", "LT245/75 R16/C"),
        ("T125/80D16 97M", "T125/80 D16 97M"), ("225/75R16CP 118R", "225/75 R16CP 118R"), ("165R13 79S", "165 R13 79S"), ("165-13", "165-13"),
        ("165 D 13", "165-13"), ("185/70 HR14", "185/70 HR14"), ("185/70-14", "185/70 D14"), ("205/70B14", "205/70 B14"),
        ("6.40-13", "6.40-13"), ("7.00R16C 117/116L", "7.00 R16C 117/116L"), ("5.60 S R 15", "5.60 SR15"), ("6.40 D13", "6.40-13"),
        ("31 x 10.50 R15LT 109Q", "31x10.50 R15LT 109Q"), ("31X10.50R15LT/C", "31x10.50 R15LT/C"), ("33x12.50-15 LT", "33x12.50-15LT"),
        ("FR78-15", "FR78-15"), ("f78 - 15", "F78-15"), ("190/65 R390 89H", "190/65 R390 89H"), ("225/70 R19.5", "225/70 R19.5"),
        ("205/55 R16 91A8", "205/55 R16 91A8"),
    ],
)  # fmt: skip
def test_each_form_prints_back_in_one_spelling(text: str, printed: str) -> None:
    tyre = read_designation(text)
    assert tyre.text == printed
    assert read_designation(tyre.text) == tyre


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("205/55 R16", MarkForm.METRIC),
        ("LT245/75 R17", MarkForm.METRIC),
        ("165 R13", MarkForm.FULL),
        ("6.40-13", MarkForm.INCH),
        ("31x10.50 R15LT", MarkForm.FLOTATION),
        ("FR78-15", MarkForm.LETTER),
    ],
)
def test_the_form_is_told_from_the_marking(text: str, form: MarkForm) -> None:
    assert read_designation(text).form is form


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("225/45 ZR17 (94W) XL", "225/45 R17"), ("245/40 RF18 97Y", "245/40 R18"), ("245/40 ZRF18", "245/40 R18"),
        ("185/70 HR14 M+S", "185/70 R14"), ("165 SR13", "165 R13"), ("6.40 SR13", "6.40 R13"), ("6.40-13 C", "6.40-13C"),
        ("P205/55 R16 89H SL", "P205/55 R16"), ("215/65 R16C 109/107T", "215/65 R16C"), ("LT245/75 R17/E", "LT245/75 R17"),
        ("31x10.50 RF15LT/C", "31x10.50 R15LT"), ("FR78-15", "FR78-15"), ("T125/80 D16 97M", "T125/80 D16"),
    ],
)  # fmt: skip
def test_the_size_is_what_a_placard_prints(text: str, size: str) -> None:
    """No Z, no F, no speed, no load range: they say nothing of the size."""
    assert read_designation(text).size == size


@pytest.mark.published
@pytest.mark.parametrize(
    ("code", "mm"),
    [
        (12, 305),
        (13, 330),
        (14, 356),
        (15, 381),
        (16, 406),
        (17, 432),
        (18, 457),
        (19, 483),
        (20, 508),
        (21, 533),
        (22, 559),
    ],
)
def test_rim_codes_round_to_whole_millimetres(code: int, mm: int) -> None:
    """UN R30: rim diameter code times 25.4, rounded."""
    assert read_designation(f"205/55 R{code}").rim_mm == mm


@pytest.mark.parametrize(
    ("rim", "mm"), [("240", 240), ("365", 365), ("390", 390), ("545", 545), ("30", 762), ("19.5", 495), ("16.5", 419)]
)
def test_rims_from_240_on_are_millimetres_and_half_inches_count(rim: str, mm: int) -> None:
    assert read_designation(f"205/55 R{rim}").rim_mm == mm


@pytest.mark.parametrize("text", ["205/55 R16 91V", "HL245/40 R19", "245/40 ZRF18", "225/45 R17 94W XL", "190/65 R390"])
def test_iso_passenger_tyres_are_radial_and_metric_without_letters(text: str) -> None:
    tyre = read_designation(text)
    assert tyre.iso_passenger
    assert (tyre.van, tyre.light_truck, tyre.p_metric) == (False, False, False)


@pytest.mark.parametrize(
    "text",
    ["P205/55 R16", "LT245/75 R17", "T125/80 R16", "215/65 R16C", "225/75 R16CP", "205/55 R16LT", "205/55 D16", "205/55-16", "205/55 B16",
     "165 R13", "6.40 R13", "31x10.50 R15", "FR78-15"],
)  # fmt: skip
def test_other_tyres_are_not_iso_passenger(text: str) -> None:
    assert not read_designation(text).iso_passenger


@pytest.mark.parametrize(("text", "van", "light_truck"), [
    ("215/65 R16C", True, False), ("225/75 R16CP", True, False), ("7.00 R16C", True, False), ("LT245/75 R17/C", False, True),
    ("31x10.50 R15LT/C", False, True), ("205/55 R16", False, False), ("P205/55 R16", False, False),
])  # fmt: skip
def test_c_is_for_vans_and_lt_for_light_trucks(text: str, van: bool, light_truck: bool) -> None:
    tyre = read_designation(text)
    assert (tyre.van, tyre.light_truck) == (van, light_truck)


def test_p_before_the_width_is_p_metric() -> None:
    assert read_designation("P205/55 R16").p_metric
    assert not read_designation("205/55 R16").p_metric


def test_every_part_of_a_marking_has_its_field() -> None:
    assert read_designation("LT245/75 ZRF17/E (121/118S) M+S SL") == Designation(
        form=MarkForm.METRIC, rim_code=17.0, width_mm=245, aspect_pct=75, prefix="LT", zr=True, run_flat=True, load_range="E",
        service=Service(121, "S", 118, above=True), standard_load=True, mud_snow=True,
    )  # fmt: skip
    assert read_designation("215/65 HR16CP 109/107T (106A6) XL") == Designation(
        form=MarkForm.METRIC, rim_code=16.0, width_mm=215, aspect_pct=65, old_speed="H", suffix="CP", service=Service(109, "T", 107),
        second=Service(106, "A6"), extra_load=True,
    )  # fmt: skip
    assert read_designation("FR78-15") == Designation(form=MarkForm.LETTER, rim_code=15.0, aspect_pct=78, head="F")
    assert read_designation("F78-15").build == "D"
    assert read_designation("31x10.50-15").head == "31x10.50"


def test_index_and_symbol_are_those_of_the_service_description() -> None:
    tyre = read_designation("215/65 R16C 109/107T (106H)")
    assert (tyre.load_index, tyre.speed_symbol) == (109, "T")
    bare = read_designation("215/65 R16C")
    assert (bare.load_index, bare.speed_symbol, bare.service) == (None, None, None)
