"""The air card as a screen: what to set now, what it will then read, and from when the lamp must be lit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from wheelside.air.loss import (
    FAST_KPA_PER_MONTH,
    LOSS_TEMPERATURE,
    SLOW_KPA_PER_MONTH,
    WARM_KPA_PER_MONTH,
    WARM_TEMPERATURE,
    normal_loss,
)
from wheelside.fill.card import COVERAGE, AirCard, WheelSetting
from wheelside.fill.lamp import OWN_RULE, UN_RULES, LampDue, kept_at, rule_names
from wheelside.fill.nearest import Nearest, nearest_lamp
from wheelside.fill.situation import Situation
from wheelside.garage.model import Garage
from wheelside.garage.words import Corner, Monitor, Standard
from wheelside.said import Begun, Figure, Joined, Named, PlusMinus, Said, count, listed, say
from wheelside.screens.screen import (
    Block,
    Cell,
    Findings,
    Look,
    Screen,
    Section,
    Sentence,
    ShownRow,
    ShownTable,
    rows,
    to_know,
)
from wheelside.sheet.warmth import table_of_card
from wheelside.units import Duration

_DAY_S = 86_400


def air_screen(garage: Garage, card: AirCard) -> Screen:
    """The whole card."""
    parts = [Section("first", say("First"), (Findings(card.first),))] if card.first else []
    s = card.situation
    if s is None or not card.wheels:
        none = "No pressure can be given yet. What has to be found out stands below."
        parts.append(Section("none", None, (Sentence(say(none), Look.STRONG),)))
    else:
        parts += [
            _settings(garage, card, s),
            *_by_temperature(garage, card, s),
            _readings(garage, card, s),
            *_limits(garage, card, s),
            _sure(card, s),
        ]
    title = "Air card: {set} for {car}, load ‘{load}’" if card.load else "Air card: {set} for {car}"
    heading = say(title, set=garage.sets[card.set].name, car=garage.cars[card.car].name, load=card.load)
    return Screen(heading, (*parts, *to_know(card.later, say("To know"))), say("pressures as of {day}", day=card.day))


def _settings(garage: Garage, card: AirCard, s: Situation) -> Section:
    gauge = s.gauge_name
    now = "Cold tyres at {now} now; the placard is to hold on cold tyres at {use}."
    until = "Until the next check cold tyres between {coldest} and {warmest}; air here {here} kPa, there {there} kPa."
    here, there = Figure(s.air_here.kpa, 1), Figure(s.air_there.kpa, 1)
    blocks: list[Block] = [
        Sentence(say(now, now=s.now, use=s.use)),
        Sentence(say(until, coldest=s.coldest, warmest=s.warmest, here=here, there=there)),
    ]
    columns = (
        say("corner"), say("wheel"), say("placard"), say("set, true"), say("{gauge} shows", gauge=gauge), say("never above"), say("bound by"),
    )  # fmt: skip
    blocks.append(
        ShownTable(columns, tuple(ShownRow(_setting(garage, w)) for w in card.wheels), big=4, cards=True, on_cards=(6,))
    )
    cold = "▲ Cold tyres only: a tyre that was driven, or stands in the sun, is never let down to a cold figure."
    blocks.append(Sentence(say(cold), Look.CARE))
    blocks.append(lamp_line(garage, card, s))
    return Section("settings", say("What to set"), tuple(blocks))


def _setting(garage: Garage, w: WheelSetting) -> tuple[Cell, ...]:
    return (
        w.corner.value, Named("wheel", w.wheel, garage.wheels[w.wheel].name), w.target.placard, PlusMinus(w.set_to, w.spread),
        w.gauge_shows, _or_not_known(w.highest), _bound(w),
    )  # fmt: skip


def _bound(w: WheelSetting) -> Cell:
    return say("the {limit}", limit=w.limited_by) if w.limited_by else ""


def _or_not_known(value: Cell | None) -> Cell:
    return say("not known") if value is None else value


def _readings(garage: Garage, card: AirCard, s: Situation) -> Section:
    """What gauge and dash show once the tyres are set; nothing of a dash on a car that knows no pressures."""
    dash = garage.cars[card.car].monitor not in (Monitor.INDIRECT, Monitor.NONE)
    columns = (
        say("will then read"), say("{gauge} there", gauge=s.gauge_name), *((say("dash here"), say("dash there")) if dash else ()), "",
    )  # fmt: skip
    given = rows(
        (
            w.corner.value,
            w.reads.gauge_there,
            *((_or_not_known(w.reads.dash_here), _or_not_known(w.reads.dash_there)) if dash else ()),
            say("bound by {limit}", limit=_bound(w)) if w.limited_by else "",
        )
        for w in card.wheels
    )
    return Section("readings", say("What it will then read"), (ShownTable(columns, given),), folded=True)


def _by_temperature(garage: Garage, card: AirCard, s: Situation) -> Iterator[Section]:
    """The figure for a tyre that turns out warmer or colder than planned."""
    table = table_of_card(card, garage.units.choice)
    heading = say("What {gauge} has to show", gauge=s.gauge_name)
    grid = ShownTable((say("tyre"), *table.columns), rows((at, *figures) for at, figures in table.rows), whole=(0,))
    yield Section("by-temperature", heading, (grid,), say("by the tyre's own temperature when you set it"))


def lamp_line(garage: Garage, card: AirCard, s: Situation) -> Sentence:
    """How far the lamp is, in one line; what a car that knows no pressures can warn of."""
    car = garage.cars[card.car]
    if car.monitor is Monitor.INDIRECT:
        return Sentence(say(_BY_WHEEL_SPEED), Look.CARE)
    near = nearest_lamp(car, card)
    if near is None:
        return Sentence(say(_UNWATCHED), Look.CARE)
    line = _near(near, s)
    if not near.all_alike:
        line = say("{wheels}: {line}", wheels=_where(garage, near), line=line)
    if car.monitor is None:
        line = say("if the car listens to sensors: {line}", line=line)
    return Sentence(say("{line}", line=Begun(line)), Look.STRONG)


_BY_WHEEL_SPEED = (
    "▲ This car goes by wheel speed and knows no pressures. It can only warn while it rolls, and hardly where all four lose alike: "
    "gauge them every month."
)
_UNWATCHED = "▲ This car does not watch its tyres: gauge them every month."


def _where(garage: Garage, near: Nearest) -> Said:
    """The tyres that are nearest to the lamp: both of an axle, or each by corner and wheel."""
    if len(near.corners) == 2 and near.corners[0].axle == near.corners[1].axle:
        return say("{axle} wheels", axle=near.corners[0].axle)
    names = (garage.wheels[wheel].name for wheel in near.wheels)
    each = (say("{corner}, wheel {wheel}", corner=c.value, wheel=n) for c, n in zip(near.corners, names, strict=True))
    return say("{wheels}", wheels=listed(each, Joined.SEMICOLON))


def _near(near: Nearest, s: Situation) -> Said:
    if near.above.kpa <= 0:
        due = "at {use} the lamp may be lit: they read {reads}, and its limit is {limit}."
        return say(due, use=s.use, reads=near.reads, limit=near.limit)
    now = "{above} above the lamp at {use}" if near.own else "{above} above where the lamp must be lit at {use}"
    said = say(now, above=near.above, use=s.use)
    if (when := _when(s)) is None:
        return say("{said}.", said=said)
    reads = "{said}; {when} {later}: it may be lit then." if near.later_due else "{said}; {when} still {later}."
    return say(reads, said=said, when=when, later=near.later)


def _when(s: Situation) -> Said | None:
    """The coldest morning before the next check, as far as either is known."""
    colder = s.coldest < s.use
    if s.next_check is None:
        return say("on a {coldest} morning", coldest=s.coldest) if colder else None
    time = _time(s.next_check)
    return (
        say("after {time} on a {coldest} morning", time=time, coldest=s.coldest)
        if colder
        else say("after {time}", time=time)
    )


def _time(over: Duration) -> Said:
    """A time until a check, in weeks where it is whole weeks, else in days."""
    days = round(over.seconds / _DAY_S)
    if days % 7 == 0 and days:
        return count(days // 7, "{n} week", "{n} weeks")
    return count(days, "{n} day", "{n} days")


def _limits(garage: Garage, card: AirCard, s: Situation) -> Iterator[Section]:
    """One row for the rules whose readings agree, and for what is the same at several corners."""
    alike: dict[tuple[Cell, ...], list[Corner]] = {}
    for w in card.wheels:
        for dues in _agreeing(w.lamp, s):
            if row := _due(dues):
                alike.setdefault(row, []).append(w.corner)
    if not alike:
        return
    columns = (
        say("rule"), say("limit"), say("tyre at or below"), say("weeks of normal loss"), say("wheels"),
    )  # fmt: skip
    given = rows((*key, axles(corners)) for key, corners in alike.items())
    bases = dict.fromkeys(due.basis.said for w in card.wheels for due in w.lamp)
    blocks: list[Block] = [ShownTable(columns, given)]
    if s.next_check:
        least, most = normal_loss(s.next_check, s.use, kept_at(s))
        by_check = "By the next check, in {time}, normal loss takes {least} to {most}."
        blocks.append(Sentence(say(by_check, time=_time(s.next_check), least=least, most=most)))
    blocks += [
        Sentence(say(_OWN, wheel=garage.wheels[w.wheel].name, least=w.own.least, most=w.own.most))
        for w in card.wheels
        if w.own is not None
    ]
    blocks += [Sentence(say("rests on {basis}", basis=basis), Look.SOFT) for basis in bases]
    slow, fast, warm = (Figure(kpa, 1) for kpa in (SLOW_KPA_PER_MONTH, FAST_KPA_PER_MONTH, WARM_KPA_PER_MONTH))
    loss = say(_LOSS, slow=slow, fast=fast, at=LOSS_TEMPERATURE, warm=warm, warmer=WARM_TEMPERATURE)
    blocks += [Sentence(loss, Look.SOFT), Sentence(say(_LOSES), Look.SOFT)]
    if any(len({_reading(due, s) for due in w.lamp if due.rule in UN_RULES}) > 1 for w in card.wheels):
        floor = "the texts of UN R141 differ in whether its floor of 150 kPa is gauge or absolute, so both are shown"
        blocks.append(Sentence(say(floor), Look.SOFT))
    heading = say("From when the lamp must be lit")
    yield Section("limits", heading, tuple(blocks), say("a car may light it earlier"), folded=True)


_LOSS = (
    "normal loss, the weather taken out: {slow} to {fast} kPa a month at {at}, about {warm} at {warmer}; colder tyres lose less "
    "(Tire Science and Technology 13(1))"
)
_OWN = "{wheel} loses {least} to {most} a month by its own readings; its lamp goes by that."
_LOSES = "a tyre loses if it falls faster than its fellows: the other wheels of its set over the same time, all figures corrected for temperature"


def axles(corners: Sequence[Corner]) -> Cell:
    """Corners in few words: an axle where both of its corners are among them."""
    named = dict.fromkeys(corner.axle for corner in corners)
    both = {axle for axle in named if sum(corner.axle == axle for corner in corners) > 1}
    single = (corner.value for corner in corners if corner.axle not in both)
    return listed((*(axle for axle in named if axle in both), *single), Joined.COMMA)


def _reading(due: LampDue, s: Situation) -> tuple[str, str]:
    """A rule's reading as a person sees it."""
    return s.units.show_pressure(due.limit), due.counted


def _agreeing(lamp: Sequence[LampDue], s: Situation) -> Iterable[list[LampDue]]:
    """The rules of one wheel, those together whose readings agree."""
    alike: dict[tuple[str, str], list[LampDue]] = {}
    for due in lamp:
        alike.setdefault(_reading(due, s), []).append(due)
    return alike.values()


def _due(dues: list[LampDue]) -> tuple[Cell, ...]:
    """One row: the rules that agree, by the one that is due first; nothing where a rule has no temperature."""
    first = max(dues, key=lambda one: one.limit.kpa)
    if first.tyre_temperature is None or first.weeks is None:
        return ()
    weeks = say("at once")
    if first.weeks.latest > 0:
        weeks = say("{least} to {most}", least=Figure(first.weeks.soonest, 0), most=Figure(first.weeks.latest, 0))
    its = {one.rule for one in dues if one.applies and one.rule != OWN_RULE}
    named = (say("{rule} (this car's)", rule=name) if _among(name, its) else name for name in rule_names(dues))
    reading = say("{limit} {counted}", limit=first.limit, counted=first.counted)
    return (listed(named, Joined.COMMA), reading, first.tyre_temperature, weeks)


def _among(name: str, rules: set[str]) -> bool:
    """Whether a rule, or what both readings of UN R141 share as a name, is among some."""
    return name in rules or (name == Standard.UN.value and rules >= UN_RULES)


def _sure(card: AirCard, s: Situation) -> Section:
    """On what the figures rest, and how sure they are."""
    parts = [
        say("{source} {spread} ({basis})", source=p.source, spread=p.standard, basis=p.basis.said)
        for p in card.wheels[0].parts
    ]
    spread = "± is the uncertainty with coverage factor {factor}: {parts}"
    bias = say("{gauge}: bias {bias} ({basis})", gauge=s.gauge_name, bias=s.gauge_bias, basis=s.gauge_bias_basis.said)
    lines: tuple[Said, ...] = (bias, say(spread, factor=Figure(COVERAGE, 0), parts=listed(parts, Joined.COMMA)))
    return Section(
        "sure", say("How sure the figures are"), tuple(Sentence(one, Look.SOFT) for one in lines), folded=True
    )
