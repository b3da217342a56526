"""The cards of a job: its steps as a person meets them, sitting by sitting. CardWords around the steps; no proof rests on them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import groupby

from wheelside.garage.words import Teaching
from wheelside.rim import fasten
from wheelside.said import Said
from wheelside.sheet.carry import chooses_first, rests_meanwhile
from wheelside.sheet.cautions import caution_of
from wheelside.sheet.context import Job
from wheelside.sheet.extent import Extent
from wheelside.sheet.order import dash_follows, learns_driving, rolled_since
from wheelside.sheet.step import Card, Does, OnCard, Sitting, Step
from wheelside.sheet.swap import LOOSEN, also_torqued, half_torque

SITTING_OF = {
    OnCard.LOOK: Sitting.EVENING, OnCard.TAG: Sitting.EVENING, OnCard.WRITE: Sitting.EVENING, OnCard.NOTE: Sitting.SHOP,
    OnCard.OFF: Sitting.SWAP, OnCard.WHEELS: Sitting.SWAP, OnCard.TORQUE: Sitting.SWAP, OnCard.AWAY: Sitting.SWAP, OnCard.TEACH: Sitting.SWAP,
    OnCard.PRESSURE: Sitting.SWAP, OnCard.REFERENCE: Sitting.SWAP, OnCard.CODES: Sitting.SWAP, OnCard.DRIVE: Sitting.DRIVE,
    OnCard.LIST: Sitting.DRIVE, OnCard.CORNER: Sitting.DRIVE, OnCard.LAMP_TEST: Sitting.DRIVE, OnCard.AGAIN: Sitting.AFTER,
    OnCard.WEEK: Sitting.AFTER, OnCard.WRONG: Sitting.AFTER, OnCard.STOP: Sitting.ROADSIDE, OnCard.SPARE: Sitting.ROADSIDE,
    OnCard.FILL: Sitting.ROADSIDE, OnCard.DRIVE_ON: Sitting.ROADSIDE, OnCard.FITTER: Sitting.SHOP,
}  # fmt: skip
"""Writing in a wheel belongs to the evening where the wheels lie off the car. Where some come off it first, that and the shop belong to the
swap."""
Text = str | Said


@dataclass(frozen=True, slots=True)
class CardWords:
    """What stands on one card around its rows."""

    line: Text = ""
    expect: Text = ""
    how: tuple[Text, ...] = ()
    why: Text = ""
    if_not: tuple[Text, ...] = ()
    title: Text = ""


def cards(job: Job, steps: Iterable[Step]) -> tuple[Card, ...]:
    """The steps of a job as cards, each step on one, in the order of the steps."""
    return tuple(_card(job, of, tuple(own)) for of, own in groupby(steps, key=lambda s: s.card))


def _card(job: Job, of: OnCard, steps: tuple[Step, ...]) -> Card:
    known = _WORDS[of]
    words = known if isinstance(known, CardWords) else known(job, steps)
    sitting = SITTING_OF.get(of, Sitting.EVENING)
    if job.leaving and of in (OnCard.IN_WHEEL, OnCard.NOTE):
        sitting = Sitting.SWAP
    if job.extent is Extent.FLAT and of is OnCard.TORQUE:
        sitting = Sitting.AFTER
    codes = dict.fromkeys(code for s in steps for code in s.cautions if caution_of(code) is not None)
    return Card(
        of=of, sitting=sitting, title=words.title or of.words, line=words.line, expect=words.expect, how=words.how, why=words.why,
        if_not=words.if_not, cautions=tuple(codes), steps=tuple(s.id for s in steps),
    )  # fmt: skip


def _look(job: Job, _steps: tuple[Step, ...]) -> CardWords:
    if job.car.monitor is None:
        return CardWords(
            line="Sensors in the wheels, wheel speed alone, or nothing?",
            if_not=("Today only pressures and fastening.",),
        )
    return CardWords(
        line="Before anything is touched: what does the car say?",
        expect="the lamp lights for a few seconds, then goes out",
        how=("Ignition on. Photograph the dash.", "Clear nothing."),
        why="Only a record from before tells which fault is new, and that the lamp works.",
        if_not=(
            "A lamp that never lights proves nothing later: have it looked at.",
            "The adapter is silent: ignition on, plug seated? Say 'not read', go on.",
        ),
    )


def _tag(job: Job, steps: tuple[Step, ...]) -> CardWords:
    triggers = any(s.does is Does.TRIGGER for s in steps)
    pressure = (
        f"Under {job.p(150)} or flat: on no car before the cause is found.",
        f"Under {job.p(180)}: pump it up to {job.p(200)} before it carries load.",
    )
    answer = ("Trigger at the sidewall beside the valve, up to ten seconds; other wheels a metre away.",)
    silent = (
        f"No answer: let out {job.p(50)} quickly and put it back, wait a minute, try again. Then say 'no answer'.",
        "Another ID, or an answer where none was noted: note it, plan again.",
    )
    gauges = any(s.does is Does.FETCH for s in steps)
    lie = dict.fromkeys(
        place.name for s in steps if s.wheel in job.fetched and (place := job.lies_at(s.wheel)) is not None
    )
    at = f", at {' or '.join(lie)}" if lie else ""
    return CardWords(
        line=f"Each coming wheel{at}: " + ", ".join(("name, pressure",) * gauges + ("ID",) * triggers) + ".",
        expect=f"{job.p(180)} or more" if gauges else "",
        how=(*(pressure if gauges else ()), *(answer if triggers else ())),
        why="What it lost while it lay is a leak test for nothing; a silent sensor is found now.",
        if_not=silent if triggers else (),
        title="" if triggers else "Tag and gauge",
    )


def _write(_job: Job, steps: tuple[Step, ...]) -> CardWords:
    if not any(s.does in (Does.WRITE, Does.NOTE_BOUGHT) for s in steps):
        return CardWords(
            line="Have all of this at hand.",
            title="Parts and tools",
            why="A missing part is found now, not with the car on stands.",
        )
    return CardWords(
        line="Other sensors a metre away, or in a closed tin.",
        expect="read back: the same digits; a pressure about 0",
        how=(
            "Write; read it with another instrument than the writer, if you have one.",
            "Label each with its wheel's name and ID.",
        ),
        why="A writer reports what it sent, not what arrived; a neighbour may have taken the write.",
        if_not=("Another ID, or none: stop writing. A card says how to find out what each sensor holds.",),
    )


_IN_WHEEL = CardWords(
    line="One wheel at a time: let down, write, read back, inflate.",
    expect="read back: the same digits; the gauge at its figure again",
    how=(
        "The wheel lies flat off the car; every other wheel a metre away.",
        "Nothing else opens until it is inflated and gauged, whether the writing went well or not.",
    ),
    why="Many mounted sensors take no writing while they feel a tyre's pressure.",
    if_not=("A bead that leaves its seat, or a tyre that does not hold: to a tyre shop, not on the car.",),
)


def _note(job: Job, steps: tuple[Step, ...]) -> CardWords:
    if job.extent is Extent.WHEEL:
        return _TYRE
    swaps, refits = any(s.does is Does.SHOP_SWAPS for s in steps), bool(job.refits)
    return CardWords(
        line="Hand the note over with the wheels.",
        expect="each wheel at its corner" if swaps else "at collection each answers with its ID; no bubbles",
        how=(*(("Look at each corner before you drive off; all that came off is in the car.",) if swaps else ()),),
        why="Changing a sensor takes the tyre off the rim: a tyre machine's work."
        if refits
        else "What you see there is the record.",
        if_not=(
            *(("One that answered on the bench and is silent now: the shop changes it.",) if refits else ()),
            *(
                ("A wheel at another corner, or no torque wrench used: have it put right before you drive.",)
                if swaps
                else ()
            ),
        ),
    )


_OFF = CardWords(
    line="Wheels that are on the car and have to come off it first.",
    why="Work on a sensor is done on a wheel that carries no load.",
    if_not=("No stand for each open corner: one wheel at a time, or a workshop.",),
)


def _wheels(job: Job, _steps: tuple[Step, ...]) -> CardWords:
    return CardWords(
        line="One corner at a time: off, on, by hand.",
        expect="each sits flat and turns freely",
        how=(
            LOOSEN,
            "Lift, stand under it. Look at tyre, brake, hub. Tag what comes off at its corner.",
            "Hub and rim faces bright and dry; a centring ring stays in its rim.",
            "Every fastener by hand, then crosswise until it sits. Lower the car.",
            "Left and right as from the driver's seat.",
        ),
        why="A corner is where a wheel is today; the name is what stays.",
        if_not=(
            "A fastener binds or takes too few turns: the wrong one. Stop.",
            f"A name is in doubt: {'trigger it and go by its ID' if job.direct else 'go by date code and wear'}.",
        ),
    )


def _torque(job: Job, _steps: tuple[Step, ...]) -> CardWords:
    figure = job.units.show_torque(job.car.torque) if job.car.torque else ""
    return CardWords(
        title=f"Torque: {figure}" if figure else "Torque: the handbook's figure",
        line=f"On the ground, crosswise: {half_torque(job)}, then {figure or 'all of it'}.{also_torqued(job)}",
        expect="each reaches it while still turning a little",
        why="Even clamping holds the wheel; the figure is the car's own.",
        if_not=("One that clicks without turning was too tight: loosen it, clean it, do it again.",),
    )


def _away(job: Job, steps: tuple[Step, ...]) -> CardWords:
    rest = job.car.rest_before
    at = job.storage.name if job.storage else "where it is kept"
    meanwhile = (
        f"{'First the list; then the car rests' if chooses_first(job) else 'The car rests meanwhile'}: {rest.minutes:.0f} min, nothing moved in it."
        if rest and rests_meanwhile(job)
        else ""
    )
    corners = {w: c.value for c, w in (job.off.wheels if job.off else ())}
    next_time = ", ".join(f"{job.name(w)} {corners[w]}" for w in job.coming_off if w in corners)
    stores = any(s.does is Does.STORE for s in steps)
    return CardWords(
        title=f"Put {job.named_off} away" if job.off and len(job.coming_off) > 1 else "Put away",
        line=meanwhile or (f"Clean, gauge, into {at}." if stores else "Out of the car's earshot, until it is proven."),
        expect="four pressures noted" if stores else "",
        how=(
            *((f"Next season: {next_time}.",) if next_time else ()),
            "Flat, inflated, cool, dark, dry; away from motors.",
        ),
        why="Pressures noted now are a leak test until spring."
        if stores
        else "The car would take the set beside it for its own.",
        if_not=("Elsewhere than planned: say where, plan again before the next drive.",),
    )


def _teach(job: Job, _steps: tuple[Step, ...]) -> CardWords:
    car, name = job.car, job.coming.name
    if not job.teaches:
        return CardWords(
            title="Wake the sensors",
            line=f"{car.name} knows {name}: each wheel once, at its corner.",
            if_not=(_SILENT,),
        )
    if learns_driving(job):
        return CardWords(
            title=f"Before {car.name} learns {name}", line="It learns on the drive, and takes what it hears.",
            how=("No other set beside it or in it.",), why="It begins to learn only after a rest.", if_not=(_SILENT,),
        )  # fmt: skip
    if car.taught_by in (Teaching.PORT, Teaching.LOCKED):
        return CardWords(
            title=f"Teach {name} to {car.name}",
            line="The IDs are written into the car.",
            if_not=("Put the saved list back.", _SILENT),
        )
    return CardWords(
        title=f"Teach {name} to {car.name}",
        line="In this order, without a pause. Each must show its own ID.",
        expect="the car confirms each wheel",
        how=(
            "Read to the end first; the trigger charged and in hand.",
            "No loose wheel within 5 metres of the one in hand.",
        ),
        why="The order tells the car the corner; the ID is the check.",
        if_not=(
            "Another ID: a wrong corner, or another wheel near. Finish or stop as the handbook says, begin again.",
            "No confirmation: not at rest, or low supply. Wait, begin again.",
            _SILENT,
        ),
    )


_SILENT = "No answer: a little air out and back, wait a minute, again. Only after ten minutes' driving is it silent."


def _pressure(job: Job, steps: tuple[Step, ...]) -> CardWords:
    s = job.card.situation
    cold = "Cold and parked. A tyre driven on or in the sun is not cold: wait."
    by = f"By {s.gauge_name}. " if s else ""
    bias = f"{s.gauge_name} reads {job.units.show_pressure(s.gauge_bias)} too high. " if s and s.gauge_bias.kpa else ""
    if not dash_follows(job):
        return CardWords(
            title="Pressure", line=f"{by}Each wheel to its figure, for the temperature it has now.", how=(cold, f"{bias}Core tight, cap on."),
            expect="the figure of the table", why=_why(steps), if_not=(_FALLS,),
        )  # fmt: skip
    return CardWords(
        line=f"{by}Set one wheel; its own dash figure must follow.",
        expect="its own figure follows, no other",
        how=(
            f"{cold} Ignition on.",
            "One wheel at a time: note the dash, set the wheel, wait up to three minutes.",
            "It does not follow: trigger the wheel, a minute more. Then say 'not shown while parked': no fault.",
            f"{bias}Core tight, cap on.",
        ),
        why="If only its own figure moves, the car hears that sensor at that corner.",
        if_not=(
            "Another follows: stop. Trigger both wheels. The tag's ID is there: teach again, in order. It is not: swap the wheels.",
            _FALLS,
        ),
    )


_FALLS = "A figure that falls while you watch is a leak: soap valve, beads and tread."


def _why(steps: tuple[Step, ...]) -> Text:
    return next((s.why for s in steps if s.why), "No pressure is guessed, and another size's figure is not its own.")


def _reference(job: Job, steps: tuple[Step, ...]) -> CardWords:
    return CardWords(
        line="Once all four are cold again."
        if rolled_since(job) is not False
        else "Now, while all four are cold and gauged.",
        expect="the car confirms",
        why=_why(steps),
        if_not=("Never with a tyre low, hot or not gauged: the car would take the fault for right.",),
    )


_CODES = CardWords(
    title="Codes, before the drive",
    line="Read again, kept. New ones are today's work.",
    expect="none, or those from before",
    why="Work may set codes, and old ones would hide them.",
    if_not=("A new code: read it out, look at what it names, before you drive.",),
)


def _drive(job: Job, steps: tuple[Step, ...]) -> CardWords:
    minutes = next((s.minutes for s in steps if s.does is Does.DRIVE), 0)
    unheard = ("It flashes, then stays: a wheel is not heard.",) if job.direct else ()
    return CardWords(
        title=f"Drive {minutes} minutes, start again",
        line="Then park, ignition off for a minute, on again: the lamp?",
        expect="off, or out on the way; at the next start on, then out",
        why="Sensors send about once a minute while rolling; the car judges after a while."
        if job.direct
        else "It compares the wheels while they roll.",
        if_not=(
            *unheard,
            "On from the start: gauge first.",
            "It stays at the second start: read the codes before you drive on.",
        ),
    )


def _list(_job: Job, steps: tuple[Step, ...]) -> CardWords:
    listed = any(s.does is Does.COMPARE_IDS for s in steps)
    return CardWords(
        title="" if listed else "Codes, after the drive",
        line="Did a code come back? Whose IDs does the car hold?" if listed else "Did a code come back?",
        expect="no codes; just these IDs" if listed else "no codes",
        why="A lamp that is off may be off because another wheel answered."
        if listed
        else "A code that came today is today's work.",
        if_not=(
            "An old code, inactive by now: cleared now, it counts from the look in a week.",
            *(("A stranger or a swapped corner: look at the tags, teach again.",) if listed else ()),
        ),
    )


def _corner(job: Job, _steps: tuple[Step, ...]) -> CardWords:
    return CardWords(
        line="Parked, one wheel at a time: out, look, back.",
        expect="its own figure falls, no other",
        how=(
            f"Note gauge and dash. Let out {job.p(40)}, never below {job.p(150)}; wait up to three minutes.",
            "Back to what the gauge read, not to the cold figure, before the next one.",
        ),
        why="Only a change at one wheel shows which figure is its own.",
        if_not=(
            "Another moves: the corners are swapped. Inflate, look at the tags, teach again.",
            "None moves: inflate, and look again after a drive.",
        ),
    )  # fmt: skip


_LAMP_TEST = CardWords(
    line="One tyre below the limit must light the lamp.",
    expect="it lights; inflated, it goes out",
    why="A lamp that lights works. One that does not shows nothing: cars warn only while driven.",
)


def _again(job: Job, steps: tuple[Step, ...]) -> CardWords:
    figure = job.torque_figure
    distance = next((s.title for s in steps if s.does is Does.TORQUE_AGAIN), "")
    taken = any(s.does is Does.TAKEN_OUT for s in steps)
    out = " A sensor taken out may wake again, with its old ID." if taken else ""
    return CardWords(
        title=distance or "Afterwards",
        line=f"By the odometer; cold, on the ground, crosswise, to {figure}."
        if distance
        else "What is left to be done.",
        expect="no fastener moves" if distance else "",
        why=f"Faces settle, and then clamp less.{out}" if distance else "The next plan begins where this job ended.",
        if_not=(
            f"One moved more than about {fasten.MOVED_DEG} degrees: look at its seat, and do it again {fasten.RETORQUE_KM[0]} km on.",
        )
        if distance
        else (),
    )


def _week(job: Job, _steps: tuple[Step, ...]) -> CardWords:
    silent = (
        "A sensor's silence is missed late: some cars need six starts." if job.direct else "It learns over some drives."
    )
    return CardWords(line="After six starts, or a week: is the lamp still off?", expect="still off", why=silent)


_WRONG = CardWords(
    line="Stop writing. What does each sensor hold now?",
    why="Two sensors with one ID are easy to put right now, and hard to find later.",
    if_not=("A sensor that can't be made to send its planned ID is not fitted.",),
)


_TYRE = CardWords(
    line="Hand the note over with the car.",
    expect="it answers with its own ID; no bubbles",
    why="Most sensors die on the tyre machine; that is found at the shop's door.",
    if_not=(
        "No answer, or another ID: the shop puts a sensor in. Note it with the wheel, then begin the whole job for the set that is on.",
        "Bubbles, or no torque wrench used: have it put right before you drive.",
    ),
)
_STOP = CardWords(
    line="You first, then the wheel.",
    expect="one of four ways on",
    how=("Leave in it what sticks in it.", "A tyre that rolled without air is done for: the spare, or help."),
    why="What is pulled out, or pumped up to see, takes the last air and hides the damage.",
    if_not=("In doubt, or in the dark on a fast road: call for help.",),
)
_SPARE = CardWords(
    line="Off, on, down, tight crosswise.",
    expect="it sits flat",
    how=(
        "Loosen on the ground before you lift.",
        "The spare's own fasteners, where it has some.",
        "What it needs in air stands on its side.",
    ),
    why="A brace is no torque wrench: that comes as soon as you are there.",
    if_not=("Stuck, or the ground gives: down with it, and call for help.",),
)
_FILL = CardWords(
    line="A small hole in the tread only.",
    expect="it holds",
    why="Sealant gets you to a workshop. It is no repair, and can block the sensor.",
    if_not=("It does not hold: say 'help is called' on the first card.",),
)
_DRIVE_ON = CardWords(
    line="To a workshop, or home.",
    expect="it drives straight",
    why="A small spare, and a tyre on sealant, are made for a short way.",
    if_not=("It pulls, shakes, or loses air: stop where it is safe, and call for help.",),
)
_FITTER = CardWords(
    line="Before they begin: sealant, how far it rolled flat, the sensor.",
    expect="they know",
    why="Sealant blocks sensors and spoils machines; a bead breaker at the valve kills a sensor.",
    if_not=(
        "Mended: begin a job for the set that is on; it puts this wheel back.",
        "A new sensor in it: note it with the wheel first.",
    ),
)


_WORDS: dict[OnCard, CardWords | Callable[[Job, tuple[Step, ...]], CardWords]] = {
    OnCard.LOOK: _look, OnCard.TAG: _tag, OnCard.WRITE: _write, OnCard.IN_WHEEL: _IN_WHEEL, OnCard.NOTE: _note, OnCard.OFF: _OFF,
    OnCard.WHEELS: _wheels, OnCard.TORQUE: _torque, OnCard.AWAY: _away, OnCard.TEACH: _teach, OnCard.PRESSURE: _pressure,
    OnCard.REFERENCE: _reference, OnCard.CODES: _CODES, OnCard.DRIVE: _drive, OnCard.LIST: _list, OnCard.CORNER: _corner,
    OnCard.STOP: _STOP, OnCard.SPARE: _SPARE, OnCard.FILL: _FILL, OnCard.DRIVE_ON: _DRIVE_ON, OnCard.FITTER: _FITTER,
    OnCard.LAMP_TEST: _LAMP_TEST, OnCard.AGAIN: _again, OnCard.WEEK: _week, OnCard.WRONG: _WRONG,
}  # fmt: skip
