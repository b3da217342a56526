"""Single facts of cars, of sets and of their use, asked as the garage's declarations say."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import Field, fields, replace
from datetime import date
from typing import Any

from wheelside.declared.asked import AskedAs
from wheelside.declared.kinds import Kind, Unfit
from wheelside.declared.row import Row
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Rim, Sensor, Tyre, WheelSet
from wheelside.garage.wishes import Conditions, Costs, PlanWishes
from wheelside.inquiry.draft import Table, TableDraft, known, unknown
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Gap, Given, Occasion, Pick, Query
from wheelside.inquiry.typed import degrees_like, shown_as, told, value_of
from wheelside.said import Said, say
from wheelside.units import Temperature, UnitChoice, read_tyre_temperature

PARTS: dict[str, type[Row]] = {"rim": Rim, "tyre": Tyre, "sensor": Sensor}
TOPS: dict[str, type[Row]] = {"conditions": Conditions, "plan": PlanWishes, "costs": Costs}
RIM_KEYS = ("width_in", "inset", "bolt_circle", "centre_bore")
"""What is cast inside a rim, asked together: one look gives it all."""
WEATHER_KEYS = ("tyre_temperature", "temperature_of_use")
YEAR = re.compile(r"(?:19|20)\d\d")
WARMEST_MORNING = Temperature(273.15 + 45)
"""Warmer, and it is no morning somewhere: somebody typed something else. Judgement."""
ANSWERS, SILENT = "sensor.answers", "not:"
"""The fact in which the sensors of a set may differ, and what the code of a pick begins with that names the one that is silent."""
MID_YEAR = (7, 1)
"""The day for which a bare year stands."""


def declared(cls: type[Row], key: str) -> tuple[AskedAs, Kind]:
    """How a fact of a table is asked, and its kind. Raises KeyError where it is not one that is asked for."""
    one: Field[Any] = {f.name: f for f in fields(cls)}[key]
    asked: AskedAs | None = one.metadata.get("asked")
    if asked is None:
        raise KeyError(key)
    return asked, one.metadata["kind"]


METRIC = UnitChoice()


def fact_query(code: str, asked: AskedAs, name: str, units: UnitChoice = METRIC) -> Query:
    """One fact as a question: what can be picked, or a gap to type into, a temperature in the owner's scale."""
    picks = tuple(
        Pick(pick_code(value), say(words), usual=bool(asked.usual) and asked.usual == pick_code(value))
        for value, words in asked.options
    )
    trials = tuple(str(one) for one in asked.trials)
    label = say(asked.label) if asked.label else say("as it stands there")
    unit, example = shown_as(asked.unit, asked.example, units)
    gaps = () if picks else (Gap("value", label, "", unit, example, _kind(asked), trials),)
    return Query(
        code, say(asked.question, name=name), picks, gaps, say(asked.where), say(asked.unknown), asked.drawing, effort=asked.effort
    )  # fmt: skip


def pick_code(value: object) -> str:
    """The code by which a value of a fact is picked."""
    return str(value).lower() if isinstance(value, bool) else str(value)


def _kind(asked: AskedAs) -> str:
    return "figure" if asked.unit or asked.example.isdigit() else "text"


def of_car(car: Car, keys: tuple[str, ...]) -> Iterator[Query]:
    """The facts of a car that are neither known nor said to be unknown."""
    for key in keys:
        if getattr(car, key) is None and key not in car.not_known:
            yield fact_query(f"car/{car.id}/{key}", declared(Car, key)[0], car.name)


def of_set(garage: Garage, wheel_set: WheelSet, keys: tuple[str, ...], day: date) -> Iterator[Query]:
    """The facts of a set's rims, tyres and sensors ('tyre.tread') that no wheel of it has and that are not said to be unknown."""
    for key in keys:
        if not said_of(garage, wheel_set, key, day):
            kind, _, name = key.partition(".")
            query = fact_query(f"set/{wheel_set.id}/{key}", declared(PARTS[kind], name)[0], wheel_set.name)
            yield silent_ones(query, garage, wheel_set) if key == ANSWERS else query


def silent_ones(query: Query, garage: Garage, wheel_set: WheelSet) -> Query:
    """Whether sensors are alive, with each wheel as the one whose sensor is not."""
    one = tuple(
        Pick(f"{SILENT}{c.key}", say("Not {wheel}, {corner}", wheel=garage.wheels[w].name, corner=say(c.value)), rare=True)
        for c, w in wheel_set.wheels
    )  # fmt: skip
    return replace(query, picks=(query.picks[0], *one, *query.picks[1:]))


def said_of(garage: Garage, wheel_set: WheelSet, key: str, day: date) -> bool:
    """Whether a fact is known of a wheel of a set, or was said not to be; also where there is no such part at all."""
    kind, _, name = key.partition(".")
    parts = [getattr(parts_on(garage, wheel, day), kind) for _, wheel in wheel_set.wheels]
    there = [one for one in parts if one is not None]
    if not there:
        return kind != "rim" or key in wheel_set.not_known
    return any(getattr(one, name) is not None or name in one.not_known for one in there)


def of_top(garage: Garage, table: str, keys: tuple[str, ...]) -> Iterator[Query]:
    """Facts of the use and of the plan."""
    row = getattr(garage, table)
    for key in keys:
        if getattr(row, key) is None and key not in row.not_known:
            yield fact_query(f"top/{table}/{key}", declared(TOPS[table], key)[0], "", garage.units.choice)


def shop_query(garage: Garage) -> Iterator[Query]:
    """Whether a shop is at hand: it has a default, which is asked about until it is said."""
    if "shop" not in garage.plan.not_known and garage.plan.shop:
        yield fact_query("top/plan/shop", declared(PlanWishes, "shop")[0], "")


def rims_query(code: str, title: Said, asked_of: type[Row]) -> Query:
    """What is cast inside a rim, in one go: a gap for each figure."""
    gaps = []
    for key in RIM_KEYS:
        asked, _ = declared(asked_of, key)
        gaps.append(
            Gap(key, _RIM_LABELS[key], "", asked.unit, asked.example, trials=tuple(str(t) for t in asked.trials))
        )
    asked, _ = declared(asked_of, "bolt_circle")
    return Query(
        code, title, (), tuple(gaps), say("All of it is cast inside the rims; leave empty what can't be read."), say(asked.unknown), "rim",
        effort=asked.effort,
    )  # fmt: skip


def today_said(garage: Garage, car: Car, day: date, *, stated: bool) -> bool:
    """Whether it was said for a day how warm it is and whether a tyre looks flat. `stated`: what names no day counts for every day."""
    c = garage.conditions
    if c.as_of != day and (c.as_of is not None or not stated):
        return False
    if c.as_of is not None and car.id not in c.looked_at:
        return False
    keys = ("looks_flat", *WEATHER_KEYS)
    return all(getattr(c, key) is not None or key in c.not_known for key in keys)


def today_query(car: Car, units: UnitChoice) -> Query:
    """Whether a tyre looks flat, how warm the tyres are now, and how cold it will be, in the owner's scale: all at once."""
    gaps = []
    for key in WEATHER_KEYS:
        asked, _ = declared(Conditions, key)
        gaps.append(Gap(key, say(asked.label), "", *shown_as(asked.unit, asked.example, units), "figure"))
    (now, use), flat = (declared(Conditions, key)[0] for key in WEATHER_KEYS), declared(Conditions, "looks_flat")[0]
    where = say("{now} {use} {flat}", now=say(now.where), use=say(use.where), flat=say(flat.where))
    picks = (Pick("false", say("No tyre looks flat")), Pick("true", say("One looks flat, or was driven flat")))
    return Query(
        f"today/{car.id}",
        say("How warm are the tyres of {car}, and does one look flat?", car=car.name),
        picks,
        tuple(gaps),
        where,
        say(now.unknown),
        alone=("true",),
        of_today=True,
    )


def answer_today(draft: TableDraft, car: str, given: Given, now: Occasion) -> None:
    """Puts in what is so today."""
    row = draft.single("conditions")
    pick = given.get("pick", "")
    if pick not in ("false", "true", DONT_KNOW):
        raise AnswerRefused({"": "pick one of the answers"})
    others = [one for one in row.get("looked_at", ()) if one != car] if row.get("as_of") == now.day else []
    flat = [one for one in row.get("flat_on", ()) if one in others] + [car] * (pick == "true")
    of_all_days = [key for key in row.pop("not_known", ()) if key not in ("looks_flat", *WEATHER_KEYS)]
    if of_all_days:
        row["not_known"] = of_all_days
    row["as_of"], row["looked_at"], row["flat_on"] = now.day, [*others, car], flat
    if not flat:
        del row["flat_on"]
    typed = any(given.get(key, "").strip() for key in WEATHER_KEYS)
    if typed or pick == "false":
        _several(row, Conditions, WEATHER_KEYS, {**given, "pick": ""}, now.units, all_of=True)
    else:
        unknown(row, *WEATHER_KEYS)
    if "temperature_of_use" in row and read_tyre_temperature(row["temperature_of_use"]) > WARMEST_MORNING:
        like = degrees_like(0.0, now.units)
        raise AnswerRefused(
            {"temperature_of_use": f"no morning is so warm: write the air's temperature, such as {like}"}
        )
    if pick == DONT_KNOW:
        unknown(row, "looks_flat")
    else:
        known(row, "looks_flat", bool(flat))


_RIM_LABELS = {
    "width_in": say("width"), "inset": say("inset, ET"), "bolt_circle": say("bolt circle"), "centre_bore": say("centre bore"),
}  # fmt: skip


def answer_car(draft: TableDraft, rest: str, given: Given, now: Occasion) -> None:
    """Puts an answer about a car in."""
    car_id, _, key = rest.rpartition("/")
    asked, kind = declared(Car, key)
    _put([draft.row("car", car_id)], key, asked, kind, given, now.units)


def answer_set(draft: TableDraft, rest: str, given: Given, now: Occasion) -> None:
    """Puts an answer about a set into all its wheels: they are alike as far as is asked."""
    set_id, _, path = rest.rpartition("/")
    table, _, key = path.partition(".")
    asked, kind = declared(PARTS[table], key)
    rows = [_part(draft, joined, table, create=True) for joined in draft.parts(set_id)]
    pick = given.get("pick", "")
    if path == ANSWERS and pick.startswith(SILENT):
        corners = (draft.find("set", set_id) or {}).get("wheels", {})
        for corner, row in zip(corners, rows, strict=True):
            if row is not None:
                known(row, key, pick != f"{SILENT}{corner}")
        return
    _put([row for row in rows if row is not None], key, asked, kind, given, now.units)


def answer_top(draft: TableDraft, rest: str, given: Given, now: Occasion) -> None:
    """Puts an answer about the use or the plan in."""
    table, _, key = rest.partition("/")
    asked, kind = declared(TOPS[table], key)
    row = draft.single(table)
    _put([row], key, asked, kind, given, now.units)
    if key == "shop" and row.get("shop") is True:
        unknown(row, "shop")


def answer_rims(draft: TableDraft, rest: str, given: Given, now: Occasion) -> None:
    """Puts in what is cast inside rims: the car's own, or those of a set."""
    what, _, name = rest.partition("/")
    if what == "car":
        _several(draft.row("car", name), Car, RIM_KEYS, given, now.units)
        return
    for joined in draft.parts(name):
        row = _part(draft, joined, "rim", create=True)
        if row is not None:
            _several(row, Rim, RIM_KEYS, given, now.units)


def _part(draft: TableDraft, joined: Table, kind: str, *, create: bool) -> Table | None:
    """A part of a wheel; a rim or a tyre that is not noted yet is."""
    name = joined.get(kind)
    if name is None and (not create or kind == "sensor"):
        return None
    if name is None:
        other = str(joined.get("tyre") or joined.get("rim") or joined.get("sensor") or kind)
        name = joined[kind] = draft.free(kind, other)
    return draft.row(kind, str(name))


def _put(rows: list[Table], key: str, asked: AskedAs, kind: Kind, given: Given, units: UnitChoice) -> None:
    """One fact into its rows. Raises AnswerRefused."""
    pick = given.get("pick", "")
    if pick == DONT_KNOW:
        for row in rows:
            unknown(row, key)
        return
    if asked.options:
        value = next((v for v, _ in asked.options if pick_code(v) == pick), None)
        if value is None:
            raise AnswerRefused({"": "pick one of the answers"})
    else:
        value = _taken(kind, key, given.get("value", ""), asked, units, "value")
    for row in rows:
        known(row, key, value)


def _several(
    row: Table, cls: type[Row], keys: tuple[str, ...], given: Given, units: UnitChoice, *, all_of: bool = False
) -> None:
    """Several facts of a row, each from its own gap; an empty one is not known. Raises AnswerRefused with all that is wrong."""
    wrong, found = {}, {}
    for key in keys:
        asked, kind = declared(cls, key)
        text = given.get(key, "").strip()
        if given.get("pick") == DONT_KNOW or (not text and not all_of):
            unknown(row, key)
            continue
        try:
            found[key] = _taken(kind, key, text, asked, units, key)
        except AnswerRefused as error:
            wrong.update(error.wrong)
    if wrong:
        raise AnswerRefused(wrong)
    for key, value in found.items():
        known(row, key, value)


def _taken(kind: Kind, key: str, text: str, asked: AskedAs, units: UnitChoice, gap: str) -> Any:
    """A text as its kind has it. Raises AnswerRefused."""
    said = text.strip()
    if not said:
        raise AnswerRefused({gap: "write a figure, or pick Don't know"})
    if key == "first_used":
        return _day(said, gap)
    if key == "speed_symbol":
        said = said.upper()
    try:
        return value_of(kind, said, asked.unit, units)
    except Unfit as error:
        like = shown_as(asked.unit, asked.example, units)[1]
        bare = f"write a figure, such as {like}" if like and not any(c.isdigit() for c in said) else ""
        raise AnswerRefused({gap: bare or told(error)}) from error


def _day(text: str, gap: str) -> date:
    if YEAR.fullmatch(text):
        return date(int(text), *MID_YEAR)
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise AnswerRefused({gap: "write a year, such as 2021, or a day, such as 2021-10-16"}) from None
