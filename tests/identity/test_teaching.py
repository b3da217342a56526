"""Why a set is taught: what the list holds, may hold and does not, compared with the rule told from its description alone."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from itertools import permutations
from pathlib import Path
from random import Random

import pytest

from garages import CORNERS, DAY, Table, codes_of, garage_of, learning_table, plan_of, row, seeded
from spoken import words
from wheelside.garage.file import read_garage
from wheelside.identity.audit import audit
from wheelside.identity.plan import IdentityPlan, TeachPlan, identity_plan
from wheelside.identity.teaching import First, WhyTaught, to_do

HOUSEHOLDS = Path(__file__).parent / "households"
SEED, DRAWN = 88, 400
Numbers = frozenset[tuple[int, int]]


def planned(name: str) -> tuple[IdentityPlan, TeachPlan, str]:
    garage = read_garage((HOUSEHOLDS / f"{name}.toml").read_bytes(), name)
    plan = identity_plan(garage, date(2026, 1, 5) if name.startswith("s") else DAY, (), seeded())
    return plan, plan.teachings[0], words(to_do(garage, plan.teachings[0]))


def test_the_one_left_over_is_named_and_triggered_and_nothing_is_taught_before() -> None:
    plan, teaching, task = planned("print-worn-off")
    assert (teaching.reason, teaching.first, teaching.wheels) == (WhyTaught.LEFT_OVER, First.TRIGGER, ("A4",))
    assert teaching.likely is not None
    assert teaching.likely.hex == "2C41AB2A"
    assert (teaching.certain, task) == (False, "trigger A4 first")
    (found,) = [f for f in plan.findings if f.code == "left-over"]
    assert "2C41 AB2A" in words(found.text)
    assert "does not hold" not in words(teaching.why)


def test_a_width_that_was_left_out_is_said_and_asked() -> None:
    plan, teaching, task = planned("width-not-noted")
    assert (teaching.reason, teaching.first, teaching.bits) == (WhyTaught.TWO_READINGS, First.BITS, (32,))
    assert (teaching.certain, task) == (False, "find out how many bits first")
    assert "32 bits" in words(teaching.why)
    assert {"two-readings", "one-kind"} <= codes_of(plan)
    table = garage_table("width-not-noted")
    table["family"][0]["bits"] = 32
    assert plan_of(table).teachings[0].reason is WhyTaught.HELD


def garage_table(name: str) -> Table:
    import tomllib

    return tomllib.loads((HOUSEHOLDS / f"{name}.toml").read_text(encoding="utf-8"))


def test_an_empty_slot_and_an_empty_list_are_told_apart() -> None:
    assert planned("slot-of-ones")[1].reason is WhyTaught.EMPTY_SLOT
    assert planned("slot-of-ones")[1].wheels == ("B1",)
    assert planned("sends-zeros")[1].reason is WhyTaught.NOT_HELD


def turned(*, rear: str = "205/55 R16 91V") -> Table:
    """Set A is on the car, and the list has it with front and rear exchanged."""
    table = learning_table()
    table["stay"] = [{"set": "A", "on": "car", "since": date(2026, 1, 1)}]
    ids = ["A1000003", "A1000004", "A1000001", "A1000002"]
    table["car"][0] |= {
        "taught_by": "port", "standard": "49 CFR 571.138", "holds": [{"corners": dict(zip(CORNERS, ids, strict=True))}],
        "placard": [
            {"tyre": "205/55 R16 91V", "load": "normal", "front": "2.4 bar", "rear": "2.0 bar"},
            {"tyre": "225/50 R16 92V", "load": "normal", "front": "2.4 bar", "rear": "3.2 bar"},
        ],
    }  # fmt: skip
    for n in (3, 4):
        row(table, "tyre", f"t A{n}")["designation"] = rear
    return table


def test_ids_at_other_corners_say_which_wheel_would_go_unwarned() -> None:
    """The front's limit is 75 % of 2.4 bar, 1.8; listed at the rear it warns from 75 % of 2.0, 1.5."""
    plan = plan_of(turned())
    teaching = plan.teachings[0]
    assert teaching.reason is WhyTaught.OTHER_CORNERS
    assert [(m.wheel, m.listed.value) for m in teaching.moved] == [
        ("A1", "rear left"), ("A2", "rear right"), ("A3", "front left"), ("A4", "front right"),
    ]  # fmt: skip
    (found,) = [f for f in plan.findings if f.code == "other-corners"]
    assert "A1 between 1.50 bar and 1.80 bar and A2 between" in words(found.text)
    assert "A3 between" not in words(found.text)
    assert "or put each wheel" in words(found.way_out)


def test_a_staggered_set_is_never_swapped_front_to_rear() -> None:
    """With 3.2 bar at the rear it is the rear wheels that would go unwarned: 75 % are 2.4, the front's 1.8."""
    (found,) = [f for f in plan_of(turned(rear="225/50 R16 92V")).findings if f.code == "other-corners"]
    assert "A3 between 1.80 bar and 2.40 bar" in words(found.text)
    assert "A1 between" not in words(found.text)
    assert "never swap its wheels front to rear" in words(found.way_out)
    assert "put each wheel" not in words(found.way_out)


def test_the_cars_own_rule_goes_before_its_standard() -> None:
    table = turned()
    table["car"][0]["warns_at"] = "20 % below placard"
    (found,) = [f for f in plan_of(table).findings if f.code == "other-corners"]
    assert "A1 between 1.60 bar and 1.92 bar" in words(found.text)
    table["car"][0]["warns_at"] = "1.9 bar"
    (found,) = [f for f in plan_of(table).findings if f.code == "other-corners"]
    assert "name the wrong wheel" in words(found.text)


@pytest.mark.parametrize(("full", "room"), [("oldest", 1), ("all", 1)])
def test_a_full_list_forgets(full: str, room: int) -> None:
    table = learning_table()
    table["car"][0] |= {"taught_by": "port", "when_full": full, "remembers_sets": room}
    table["writer"] = []
    reasons = [t.reason for t in plan_of(table).teachings if t.needed]
    assert reasons[0] is WhyTaught.NOT_HELD
    assert set(reasons[1:]) == {WhyTaught.FORGOTTEN}


def test_new_ids_and_an_unknown_list_are_reasons_of_their_own() -> None:
    table = learning_table()
    del table["car"][0]["holds"]
    assert plan_of(table).teachings[0].reason is WhyTaught.LIST_NOT_KNOWN
    table = learning_table()
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["answers"] = False
    new = next(t for t in plan_of(table).teachings if t.set == "B")
    assert (new.reason, new.wheels, new.first) == (WhyTaught.NEW_IDS, ("B1", "B2", "B3", "B4"), None)


# --- random sets and lists, and the rule told apart ------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Drawn:
    """A set of four wheels and a list of one group: what each wheel and each entry can be, with its corner."""

    table: Table
    wheels: tuple[tuple[str, Numbers], ...]
    entries: tuple[tuple[str | None, Numbers], ...]
    empty: tuple[str | None, ...]
    aware: bool
    elsewhere: Numbers


def text_of(number: int, *, known: bool, decimal: bool) -> tuple[str, Numbers]:
    """A number of 32 bits as text, and what it can be: eight hex digits are a 28-bit ID behind a status digit, too."""
    if decimal:
        return str(number), frozenset({(32, number)})
    short = () if known else ((28, number & 0xFFFFFFF),)
    return f"{number:08X}", frozenset({(32, number), *short})


def draw(random: Random) -> Drawn:
    known, aware = random.random() < 0.7, random.choice((True, False, None))
    own = [0xA0000000 | random.getrandbits(28) | 0x1000 for _ in range(4)]
    held: list[int | None] = list(own)
    for i in range(4):
        if random.random() < 0.15:
            held[i] = random.choice((None, 0xB0000000 | random.getrandbits(28) | 0x1000))
    if random.random() < 0.3:
        random.shuffle(held)
    unread = {i for i in range(4) if random.random() < random.choice((0.0, 0.25, 0.5))}
    by_corner = aware is not False and random.random() < 0.8
    entries: list[tuple[str | None, Numbers]] = []
    empty: list[str | None] = []
    texts = []
    for corner, number in zip(CORNERS, held, strict=True):
        at = corner if by_corner else None
        if number is None:
            texts.append(random.choice(("FFFFFFFF", "00000000")))
            empty.append(at)
        else:
            text, ids = text_of(number, known=known, decimal=random.random() < 0.3)
            texts.append(text)
            entries.append((at, ids))
    table: Table = {
        "wheelside": 1, "place": [{"id": "home"}, {"id": "far"}], "path": [{"between": ["home", "far"], "heard": "no"}],
        "family": [{"id": "f", "band": "433.92 MHz", **({"bits": 32} if known else {})}],
        "car": [{
            "id": "car", "stands_at": "home", "monitor": "direct", "family": "f", "remembers_sets": 1, "taught_by": "port",
            "holds": [{"corners": dict(zip(CORNERS, texts, strict=True))} if by_corner else {"ids": texts}],
            **({} if aware is None else {"corner_aware": aware}),
        }],
        "sensor": [], "wheel": [], "set": [{"id": "s", "wheels": {c: f"W{i}" for i, c in enumerate(CORNERS)}}],
        "stay": [{"set": "s", "on": "car", "since": date(2026, 1, 1)}],
    }  # fmt: skip
    wheels = []
    for i, (corner, number) in enumerate(zip(CORNERS, own, strict=True)):
        text, ids = text_of(number, known=known, decimal=random.random() < 0.3)
        sensor = {"id": f"x{i}", "family": "f", "writing": "fixed", **({} if i in unread else {"sends": text})}
        table["sensor"].append(sensor)
        table["wheel"].append({"id": f"W{i}", "joined": [{"sensor": f"x{i}"}]})
        wheels.append((corner, frozenset() if i in unread else ids))
    elsewhere: Numbers = frozenset()
    if random.random() < 0.2:
        number = own[next(iter(unread), 0)]
        table["sensor"].append({"id": "loose", "family": "f", "sends": str(number), "kept_at": "far"})
        elsewhere = frozenset({(32, number)})
    return Drawn(table, tuple(wheels), tuple(entries), tuple(empty), aware is not False, elsewhere)


def rule(d: Drawn) -> tuple[WhyTaught, First | None, frozenset[str]]:
    """The reason, told from its description: what is held, what may be held, each open wheel in an entry of its own."""

    def fits(corner: str, entry: tuple[str | None, Numbers]) -> bool:
        return not d.aware or entry[0] in (None, corner)

    def same(ids: Numbers, entry: tuple[str | None, Numbers]) -> bool:
        return len(ids) == 1 and ids == entry[1]

    held = {c: ids for c, ids in d.wheels if any(same(ids, e) and fits(c, e) for e in d.entries)}
    rest = [(c, ids) for c, ids in d.wheels if c not in held]
    if not rest:
        return WhyTaught.HELD, None, frozenset()
    free = [e for e in d.entries if not any(same(ids, e) for ids in held.values())]
    for chosen in permutations(free, len(rest)):
        if all(fits(c, e) and (not ids or ids & e[1]) for (c, ids), e in zip(rest, chosen, strict=True)):
            return (*open_for(d, rest, free, any_held=bool(held)), frozenset(c for c, _ in rest))
    everywhere = all(len(ids) == 1 and any(same(ids, e) for e in d.entries) for _, ids in d.wheels)
    if everywhere and d.aware:
        return WhyTaught.OTHER_CORNERS, None, frozenset(c for c, _ in rest)
    return WhyTaught.NOT_HELD, None, frozenset()


def open_for(
    d: Drawn, rest: list[tuple[str, Numbers]], free: list[tuple[str | None, Numbers]], *, any_held: bool
) -> tuple[WhyTaught, First]:
    if any(len(ids) > 1 for _, ids in rest) or (any(ids for _, ids in rest) and any(len(e[1]) > 1 for e in free)):
        return WhyTaught.TWO_READINGS, First.BITS
    here = [e for e in free if not d.aware or e[0] in (None, rest[0][0])]
    if len(rest) == 1 and any_held and len(here) == 1 and len(here[0][1]) == 1 and not here[0][1] & d.elsewhere:
        return WhyTaught.LEFT_OVER, First.TRIGGER
    return WhyTaught.NOT_READ, First.TRIGGER


def test_reasons_of_random_sets_are_those_of_the_rule() -> None:
    random, seen = Random(SEED), Counter[WhyTaught]()
    for _ in range(DRAWN):
        drawn = draw(random)
        plan = plan_of(drawn.table, date(2026, 5, 1))
        assert plan.possible
        (teaching,) = plan.teachings
        reason, first, corners = rule(drawn)
        got = WhyTaught.NOT_HELD if teaching.reason is WhyTaught.EMPTY_SLOT else teaching.reason
        if WhyTaught.FORGOTTEN is got or any(w.choice.value != "keep" for w in plan.wheels):
            continue
        assert (got, teaching.first) == (reason, first), drawn.table
        assert teaching.needed == (reason is not WhyTaught.HELD)
        if corners:
            assert {CORNERS[int(w[1:])] for w in teaching.wheels} == corners, drawn.table
        if teaching.reason is WhyTaught.EMPTY_SLOT:
            assert drawn.empty
        assert not audit(garage_of(drawn.table), plan)
        seen[teaching.reason] += 1
    assert sum(seen.values()) >= DRAWN - 40
    assert (
        min(
            seen[r]
            for r in (
                WhyTaught.HELD,
                WhyTaught.NOT_HELD,
                WhyTaught.EMPTY_SLOT,
                WhyTaught.OTHER_CORNERS,
                WhyTaught.NOT_READ,
                WhyTaught.TWO_READINGS,
                WhyTaught.LEFT_OVER,
            )
        )
        >= 8
    ), seen


@pytest.mark.parametrize(
    ("name", "differs"), [("print-worn-off", False), ("width-not-noted", False), ("slot-of-ones", True)]
)
def test_a_list_is_said_to_lack_what_is_on_the_car_only_where_that_is_sure(name: str, differs: bool) -> None:
    assert ("list-differs" in codes_of(planned(name)[0])) is differs
