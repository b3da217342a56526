"""One set on one car, in words: a verdict for every line, what to measure at the seller's, and what it comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.fit.gather import taken_ids
from wheelside.fit.lying import Lying, lying
from wheelside.fit.match import side_by_side
from wheelside.fit.price import Bill, bill
from wheelside.fit.rule import Rule, SetRule, View
from wheelside.fit.rules import RULES
from wheelside.fit.scene import scene
from wheelside.fit.screen import counts_of, screen, seasons_of
from wheelside.fit.verdict import GRADES, NO_MATTER, QUESTIONS, Line, Question, Verdict, way_of, worst
from wheelside.fit.view import views
from wheelside.fit.visit import LOOKS, LookAt, Trial, trials
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.words import ROAD_CORNERS, Corner
from wheelside.rim.fasten import PRELOAD, preloads
from wheelside.said import Figure, Joined, Key, Said, Table, listed, say


@dataclass(frozen=True, slots=True)
class Fit:
    """The report. `present`: the set that is on the car now. `verdicts`: by question; `verdict`: the most serious of them.

    `looks`: what is to be looked at and tried on every wheel at the seller's, whatever is on offer; `trials`: what a trigger may show.
    """

    car: str
    set: str
    present: str | None
    day: date
    verdict: Verdict
    verdicts: tuple[tuple[Question, Verdict], ...]
    lines: tuple[Line, ...]
    looks: tuple[LookAt, ...]
    trials: tuple[Trial, ...]
    bill: Bill
    lying: tuple[Lying, ...]
    notes: tuple[Finding, ...]

    def of(self, question: Question) -> tuple[Line, ...]:
        """The lines of one question."""
        return tuple(line for line in self.lines if line.question is question)

    @property
    def to_measure(self) -> tuple[Line, ...]:
        """What is to be found out at the seller's, or before."""
        return tuple(line for line in self.lines if line.verdict is Verdict.MEASURE)


def fit(garage: Garage, car: Car, wheel_set: WheelSet, day: date, present: Mapping[str, str]) -> Fit:
    """Whether `wheel_set` should go on `car`. `present`: for each car the set that is on it on that day."""
    on = garage.sets.get(present.get(car.id, ""))
    looked_at = views(garage, car, wheel_set, on, day, side_by_side(garage, car, wheel_set, on, day, taken_ids(garage)))
    lines = tuple(line for rule in RULES for line in _lines(rule, looked_at))
    verdicts = tuple((q, worst(tuple(line.verdict for line in lines if line.question is q))) for q in QUESTIONS)
    judged = screen(scene(garage, (car,), (wheel_set,), present, day))
    costs = bill(garage, wheel_set, counts_of(judged, 0, 0), seasons_of(judged, 0, 0))
    return Fit(
        car=car.id,
        set=wheel_set.id,
        present=on.id if on else None,
        day=day,
        verdict=worst(tuple(verdict for _, verdict in verdicts)),
        verdicts=verdicts,
        lines=lines,
        looks=LOOKS,
        trials=trials(garage, car),
        bill=costs,
        lying=lying(garage, car, wheel_set, on, day),
        notes=tuple(_notes(car)),
    )


def _lines(rule: Rule | SetRule, views: Sequence[View]) -> list[Line]:
    """One rule in words, corners that are told the same together; none where it does not matter, but for a whole question."""
    if not views:
        return [_empty(rule)] if rule.code == "complete" else []
    together: dict[tuple[int, Said, tuple[Basis, ...], Said | None], list[Corner]] = {}
    for view in views[:1] if isinstance(rule, SetRule) else views:
        g = view.grade(rule)
        if g == NO_MATTER and rule.code != "sensor":
            continue
        told = rule.tell(view, g)
        together.setdefault((g, told.text, told.basis, told.way_out), []).append(view.corner)
    return [
        Line(
            rule.question,
            rule.code,
            say(rule.title),
            _named(at, len(views), whole=isinstance(rule, SetRule)),
            GRADES[g],
            text,
            basis,
            way_of(g, way),
            rule.part,
        )
        for (g, text, basis, way), at in together.items()
    ]


def _empty(rule: Rule | SetRule) -> Line:
    text = say("The set names no wheels.")
    way = note(say("name a wheel for each corner, with its rim, tyre and sensor: {wheels}", wheels=Table("wheel")))
    return Line(rule.question, rule.code, say(rule.title), (), Verdict.MEASURE, text, (Basis(Ground.UNKNOWN),), way)


def _named(at: list[Corner], corners: int, *, whole: bool) -> tuple[Corner, ...]:
    return () if whole or len(at) == corners == len(ROAD_CORNERS) else tuple(at)


def _notes(car: Car) -> list[Finding]:
    """The torque is the car's; why threads are kept clean and dry."""
    if car.torque is None:
        text = say(
            "The fastening torque is the car's own, from the handbook; it is not known here. No torque is worked out."
        )
        return [
            Finding(
                Weight.ASK,
                "torque",
                car.name,
                text,
                (Basis(Ground.UNKNOWN),),
                note(say("look in the handbook; note {torque}", torque=Key("car", "torque", car.id))),
            )
        ]
    said = say(
        "{torque} is the torque noted for the car; the handbook may have another for another kind of rim.",
        torque=(car.torque),
    )
    if car.thread is None:
        return [Finding(Weight.NOTE, "torque", car.name, said, (car.basis("torque"),))]
    forces = listed(
        (
            say("{state} {least} to {most} kN", state=p.state, least=Figure(p.least_kn, 0), most=Figure(p.most_kn, 0))
            for p in preloads(car.torque, car.thread)
        ),
        Joined.SEMICOLON,
    )
    text = say(
        "{said} On {thread} it clamps with {forces} for each fastener: the same torque pulls far harder on a greasy thread.",
        said=said,
        thread=car.thread.text,
        forces=forces,
    )
    return [
        Finding(
            Weight.NOTE,
            "torque",
            car.name,
            text,
            (car.basis("torque"), PRELOAD),
            Way(WayKind.WORK, say("keep threads and seats clean and dry")),
        )
    ]
