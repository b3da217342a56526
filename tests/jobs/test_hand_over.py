"""A set that is handed over: what its buyer gets to know, and what is known of it here from then on."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from books import NOON, later
from garages import DAY, Table, bare_table, demo_table, garage_of, of_wheel, plan_of, row
from wheelside.book.events import Event, Happened, add_events, wheel_history
from wheelside.book.reading import Purpose, Reading
from wheelside.book.readings import add_readings
from wheelside.errors import BadRequest, Meanwhile
from wheelside.identity.choice import IdChoice
from wheelside.identity.gate import AtGate, gate_check
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.edit import fact_of, try_save
from wheelside.jobs.book.files import take_in_text, wrong
from wheelside.jobs.book.kept import history
from wheelside.jobs.book.told import told
from wheelside.jobs.jsonform import document
from wheelside.jobs.wheelset.for_buyer import BookSays, ForBuyer, for_buyer
from wheelside.jobs.wheelset.hand_over import hand_over, hand_over_now, keep_sold, look_at
from wheelside.jobs.wheelset.ids import draw_ids, read_text
from wheelside.jobs.work.doing import begin
from wheelside.screens.hand_over import hand_over_screen
from wheelside.screens.screen import Screen, Sentence, ShownTable
from wheelside.sensor.ident import SensorId
from wheelside.speech.speech import Speech
from wheelside.units import GaugePressure, Temperature, UnitChoice

GERMAN = UnitChoice(decimal_mark=",")


def known_household() -> Table:
    """The demo household, its winter set with all that can be known of one; the front right wheel is known worst."""
    table = demo_table()
    table["units"]["decimal_mark"] = ","
    table["rim"] = [r for r in table["rim"] if r["ids"][0] != "rim W1"]
    table["rim"] += [
        {
            "id": f"rim W{n}", "width_in": "6.5Jx16", "bolt_circle": "5x112", "centre_bore": "57.1 mm", "inset": "46 mm",
            "seat": "ball R13", "max_load": "690 kg", "max_pressure": "4.0 bar", "damaged": False, "note": "scratched by Ada",
        }
        for n in (1, 3, 4)
    ]  # fmt: skip
    table["rim"].append({"id": "rim W2"})
    tyres = row(table, "tyre", "tyre W1")
    tyres["ids"] = ["tyre W1", "tyre W3", "tyre W4"]
    tyres |= {"damaged": False, "repairs": "plug in the tread, May 2025"}
    table["tyre"].append({"id": "tyre W2"})
    row(table, "sensor", "sensor W1").update({"battery_low": True, "sends": "0x70D6AAAA"})
    row(table, "sensor", "sensor W2").clear()
    table["sensor"] = [s for s in table["sensor"] if s] + [{"id": "sensor W2"}]
    return table


def screen_of(table: Table, set_id: str = "winter", kept: BookSays | None = None) -> Screen:
    return hand_over_screen(for_buyer(garage_of(table), set_id, DAY, kept or BookSays()))


def tables(screen: Screen, units: UnitChoice = GERMAN) -> list[dict[str, dict[str, str]]]:
    """Each table of a screen as cells by corner and heading; a row of several corners counts for each of them."""
    text = Speech(units).text
    found = []
    for part in screen.parts:
        for block in part.blocks:
            if isinstance(block, ShownTable):
                heads = [text(c) for c in block.columns]
                cells = [[text(c) for c in r.cells] for r in block.rows]
                found.append({corner: dict(zip(heads, r, strict=True)) for r in cells for corner in r[0].split(", ")})
    return found


def lines(screen: Screen) -> list[str]:
    return [Speech(GERMAN).text(b.said) for p in screen.parts for b in p.blocks if isinstance(b, Sentence)]


def told_of(page: ForBuyer) -> str:
    """Everything that a page says, as people read it and as programs do."""
    screen = hand_over_screen(page)
    said = [Speech(GERMAN).text(screen.heading), *lines(screen), json.dumps(tables(screen), ensure_ascii=False)]
    return " ".join(said) + document("hand-over", page=page)


def test_everything_on_the_page_is_as_the_file_has_it() -> None:
    ids, states, tyres, rims = tables(screen_of(known_household()))
    front = "front left"
    # sends goes before the print; its family prints decimal, 10 digits for 32 bits, and 0x70D6AAAA is 1893116586
    assert ids[front] == {
        "corner": front, "wheel": "W1", "ID": "1 893 116 586", "in hex": "70D6AAAA", "family": "Kestrel", "band": "433,92 MHz",
    }  # fmt: skip
    assert int("70D6AAAA", 16) == 1893116586
    assert (ids["rear left"]["ID"], ids["rear left"]["family"]) == ("2C4 1A7F", "Plover"), "its family prints hex"
    assert states[front]["in use since"] == "2021-10-16"
    assert (states[front]["battery"], states[front]["answers"], states[front]["can be written"]) == (
        "says that it is low", "yes", "yes",
    )  # fmt: skip
    assert states[front]["another ID printed on it"] == "1 893 077 246"
    assert states["rear right"]["answers"] == "no"
    assert tyres[front] == {
        "corner": "front left, rear left, rear right", "size": "205/60 R16 92H", "for": "winter", "date code": "3519",
        "years old": "7,2", "tread": "5,6 mm", "damage": "none", "repairs": "plug in the tread, May 2025", "most pressure": "3,50 bar",
    }  # fmt: skip
    # week 35 of 2019 began on Sunday 1 September (49 CFR 574.5): 2642 days before the sale, 7.23 years
    assert (DAY - date(2019, 9, 1)) / timedelta(days=365.25) == pytest.approx(7.23, abs=0.01)
    assert rims["rear right"] == {
        "corner": "front left, rear left, rear right", "size": "6.5Jx16", "bolt circle": "5x112", "centre bore": "57,1 mm",
        "inset": "46 mm", "seat": "ball R13", "damage": "none", "most load": "690 kg", "most pressure": "4,00 bar",
    }  # fmt: skip


def test_what_is_not_known_is_said_to_be_not_known() -> None:
    screen = screen_of(known_household())
    ids, states, tyres, rims = tables(screen)
    worst = "front right"
    assert [v for k, v in ids[worst].items() if k in ("ID", "family", "band")] == ["not known"] * 3
    assert {v for k, v in states[worst].items() if k != "corner"} == {"not known"}
    for table in (tyres, rims):
        assert {v for k, v in table[worst].items() if k != "corner"} == {"not known"}
    assert "Last gauged: not known. Lost while it lay: not known." in lines(screen)


def test_the_buyer_reads_what_to_do_and_why_ids_stand_there() -> None:
    screen = screen_of(known_household())
    first, second, *_ = lines(screen)
    assert first == "Your car has to be taught these sensor IDs. From 2026-11-25 on nobody here uses them."
    assert "recognised by its ID" in second
    table = known_household()
    for n in range(1, 5):
        del row(table, "wheel", f"W{n}")["joined"][0]["sensor"]
    bare = screen_of(table)
    assert lines(bare)[0] == "These wheels have no sensors: there is nothing to teach."
    assert not any("recognised" in line for line in lines(bare))
    assert tables(bare)[0]["front left"]["ID"] == "no sensor"
    row(table, "wheel", "W1")["joined"] = []
    assert tables(screen_of(table))[0]["front left"]["ID"] == "not known"


def private(table: Table) -> set[str]:
    """What is nobody's business but the owner's: people, places, cars, and the IDs and names of other wheels."""
    found = {
        "Ada",
        "Estate",
        "Runabout",
        "estate",
        "runabout",
        "Carport",
        "carport",
        "Shed",
        "shed",
        table["title"],
        "Red gauge",
    }
    for sensor in table["sensor"]:
        if not sensor["id"].startswith("sensor W"):
            text = sensor.get("sends") or sensor["printed"]
            number = int(text, 16) if text.startswith("0x") else int(text)
            one = SensorId("", 32, number)
            found |= {sensor["id"], one.hex, one.decimal, one.aloud(), text}
    return found | {f"{letter}{n}" for letter in "SA" for n in range(1, 5)}


def test_no_person_place_car_or_other_wheel_stands_on_it(desk: Desk) -> None:
    home = in_book(desk)
    said = told_of(look_at(home, "winter").page)
    assert "0x" not in said, "texts of IDs are read"
    assert "70D6AAAA" in said, "its own are there"
    assert {word for word in private(known_household()) if word in said} == set()


def in_book(desk: Desk, table: Table | None = None) -> Desk:
    """The household in a book, its winter wheels stored in spring, gauged in autumn, and one let down since."""
    take_in_text(desk, tomli_w.dumps(table or known_household()), "household.toml")
    spring = later(-60 * 24 * 7 * 22)
    with desk.writing("readings", person="Ada") as writing:
        warm, cold = Temperature.from_celsius(20.0), Temperature.from_celsius(5.0)

        def read(wheel: str, at: Any, kpa: float, purpose: Purpose, tyre: Temperature | None) -> Reading:
            figure = GaugePressure(kpa)
            return Reading(
                ("wheel", wheel),
                at.us,
                "gauge",
                figure,
                instrument="Red gauge",
                purpose=purpose,
                tyre=tyre,
                place="shed",
            )

        add_readings(writing, [
            read("W1", spring, 260.0, Purpose.STORED, warm), read("W1", later(-60), 220.0, Purpose.AS_IT_LAY, cold),
            read("W3", spring, 260.0, Purpose.STORED, None), read("W3", later(-60), 220.0, Purpose.GAUGING, None),
            read("W4", spring, 260.0, Purpose.STORED, warm), read("W4", later(-90), 300.0, Purpose.SET, cold),
            read("W4", later(-80), 290.0, Purpose.GAUGING, cold), read("W4", later(-60), 50.0, Purpose.LET_DOWN, cold),
            Reading(("sensor", "sensor W3"), spring.us, "receiver", battery_low=False),
        ])  # fmt: skip
    return desk


def test_pressures_are_as_last_gauged_and_the_loss_is_without_the_cold(desk: Desk) -> None:
    home = in_book(desk)
    by = {w.wheel: w for w in look_at(home, "winter").page.wheels}
    assert [g.pressure.kpa if (g := by[w].gauged) else None for w in ("W1", "W2", "W3", "W4")] == [
        220,
        None,
        220,
        290,
    ]
    lay = by["W1"].lay
    assert lay is not None
    # constant volume (standard: p1/T1 = p2/T2, absolute): 260 + 101.325 at 293.15 K; 321.325 at 278.15 K is 338.65 at 293.15 K
    assert lay.at_one_temperature
    assert lay.loss.kpa == pytest.approx(361.325 - 321.325 * 293.15 / 278.15, abs=0.1)
    assert by["W3"].lay is not None
    assert not by["W3"].lay.at_one_temperature
    assert by["W3"].lay.loss.kpa == pytest.approx(40.0)
    assert by["W4"].lay is None, "air was let in between"
    shown = tables(hand_over_screen(look_at(home, "winter").page))
    assert shown[4]["front left"]["lost while it lay"] == "0,23 bar"
    assert shown[4]["rear left"]["lost while it lay"] == "0,40 bar as read"
    assert shown[4]["front left"]["last gauged"] == "2,20 bar"
    assert shown[4]["front left"]["on"] == "2026-11-25"
    assert shown[1]["rear left"]["battery"] == "not low", "as its sensor said of itself"


def test_a_wheel_that_was_fitted_meanwhile_did_not_lie(desk: Desk) -> None:
    home = in_book(desk)
    with home.writing("fitted") as writing:
        add_events(writing, [Event(Happened.FITTED, later(-60 * 24 * 7), wheel="W1")])
    assert look_at(home, "winter").page.wheels[0].lay is None


def test_a_wheel_that_another_set_has_too_stays(desk: Desk) -> None:
    table = known_household()
    table["set"][0]["wheels"]["spare"] = "A1"
    take_in_text(desk, tomli_w.dumps(table), "household.toml")
    page = look_at(desk, "summer").page
    assert [c.value for c in page.stays] == ["spare"]
    assert [w.wheel for w in page.wheels] == ["S1", "S2", "S3", "S4"]
    assert "7D20E418" not in told_of(page)
    keep_sold(desk, "summer", DAY, look_at(desk, "summer").version)
    assert not any(line.kind == "handed over" for line in history(desk, "A1"))


# --- afterwards


def test_handing_over_keeps_day_and_history_in_one_write(desk: Desk) -> None:
    home = in_book(desk)
    found = look_at(home, "winter")
    assert found.gone is None
    keep_sold(home, "winter", DAY, found.version, person="Ada")
    garage = home.loaded().garage
    assert garage.sets["winter"].sold == DAY
    assert garage.retired == (), "the day alone retires its IDs"
    line = next(line for line in history(home, "W1") if line.kind == "handed over")
    assert (line.person, line.hex, line.corner) == ("Ada", "70D6AAAA", "front left")
    assert told(line, GERMAN, {}) == "handed over to a buyer, ID 70D6AAAA"
    assert line.recorded.us == line.at.us
    assert look_at(home, "winter").gone == DAY
    assert wrong(home) == ()


def test_correcting_the_facts_takes_it_back(desk: Desk) -> None:
    home = in_book(desk)
    keep_sold(home, "winter", DAY, look_at(home, "winter").version)
    fact = fact_of(home, "set", "winter")
    body = {k: v for k, v in fact.body.items() if k != "sold"}
    assert try_save(home, "set", "winter", body, fact.since).kept
    assert look_at(home, "winter").gone is None


def test_what_was_looked_at_is_what_is_kept(desk: Desk) -> None:
    home = in_book(desk)
    found = look_at(home, "winter")
    fact = fact_of(home, "set", "winter")
    assert try_save(home, "set", "winter", {**fact.body, "label": "Other"}, fact.since).kept
    with pytest.raises(Meanwhile):
        keep_sold(home, "winter", DAY, found.version)
    assert home.loaded().garage.sets["winter"].sold is None
    version = look_at(home, "winter").version
    with pytest.raises(BadRequest, match="yet to come"):
        keep_sold(home, "winter", DAY + timedelta(days=1), version)
    keep_sold(home, "winter", DAY, version)
    with pytest.raises(BadRequest, match="not yours any more"):
        keep_sold(home, "winter", DAY, look_at(home, "winter").version)


def test_a_set_with_a_job_under_way_is_not_sold_and_a_sold_one_gets_no_job(household_desk: Desk) -> None:
    home = household_desk
    job = begin(home, car="estate", wheel_set="winter")
    assert job.job is not None
    with pytest.raises(BadRequest, match="under way"):
        keep_sold(home, "winter", DAY, look_at(home, "winter").version)


def test_no_job_is_begun_for_a_set_that_is_gone(household_desk: Desk) -> None:
    home = household_desk
    keep_sold(home, "winter", DAY, look_at(home, "winter").version)
    with pytest.raises(BadRequest, match="not yours any more"):
        begin(home, car="estate", wheel_set="winter")
    now = home.present()
    assert now.set_on("estate") == "summer"
    assert not any(s.set == "winter" and s.since > DAY for s in now.line)


def sold(set_id: str, day: date = DAY) -> Table:
    table = bare_table()
    row(table, "set", set_id)["sold"] = day
    return table


def test_the_plan_clones_no_id_that_went() -> None:
    """The car holds set A and is taught step by step: cloning A's IDs to B is cheapest, until A is sold."""
    assert of_wheel(plan_of(bare_table()), "B1").choice is IdChoice.CLONE
    plan = plan_of(sold("A"))
    gone = {f"A100000{n}" for n in range(1, 5)}
    assert {w.wheel for w in plan.wheels} == {"B1", "B2", "B3", "B4"}
    assert not any(w.choice is IdChoice.CLONE for w in plan.wheels)
    clones = [one for one in of_wheel(plan, "B1").not_taken if one.choice is IdChoice.CLONE]
    assert clones
    assert {one.rule for one in clones} == {"retired"}
    assert not gone & {w.id.hex for w in plan.wheels if w.id}


def test_no_fresh_id_is_one_that_went(tmp_path: Path) -> None:
    """16 numbers are left free by the prefix; 4 of them went with A."""
    table = sold("A")
    table["family"][0]["prefix"] = "A100000"
    file = tmp_path / "garage.toml"
    file.write_text(tomli_w.dumps(table))
    drawn = {one.id.hex for one in draw_ids(12, where=file, family="f").fresh}
    assert len(drawn) == 12
    assert drawn == {f"A100000{n:X}" for n in range(16)} - {f"A100000{n}" for n in range(1, 5)}


def test_the_gate_and_the_id_search_know_them_as_gone(tmp_path: Path) -> None:
    table = sold("B")
    check = gate_check(garage_of(table), "A", ["A1000001", "B2000014"], DAY)
    assert [(a.verdict, a.set, a.wheel) for a in check.answers] == [
        (AtGate.HERE, "A", "A1"), (AtGate.RETIRED, "B", "B4"),
    ]  # fmt: skip
    assert "retired-answers" in {f.code for f in check.findings}
    assert "gone-at-gate" in {f.code for f in gate_check(garage_of(table), "B", [], DAY).findings}
    before = gate_check(garage_of(table), "A", ["B2000014"], DAY - timedelta(days=1))
    assert before.answers[0].verdict is AtGate.OTHER_SET
    file = tmp_path / "garage.toml"
    file.write_text(tomli_w.dumps(table))
    said = {
        Speech().text(m.about)
        for one in read_text("0xB2000014", where=file).matches
        for m in one
        if m.like.known.hex == "B2000014"
    }
    assert said == {"sensor s B4 (B, sold 2026-11-25)"}


def test_the_owner_is_told_of_ids_that_stay_and_cars_that_count_on_it() -> None:
    table = bare_table()
    row(table, "sensor", "s B1")["printed"] = "A1000001"
    found = {f.code for f in codes(table)}
    assert found == {"sold-alike", "sold-on-car", "sold-in-line", "sold-in-list"}


def codes(table: Table) -> Any:
    from wheelside.jobs.wheelset import hand_over as job

    return job._look(garage_of(table), "A", None, DAY, None).first


# --- from the command line


def test_a_file_is_told_of_and_a_book_keeps(tmp_path: Path) -> None:
    file = tmp_path / "household.toml"
    file.write_text(tomli_w.dumps(known_household()))
    assert not hand_over(file, "winter").in_book
    with pytest.raises(BadRequest, match="yours to write"):
        hand_over_now(file, "winter")
    with pytest.raises(BadRequest, match="no set"):
        hand_over(file, "autumn")
    where = str(tmp_path / "household.book")
    desk = new_desk(where, clock=lambda: NOON)
    take_in_text(desk, file.read_text(), "household.toml")
    assert hand_over_now(where, "winter").page == hand_over(file, "winter").page
    assert desk.loaded().garage.sets["winter"].sold == DAY
    assert next(e.kind for e in history(desk, "W2")) == "handed over"
    with desk.book.reading() as conn:
        assert wheel_history(conn, "W2")[0].via == "command"
    desk.close()


def test_what_is_on_offer_or_scrapped_is_not_handed_over(tmp_path: Path) -> None:
    table = bare_table()
    row(table, "set", "B")["scrapped"] = DAY
    row(table, "set", "A")["on_offer"] = True
    table["stay"], table["car"][0]["holds"] = [], []
    file = tmp_path / "garage.toml"
    file.write_text(tomli_w.dumps(table))
    for name in "AB":
        with pytest.raises(BadRequest):
            hand_over(file, name)
