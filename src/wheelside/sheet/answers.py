"""Reading what was said at a step: figures in units, IDs by their digits, and whether it is as planned."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from wheelside.errors import BadQuantity, BadText
from wheelside.garage.mistaken import mistaken_for
from wheelside.said import Coded, Joined, Said, listed, say
from wheelside.sensor.ident import WIDTHS, SensorId
from wheelside.sensor.reading import read_id
from wheelside.sheet.ask import TAIL, Ask, Asked
from wheelside.sheet.claim import Answer
from wheelside.sheet.option import Instead, YesNo, option_of
from wheelside.units import (
    GaugePressure,
    Length,
    PressureSpan,
    Temperature,
    UnitChoice,
    read_gauge_pressure,
    read_tread,
    read_tyre_temperature,
)


class IdNote(Coded):
    """What is to be known of an ID as it was read."""

    WIDTH_OPEN = "width-open", "its width in bits is not known"
    FORM_OPEN = "form-open", "whether it is hex or decimal is not known"


SLACK = PressureSpan(0.5)
"""A gauge reading is as planned within the tolerance and half a kilopascal for rounding."""
_NUMBER = re.compile(r"\s*[-+−]?\d+(?:[.,]\d+)?\s*")


@dataclass(frozen=True, slots=True)
class ReadAnswer:
    """One answer, read. `as_planned` is None where nothing was planned; `problem` says why it can't be read, and what to do.

    `id`: the ID where it is clear which one is meant. `readings`: every ID that can be meant, that one alone where it is
    clear; `note` says what is open where there are several. `tail_only`: only its last digits were said. `planned`:
    the pressure that it was judged by. `tapped`: whether it was confirmed where the digits were shown.
    """

    ask: Ask
    said: str
    words: str = ""
    photo: str = ""
    pressure: GaugePressure | None = None
    temperature: Temperature | None = None
    minutes: float | None = None
    tread: Length | None = None
    id: SensorId | None = None
    tail_only: bool = False
    as_planned: bool | None = None
    problem: Said | None = None
    readings: tuple[SensorId, ...] = ()
    note: IdNote | None = None
    planned: GaugePressure | None = None
    tapped: bool = False

    @property
    def shown(self) -> Coded | str:
        """What was said, as a code where it is one, else in the person's own words."""
        return option_of(self.said) or self.said

    @property
    def empty(self) -> bool:
        return not (self.said or self.photo or self.words)


def read_answer(ask: Ask, answer: Answer | None, units: UnitChoice) -> ReadAnswer:
    """An answer to one ask. What can't be read becomes a problem, never an error: nothing that was said is lost."""
    said = answer.said.strip() if answer else ""
    words, photo = (answer.words.strip(), answer.photo) if answer else ("", "")
    plain = ReadAnswer(ask, said, words, photo)
    if ask.kind is Asked.PHOTO and words and not photo:
        return replace(
            plain, problem=_why(ask, say("{words}; take it again, or send the step without it", words=words))
        )
    if plain.empty or (not said and ask.kind is Asked.PHOTO):
        return _with(plain, problem=_why(ask, _NOT_YET)) if ask.required and plain.empty else plain
    if not said and ask.required:
        return _with(plain, problem=_why(ask, _NOT_YET))
    if not said:
        return plain
    return _READERS[ask.kind](plain, units)


_NOT_YET = say("not answered yet")


def odometer_read(said: str) -> int | None:
    """What an odometer showed, in whole kilometres or miles as it counts; None where a text says no such figure.

    >>> odometer_read("48.213 km"), odometer_read("48 213"), odometer_read("new")
    (48213, 48213, None)
    """
    digits = re.sub(r"(?<=\d)[\s.,'](?=\d{3}\b)", "", said)
    found = re.search(r"\d{1,7}", digits)
    return int(found[0]) if found else None


def _why(ask: Ask, why: Said | str) -> Said:
    """Why an answer can't be read, after what was asked for."""
    return say("{label}: {why}", label=ask.label, why=why)


def _with(answer: ReadAnswer, **more: object) -> ReadAnswer:
    return replace(answer, **more)  # type: ignore[arg-type]


def _done(answer: ReadAnswer, _: UnitChoice) -> ReadAnswer:
    done = answer.said == YesNo.YES
    return _with(answer, as_planned=done, problem=None if done else say("tick it when it is done"))


def _pick(answer: ReadAnswer, _: UnitChoice) -> ReadAnswer:
    ask = answer.ask
    if answer.said not in ask.options:
        known = listed((option_of(one) or one for one in ask.options), Joined.COMMA)
        return _with(
            answer, problem=_why(ask, say("'{said}' is not one of: {known}", said=answer.said[:40], known=known))
        )
    return _with(answer, as_planned=answer.said in (ask.expect, *ask.also) if ask.expect else None)


def _pressure(answer: ReadAnswer, units: UnitChoice) -> ReadAnswer:
    ask = answer.ask
    text = f"{answer.said} {units.pressure}" if _NUMBER.fullmatch(answer.said) else answer.said
    try:
        pressure = read_gauge_pressure(text)
    except BadQuantity as error:
        return _with(answer, problem=_why(ask, error.message))
    return judged(_with(answer, pressure=pressure), ask.pressure)


def judged(answer: ReadAnswer, planned: GaugePressure | None, least: GaugePressure | None = None) -> ReadAnswer:
    """A pressure judged by the one that was planned: within the ask's tolerance, and never below the least."""
    shown, within = answer.pressure, answer.ask.within
    if shown is not None and answer.ask.least is not None:
        return _with(answer, as_planned=shown >= answer.ask.least)
    if shown is None or planned is None or within is None:
        return _with(answer, as_planned=None, planned=None)
    near = abs((shown - planned).kpa) <= within.kpa + SLACK.kpa
    enough = least is None or shown >= least + -SLACK
    return _with(answer, as_planned=near and enough, planned=planned)


def _temperature(answer: ReadAnswer, units: UnitChoice) -> ReadAnswer:
    text = f"{answer.said} {units.temperature}" if _NUMBER.fullmatch(answer.said) else answer.said
    try:
        return _with(answer, temperature=read_tyre_temperature(text))
    except BadQuantity as error:
        return _with(answer, problem=_why(answer.ask, error.message))


def _tread(answer: ReadAnswer, units: UnitChoice) -> ReadAnswer:
    text = f"{answer.said} {units.tread}" if _NUMBER.fullmatch(answer.said) else answer.said
    try:
        return _with(answer, tread=read_tread(text))
    except BadQuantity as error:
        return _with(answer, problem=_why(answer.ask, error.message))


def _minutes(answer: ReadAnswer, _: UnitChoice) -> ReadAnswer:
    found = re.fullmatch(r"(\d{1,4}(?:[.,]\d)?)\s*(?:min|minutes)?", answer.said)
    if not found:
        return _with(answer, problem=_why(answer.ask, say("write the minutes, as in 18")))
    minutes = float(found[1].replace(",", "."))
    wanted = float(answer.ask.expect) if answer.ask.expect else None
    return _with(answer, minutes=minutes, as_planned=None if wanted is None else minutes >= wanted)


def _id(answer: ReadAnswer, _: UnitChoice) -> ReadAnswer:
    ask = answer.ask
    bits = ask.wanted.bits if ask.wanted else ask.bits
    if answer.said == Instead.NO_ANSWER:
        return _with(answer, as_planned=False)
    if answer.said == Instead.AS_SHOWN:
        return _tapped(answer)
    digits = re.sub(r"[\s\-:._,/]", "", answer.said).upper()
    if ask.wanted and ask.tail and len(digits) >= ask.tail and ask.wanted.hex.endswith(digits):
        return _with(answer, id=ask.wanted, tail_only=len(digits) < len(ask.wanted.hex), as_planned=True)
    if ask.wanted and TAIL <= len(digits) <= max(TAIL, ask.tail):
        return _part_of(answer)
    if other := mistaken_for(answer.said):
        return _with(answer, problem=_why(ask, say("{other}; trigger it again", other=other.said)))
    try:
        found = read_id(answer.said, "", (bits,) if bits else WIDTHS)
    except BadText as error:
        return _with(answer, problem=_why(ask, error.message))
    if found.empty:
        none = say("{said} is {empty}, which stands for no sensor: trigger again", said=answer.said, empty=found.empty)
        return _with(answer, problem=_why(ask, none))
    meant = tuple(one for one in found.ids if one.key == ask.wanted.key) if ask.wanted else ()
    return _of(answer, meant or found.ids, as_planned=bool(meant) if ask.wanted else None)


def _tapped(answer: ReadAnswer) -> ReadAnswer:
    """Confirmed where the digits are shown, which does for an ID that was read whole before, and for no other."""
    ask = answer.ask
    if ask.wanted is None or not ask.tail:
        return _with(answer, problem=_why(ask, say("type or scan it whole: nobody has read it yet")))
    return _with(answer, id=ask.wanted, tail_only=True, tapped=True, as_planned=True)


def _part_of(answer: ReadAnswer) -> ReadAnswer:
    """Last digits: too few, or of another ID."""
    ask = answer.ask
    if not ask.tail:
        return _with(answer, problem=_why(ask, say("type or scan it whole, not its last digits alone")))
    return _with(answer, as_planned=False, tail_only=True)


def _of(answer: ReadAnswer, ids: tuple[SensorId, ...], *, as_planned: bool | None) -> ReadAnswer:
    """An answer with the IDs that it can be; where they are several, none is picked and the note says what is open."""
    if len(ids) == 1:
        return _with(answer, id=ids[0], readings=ids, as_planned=as_planned)
    widths = {one.bits for one in ids}
    note = IdNote.WIDTH_OPEN if len(widths) > 1 else IdNote.FORM_OPEN
    return _with(answer, readings=ids, note=note, as_planned=as_planned)


def _plain(answer: ReadAnswer, _: UnitChoice) -> ReadAnswer:
    return answer


_READERS = {
    Asked.DONE: _done,
    Asked.PICK: _pick,
    Asked.PRESSURE: _pressure,
    Asked.TEMPERATURE: _temperature,
    Asked.MINUTES: _minutes,
    Asked.TREAD: _tread,
    Asked.ID: _id,
    Asked.WORDS: _plain,
    Asked.PHOTO: _plain,
}
