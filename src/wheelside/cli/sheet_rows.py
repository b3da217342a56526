"""The rows of a card on paper: for each wheel what is read, set and filled in; and for what is about no single wheel, what to do and its blanks."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from wheelside.garage.model import Garage
from wheelside.garage.words import Corner
from wheelside.screens.tyres import BesideAsk
from wheelside.sensor.ident import SensorId
from wheelside.sheet.ask import Ask, Asked, Tells
from wheelside.sheet.option import option_of
from wheelside.sheet.step import Card, Does, Step
from wheelside.speech.speech import Speech, begun

SHORT, LONG, BOX = "____", "________", "[ ]"
"""A place for a figure, a place for an ID or a few words, a box to tick."""
_LOOSE = ((Does.FETCH, Does.TRIGGER), (Does.WRITE, Does.READ_BACK), (Does.SHOW_CORNER, Does.FILL_CORNER))
"""What is done to a wheel in one go, and stands in its row."""
_ON_CARD = frozenset({
    Does.LAY_OUT, Does.CHANGE_SENSORS, Does.SHOP_SWAPS, Does.BRING, Does.CARRY_AWAY, Does.CHOOSE_LIST, Does.CLEAR_AIR, Does.TEACH_BEGIN,
    Does.TEACH_PORT, Does.COMPARE_IDS, Does.TAKEN_OUT, Does.STORE, Does.FIND_OUT, Does.STORE_REFERENCE, Does.CHALLENGE, Does.WRITTEN_WRONGLY,
    Does.STOP, Does.SPARE_ON, Does.FILL, Does.DRIVE_ON, Does.TELL_FITTER, Does.CHANGE_TYRE, Does.NOTE_TYRE,
    Does.REST, Does.GAUGE, Does.NO_CORNERS, Does.LABEL, Does.CHOOSE_SET,
    Does.WRITE, Does.FIT, Does.STOW_SPARE, Does.LET_DOWN, Does.INFLATE, Does.NOTE_BOUGHT, Does.FIND_PRESSURE,
})  # fmt: skip
"""Steps whose own words stand on the card, for they are this job's; of the others the card's line says it."""
_WORD = {
    Tells.FETCHED: "gauge", Tells.SENT_BEFORE: "sends", Tells.READ_BACK: "reads", Tells.AWAKE: "", Tells.SET_PRESSURE: "set",
    Tells.DASH_BEFORE: "dash", Tells.DASH_NOW: "dash", Tells.BACK: "back", Tells.PUT_AWAY: "gauge", Tells.PRESSURE_BEFORE: "gauge",
}  # fmt: skip
_DECIMAL = re.compile(r" \(decimal [\d ]+\)")
"""Beside an ID that is only compared: the rows of the wheels have it in hex, and where it is written it stands in both."""
LOCK = "■ Go on only when this is done."
_LISTS = frozenset({Does.LAY_OUT, Does.COMPARE_IDS, Does.TEACH_PORT, Does.TAKEN_OUT})
"""Steps whose own words are a list."""
_CORNERS = tuple(c.value for c in Corner)
Row = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """RowWriter of one kind, the name of a wheel first, or lines about no single wheel."""

    rows: tuple[Row, ...] = ()
    lines: tuple[str, ...] = ()


class RowWriter:
    """Makes the rows of one sheet, in the words and units of one person."""

    def __init__(self, garage: Garage, speech: Speech, says: Mapping[str, BesideAsk] | None = None) -> None:
        self.garage, self.said, self.says = garage, speech.text, says or {}
        self.unit, self.degrees = speech.units.pressure, speech.units.temperature

    def blocks(self, steps: Iterable[Step]) -> Iterator[Block]:
        """Of the steps of a card, in their order."""
        for one, own in groupby(steps, key=lambda s: bool(s.wheel)):
            if one:
                wheels = list(own)
                if any(a.tells is Tells.TYRE_TEMPERATURE and a.required for s in wheels for a in s.asks):
                    yield Block(lines=(f"The tyre's own temperature {SHORT} {self.degrees}",))
                once = self._said_once(wheels)
                if once:
                    yield Block(lines=tuple(line.format(", ".join(names)) for line, names in once.items()))
                lock = (LOCK,) if any(s.lock for s in wheels) else ()
                yield Block(rows=tuple(self._wheels(wheels, once)), lines=(*self._told(wheels), *lock))
            else:
                mine = list(own)
                yield Block(lines=(*self._lines(mine), *self._told(mine)))

    def _told(self, steps: Iterable[Step]) -> Iterator[str]:
        """What is said of the tyres whose pressures are asked for, a line a wheel."""
        for wheel in dict.fromkeys(w for step in steps for w in step.gauged if w in self.says):
            yield self.said(self.says[wheel].named)

    def _lines(self, steps: Iterable[Step]) -> Iterator[str]:
        """Steps about no single wheel; those that only ask, together. What holds all else up is said."""
        asked: list[str] = []
        for step in steps:
            texts = self._texts(step)
            if texts or step.lock:
                yield from [_joined(asked)] if asked else []
                texts[-1:] = [f"{texts[-1] if texts else ''} {_joined(list(self._blanks(step)))}".strip()]
                yield from texts
                yield from [LOCK] if step.lock else []
                asked = []
            else:
                asked += self._blanks(step)
        yield from [_joined(asked)] if asked else []

    def _said_once(self, steps: list[Step]) -> dict[str, list[str]]:
        """What is said of several wheels alike as they are fitted, `{}` in place of their names, with these."""
        alike: dict[str, list[str]] = {}
        for step in steps:
            for line in step.what if step.does is Does.FIT else ():
                alike.setdefault(self._nameless(step, self.said(line)), []).append(self._named(step.wheel))
        return {line: names for line, names in alike.items() if len(names) > 1 and "{}" in line}

    def _nameless(self, step: Step, text: str) -> str:
        safe = text.replace("{", "{{").replace("}", "}}")
        return re.sub(rf"(?<![\w-]){re.escape(self._named(step.wheel))}(?![\w-])", "{}", safe, count=1)

    def _wheels(self, steps: list[Step], once: Container[str]) -> Iterator[Row]:
        """A row a wheel; a second one for what is no part of the same act."""
        name = ""
        for own in _in_one_go(steps):
            head = own[0]
            again, name = head.wheel == name, head.wheel
            beside = "" if again else self._named(name)
            corner = next((c for c in _CORNERS if head.where == c or head.where.startswith(f"{c},")), "")
            yield (beside, "" if again else corner, *(cell for step in own for cell in self._cells(step, once)))

    def _cells(self, step: Step, once: Container[str]) -> Iterator[str]:
        """What is said at one wheel, and what is filled in; what is asked for only where something calls for it is left out."""
        lines = [self.said(line) for line in step.what] if step.does in _ON_CARD else []
        texts = " ".join(line for line in lines if self._nameless(step, line) not in once)
        if texts:
            yield texts
        elif step.does is Does.TAKE_OFF:
            yield "off"
        for one in step.asks:
            if (
                one.kind in (Asked.PHOTO, Asked.TREAD)
                or one.only
                or one.tells in (Tells.BATTERY, Tells.TYRE_TEMPERATURE)
            ):
                continue
            if one.required or one.kind is Asked.PRESSURE:
                yield from self._cell(step, one)

    def _cell(self, step: Step, one: Ask) -> Iterator[str]:
        word = _WORD.get(one.tells, "gauge" if one.kind is Asked.PRESSURE else "")
        if step.does is Does.READ_BACK and one.kind is Asked.ID:
            yield f"{word} {LONG}"
        elif one.kind is Asked.ID:
            yield from (f"{word} {_hex(one.wanted)}".strip() or self.said(step.expect), _blank(one))
        elif one.kind is Asked.PRESSURE:
            yield f"{word} {SHORT} {self.unit}"
        elif one.tells is Tells.CORNER and step.does is Does.SET_PRESSURE:
            yield f"its own? {BOX}"
        elif one.tells is Tells.CORNER:
            yield f"moved {LONG}"
        elif one.tells is Tells.TAUGHT:
            yield f"confirmed {BOX}"
        elif one.kind in (Asked.DONE, Asked.PICK):
            yield BOX
        else:
            yield f"{one.label} {LONG}"

    def _texts(self, step: Step) -> list[str]:
        """What a step about no single wheel says of itself on its card."""
        if step.does is Does.RECORD:
            return [f"{step.title}, as --card again says."]
        texts = [_DECIMAL.sub("", self.said(line)) for line in step.what] if step.does in _ON_CARD else []
        if not texts:
            return []
        if step.does is Does.STORE:
            return [" ".join((f"{step.title}.", *texts[1:]))]
        return [_run(texts)] if step.does in _LISTS else _flow([begun(text) for text in texts])

    def _blanks(self, step: Step) -> Iterator[str]:
        wanted = [a for a in step.asks if a.required or a.tells is Tells.ODOMETER]
        for key, alike in groupby((a for a in wanted if not a.only), key=lambda a: (a.kind, bool(a.wheel))):
            own = list(alike)
            if key == (Asked.PRESSURE, True):
                yield "  ".join(f"{self._named(a.wheel)} {SHORT}" for a in own) + f" {self.unit}"
            elif key == (Asked.ID, True):
                yield from (f"{self._named(a.wheel)} {_hex(a.wanted)} {_blank(a)}" for a in own)
            else:
                yield from (self._asked(a) for a in own)

    def _asked(self, one: Ask) -> str:
        if one.kind is Asked.DONE:
            return f"{BOX} {one.label}"
        if one.kind is not Asked.PICK:
            return f"{one.label} {SHORT if one.kind is Asked.MINUTES else LONG}"
        if not one.expect and one.words:
            return f"{one.label} {LONG}"
        if not one.expect:
            return f"{one.label}: {'  '.join(f'{BOX} {self.said(option_of(o) or o)}' for o in one.options)}"
        return f"{one.label}: {self.said(option_of(one.expect) or one.expect)} {BOX} else {SHORT}"

    def _named(self, wheel: str) -> str:
        return self.garage.wheels[wheel].name if wheel in self.garage.wheels else wheel


def _in_one_go(steps: list[Step]) -> Iterator[list[Step]]:
    """The steps at wheels, those together that are one act at one wheel."""
    own: list[Step] = []
    for step in steps:
        goes = own and own[-1].wheel == step.wheel and any({own[-1].does, step.does} <= set(one) for one in _LOOSE)
        if own and not goes:
            yield own
            own = []
        own.append(step)
    if own:
        yield own


def _joined(asked: list[str]) -> str:
    """What is asked for, one after the other."""
    return "; ".join(
        text if n == 0 or not text[1:2].islower() else text[:1].lower() + text[1:] for n, text in enumerate(asked)
    )


def _run(texts: list[str]) -> str:
    """A list as one sentence; what heads it keeps its colon."""
    out = ""
    for one in texts:
        between = "" if not out else " " if out.endswith(":") else ". " if one[:1].isupper() else "; "
        out += between + one.rstrip(".")
    return begun(f"{out}.")


def _flow(texts: list[str]) -> list[str]:
    """Short sentences in one line of text; a list stays a list, its rows by themselves."""
    return [" ".join(texts)] if all(":" not in text for text in texts) else texts


def _hex(one: SensorId | None) -> str:
    return one.aloud() if one is not None else ""


def _blank(one: Ask) -> str:
    return f"last {one.tail} {SHORT}" if one.tail and one.wanted is not None else LONG


def card_steps(card: Card, steps: dict[str, Step]) -> tuple[Step, ...]:
    """The steps of a card, in their order."""
    return tuple(steps[i] for i in card.steps)
