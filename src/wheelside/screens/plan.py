"""The identity plan as a screen: what each wheel carries, what each car is taught, what it costs, or why there is no plan."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from wheelside.finding import Basis, Ground, Way
from wheelside.garage.model import Garage
from wheelside.garage.words import Monitor
from wheelside.identity.choice import Action, FreshFrom, IdChoice, id_label, id_words, left_as_it_is
from wheelside.identity.costs import WEIGHT, as_money
from wheelside.identity.plan import IdentityPlan, RunnerUp, WheelPlan
from wheelside.identity.teaching import to_do
from wheelside.identity.tipping import MOST_TIMES, Tipping
from wheelside.jobs.work.plan import Supposed
from wheelside.said import Coded, Figure, Joined, Named, Said, Table, count, listed, say
from wheelside.screens.screen import Cell, Look, Screen, Section, Sentence, ShownRow, ShownTable, rows, to_know
from wheelside.sensor.ident import PrintForm
from wheelside.units import Duration, Money

_SHARES = ("pair_meets", "write_wrong", "teach_fails")
_TIMES = ("write", "write_mounted", "shop_trip", "move", "fault")


def plan_screen(garage: Garage, plan: IdentityPlan) -> Screen:
    """The whole plan, with the choices not taken of those wheels for which they were worked out."""
    hanging = tuple(f for f in plan.findings if f.code == "hangs-on")
    parts = [*to_know(hanging, say("First")), *_nothing(garage, plan), *_conflict(plan)]
    if plan.wheels:
        parts += [_set(garage, plan, one) for one in dict.fromkeys(name for w in plan.wheels for name, _ in w.serves)]
        parts += [*_places(garage, plan), *_pairs(garage, plan), _teaching(garage, plan), *_costs(garage, plan)]
    parts += _unanswered(garage, plan)
    findings = tuple(f for f in plan.findings if f.code not in ("no-plan", "hangs-on"))
    return Screen(say("ID plan, {day}", day=plan.day), (*parts, *to_know(findings, say("To know"))))


def _nothing(garage: Garage, plan: IdentityPlan) -> Iterator[Section]:
    if plan.wheels or not plan.possible:
        return
    lines = [Sentence(say("No wheel has a sensor that a car watches: no IDs to plan."))]
    after = "{car} watches by wheel speed: after each change set the pressures cold, then store them in the car."
    lines += [Sentence(say(after, car=car.name)) for car in garage.car if car.monitor is Monitor.INDIRECT]
    yield Section("nothing", None, tuple(lines))


def _conflict(plan: IdentityPlan) -> Iterator[Section]:
    if plan.possible:
        return
    beside = say("these can't all hold; each of them changed would lift this conflict, though another may remain")
    facts = [
        line
        for fact in plan.conflict
        for line in (
            Sentence(say("- {fact}", fact=fact.text)),
            Sentence(say("rests on {basis}", basis=fact.basis.said), Look.SOFT, deeper=True),
        )
    ]
    yield Section("no-plan", say("No plan is possible"), tuple(facts), beside)
    beside = say("each tried by planning with it; cost of the best plan then, all in all")
    none = Sentence(say("none that Wheelside knows of: change one of the facts above"))
    columns = (
        say("{currency}, all in all", currency=plan.currency),
        say("of it for the change"),
        say("what to do"),
    )
    ways = ShownTable(
        columns,
        rows((_number(way.weight), _number(way.own_weight), way.text) for way in plan.ways_out),
        right=(0, 1),
        whole=(0, 1),
    )
    yield Section("ways-out", say("Ways out"), (ways if plan.ways_out else none,), beside)


def _number(weight: float) -> Figure:
    return Figure(weight / WEIGHT, 2)


def _whole(weight: float) -> Figure:
    """A likely cost without cents, which judged odds do not bear."""
    return Figure(weight / WEIGHT, 0)


def _set(garage: Garage, plan: IdentityPlan, set_id: str) -> Section:
    mounts = [s for s in plan.line if s.set == set_id and s.on]
    goes = say("on no car")
    if mounts:
        first = max(mounts[0].since, plan.day)
        car = garage.cars[mounts[0].on or ""].name
        now = plan.is_due(mounts[0].on, set_id, first)
        goes = say("on {car} now", car=car) if now else say("on {car} from {day}", car=car, day=first)
    columns = (say("corner"), say("wheel"), say("sensor"), say("ID"), say("hex"), say("decimal"), say("state"))
    wheels = tuple(
        ShownRow(_wheel(garage, w, plan.day), _reasons(garage, w) if w.not_taken else None, f"wheel-{w.wheel}")
        for w in plan.whole_set(set_id)
    )
    grid = ShownTable(columns, wheels, right=(5,), whole=(0, 1, 2, 4, 5), big=4, cards=True, on_cards=(6,))
    heading = say("{set}", set=garage.sets[set_id].name)
    return Section("set", heading, (grid, *_whys(garage, plan, set_id)), goes)


def _whys(garage: Garage, plan: IdentityPlan, set_id: str) -> Iterator[Sentence]:
    """Why wheels are not left as they are, those of one reason together."""
    alike: dict[Said, list[str]] = {}
    for w in plan.wheels:
        if w.set == set_id and w.why is not None and not left_as_it_is(w.action, w.choice):
            alike.setdefault(w.why, []).append(garage.wheels[w.wheel].name)
    yield from (
        Sentence(say("{wheels}: {why}", wheels=listed(names), why=why), Look.SOFT) for why, names in alike.items()
    )


def _wheel(garage: Garage, w: WheelPlan, day: date) -> tuple[Cell, ...]:
    """A wheel as it is by a day, with what is written to it later."""
    wheel, now = Named("wheel", w.wheel, garage.wheels[w.wheel].name), w.as_on(day)
    digits: tuple[Cell, Cell] = (now.id.aloud(), now.id.aloud(PrintForm.DECIMAL)) if now.id else (_no_id(now), "")
    return (w.corner.value, wheel, _sensor(w), _id(w), *digits, now.state)


def _sensor(w: WheelPlan) -> Said:
    if w.action is Action.STAYS:
        return say("stays")
    if w.silent:
        return say("REFIT, in hand, silent at rest")
    return say("REFIT, in hand") if w.in_hand else say("REFIT")


def _id(w: WheelPlan) -> Cell:
    if w.when is None:
        return _what(w)
    what = w.choice if w.choice is IdChoice.FRESH else id_words(w.choice, w.source, own=w.own)
    one = w.id.aloud() if w.id else say("as the writer makes it")
    return say("keep until {day}, then {what}: {id}", what=what, day=w.when, id=one)


def _what(w: WheelPlan) -> Cell:
    if w.choice is IdChoice.CLONE:
        return id_words(w.choice, w.source, own=w.own)
    if w.choice is not IdChoice.FRESH:
        return w.choice
    said = say("{choice}, {source}", choice=w.choice, source=w.fresh_from or "")
    if w.distance is None or w.distance > 2:
        return said
    return count(w.distance, "{said}, {n} digit from the next", "{said}, {n} digits from the next", said=said)


def _no_id(w: WheelPlan) -> Said:
    return say("note it") if w.fresh_from in (FreshFrom.WRITER, FreshFrom.BOUGHT) else say("read it")


def _reasons(garage: Garage, w: WheelPlan) -> Section:
    """The choices not taken, those that one reason forbids in one row."""
    heading = say(
        "Wheel {wheel}: sensor {action}, ID {id}",
        wheel=garage.wheels[w.wheel].name,
        action=w.action,
        id=id_label(w.choice, own=w.own),
    )
    grouped: dict[tuple[Action, Said, Way | None, Basis], list[Coded]] = {}
    for n in w.not_taken:
        grouped.setdefault((n.action, n.text, n.way_out, n.basis), []).append(id_label(n.choice, own=n.own))
    given = [
        (
            say("sensor {action}", action=action),
            say("ID {ids}", ids=listed(ids, Joined.OR)),
            say("{why} → {way}", why=text, way=way.said) if way else text,
            basis.said,
        )
        for (action, text, way, basis), ids in grouped.items()
    ]
    columns = (say("not taken"), "", say("because"), say("rests on"))
    return Section("reasons", heading, (ShownTable(columns, rows(given)),), w.why)


def _unanswered(garage: Garage, plan: IdentityPlan) -> Iterator[Section]:
    """The wheels whose other choices were not worked out."""
    if plan.unanswered:
        names = listed(garage.wheels[wheel].name for wheel in plan.unanswered)
        text = "What else could be done with {wheels} was not worked out: it takes too long for all at once. Ask for one alone."
        yield Section("unanswered", None, (Sentence(say(text, wheels=names), Look.SOFT),))


def _places(garage: Garage, plan: IdentityPlan) -> Iterator[Section]:
    if plan.picked:
        picked = rows(
            (max(p.since, plan.day), garage.sets[p.set].name, garage.places[p.place].name) for p in plan.picked
        )
        beside = say("out of the places that its stay names")
        grid = ShownTable((say("from"), say("set"), say("place")), picked)
        yield Section("places", say("Where each set is kept"), (grid,), beside)


def _pairs(garage: Garage, plan: IdentityPlan) -> Iterator[Section]:
    if not plan.pairs:
        return
    given = []
    for pair in plan.pairs:
        names = listed(garage.wheels[w].name for w in pair.wheels)
        for n, moment in enumerate(pair.line):
            head: tuple[Cell, Cell] = (names, pair.id.aloud()) if n == 0 else ("", "")
            given.append((*head, moment.day, moment.first, moment.other))
    columns = (say("wheels"), say("ID"), say("from"), say("the first is"), say("the other is"))
    beside = say("two wheels with one ID, which must never meet")
    yield Section("pairs", say("Pairs"), (ShownTable(columns, rows(given), whole=(1, 2)),), beside)


def _teaching(garage: Garage, plan: IdentityPlan) -> Section:
    given = rows(
        (
            say("now") if plan.is_due(t.car, t.set, t.day) else t.day,
            garage.cars[t.car].name,
            garage.sets[t.set].name,
            say("TEACH") if t.certain else to_do(garage, t),
            t.why,
        )
        for t in plan.teachings
    )
    columns = (say("day"), say("car"), say("set goes on"), say("to do"), say("because"))
    return Section(
        "teaching",
        say("What each car is taught"),
        (ShownTable(columns, given, whole=(0,)),),
        say("to {day}", day=plan.end),
    )


def _proven(garage: Garage, plan: IdentityPlan) -> Said:
    """What is proven, and over what: an ID that nobody has read may clash, or be in a list, after all."""
    if plan.weight != plan.bound:
        return say("best found, not proven least")
    now = (w.as_on(plan.day) for w in plan.wheels)
    unread = [w.wheel for w in now if w.choice is IdChoice.KEEP and w.sensor is not None and w.id is None]
    if not unread:
        return (
            say("proven least, with only those later writings weighed that help on their own")
            if plan.narrowed
            else say("proven least")
        )
    names = listed(garage.wheels[wheel].name for wheel in unread)
    one = "proven least as far as is known: the ID of {wheels} is not read"
    return count(len(unread), one, "proven least as far as is known: the IDs of {wheels} are not read", wheels=names)


def _costs(garage: Garage, plan: IdentityPlan) -> Iterator[Section]:
    beside = _proven(garage, plan)
    sure: list[tuple[Cell, ...]] = [_cost(c.what, c.price.seconds, c.price.hundredths) for c in plan.costs]
    sure.append(_cost(say("together, sure"), plan.total.seconds, plan.total.hundredths))
    blocks: list[ShownTable | Sentence] = [ShownTable(("", say("min"), plan.currency), rows(sure), right=(1, 2))]
    if plan.risks:
        risks: list[tuple[Cell, ...]] = [(r.what, r.times, _odds(r.ppm), _whole(r.weight)) for r in plan.risks]
        expected = sum(r.weight for r in plan.risks)
        risks.append(
            (
                say("together, likely"),
                "",
                "",
                say("{least} to {most}", least=_whole(expected / 2), most=_whole(2 * expected)),
            )
        )
        columns = (say("what may come"), say("times"), say("odds"), plan.currency)
        blocks.append(ShownTable(columns, rows(risks), right=(1, 2, 3)))
        judged = "The odds are judgement: half as likely to twice as likely makes that range. The plan goes by the odds as they stand."
        blocks.append(Sentence(say(judged), Look.SOFT))
    whole = "all in all {weight}, your time at its worth; by these figures no plan is below {bound}"
    all_in = say(whole, weight=as_money(plan.weight, plan.currency), bound=as_money(plan.bound, plan.currency))
    blocks.append(Sentence(all_in))
    blocks += _others(plan)
    yield Section("costs", say("What it costs"), tuple(blocks), beside)
    yield Section("figures", None, tuple(_figures(plan)))


def _cost(what: Cell, seconds: int, hundredths: int) -> tuple[Cell, ...]:
    return (what, Figure(seconds / 60, 0), Figure(hundredths / 100, 2))


def _odds(ppm: int) -> Said:
    """Odds as a person reads them: '14 %', '0.4 %'."""
    share = ppm / 10_000
    return say("{share} %", share=Figure(share, 0 if share >= 10 else 1))


def _others(plan: IdentityPlan) -> Iterator[Sentence]:
    if plan.runner_up is not None:
        yield Sentence(_other(say("the next best plan"), plan.runner_up, plan.currency))
    if plan.another_way is not None and plan.another_way != plan.runner_up:
        yield Sentence(_other(say("the best plan that teaches or stores otherwise"), plan.another_way, plan.currency))


def _other(name: Said, other: RunnerUp, currency: str) -> Said:
    changes: Cell = say("the same wheels, taught at another time")
    if other.changes:
        changes = listed(other.changes, Joined.SEMICOLON)
    if not other.extra_weight:
        just = "{plan} costs just as much; the stated order of ties decides: {changes}"
        return say(just, plan=name, changes=changes)
    more = as_money(other.extra_weight, currency)
    return say("{plan} costs {more} more: {changes}", plan=name, more=more, changes=changes)


def _figures(plan: IdentityPlan) -> Iterator[Sentence]:
    """The figures that the plan goes by: the owner's, and those that are judgement."""
    owners = [r for r in plan.rates if r.basis.ground is not Ground.DEFAULT]
    defaults = [r for r in plan.rates if r.basis.ground is Ground.DEFAULT]
    named = [
        listed((say("{name} {figure}", name=r.name, figure=r.text) for r in some), Joined.COMMA)
        for some in (owners, defaults)
    ]
    if owners:
        yield Sentence(say("your figures: {figures}", figures=named[0]), Look.SOFT)
    if defaults:
        judged = "defaults, judgement, to be changed in {costs} and {odds}: {figures}"
        tables = {"costs": Table("costs", many=False), "odds": Table("odds", many=False)}
        yield Sentence(say(judged, figures=named[1], **tables), Look.SOFT)


def difference_part(supposed: Supposed) -> Section:
    """What the plan does otherwise with the supposed facts."""
    heading = say("If {facts}", facts=listed(supposed.facts))
    told = supposed.difference.lines or (say("nothing changes in what is done"),)
    blocks = [Sentence(say("- {change}", change=one)) for one in told]
    extra = supposed.difference
    if extra.extra_weight is not None and extra.extra_seconds is not None and extra.extra_hundredths is not None:
        currency = supposed.planned.plan.currency
        parts: list[Said] = []
        if extra.extra_seconds:
            sign = "+{time}" if extra.extra_seconds > 0 else "−{time}"
            parts.append(say(sign, time=Duration(abs(round(extra.extra_seconds / 60)) * 60.0)))
        if extra.extra_hundredths:
            sign = "+{money}" if extra.extra_hundredths > 0 else "−{money}"
            parts.append(say(sign, money=Money(Decimal(abs(extra.extra_hundredths)) / 100, currency)))
        parts.append(_all_in(extra.extra_weight, currency))
        blocks.append(Sentence(say("cost: {parts}", parts=listed(parts, Joined.COMMA))))
    return Section("difference", heading, tuple(blocks), say("nothing is saved"))


def _all_in(weight: int, currency: str) -> Said:
    if not weight:
        return say("the same all in all")
    money = as_money(abs(weight), currency)
    if weight > 0:
        return say("{money} more all in all, risks counted", money=money)
    return say("{money} less all in all, risks counted", money=money)


def tipping_part(plan: IdentityPlan, tipping: tuple[Tipping, ...]) -> Section:
    """From which figures another plan would win."""
    heading = say("When another plan would win")
    beside = say("figures from nothing to {n} times what they are, one at a time", n=Figure(MOST_TIMES))
    if not tipping:
        none = say("none of them changes the plan") if plan.possible else say("there is no plan to change")
        return Section("tipping", heading, (Sentence(none),), beside)
    given = []
    for t in tipping:
        wins = _figure(t, t.beyond, plan.currency)
        side = say("below {figure}", figure=wins) if t.factor < 1 else say("above {figure}", figure=wins)
        given.append((t.name, _figure(t, t.now, plan.currency), side, listed(t.changes, Joined.SEMICOLON)))
    columns = (say("figure"), say("now"), say("another plan wins"), say("which does otherwise"))
    return Section("tipping", heading, (ShownTable(columns, rows(given), whole=(1, 2)),), beside)


def _figure(t: Tipping, value: float, currency: str) -> Said:
    if t.name in _SHARES:
        return say("{n} %", n=Figure(100 * value, 1))
    if t.name in _TIMES:
        return say("{n} min", n=Figure(value / 60, 1))
    if t.name == "sensor_life":
        return say("{n} years", n=Figure(value, 1))
    if t.name == "teach":
        return say("{n} times", n=Figure(value, 2))
    return say("{n} {currency}", n=Figure(value / 100, 2), currency=currency)
