"""The gate check: a set that comes in or goes out, its sensors as they answer, held against what is written down."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from wheelside.errors import BadText
from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.ids import family_readings
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage, WheelSet
from wheelside.garage.words import Corner
from wheelside.identity.roll import Key, Roll
from wheelside.sensor.ident import SensorId


class Verdict(StrEnum):
    """What one answer says."""

    HERE = "as written"
    OTHER_SET = "of another set"
    RETIRED = "retired"
    TWICE = "a second time"
    EMPTY = "stands for no sensor: trigger it again"
    UNCLEAR = "can be read in several ways"
    STRANGE = "not written down anywhere"


@dataclass(frozen=True, slots=True)
class Answer:
    """One ID as it was read, what it is, and which wheel of which set carries it. A stranger's is shown shortened."""

    text: str
    verdict: Verdict
    wheel: str | None = None
    set: str | None = None
    corner: Corner | None = None


@dataclass(frozen=True, slots=True)
class Expected:
    """What a wheel should answer: the IDs that it may carry, none where that is not known; `speaks` False where it is noted as silent."""

    corner: Corner
    wheel: str
    ids: tuple[str, ...]
    speaks: bool


@dataclass(frozen=True, slots=True)
class GateCheck:
    """A set at the gate: the answers, the wheels that did not answer, and those whose IDs are not known beforehand."""

    set: str
    expected: tuple[Expected, ...]
    answers: tuple[Answer, ...]
    silent: tuple[str, ...]
    unknown: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def passed(self) -> bool | None:
        """Whether every wheel of the set with a known ID answered, and nothing else did; None where nothing was read."""
        if not self.answers:
            return None
        return not self.silent and all(a.verdict is Verdict.HERE for a in self.answers)


_READ = (Basis(Ground.MEASURED, "read at the gate"), Basis(Ground.OWNER, "garage file"))


def gate_check(garage: Garage, set_id: str, texts: Sequence[str], day: date) -> GateCheck:
    """What the IDs read off a set at the gate say. Raises BadText where one can't be an ID."""
    gate = _Gate(garage, garage.sets[set_id], Roll(garage, day), day)
    answers = tuple(gate.answers(texts))
    seen = {a.wheel for a in answers if a.verdict is Verdict.HERE}
    silent = tuple(w for w in gate.own if gate.own[w] and w not in seen)
    unknown = tuple(w for w in gate.own if not gate.own[w] and w not in seen)
    findings = tuple(gate.findings(answers, silent)) if texts else ()
    expected = tuple(
        Expected(c, w, tuple(i.hex for i in gate.own[w]), gate.speaks(w)) for c, w in gate.wheel_set.wheels
    )
    return GateCheck(set_id, expected, answers, silent, unknown, findings)


@dataclass(frozen=True)
class _Gate:
    garage: Garage
    wheel_set: WheelSet
    roll: Roll
    day: date

    @property
    def own(self) -> dict[str, tuple[SensorId, ...]]:
        return {w: self._ids(w) for _, w in self.wheel_set.wheels}

    def speaks(self, wheel: str) -> bool:
        sensor = parts_on(self.garage, wheel, self.day).sensor
        return sensor is not None and sensor.answers is not False

    def _ids(self, wheel: str) -> tuple[SensorId, ...]:
        return self.roll.carried_by(parts_on(self.garage, wheel, self.day).sensor)

    def answers(self, texts: Sequence[str]) -> Iterator[Answer]:
        seen: set[str] = set()
        for text in texts:
            answer = self._answer(text)
            if answer.verdict is Verdict.HERE and answer.wheel in seen:
                answer = Answer(answer.text, Verdict.TWICE, answer.wheel, answer.set, answer.corner)
            if answer.verdict is Verdict.HERE and answer.wheel:
                seen.add(answer.wheel)
            yield answer

    def _answer(self, text: str) -> Answer:
        keys = self._keys(text)
        if not keys:
            return Answer(text, Verdict.EMPTY)
        here = [(c, w) for c, w in self.wheel_set.wheels if keys & {one.key for one in self._ids(w)}]
        if len(here) == 1:
            (corner, wheel), *_ = here
            return Answer(text, Verdict.HERE, wheel, self.wheel_set.id, corner)
        if here:
            return Answer(text, Verdict.UNCLEAR)
        return self._elsewhere(text, keys)

    def _keys(self, text: str) -> set[Key]:
        """Every ID that a text can be in a family of the garage; none where it stands for no sensor. Raises BadText."""
        keys: set[Key] = set()
        trouble: BadText | None = None
        empty = False
        for family in sorted({s.family for s in self.garage.sensor} or {None}, key=str):
            try:
                found = family_readings(self.garage, text, family)
                empty = empty or found.empty is not None
                keys |= {one.key for one in found.ids}
            except BadText as error:
                trouble = trouble or error
        if not keys and not empty and trouble is not None:
            raise trouble
        return keys

    def _elsewhere(self, text: str, keys: set[Key]) -> Answer:
        for other in self.garage.set:
            for corner, wheel in other.wheels:
                if other.id != self.wheel_set.id and keys & {one.key for one in self._ids(wheel)}:
                    return Answer(text, Verdict.OTHER_SET, wheel, other.id, corner)
        if keys & self.roll.retired:
            return Answer(text, Verdict.RETIRED)
        return Answer(f"…{text.strip()[-3:]}", Verdict.STRANGE)

    def _alike(self, answers: Sequence[Answer]) -> Iterator[Finding]:
        """Another set that would answer just as this one does: only its labels tell them apart."""
        mine = {one.key for a in answers if a.verdict is Verdict.HERE for one in self._ids(a.wheel or "")}
        for other in self.garage.set:
            theirs = {one.key for _, wheel in other.wheels for one in self._ids(wheel)}
            if other.id != self.wheel_set.id and mine & theirs:
                text = f"{other.name} answers with the same IDs, so the answers do not tell the two sets apart."
                yield Finding(
                    Weight.WARNING, "pair-at-gate", self.wheel_set.name, text, _READ, "go by the labels on the wheels"
                )

    def findings(self, answers: Sequence[Answer], silent: Sequence[str]) -> Iterator[Finding]:
        name = self.wheel_set.name
        yield from self._alike(answers)
        strays = [a for a in answers if a.verdict is Verdict.OTHER_SET]
        for a in strays:
            other = self.garage.sets[a.set or ""].name
            text = f"Wheel {self.garage.wheels[a.wheel or ''].name} of {other} answers among these, or a clone of it."
            way = "look whether two sets have been mixed up before either leaves; read both sets again, wheels a metre apart"
            yield Finding(Weight.WARNING, "mixed-up", name, text, _READ, way)
        if silent:
            wheels = ", ".join(self.garage.wheels[w].name for w in silent)
            text = f"No answer from {wheels}."
            way = "bring the tyre to its pressure, trigger again for ten seconds beside the valve, other wheels a metre away"
            yield Finding(Weight.WARNING, "no-answer-at-gate", name, text, _READ, way)
        if any(a.verdict is Verdict.EMPTY for a in answers):
            text = "An answer of all zeros or ones stands for no sensor."
            way = "trigger that wheel again, other wheels a metre away"
            yield Finding(Weight.WARNING, "empty-answer", name, text, _READ, way)
        if any(a.verdict is Verdict.STRANGE for a in answers):
            text = "An ID answers that is not written down anywhere: a sensor changed elsewhere, or a stranger's wheel near by."
            way = "read again with other wheels a metre away; note it in 'sends' only for a wheel that is the owner's"
            yield Finding(Weight.WARNING, "stranger", name, text, _READ, way)
        if any(a.verdict is Verdict.RETIRED for a in answers):
            text = "An ID answers that is retired: its sensor was noted as sold, scrapped or lost."
            yield Finding(
                Weight.WARNING,
                "retired-answers",
                name,
                text,
                _READ,
                "find out which wheel it is in, and correct the file",
            )
