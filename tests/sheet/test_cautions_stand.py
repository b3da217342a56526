"""Every caution of before is still said, clause by clause, and before each act at which a person could get hurt stand the cautions for it.

The acts and what is said before them: handbooks' usual wording, common practice, no source. The list here is kept apart from the program's own, so
that nothing can go from that one unseen.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from functools import cache
from random import Random

import pytest
from households import Line, draw

from garages import DAY, Table, bare_table, demo_table, garage_of, learning_table, row, seeded
from wheelside.cli.sheet_markdown import sheet_markdown
from wheelside.cli.sheet_paper import paper_of
from wheelside.cli.sheet_text import WIDEST, in_full, short
from wheelside.errors import BadRequest
from wheelside.garage import acts
from wheelside.garage.file import read_garage
from wheelside.garage.model import Garage
from wheelside.identity.plan import IdentityPlan, identity_plan
from wheelside.jobs.work.air import Wishes, with_wishes
from wheelside.jobs.work.sheet import make_sheet
from wheelside.sheet import cautions
from wheelside.sheet.cautions import Caution, Clause
from wheelside.sheet.extent import Extent
from wheelside.sheet.said_once import cautions_before
from wheelside.sheet.step import Card, Does, OnCard, RunSheet, Sitting, Step
from wheelside.units import Temperature

C = Clause
HANDBOOK = "The handbook, local rules and a licensed workshop go before this sheet."
BEFORE: dict[Caution, tuple[str, tuple[Clause, ...]]] = {
    Caution.LIFT: (
        "Level firm ground, in gear or park, handbrake on (electric brake as the handbook says), chocks. Lift at the maker's points only, set it "
        "on a stand, and never reach under a car that is held by a jack. " + HANDBOOK,
        (C.LEVEL, C.IN_GEAR, C.CHOCKS, C.POINTS, C.STAND, C.NEVER_UNDER, C.DEFERS),
    ),
    Caution.FASTEN: (
        "Right seat shape, thread and length; count the turns by hand; clean dry bare faces, no grease. The last turn with a torque wrench on the "
        "ground, never an impact gun. Stretched or rusty fasteners are not used again. " + HANDBOOK,
        (C.SEAT, C.BY_HAND, C.CLEAN, C.WRENCH, C.NO_IMPACT, C.STRETCHED, C.DEFERS),
    ),
    Caution.CARRY: (
        "A wheel weighs 15 to 30 kg: straight back, both hands, or roll it; never let it roll off down a slope.", (C.HEAVY, C.SLOPE),
    ),
    Caution.LOAD: (
        ("Wheels in a car are a load: low, against the backs of the seats, strapped so that none moves in a hard stop, within what the car may "
        "carry. Each weighs 15 to 30 kg: straight back, both hands."),
        (C.LOW, C.STRAPPED, C.PAYLOAD, C.HEAVY),
    ),
    Caution.INFLATE: (
        ("Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre's or the rim's marked maximum. A tyre "
        "with a bulge, showing cord, or driven flat is not inflated 'to see': it goes to a workshop."),
        (C.ASIDE, C.CLIP_ON, C.MAXIMUM, C.DAMAGED),
    ),
    Caution.LET_DOWN: (
        ("Only on a wheel that is off the car and carries no load. A wheel let down must not be put on the car or driven on until it is inflated "
        "and gauged. If a bead comes off its seat, the wheel goes to a tyre shop."),
        (C.OFF_THE_CAR, C.NOT_ON, C.BEAD_OFF),
    ),
    Caution.SENSOR_BATTERY: (
        "Sensors hold a potted lithium cell: do not drill, cut or heat them; hand them in as batteries.", (C.CELL,),
    ),
    Caution.WRITE: (
        "Writing changes what the car takes this wheel for. Never write an ID that another live wheel carries, except the clone this plan names.",
        (C.TAKES_FOR, C.NEVER_TWICE),
    ),
    Caution.DRIVE: (
        "The driver does not look at screens. A passenger watches the lamp, or you look when parked.", (C.NO_SCREENS,),
    ),
    Caution.PORT: (
        "Read and save first. Clear nothing in a brake, airbag or steering unit; ignition on, engine off, steady supply. " + HANDBOOK,
        (C.SAVE_FIRST, C.ONE_UNIT, C.SUPPLY, C.DEFERS),
    ),
    Caution.CHALLENGE: (
        ("Standing, or unladen under 50 km/h on a quiet road; never below 1.5 bar (22 psi, 150 kPa); inflate again at once and gauge it before "
        "any other drive."),
        (C.QUIET_ROAD, C.NOT_BELOW, C.AT_ONCE),
    ),
    Caution.LAMP: (
        "If the lamp comes on while driving: slow down, stop where it is safe, look and gauge before anything electronic.", (C.SLOW_DOWN,),
    ),
    Caution.WRITING: (
        ("Stand on level ground, parking brake on, engine off, nobody in front of the car; the supply must hold and the plug stay in. Writing to a "
        "control unit can leave it without its list: the handbook, local rules and a licensed workshop come first."),
        (C.STANDS_STILL, C.PLUG, C.MAY_BE_LOST, C.DEFERS),
    ),
    Caution.BEAD: (
        "Seating a bead is done by a trained person, at no more than the tyre's marked limit. " + HANDBOOK, (C.SEATING, C.DEFERS),
    ),
    Caution.ERASES: ("On this car a broken-off teaching empties the list: do not begin unless you can finish.", (C.FINISH,)),
}  # fmt: skip
"""The cautions of the sheet before it was cards, word by word, and the clauses that say the same today."""
WORDED_OTHERWISE = {
    Caution.LIFT: {"and"},
    Caution.LOAD: {"wheels", "each", "so"},
    Caution.INFLATE: {"the", "tyre's", "rim's"},
    Caution.LET_DOWN: {"must", "be"},
    Caution.CHALLENGE: {"or"},
    Caution.WRITING: {"stand", "and", "come", "first"},
    Caution.BEAD: {"is", "done", "by", "person"},
    Caution.ERASES: {"on", "this", "car", "empties", "do", "not", "unless"},
}
"""Words of before that join clauses, or whose place another took: 'tyre or rim' for 'the tyre's or the rim's'."""
NEEDS: dict[Does, set[Caution]] = {
    Does.STOP: {Caution.ROADSIDE}, Does.SPARE_ON: {Caution.LIFT, Caution.FASTEN, Caution.CARRY, Caution.INFLATE},
    Does.FILL: {Caution.INFLATE, Caution.SEALANT}, Does.DRIVE_ON: {Caution.SLOWLY, Caution.DRIVE, Caution.LAMP, Caution.LOAD},
    Does.TELL_FITTER: {Caution.BEAD}, Does.CHANGE_TYRE: {Caution.BEAD, Caution.SENSOR_BATTERY},
    Does.CODES_BEFORE: {Caution.PORT}, Does.CODES_NOW: {Caution.PORT}, Does.CODES_AFTER: {Caution.PORT},
    Does.CLEAR_CODES: {Caution.CLEAR}, Does.CLEAR_LATER: {Caution.CLEAR}, Does.TEACH_PORT: {Caution.PORT, Caution.WRITING},
    Does.FETCH: {Caution.INFLATE, Caution.CARRY}, Does.WRITE: {Caution.WRITE, Caution.SENSOR_BATTERY},
    Does.WRITTEN_WRONGLY: {Caution.WRITE, Caution.SENSOR_BATTERY}, Does.TAKE_OFF: {Caution.LIFT},
    Does.CHANGE_SENSORS: {Caution.LOAD, Caution.SENSOR_BATTERY, Caution.BEAD}, Does.LET_DOWN: {Caution.LET_DOWN}, Does.INFLATE: {Caution.INFLATE},
    Does.FIT: {Caution.LIFT, Caution.FASTEN, Caution.CARRY}, Does.STOW_SPARE: {Caution.CARRY}, Does.TORQUE: {Caution.FASTEN},
    Does.TORQUE_AGAIN: {Caution.FASTEN}, Does.STORE: {Caution.CARRY}, Does.SET_PRESSURE: {Caution.INFLATE},
    Does.FIND_PRESSURE: {Caution.INFLATE}, Does.DRIVE: {Caution.DRIVE, Caution.LAMP}, Does.SHOW_CORNER: {Caution.CHALLENGE},
    Does.FILL_CORNER: {Caution.INFLATE}, Does.CHALLENGE: {Caution.CHALLENGE, Caution.INFLATE}, Does.TAKEN_OUT: {Caution.SENSOR_BATTERY},
}  # fmt: skip
"""What has to stand before which act."""
EACH_TIME = {Caution.LET_DOWN, Caution.CLEAR, Caution.WRITING, Caution.CHALLENGE}
SEEDS = range(24)


def words_of(text: str) -> list[str]:
    return re.findall(r"[\w'.-]*\w", text.lower())


@pytest.mark.parametrize("caution", BEFORE)
def test_every_clause_of_a_caution_of_before_is_still_said(caution: Caution) -> None:
    text, clauses = BEFORE[caution]
    assert set(clauses) <= set(caution.clauses), "a clause is gone from its caution"
    said = {word for clause in clauses for word in words_of(clause.words)}
    assert set(words_of(text)) - said <= WORDED_OTHERWISE.get(caution, set())


def test_each_caution_says_something_and_each_clause_belongs_to_one() -> None:
    assert all(c.clauses for c in Caution)
    assert {clause for c in Caution for clause in c.clauses} == set(Clause)
    assert {c for c in Caution if c.each_time} == EACH_TIME


def needed(step: Step, *, empties: bool) -> set[Caution]:
    """What has to stand before a step; wheels are brought by car, and carried away by car or on foot; where a teaching may empty the list, that."""
    if step.does in (Does.BRING, Does.CARRY_AWAY):
        on_foot = step.does is Does.CARRY_AWAY and step.minutes == acts.CARRY
        return {Caution.CARRY} if on_foot else {Caution.LOAD, Caution.LAMP}
    if step.does is Does.TEACH_BEGIN and empties:
        return {Caution.ERASES}
    return NEEDS.get(step.does, set())


def hold(garage: Garage, sheet: RunSheet, cards: Sequence[Card]) -> None:
    """Before every act of these cards its cautions are said in full in the same sitting; those that hold each time, on its own card."""
    steps, said, sitting = {s.id: s for s in sheet.steps}, set[object](), None
    empties = bool(sheet.car) and garage.cars[sheet.car].abort_erases is not False
    for card, parts in zip(cards, cautions_before(cards), strict=True):
        said = said if card.sitting is sitting else set()
        sitting = card.sitting
        here = {clause for part in parts for clause in part}
        said |= here
        for step in (steps[i] for i in card.steps):
            for caution in needed(step, empties=empties):
                assert caution.value in step.cautions, f"{step.id}: {caution.name}"
                assert caution.value in card.cautions, f"{step.id} is on {card.of.name} without {caution.name}"
                assert set(caution.clauses) <= (here if caution in EACH_TIME else said), (
                    f"{card.of.name}: {caution.name} is not said in full"
                )


def no_act_is_without(garage: Garage, sheet: RunSheet) -> None:
    assert sorted(i for card in sheet.cards for i in card.steps) == sorted(s.id for s in sheet.steps)
    assert all(set(s.cautions) <= set(c.cautions) for c in sheet.cards for s in sheet.steps if s.id in c.steps)
    for left in range(len(sheet.cards)):
        hold(garage, sheet, sheet.cards[left:])


@cache
def drawn(seed: int) -> tuple[tuple[Garage, RunSheet], ...]:
    """The sheets of a random household: of the day of its change, of a day that is not its day, and with tyres far too warm or cold; each extent."""
    rng = Random(f"cautions {seed}")
    home = draw(rng, rng.choice((Line.YEARLY, Line.ONCE, Line.EMPTY)))
    garage = read_garage(home.text.encode(), "household.toml")
    garage = with_wishes(
        garage, Wishes(tyre_temperature=rng.choice((None, Temperature.from_celsius(-20), Temperature.from_celsius(38))))
    )
    day = home.turn + timedelta(days=rng.choice((-200, -1, 0, 7, 90)))
    plan = identity_plan(garage, day, (), seeded(seed))
    return tuple((garage, sheet) for extent in Extent for sheet in made(garage, plan, extent, rng))


def made(garage: Garage, plan: IdentityPlan, extent: Extent, rng: Random) -> Iterator[RunSheet]:
    for car in (None, *garage.cars):
        try:
            sheet = make_sheet(garage, plan, car=car, extent=extent, about="rear left", in_book=rng.random() < 0.5)[1]
        except BadRequest:
            continue
        if sheet is not None:
            yield sheet


def in_its_wheels() -> Table:
    """Sensors are written in their wheels, which are let down for it."""
    table = bare_table()
    table["car"][0] |= {"taught_by": "locked", "torque": "120 Nm"}
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "5 °C"}
    return table


def wheel_speed() -> Table:
    table = bare_table()
    table["car"][0] = {
        "id": "car", "stands_at": "home", "monitor": "indirect",
        "placard": [{"tyre": "205/55 R16 91V", "load": "normal", "front": "2.4 bar", "rear": "2.4 bar"}],
    }  # fmt: skip
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "5 °C"}
    return table


def on_no_car() -> Table:
    """A set that goes on no car any more, and is to be sold with IDs that another carries on: they are written anew in its wheels."""
    table = in_its_wheels()
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["printed"] = f"A100000{n}"
    table["stay"] = [
        {"set": "A", "on": "car", "since": date(2026, 4, 1)},
        {"set": "B", "at": "away", "since": date(2026, 4, 1)},
    ]
    row(table, "set", "B")["sold"] = date(2026, 11, 26)
    return table


@cache
def built(kind: str) -> tuple[tuple[Garage, RunSheet], ...]:
    table = {
        "demo": demo_table, "in its wheels": in_its_wheels, "wheel speed": wheel_speed, "learns": learning_table, "on no car": on_no_car,
    }[kind]()  # fmt: skip
    garage = garage_of(table)
    plan = identity_plan(garage, DAY, (), seeded())
    asked = [make_sheet(garage, plan, wheel_set="B")[1]] if kind == "on no car" else []
    every = [*asked, *(s for extent in Extent for s in made(garage, plan, extent, Random(0)))]
    return tuple((garage, s) for s in every if s is not None)


KINDS = ("demo", "in its wheels", "wheel speed", "learns", "on no car")


@pytest.mark.parametrize("kind", KINDS)
def test_before_each_act_of_every_kind_of_sheet_its_cautions_stand(kind: str) -> None:
    assert built(kind)
    for garage, sheet in built(kind):
        no_act_is_without(garage, sheet)


@pytest.mark.parametrize("seed", SEEDS)
def test_before_each_act_of_any_households_sheets_its_cautions_stand(seed: int) -> None:
    for garage, sheet in drawn(seed):
        no_act_is_without(garage, sheet)


def test_the_sheets_looked_at_have_every_kind_of_act_and_work() -> None:
    sheets = [sheet for n in SEEDS for _, sheet in drawn(n)] + [sheet for kind in KINDS for _, sheet in built(kind)]
    assert len(sheets) > 60
    assert {s.extent for s in sheets} == set(Extent)
    assert any(not s.car and any(step.does is Does.LET_DOWN for step in s.steps) for s in sheets)
    assert {s.aim.monitor.value for s in sheets if s.aim.monitor} >= {"direct", "indirect"}
    assert {step.does for s in sheets for step in s.steps} >= set(NEEDS)
    assert {c.of for s in sheets for c in s.cards} >= {
        OnCard.IN_WHEEL,
        OnCard.OFF,
        OnCard.CORNER,
        OnCard.LAMP_TEST,
        OnCard.WRONG,
    }


@pytest.mark.parametrize("kind", KINDS)
def test_on_paper_they_stand_in_full_before_the_card_of_the_act(kind: str) -> None:
    """What is printed, in a terminal and as Markdown."""
    for garage, sheet in built(kind):
        paper = paper_of(garage, sheet)
        for lines in (short(paper, WIDEST), in_full(paper, WIDEST)):
            stands(sheet, " ".join(" ".join(line.text for line in lines).split()), "{number} {title}.")
        text = sheet_markdown(garage, sheet).replace("\\", "")
        stands(sheet, " ".join(text.split()), "### {number}. {title}")


def stands(sheet: RunSheet, text: str, head: str) -> None:
    """Before the head of each numbered card, and behind that of the sitting before, stands every clause of its cautions."""
    steps = {s.id: s for s in sheet.steps}
    numbered = [c for c in sheet.cards if not all(steps[i].rare or steps[i].optional for i in c.steps)]
    heads = [text.index(head.format(number=n, title=card.title)) for n, card in enumerate(numbered, start=1)]
    begins = 0
    for n, card in enumerate(numbered):
        if n and numbered[n - 1].sitting is not card.sitting:
            begins = heads[n - 1]
        own = heads[n - 1] if n else 0
        for caution in (Caution(code) for code in card.cautions):
            since = own if caution in EACH_TIME else begins
            assert all(clause.words in text[since : heads[n]] for clause in caution.clauses), (card.of, caution)


def test_a_job_that_is_taken_up_again_in_another_sitting_has_them_again() -> None:
    _, sheet = built("demo")[0]
    swap = [c for c in sheet.cards if c.sitting is Sitting.SWAP]
    left = swap[1:]
    assert Clause.WRENCH in {clause for part in cautions_before(left)[0] for clause in part}
    assert Clause.WRENCH not in {clause for part in cautions_before(swap)[1] for clause in part}, "said once a sitting"


def test_a_text_of_an_earlier_job_is_said_as_it_is() -> None:
    _, sheet = built("demo")[0]
    card = Card(
        of=OnCard.LOOK, sitting=Sitting.EVENING, title="Look", cautions=("Mind the step.",), steps=sheet.cards[0].steps
    )
    assert cautions_before([card]) == ((("Mind the step.",),),)
    assert cautions.in_full("Mind the step.") == "Mind the step."
