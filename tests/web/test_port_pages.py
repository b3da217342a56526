"""The pages that ask a car, and steps of a job that the car answers itself, with the car to practise on."""

from __future__ import annotations

import json
import re
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from books import NOON
from cars import CARD, HOUSEHOLD_WINTER, broken_off, keep_card, on_a_bus, suited_household
from garages import seeded
from visits import Site, let_in, words
from wheelside.book.cars import records_of
from wheelside.car.frames import LinkLost
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import PracticeCar, practice_car
from wheelside.demo.practice.told import SUMMER, WINTER
from wheelside.demo.practice.uds import Reply
from wheelside.demo.practice.wheels import EMPTY, bytes_of
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.car.visit import last_teaching, records, teachings
from wheelside.jobs.work.doing import doing
from wheelside.jobs.work.finish import finish
from wheelside.proof.check import check_proof
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.option import Codes, LampTold, Listed

PORT = "/things/car/estate/port"
VIN = "XWSKE16EXTA004217"


@pytest.fixture
def car() -> PracticeCar:
    return practice_car()


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Desk]:
    """A book in a file; that cars' records are the same in both databases is held elsewhere."""
    desk = new_desk(str(tmp_path / "household.book"), tmp_path / "photos")
    desk.clock, desk.bits = (lambda: NOON), seeded()
    take_in_text(desk, suited_household(), "household.toml")
    yield desk
    desk.close()


@pytest.fixture
def site(home: Desk, car: PracticeCar) -> Iterator[Site]:
    """A server with a way to the car, and its card kept."""
    keep_card(home)
    with on_a_bus(car) as link:
        yield let_in(home, car_link=link)


def kept(site: Site) -> list[str]:
    return [record.what for record in records(site.desk, "estate")]


def test_a_server_without_a_way_to_a_car_says_how_to_give_it_one(home: Desk) -> None:
    site = let_in(home)
    assert "This server has no way to a car" in site.get(PORT)
    keep_card(home)
    assert "start it with one" in site.post(PORT + "/read", 400)
    assert "Read everything now" not in site.get(PORT)


def test_a_port_card_is_kept_or_refused_with_every_line(home: Desk) -> None:
    site = let_in(home)
    refused = words(site.post(PORT + "/card", 400, {"text": 'port = 1\nid = "x"\n[unit]\nrequest = "6A3"\n'}))
    assert "unit.answer" in refused
    assert "no port card was sent" in site.post(PORT + "/card", 400)
    assert "dbc" in words(site.post(PORT + "/card", 400, {"text": port_card().decode()}))
    answer = site.client.post(
        PORT + "/card",
        data={"ticket": site.ticket},
        files={"card": ("a.toml", port_card()), "dbc": ("practice.dbc", dbc())},
    )
    assert answer.status_code == 303
    assert site.post(PORT + "/card", fields={"text": port_card().decode()}) == f"{PORT}?done=card"
    assert "Car to practise on" in words(site.get(PORT))


def test_what_the_car_says_is_read_kept_and_shown_in_the_owners_units(site: Site, car: PracticeCar) -> None:
    car.unit.teaching.lists[2], car.unit.watched = WINTER, 2
    car.unit.teaching.counting.add(2)
    car.unit.drive(12, 60)
    assert site.post(PORT + "/read") == f"{PORT}?done=read"
    page = words(site.get(PORT))
    for said in (
        "VIN read, not kept",
        "12.60 V",
        "bar absolute",
        "6 °C",
        "List ‘set 1’ ✓ as fitted",
        "List ‘set 2’, which the car goes by ▲ not as fitted",
        "C1A12-31",
    ):
        assert said in page, said
    assert kept(site) == ["port card", "read", "codes"]
    with site.desk.book.reading() as conn:
        assert VIN not in str(records_of(conn, "estate"))


def test_codes_are_compared_with_those_of_the_time_before(site: Site, car: PracticeCar) -> None:
    site.post(PORT + "/read")
    car.unit.codes.fail(0x5A1331, warns=True)
    site.post(PORT + "/read")
    assert "gone none, new C1A13-31" in words(site.get(PORT))


def test_only_picked_codes_are_cleared_and_never_while_the_car_moves(site: Site, car: PracticeCar) -> None:
    car.unit.codes.fail(0x5A1331, warns=True)
    site.post(PORT + "/read")
    assert "no code was picked" in site.post(PORT + "/clear", 400)
    car.around.speed_kmh = 3
    assert "the car moves" in site.post(PORT + "/clear", 400, {"code": "C1A13-31"})
    car.around.speed_kmh = 0
    assert site.post(PORT + "/clear", fields={"code": "C1A13-31"}) == f"{PORT}?done=cleared"
    page = words(site.get(PORT))
    assert "gone C1A13-31" in page
    assert "C1A12-31" in page
    assert kept(site)[-2:] == ["codes before clearing", "codes after clearing"]
    assert "can&#39;t be cleared one by one" in site.post(PORT + "/clear", 400, {"code": "P0101"})


def shown(site: Site, name: str = "set 1") -> dict[str, str]:
    """The fields of the form below a draft."""
    page = site.post(PORT + "/draft", 200, {"set": "winter", "list": name})
    return dict(re.findall(r'name="(set|list|old|new)" value="([^"]*)"', page))


def test_a_draft_is_shown_and_only_just_that_one_is_written(site: Site, car: PracticeCar) -> None:
    draft = shown(site)
    assert car.unit.teaching.lists[1] == SUMMER
    assert draft["old"] == bytes_of(SUMMER).hex()
    assert "nothing was written" in site.post(PORT + "/teach", 400, draft)
    assert "look at it again" in site.post(PORT + "/teach", 409, {**draft, "new": "00" * 16, "go": "yes"})
    assert car.unit.teaching.lists[1] == SUMMER
    assert "teaching" not in kept(site)
    assert site.post(PORT + "/teach", fields={**draft, "go": "yes"}) == ended(site)
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER
    assert "The new list is in the car" in words(site.get(ended(site)))
    assert "The last teaching" in words(site.get(PORT))
    assert site.post(PORT + "/settle", fields={"how": "undo", "of": settled_by(site)}) == ended(site)
    assert car.unit.teaching.lists[1] == SUMMER


def test_one_id_in_all_places_is_asked_about_on_the_page(site: Site, car: PracticeCar) -> None:
    car.unit.teaching.lists[1] = (SUMMER[0],) * 4
    page = site.post(PORT + "/draft", 200, {"set": "winter", "list": "set 1"})
    assert "All places hold one ID" in words(page)
    draft = {**shown(site), "go": "yes", "sure": "yes"}
    assert "hold one ID" in words(site.post(PORT + "/teach", 400, draft))
    assert car.unit.teaching.lists[1] == (SUMMER[0],) * 4
    assert site.post(PORT + "/teach", fields={**draft, "one_id": "yes"}) == ended(site)
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER


def ended(site: Site) -> str:
    """Where a page leads that has ended the last teaching."""
    last = last_teaching(records(site.desk, "estate"))
    assert last is not None
    return f"{PORT}?done=ended&of={last.num}"


def settled_by(site: Site) -> str:
    """The number of the teaching that the page's form would finish or undo."""
    found = re.search(r'name="of" value="(\d+)"', site.get(PORT))
    assert found is not None
    return found[1]


def test_a_page_that_is_out_of_date_settles_no_other_teaching(site: Site, car: PracticeCar) -> None:
    site.post(PORT + "/teach", fields={**shown(site), "go": "yes"})
    old = settled_by(site)
    second = {**shown(site, "set 2"), "go": "yes"}
    site.post(PORT + "/teach", fields=second)
    before = dict(car.unit.teaching.lists)
    assert "another teaching has come" in words(site.post(PORT + "/settle", 409, {"how": "undo", "of": old}))
    assert "another teaching has come" in words(site.post(PORT + "/settle", 409, {"how": "undo"}))
    assert car.unit.teaching.lists == before


def test_what_came_of_a_teaching_is_told_though_the_car_is_gone_after_it(
    site: Site, car: PracticeCar, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(*_: object, **__: object) -> None:
        raise LinkLost("the adapter says nothing any more")

    monkeypatch.setattr("wheelside.web.pages.port.read_and_keep", gone)
    assert site.post(PORT + "/teach", fields={**shown(site), "go": "yes"}) == ended(site)
    assert "The new list is in the car" in words(site.get(ended(site)))


def test_codes_that_were_not_told_are_not_called_none(site: Site, car: PracticeCar) -> None:
    keep_card(site.desk, ENGINE)
    car.engine.answer = only({b"\x07": b"\x47\x00"})  # type: ignore[method-assign]
    site.post(PORT + "/read")
    page = words(site.get(PORT))
    assert "None in what it told." in page
    assert "? stored codes: the unit refused 03" in page
    job = site.begin()
    site.post(f"/jobs/{job}/steps/codes-before/ask-car")
    assert codes_said(site, job) == Codes.NOT_READ
    car.engine.answer = only({b"\x03": b"\x43\x00", b"\x07": b"\x47\x00"})  # type: ignore[method-assign]
    site.post(f"/jobs/{job}/steps/codes-before/ask-car")
    assert codes_said(site, job) == Codes.NONE
    car.engine.answer = only({b"\x03": b"\x43\x01\x01\x02"})  # type: ignore[method-assign]
    site.post(f"/jobs/{job}/steps/codes-before/ask-car")
    assert codes_said(site, job) == Codes.SOME


def codes_said(site: Site, job: str) -> str:
    return next(s for s in doing(site.desk, job).states if s.step.id == "codes-before").answers[0].said


def only(answers: dict[bytes, bytes]) -> Callable[..., tuple[Reply, ...]]:
    """A unit that answers these requests, and refuses all others."""

    def answer(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        return (Reply(0.005, answers.get(request, bytes((0x7F, request[0], 0x11)))),)

    return answer


ENGINE = b"""port = 1
id = "engine"

[unit]
request = "7E0"
answer = "7E8"
speaks = "SAE J1979"

[[value]]
identifier = "2150"
holds = "lamp"
"""


def test_a_large_dbc_file_is_taken_with_its_card(home: Desk) -> None:
    site = let_in(home)
    large = dbc() + b'CM_ "' + b"x" * 3_000_000 + b'";\n'
    files = {"card": ("a.toml", port_card()), "dbc": ("practice.dbc", large)}
    answer = site.client.post(PORT + "/card", data={"ticket": site.ticket}, files=files)
    assert answer.status_code == 303, answer.text[:500]


@pytest.mark.parametrize(
    ("what", "value", "told"),
    [("supply_mv", 11_500, "voltage"), ("ignition", 2, "ignition"), ("speed_kmh", 9, "stands")],
)
def test_nothing_is_written_while_a_condition_is_not_right(
    site: Site, car: PracticeCar, what: str, value: int, told: str
) -> None:
    draft = shown(site)
    setattr(car.around, what, value)
    page = site.post(PORT + "/draft", 200, {"set": "winter", "list": "set 1"})
    assert "Write it" not in page
    assert told in words(site.post(PORT + "/teach", 400, {**draft, "go": "yes"}))
    assert car.unit.teaching.lists[1] == SUMMER


@pytest.mark.parametrize("way", ["finish", "undo"])
def test_a_teaching_that_was_broken_off_stands_on_top_and_is_finished_or_undone(
    site: Site, car: PracticeCar, way: str
) -> None:
    broken_off(site.desk, bytes_of(SUMMER), bytes_of(WINTER), ("saved", "session", "begun"))
    car.unit.teaching.lists[1] = (EMPTY,) * 4
    page = words(site.get(PORT))
    assert "It was broken off after ‘begun’" in page
    assert "Teach it" not in page
    draft = shown(site)
    assert "neither finished nor undone" in words(site.post(PORT + "/teach", 409, {**draft, "go": "yes"}))
    assert car.unit.teaching.lists[1] == (EMPTY,) * 4
    site.post(PORT + "/settle", fields={"how": way, "of": settled_by(site)})
    assert car.unit.teaching.lists[1] == (WINTER if way == "finish" else SUMMER)
    last = last_teaching(records(site.desk, "estate"))
    assert last is not None
    assert last.settled
    assert "not ended" not in words(site.get(PORT))


def test_a_teaching_that_leads_nowhere_is_taken_as_it_is(site: Site, car: PracticeCar) -> None:
    broken_off(site.desk, bytes_of(SUMMER), bytes_of(WINTER), ("begun", "written"))
    car.unit.serial = "TM7K999999"
    of = settled_by(site)
    assert "another control unit" in words(site.post(PORT + "/settle", 400, {"how": "undo", "of": of, "sure": "yes"}))
    assert "look at its list and its lamp" in words(site.post(PORT + "/settle", 400, {"how": "accept", "of": of}))
    assert site.post(PORT + "/settle", fields={"how": "accept", "of": of, "sure": "yes"}) == ended(site)
    assert "The car's list was left as it is, on the owner's word" in words(site.get(ended(site)))
    assert "not ended" not in words(site.get(PORT))
    assert car.unit.teaching.lists[1] == SUMMER


def test_what_came_of_one_list_is_not_told_of_another(site: Site, car: PracticeCar) -> None:
    broken_off(site.desk, bytes_of(SUMMER), bytes_of(WINTER), ("begun",))
    broken_off(site.desk, bytes_of(SUMMER), bytes_of(WINTER), ("begun", "ended: new-list"), CARD.lists[1])
    site.post(PORT + "/settle", fields={"how": "undo", "of": settled_by(site)})
    first = next(one for one in teachings(records(site.desk, "estate")) if one.list == "set 1")
    page = words(site.get(f"{PORT}?done=ended&of={first.num}"))
    assert re.search(r"set 1, \S+ \S+\. The old list is in the car", page), page


def test_codes_that_could_not_be_read_after_clearing_are_not_called_cleared(site: Site, car: PracticeCar) -> None:
    plain, cleared = car.unit.answer, list[bytes]()

    def answer(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        if request[:1] == b"\x14":
            cleared.append(request)
        if request[:1] == b"\x19" and cleared:
            return (Reply(0.005, b"\x7f\x19\x22"),)
        return plain(request, now_s, functional)

    site.post(PORT + "/read")
    car.unit.answer = answer  # type: ignore[method-assign]
    assert site.post(PORT + "/clear", fields={"code": "C1A12-31"}) == f"{PORT}?done=refused"
    page = words(site.get(PORT))
    assert "gone none" in page
    assert "? stored codes: the unit refused 19" in page
    assert kept(site)[-2:] == ["codes before clearing", "codes after clearing"]


def test_a_code_that_comes_back_at_once_is_not_called_cleared(site: Site, car: PracticeCar) -> None:
    plain = car.unit.answer

    def answer(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        replies = plain(request, now_s, functional)
        if request[:1] == b"\x14":
            car.unit.codes.fail(0x5A1231, warns=True)
        return replies

    car.unit.answer = answer  # type: ignore[method-assign]
    assert site.post(PORT + "/clear", fields={"code": "C1A12-31"}) == f"{PORT}?done=refused"


def test_one_visitor_at_a_time_asks_the_car(site: Site) -> None:
    busy: threading.Lock = site.client.app.state.car_link.busy  # type: ignore[attr-defined]
    with busy:
        assert "somebody else is asking" in site.post(PORT + "/read", 409)
    site.post(PORT + "/read")


def test_a_car_that_does_not_answer_is_told_as_such(home: Desk) -> None:
    keep_card(home)
    site = let_in(home, car_link="virtual nobody-there")
    page = words(site.post(PORT + "/read", 503))
    assert "The car could not be asked" in page


def test_brakes_are_left_alone(home: Desk, car: PracticeCar) -> None:
    text = port_card().decode().replace('"6A3"', '"760"').replace('"6AB"', '"768"')
    keep_card(home, text.encode())
    with on_a_bus(car) as link:
        assert "it is left alone" in words(let_in(home, car_link=link).post(PORT + "/read", 400))


def test_a_step_is_answered_by_the_car_and_rests_on_no_typing(site: Site, car: PracticeCar) -> None:
    job = site.begin()
    assert "Ask the car" in site.get(f"/jobs/{job}/steps/codes-before")
    where = site.post(f"/jobs/{job}/steps/codes-before/ask-car")
    assert where == f"/jobs/{job}#step-codes-before"
    page = words(site.get(f"/jobs/{job}/steps/codes-before"))
    assert "Read from the car: Car to practise on, 6A3/6AB" in page
    assert "C1A12-31 (stored, failed since clearing)" in page
    car.unit.codes.clear(b"\x14\xff\xff\xff")
    site.post(f"/jobs/{job}/steps/codes-after/ask-car")
    proof_text = finish(site.desk, job, leave_open=True)
    assert check_proof(proof_text.encode(), "proof.json").altered == ()
    record = json.loads(proof_text)["record"]
    assert [row["step"] for row in record["from_car"]] == ["codes-before", "codes-after"]
    assert [one["said"] for one in record["from_car"][1]["answers"]] == [Codes.NONE, LampTold.OFF]
    assert not {"codes-before", "codes-after"} & {row["step"] for row in record["typed_only"]}


def listed(site: Site, job: str) -> ReadAnswer:
    """What was said of the car's list."""
    return next(s for s in doing(site.desk, job).states if s.step.id == "ids-heard").answers[0]


def test_the_cars_list_is_held_against_the_planned_ids(site: Site, car: PracticeCar) -> None:
    job = site.begin()
    planned = {w.corner: w.id.number for w in doing(site.desk, job).start.wheels if w.id}
    right = tuple(planned[c] for c in ("front left", "front right", "rear right", "rear left"))
    swapped = (right[1], right[0], *right[2:])
    for ids, said in (
        (SUMMER, Listed.OTHERS),
        (swapped, Listed.SWAPPED),
        (right, Listed.JUST_THESE),
    ):
        car.unit.teaching.lists[1] = ids  # type: ignore[assignment]
        site.post(f"/jobs/{job}/steps/ids-heard/ask-car")
        assert listed(site, job).said == said
    assert listed(site, job).as_planned
    assert f"front left {right[0]:08X}" in listed(site, job).words


def test_a_strangers_id_is_shown_by_its_last_digits(site: Site, car: PracticeCar) -> None:
    job = site.begin()
    car.unit.teaching.lists[1] = (0x0BADF00D, *SUMMER[1:])
    site.post(f"/jobs/{job}/steps/ids-heard/ask-car")
    said = listed(site, job).words
    assert "…F00D" in said
    assert "0BADF00D" not in said


def test_whoever_drives_does_not_ask_the_car(site: Site, car: PracticeCar) -> None:
    job = site.begin()
    car.around.speed_kmh = 50
    assert "whoever drives leaves this alone" in words(site.post(f"/jobs/{job}/steps/codes-after/ask-car", 400))
    site.post(f"/jobs/{job}/steps/codes-after/ask-car", fields={"passenger": "yes"})


def test_a_step_that_a_car_cannot_answer_is_not_asked(site: Site) -> None:
    job = site.begin()
    assert "ask-car" not in site.get(f"/jobs/{job}/steps/torque")
    site.post(f"/jobs/{job}/steps/torque/ask-car", 404)


def test_no_phone_can_say_that_it_read_the_car(site: Site) -> None:
    job = site.begin()
    claim = {
        "client": "a" * 12, "step": "codes-before", "kind": "done", "at_us": NOON.us, "answers": [{"ask": "codes", "said": "none"}],
    }  # fmt: skip
    headers = {"x-wheelside-ticket": site.ticket}
    forged = {"claims": [{**claim, "visit": "b" * 32}]}
    assert site.client.post(f"/api/jobs/{job}/evidence", json=forged, headers=headers).status_code == 422
    sent = site.client.post(f"/api/jobs/{job}/evidence", json={"claims": [claim]}, headers=headers)
    assert sent.status_code == 200, sent.text
    record = json.loads(finish(site.desk, job, leave_open=True))["record"]
    assert record["from_car"] == []
    assert "codes-before" in {row["step"] for row in record["typed_only"]}


def test_numbers_are_read_in_german(site: Site, car: PracticeCar) -> None:
    car.unit.drive(12, 60)
    text = suited_household().replace("[units]\n", '[units]\ndecimal_mark = ","\n')
    take_in_text(site.desk, text, "household.toml")
    site.post(PORT + "/read")
    assert "12,60 V" in words(site.get(PORT))
