"""A gauging: four figures and a temperature in a minute, kept as readings, and answered at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from wheelside.air.plausible import odd_pressure, odd_temperature
from wheelside.book.events import Event, Happened, add_events
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.book.readings import add_readings
from wheelside.book.series import last_gauge
from wheelside.declared.kinds import Unfit
from wheelside.errors import BadQuantity, BadRequest, NotThere
from wheelside.garage.model import Car, Garage
from wheelside.garage.words import Corner, Instrumentation
from wheelside.inquiry.query import AnswerRefused
from wheelside.inquiry.typed import told, with_unit
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import at_day
from wheelside.said import Coded
from wheelside.units import GaugePressure, Temperature, UnitChoice, read_gauge_pressure, read_temperature
from wheelside.units.moment import Moment
from wheelside.watch.mended import Mended

OUTSIDE, GAUGE, TYRES = "outside", "gauge", "tyres"
"""What is typed beside the four figures, by its name."""


class Came(Coded):
    """Where figures come from."""

    GAUGE = "gauge", "by gauge"
    DASH = "dash", "off the dash"


@dataclass(frozen=True, slots=True)
class GaugeCard:
    """What a gauging asks of a car: its wheels by corner with their names, the gauges there are, and the one used last."""

    car: Car
    wheels: tuple[tuple[Corner, str, str], ...]
    gauges: tuple[tuple[str, str], ...]
    gauge: str


def gauge_card(desk: Desk, car_id: str = "") -> GaugeCard:
    """The card of a car, of the first one where none is named. Raises NotThere, Outside."""
    garage = desk.loaded().garage
    own = [c for c in garage.car if not c.somebody_elses]
    car = garage.cars.get(car_id) if car_id else next(iter(own), None)
    if car is None:
        raise NotThere(
            f"no car '{car_id}' in the book" if car_id else "no car in the book yet",
            found=car_id[:60],
            expected="a car",
        )
    at = desk.present().wheel_at(car.id)
    wheels = tuple((c, at[c], garage.wheels[at[c]].name) for c in Corner if c in at)
    gauges = tuple((i.id, i.name) for i in garage.instrument if i.kind is Instrumentation.GAUGE)
    return GaugeCard(car, wheels, gauges, _last_gauge(desk, garage, tuple(w for _, w, _ in wheels)))


def _last_gauge(desk: Desk, garage: Garage, wheels: tuple[str, ...]) -> str:
    """The gauge that was used last at these wheels, by id or name; else the one in hand."""
    with desk.book.reading() as conn:
        return last_gauge(conn, wheels) or garage.conditions.gauge or ""


@dataclass(frozen=True, slots=True)
class HowRead:
    """How the figures were read. `at`: when, where that is not now; `as_it_is`: odd ones really read so."""

    warm: bool = False
    came: Came = Came.GAUGE
    as_it_is: bool = False
    at: Moment | None = None


def keep_gauging(
    desk: Desk, car_id: str, typed: Mapping[str, str], how: HowRead, *, person: str = "", via: str = "page"
) -> tuple[Reading, ...]:
    """Keeps what was read at the corners of a car; `typed`: by corner, 'outside' and 'gauge'. Corners may be left out.

    The same figures of one moment are kept once.

    Raises AnswerRefused with what is wrong, by gap; NotThere, Outside.
    """
    card = gauge_card(desk, car_id)
    garage = desk.loaded().garage
    units, wrong = garage.units.choice, dict[str, str]()
    pressures = {
        wheel: p
        for corner, wheel, _ in card.wheels
        if (p := _pressure(typed.get(corner.value, ""), corner.value, units, wrong, as_it_is=how.as_it_is)) is not None
    }
    outside = _outside(typed.get(OUTSIDE, ""), units, wrong)
    if not pressures and not wrong:
        wrong[""] = "type at least one figure"
    if wrong:
        raise AnswerRefused(wrong)
    now = how.at or desk.clock()
    gauge = typed.get(GAUGE, "").strip()[:60] if how.came is Came.GAUGE else ""
    names = dict(card.gauges)
    readings = tuple(
        Reading(
            ("wheel", wheel), now.us + n, how.came.value, pressure, instrument=names.get(gauge, gauge) or None, offset_min=now.offset_min,
            purpose=Purpose.GAUGING, warmth=Warmth.WARM if how.warm else Warmth.COLD, outside=outside, place=card.car.stands_at,
            instrument_id=gauge if gauge in names else None,
        )
        for n, (wheel, pressure) in enumerate(pressures.items())
    )  # fmt: skip
    with desk.writing(f"pressures of {card.car.name} gauged", person=person, via=via) as writing:
        add_readings(writing, readings, as_it_is=True)
    return readings


def _pressure(text: str, gap: str, units: UnitChoice, wrong: dict[str, str], *, as_it_is: bool) -> GaugePressure | None:
    if not text.strip():
        return None
    try:
        said = _flat_or(text, units)
    except (Unfit, BadQuantity) as error:
        wrong[gap] = told(error) if isinstance(error, Unfit) else f"{text.strip()[:20]} is no pressure: write it as 2.3"
        return None
    if not as_it_is and (odd_pressure(said.kpa, "kPa", absolute=False) or said.kpa > MOST_TYPED_KPA):
        wrong[gap] = f"{text.strip()[:20]} is no tyre's pressure: look again"
        return None
    return said


MOST_TYPED_KPA = 700.0


def _flat_or(text: str, units: UnitChoice) -> GaugePressure:
    """A pressure as typed; a small one counts in the owner's own unit: a flat tyre reads 0."""
    bare = text.strip().replace(",", ".")
    try:
        low = float(bare) * {"bar": 100.0, "psi": 6.894757, "kPa": 1.0}[units.pressure]
    except ValueError:
        low = MOST_TYPED_KPA
    if 0.0 <= low < 100.0 and (units.pressure != "bar" or float(bare) < 1.0):
        return GaugePressure(low)
    return read_gauge_pressure(with_unit(text, "bar", units))


def _outside(text: str, units: UnitChoice, wrong: dict[str, str]) -> Temperature | None:
    if not text.strip():
        return None
    try:
        said = read_temperature(with_unit(text, "°C", units))
    except (Unfit, BadQuantity):
        wrong[OUTSIDE] = f"{text.strip()[:20]} is no temperature: write it as 8 or -3"
        return None
    if odd_temperature(said.celsius, "°C", outside=True):
        wrong[OUTSIDE] = f"{text.strip()[:20]} is no temperature outside: look again"
        return None
    return said


def keep_mended(desk: Desk, wheel: str, what: Mended, *, person: str = "", via: str = "page") -> None:
    """Keeps that a leak was looked for, and what was done: it is held for mended only once it was gauged again. Raises NotThere, Outside."""
    if wheel not in desk.loaded().garage.wheels:
        raise NotThere(f"no wheel '{wheel[:60]}' in the book", found=wheel[:60], expected="a wheel")
    kind = Happened.CHECKED if what is Mended.NOT_FOUND else Happened.MENDED
    with desk.writing(f"leak of {wheel} looked for", person=person, via=via) as writing:
        add_events(writing, [Event(kind, desk.clock(), wheel=wheel, detail={"leak": what.value})])


def keep_filled(desk: Desk, wheel: str, day: date, *, filled: bool, person: str = "", via: str = "page") -> None:
    """Keeps whether somebody let air into a tyre about a day. Raises NotThere, Outside."""
    if wheel not in desk.loaded().garage.wheels:
        raise NotThere(f"no wheel '{wheel[:60]}' in the book", found=wheel[:60], expected="a wheel")
    at = at_day(day, desk.clock())
    with desk.writing(f"air let into {wheel}: {'yes' if filled else 'no'}", person=person, via=via) as writing:
        add_events(writing, [Event(Happened.FILLED, at, wheel=wheel, detail={"filled": filled})])


def mended_as(code: str) -> Mended:
    """What was found, by its code. Raises BadRequest."""
    try:
        return Mended(code)
    except ValueError:
        raise BadRequest("choose what it was", found=code[:20], expected=", ".join(Mended)) from None
