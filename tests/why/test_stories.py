"""Twenty-four stories of a lit lamp, argued beforehand: what is tried first behind the gate and the gauging, and where it ends.

Each test that is asked for is answered as it would come out in the story, and "could not do" where the story has no answer. What is known already is
not asked again. What is tried first has to be one of those that a story names; it ends with the cure of its cause, or of one that is cured alike.
Judgement, as the table is; no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from wheelside.why.belief import CaseSeen
from wheelside.why.choose import Owns
from wheelside.why.gate import AIR, BEHAVIOUR, answered, next_step, owned
from wheelside.why.table import why_table

MOST = 12
"""No story takes more tests."""


@dataclass(frozen=True)
class LampStory:
    """`does`: what the lamp does; `gauged`: the gauging; `shows`: what else would come out; `first`: what may be tried first, '' a cure at once."""

    does: str
    gauged: str
    ends: tuple[str, ...]
    first: tuple[str, ...]
    shows: dict[str, str] = field(default_factory=dict)
    contexts: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ("no-wheel-sensors",)


WITH_SENSORS = {
    "dash",
    "wake",
    "read-ids",
    "listen-home",
    "car-list",
    "valves",
    "sensor-age",
    "corner-test",
    "codes",
    "others-away",
    "spare-look",
}
LONG_AGO = {"last-work": "longer", "colder": "alike", "label": "agrees", "spare-look": "fine"}
THIS_WEEK = {"last-work": "week", "colder": "alike", "label": "agrees", "spare-look": "fine"}
RADIO = ("dash", "codes", "wake", "car-list", "read-ids")
OF_SENSORS = tuple(
    c.code
    for c in why_table().causes
    if c.code not in ("low-all", "puncture", "leak", "set-wrongly", "reference", "no-wheel-sensors", "dark")
)

STORIES = {
    "a cold morning after the tyres were set warm": LampStory(
        "steady", "several-low", ("low-all", "set-wrongly"), ("", "colder", "dash"), {**LONG_AGO, "colder": "colder"}, ("cold-snap",)
    ),
    "nobody topped up for a year": LampStory("steady", "several-low", ("low-all",), ("", "colder", "label", "dash"), LONG_AGO),
    "a screw in the tread": LampStory("steady", "one-low", ("puncture",), ("soap",), {**LONG_AGO, "soap": "tread", "hold": "one-falls"}),
    "a valve core that leaks": LampStory(
        "steady", "one-low", ("leak",), ("soap",), {**LONG_AGO, "soap": "valve-bead", "hold": "one-falls"}
    ),
    "a bead that corrodes on salted roads": LampStory(
        "steady", "one-low", ("leak",), ("soap",), {**LONG_AGO, "soap": "valve-bead", "hold": "one-falls"}, ("salt",)
    ),
    "a battery that dies in the cold": LampStory(
        "comes-goes", "right", ("battery",), (*RADIO, "pattern", "sensor-age"),
        {**LONG_AGO, "pattern": "cold-only", "sensor-age": "old", "dash": "one-blank", "wake": "one-silent", "codes": "one-wheel"},
        ("sensors-old",),
    ),
    "a battery that is empty": LampStory(
        "flashes", "right", ("battery",), ("", *RADIO),
        {**LONG_AGO, "sensor-age": "old", "dash": "one-blank", "wake": "one-silent", "codes": "one-wheel"}, ("sensors-old",),
    ),
    "a set that was never taught": LampStory(
        "flashes", "right", ("not-taught",), RADIO,
        {**THIS_WEEK, "dash": "several-blank", "wake": "all-answer", "car-list": "all-differ", "read-ids": "match", "codes": "set-up"},
        ("changed-lately",),
    ),
    "a teaching that was broken off": LampStory(
        "flashes", "right", ("half-taught",), RADIO,
        {**THIS_WEEK, "dash": "several-blank", "wake": "all-answer", "car-list": "some-differ", "read-ids": "match", "codes": "set-up"},
        ("changed-lately",),
    ),
    "cleared by one long drive after many short ones": LampStory(
        "flashes", "right", ("asleep",), RADIO,
        {**THIS_WEEK, "drive": "clears", "wake": "all-answer", "car-list": "same", "read-ids": "match", "codes": "none", "dash": "several-blank"},
        ("changed-lately",),
    ),
    "a used set of another kind": LampStory(
        "flashes", "right", ("other-kind",), (*RADIO, "valves"),
        {**THIS_WEEK, "dash": "several-blank", "wake": "several-silent", "valves": "sensor-type", "car-list": "all-differ", "sensor-age": "middle"},
        ("second-hand", "changed-lately"),
    ),
    "a used set without sensors": LampStory(
        "flashes", "right", ("no-sensor",), (*RADIO, "valves"),
        {**THIS_WEEK, "dash": "several-blank", "wake": "several-silent", "valves": "plain-one"}, ("second-hand", "changed-lately"),
    ),
    "an ID with two figures exchanged": LampStory(
        "flashes", "right", ("wrong-id",), RADIO,
        {**THIS_WEEK, "dash": "one-blank", "wake": "all-answer", "read-ids": "some-differ", "car-list": "some-differ", "sensor-age": "young"},
        ("changed-lately", "sensors-young"),
    ),
    "two wheels with one ID": LampStory(
        "flashes", "right", ("twice",), RADIO, {**THIS_WEEK, "dash": "one-blank", "wake": "all-answer", "read-ids": "twice"},
        ("changed-lately", "clone-made"),
    ),
    "a clone that answers from the shed": LampStory(
        "comes-goes", "right", ("clone-near",), (*RADIO, "others-away", "listen-home", "last-work", "pattern"),
        {**LONG_AGO, "dash": "mismatch", "wake": "all-answer", "others-away": "clears", "listen-home": "planned-one", "read-ids": "match",
         "car-list": "same", "codes": "none", "corner-test": "right-corner", "pattern": "always"},
        ("clone-made",),
    ),
    "a car that learnt the wheels in its boot": LampStory(
        "flashes", "right", ("others-taught",), RADIO,
        {**THIS_WEEK, "dash": "mismatch", "wake": "all-answer", "car-list": "some-differ", "read-ids": "match", "listen-home": "planned-one",
         "codes": "none", "others-away": "clears"},
        ("changed-lately", "learns-itself", "boot"),
    ),
    "axles that were exchanged and not taught": LampStory(
        "steady", "right", ("corners",), (*RADIO, "label", "spare-look", "corner-test", "last-work"),
        {**THIS_WEEK, "dash": "mismatch", "wake": "all-answer", "corner-test": "wrong-corner", "read-ids": "order",
         "car-list": "same", "codes": "none"},
        ("changed-lately",),
    ),
    "a spare that is watched": LampStory(
        "steady", "right", ("spare",), (*RADIO, "label", "spare-look", "last-work"),
        {**LONG_AGO, "spare-look": "low-or-dead", "dash": "right", "wake": "all-answer", "codes": "low-only", "car-list": "same"},
    ),
    "pressures that the car keeps from the winter set": LampStory(
        "steady", "right", ("reference",), (*RADIO, "label", "spare-look", "last-work"),
        {**THIS_WEEK, "label": "disagrees", "dash": "right", "wake": "all-answer", "codes": "low-only", "car-list": "same", "read-ids": "match"},
        ("changed-lately",),
    ),
    "a charger in the socket": LampStory(
        "comes-goes", "right", ("disturbed",), (*RADIO, "unplug", "pattern", "last-work"),
        {**LONG_AGO, "unplug": "clears", "dash": "several-blank", "wake": "all-answer", "codes": "receiver", "pattern": "after-driving",
         "car-list": "same", "read-ids": "match", "sensor-age": "young"},
        ("electronics", "sensors-young"),
    ),
    "a receiver that is dead": LampStory(
        "flashes", "right", ("receiver",), RADIO,
        {**LONG_AGO, "dash": "several-blank", "wake": "all-answer", "codes": "receiver", "car-list": "same", "read-ids": "match",
         "other-set": "stays", "unplug": "unchanged", "sensor-age": "middle"},
    ),
    "a lamp that never lights": LampStory("never", "right", ("dark",), ("",)),
    "a sensor smothered by sealant": LampStory(
        "flashes", "right", ("broken",), RADIO,
        {**LONG_AGO, "last-work": "two-months", "dash": "one-blank", "wake": "one-silent", "codes": "one-wheel", "sensor-age": "young"},
        ("sealant", "sensors-young"),
    ),
    "a car that watches by wheel speed": LampStory(
        "steady", "right", ("no-wheel-sensors", "reference"), ("", "label", "last-work", "colder"), LONG_AGO, ("wheel-speed",), OF_SENSORS
    ),
}  # fmt: skip


KNOWN = {
    "changed-lately": "last-work",
    "sensors-old": "sensor-age",
    "sensors-young": "sensor-age",
    "cold-snap": "colder",
}
"""What a context answers already."""


def told(story: LampStory) -> tuple[list[str], str]:
    """The tests behind the gauging that are asked for, in order, and the cause whose cure comes first then."""
    table, said, asked = why_table(), {BEHAVIOUR: story.does, AIR: story.gauged}, list[str]()
    known = {KNOWN[c] for c in story.contexts if c in KNOWN}
    owns = Owns(without=frozenset(known | (WITH_SENSORS if "wheel-speed" in story.contexts else set())))
    while True:
        seen = CaseSeen(answered(table, said), story.contexts, story.excluded)
        step = next_step(table, seen, owned(owns, said), aired=True)
        if not step.test:
            return asked, step.cures[0]
        said[step.test] = story.shows.get(step.test, "cannot")
        asked.append(step.test)
        assert len(asked) <= len(table.tests)


@pytest.mark.parametrize("name", STORIES)
def test_a_story_begins_and_ends_as_it_was_argued(name: str) -> None:
    story = STORIES[name]
    asked, cause = told(story)
    assert cause in story.ends, asked
    assert (asked[0] if asked else "") in story.first
    assert sum(story.shows.get(code) is not None for code in asked) <= MOST
