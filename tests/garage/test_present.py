"""What is on a car: seen rows before the season line, by a rule told again here from docs/deciding.md."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

import pytest

from garages import Table, demo_table, garage_of
from wheelside.garage.model import Garage
from wheelside.garage.present import Present
from wheelside.garage.season import spells
from wheelside.garage.words import Corner

FIRST = date(2026, 3, 1)
END = date(2028, 3, 1)
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")


def table_of(sets: tuple[str, ...], stays: list[Table], seen: list[Table], cars: tuple[str, ...] = ("car",)) -> Table:
    wheels = [{"id": f"{name}{n}"} for name in sets for n in range(4)]
    rows = [{"id": name, "wheels": {c: f"{name}{n}" for n, c in enumerate(CORNERS)}} for name in sets]
    places = [{"id": "shed"}, {"id": "loft"}]
    return {
        "wheelside": 1, "place": places, "car": [{"id": c, "monitor": "none"} for c in cars], "wheel": wheels, "set": rows,
        "stay": stays, "seen": seen,
    }  # fmt: skip


def changes(days: list[tuple[date, str]]) -> list[Table]:
    """Stays of one car, set after set."""
    ends = [d for d, _ in days[1:]]
    rows: list[Table] = [{"set": s, "on": "car", "since": d} for d, s in days]
    for row, end in zip(rows, ends, strict=False):
        row["until"] = end
    return rows


# --- the rule, told again ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Told:
    on: str | None
    due: tuple[str, date, bool] | None
    """What is due, since when, and whether what is on was only assumed."""


def told(days: list[tuple[date, str]], seen: list[tuple[date, str, bool]], day: date) -> Told:
    """By the page: the newest row of what was seen on the car (day, set, whether fitted), then each change since, 60 days each."""
    past = [(d, s) for d, s in days if d <= day]
    on, of, fitted = None, None, False
    for d, s, by_job in sorted(r for r in seen if r[0] <= day):
        on, of, fitted = s, d, by_job or (s == on and fitted)
    open_since = None
    for d, s in past:
        if of is not None and d <= of:
            continue
        if on is None or s == on or (day - d).days > 60:
            on, fitted = s, False
        else:
            open_since = d
            break
    if not past or past[-1][1] == on:
        return Told(on, None)
    last, meant = past[-1]
    if open_since is not None:
        return Told(on, (meant, last, True))
    assert of is not None
    ahead = [d for d, s in days if d > of and s == on]
    early = bool(ahead) and ahead[0] - of < of - last
    return Told(on, None if early or (fitted and of >= last) else (meant, last, False))


@pytest.mark.parametrize("seed", range(8))
def test_what_is_on_and_what_is_due_are_as_the_rule_has_it(seed: int) -> None:
    random = Random(seed)
    for _ in range(60):
        names = ("a", "b", "c")[: random.randint(2, 3)]
        moments = sorted(random.sample(range(500), random.randint(1, 5)))
        days: list[tuple[date, str]] = []
        for m in moments:
            others = [n for n in names if not days or n != days[-1][1]]
            days.append((FIRST + timedelta(days=m), random.choice(others)))
        seen = [
            (FIRST + timedelta(days=n), random.choice(names), random.random() < 0.5)
            for n in random.sample(range(560), random.choice((0, 0, 1, 2, 3)))
        ]
        rows: list[Table] = [
            {"set": s, "on": "car", "as_of": d, "how": "fitted" if fitted else "owner"} for d, s, fitted in seen
        ]
        garage = garage_of(table_of(names, changes(days), rows))
        day = FIRST + timedelta(days=random.randint(0, 560))
        now, want = Present(garage, day, END), told(days, seen, day)
        case = (days, seen, day)
        assert now.set_on("car") == want.on, case
        found = [(c.coming, c.due, c.assumed) for c in now.open]
        assert found == ([want.due] if want.due else []), case
        _line_holds(garage, now, want, case)


def _line_holds(garage: Garage, now: Present, want: Told, case: object) -> None:
    """The line has one set at a time on the car, today the one that is on, and what is due from the next day on."""
    on = [s for s in now.line if s.on == "car"]
    for day in (now.day, now.next_day, now.day + timedelta(days=40), now.day + timedelta(days=300)):
        assert len([s for s in on if s.covers(day)]) <= 1, case
    today = next((s.set for s in on if s.covers(now.day)), None)
    assert today == want.on, case
    if want.due and all(d != now.next_day for d, _ in now.changes_of("car")):
        assert next(s.set for s in on if s.covers(now.next_day)) == want.due[0], case


def test_without_anything_seen_and_nothing_open_the_line_is_the_season_line() -> None:
    garage = garage_of(demo_table())
    for day in (date(2026, 11, 25), date(2026, 11, 27), date(2027, 2, 20), date(2027, 9, 1)):
        assert Present(garage, day, END).line == spells(garage, day, END)


@pytest.mark.parametrize("day", [date(2026, 11, 27), date(2026, 11, 28), date(2026, 12, 5), date(2027, 1, 27)])
def test_the_demo_has_the_same_set_on_the_day_before_and_for_sixty_days(day: date) -> None:
    now = Present(garage_of(demo_table()), day, END)
    assert now.set_on("estate") == "summer"
    assert now.wheel_at("estate")[Corner.REAR_LEFT] == "S3"
    assert [c.coming for c in now.open] == ([] if day < date(2026, 11, 28) else ["winter"])


def test_an_older_change_counts_as_done_and_so_does_a_first_stay_and_both_are_said() -> None:
    now = Present(garage_of(demo_table()), date(2027, 1, 28), END)
    assert now.set_on("estate") == "winter"
    assert {(t.car, t.set, t.why.name) for t in now.taken} == {
        ("estate", "winter", "OLD"), ("runabout", "all-year", "FIRST"),
    }  # fmt: skip


def test_wheels_are_known_one_by_one_and_a_half_done_change_stays_open() -> None:
    seen: list[Table] = [
        {"wheel": w, "on": "car", "corner": c, "as_of": date(2026, 5, 2), "time": f"10:0{n}", "how": "fitted"}
        for n, (w, c) in enumerate((("b0", "front left"), ("b1", "front right")))
    ]
    days = [(date(2026, 3, 1), "a"), (date(2026, 5, 1), "b")]
    for day in (date(2026, 5, 2), date(2026, 9, 1)):
        now = Present(garage_of(table_of(("a", "b"), changes(days), seen)), day, END)
        assert list(now.wheel_at("car").values()) == ["b0", "b1", "a2", "a3"]
        assert [(c.coming, c.going, c.assumed) for c in now.open] == [("b", "a", False)]
        assert {(s.wheel, s.instead_of) for s in now.here.stand_in} == {("b0", "a0"), ("b1", "a1")}


def test_a_change_of_long_ago_is_not_undone_by_one_wheel_of_the_set_that_it_brought() -> None:
    """A wheel that is woken, or comes off for its sensor and goes on again, says nothing of the set that was on before."""
    stays = changes([(date(2026, 3, 1), "a"), (date(2026, 5, 1), "b")])
    day = date(2026, 11, 25)
    fitted: Table = {"as_of": day, "time": "10:00", "how": "fitted"}
    one: Table = {"wheel": "b0", "on": "car", "corner": "front left"}
    for seen, on in (
        ([{**one, "as_of": day, "how": "trigger"}], ["b0", "b1", "b2", "b3"]),
        ([{**one, **fitted}], ["b0", "b1", "b2", "b3"]),
        ([{**one, **fitted}, {"wheel": "b1", **fitted}], ["b0", "b2", "b3"]),
        ([{**one, **fitted}, {"wheel": "a0", **fitted}], ["b0", "a1", "a2", "a3"]),
    ):
        now = Present(garage_of(table_of(("a", "b"), stays, seen)), day, END)
        assert sorted(now.wheel_at("car").values()) == sorted(on)
        assert [c.coming for c in now.open] == (["b"] if "a1" in on else [])


def test_of_two_rows_of_one_day_the_later_one_counts_and_two_of_one_moment_are_refused() -> None:
    from wheelside.errors import BadFile
    from wheelside.garage.file import checked

    days = [(date(2026, 3, 1), "a")]
    rows: list[Table] = [
        {"set": "a", "on": "car", "as_of": date(2026, 4, 1), "time": "12:00"},
        {"set": "b", "on": "car", "as_of": date(2026, 4, 1), "time": "12:01"},
    ]
    now = Present(garage_of(table_of(("a", "b"), changes(days), rows)), date(2026, 4, 1), END)
    assert now.set_on("car") == "b"
    both: list[Table] = [
        {"set": "a", "on": "car", "as_of": date(2026, 4, 1)}, {"set": "a", "at": "shed", "as_of": date(2026, 4, 1)},
    ]  # fmt: skip
    with pytest.raises(BadFile, match="one place at a time"):
        checked(table_of(("a", "b"), changes(days), both), "x")


def test_a_set_that_was_seen_lying_elsewhere_lies_there_until_the_line_moves_it() -> None:
    stays: list[Table] = [
        {"set": "a", "on": "car", "since": date(2026, 3, 1)},
        {"set": "b", "at": "shed", "since": date(2026, 3, 1), "until": date(2026, 8, 1)},
        {"set": "b", "at": "shed", "since": date(2026, 8, 1)},
    ]
    rows: list[Table] = [{"set": "b", "at": "loft", "as_of": date(2026, 4, 1)}]
    now = Present(garage_of(table_of(("a", "b"), stays, rows)), date(2026, 5, 1), END)
    at = [(s.at, s.until) for s in now.line if s.set == "b"]
    assert at == [("loft", date(2026, 8, 1)), ("shed", END)]


def test_a_set_asked_for_is_due_whatever_the_line_says() -> None:
    from dataclasses import replace

    garage = replace(garage_of(table_of(("a", "b"), [], [])), asked=(("car", "b"),))
    now = Present(garage, date(2026, 5, 1), END)
    assert [(c.coming, c.going, c.due, c.assumed) for c in now.open] == [("b", None, None, False)]
    assert [(s.set, s.since) for s in now.line if s.on == "car"] == [("b", date(2026, 5, 2))]
