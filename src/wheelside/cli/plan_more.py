"""What is printed of a plan when it is asked for: a what-if, tipping points, a conflict and its ways out."""

from __future__ import annotations

from wheelside.cli.tell import Teller
from wheelside.identity.plan import IdentityPlan
from wheelside.identity.tipping import MOST_TIMES, Tipping
from wheelside.jobs.work.plan import Planned, Supposed
from wheelside.said import Joined, listed, say
from wheelside.units import UnitChoice

_SHARES = ("pair_meets", "write_wrong", "teach_fails")
_TIMES = ("write", "write_mounted", "shop_trip", "move", "fault")


def show_difference(out: Teller, supposed: Supposed) -> None:
    """What the plan does otherwise with the supposed facts."""
    out.heading(f"If {' and '.join(supposed.facts)}", "nothing is saved")
    for line in supposed.difference.lines or (say("nothing changes in what is done"),):
        out.line(f"- {out.speech.text(line)}", indent=2)
    extra = supposed.difference
    if extra.extra_weight is None or extra.extra_seconds is None or extra.extra_hundredths is None:
        return
    units, currency = supposed.planned.garage.units.choice, supposed.planned.plan.currency
    parts = [
        f"{'+' if amount > 0 else '−'}{units.number(abs(amount), digits)} {unit}"
        for amount, digits, unit in (
            (extra.extra_seconds / 60, 0, "min"), (extra.extra_hundredths / 100, 2, currency),
        )
        if amount
    ]  # fmt: skip
    all_in = units.number(abs(extra.extra_weight) / 360_000, 2)
    sign = "more" if extra.extra_weight > 0 else "less"
    weighed = f"{all_in} {currency} {sign} all in all, risks counted" if extra.extra_weight else "the same all in all"
    out.line(f"cost: {', '.join([*parts, weighed])}", indent=2)


def show_tipping(out: Teller, planned: Planned) -> None:
    """From which figures another plan would win."""
    out.heading(
        "When another plan would win", f"figures from nothing to {MOST_TIMES:g} times what they are, one at a time"
    )
    if not planned.tipping:
        none = "none of them changes the plan" if planned.plan.possible else "there is no plan to change"
        out.line(none, indent=2)
        return
    units, currency = planned.garage.units.choice, planned.plan.currency
    rows = []
    for t in planned.tipping:
        side = f"{'below' if t.factor < 1 else 'above'} {_figure(t, t.beyond, units, currency)}"
        rows.append(
            (t.name, _figure(t, t.now, units, currency), side, out.speech.text(listed(t.changes, Joined.SEMICOLON)))
        )
    out.table(("figure", "now", "another plan wins", "which does otherwise"), rows, whole=(1, 2))


def _figure(t: Tipping, value: float, units: UnitChoice, currency: str) -> str:
    if t.name in _SHARES:
        return f"{units.number(100 * value, 1)} %"
    if t.name in _TIMES:
        return f"{units.number(value / 60, 1)} min"
    if t.name == "sensor_life":
        return f"{units.number(value, 1)} years"
    if t.name == "teach":
        return f"{units.number(value, 2)} times"
    return f"{units.number(value / 100, 2)} {currency}"


def show_conflict(out: Teller, plan: IdentityPlan, units: UnitChoice) -> None:
    """Why no plan is possible, and the cheapest ways out."""
    out.heading(
        "No plan is possible",
        "these can't all hold; each of them changed would lift this conflict, though another may remain",
    )
    for fact in plan.conflict:
        out.line(f"- {out.speech.text(fact.text)}", indent=2)
        out.line(f"rests on {out.speech.text(fact.basis.said)}", style="dim", indent=4)
    out.heading("Ways out", "each tried by planning with it; cost of the best plan then, all in all")
    if not plan.ways_out:
        out.line("none that Wheelside knows of: change one of the facts above", indent=2)
    rows = [
        (units.number(way.weight / 360_000, 2), units.number(way.own_weight / 360_000, 2), out.speech.text(way.text))
        for way in plan.ways_out
    ]
    if rows:
        out.table(
            (f"{plan.currency}, all in all", "of it for the change", "what to do"), rows, right=(0, 1), whole=(0, 1)
        )
