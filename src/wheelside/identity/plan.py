"""The identity plan of a garage: what each wheel carries, what each car is taught, what it costs, and why. Write it like this."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.finding import Basis, Finding, Ground
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage
from wheelside.garage.season import Spell, horizon_end, spells
from wheelside.garage.words import Corner
from wheelside.identity.candidates import fresh_rule, members
from wheelside.identity.choice import Action, Candidate, FreshFrom, IdChoice, Member
from wheelside.identity.costs import Price, Rate, tariff
from wheelside.identity.doubts import doubts
from wheelside.identity.explain import NotTaken, no_plan, not_taken, standing_clashes, taken_out_findings
from wheelside.identity.pairs import pair_findings
from wheelside.identity.problem import Problem, problem
from wheelside.identity.reserve import Reservation, reserve, standing, used_keys
from wheelside.identity.solve import PlanModel, Solution
from wheelside.sensor.fresh import FreshRule, RandomBits
from wheelside.sensor.ident import SensorId

_RATES = Basis(Ground.COMPUTED, "the rates of this plan")


@dataclass(frozen=True, slots=True)
class WheelPlan:
    """What one wheel carries. `id` is None where it is to be read, made up by the writer, or comes with the sensor.

    `source`: whose ID a clone takes. `distance`: by how many printed digits a fresh ID differs from
    every other, 3 standing for 3 or more; None where it was not drawn here.
    """

    wheel: str
    set: str
    corner: Corner
    sensor: str | None
    action: Action
    choice: IdChoice
    id: SensorId | None
    source: str
    writer: str | None
    fresh_from: FreshFrom | None
    distance: int | None
    price: Price
    why: str
    rests_on: tuple[Basis, ...]
    not_taken: tuple[NotTaken, ...]

    @property
    def writes(self) -> bool:
        return self.writer is not None


@dataclass(frozen=True, slots=True)
class TeachPlan:
    """A set going on a car, and whether the car has to be taught it then."""

    car: str
    set: str
    day: date
    needed: bool
    price: Price
    why: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class CostLine:
    """One term of the plan's cost, by the rates of the plan."""

    what: str
    price: Price
    basis: Basis


@dataclass(frozen=True, slots=True)
class IdentityPlan:
    """The plan from `day` to `end`. `possible` is False where no plan keeps all rules; findings say why then.

    `weight` is the cost in 1/3600 of a hundredth of `currency`, time at the owner's hourly worth, and
    `bound` what is proven that no plan can be below; they are equal where the plan is proven best.
    """

    day: date
    end: date
    possible: bool
    wheels: tuple[WheelPlan, ...]
    teachings: tuple[TeachPlan, ...]
    costs: tuple[CostLine, ...]
    total: Price
    currency: str
    weight: int
    bound: int
    rates: tuple[Rate, ...]
    reserved: tuple[Reservation, ...]
    findings: tuple[Finding, ...]
    line: tuple[Spell, ...]


def identity_plan(garage: Garage, day: date, earlier: tuple[Reservation, ...], random_bits: RandomBits) -> IdentityPlan:
    """The best plan for a garage as it stands on `day`, proven optimal.

    `earlier`: what was reserved by plans before. `random_bits`: k -> k random bits, for fresh IDs that
    are not reserved yet.
    """
    end = horizon_end(garage, day)
    line = spells(garage, day, end)
    rates = tariff(garage.costs, garage.units.choice)
    wheels = members(garage, day, line, rates)
    task = problem(garage, wheels, line, day, end, rates)
    findings = [*doubts(garage, wheels, line, day, end), *standing_clashes(garage, task)]
    model = PlanModel(task) if all(task.of_member) and wheels else None
    best = model.best() if model else None
    if model is None or best is None:
        findings += no_plan(garage, task) if wheels else ()
        empty = Price(0, 0)
        return IdentityPlan(
            day, end, not wheels, (), (), (), empty, rates.currency, 0, 0, rates.rates, earlier, tuple(findings), line
        )
    chosen = tuple(task.candidates[i] for i in best.chosen)
    wanted = _wanted(garage, task, chosen, day)
    reserved = reserve(garage, wanted, earlier, random_bits, day)
    used = used_keys(garage)
    drawn = {wheel: standing(reserved, wheel, rule, used) for wheel, rule in wanted.items()}
    planned = tuple(
        _wheel_plan(garage, model, best, member, c, drawn.get(member.wheel))
        for member, c in zip(wheels, chosen, strict=True)
    )
    findings += taken_out_findings(garage, wheels, chosen)
    findings += pair_findings(garage, planned)
    return IdentityPlan(
        day=day,
        end=end,
        possible=True,
        wheels=planned,
        teachings=tuple(_teach_plan(garage, task, m, best) for m in range(len(task.mounts))),
        costs=_cost_lines(garage, task, best),
        total=best.price,
        currency=rates.currency,
        weight=best.weight,
        bound=best.bound,
        rates=rates.rates,
        reserved=reserved,
        findings=tuple(dict.fromkeys(findings)),
        line=line,
    )


def _wanted(garage: Garage, task: Problem, chosen: tuple[Candidate, ...], day: date) -> dict[str, FreshRule]:
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
    garage: Garage, model: PlanModel, best: Solution, member: Member, c: Candidate, fresh: Reservation | None
) -> WheelPlan:
    others = not_taken(garage, model, best, member, c)
    return WheelPlan(
        wheel=member.wheel,
        set=member.set,
        corner=member.corner,
        sensor=member.sensor,
        action=c.action,
        choice=c.choice,
        id=fresh.id if fresh else c.definite,
        source=c.source,
        writer=c.writer,
        fresh_from=c.fresh_from,
        distance=fresh.distance if fresh else None,
        price=c.price,
        why=_why(c, others),
        rests_on=_rests_on(garage, member, c),
        not_taken=others,
    )


def _why(c: Candidate, others: tuple[NotTaken, ...]) -> str:
    if c.choice is IdChoice.KEEP and not c.carries:
        return "nothing to write; its ID is not known, so it is held against no other until it is read"
    if c.choice is IdChoice.KEEP and len(c.carries) > 1:
        return "nothing to write; whichever way its print is read, no other sensor in earshot carries that ID"
    if c.choice is IdChoice.KEEP:
        return "nothing to write, and no other sensor in earshot carries its ID"
    keep = next((o for o in others if (o.action, o.choice) == (Action.STAYS, IdChoice.KEEP)), None)
    return f"leaving it as it is: {keep.text}" if keep else ""


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


def _teach_plan(garage: Garage, task: Problem, m: int, best: Solution) -> TeachPlan:
    mount, needed = task.mounts[m], best.taught[m]
    car = garage.cars[mount.car]
    if needed and car.holds is None and not any(task.mounts[i].car == mount.car for i in range(m)):
        why = "what the car's list holds is not known, so it is reckoned as to be taught"
    elif needed:
        why = "the car's list does not hold these IDs then"
    elif m and any(task.mounts[i].set == mount.set for i in range(m) if task.mounts[i].car == mount.car):
        why = "the car still remembers this set"
    else:
        why = "the car's list holds these IDs"
    basis = Basis(Ground.UNKNOWN, "'holds' is not noted")
    if car.holds is not None:
        days = [str(held.as_of) for held in car.holds if held.as_of]
        told = car.basis("holds")
        basis = Basis(told.ground, f"{told.source}, as of {', '.join(days)}") if days else told
    return TeachPlan(mount.car, mount.set, mount.day, needed, mount.teach if needed else Price(0, 0), why, basis)


def _cost_lines(garage: Garage, task: Problem, best: Solution) -> tuple[CostLine, ...]:
    lines = []
    for n, i in enumerate(best.chosen):
        c = task.candidates[i]
        if c.price != Price(0, 0):
            wheel = garage.wheels[task.members[n].wheel].name
            lines.append(CostLine(f"wheel {wheel}: sensor {c.action.value}, ID {c.choice.value}", c.price, _RATES))
    for trip in task.trips:
        refits = [n for n, i in enumerate(best.chosen) if i in trip]
        if refits:
            name = garage.sets[task.members[refits[0]].set].name
            lines.append(CostLine(f"tyre shop with {name}", task.tariff.shop_trip, _RATES))
    for mount, needed in zip(task.mounts, best.taught, strict=True):
        if needed:
            car, name = garage.cars[mount.car].name, garage.sets[mount.set].name
            lines.append(CostLine(f"teach {car} the set {name}, {mount.day}", mount.teach, _RATES))
    return tuple(lines)
