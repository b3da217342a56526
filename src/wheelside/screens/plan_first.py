"""The identity plan, the answer first: which wheels need work, what is done to them, what is taught, and what it costs."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.finding import Weight
from wheelside.garage.model import Garage
from wheelside.identity.choice import Action, FreshFrom, IdChoice
from wheelside.identity.costs import WEIGHT
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.teaching import TeachPlan, to_do
from wheelside.said import Figure, Joined, Named, Said, count, listed, say
from wheelside.screens.screen import Cell, Findings, Look, Screen, Section, Sentence, ShownTable, brief_part, rows
from wheelside.sensor.ident import PrintForm

_NUMBERS = dict(
    enumerate(("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve"))
)
SOON_DAYS = 60
"""What is taught later does not stand in the answer."""
MOST_SETS = 12
"""So many sets stand each on its line; of more, only how many wheels there are."""


def plan_first(garage: Garage, plan: IdentityPlan) -> Screen:
    """What a person does next under a plan that is possible and has wheels: changed things first, unchanged ones in a line each."""
    work = tuple(w for w in plan.wheels if w.refit or w.writes)
    parts = (
        *_found(plan, "must-not", {Weight.FORBIDDEN}),
        brief_part("answer", None, *_answer(garage, plan, work)),
        *_found(plan, "care", {Weight.WARNING, Weight.ASK}),
        *_work(garage, work),
        _taught(garage, plan),
        _rest(garage, plan, {w.wheel for w in work}),
    )
    return Screen(say("ID plan, {day}", day=plan.day), parts)


def answer_lines(garage: Garage, plan: IdentityPlan) -> Iterator[Said]:
    """The answer of a plan that is possible and has wheels, a sentence each."""
    work = tuple(w for w in plan.wheels if w.refit or w.writes)
    yield from (one.said for one in _answer(garage, plan, work) if isinstance(one.said, Said))


def _answer(garage: Garage, plan: IdentityPlan, work: tuple[WheelPlan, ...]) -> Iterator[Sentence]:
    taught = [t for t in plan.teachings if t.certain]
    if not work:
        open_ones = [w for w in plan.wheels if w.id is None]
        unread = [garage.wheels[w.wheel].name for w in open_ones if not _printed(garage, w)]
        unclear = [garage.wheels[w.wheel].name for w in open_ones if _printed(garage, w)]
        none = "No sensor needs work." if taught or open_ones else "No sensor needs work, and no car has to be taught."
        known = "As far as is known no sensor needs work: first read the IDs of {wheels}."
        two = "As far as is known no sensor needs work: the IDs of {wheels} can be read in two ways."
        open_one = next((t for t in plan.teachings if t.needed and t.first is not None), None)
        if unread:
            told = say(known, wheels=listed(unread))
        elif unclear:
            told = say(two, wheels=listed(unclear))
        elif open_one is not None:
            set_name = garage.sets[open_one.set].name
            told = say(
                "As far as is known no sensor needs work. {set}: {what}.", set=set_name, what=to_do(garage, open_one)
            )
        else:
            told = say(none)
        yield Sentence(told, Look.STRONG)
        soon = [t for t in taught if (t.day - plan.day).days <= SOON_DAYS]
        yield from (Sentence(_learns(garage, t), Look.STRONG) for t in soon[:1])
        return
    before = _goes_on(garage, plan, work)
    some = _NUMBERS.get(len(work), str(len(work)))
    needs = count(
        len(work), "One wheel needs work{before}:", "{some} wheels need work{before}:", before=before, some=some
    )
    yield Sentence(needs, Look.STRONG)
    alike: dict[Said, list[str]] = {}
    for w in work:
        alike.setdefault(_gets(w), []).append(garage.wheels[w.wheel].name)
    for what, names in alike.items():
        each = count(len(names), "{wheels} gets {what}.", "{wheels} each get {what}.", wheels=listed(names), what=what)
        yield Sentence(each, Look.STRONG)
    yield Sentence(_price(plan), Look.STRONG)


def _printed(garage: Garage, w: WheelPlan) -> bool:
    """Whether something is noted of the ID of the sensor in a wheel."""
    sensor = garage.sensors.get(w.sensor or "")
    return sensor is not None and bool(sensor.printed or sensor.sends)


def _price(plan: IdentityPlan) -> Said:
    minutes = Figure(plan.total.seconds / 60, 0)
    if not plan.total.hundredths:
        return say("{n} minutes.", n=minutes)
    money = Figure(plan.total.hundredths / 100, 2)
    return say("{money} {currency} and {n} minutes.", money=money, currency=plan.currency, n=minutes)


def _goes_on(garage: Garage, plan: IdentityPlan, work: tuple[WheelPlan, ...]) -> Said | str:
    """Before which change of wheels the work is done; '' where it is of several sets, or its set is on a car already."""
    sets = {w.set for w in work}
    comes = next((s for s in plan.line if s.set in sets and s.on and s.since > plan.day), None)
    if len(sets) != 1 or comes is None:
        return ""
    text = " before {set} goes on {car}" + ("" if plan.is_due(comes.on, comes.set, comes.since) else " on {day}")
    return say(text, set=garage.sets[comes.set].name, car=garage.cars[comes.on or ""].name, day=comes.since)


def _gets(w: WheelPlan) -> Said:
    """What is done to one wheel, as it is said of several."""
    what = {
        (Action.REFIT, IdChoice.FRESH): "a new sensor with a new ID",
        (Action.REFIT, IdChoice.CLONE): "a new sensor with its old ID" if w.own else "a new sensor with a copied ID",
        (Action.REFIT, IdChoice.KEEP): "a new sensor",
        (Action.STAYS, IdChoice.FRESH): "a new ID, written into its sensor",
        (Action.STAYS, IdChoice.CLONE): "a copied ID, written into its sensor",
    }.get((w.action, w.choice), "work on its sensor")
    return say(what + " on {day}", day=w.when) if w.when is not None else say(what)


def _work(garage: Garage, work: tuple[WheelPlan, ...]) -> Iterator[Section]:
    if not work:
        return
    given: list[tuple[Cell, ...]] = []
    alike: dict[Said, list[str]] = {}
    for w in work:
        name = garage.wheels[w.wheel].name
        given.append((Named("wheel", w.wheel, name), w.corner.value, _writes(w), *_digits(w)))
        if w.why is not None:
            alike.setdefault(_why(w.why), []).append(name)
    whys = tuple(
        Sentence(say("{wheels}: {why}", wheels=listed(names), why=why), Look.SOFT) for why, names in alike.items()
    )
    grid = ShownTable(("", "", "", "", ""), rows(given), right=(4,), whole=(0, 1, 3, 4), big=3, cards=True)
    yield brief_part("to-do", say("To do"), grid, *whys)


def _why(why: Said) -> Said:
    """Why a wheel is not left alone, without saying that it is not."""
    what = dict(why.values).get("what")
    return what if isinstance(what, Said) else why


def _writes(w: WheelPlan) -> Said:
    if w.fresh_from is FreshFrom.BOUGHT:
        return say("new sensor, note the ID that it comes with")
    if w.fresh_from is FreshFrom.WRITER:
        return say("let the writer make up an ID, note it")
    if w.action is Action.STAYS:
        return say("write, in the wheel") if w.when is None else say("write on {day}", day=w.when)
    if w.silent:
        return say("new sensor, silent at rest, write")
    return say("new sensor, write")


def _digits(w: WheelPlan) -> tuple[Cell, Cell]:
    return (w.id.aloud(), w.id.aloud(PrintForm.DECIMAL)) if w.id is not None else ("", "")


def _taught(garage: Garage, plan: IdentityPlan) -> Section:
    """What the cars are taught: each set once, with how often more."""
    due: dict[tuple[str, str], list[TeachPlan]] = {}
    for t in plan.teachings:
        if t.needed or t.first is not None:
            due.setdefault((t.car, t.set), []).append(t)
    if not due:
        return brief_part("teaching", None, Sentence(say("No car has to be taught, to {day}.", day=plan.end)))
    lines: list[tuple[Cell, ...]] = []
    for first, *more in due.values():
        day = say("now") if plan.is_due(first.car, first.set, first.day) else first.day
        learns = _learns(garage, first)
        if more:
            learns = count(len(more), "{it}, and once more", "{it}, and {n} times more", it=learns)
        lines.append((day, learns))
    lines.append((say("afterwards"), say("nothing else, to {day}", day=plan.end)))
    return brief_part("teaching", say("Teach"), ShownTable(("", ""), rows(lines), whole=(0,)))


def _learns(garage: Garage, t: TeachPlan) -> Said:
    car, wheel_set = garage.cars[t.car].name, garage.sets[t.set].name
    if t.certain:
        return say("{car} learns {set}", car=car, set=wheel_set)
    return say("{car}, {set}: {what}", car=car, set=wheel_set, what=to_do(garage, t))


def _rest(garage: Garage, plan: IdentityPlan, work: set[str]) -> Section:
    """The wheels of which nothing is wanted, and what may come."""
    by_set: dict[str, list[str]] = {}
    for w in plan.wheels:
        if w.wheel not in work:
            by_set.setdefault(w.set, []).append(garage.wheels[w.wheel].name)
    lines: list[Sentence] = []
    if len(by_set) > MOST_SETS:
        n, sets = Figure(sum(map(len, by_set.values())), 0), Figure(len(by_set), 0)
        lines.append(Sentence(say("Nothing to do: {n} wheels of {sets} sets.", n=n, sets=sets)))
    elif by_set:
        each = [say("{set} {wheels}", set=garage.sets[s].name, wheels=" ".join(names)) for s, names in by_set.items()]
        lines.append(Sentence(say("Nothing to do: {sets}.", sets=listed(each, Joined.SEMICOLON))))
    expected = sum(r.weight for r in plan.risks) / WEIGHT
    if expected >= 1:
        later = "Later {least} to {most} {currency}: sensors wear out, work fails; our guess."
        least, most = Figure(expected / 2, 0), Figure(2 * expected, 0)
        lines.append(Sentence(say(later, least=least, most=most, currency=plan.currency)))
    return brief_part("rest", None, *lines)


def _found(plan: IdentityPlan, code: str, weights: set[Weight]) -> Iterator[Section]:
    """What must not be, or what to find out first and to take care of; notes stand with all the rest."""
    found = tuple(f for f in plan.findings if f.code != "no-plan" and f.weight in weights)
    if found:
        yield brief_part(code, None, Findings(found, brief=True))
