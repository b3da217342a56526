"""A set at a gate as a screen: which IDs to expect, or what answered held against what is written down."""

from __future__ import annotations

from wheelside.garage.model import Garage
from wheelside.identity.gate import AtGate, Expected, GateAnswer, GateCheck, PrintedId
from wheelside.said import Joined, listed, say
from wheelside.screens.screen import Block, Cell, Screen, Section, Sentence, ShownTable, rows, to_know


def gate_screen(garage: Garage, check: GateCheck) -> Screen:
    """What to expect where nothing was read yet, else what was found."""
    heading = say("{set} at the gate", set=garage.sets[check.set].name)
    if not check.answers:
        columns = (say("corner"), say("wheel"), say("should send"))
        expected = rows((e.corner.value, garage.wheels[e.wheel].name, _expected(e)) for e in check.expected)
        beside = say("trigger each wheel, other wheels a metre away")
        return Screen(heading, (Section("expected", None, (ShownTable(columns, expected),)),), beside)
    beside = say("as written") if check.passed else say("NOT as written")
    answers = rows(_answer(garage, a) for a in check.answers)
    blocks: list[Block] = [ShownTable((say("ID read"), "", say("corner"), say("wheel")), answers, whole=(0,))]
    blocks += [Sentence(say("no answer: {wheel}", wheel=garage.wheels[wheel].name)) for wheel in check.silent]
    return Screen(heading, (Section("answers", None, tuple(blocks)), *to_know(check.findings, say("To know"))), beside)


def _shown(one: PrintedId) -> Cell:
    """An ID as the wheel has it, with its hex beside it where that is another form."""
    return one.text if one.text == one.hex else say("{printed} (hex {hex})", printed=one.text, hex=one.hex)


def _expected(e: Expected) -> Cell:
    if not e.speaks:
        return say("nothing: it has no sensor, or is noted as giving no answer")
    return listed(map(_shown, e.printed), Joined.OR) if e.printed else say("its ID is not known yet: note it")


def _answer(garage: Garage, a: GateAnswer) -> tuple[Cell, ...]:
    wheel = garage.wheels[a.wheel].name if a.wheel else ""
    other = a.set if a.verdict is not AtGate.HERE else None
    verdict: Cell = say("{verdict} ({set})", verdict=a.verdict, set=garage.sets[other].name) if other else a.verdict
    return (_shown(a.printed) if a.printed else a.text, verdict, a.corner.value if a.corner else "", wheel)
