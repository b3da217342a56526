"""The conversation on pages: what is asked, kept, refused, taken back and answered once more in place."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest
import segno
from PIL import Image

from visits import Site, let_in, words
from wheelside.book.facts import as_table, facts_now, replace_facts
from wheelside.demo import DEMO_DAY, household
from wheelside.inquiry.days import turn as turn_of
from wheelside.inquiry.facts import of_set
from wheelside.inquiry.query import Errand
from wheelside.inquiry.rating import tries
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.work.starting import Asker, CourseLeg
from wheelside.speech.speech import Speech
from wheelside.units.moment import Moment

CORNERS = ("front_left", "front_right", "rear_left", "rear_right")


def moment(text: str) -> Moment:
    return Moment.of(datetime.fromisoformat(text))


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Desk]:
    desk = new_desk(str(tmp_path / "empty.book"), clock=lambda: moment("2026-11-25T09:00:00+01:00"))
    yield desk
    desk.close()


def sent(site: Site, errand: str, code: str, status: int = 303, /, **given: str) -> str:
    """Answers one question."""
    fields = {"code": code, "car": given.pop("car", ""), "n": "2", "pick": given.pop("pick", "")}
    return site.post(f"/start/{errand}", status, {**fields, **{f"g.{k}": v for k, v in given.items()}})


def codes(*texts: str) -> bytes:
    """A photo of QR codes beside each other, drawn by another library than the one that reads them."""
    pictures = []
    for text in texts:
        out = io.BytesIO()
        segno.make_qr(text).save(out, kind="png", scale=6, border=4)
        pictures.append(Image.open(out))
    whole = Image.new("L", (sum(p.width for p in pictures) + 40, max(p.height for p in pictures)), 255)
    x = 0
    for picture in pictures:
        whole.paste(picture.convert("L"), (x, 0))
        x += picture.width + 10
    out = io.BytesIO()
    whole.save(out, "PNG")
    return out.getvalue()


def asked(text: str) -> str:
    """The code of the question on a page."""
    (code,) = re.findall(r'name="code" value="([^"]*)"', text)
    return str(code)


def test_an_answer_leads_to_the_next_question_and_is_kept(empty: Desk) -> None:
    site = let_in(empty)
    assert asked(site.get("/start/wheels")) == "begin"
    assert sent(site, "wheels", "begin", pick="figures") == "/start/wheels?car=My+car&n=3"
    page = site.get("/start/wheels?car=My+car&n=3")
    assert asked(page) == "on/My car"
    assert "Question 4 of about" in words(page)
    sent(site, "wheels", "on/My car", pick="summer", size="205/60 R16 92V", car="My car")
    garage = empty.loaded().garage
    assert [t.designation.text for t in garage.tyre if t.designation] == ["205/60 R16 92V"] * 4
    assert asked(site.get("/start/wheels")) == "ids/Summer"


def test_what_can_t_be_taken_is_said_beside_its_field_and_nothing_moves_on(empty: Desk) -> None:
    site = let_in(empty)
    sent(site, "wheels", "begin", pick="figures")
    page = sent(site, "wheels", "on/My car", 422, pick="summer", size="205/60 R16", car="My car")
    assert "what stands behind it? A figure and a letter" in words(page)
    assert re.search(
        r'id="g-size"[^>]*value="205/60 R16"[^>]*aria-invalid="true" aria-describedby="w-size" autofocus',
        page.replace("\n", " "),
    )
    assert empty.loaded().garage.set == ()
    page = sent(site, "wheels", "on/My car", 422, pick="", size="205/60 R16 92V", car="My car")
    assert "pick one of the answers" in words(page)


def test_a_question_that_was_answered_meanwhile_is_not_answered_twice(empty: Desk) -> None:
    site = let_in(empty)
    sent(site, "wheels", "begin", pick="figures")
    sent(site, "wheels", "on/My car", pick="summer", size="205/60 R16 92V", car="My car")
    sent(site, "wheels", "on/My car", pick="winter", size="205/60 R16 92H", car="My car")
    sent(site, "wheels", "begin", pick="lamp")
    sent(site, "wheels", "car/Other/taught_by", pick="driving")
    garage = empty.loaded().garage
    assert [s.id for s in garage.set] == ["Summer"]
    assert [c.id for c in garage.car] == ["My car"]


def test_the_last_answer_is_taken_back_as_long_as_nobody_wrote_since(empty: Desk) -> None:
    site = let_in(empty)
    sent(site, "wheels", "begin", pick="figures")
    sent(site, "wheels", "on/My car", pick="summer", size="205/60 R16 92V", car="My car")
    assert "‹ Back" in words(site.get("/start/wheels"))
    site.post("/start/wheels", fields={"do": "back", "car": "My car", "n": "3"})
    assert empty.loaded().garage.set == ()
    site.post("/start/wheels", fields={"do": "back", "car": "My car", "n": "2"})
    assert empty.loaded().garage.car == ()
    assert "‹ Back" not in words(site.get("/start/wheels"))
    sent(site, "wheels", "begin", pick="figures")
    with empty.writing("something else"):
        pass
    asker = Asker(empty)
    assert not asker.go_back()


def test_don_t_know_is_kept_and_not_asked_again(empty: Desk) -> None:
    asker = Asker(empty, patience_s=None)
    codes = []
    for given in (
        {"pick": "lamp"},
        {"pick": "summer", "size": "205/60 R16 92V"},
        *({"pick": "dont-know"} for _ in range(30)),
    ):
        turn = asker.turn(Errand.WHEELS)
        if turn.query is None:
            break
        codes.append(turn.query.code)
        asker.answer(turn.query.code, given)
    assert len(codes) == len(set(codes))
    assert asker.turn(Errand.WHEELS).query is None
    garage = empty.loaded().garage
    assert "label 205/60 R16" in garage.cars["My car"].not_known
    so_far = asker.so_far(Errand.WHEELS)
    assert so_far.card is not None
    assert so_far.card.wheels == ()


def test_a_tyre_that_looks_flat_gets_no_pressure(empty: Desk) -> None:
    site = let_in(empty)
    for code, given in (
        ("begin", {"pick": "figures"}),
        ("on/My car", {"pick": "summer", "size": "205/60 R16 92V"}),
        ("label/My car/205|60 R16 92V", {"front": "2.3", "rear": "2.2"}),
        ("today/My car", {"pick": "true"}),
    ):
        sent(site, "pressures", code, 303, car="My car" if code != "begin" else "", **given)
    page = words(site.get("/start/pressures/so-far?car=My+car"))
    assert "A tyre looks flat, or was driven flat" in page
    assert "2.3" not in page


def test_what_is_so_today_is_asked_again_on_another_day(tmp_path: Path) -> None:
    moments = ["2026-11-25T09:00:00+01:00"]
    desk = new_desk(str(tmp_path / "days.book"), clock=lambda: moment(moments[0]))
    asker = Asker(desk, patience_s=None)
    for code, given in (("begin", {"pick": "figures"}), ("on/My car", {"pick": "summer", "size": "205/60 R16 92V"})):
        asker.answer(code, given)
    asker.answer("label/My car/205|60 R16 92V", {"front": "33", "rear": "2,2"})
    asker.answer("today/My car", {"pick": "false", "tyre_temperature": "12", "temperature_of_use": "0"})
    assert asker.turn(Errand.PRESSURES).query is None
    moments[0] = "2026-11-26T09:00:00+01:00"
    turn = asker.turn(Errand.PRESSURES)
    assert turn.query is not None
    assert turn.query.code == "today/My car"
    assert str(desk.loaded().table["car"][0]["placard"][0]["front"]) == "33 psi"
    desk.close()


def test_the_lamp_is_answered_in_three_picks_and_keeps_nothing(empty: Desk) -> None:
    site = let_in(empty)
    revision = empty.loaded().revision
    assert "Walk round the car" in words(site.get("/start/lamp"))
    assert "What does the lamp do?" in words(site.get("/start/lamp?look=no"))
    assert "What does a gauge say" in words(site.get("/start/lamp?look=no&way=steady"))
    page = words(site.get("/start/lamp?look=no&way=steady&gauged=one"))
    assert "look for the leak" in page
    assert "■ Do not drive on it." in words(site.get("/start/lamp?look=yes"))
    assert empty.loaded().revision == revision


def test_an_answer_is_given_once_more_in_place(tmp_path: Path) -> None:
    desk = new_desk(str(tmp_path / "one.book"), clock=lambda: moment("2026-11-25T09:00:00+01:00"))
    asker = Asker(desk)
    for code, given in (("begin", {"pick": "figures"}), ("on/My car", {"pick": "summer", "size": "205/60 R16 92V"})):
        asker.answer(code, given)
    site = let_in(desk)
    page = site.get("/answers/car/My car")
    assert "How does My car watch its tyres? By a sensor in each wheel" in words(page)
    assert "more that you could answer" in words(page)
    code, back = "car/My car/torque", "/answers/car/My car"
    assert "Where can I find it?" in words(site.get(f"/answer?code={code}&back={back}"))
    refused = site.post("/answer", 422, {"code": code, "back": back, "g.value": "tight"})
    assert 'aria-invalid="true"' in refused
    assert site.post("/answer", 303, {"code": code, "back": back, "g.value": "120"}) == back
    assert "120 Nm" in words(site.get(back))
    assert site.post("/answer", 303, {"code": code, "back": "//elsewhere.test/", "g.value": "121"}) == "/facts"
    for foreign in ("//elsewhere.test/", "javascript:alert(1)", "https://elsewhere.test/"):
        assert foreign not in site.get(f"/answer?code={code}&back={foreign}")
    site.get("/answer?code=car/Nobody/torque", 404)
    site.get("/answer?code=car/My car/nonsense", 404)
    site.get("/answers/car/Nobody", 404)
    desk.close()


def test_label_ids_and_names_are_put_right_in_place_with_what_stands_there(empty: Desk) -> None:
    asker = Asker(empty)
    asker.answer("begin", {"pick": "figures"})
    asker.answer("on/My car", {"pick": "summer", "size": "205/60 R16 92V"})
    asker.answer("ids/Summer", dict(zip(CORNERS, ("0742500339", "0742500417", "2C41A1E6", ""), strict=True)))
    label = "label/My car/205|60 R16 92V"
    asker.answer(label, {"front": "2,3", "rear": "33"})
    asker.answer("set/Summer/tyre.tread", {"value": "6.5"})
    site, car, winter = let_in(empty), "/answers/car/My car", "/answers/set/Summer"
    assert "front 2.30 bar, rear 2.28 bar" in words(site.get(car))
    assert "W 0742500339" not in words(site.get(winter))
    assert "S1 0742500339, S2 0742500417, S3 2C41A1E6" in words(site.get(winter))

    def once_more(code: str, back: str, **given: str) -> dict[str, str]:
        """What stood in the gaps, and then an answer is given."""
        there = dict(re.findall(r'name="g\.(\w+)" value="([^"]*)"', site.get(f"/answer?code={code}&back={back}")))
        assert site.post("/answer", 303, {"code": code, "back": back, **given}) == back
        return there

    assert once_more(label, car, **{"g.front": "2.4", "g.rear": "2.2"}) == {"front": "2,3 bar", "rear": "33 psi"}
    assert "front 2.40 bar, rear 2.20 bar" in words(site.get(car))
    assert len(empty.loaded().garage.cars["My car"].placard) == 1
    assert once_more("set/Summer/tyre.tread", winter, **{"g.value": "6"}) == {"value": "6.5 mm"}
    ids = once_more("ids/Summer", winter, **{"g.front_left": "0742500338", "g.front_right": "0742500417"})
    assert list(ids.values()) == ["0742500339", "0742500417", "2C41A1E6", ""]
    assert [s.printed for s in empty.loaded().garage.sensor] == ["0742500338", "0742500417", None, None]
    assert once_more("name/set/Summer", winter, **{"g.name": "Sommer ü"}) == {"name": "Summer"}
    assert empty.loaded().garage.sets["Summer"].name == "Sommer ü"
    site.post("/answer", 422, {"code": "name/car/My car", "back": car, "g.name": " "})
    once_more(label, car, pick="dont-know")
    assert empty.loaded().garage.cars["My car"].placard == ()
    for nowhere in ("name/car/Nobody", "ids/Nobody", "label/My car/nothing", "name/wheel/S1"):
        site.get(f"/answer?code={nowhere}", 404)


def test_the_set_that_is_on_after_a_change_is_the_one_that_is_asked_about(tmp_path: Path) -> None:
    moments = ["2026-11-25T09:00:00+01:00"]
    desk = new_desk(str(tmp_path / "changed.book"), clock=lambda: moment(moments[0]))
    asker = Asker(desk, patience_s=None)
    asker.answer("begin", {"pick": "figures"})
    asker.answer("on/My car", {"pick": "summer", "size": "205/60 R16 92V"})
    asker.answer("other/My car", {"pick": "winter", "size": "195/65 R15 91T"})
    assert desk.loaded().garage.sets["Winter"].goes_on == "My car"
    asker.answer("when/My car/Winter", {"pick": "today"})
    with desk.writing("a job") as writing:
        table = as_table(facts_now(writing.conn))
        table["seen"].append({"set": "Winter", "on": "My car", "as_of": date(2026, 11, 26), "how": "fitted"})
        replace_facts(writing, table)
    moments[0] = "2026-11-26T09:00:00+01:00"
    turn = asker.turn(Errand.PRESSURES)
    assert turn.query is not None
    assert turn.query.code == "label/My car/195|65 R15 91T"
    desk.close()


def test_with_two_cars_it_is_asked_which_it_is_about(empty: Desk) -> None:
    asker = Asker(empty)
    for car in ("My car", "Small"):
        asker.answer("begin", {"pick": "figures", "name": car})
    site = let_in(empty)
    for errand in ("wheels", "used", "pressures"):
        page = site.get(f"/start/{errand}")
        assert "Which car?" in words(page)
        assert 'name="car" value="Small"' in page
        assert asked(site.get(f"/start/{errand}?car=Small")) == "on/Small"


def test_one_silent_sensor_can_be_said(empty: Desk) -> None:
    asker = Asker(empty, patience_s=None)
    asker.answer("begin", {"pick": "figures"})
    asker.answer("on/My car", {"pick": "summer", "size": "205/60 R16 92V"})
    garage = empty.loaded().garage
    (query,) = of_set(garage, garage.sets["Summer"], ("sensor.answers",), date(2026, 11, 25))
    assert [p.code for p in query.picks] == ["true", *(f"not:{c}" for c in CORNERS), "false"]
    assert [given["pick"] for given in tries(query)] == ["true", "false"]
    asker.answer(query.code, {"pick": "not:rear_left"})
    assert [s.answers for s in empty.loaded().garage.sensor] == [True, True, False, True]
    assert 'value="not:rear_left"' in let_in(empty).get(f"/answer?code={query.code}")


def test_what_is_on_is_picked_from_the_sets_that_are_noted(empty: Desk) -> None:
    asker = Asker(empty, patience_s=None)
    asker.answer("begin", {"pick": "figures"})
    with empty.writing("a file") as writing:
        table = as_table(facts_now(writing.conn))
        table["tyre"] = [{"id": f"T{n}", "designation": "205/60 R16 92V"} for n in range(4)]
        table["wheel"] = [{"id": f"T{n}"} for n in range(4)]
        table["set"] = [{"id": "Old", "wheels": {c: f"T{n}" for n, c in enumerate(CORNERS)}}]
        replace_facts(writing, table)
    turn = asker.turn(Errand.PRESSURES)
    assert turn.query is not None
    assert turn.query.picks[0].code == "set:Old"
    asker.answer(turn.query.code, {"pick": "set:Old"})
    assert [s.id for s in empty.loaded().garage.set] == ["Old"]
    turn = asker.turn(Errand.PRESSURES)
    assert turn.query is not None
    assert turn.query.code == "label/My car/205|60 R16 92V"


@pytest.mark.parametrize(
    ("day", "coming", "season"),
    [
        (date(2026, 12, 2), "Summer", date(2027, 4, 1)),
        (date(2026, 10, 20), "Summer", date(2027, 4, 1)),
        (date(2027, 3, 20), "Summer", None),
        (date(2027, 6, 1), "Summer", None),
        (date(2027, 5, 1), "Winter", date(2027, 10, 15)),
        (date(2026, 12, 2), "Winter", None),
        (date(2026, 12, 2), "All-year", None),
    ],
)
def test_out_of_its_season_a_set_goes_on_when_it_turns(day: date, coming: str, season: date | None) -> None:
    assert turn_of(coming, day) == season


def test_the_example_is_looked_at_and_not_kept(empty: Desk) -> None:
    site = let_in(empty, example=(household().decode(), DEMO_DAY))
    page = words(site.get("/start/example"))
    assert "Two wheels need work before Winter set goes on Estate" in page
    assert empty.loaded().garage.car == ()
    let_in(empty).get("/start/example", 404)


def test_a_second_car_gets_a_name_and_questions_of_its_own(empty: Desk) -> None:
    site = let_in(empty)
    sent(site, "wheels", "begin", pick="figures")
    sent(site, "wheels", "on/My car", pick="summer", size="205/60 R16 92V", car="My car")
    assert "My car 2" in site.get("/start/wheels?car=-new")
    assert sent(site, "wheels", "begin", pick="wheel-speed", name="Kleinwagen Ä", car="-new").startswith(
        "/start/wheels?car=Kleinwagen"
    )
    garage = empty.loaded().garage
    assert [c.name for c in garage.car] == ["My car", "Kleinwagen Ä"]
    second = garage.car[1].id
    sent(site, "wheels", f"on/{second}", pick="summer", size="175/65 R15 84T", car=second)
    assert [s.id for s in empty.loaded().garage.set] == ["Summer", "Summer 2"]
    assert asked(site.get(f"/start/wheels?car={second}")) == f"other/{second}"
    assert date(2026, 11, 25) == empty.clock().day


def test_ids_are_read_from_a_photo_and_fill_the_empty_corners(empty: Desk) -> None:
    site = let_in(empty)
    sent(site, "wheels", "begin", pick="figures")
    sent(site, "wheels", "on/My car", pick="summer", size="205/60 R16 92V", car="My car")

    def shot(photo: bytes) -> tuple[int, str]:
        fields = {
            "ticket": site.ticket,
            "code": "ids/Summer",
            "car": "My car",
            "n": "3",
            "do": "photo",
            "g.front_left": "0742500339",
        }
        answer = site.client.post("/start/wheels", data=fields, files={"photo": ("p.png", photo)})
        return answer.status_code, answer.text

    status, page = shot(codes("0742500417", "ID: 2C41A1E6", "hello"))
    assert status == 200
    values = re.findall(r'name="g\.(\w+)" value="([^"]*)"', page)
    assert values == [
        ("front_left", "0742500339"),
        ("front_right", "0742500417"),
        ("rear_left", "2C41A1E6"),
        ("rear_right", ""),
    ]
    assert not any(s.printed for s in empty.loaded().garage.sensor)
    for photo in (codes("hello"), b"no photo", b""):
        status, page = shot(photo)
        assert status == 422
        assert 'role="alert"' in page


def test_what_would_change_the_plan_most_is_asked_in_place(empty: Desk) -> None:
    asker = Asker(empty, patience_s=None)
    asker.answer("begin", {"pick": "figures"})
    asker.answer("on/My car", {"pick": "summer", "size": "205/60 R16 92V"})
    site = let_in(empty)
    site.client.app.state.asker = asker  # type: ignore[attr-defined]
    assert "One more answer" not in words(site.get("/plan"))
    while asker.turn(Errand.WHEELS).leg is not CourseLeg.BESIDES:
        query = asker.turn(Errand.WHEELS).query
        assert query is not None
        asker.answer(query.code, {"pick": "none"} if query.code.startswith("other/") else {"pick": "dont-know"})
    asked_next = asker.turn(Errand.WHEELS).query
    assert asked_next is not None
    for page in ("/plan", "/"):
        assert f"One more answer could change this: {Speech().text(asked_next.title)}" in words(site.get(page))
    (href,) = set(re.findall(r'href="(/start/wheels[?]again=[^"]*)"', site.get("/plan")))
    page = site.get(href.replace("&amp;", "&"))
    assert asked(page) == asked_next.code
    assert 'name="back" value="/plan"' in page
    fields = {"code": asked_next.code, "car": "My car", "n": "1", "pick": "dont-know", "back": "/plan"}
    assert site.post("/start/wheels", 303, fields) == "/plan"


def test_what_is_so_today_is_asked_for_each_car(empty: Desk) -> None:
    asker = Asker(empty)
    for car, name in (("My car", "My car"), ("Small", "Small")):
        asker.answer("begin", {"pick": "figures", "name": name})
        asker.answer(f"on/{car}", {"pick": "summer", "size": "205/60 R16 92V"})
        asker.answer(f"label/{car}/205|60 R16 92V", {"front": "2.3", "rear": "2.2"})
    asker.answer("today/My car", {"pick": "false", "tyre_temperature": "12", "temperature_of_use": "0"})
    turn = asker.turn(Errand.PRESSURES, "Small")
    assert turn.query is not None
    assert turn.query.code == "today/Small"
    asker.answer("today/Small", {"pick": "true"})
    asker.answer("today/My car", {"pick": "false", "tyre_temperature": "12", "temperature_of_use": "0"})
    assert empty.loaded().garage.conditions.looks_flat
    asker.answer("today/Small", {"pick": "false", "tyre_temperature": "12", "temperature_of_use": "0"})
    assert empty.loaded().garage.conditions.looks_flat is False


@pytest.mark.parametrize("text", ["23", "2300", "0.23", "6"])
def test_a_figure_that_can_be_no_pressure_is_asked_about(empty: Desk, text: str) -> None:
    site = let_in(empty)
    sent(site, "pressures", "begin", pick="figures")
    sent(site, "pressures", "on/My car", pick="summer", size="205/60 R16 92V", car="My car")
    page = sent(site, "pressures", "label/My car/205|60 R16 92V", 422, front=text, rear="2.2", car="My car")
    assert "Write it with its unit" in words(page)
    page = sent(site, "pressures", "label/My car/205|60 R16 92V", 422, front="23 psi", rear="1.2 bar", car="My car")
    assert "1.2 bar is on no car" in words(page)


def test_one_id_at_two_corners_is_read_again(empty: Desk) -> None:
    site = let_in(empty)
    sent(site, "wheels", "begin", pick="figures")
    sent(site, "wheels", "on/My car", pick="summer", size="205/60 R16 92V", car="My car")
    page = sent(
        site,
        "wheels",
        "ids/Summer",
        422,
        front_left="3A4F0022",
        rear_right="3a4f0022",
        front_right="3A4F0011",
        car="My car",
    )
    assert words(page).count("stands at two corners") == 2
