"""What was gauged at a step of a job, as readings that say what they are for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from wheelside.book.reading import Purpose, Reading
from wheelside.garage.model import Garage
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import Tells
from wheelside.sheet.claim import Claim
from wheelside.sheet.option import Instead
from wheelside.sheet.start import JobStart
from wheelside.sheet.step import Channel, Does, Step

_BY_STEP = {
    Does.GAUGE: Purpose.GAUGING,
    Does.FETCH: Purpose.AS_IT_LAY,
    Does.SET_PRESSURE: Purpose.SET,
    Does.FIND_PRESSURE: Purpose.SET,
    Does.LET_DOWN: Purpose.LET_DOWN,
    Does.INFLATE: Purpose.SET,
    Does.SHOW_CORNER: Purpose.CORNER_TEST,
    Does.FILL_CORNER: Purpose.CORNER_TEST,
    Does.STORE: Purpose.STORED,
    Does.FILL: Purpose.SET,
    Does.DRIVE_ON: Purpose.GAUGING,
    Does.SPARE_ON: Purpose.GAUGING,
}
_AT_THE_CAR = (Does.GAUGE, Does.SET_PRESSURE, Does.FIND_PRESSURE)
"""Steps that are done where the car stands when the job begins."""


def step_readings(
    start: JobStart, step: Step, claim: Claim, answers: tuple[ReadAnswer, ...], garage: Garage
) -> Iterator[Reading]:
    """A reading for each pressure that a claim says of a wheel."""
    tyre = next((a.temperature for a in answers if a.ask.tells is Tells.TYRE_TEMPERATURE), None)
    outside = next((a.temperature for a in answers if a.ask.tells is Tells.OUTSIDE_TEMPERATURE), None)
    gauge = claim.instrument or start.gauge
    before: Counter[str] = Counter()
    for a in answers:
        if a.pressure is not None and (wheel := a.ask.wheel):
            instrument = "" if a.ask.channel is Channel.DASH else gauge
            yield Reading(
                ("wheel", wheel),
                claim.at.us + before[wheel],
                a.ask.channel.value,
                a.pressure,
                instrument=instrument or None,
                offset_min=claim.at.offset_min,
                purpose=_purpose(step, a),
                tyre=tyre,
                outside=outside,
                place=_place(start, step, wheel, answers),
                instrument_id=_instrument(start, instrument, garage),
            )
            before[wheel] += 1  # two figures of one wheel are two readings, the second a microsecond later


def _purpose(step: Step, a: ReadAnswer) -> Purpose:
    """What a pressure was taken for; before a wheel is let down to a figure it is gauged, and the dash is looked at for its corner."""
    if a.ask.channel is Channel.DASH:
        return Purpose.CORNER_TEST
    if step.does is Does.LET_DOWN and a.ask.pressure is None:
        return Purpose.GAUGING
    return _BY_STEP.get(step.does, Purpose.NOT_KNOWN)


def _place(start: JobStart, step: Step, wheel: str, answers: tuple[ReadAnswer, ...]) -> str | None:
    """Where a pressure was taken: where the car stands, or where the wheel was put away; None where that is not known."""
    if step.does in _AT_THE_CAR:
        return start.place or None
    if step.place:
        return step.place
    if step.does is not Does.STORE:
        return None
    named = next((a.said for a in answers if a.ask.tells is Tells.PUT_AT and a.problem is None and a.said), "")
    if named:
        return None if named == Instead.ELSEWHERE else named
    return next((m.at for m in step.moves if m.wheel == wheel), None)


def _instrument(start: JobStart, name: str, garage: Garage) -> str | None:
    """The id of the instrument that is called so; None where none is, or several are."""
    if name and name == start.gauge and start.gauge_id:
        return start.gauge_id
    called = [i.id for i in garage.instrument if name in (i.id, i.name)]
    return called[0] if len(called) == 1 else None
