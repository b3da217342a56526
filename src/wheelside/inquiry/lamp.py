"""The tyre lamp is on: three questions at most, then the first sensible thing to do. No odds: that is for later.

The gate and the ways that a lamp behaves are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wheelside.finding import Weight
from wheelside.inquiry.query import DONT_KNOW, Pick, Query
from wheelside.said import Said, say
from wheelside.units import GaugePressure, PressureSpan

GATE = GaugePressure(150.0)
"""Below this nobody drives on to look for a cause. Common practice, no source."""
_YES_NO = (Pick("yes", say("Yes")), Pick("no", say("No")))


@dataclass(frozen=True, slots=True)
class LampAdvice:
    """What to do first, what that is for, and what comes after. `weight`: a must not stands before everything."""

    code: str
    do: Said
    because: Said
    then: tuple[Said, ...]
    weight: Weight = Weight.NOTE


LOOK = Query(
    "look",
    say("Walk round the car. Is any of this true?"),
    (
        Pick("yes", say("Yes, or I'm not sure"), say("Do not drive on: what to do now")),
        Pick("no", say("No, all four look the same")),
    ),
    (),
    say(
        "A tyre looks flat or lower than the others. The car pulled, shook or felt soft. A figure is below {gate}. "
        "A bulge, a cut, a nail.",
        gate=GATE,
    ),
)
WAY = Query(
    "way",
    say("What does the lamp do?"),
    (
        Pick("steady", say("It is lit and stays lit")),
        Pick("flashes", say("It flashes for about a minute, then stays lit")),
        Pick("later", say("It is off at first and flashes after 8 to 20 minutes")),
        Pick("cold", say("It comes on cold mornings only, and goes out")),
    ),
    (),
    say("Switch the ignition on and watch it for two minutes; then think of your last drive."),
    say("Then the tyres come first: they are gauged."),
)
GAUGED = Query(
    "gauged",
    say("What does a gauge say of the four tyres, cold?"),
    (
        Pick("one", say("One is low")),
        Pick("all", say("All are low")),
        Pick("right", say("All are right")),
        Pick("corner", say("All are right, but a figure on the dash is not")),
    ),
    (),
    say("Cold: parked for three hours. Compare with the label in the door."),
    say("Then gauge them first."),
)
WORKED = Query(
    "worked",
    say("Were wheels or tyres changed in the last weeks?"),
    (*_YES_NO, Pick("any", say("It is so with any set of wheels"))),
    (),
    None,
    say("Then it is looked at as if not."),
)
COLD = Query(
    "cold", say("On those mornings, does it flash first?"), _YES_NO, (), None, say("Then the tyres come first.")
)


def lamp_query(said: Mapping[str, str]) -> Query | None:
    """The next question, from what was picked so far by question; None where it can be said what to do."""
    if "look" not in said:
        return LOOK
    if said["look"] != "no":
        return None
    if "way" not in said:
        return WAY
    third = {"steady": GAUGED, "flashes": WORKED, "cold": COLD}.get(said["way"])
    return third if third is not None and third.code not in said else None


def lamp_advice(said: Mapping[str, str]) -> LampAdvice:
    """What to do first."""
    if said.get("look") != "no":
        return _STOP
    way = said.get("way", DONT_KNOW)
    if way == "steady":
        return _STEADY.get(said.get("gauged", DONT_KNOW), _GAUGE)
    if way == "flashes":
        return _FLASHES.get(said.get("worked", DONT_KNOW), _FLASHES["no"])
    if way == "cold":
        return _WEAK if said.get("cold") == "yes" else _COLD_AIR
    return _MISSED if way == "later" else _GAUGE


_TEACH = say("If it is a sensor, a new one goes in with the tyre off, at a shop.")
_LATER = say("Look again after a week: the lamp lights when you switch on, goes out, and stays out.")
_STOP = LampAdvice(
    "stop",
    say("Do not drive on it."),
    say("A tyre that is flat, soft or hurt can fail on the road. Nothing electronic is looked at before that is settled."),
    (
        say("Get yourself out of the traffic. Fit the spare as the handbook says, or call for help."),
        say("Have the tyre taken off and looked at inside: one that was driven flat may be broken where nobody sees."),
    ),
    Weight.FORBIDDEN,
)  # fmt: skip
_GAUGE = LampAdvice(
    "gauge",
    say("Gauge all four tyres, cold."),
    say("A lit lamp means a tyre until that is shown otherwise."),
    (
        say("One low: look for a nail, and for bubbles with soapy water. All low: set them to today's pressures."),
        _LATER,
    ),
)
_STEADY = {
    "one": LampAdvice(
        "leak",
        say("Set that tyre to today's pressure, and look for the leak."),
        say("One tyre alone is low: a nail in the tread, or a leak at the bead, the rim or the valve."),
        (
            say(
                "Look for a nail or screw. Leave it in. Put soapy water on tread, bead, valve and core: bubbles show the place."
            ),
            say(
                "Drive no further than to a shop, and only if it keeps its air for an hour. A shop mends it from inside or replaces it."
            ),
            say("No nail, no bubbles: gauge it again tomorrow and after three days."),
        ),
    ),
    "all": LampAdvice(
        "all-low",
        say("Set all four to today's pressures."),
        say("All are low: cold weather, months without topping up, or set when warm."),
        (say("Store the pressures in the car if it has a button for that."), _LATER),
    ),
    "right": LampAdvice(
        "reference",
        say("Check what the car compares with: the stored pressures, the set and load in its menu, the spare."),
        say("The tyres are right, so the car may hold an old reference, or miss its spare."),
        (
            say("Store the pressures again as the handbook says, only now that the tyres are right."),
            say("Gauge the spare. If the car goes by wheel speed, look for unlike tyres on one axle."),
            _LATER,
        ),
    ),
    "corner": LampAdvice(
        "corner",
        say(
            "At a standstill, let {some} out of that tyre, not below {gate}. Watch the dash for three minutes, then pump it up again.",
            some=PressureSpan(50.0),
            gate=GATE,
        ),
        say("Which figure moves tells what is wrong."),
        (
            say("Another corner's figure moves: the corners are mixed up, and the car is taught again."),
            say(
                "None moves, but that figure changes by itself: it is another wheel's. Nothing at all: the sensor is silent."
            ),
        ),
    ),
}
_FLASHES = {
    "yes": LampAdvice(
        "taught",
        say("Teach the car the wheels that are on it."),
        say("Most likely it does not hear one of them: it may never have learnt them, or not to the end."),
        (
            say("Drive for twenty minutes first: a sensor may still be asleep, and some cars learn by themselves."),
            say(
                "Then trigger each wheel. One that is silent may have no sensor, a broken one, or one of another kind."
            ),
        ),
    ),
    "no": LampAdvice(
        "old",
        say("Trigger each wheel, and find the one that does not answer."),
        say("Most likely it does not hear one of them, for a sensor's battery is worn out."),
        (
            _TEACH,
            say("All four answer: unplug what was added lately, such as a charger or camera, and drive again."),
            say("Still so: a workshop looks at the receiver."),
        ),
    ),
    "any": LampAdvice(
        "receiver",
        say("Have a workshop read the codes and look at the receiver."),
        say("It is so with any set of wheels, so the wheels are not to blame."),
        (
            say("Before that: unplug what was added lately, and drive for twenty minutes."),
            say("Check the stored pressures and the spare, too."),
        ),
    ),
}
_MISSED = LampAdvice(
    "missed",
    say("Trigger each wheel on a cold morning, and note which answers late or not at all."),
    say("The car hears a wheel too seldom: a weak battery, something that disturbs, or a sensor of another kind."),
    (_TEACH, say("First unplug what was added lately, such as a charger or camera, and drive for twenty minutes.")),
)
_COLD_AIR = LampAdvice(
    "cold-air",
    say("Set all four to the pressures for the mornings to come."),
    say("Cold air takes about 0.1 bar for every 10 degrees: they are just too low before the drive warms them."),
    (_LATER,),
)
_WEAK = LampAdvice(
    "weak",
    say("Trigger each wheel on a cold morning, and find the weak one."),
    say("It flashes in the cold only: a sensor's battery is near its end."),
    (_TEACH, say("The other sensors are as old: ask what all four cost while the tyres are off.")),
)
