"""From a plan and an air card to the run sheet of one job. Write it like this."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from wheelside.fill.card import AirCard
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight
from wheelside.garage.change import Change
from wheelside.garage.model import Garage
from wheelside.garage.present import Present
from wheelside.identity.plan import IdentityPlan
from wheelside.said import Command, say
from wheelside.sheet.after import after, after_on_stand, record
from wheelside.sheet.aim import aim
from wheelside.sheet.before import before, before_on_stand, lamp_before, pressures_before
from wheelside.sheet.cards import cards
from wheelside.sheet.carry import bring, bring_first, put_away
from wheelside.sheet.context import NO_CAR, Job
from wheelside.sheet.extent import Extent
from wheelside.sheet.extent_asked import to_do
from wheelside.sheet.flat import flat
from wheelside.sheet.looks import looks
from wheelside.sheet.one_wheel import again, change_tyre, its_pressure
from wheelside.sheet.order import gauged_first
from wheelside.sheet.prove import codes_now, drive, learning_drive, look_later, prove
from wheelside.sheet.step import Does, RunSheet, Stage, Step
from wheelside.sheet.swap import fastened, gauged, pressures, shop_swaps, swap, take_off
from wheelside.sheet.teach import store, teach
from wheelside.sheet.write import bench, in_wheel, shop, written_wrongly

Part = Callable[[Job], Iterable[Step]]


def _change(job: Job) -> tuple[Part, ...]:
    """The parts of a whole change of wheels, in the order in which a person works: by what is on the car already, and by what must come before
    the car rolls or learns."""
    sensors: tuple[Part, ...] = (bring_first, take_off, shop, in_wheel) if job.leaving else (in_wheel, shop)
    on_it: tuple[Part, ...] = (pressures, put_away, teach) if gauged_first(job) else (put_away, teach, pressures)
    swapped: tuple[Part, ...] = (bring, swap) if job.extent is Extent.ALL else (shop_swaps,)
    return (before, bench, *sensors, *swapped, *on_it, store, codes_now, drive, prove, after, written_wrongly)


_PARTS: dict[Extent, tuple[Part, ...]] = {
    Extent.PRESSURES: (pressures_before, pressures, store),
    Extent.TEACH: (lamp_before, fastened, gauged, teach, store, learning_drive, record),
    Extent.FLAT: (flat,),
    Extent.WHEEL: (lamp_before, change_tyre, its_pressure, store, drive, again),
    Extent.PROVE: (lamp_before, pressures_before, fastened, gauged, store, drive, prove, record, look_later),
}
_ON_STAND: tuple[Part, ...] = (before_on_stand, bench, in_wheel, shop, after_on_stand, written_wrongly)


def run_sheet(
    garage: Garage, plan: IdentityPlan, card: AirCard, change: Change, *, in_book: bool = False, extent: Extent = Extent.ALL,
    about: str = "",
) -> RunSheet:  # fmt: skip
    """The ordered steps of one change of wheels, each with the evidence that it wants.

    `card` is the air card of the coming set on the car. For a set that goes on no car (`change.car` is '') the sheet has the
    work on its sensors, where the wheels stand. `extent`: one part of the work, for the set that is on the car; `about`: the one wheel of it that
    the work is
    about, where it is about one.

    Raises BadRequest where the set gives no such part something to do.
    """
    job = Job(
        garage, plan, card, garage.cars.get(change.car, NO_CAR), garage.sets[change.coming], garage.sets.get(change.going or ""),
        change.day, change.then, Present(garage, plan.day, plan.end), in_book, extent, about,
    )  # fmt: skip
    to_do(job)
    parts = _ON_STAND if job.on_stand else _PARTS.get(extent) or _change(job)
    steps = _in_order([step for part in parts for step in part(job)])
    return RunSheet(
        car=change.car,
        coming=change.coming,
        going=change.going,
        stays_on=job.coming_is_on,
        day=change.day,
        aim=aim(job),
        steps=steps,
        findings=tuple(dict.fromkeys((*_said_before(job), *looks(job)))),
        due=change.due,
        extent=extent,
        about=about,
        cards=cards(job, steps),
    )


def _in_order(steps: list[Step]) -> tuple[Step, ...]:
    """The steps, each waiting only for steps that there are: what is done at the car for the wheels to be on and fastened, and the drive for all
    that must be done before the car rolls: fastened, gauged, taught."""
    first = {Stage.SWAP, Stage.AIR, Stage.AWAY, Stage.TEACH}
    rolls = tuple(s.id for s in steps if s.stage in first and s.does not in (Does.FIT, Does.STORE))
    on = tuple(s.id for s in steps if s.does in _ON)
    ids = {s.id for s in steps}

    def waits(step: Step) -> tuple[str, ...]:
        at_the_car = step.stage in _AT_THE_CAR or step.does is Does.TORQUE_AGAIN
        wanted = rolls if step.does is Does.DRIVE else (*on, *step.waits_for) if at_the_car else step.waits_for
        return tuple(one for one in dict.fromkeys(wanted) if one in ids)

    return tuple(replace(s, waits_for=waits(s)) for s in steps)


_ON = (Does.TORQUE, Does.STOW_SPARE, Does.SHOP_SWAPS, Does.CHANGE_TYRE)
_AT_THE_CAR = frozenset({Stage.AIR, Stage.AWAY, Stage.TEACH})


def _said_before(job: Job) -> list[Finding]:
    """What plan and air card had to say and the person at the wheel must not miss: all but the notes."""
    if job.extent is Extent.FLAT:
        return []
    if not job.extent.by_plan:
        return [f for f in job.card.findings if f.weight is not Weight.NOTE]
    said = [f for f in (*job.plan.findings, *job.card.findings) if f.weight is not Weight.NOTE]
    return [*said, *(_other_work(job) if job.extent.changes else ())]


def _other_work(job: Job) -> list[Finding]:
    """Sets that this sheet is not about and that have sensors to be written or changed: best done while they are stored."""
    beside = (w for w in job.plan.wheels if not w.is_in(job.coming.id))
    others = dict.fromkeys(w.set for w in beside if w.has_work(job.then))
    basis = (Basis(Ground.COMPUTED, "identity plan"),)
    text = say(
        "It has sensors to be written or changed too, which this sheet does not cover; until then what the plan warns of stands."
    )
    return [
        Finding(Weight.WARNING, "other-work", job.garage.sets[name].name, text, basis, _how_to_see(name))
        for name in others
    ]


def _how_to_see(name: str) -> Way:
    return Way(
        WayKind.WORK,
        say(
            "{sheet} lists the steps: do them now, where it is stored",
            sheet=Command(f'wheelside sheet … --set "{name}"', "/jobs", f"a job for {name}"),
        ),
    )  # fmt: skip
