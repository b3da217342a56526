"""The audit accepts every plan, and rejects thousands that are broken in one place, naming the broken rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import islice
from random import Random

from broken import CHANGES, KEPT, LATER, Break, Broken, own_ids, sensor_of, with_wheel
from broken_later import LATEST
from sketch import draw_case

from garages import DAY, demo_table, garage_of, plan_of
from wheelside.garage.model import Garage
from wheelside.identity.audit import audit
from wheelside.identity.choice import Action, FreshFrom, IdChoice
from wheelside.identity.costs import Price
from wheelside.identity.plan import IdentityPlan, Reasons, identity_plan
from wheelside.identity.roll import carried_by
from wheelside.identity.teaching import First, WhyTaught
from wheelside.sensor.ident import SensorId

SEED, BROKEN = 611, 3000


def lost_wheel(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    gone = random.choice(plan.wheels)
    yield "wheels", replace(plan, wheels=tuple(w for w in plan.wheels if w is not gone))
    yield "wheels", replace(plan, wheels=(*plan.wheels, gone))


def another_id(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels:
        if w.choice is IdChoice.KEEP and w.id is not None:
            yield "not-its-own", with_wheel(plan, w, id=replace(w.id, number=w.id.number ^ 1))
        if w.choice is IdChoice.CLONE and w.id is not None:
            yield "nothing-to-clone", with_wheel(plan, w, id=replace(w.id, number=w.id.number ^ 0x5A5A5))


def kept_by_a_new_sensor(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels:
        if w.action is Action.REFIT:
            yield "new-sensor", with_wheel(plan, w, choice=IdChoice.KEEP, id=None, fresh_from=None)


def left_as_it_is(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A wheel that has to be changed stays as it is; the rule is the one that the plan gave for it."""
    for w in plan.wheels:
        keep = next((n for n in w.not_taken if (n.action, n.choice) == (Action.STAYS, IdChoice.KEEP)), None)
        sensor = sensor_of(garage, w)
        rules = (
            "wrong-band",
            "wrong-family",
            "wrong-width",
            "no-answer",
            "no-sensor",
            "heard-twice",
            "one-car",
            "sold-alike",
        )
        if keep is not None and keep.rule in rules and (sensor is None or sensor.sends or sensor.printed):
            ids = own_ids(garage, w)
            one = ids[0] if len(ids) == 1 else None
            yield keep.rule, with_wheel(plan, w, id=one, **KEPT)


def nobody_to_write(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels:
        if w.writer is not None:
            yield "no-writer", with_wheel(plan, w, writer="nobody")


def a_used_id(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    used = [
        i
        for s in garage.sensor
        if any(j.sensor == s.id for w in garage.wheel for j in w.joined)
        for i in carried_by(garage, s)
    ]
    for w in plan.wheels:
        if w.fresh_from is FreshFrom.DRAWN and w.choice is IdChoice.FRESH and w.id is not None:
            alike = [i for i in used if i.bits == w.id.bits]
            if alike:
                yield "not-fresh", with_wheel(plan, w, id=replace(w.id, number=alike[0].number))
            yield "empty-id", with_wheel(plan, w, id=replace(w.id, number=random.choice((0, (1 << w.id.bits) - 1))))
            yield "not-of-family", with_wheel(plan, w, id=SensorId(w.id.family + "?", w.id.bits, w.id.number))
            kept = tuple(r for r in plan.reserved if r.wheel != w.wheel)
            yield "not-reserved", replace(plan, reserved=kept)


def teachings(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for n, t in enumerate(plan.teachings):
        turned = (*plan.teachings[:n], replace(t, needed=not t.needed), *plan.teachings[n + 1 :])
        if t.needed:
            yield "not-taught", replace(plan, teachings=turned)
        elif t.car not in {x.car for x in plan.teachings[n + 1 :]}:
            yield "taught-twice", replace(plan, teachings=turned)
        yield "mounts", replace(plan, teachings=(*plan.teachings[:n], *plan.teachings[n + 1 :]))


def false_reasons(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A teaching that is needed is said to be held, or to hang on something where the set gets new IDs."""
    for n, t in enumerate(plan.teachings):
        rest = plan.teachings[:n], plan.teachings[n + 1 :]
        reason = WhyTaught.HELD if t.needed else WhyTaught.NOT_HELD
        yield "reason", replace(plan, teachings=(*rest[0], replace(t, reason=reason), *rest[1]))
        if t.reason in (WhyTaught.NEW_IDS, WhyTaught.HELD):
            yield "reason", replace(plan, teachings=(*rest[0], replace(t, first=First.TRIGGER), *rest[1]))


def figures(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    yield "price", replace(plan, total=plan.total + Price(1, 0))
    yield "price", replace(plan, total=plan.total + Price(0, -1))
    yield "weight", replace(plan, weight=plan.weight + 1)
    yield "bound", replace(plan, bound=plan.weight + 1)
    if plan.costs:
        yield "price", replace(plan, costs=plan.costs[1:])


def the_line(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    if plan.line:
        spell = random.choice(plan.line)
        later = replace(spell, until=spell.until + timedelta(days=1))
        yield "line", replace(plan, line=tuple(later if s is spell else s for s in plan.line))
    for spell in plan.line:
        others = [p.id for p in garage.place if p.id not in (spell.at, *garage.stay[0].or_at)]
        if spell.at is not None and others and not any(stay.or_at for stay in garage.stay):
            moved = replace(spell, at=others[0])
            yield "line", replace(plan, line=tuple(moved if s is spell else s for s in plan.line))
            return


def too_full(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """Every stay that could be at a place with little room is there."""
    for place in garage.place:
        if place.room is None:
            continue
        named = {i for i, stay in enumerate(garage.stay) if place.id in (stay.at, *stay.or_at)}
        rows = {(garage.stay[i].set, garage.stay[i].since) for i in named}
        there = tuple(
            replace(s, at=place.id)
            if s.at and any(s.set == a and s.since.timetuple()[1:3] == b.timetuple()[1:3] for a, b in rows)
            else s
            for s in plan.line
        )
        days = {max(s.since, plan.day) for s in there if s.at == place.id}
        if any(sum(s.at == place.id and s.covers(d) for s in there) > place.room for d in days):
            yield "room", replace(plan, line=there)


def more_than_in_hand(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels:
        if w.action is Action.STAYS:
            yield "blanks", with_wheel(plan, w, in_hand=True)
            return


def met_after_all(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A wheel is given the ID of another wheel of the same set on a car that listens for it."""
    on = {s.set for s in plan.line if s.on and garage.cars[s.on].direct and s.until > plan.day}
    for a in plan.wheels:
        for b in plan.wheels:
            same = a.set == b.set and a.set in on and a.corner < b.corner and a.id and b.id and a.id.key != b.id.key
            if same and a.id and b.id and a.id.family == b.id.family and a.choice is IdChoice.CLONE is b.choice:
                yield "heard-twice", with_wheel(plan, a, id=replace(a.id, number=b.id.number, bits=b.id.bits))


WAYS: tuple[Break, ...] = (
    lost_wheel, another_id, kept_by_a_new_sensor, left_as_it_is, nobody_to_write, a_used_id, teachings, false_reasons, figures, the_line,
    too_full, more_than_in_hand, met_after_all, *LATER, *LATEST,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Trial:
    """A plan that is broken in one place, the way in which it was, and the rule that it breaks."""

    way: str
    rule: str
    garage: Garage
    plan: IdentityPlan


def trials() -> Iterator[Trial]:
    random = Random(SEED)
    while True:
        case = draw_case(random)
        garage = case.world.garage
        plan = identity_plan(garage, case.world.day, (), Random(1).getrandbits, reasons=Reasons.ALL)
        assert not audit(garage, plan), case.text
        if plan.possible and plan.wheels:
            for way in WAYS:
                if found := list(way(garage, plan, random)):
                    rule, broken = random.choice(found)
                    yield Trial(way.__name__, rule, garage, broken)
            for change in CHANGES:
                if changed := list(change(garage, plan)):
                    rule, other = random.choice(changed)
                    yield Trial(change.__name__, rule, other, plan)


def test_plans_broken_in_one_place_are_rejected_by_the_rule_that_they_break() -> None:
    ways, rules, missed = Counter[str](), Counter[str](), list[tuple[str, str, list[str]]]()
    for trial in islice(trials(), BROKEN):
        ways[trial.way] += 1
        rules[trial.rule] += 1
        told = {b.rule for b in audit(trial.garage, trial.plan)}
        if trial.rule not in told:
            missed.append((trial.way, trial.rule, sorted(told)))
    assert not missed, (len(missed), Counter((way, rule) for way, rule, _ in missed), missed[:5])
    assert {way.__name__ for way in (*WAYS, *CHANGES) if ways[way.__name__] < 3} == set(), ways
    assert len(rules) >= 26, rules


def test_the_audit_accepts_the_demo_and_says_nothing_of_no_plan() -> None:
    garage = garage_of(demo_table())
    plan = plan_of(demo_table(), DAY)
    assert not audit(garage, plan)
    assert not audit(garage, replace(plan, possible=False, wheels=()))


def test_a_writer_of_another_family_or_another_skill_is_no_writer() -> None:
    table = demo_table()
    able = ["given", "own", "copy"]
    table["writer"] += [{"id": "other", "can": able, "families": ["plover"]}, {"id": "zz copier", "can": ["copy"]}]
    garage, plan = garage_of(table), plan_of(table, DAY)
    written = next(w for w in plan.wheels if w.writer)
    assert not audit(garage, plan)
    for writer in ("other", "zz copier", None):
        assert "no-writer" in {b.rule for b in audit(garage, with_wheel(plan, written, writer=writer))}, writer
