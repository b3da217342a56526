"""What is asked of sensors and their kinds: whether the car hears a set, of which kind it is, what the handheld can do."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from wheelside.garage.asked import FAMILY, SKILLS
from wheelside.garage.file import complaints_of
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Sensor, WheelSet
from wheelside.inquiry.draft import Table, TableDraft, known, unknown
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Given, Occasion, Pick, Query
from wheelside.said import say
from wheelside.sensor.kind import WidthQuestion, one_kind
from wheelside.sensor.reading import read_id

KIND = "kind"
WRITER = "handheld"
_SKILLS = (
    ("given", "An ID that I type in"),
    ("copy", "A copy of one that it has read"),
    ("own", "Only one that it makes up"),
)


def sensors_of(garage: Garage, wheel_set: WheelSet, day: date) -> tuple[Sensor, ...]:
    """The sensors of a set's wheels, as far as they are noted."""
    found = (parts_on(garage, wheel, day).sensor for _, wheel in wheel_set.wheels)
    return tuple(one for one in found if one is not None)


def heard_query(garage: Garage, car: Car, on: WheelSet, day: date) -> Iterator[Query]:
    """Whether the car hears the set that is on it: then their kind is the car's, and its list holds them."""
    there = sensors_of(garage, on, day)
    if not there or any(s.family or "family" in s.not_known for s in there) or car.holds is not None:
        return
    yield Query(
        f"heard/{car.id}/{on.id}",
        say("With {set} on, is the tyre lamp off while you drive?", set=on.name),
        (Pick("yes", say("Yes")), Pick("no", say("No, it is on"))),
        (),
        say("Switch the ignition on: the lamp lights and goes out. After ten minutes of driving it is still out."),
        say("Then what the car has learnt is read in the job."),
        effort=2,
    )


def answer_heard(draft: TableDraft, rest: str, given: Given, now: Occasion) -> None:
    """Puts in that the car hears its set, or does not."""
    car_id, _, set_id = rest.rpartition("/")
    car = draft.row("car", car_id)
    pick = given.get("pick", "")
    if pick == "yes":
        kind = _kind_of(draft, car)
        for sensor in _sensors(draft, set_id):
            known(sensor, "family", kind)
            known(sensor, "answers", value=True)
        known(car, "holds", [{"set": set_id, "as_of": now.day}])
    elif pick in ("no", DONT_KNOW):
        for sensor in _sensors(draft, set_id):
            unknown(sensor, "family")
        unknown(car, "holds")
    else:
        raise AnswerRefused({"": "pick one of the answers"})


def alike_query(garage: Garage, wheel_set: WheelSet, day: date) -> Iterator[Query]:
    """Whether the four sensors of a set are alike, where that settles how many bits their IDs have."""
    if _settled(garage, wheel_set, day) is None or "alike" in wheel_set.not_known:
        return
    yield Query(
        f"alike/{wheel_set.id}",
        say("Are the four sensors of {set} alike?", set=wheel_set.name),
        (Pick("yes", say("Yes: one kind, bought together")), Pick("no", say("No, or some were replaced"))),
        (),
        say("Compare their cases and how the IDs are printed."),
        say("Then IDs that can be read in two ways are triggered in the job."),
    )


def _settled(garage: Garage, wheel_set: WheelSet, day: date) -> tuple[str, int] | None:
    """The family of a set's sensors with the one width that its IDs have if they are of one kind; None where that settles nothing."""
    there = sensors_of(garage, wheel_set, day)
    names = {s.family for s in there}
    family = garage.families.get(next(iter(names)) or "") if len(names) == 1 else None
    if family is None or family.bits is not None:
        return None
    found = one_kind(read_id(s.sends or s.printed or "") for s in there if s.sends or s.printed)
    return (family.id, found.widths[0]) if found.ask is WidthQuestion.ONE_KIND and len(found.widths) == 1 else None


def answer_alike(draft: TableDraft, set_id: str, given: Given, now: Occasion) -> None:
    """Puts the width in that all IDs of a kind have."""
    pick = given.get("pick", "")
    if pick in ("no", DONT_KNOW):
        unknown(draft.row("set", set_id), "alike")
        return
    garage, _ = complaints_of(draft.done())
    settled = _settled(garage, garage.sets[set_id], now.day)
    if pick != "yes" or settled is None:
        raise AnswerRefused({"": "pick one of the answers"})
    known(draft.row("family", settled[0]), "bits", settled[1])


def kind_query(garage: Garage, car: Car, wheel_set: WheelSet, day: date) -> Iterator[Query]:
    """Whether a set's sensors are of the car's kind."""
    there = sensors_of(garage, wheel_set, day)
    if not there or any(s.family or "family" in s.not_known for s in there):
        return
    yield Query(
        f"kind/{car.id}/{wheel_set.id}",
        say(FAMILY.question, name=wheel_set.name),
        (Pick("same", say("Yes, the same kind")), Pick("other", say("No, another kind"))),
        (),
        say(FAMILY.where),
        say(FAMILY.unknown),
        effort=FAMILY.effort,
    )


def answer_kind(draft: TableDraft, rest: str, given: Given, _now: Occasion) -> None:
    """Puts the kind of a set's sensors in."""
    car_id, _, set_id = rest.rpartition("/")
    car = draft.row("car", car_id)
    pick = given.get("pick", "")
    if pick == DONT_KNOW:
        for sensor in _sensors(draft, set_id):
            unknown(sensor, "family")
        return
    if pick not in ("same", "other"):
        raise AnswerRefused({"": "pick one of the answers"})
    kind = _kind_of(draft, car)
    if pick == "other":
        kind = _new_kind(draft, unlike=kind)
    for sensor in _sensors(draft, set_id):
        known(sensor, "family", kind)


def writer_query(garage: Garage) -> Iterator[Query]:
    """What the handheld can write."""
    if garage.writer or "writer" in garage.plan.not_known:
        return
    picks = (*(Pick(code, say(words)) for code, words in _SKILLS), Pick("none", say("Nothing, or I have none")))
    yield Query("writer", say(SKILLS.question), picks, (), say(SKILLS.where), say(SKILLS.unknown), effort=SKILLS.effort)


def answer_writer(draft: TableDraft, _rest: str, given: Given, _now: Occasion) -> None:
    """Puts the handheld in. That there is none is kept as one of which nothing is known: it is planned for alike."""
    pick = given.get("pick", "")
    if pick in ("none", DONT_KNOW):
        unknown(draft.single("plan"), "writer")
    elif pick in dict(_SKILLS):
        can = ["given", "copy"] if pick == "given" else [pick]
        draft.row("writer", WRITER, label="Handheld", can=can, families=[str(f["id"]) for f in draft.rows("family")])
    else:
        raise AnswerRefused({"": "pick one of the answers"})


def _sensors(draft: TableDraft, set_id: str) -> list[Table]:
    return [draft.row("sensor", str(joined["sensor"])) for joined in draft.parts(set_id) if joined.get("sensor")]


def _kind_of(draft: TableDraft, car: dict[str, Any]) -> str:
    """The kind that a car understands; one is made where it has none."""
    if not car.get("family"):
        car["family"] = _new_kind(draft)
    return str(car["family"])


def _new_kind(draft: TableDraft, unlike: str = "") -> str:
    name = draft.free("family", f"{KIND} {len(draft.rows('family')) + 1}")
    draft.row("family", name, **({"unlike": [unlike]} if unlike else {}))
    writer = draft.find("writer", WRITER)
    if writer is not None:
        writer["families"] = [*writer.get("families", ()), name]
    return name
