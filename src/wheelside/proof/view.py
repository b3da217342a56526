"""A proof in words, as its page, its PDF and the pages of a book show it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from wheelside.proof.lack import Lack, Lacking
from wheelside.proof.plain import read_record, read_start
from wheelside.proof.record import (
    RULES,
    FromCar,
    IdShown,
    LeftOut,
    LostAir,
    NotAsPlanned,
    Otherwise,
    Pressure,
    Record,
    ToldAnswer,
    TypedOnly,
    WheelShown,
)  # fmt: skip
from wheelside.proof.rules_2 import leaves_open_then, shown_by_then
from wheelside.proof.seal import rules_of
from wheelside.proof.tyres import tyres_sealed
from wheelside.said import Coded, Figure, Joined, Said, listed, say
from wheelside.sheet.ask import Tells
from wheelside.sheet.ladder import rung_of, said_leaves
from wheelside.sheet.option import Clearing, option_of
from wheelside.sheet.start import JobStart
from wheelside.sheet.title import called_by, said_title
from wheelside.speech.speech import Speech

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class View:
    """A proof as it is shown. `record` has the shape that the templates name, every leaf of it a text.

    `rules`: by which it was made; `judged`: whether those are the rules of this program, so that it can be worked out again.
    """

    title: str
    rules: int
    judged: bool
    record: Json


def view_of(proof: Json) -> View:
    """A proof in words: those of today, in the units of the job, or, where it sealed sentences, as it said them then."""
    rules = rules_of(proof)
    if rules == 1:
        return View(proof["start"]["title"], rules, judged=False, record=proof["record"])
    start = read_start(json.dumps(proof["start"]))
    record = read_record(json.dumps(proof["record"]))
    speech = Speech(start.units)
    title = said_title(called_by(start.sheet, start.coming_name, start.car_name, start.going_name, _wheel(start)))
    return View(
        speech.text(title),
        rules,
        judged=rules == RULES,
        record=_Words(start, speech, rules).record(record) | _tyres(proof, speech),
    )


def _tyres(proof: Json, speech: Speech) -> Json:
    """What was said of tyres, as it was then; nothing in a proof from before."""
    found = [
        {"title": ", ".join(filter(None, (t.name, t.corner))), "text": t.text(speech)} for t in tyres_sealed(proof)
    ]
    return {"tyres": found} if found else {}


def _wheel(start: JobStart) -> str:
    """The name of the one wheel that a job is about; '' where it is about all."""
    about = start.sheet.about
    return next((w.name for w in start.wheels if w.wheel == about), about)


_BEFORE_LEAVES = 2
"""Rules whose records said what is left open by the level alone."""
_IN_A_PROOF: dict[str, Said] = {Clearing.CLEARED: say("cleared"), Clearing.LEFT: say("nothing cleared")}
"""What is said in a proof of answers whose own words are for the moment of answering."""


class _Words:
    """Puts the parts of one record into words."""

    def __init__(self, start: JobStart, speech: Speech, rules: int) -> None:
        self.start, self.text, self.rules = start, speech.text, rules
        self.steps = {step.id: step for step in start.sheet.steps}
        self.names = {w.wheel: w.name for w in start.wheels}

    def record(self, r: Record) -> Json:
        found: Json = {
            "aimed": r.aimed,
            "level": self.level(r),
            "wheels": [self.wheel(w) for w in r.wheels],
            "lamp": [self.noted(t.step, self.told(t)) for t in r.lamp],
            "codes": [self.noted(t.step, self.told(t)) for t in r.codes],
            "otherwise": [self.noted(o.step, self.otherwise(o)) for o in r.otherwise],
            "left_out": [self.noted(o.step, self.left_out(o)) for o in r.left_out],
            "typed_only": [self.noted(o.step, self.typed(o)) for o in r.typed_only],
            "photos": [self.noted(o.step, o.name) for o in r.photos],
        }
        if r.lost:
            found["lost"] = [self.noted(o.step, self.lost(o)) for o in r.lost]
        return found | ({"from_car": [self.noted(o.step, self.from_car(o)) for o in r.from_car]} if r.from_car else {})

    def level(self, r: Record) -> Json:
        monitor, reached = self.start.monitor, r.level.reached
        leaves = leaves_open_then(monitor, reached) if self.rules == _BEFORE_LEAVES else said_leaves(r.level.leaves)
        swapped = [o.corner for one in r.level.rungs for o in one.lacking if o.lack is Lack.CORNER_SWAPPED]
        return {
            "reached": reached,
            "leaves_open": self.text(leaves),
            "swapped": self.text(say("{corners}", corners=listed(swapped))) if swapped else "",
            "rungs": [self.rung(one.level, one.lacking) for one in r.level.rungs],
        }

    def rung(self, level: str, lacking: tuple[Lacking, ...]) -> Json:
        monitor = self.start.monitor
        before = self.rules == _BEFORE_LEAVES
        shown_by = shown_by_then(monitor, level) if before else rung_of(monitor, level).shown_by
        return {"level": level, "shown_by": self.text(shown_by), "lacking": [self.lacking(o) for o in lacking]}

    def lacking(self, one: Lacking) -> str:
        values: dict[str, object] = {
            "said": option_of(one.said) or one.said,
            "corner": one.corner,
            "minutes": Figure(one.minutes or 0.0),
            "wanted": Figure(one.wanted or 0.0),
            "wheel": self.names.get(one.wheel, one.wheel),
        }
        return self.text(say(one.lack.words, **values))

    def noted(self, step: str, text: str) -> Json:
        """A line about a step, which is named by what is done at it and the wheel that it is done to."""
        known = self.steps.get(step)
        title: Said | Coded | str = known.does if known else step
        if known and known.wheel in self.names:
            title = say("{does}, wheel {wheel}", does=known.does, wheel=self.names[known.wheel])
        return {"step": step, "title": self.text(title), "text": text}

    def about(self, step: str, tells: Tells) -> Coded | str:
        known = self.steps.get(step)
        return tells if tells is not Tells.NOTHING else known.does if known else step

    def told(self, t: ToldAnswer) -> str:
        return self.text(say("{answer} ({at})", answer=self.answer(t), at=t.at))

    def answer(self, t: ToldAnswer) -> Said:
        said = _IN_A_PROOF.get(t.said) or option_of(t.said) or t.said
        beside = say(": {words}", words=t.words) if t.words else ""
        return say("{about}: {said}{beside}", about=self.about(t.step, t.tells), said=said, beside=beside)

    def otherwise(self, o: NotAsPlanned) -> str:
        if o.how is Otherwise.TWO_CLAIMS:
            return self.text(o.how)
        values = {"said": option_of(o.said) or o.said, "expect": option_of(o.expect) or o.expect}
        return self.text(say(o.how.words, about=self.about(o.step, o.tells), planned=o.planned or "", **values))

    def lost(self, o: LostAir) -> str:
        lay = say("{wheel} lay at {pressure}; ", wheel=self.names[o.wheel], pressure=o.lay) if o.lay else ""
        cause, words = option_of(o.cause) or o.cause, say(" ({words})", words=o.words) if o.words else ""
        return self.text(say("{lay}{cause}{words}", lay=lay, cause=cause, words=words))

    def left_out(self, o: LeftOut) -> str:
        if not o.skipped:
            return self.text(say("not done"))
        return self.text(say("skipped: {reason}", reason=o.reason or say("no reason given")))

    def typed(self, o: TypedOnly) -> str:
        return self.text(say("typed in by hand, from: {channels}", channels=listed(o.channels, Joined.COMMA)))

    def from_car(self, o: FromCar) -> str:
        answers = listed(map(self.answer, o.answers), Joined.SEMICOLON)
        return self.text(say("{answers} ({instrument})", answers=answers, instrument=o.instrument))

    def wheel(self, w: WheelShown) -> Json:
        sensor = say("sensor changed") if w.refit else say("sensor stays")
        known = w.listed or w.confirmed
        return {
            "wheel": w.wheel,
            "name": w.name,
            "corner": w.corner,
            "planned": self.text(say("{sensor}, ID {choice}", sensor=sensor, choice=w.choice)),
            "hex": w.hex,
            "written": self.id(w.written),
            "read_back": self.id(w.read_back),
            "awake": self.id(w.awake),
            "known": self.text(known) if known else "",
            "pressure": self.pressure(w.pressure) if w.pressure else None,
        }

    def id(self, shown: IdShown | None) -> str:
        return self.text(say(shown.how.words, digits=shown.digits)) if shown else ""

    def pressure(self, p: Pressure) -> Json:
        return {
            "shown": self.text(p.shown),
            "planned": self.text(p.planned) if p.planned else "",
            "as_planned": p.as_planned,
            "temperature": self.text(p.temperature or say("not noted")),
            "instrument": self.text(_instrument(p)),
            "at": self.text(p.at),
        }


def _instrument(p: Pressure) -> Said | str:
    """The gauge, with what is known of its bias where it is the one of the job."""
    if not p.instrument:
        return say("not noted")
    if not p.own:
        return p.instrument
    if p.bias is None:
        return say("{gauge}, bias not known", gauge=p.instrument)
    if p.bias.kpa == 0:
        return say("{gauge}, reads true", gauge=p.instrument)
    pattern = "{gauge}, reads {bias} too high" if p.bias.kpa > 0 else "{gauge}, reads {bias} too low"
    return say(pattern, gauge=p.instrument, bias=-p.bias if p.bias.kpa < 0 else p.bias)


def photo_names(proof: Json) -> list[str]:
    """The names of the photos that a proof has, in their order."""
    return [noted["text"] if rules_of(proof) == 1 else noted["name"] for noted in proof["record"]["photos"]]
