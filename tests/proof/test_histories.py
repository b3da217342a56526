"""Histories of work, each with the evidence level that it comes to, and why: argued, one by one.

The sources are common practice of the trade where no other is named. 49 CFR 571.138, S4.4: a malfunction is shown within 20 minutes of
driving at 50 to 100 km/h. ISO 14229-1 keeps a confirmed code until it is cleared or has aged.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from handmade import WHEELS, Said, said, shown
from wheelside.garage.words import Monitor
from wheelside.proof.lack import Lack
from wheelside.sheet.ask import slug
from wheelside.sheet.ladder import Leaves
from wheelside.sheet.option import Cause, Clearing, Codes, Instead, Lamp, LampLater, LampTold, Listed, YesNo
from wheelside.sheet.step import Does, step_id


@dataclass(frozen=True)
class History:
    """What was said beside what goes as it should, and what follows: the level, why, what is lacking, what is left open and what is not."""

    name: str
    said: tuple[Said, ...]
    level: str
    why: str
    lacks: tuple[Lack, ...] = ()
    leaves: tuple[Leaves, ...] = ()
    excludes: tuple[Leaves, ...] = ()
    monitor: Monitor = Monitor.DIRECT
    without: tuple[str, ...] = ()
    remarks: tuple[str, ...] | None = None


FOLLOWED = tuple(Said(step_id(Does.SET_PRESSURE, w), {"moved": corner}) for w, corner in WHEELS.items())
"""Each corner's own figure followed when its pressure was set."""
OLD_CODE = (
    said("codes_before", codes=Codes.SOME, words="C0750 (confirmed)"),
    said("codes_now", codes=Codes.SOME, words="C0750 (confirmed)"),
)
STILL_THERE = (*OLD_CODE, said("clear_codes", cleared=Clearing.LEFT), said("codes_after", codes=Codes.SOME))
CLEARED_LATER = (*STILL_THERE, said("clear_later", cleared=Clearing.CLEARED))
SILENT = said("wake_w2", id_w2=Instead.NO_ANSWER)
WEEK = said("look_later", lamp=LampLater.STILL_OFF, codes=Codes.NONE, day=7)
BARE = ("codes-before", "codes-now", "codes-after", "ids-heard")
"""The steps that want an adapter."""


def after_the_drive(moved: dict[str, str]) -> tuple[Said, ...]:
    """Corners tried after the drive: the figure that moved at each, and what the gauge read at the warm tyre before and after."""
    return tuple(
        one
        for w, corner in moved.items()
        for one in (
            Said(step_id(Does.SHOW_CORNER, w), {slug("pressure", w): "262 kPa", "moved": corner}),
            Said(step_id(Does.FILL_CORNER, w), {slug("pressure", w): "261 kPa"}),
        )
    )


NOBODY_MOVED = after_the_drive(dict.fromkeys(WHEELS, Instead.NO_FIGURE))


def twice(step: str) -> tuple[Said, Said]:
    """A step that was done in its turn, and once more at the end."""
    return said(step), said(step)


HISTORIES = (
    History(
        "as it goes", (), "E3",
        "Lamp, drive, second start, codes and list are right; the dash shows no figure while parked, so no corner is shown.",
        (Lack.CORNER_NOT_PARKED,), (Leaves.NOT_MISSED, Leaves.SOME_CORNERS, Leaves.LIMIT), remarks=(),
    ),
    History(
        "an old code saved, cleared before the drive, not back", (*OLD_CODE, said("clear_codes", cleared=Clearing.CLEARED)), "E3",
        "It was saved, a drive and two starts came after clearing, and it is not there: what is left open is that it takes more starts.",
        leaves=(Leaves.CODE_BACK, Leaves.NOT_MISSED),
    ),
    History(
        "the same, and a week later", (*OLD_CODE, said("clear_codes", cleared=Clearing.CLEARED), WEEK), "E3",
        "Clearing without repair a code comes back within one to three starts; six without it leave nothing open there.",
        excludes=(Leaves.CODE_BACK, Leaves.NOT_MISSED), leaves=(Leaves.SOME_CORNERS,),
    ),
    History(
        "an old code that nobody cleared", STILL_THERE, "E2",
        "E3 says that no code is stored, and one is.",
        (Lack.CODES_STORED,), excludes=(Leaves.CODE_BACK,),
    ),
    History(
        "an old code cleared after the drive only", CLEARED_LATER, "E2",
        "Clearing wipes what the drive might have shown, so nothing is shown until it is read again.",
        (Lack.CLEARED_SINCE,),
    ),
    History(
        "the same, none at the look in a week", (*CLEARED_LATER, WEEK), "E3",
        "Six starts or a week are more than the one to three after which an unmended code is back.",
        excludes=(Leaves.CODE_BACK, Leaves.NOT_MISSED),
    ),
    History(
        "the same, read again the next day",
        (*CLEARED_LATER, said("look_later", lamp=LampLater.TOO_EARLY, codes=Codes.NONE, day=1)), "E2",
        "One start may be too few for a code to come back, and no drive lies between.",
        (Lack.READ_TOO_SOON,),
    ),
    History(
        "the same, back at the look in a week",
        (*CLEARED_LATER, said("look_later", lamp=LampLater.STILL_OFF, codes=Codes.SOME, day=7)), "E2",
        "The cause is still there.", (Lack.CODES_STORED,),
    ),
    History(
        "the lamp lit, out after seven minutes, off at the second start, nothing read",
        (said("drive", lamp=Lamp.WAS_LIT_GOES_OUT, out_after="7"),), "E2",
        "It was lit from before and went out on a whole drive, and two starts agree; without an adapter nobody knows whom the car hears.",
        (Lack.CODES_NOT_READ, Lack.LIST_NOT_HELD), (Leaves.NOT_MISSED, Leaves.OTHER_SET, Leaves.CORNERS),
        without=BARE, remarks=(),
    ),
    History(
        "the same, with codes and list", (said("drive", lamp=Lamp.WAS_LIT_GOES_OUT, out_after="7"),), "E3",
        "With no code and just the fitted IDs in the list, the lamp went out for the right reason.", remarks=(),
    ),
    History(
        "tyres gauged at 5 °C, and warm after the drive",
        (
            *(Said(step_id(Does.SET_PRESSURE, w), {"temperature": "5 °C", slug("pressure", w): "230 kPa"}) for w in WHEELS),
            *after_the_drive(WHEELS),
        ), "E4",
        "230 kPa is what a tyre at 5 °C has to show here, and no cold figure holds for a tyre that was just driven: nothing judges it.",
        remarks=(), excludes=(Leaves.NOT_MISSED,),
    ),
    History(
        "each corner's figure followed when its pressure was set", FOLLOWED, "E4",
        "The gauge named the change and the dash showed it at its own corner, so the car hears each wheel there.",
        leaves=(Leaves.LIMIT, Leaves.LAMP_PATH), remarks=(),
    ),
    History(
        "corners swapped",
        (*FOLLOWED[1::2], said("air_w1", moved="rear left"), said("air_w3", moved="front left")), "E3",
        "The car hears just these wheels, two of them under each other's name.",
        (Lack.CORNER_SWAPPED,), (Leaves.NOT_MISSED,),
    ),
    History(
        "corners swapped, taught anew, and each its own after the drive",
        (
            *FOLLOWED[1::2], said("air_w1", moved="rear left"), said("air_w3", moved="front left"),
            *after_the_drive({"W1": "front left", "W3": "rear left"}),
        ), "E4",
        "Of a wheel the newest answer counts.",
    ),
    History(
        "a stranger beside, and the list has it", (said("ids_heard", list=Listed.OTHERS),), "E2",
        "What the IDs show counts: a lamp that is off may be off because the stranger answers.",
        (Lack.LIST_STRANGERS,), (Leaves.OTHER_SET,),
    ),
    History(
        "a stranger beside, and the list has just the fitted IDs", (said("ids_heard", list=Listed.NO_CORNERS),), "E3",
        "A stranger that is heard and not in the list is nobody's: the car goes by its list.",
    ),
    History(
        "a sensor silent for ten minutes", (SILENT,), "E1",
        "A car has 20 minutes of driving to miss a sensor, and some take six starts: of this one a lamp that is off says nothing yet.",
        (Lack.SILENT,), (Leaves.NOT_MISSED,),
    ),
    History(
        "the same, and the lamp off after six starts", (SILENT, WEEK), "E3",
        "A car that missed it would have said so by the sixth start without a frame.",
        excludes=(Leaves.NOT_MISSED,),
    ),
    History(
        "the same, one day later", (SILENT, said("look_later", lamp=LampLater.TOO_EARLY, day=1)), "E1",
        "One day is not six starts.", (Lack.SILENT,),
    ),
    History(
        "silent, then heard at a second try", (SILENT, said("wake_w2")), "E3",
        "It has answered with its ID since, so it was the trigger that missed it.", leaves=(Leaves.NOT_MISSED,),
    ),
    History(
        "silent at the trigger, and its figure followed on the dash", (SILENT, *FOLLOWED), "E4",
        "The car itself hears it.", excludes=(Leaves.NOT_MISSED,),
    ),
    History(
        "another ID was read there", (said("wake_w2", id_w2="0x1234ABCD"),), "E2",
        "The car's list is held against the planned IDs, and one of the wheels sends another: the list is not that of the fitted ones.",
        (Lack.OTHER_ID,),
    ),
    History(
        "three corners move after the drive, at the fourth none",
        after_the_drive(dict(WHEELS) | {"W4": Instead.NO_FIGURE}), "E1",
        "This dash does show changes while parked, so a wheel without one is not heard, and may not have been missed yet.",
        (Lack.SILENT_DASH, Lack.CORNER_NONE), (Leaves.NOT_MISSED,),
    ),
    History(
        "at no corner any figure moves after the drive", NOBODY_MOVED, "E3",
        "Four sensors do not fall silent at once on a car whose lamp is off: sensors that send only while rolling look just like this.",
        (Lack.CORNER_NONE,), (Leaves.NOT_MISSED,),
    ),
    History(
        "a sensor silent as it lay in store, awake at its corner", (said("answer_w2", id_w2=Instead.NO_ANSWER),), "E3",
        "Sensors sleep in store; the newest word on it is that it answered.",
    ),
    History(
        "silent in store, and not triggered since", (said("answer_w2", id_w2=Instead.NO_ANSWER),), "E1",
        "Nobody has heard it yet.", (Lack.SILENT,),
        without=("wake-w2", "teach-w2"),
    ),
    # --- six of our own, and more
    History(
        "a dark lamp", (said("second_start", lamp=Lamp.NEVER_LIGHTS),), "none",
        "A dead bulb, tape or a lamp coded out is off, too: nothing is shown by one that never lights.",
        (Lack.LAMP_SEEN, Lack.AT_IGNITION), (Leaves.EVERYTHING,),
    ),
    History(
        "the other set in the boot: it flashes after fifteen minutes",
        (
            said("drive", lamp=Lamp.FLASHES_STAYS), said("second_start", lamp=Lamp.FLASHES_STAYS),
            said("codes_after", codes=Codes.SOME), said("ids_heard", list=Listed.OTHERS),
        ), "none",
        "The lamp is lit: the car hears eight wheels of one family.",
        (Lack.LAMP_SEEN, Lack.CODES_STORED, Lack.LIST_STRANGERS),
    ),
    History(
        "unloaded, driven again, and all is well",
        (
            said("drive", lamp=Lamp.FLASHES_STAYS), said("second_start", lamp=Lamp.FLASHES_STAYS),
            said("codes_after", codes=Codes.SOME), said("ids_heard", list=Listed.OTHERS),
            said("drive"), said("second_start"), said("codes_after"), said("ids_heard"),
        ), "E3",
        "It was no defect of a sensor, and everything was looked at again after the second drive.",
    ),
    History(
        "the codes not read again after the second drive",
        (said("drive", minutes="8"), said("drive"), *twice("second_start")), "E2",
        "Codes need a drive to be set; these were read before the one that counts.",
        (Lack.CODES_EARLY,),
    ),
    History(
        "ten minutes in town", (said("drive", minutes="10"),), "E1",
        "Too short for sensors that send once a minute and a car that judges only after a while.", (Lack.SHORT_DRIVE,),
    ),
    History(
        "the dash's own figures say that nothing moved",
        (*FOLLOWED[:3], said("air_w4", moved="rear right", dash_before="2.4 bar", dash_now="2.4 bar")), "E3",
        "A figure that is the same before and after has not followed anything.", (Lack.CORNER_STILL,),
    ),
    History(
        "corners seen, then the teaching begun anew", (*FOLLOWED, *twice("teach_w1")), "E3",
        "A teaching begins a new list, and one that is broken off may leave it empty: what the dash showed before is of the old one.",
        (Lack.CORNER_EARLY,),
    ),
    History(
        "a receiver heard just these, somebody says", (said("ids_heard", list=Listed.HEARD),), "E2",
        "What was heard is not what the car holds, and no instrument stands behind the word.", (Lack.LIST_HEARD,),
    ),
    History(
        "taken below the limit while parked, and no lamp", (*FOLLOWED, said("challenge", lit=YesNo.NO, out=YesNo.NO)), "E4",
        "A car has to warn only while it is driven (49 CFR 571.138, UN R141), so this shows nothing, against the lamp neither.",
        (Lack.NOT_LIT,), remarks=(),
    ),
    History(
        "taken below the limit, lit and out again", (*FOLLOWED, said("challenge")), "E5",
        "Limit, lamp and the way between were seen.", leaves=(Leaves.NOTHING,), remarks=(),
    ),
    History(
        "lit below the limit, and not seen to go out", (*FOLLOWED, said("challenge", out=YesNo.NO)), "none",
        "It was lit when last seen, so 'off now' is not shown; many go out only at the next start.", (Lack.STILL_LIT, Lack.NOT_OUT),
    ),
    History(
        "the same, off a week later", (*FOLLOWED, said("challenge", out=YesNo.NO), WEEK), "E4",
        "It is off now, but nobody saw it go out for the inflating.", (Lack.NOT_OUT,),
    ),
    History(
        "the lamp came on in the week", (said("look_later", lamp=LampLater.ON, codes=Codes.SOME, day=6),), "none",
        "It is lit, whatever the drive showed.", (Lack.LAMP_SEEN, Lack.CODES_STORED), (Leaves.EVERYTHING,),
    ),
    History(
        "each corner's figure followed, and the list can't be read", (*FOLLOWED, said("ids_heard", list=Listed.NOT_READ)), "E2",
        "Every wheel was heard by the car, so none is silent; whom else it listens to nobody knows.",
        (Lack.LIST_NOT_READ,), (Leaves.OTHER_SET,), (Leaves.NOT_MISSED,),
    ),
    History(
        "the list has them at other corners", (said("ids_heard", list=Listed.SWAPPED),), "E2",
        "The list is not as fitted: each wheel is warned of under another's name.", (Lack.LIST_SWAPPED,),
    ),
    History(
        "a corner shown after the drive, and a pressure set again later",
        (*after_the_drive(WHEELS), *twice(step_id(Does.SET_PRESSURE, "W1"))), "E4",
        "That nothing shows while parked says nothing against what was seen before.",
    ),
    History(
        "the car told of a steady lamp, and it is off after a week",
        (said("codes_after", lamp=LampTold.STEADY), WEEK), "E3",
        "What it told after the drive is a week old.", excludes=(Leaves.NOT_MISSED,),
    ),
    History(
        "the car tells of a steady lamp", (said("codes_after", lamp=LampTold.STEADY),), "none",
        "The unit that lights it ought to know; where two words differ, neither is taken.", (Lack.LAMP_TOLD,),
    ),
    History(
        "nobody drove", (), "E1",
        "At ignition-on a lamp shows that it works, and no more.", (Lack.NO_DRIVE,), (Leaves.SHORT_DRIVE,), without=("drive",),
    ),
    History(
        "by wheel speed, as it goes", (), "E3",
        "It knows no IDs: the reference, the drive, two starts and no codes are what can be shown.",
        (Lack.NOT_CHALLENGED,), (Leaves.LIMIT, Leaves.LAMP_PATH), (Leaves.NOT_MISSED,), Monitor.INDIRECT,
    ),
    History(
        "by wheel speed, made to come on", (said("challenge"),), "E5",
        "It compares the wheels while they roll, so four that lose alike stay hidden.", (), (Leaves.STANDING, Leaves.ALL_ALIKE),
        monitor=Monitor.INDIRECT,
    ),
    History(
        "a wheel that had lost its air, mended",
        (said("fetch_w3", pressure_w3="90 kPa", cause=Cause.MENDED, words="nail"),), "E3",
        "A mended tyre says nothing of sensors, and the proof names it.",
    ),
)  # fmt: skip


@pytest.mark.parametrize("one", HISTORIES, ids=[one.name for one in HISTORIES])
def test_a_history_comes_to_its_level(one: History) -> None:
    record = shown(*one.said, monitor=one.monitor, without=one.without)
    level = record.level
    lacking = {o.lack for rung in level.rungs for o in rung.lacking}
    assert level.reached == one.level, one.why
    assert set(one.lacks) <= lacking, one.why
    assert set(one.leaves) <= set(level.leaves), one.why
    assert not set(one.excludes) & set(level.leaves), one.why
    if one.remarks is not None:
        assert tuple(o.said for o in record.otherwise) == one.remarks, one.why


def test_every_history_says_why_in_a_sentence() -> None:
    assert len({one.name for one in HISTORIES}) == len(HISTORIES)
    assert all(one.why.endswith(".") for one in HISTORIES)


def test_every_lack_of_these_rules_is_in_a_history_or_shown_elsewhere() -> None:
    """No rung is without a history, but for those that the demo's job shows, and codes of older rules."""
    elsewhere = {
        Lack.NOT_LOOKED, Lack.NOT_WATCHED, Lack.LAMP_DRIVING, Lack.START_FIRST, Lack.NOT_STORED,
        Lack.CORNER_NOT_TRIED, Lack.CORNER_NOT_GAUGED,
        Lack.CODES_THERE, Lack.LIST_OTHER, Lack.CORNER_OTHER,
    }  # fmt: skip
    assert {lack for one in HISTORIES for lack in one.lacks} | elsewhere == set(Lack)
