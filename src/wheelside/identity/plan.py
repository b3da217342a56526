"""The identity plan of a garage: what each wheel carries, what each car is taught, what it costs, and why. Write it like this."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from enum import Enum

from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage
from wheelside.garage.open_change import OpenChange, TakenOn
from wheelside.garage.order import in_order
from wheelside.garage.present import Present
from wheelside.garage.season import Spell, horizon_end, settled
from wheelside.garage.words import Corner
from wheelside.identity.account import CostLine, RiskLine, cost_lines, risk_lines
from wheelside.identity.before_teaching import teaching_findings, unlike_list
from wheelside.identity.candidates import fresh_rule
from wheelside.identity.carry_on import carry_on
from wheelside.identity.choice import Action, Candidate, FreshFrom, IdChoice, Member, left_as_it_is
from wheelside.identity.conflict import ConflictFact, smallest_conflict, told
from wheelside.identity.costs import NOTHING, Price, Rate
from wheelside.identity.doubts import doubts
from wheelside.identity.explain import Explainer, NotTaken, changes, no_plan, standing_clashes, taken_out_findings
from wheelside.identity.hangs import hangs
from wheelside.identity.happenings import happenings
from wheelside.identity.later import written_later
from wheelside.identity.pairs import PairRule, pair_findings, pair_rules
from wheelside.identity.problem import problem
from wheelside.identity.reserve import Reservation, reserve, standing, used_keys
from wheelside.identity.roll import Roll
from wheelside.identity.set_apart import mistaken_sets
from wheelside.identity.solution import Solution
from wheelside.identity.solve import PlanModel
from wheelside.identity.states import IdState, id_state
from wheelside.identity.task import PlanProblem
from wheelside.identity.teaching import TeachPlan, teach_plans
from wheelside.identity.unused import unused_blanks
from wheelside.identity.ways import Seeker, WayOut
from wheelside.identity.whereabouts import Ears, Lines
from wheelside.said import Joined, Said, Table, count, listed, say
from wheelside.sensor.fresh import FreshRule, RandomBits
from wheelside.sensor.ident import SensorId

__all__ = ["IdentityPlan", "Picked", "RunnerUp", "TeachPlan", "WheelPlan", "identity_plan"]


class Reasons(Enum):
    """What a plan answers beside what is done: nothing; why each wheel that it changes is not left as it is, and the next best plans; or,
    of all wheels, every choice not taken besides."""

    NONE = "none"
    WHY = "why"
    ALL = "all"


_ORDER = tuple(Corner)
MANY_WHEELS = 60
"""From here on the choices not taken are answered only for the wheels that are asked about."""


@dataclass(frozen=True, slots=True)
class WheelPlan:
    """What one wheel carries. `id` is None where it is to be read, made up by the writer, or comes with the sensor.

    `source`: whose ID a clone takes; `own`: whether that is the ID of the wheel's own old sensor, carried
    on in a new one. `distance`: by how many printed digits a fresh ID differs from
    every other, 3 standing for 3 or more; None where it was not drawn here. `in_hand`: whether the new
    sensor is one of those in hand, `silent` that it is one that rests silent. `why` is None and `not_taken` empty where that was not asked for.
    `serves`: the sets that it is in, by id, with its corner there; `set` and `corner` are the first of them. `when`: the later day on which it is
    written, until which it carries `before` (None where that is not known), in the state `state_before`; None where nothing waits.
    """

    wheel: str
    set: str
    corner: Corner
    sensor: str | None
    action: Action
    in_hand: bool
    choice: IdChoice
    id: SensorId | None
    state: IdState
    source: Said | None
    writer: str | None
    fresh_from: FreshFrom | None
    distance: int | None
    price: Price
    why: Said | None
    rests_on: tuple[Basis, ...]
    not_taken: tuple[NotTaken, ...]
    own: bool = False
    serves: tuple[tuple[str, Corner], ...] = ()
    when: date | None = None
    before: SensorId | None = None
    state_before: IdState | None = None
    silent: bool = False

    @property
    def writes(self) -> bool:
        return self.writer is not None

    @property
    def refit(self) -> bool:
        return self.action is Action.REFIT

    def corner_in(self, set_id: str) -> Corner:
        """Its corner in one of its sets. Raises KeyError where it is not in it."""
        return dict(self.serves)[set_id]

    def is_in(self, set_id: str) -> bool:
        """Whether the wheel is in a set."""
        return any(name == set_id for name, _ in self.serves)

    def has_work(self, by: date) -> bool:
        """Whether its sensor is changed or written by a day."""
        return self.refit or (self.writes and (self.when is None or self.when <= by))

    def as_on(self, day: date) -> WheelPlan:
        """What is done about it by a day: nothing yet, where its writing waits for a later one."""
        if self.when is None or self.when <= day:
            return self
        return replace(
            self, action=Action.STAYS, choice=IdChoice.KEEP, id=self.before, source=None, writer=None, fresh_from=None,
            distance=None, price=NOTHING, own=False, state=self.state_before or self.state, when=None,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class RunnerUp:
    """The best plan that differs in a wheel or a place: what is different, and what it would cost more."""

    changes: tuple[Said, ...]
    extra: Price
    extra_weight: int


@dataclass(frozen=True, slots=True)
class Picked:
    """The place that the plan picked for a set, out of those that its stay names."""

    set: str
    since: date
    place: str


@dataclass(frozen=True, slots=True)
class IdentityPlan:
    """The plan from `day` to `end`. `possible` is False where no plan keeps all rules; `conflict` says why, `ways_out` what to do.

    `total` is what is sure. `weight` is the cost with the expected cost of risks, in 1/3600 of a hundredth of
    `currency`, time at the owner's hourly worth, and `bound` what is proven that no plan can be below; they are
    equal where the plan is proven best. `open`: the changes that are due by now or asked for, and `taken` what is taken to be
    on a car though nobody has said so.
    `runner_up` differs in any way, `another_way` in what is taught when or kept where. `unanswered`: wheels whose choices not taken
    were asked for and not worked out, for all of that had taken too long. `narrowed`: later writings were weighed only where each does some
    good by itself, for there are many wheels.
    """

    day: date
    end: date
    possible: bool
    currency: str
    rates: tuple[Rate, ...]
    line: tuple[Spell, ...]
    reserved: tuple[Reservation, ...]
    findings: tuple[Finding, ...]
    wheels: tuple[WheelPlan, ...] = ()
    teachings: tuple[TeachPlan, ...] = ()
    picked: tuple[Picked, ...] = ()
    pairs: tuple[PairRule, ...] = ()
    costs: tuple[CostLine, ...] = ()
    risks: tuple[RiskLine, ...] = ()
    total: Price = NOTHING
    weight: int = 0
    bound: int = 0
    runner_up: RunnerUp | None = None
    another_way: RunnerUp | None = None
    conflict: tuple[ConflictFact, ...] = ()
    ways_out: tuple[WayOut, ...] = ()
    unanswered: tuple[str, ...] = ()
    open: tuple[OpenChange, ...] = ()
    taken: tuple[TakenOn, ...] = ()
    narrowed: bool = False

    def of_set(self, set_id: str, by: date) -> tuple[WheelPlan, ...]:
        """What is done about the wheels of a set by a day, each at its corner in that set, by corner."""
        return tuple(w.as_on(by) for w in self.whole_set(set_id))

    def whole_set(self, set_id: str) -> tuple[WheelPlan, ...]:
        """What is done about the wheels of a set in all, each at its corner in that set, by corner."""
        mine = (replace(w, set=set_id, corner=w.corner_in(set_id)) for w in self.wheels if w.is_in(set_id))
        return tuple(sorted(mine, key=lambda w: _ORDER.index(w.corner)))

    def is_due(self, car: str | None, set_id: str, day: date) -> bool:
        """Whether a set going on a car on a day of the line is a change that is due now: the line has it from the next day."""
        return day == self.day + timedelta(days=1) and any((c.car, c.coming) == (car, set_id) for c in self.open)


def identity_plan(
    garage: Garage,
    day: date,
    earlier: tuple[Reservation, ...],
    random_bits: RandomBits,
    reasons_for: Collection[str] = (),
    *,
    reasons: Reasons = Reasons.WHY,
) -> IdentityPlan:
    """The best plan for a garage as it stands on `day`, proven optimal.

    `earlier`: what was reserved by plans before. `random_bits`: k -> k random bits, for fresh IDs that
    are not reserved yet. `reasons`: what is answered besides, which takes most of the time; `reasons_for`: wheels of which the choices
    not taken are answered in any case, even where there are many wheels.
    The order of the file's tables changes nothing.
    """
    return _Planner(in_order(garage), day, earlier, random_bits, frozenset(reasons_for), reasons).plan()


@dataclass
class _Planner:
    garage: Garage
    day: date
    earlier: tuple[Reservation, ...]
    random_bits: RandomBits
    reasons_for: frozenset[str]
    reasons: Reasons
    _loose: PlanModel | None = field(default=None)

    def plan(self) -> IdentityPlan:
        self.end = horizon_end(self.garage, self.day)
        now = Present(self.garage, self.day, self.end)
        self.garage, self.line, self.open, self.taken = now.here, now.line, now.open, now.taken
        task = problem(self.garage, self.day, self.end, self.line)
        findings = [
            *_taken_on(self.garage, self.taken),
            *_misplaced(now),
            *doubts(self.garage, task.members, self.line, self.day, self.end),
            *happenings(self.garage, self.line, self.day, self.end),
            *standing_clashes(self.garage, task),
        ]
        model = PlanModel(task) if all(task.of_member) else None
        best = model.best() if model else None
        if model is None or best is None:
            return self._impossible(task, findings)
        return self._possible(task, model, best, findings)

    def _loosened(self) -> PlanModel:
        if self._loose is None:
            self._loose = PlanModel(problem(self.garage, self.day, self.end, self.line, loosened=True), loosened=True)
        return self._loose

    def _impossible(self, task: PlanProblem, findings: list[Finding]) -> IdentityPlan:
        loose = self._loosened()
        conflict = tuple(told(self.garage, loose.problem, f, self.day) for f in smallest_conflict(loose))
        ways = Seeker(self.garage, self.day, self.end, loose).ways_out()
        findings += no_plan(conflict, ways)
        return IdentityPlan(
            day=self.day,
            end=self.end,
            possible=False,
            currency=task.tariff.currency,
            rates=task.tariff.rates,
            line=self.line,
            open=self.open,
            taken=self.taken,
            reserved=self.earlier,
            findings=tuple(dict.fromkeys(findings)),
            conflict=conflict,
            ways_out=ways,
        )

    def _possible(self, task: PlanProblem, model: PlanModel, best: Solution, findings: list[Finding]) -> IdentityPlan:
        garage = self.garage
        chosen = tuple(task.candidates[i] for i in best.chosen)
        wanted = _wanted(garage, task, chosen, self.day)
        reserved = reserve(garage, wanted, self.earlier, self.random_bits, self.day)
        explainer = Explainer(garage, model, best, self.day, self._loosened)
        wheels = self._wheels(task, best, explainer, wanted, reserved)
        line = settled(self.line, dict(best.picked))
        ears = Ears(garage, tuple(car for car in garage.car if car.direct))
        pairs = tuple(pair_rules(garage, Lines(garage, self.day, self.end, line), ears, wheels))
        teachings = tuple(teach_plans(garage, Roll(garage, self.day), task, best))
        findings += unlike_list(garage, self.day, teachings)
        findings += teaching_findings(garage, teachings)
        findings += carry_on(garage, task, best, explainer if self._few(task) else None)
        findings += taken_out_findings(garage, task.members, chosen)
        findings += pair_findings(garage, pairs, self.day)
        findings += mistaken_sets(garage, task, model, best) if self._few(task) else ()
        findings += unused_blanks(garage, task, best)
        findings += written_later(garage, line, wheels)
        findings += hangs(garage, self.day, self.end, task, best) if self._few(task) else ()
        return IdentityPlan(
            day=self.day,
            end=self.end,
            possible=True,
            narrowed=task.narrowed,
            currency=task.tariff.currency,
            rates=task.tariff.rates,
            line=line,
            open=self.open,
            taken=self.taken,
            reserved=reserved,
            findings=tuple(dict.fromkeys(findings)),
            wheels=wheels,
            teachings=teachings,
            picked=tuple(Picked(c.set, garage.stay[c.stay].since, dict(best.picked)[c.stay]) for c in task.choices),
            pairs=pairs,
            costs=cost_lines(garage, task, best, teachings),
            risks=risk_lines(task, best),
            total=best.price,
            weight=best.weight,
            bound=best.bound,
            runner_up=self._other(task, best, model.best_but(best) if self._few(task) else None, days=False),
            unanswered=tuple(explainer.unanswered),
            another_way=self._other(task, best, model.best_otherwise(best) if self._few(task) else None),
        )

    def _few(self, task: PlanProblem) -> bool:
        """Whether choices not taken and other plans are answered unasked."""
        return self.reasons is not Reasons.NONE and len(task.members) < MANY_WHEELS

    def _asked(self, wheel: str, *, few: bool) -> bool:
        """Whether the choices not taken of a wheel are to be answered."""
        return wheel in self.reasons_for or (few and self.reasons is Reasons.ALL)

    def _wheels(
        self,
        task: PlanProblem,
        best: Solution,
        explainer: Explainer,
        wanted: dict[str, FreshRule],
        reserved: tuple[Reservation, ...],
    ) -> tuple[WheelPlan, ...]:
        used = used_keys(self.garage)
        drawn = {wheel: standing(reserved, wheel, rule, used) for wheel, rule in wanted.items()}
        few = self._few(task)
        in_hand = _in_hand(task, best)
        roll = Roll(self.garage, self.day)
        out = []
        for member, i in zip(task.members, best.chosen, strict=True):
            c = task.candidates[i]
            asked = self._asked(member.wheel, few=few)
            others = explainer.not_taken(member, c) if asked else ()
            left = next((n.by_itself for n in others if left_as_it_is(n.action, n.choice)), None)
            if left is None and (few or asked):
                left = explainer.not_left(member, c, asked=asked)
            not_now = explainer.not_now(member, c, asked=asked) if (few or asked) else None
            fresh = drawn.get(member.wheel)
            stays = self.garage.sensors.get(member.sensor or "") if c.action is Action.STAYS else None
            one = fresh.id if fresh else c.definite
            before = c.until_then[0] if len(c.until_then) == 1 else None
            state, was = (id_state(self.garage, roll, reserved, member.wheel, stays, x) for x in (one, before))
            why = _why(c, left, not_now)
            out.append(_wheel_plan(self.garage, member, c, others, why, fresh, (state, was), in_hand=i in in_hand))
        return tuple(out)

    def _other(
        self, task: PlanProblem, best: Solution, other: Solution | None, *, days: bool = True
    ) -> RunnerUp | None:
        """Another plan held against the best. `days`: told also of what it does on another day alone."""
        if other is None or not task.members:
            return None
        told = changes(self.garage, task, best, other, days=days)
        now, then = sum(best.taught), sum(other.taught)
        one, many = "{n} teaching, instead of {now}", "{n} teachings, instead of {now}"
        taught = () if now == then else (count(then, one, many, now=now),)
        return RunnerUp((*told, *taught), other.price - best.price, other.weight - best.weight)


def _taken_on(garage: Garage, taken: tuple[TakenOn, ...]) -> Iterator[Finding]:
    """What is taken to be on cars though nobody has said so."""
    for one in taken:
        name = garage.sets[one.set].name
        text = say("{set} is assumed to be on it since {day}; nobody has confirmed it.", set=name, day=one.since)
        way = note(say("say what is on it since when: a row of {table}", table=Table("seen")))
        yield Finding(Weight.NOTE, "taken-on", garage.cars[one.car].name, text, _LINE, way)


def _misplaced(now: Present) -> Iterator[Finding]:
    """Wheels that were seen on a car where they do not belong."""
    for car in now.garage.car:
        rows = now.misplaced(car.id)
        if rows and not any(c.car == car.id and c.coming != now.set_on(car.id) for c in now.open):
            at = [say("{wheel} {corner}", wheel=now.garage.wheels[w].name, corner=c.value) for c, w in rows]
            text = say("Not where they belong: {wheels}.", wheels=listed(at, Joined.COMMA))
            way = Way(WayKind.WORK, say("put them where they belong, or correct what is on it"))
            yield Finding(Weight.WARNING, "misplaced", car.name, text, (Basis(Ground.OWNER, "what was seen"),), way)


_LINE = (Basis(Ground.OWNER, "season line"),)


def _in_hand(task: PlanProblem, best: Solution) -> frozenset[int]:
    """The chosen refits that take a sensor in hand: as many as the plan uses, in order of set and corner."""
    out: set[int] = set()
    for stock, used in zip(task.stocks, best.blanks, strict=True):
        written = set(stock.written)
        out |= set([i for i in best.chosen if i in written and i not in out][:used])
    return frozenset(out)


def _wanted(garage: Garage, task: PlanProblem, chosen: tuple[Candidate, ...], day: date) -> dict[str, FreshRule]:
    """The wheels that need an ID drawn here, and what it must look like."""
    out = {}
    for n, (member, c) in enumerate(zip(task.members, chosen, strict=True)):
        if c.choice is IdChoice.FRESH and c.fresh_from is FreshFrom.DRAWN:
            cars = tuple(garage.cars[m.car] for m in task.mounts if n in m.wheels)
            rule = fresh_rule(garage, parts_on(garage, member.wheel, day).sensor, cars)
            assert rule is not None, "a fresh ID is only a candidate where its width is known"
            out[member.wheel] = rule
    return out


def _wheel_plan(
    garage: Garage,
    member: Member,
    c: Candidate,
    others: tuple[NotTaken, ...],
    why: Said | None,
    fresh: Reservation | None,
    states: tuple[IdState, IdState],
    *,
    in_hand: bool,
) -> WheelPlan:
    state, state_before = states
    return WheelPlan(
        wheel=member.wheel,
        set=member.set,
        corner=member.corner,
        sensor=member.sensor,
        action=c.action,
        in_hand=in_hand,
        choice=c.choice,
        id=fresh.id if fresh else c.definite,
        state=state,
        source=c.source,
        writer=c.writer,
        fresh_from=c.fresh_from,
        distance=fresh.distance if fresh else None,
        price=c.price,
        why=why,
        rests_on=_rests_on(garage, member, c),
        not_taken=others,
        own=c.own,
        serves=member.serves,
        when=c.when,
        before=c.until_then[0] if len(c.until_then) == 1 else None,
        state_before=state_before if c.when is not None else None,
        silent=c.silent_blank is not None,
    )


def _why(c: Candidate, left: Said | None, not_now: Said | None) -> Said | None:
    """Why a wheel gets what it gets. `left`: why it is not left as it is; `not_now`: why it is not written now."""
    if c.choice is IdChoice.KEEP and not c.carries:
        return say("nothing to write; its ID is not known, so it is compared with no other until it is read")
    if c.choice is IdChoice.KEEP and len(c.carries) > 1:
        return say("nothing to write; whichever way its print is read, no other sensor in earshot carries that ID")
    if c.choice is IdChoice.KEEP:
        return say("nothing to write, and no other sensor in earshot carries its ID")
    told = say("leaving it as it is: {what}", what=left) if left else None
    if not_now is None:
        return told
    now = say("writing it now: {what}", what=not_now)
    return say("{one}; {other}", one=told, other=now) if told else now


def _rests_on(garage: Garage, member: Member, c: Candidate) -> tuple[Basis, ...]:
    """What the wheel's ID rests on: the sensor and its family as the file has them, the car's list, or this plan."""
    sensor = garage.sensors.get(member.sensor or "")
    if c.choice is IdChoice.FRESH or sensor is None:
        return (Basis(Ground.COMPUTED, "this plan"),)
    if c.choice is IdChoice.CLONE:
        return (Basis(Ground.OWNER, "the car's list"),)
    family = garage.families.get(sensor.family or "")
    told = [sensor.basis("sends" if sensor.sends else "printed")]
    if family is not None:
        told += [family.basis("bits"), *(() if sensor.sends else (family.basis("printed"),))]
    return tuple(dict.fromkeys(told))
