"""The gate check: a set that comes in or goes out, its sensors as they answer, held against what is written down."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from wheelside.errors import BadText
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight
from wheelside.garage.ids import family_readings
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage, WheelSet
from wheelside.garage.words import Corner
from wheelside.identity.naming import wheels_named
from wheelside.identity.roll import Key, Roll
from wheelside.said import Coded, Joined, Said, Table, say
from wheelside.said import Key as Fact
from wheelside.sensor.ident import PrintForm, SensorId


class AtGate(Coded):
    """What one answer says."""

    HERE = "here", "as written"
    OTHER_SET = "other-set", "of another set"
    RETIRED = "retired"
    TWICE = "twice", "a second time"
    EMPTY = "empty", "stands for no sensor: trigger it again"
    UNCLEAR = "unclear", "can be read in several ways"
    STRANGE = "strange", "not written down anywhere"


@dataclass(frozen=True, slots=True)
class PrintedId:
    """An ID for people to compare: as its family prints it, hex where that is not noted, and in hex."""

    text: str
    hex: str


@dataclass(frozen=True, slots=True)
class GateAnswer:
    """One ID as it was read, what it is, and which wheel of which set carries it. A stranger's is shown shortened.

    `printed`: the ID as its family prints it, None where it belongs to no wheel that is written down.
    """

    text: str
    verdict: AtGate
    wheel: str | None = None
    set: str | None = None
    corner: Corner | None = None
    printed: PrintedId | None = None


@dataclass(frozen=True, slots=True)
class Expected:
    """What a wheel should answer: the IDs that it may carry, none where that is not known; `speaks` False where it is noted as silent.

    `ids` are hex; `printed` are the same as the family prints them.
    """

    corner: Corner
    wheel: str
    ids: tuple[str, ...]
    speaks: bool
    printed: tuple[PrintedId, ...] = ()


@dataclass(frozen=True, slots=True)
class GateCheck:
    """A set at the gate: the answers, the wheels that did not answer, and those whose IDs are not known beforehand."""

    set: str
    expected: tuple[Expected, ...]
    answers: tuple[GateAnswer, ...]
    silent: tuple[str, ...]
    unknown: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def passed(self) -> bool | None:
        """Whether every wheel of the set with a known ID answered, and nothing else did; None where nothing was read."""
        if not self.answers:
            return None
        return not self.silent and all(a.verdict is AtGate.HERE for a in self.answers)


_READ = (Basis(Ground.MEASURED, "read at the gate"), Basis(Ground.OWNER, "garage file"))


def gate_check(garage: Garage, set_id: str, texts: Sequence[str], day: date) -> GateCheck:
    """What the IDs read off a set at the gate say. Raises BadText where one can't be an ID."""
    gate = _Gate(garage, garage.sets[set_id], Roll(garage, day), day)
    answers = tuple(gate.answers(texts))
    seen = {a.wheel for a in answers if a.verdict is AtGate.HERE}
    silent = tuple(w for w in gate.own if gate.own[w] and w not in seen)
    unknown = tuple(w for w in gate.own if not gate.own[w] and w not in seen)
    findings = (*gate.gone(), *(gate.findings(answers, silent) if texts else ()))
    expected = tuple(
        Expected(c, w, tuple(i.hex for i in gate.own[w]), gate.speaks(w), tuple(gate.printed(i) for i in gate.own[w]))
        for c, w in gate.wheel_set.wheels
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

    def printed(self, one: SensorId) -> PrintedId:
        """An ID in the form that its family prints."""
        family = self.garage.families.get(one.family)
        return PrintedId(one.printed(family.printed if family and family.printed else PrintForm.HEX), one.hex)

    def answers(self, texts: Sequence[str]) -> Iterator[GateAnswer]:
        seen: set[str] = set()
        for text in texts:
            answer = self._answer(text)
            if answer.verdict is AtGate.HERE and answer.wheel in seen:
                answer = replace(answer, verdict=AtGate.TWICE)
            if answer.verdict is AtGate.HERE and answer.wheel:
                seen.add(answer.wheel)
            yield answer

    def _answer(self, text: str) -> GateAnswer:
        keys = self._keys(text)
        if not keys:
            return GateAnswer(text, AtGate.EMPTY)
        here = [(c, w) for c, w in self.wheel_set.wheels if keys & {one.key for one in self._ids(w)}]
        if len(here) == 1:
            (corner, wheel), *_ = here
            return GateAnswer(text, AtGate.HERE, wheel, self.wheel_set.id, corner, self._matched(wheel, keys))
        if here:
            return GateAnswer(text, AtGate.UNCLEAR)
        return self._elsewhere(text, keys)

    def _matched(self, wheel: str, keys: set[Key]) -> PrintedId:
        """The ID of a wheel that an answer is."""
        return self.printed(next(one for one in self._ids(wheel) if one.key in keys))

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

    def _elsewhere(self, text: str, keys: set[Key]) -> GateAnswer:
        found = [
            (self.garage.wheel_gone_by(wheel, self.day), other.id, corner, wheel)
            for other in self.garage.set
            for corner, wheel in other.wheels
            if other.id != self.wheel_set.id and keys & {one.key for one in self._ids(wheel)}
        ]
        if found:
            gone, set_id, corner, wheel = next((one for one in found if not one[0]), found[0])
            return GateAnswer(
                text, AtGate.RETIRED if gone else AtGate.OTHER_SET, wheel, set_id, corner, self._matched(wheel, keys)
            )
        if keys & self.roll.retired:
            return GateAnswer(text, AtGate.RETIRED)
        return GateAnswer(f"…{text.strip()[-3:]}", AtGate.STRANGE)

    def _alike(self, answers: Sequence[GateAnswer]) -> Iterator[Finding]:
        """Another set that would answer just as this one does: only its labels tell them apart."""
        mine = {one.key for a in answers if a.verdict is AtGate.HERE for one in self._ids(a.wheel or "")}
        for other in self.garage.set:
            ours = {wheel for _, wheel in self.wheel_set.wheels}
            theirs = {one.key for _, wheel in other.wheels if wheel not in ours for one in self._ids(wheel)}
            if other.id != self.wheel_set.id and mine & theirs:
                text = "{set} answers with the same IDs, so the answers do not tell the two sets apart."
                way = Way(WayKind.WORK, say("go by the labels on the wheels"))
                yield self._take_care("pair-at-gate", say(text, set=other.name), way)

    def _take_care(self, code: str, text: Said, way: Way) -> Finding:
        return Finding(Weight.WARNING, code, self.wheel_set.name, text, _READ, way)

    def gone(self) -> Iterator[Finding]:
        """The set itself, where it is not the owner's any more."""
        if self.wheel_set.gone_by(self.day):
            text = say("{set} is not yours any more since {day}.", set=self.wheel_set.name, day=self.wheel_set.leaves)
            way = say(
                "find out whose wheels these are, or correct the day: {key}", key=Fact("set", "sold", self.wheel_set.id)
            )
            yield self._take_care("gone-at-gate", text, Way(WayKind.FIND_OUT, way))

    def findings(self, answers: Sequence[GateAnswer], silent: Sequence[str]) -> Iterator[Finding]:
        yield from self._alike(answers)
        for a in answers:
            if a.verdict is AtGate.OTHER_SET:
                yield self._mixed_up(a)
        if silent:
            text = say("No answer from {wheels}.", wheels=wheels_named(self.garage, silent, Joined.COMMA))
            yield self._take_care("no-answer-at-gate", text, Way(WayKind.WORK, say(_AGAIN)))
        verdicts = {a.verdict for a in answers}
        for verdict, (code, text, way) in _FOUND.items():
            if verdict in verdicts:
                yield self._take_care(code, text, way)

    def _mixed_up(self, a: GateAnswer) -> Finding:
        names = self.garage.wheels[a.wheel or ""].name, self.garage.sets[a.set or ""].name
        text = say("Wheel {wheel} of {set} answers among these, or a clone of it.", wheel=names[0], set=names[1])
        way = say(
            "look whether two sets have been mixed up before either leaves; read both sets again, wheels a metre apart"
        )
        return self._take_care("mixed-up", text, Way(WayKind.WORK, way))


_AGAIN = "bring the tyre to its pressure, trigger again for ten seconds beside the valve, other wheels a metre away"
_FOUND: dict[AtGate, tuple[str, Said, Way]] = {
    AtGate.EMPTY: (
        "empty-answer",
        say("An answer of all zeros or ones stands for no sensor."),
        Way(WayKind.WORK, say("trigger that wheel again, other wheels a metre away")),
    ),
    AtGate.STRANGE: (
        "stranger",
        say(
            "An ID answers that is not written down anywhere: a sensor changed elsewhere, or a stranger's wheel near by."
        ),
        Way(
            WayKind.FIND_OUT,
            say(
                "read again with other wheels a metre away; note it as what a sensor sends, in {table}, "
                "only for a wheel that is the owner's",
                table=Table("sensor"),
            ),
        ),
    ),
    AtGate.RETIRED: (
        "retired-answers",
        say("An ID answers that is retired: its sensor was noted as sold, scrapped or lost."),
        Way(WayKind.FIND_OUT, say("find out which wheel it is in, and correct the file")),
    ),
}
