"""The practising car's units answer as their service sheet and ISO 14229-1 say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wheelside.car.vin import check_sign
from wheelside.demo.practice import Habits, PracticeUnit, PractisedWheel, practice_car
from wheelside.demo.practice.brake import BrakeUnit
from wheelside.demo.practice.codes import UnitCodes
from wheelside.demo.practice.engine import EngineUnit
from wheelside.demo.practice.told import SUMMER, VIN, WINTER, winter_wheels
from wheelside.demo.practice.unit import NO_SIGNAL, SUPPLY_LOW
from wheelside.demo.practice.wheels import EMPTY, Around, bytes_of

WINTER_HEX = bytes_of(WINTER).hex()


def unit_with(habits: Habits | None = None) -> PracticeUnit:
    return practice_car(habits).unit


def ask(unit: PracticeUnit, request: str, at: float = 0.0, *, functional: bool = False) -> str:
    """The last answer in hexadecimal signs, '' for silence."""
    replies = unit.answer(bytes.fromhex(request), at, functional)
    return replies[-1].data.hex().upper() if replies else ""


def teach(unit: PracticeUnit, number: int = 1, at: float = 0.0) -> list[str]:
    """The answers to the five requests of teaching."""
    wanted = ("1003", f"31010310{number:02X}", f"2E21{0x0F + number:02X}{WINTER_HEX}", "31020310", "31030310")
    return [ask(unit, request, at + n / 10) for n, request in enumerate(wanted)]


def test_the_number_is_a_valid_one() -> None:
    assert len(VIN) == 17
    assert VIN[8] == check_sign(VIN)


def test_the_demo_car_as_it_is_told() -> None:
    unit = unit_with()
    assert ask(unit, "22F190") == "62F190" + VIN.encode().hex().upper()
    assert len(ask(unit, "22F18C")) == 2 * (3 + 10)
    assert ask(unit, "222110") == "622110" + "2C41A7F3" + "2C41A841" + "2C41AB2A" + "2C41A1E6"
    assert SUMMER[0] == 0x2C41A7F3
    assert ask(unit, "222111") == "622111" + "F" * 32
    assert ask(unit, "222112") == "62211201"
    assert ask(unit, "222120") == "622120" + "F" * 16
    assert ask(unit, "222121") == "622121" + "F" * 8
    assert ask(unit, "222122") == "62212200"
    assert ask(unit, "222130") == "62213006BD0672"
    assert ask(unit, "22214021502160F40DF442") == "62214000215000216001F40D00F4423138"
    assert ask(unit, "190208") == "5902FF5A123128"
    assert ask(unit, "19045A123101") == "59045A1231280103F40D2FF44237962140" + "02"
    assert ask(unit, "19065A123101") == "59065A1231280101"


@pytest.mark.parametrize(
    ("request_", "answer"),
    [
        ("22F1", "7F2213"), ("22", "7F2213"), ("222199", "7F2231"), ("2221992112", "62211201"), ("1004", "7F1012"), ("1002", "7F1012"),
        ("10", "7F1013"), ("100300", "7F1013"), ("3E01", "7F3E12"), ("3E0000", "7F3E13"), ("2701", "7F2711"), ("1101", "7F1111"),
        ("2E2110" + "00" * 16, "7F2E7F"), ("3101031001", "7F317E"), ("31020310", "7F317E"), ("31030310", "7103031000"), ("31030311", "7F3131"),
        ("3103", "7F3113"), ("31040310", "7F3112"), ("1903FF", "7F1912"), ("1902", "7F1913"), ("19045A990001", "7F1931"), ("19", "7F1913"),
        ("19045A123102", "7F1931"), ("19065A123199", "7F1931"), ("14FFFF", "7F1413"), ("14123456", "7F1431"), ("14FFFFFF", "54"), ("3E00", "7E00"),
        ("1001", "5001003201F4"), ("1003", "5003003201F4"),
    ],
)  # fmt: skip
def test_answers_in_the_default_session(request_: str, answer: str) -> None:
    assert ask(unit_with(), request_) == answer


@pytest.mark.parametrize(
    ("request_", "answer"),
    [
        ("2E2110" + "00" * 15, "7F2E13"), ("2E2110", "7F2E13"), ("2E2112" + "01", "7F2E31"), ("2EF190" + "41" * 17, "7F2E31"),
        ("2E2110" + "00" * 16, "7F2E22"), ("3101031003", "7F3131"), ("31010310", "7F3113"), ("31020310", "7F3124"), ("3101031001", "71010310"),
    ],
)  # fmt: skip
def test_answers_in_the_extended_session(request_: str, answer: str) -> None:
    unit = unit_with()
    ask(unit, "1003")
    assert ask(unit, request_) == answer


@pytest.mark.parametrize("request_", ["2701", "1002", "222199", "3101031001", "2E2110" + "00" * 16, "1903FF"])
def test_to_all_units_what_is_not_supported_is_not_answered(request_: str) -> None:
    assert ask(unit_with(), request_, functional=True) == ""


def test_to_all_units_other_refusals_and_answers_are_sent() -> None:
    assert ask(unit_with(), "100300", functional=True) == "7F1013"
    assert ask(unit_with(), "222112", functional=True) == "62211201"
    unit = unit_with()
    unit.around.speed_kmh = 6
    assert ask(unit, "14FFFFFF", functional=True) == "7F1422"


def test_bit_7_suppresses_the_positive_answer_only() -> None:
    unit = unit_with()
    assert ask(unit, "3E80") == ""
    assert ask(unit, "1083") == ""
    assert unit.session == 3
    assert ask(unit, "1981FF") == ""
    assert ask(unit, "3E81") == "7F3E12"


def test_the_session_ends_five_seconds_after_the_last_request() -> None:
    unit = unit_with()
    ask(unit, "1003", 0.0)
    ask(unit, "3E80", 4.9)
    assert ask(unit, "3101031001", 9.8) == "71010310"
    assert ask(unit, "2E2110" + WINTER_HEX, 14.9) == "7F2E7F"
    assert ask(unit, "31030310", 15.0) == "7103031003"


def test_teaching_from_front_to_back() -> None:
    unit = unit_with()
    assert teach(unit) == ["5003003201F4", "71010310", "6E2110", "71020310", "7103031002"]
    assert ask(unit, "222110") == "622110" + WINTER_HEX.upper()
    assert ask(unit, "222150") == "62215002"
    unit.drive(10, 50)
    assert ask(unit, "222120") == "622120" + "0D550D550CF10CF1"
    assert ask(unit, "222121") == "622121" + "38383837"
    assert ask(unit, "222140") == "62214000"


def test_teaching_empties_the_list_and_a_lost_session_leaves_it_so() -> None:
    unit = unit_with()
    ask(unit, "1003")
    ask(unit, "3101031001")
    assert ask(unit, "222110") == "622110" + "F" * 32
    assert ask(unit, "222110", 6.0) == "622110" + "F" * 32
    assert ask(unit, "31030310", 6.1) == "7103031003"
    unit.drive(10, 50)
    assert ask(unit, "222140") == "62214002"


def test_what_was_written_stays_but_does_not_count() -> None:
    unit = unit_with()
    for request in ("1003", "3101031001", "2E2110" + WINTER_HEX, "1001"):
        ask(unit, request)
    assert ask(unit, "222110") == "622110" + WINTER_HEX.upper()
    assert ask(unit, "22215031") == "7F2213"
    assert ask(unit, "222150") == "62215001"
    unit.drive(10, 50)
    assert unit.lamp == 2


def test_set_2_is_watched_once_it_is_taught() -> None:
    unit = unit_with()
    assert teach(unit, 2)[-1] == "7103031002"
    assert ask(unit, "222112") == "62211202"
    assert ask(unit, "222110")[:14] == "6221102C41A7F3"


def test_the_other_list_is_not_written() -> None:
    unit = unit_with()
    ask(unit, "1003")
    ask(unit, "3101031002")
    assert ask(unit, "2E2110" + WINTER_HEX) == "7F2E22"


@pytest.mark.parametrize(("name", "value"), [("ignition", 0), ("ignition", 2), ("supply_mv", 11_999), ("speed_kmh", 1)])
def test_teaching_wants_its_conditions(name: str, value: int) -> None:
    unit = unit_with()
    setattr(unit.around, name, value)
    ask(unit, "1003")
    assert ask(unit, "3101031001") == "7F3122"
    assert unit.teaching.lists[1] == SUMMER


def test_the_supply_falls_while_teaching() -> None:
    unit = unit_with(Habits(low_supply_mv=10_900))
    assert teach(unit) == ["5003003201F4", "71010310", "7F2E22", "7F3124", "7103031003"]
    assert unit.codes.status[SUPPLY_LOW] & 0x0F == 0x0F
    assert ask(unit, "19045A2016FF").endswith("F40D00F4422A94214000")


@pytest.mark.parametrize(
    ("habits", "answers", "written"),
    [
        (Habits(break_off_at=3), ["71010310", "7F2E22", "7F3124", "7103031003"], False),
        (Habits(break_off_at=4), ["71010310", "6E2110", "7F3124", "7103031003"], True),
        (Habits(break_off_at=5), ["71010310", "6E2110", "7F3122", "7103031003"], True),
        (Habits(refuse_write=True), ["71010310", "7F2E72", "7F3124", "7103031001"], False),
    ],
)
def test_teaching_is_broken_off(habits: Habits, answers: list[str], written: bool) -> None:
    unit = unit_with(habits)
    assert teach(unit)[1:] == answers
    assert (unit.teaching.lists[1] == WINTER) is written
    assert (unit.teaching.lists[1] == (EMPTY,) * 4) is not written


def test_a_list_is_stored_wrongly() -> None:
    unit = unit_with(Habits(write_wrong=True))
    assert teach(unit)[-1] == "7103031002"
    assert unit.teaching.lists[1] == (WINTER[0] ^ 1, *WINTER[1:])


def test_driving_with_wheels_that_are_not_in_the_list() -> None:
    unit = unit_with()
    unit.drive(9, 50)
    unit.drive(30, 25)
    assert unit.lamp == 0
    unit.drive(1, 50)
    assert ask(unit, "222140") == "62214002"
    assert ask(unit, "190201").startswith("5902FF5A1031AF5A1131AF5A1231AF5A1331AF")
    assert ask(unit, "19045A103101") == "59045A1031AF" + "0103F40D32F44231382140" + "02"
    assert ask(unit, "190188") == "5901FF000004"
    assert ask(unit, "14FFFFFF") == "54"
    assert ask(unit, "190208") == "5902FF"
    assert ask(unit, "1902FF").startswith("5902FF5A103150")
    assert ask(unit, "19045A103101") == "59045A103150"
    assert unit.lamp == 0
    unit.drive(1, 50)
    assert unit.lamp == 2


def test_a_sensor_is_heard_wherever_its_wheel_is_fitted() -> None:
    unit = unit_with()
    teach(unit)
    first, second, third, fourth = winter_wheels()
    assert fourth is not None
    unit.fit((first, second, replace(fourth, kpa=250.0, battery_low=True), third))
    unit.drive(10, 30)
    assert ask(unit, "222120") == "622120" + "0D550D550CF109C4"
    assert ask(unit, "222122") == "62212208"
    assert ask(unit, "222140") == "62214001"


def test_a_silent_sensor_sets_its_code() -> None:
    unit = unit_with()
    teach(unit)
    first, second, third, _ = winter_wheels()
    unit.fit((first, second, third, PractisedWheel(WINTER[3], sends=False)))
    unit.drive(10, 30)
    assert [bool(unit.codes.status[code] & 1) for code in NO_SIGNAL] == [False, False, False, True]
    unit.fit(winter_wheels())
    assert unit.heard == (None,) * 4
    unit.drive(10, 30)
    unit.drive(10, 30)
    assert unit.codes.status[NO_SIGNAL[3]] == 0x28


@pytest.mark.published
def test_codes_as_the_standard_lists_them() -> None:
    """ISO 14229-1, examples of service 19: 0A assembled from its data; 02 and 01 from memory."""
    codes = UnitCodes({0x123456: 0x24, 0x234505: 0x00, 0xABCD01: 0x2F}, availability=0x7F)
    assert codes.report(b"\x19\x0a") == bytes.fromhex("59 0A 7F 12 34 56 24 23 45 05 00 AB CD 01 2F")
    codes = UnitCodes({0x0A9B17: 0x24, 0x080511: 0x2F, 0x25221F: 0x00}, availability=0x7F)
    assert codes.report(bytes.fromhex("19 02 84")) == bytes.fromhex("59 02 7F 0A 9B 17 24 08 05 11 2F")
    codes = UnitCodes({0x0A9B17: 0x24, 0x080511: 0x2F}, availability=0x2F)
    assert codes.report(bytes.fromhex("19 01 08")) == bytes.fromhex("59 01 2F 00 00 01")


def test_response_pending_and_answers_twice() -> None:
    unit = unit_with(Habits(pending=2, pending_s=0.5, answer_s=0.1, answer_twice=True))
    replies = unit.answer(bytes.fromhex("222112"), 0.0)
    assert [reply.data.hex() for reply in replies] == ["7f2278", "7f2278", "62211201", "62211201"]
    assert [reply.after_s for reply in replies] == pytest.approx([0.1, 0.6, 1.1, 1.11])
    assert unit.answer(bytes.fromhex("3E80"), 2.0) == ()
    assert [r.data.hex() for r in unit.answer(bytes.fromhex("1981FF"), 2.0)][-1] == "5901ff000002"
    assert [r.after_s for r in unit.answer(bytes.fromhex("3E00"), 2.0)] == pytest.approx([0.1, 0.11])


def test_requests_are_ignored_and_the_unit_starts_anew() -> None:
    unit = unit_with(Habits(ignore_every=3))
    assert [ask(unit, "3E00") for _ in range(6)] == ["7E00", "7E00", "", "7E00", "7E00", ""]
    unit = unit_with(Habits(reset_at=3))
    assert [ask(unit, request) for request in ("1003", "3101031001", "3E00")] == ["5003003201F4", "71010310", ""]
    assert unit.session == 1
    assert ask(unit, "31030310") == "7103031003"


def test_conditions_for_clearing() -> None:
    unit = unit_with()
    unit.around.speed_kmh = 6
    assert ask(unit, "14FFFFFF") == "7F1422"
    unit.around.speed_kmh = 5
    assert ask(unit, "145A1231") == "54"
    assert unit.codes.status[NO_SIGNAL[2]] == 0x50


def ask_other(unit: EngineUnit | BrakeUnit, request: str, *, functional: bool = False) -> str:
    replies = unit.answer(bytes.fromhex(request), 0.0, functional)
    return replies[0].data.hex().upper() if replies else ""


@pytest.mark.published
def test_the_engine_lists_codes_as_published() -> None:
    """SAE J1979 on CAN with a count byte: 43 02 01 02 01 13 is P0102 and P0113; 43 00 is none."""
    engine = EngineUnit(VIN, Around(), stored=(0x0102, 0x0113), permanent=(0x0102,))
    assert ask_other(engine, "03") == "430201020113"
    assert ask_other(engine, "07") == "4700"
    assert ask_other(engine, "04") == "44"
    assert ask_other(engine, "03") == "4300"
    assert ask_other(engine, "0A") == "4A010102"


def test_the_engine_tells_values_and_keeps_silent() -> None:
    engine = EngineUnit(VIN, Around(speed_kmh=50, ignition=2))
    assert ask_other(engine, "010D0C") == "410D320C0C80"
    assert ask_other(engine, "0100") == "410088180001"
    assert ask_other(engine, "0140") == "414040000000"
    assert ask_other(engine, "0142") == "41423138"
    assert ask_other(engine, "0900") == "490040000000"
    assert ask_other(engine, "0902") == "490201" + VIN.encode().hex().upper()
    assert ask_other(engine, "04") == "7F0422"
    assert ask_other(engine, "01FE") == ask_other(engine, "0904") == ask_other(engine, "0300") == ""
    assert ask_other(engine, "22F190") == "7F2211"
    assert ask_other(engine, "22F190", functional=True) == ""
    engine.around.ignition = 0
    assert ask_other(engine, "0100") == ""


def test_the_brake_unit_says_who_it_is_and_refuses() -> None:
    brake = BrakeUnit(VIN, Around())
    assert ask_other(brake, "22F190") == "62F190" + VIN.encode().hex().upper()
    assert ask_other(brake, "22F18C").startswith("62F18C")
    assert ask_other(brake, "1902FF") == "59027F"
    assert ask_other(brake, "222110") == "7F2231"
    assert ask_other(brake, "1003") == "7F1011"
    assert ask_other(brake, "190A") == "7F1912"
    assert ask_other(brake, "1003", functional=True) == ""
    assert ask_other(brake, "1982FF") == ""


def test_the_session_lasts_from_the_end_of_a_late_answer() -> None:
    unit = unit_with(Habits(pending=3, pending_s=2.0))
    ask(unit, "1003", 0.0)
    assert ask(unit, "3101031001", 1.0) == "71010310"
    assert unit.answer(bytes.fromhex("2E2110" + WINTER_HEX), 11.9)[-1].data.hex() == "6e2110"
    assert ask(unit, "31020310", 23.0) == "7F317E"
