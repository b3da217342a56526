"""The drawings of one set's tyres and sensors: the air in them, how long the sensors last, how the treads wear."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from markupsafe import Markup

from wheelside.fit.treads import TyreWear, measured_by
from wheelside.garage.lasting import SetLives
from wheelside.garage.model import Garage, WheelSet
from wheelside.garage.present import Present
from wheelside.tyre.tread import depth_on
from wheelside.tyre.wear import LEGAL_MM
from wheelside.units import GaugePressure, Length, Temperature, UnitChoice
from wheelside.watch.columns import AS_IF_AT_K
from wheelside.watch.curve import AHEAD_DAYS, TyreCurve, days_of
from wheelside.web.draw.amount import BELOW_KPA, STEPS_KPA
from wheelside.web.draw.lasting import ROOM, lasting
from wheelside.web.draw.several import WIDE, PlotScale, SmallPlot, names_for, several

MOST_TICKS = 5
MOST_YEARS, LEAST_YEARS = 10, 3
SURELY_OUT = 0.02
"""A set of which all still work with less than this chance is not drawn further on."""
MOST_CHANGES = 2
TREAD_DAYS = 2 * 365
"""So far ahead a tread is drawn at most."""
AHEAD_STEPS = 5
"""On the day it was measured last and on so many after it the way of a tread is worked out: it bends little between them."""


def air_of(garage: Garage, wheel_set: WheelSet, curves: Mapping[str, TyreCurve], units: UnitChoice) -> Markup:
    """The amounts of air of a set's tyres that were read twice at least; nothing where none was."""
    mine = {w: curves[w] for _, w in wheel_set.wheels if w in curves}
    if not mine:
        return Markup()
    low, high = _pressures(mine.values())
    names = _names(garage, wheel_set, mine, WIDE)
    first = min(c.read[0][0] for c in mine.values())
    shown = {w: units.show_pressure(GaugePressure(c.read[-1][1])) for w, c in mine.items()}
    plots = [_air(names[w], shown[w], c, low) for w, c in mine.items()]
    step = next((s for s in STEPS_KPA if (high - low) / s <= MOST_TICKS), STEPS_KPA[-1])
    ticks = tuple(
        (float(kpa), units.show_pressure(GaugePressure(kpa)).split()[0])
        for kpa in range((int(low) // step + 1) * step, int(high) + 1, step)
    )
    begun = min(days_of(c)[0] for c in mine.values())
    scale = PlotScale(
        (first, AHEAD_DAYS), (low, high), ticks, 0.0, f"{begun:%Y-%m}", f"{days_of(next(iter(mine.values())))[1]:%Y-%m}"
    )
    told = "; ".join(
        f"{garage.wheels[w].name}: {len(c.read)} readings since {days_of(c)[0]}, the last {shown[w]}, "
        f"by {days_of(c)[1]} {units.show_pressure(GaugePressure(c.ahead[-1][2]))}{_lamp(c, units)}"
        for w, c in mine.items()
    )
    at = units.show_temperature(Temperature(AS_IF_AT_K))
    lamp = " Dashed: the lamp comes on." if any(c.limit for c in mine.values()) else ""
    drawn = several(f"Air in each tyre, as if at {at}", plots, scale, told)
    return drawn + _caption(f"Dots: readings. Dotted: today. Band: where it goes, 9 times of 10.{lamp}")


def _lamp(c: TyreCurve, units: UnitChoice) -> str:
    return f", the lamp from {units.show_pressure(GaugePressure(max(c.limit)))}" if c.limit else ""


def _caption(said: str) -> Markup:
    return Markup('<p class="soft small">{}</p>').format(said)


def _pressures(curves: Iterable[TyreCurve]) -> tuple[float, float]:
    """From which pressure to which all are drawn, kPa."""
    every = [kpa for c in curves for kpa in [*(k for _, k, _ in c.read), *c.limit]]
    ahead = [c.ahead[-1][2] for c in curves]
    return max(min([*every, *ahead]) - 8, min(every) - BELOW_KPA), max(every) + 8


def _air(name: str, shown: str, c: TyreCurve, low: float) -> SmallPlot:
    ahead = [one for one in c.ahead if one[2] >= low]
    limit = tuple(zip((float(d) for d, *_ in c.ahead), c.limit, strict=True)) if c.limit else ()
    return SmallPlot(
        name, shown, tuple((d, kpa) for d, kpa, _ in c.read), tuple((float(d), middle) for d, _, middle, _ in ahead),
        tuple((float(d), least, most) for d, least, _, most in ahead), (limit,) if limit else (),
    )  # fmt: skip


def sensors_of(now: Present, lives: SetLives) -> Markup:
    """The chance that each of a set's sensors, and all of them, still work over the years."""
    wheel_set = now.garage.sets[lives.set]
    outlooks = [lives.within(0.0)]
    while len(outlooks) <= LEAST_YEARS or (len(outlooks) <= MOST_YEARS and outlooks[-1].any < 1 - SURELY_OUT):
        outlooks.append(lives.within(float(len(outlooks))))
    names = _names(now.garage, wheel_set, lives.wheels, ROOM)
    each = {names[w]: [1 - one.each[n] for one in outlooks] for n, w in enumerate(lives.wheels)}
    return lasting(each, [1 - one.any for one in outlooks], now.day, changes_ahead(now, lives.set))


def changes_ahead(now: Present, set_id: str) -> tuple[tuple[date, str], ...]:
    """The next days on which a set goes onto a car, or comes off one, and which of both it is."""
    mine = [s for s in now.line if s.set == set_id and s.on is not None]
    ends = {*((s.since, "on") for s in mine), *((s.until, "off") for s in mine)}
    return tuple(sorted(one for one in ends if now.day < one[0] < now.end))[:MOST_CHANGES]


def treads_of(garage: Garage, wheel_set: WheelSet, worn: tuple[TyreWear, ...], today: date) -> Markup:
    """The treads of a set's tyres that were measured on two days at least; nothing where none was."""
    if not worn:
        return Markup()
    units, at = garage.units.choice, {one.corner: one for one in worn}
    mine = {w: at[corner] for corner, w in wheel_set.wheels if corner in at}
    first = min(row.on for one in worn for row in one.tyre.measured if row.least_mm is not None)
    last = today + timedelta(days=min(TREAD_DAYS, max(365, *((one.used_up.latest - today).days for one in worn))))
    names = _names(garage, wheel_set, mine, WIDE)
    plots = [_tread(names[w], one, first, today, last) for w, one in mine.items()]
    deepest = max(value for plot in plots for _, value in plot.dots)
    marked = sorted({LEGAL_MM, deepest, *(one.used_up.mm for one in worn)})
    ticks = tuple((mm, units.show_tread(Length(mm)).split()[0]) for mm in marked)
    span = (float((first - today).days), float((last - today).days))
    scale = PlotScale(span, (0.0, deepest + 0.5), ticks, 0.0, f"{first:%Y-%m}", f"{last:%Y-%m}")
    told = "; ".join(
        f"{garage.wheels[w].name}: {len(plot.dots)} times measured, the last {units.show_tread(Length(plot.dots[-1][1]))}, "
        f"{units.show_tread(Length(one.used_up.mm))} about {one.used_up.day}"
        for (w, one), plot in zip(mine.items(), plots, strict=True)
    )
    drawn = several(f"Tread of each tyre, {units.show_tread(Length(0)).split()[-1]}", plots, scale, told)
    return drawn + _caption(
        "Dots: measured. Dotted: today. Band: where it goes, 9 times of 10. Dashed: your limit, and the law's."
    )


def _tread(name: str, one: TyreWear, first: date, today: date, last: date) -> SmallPlot:
    dots = tuple((float((day - today).days), mm) for day, mm in measured_by(one.tyre, today))
    ahead_days = (last - one.wearing.last).days
    days = [one.wearing.last + timedelta(days=ahead_days * n // AHEAD_STEPS) for n in range(AHEAD_STEPS + 1)]
    ahead = [(float((d - today).days), *(depth_on(one.wearing, d, share) for share in (0.05, 0.5, 0.95))) for d in days]
    span = (float((first - today).days), float((last - today).days))
    limits = tuple(tuple((at, mm) for at in span) for mm in sorted({LEGAL_MM, one.used_up.mm}))
    return SmallPlot(
        name, f"until {one.used_up.day:%Y-%m}", dots, (*dots[:-1], *((d, middle) for d, _, middle, _ in ahead)),
        tuple((d, least, most) for d, least, _, most in ahead), limits,
    )  # fmt: skip


def _names(garage: Garage, wheel_set: WheelSet, wheels: Iterable[str], room: float) -> dict[str, str]:
    corners = {w: corner.value for corner, w in wheel_set.wheels}
    return names_for({w: garage.wheels[w].name for w in wheels}, corners, room)
