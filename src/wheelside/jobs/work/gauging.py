"""A gauging: four figures and a temperature in a minute, kept as readings, and answered at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from urllib.parse import urlencode

from wheelside.air.plausible import odd_pressure, odd_temperature
from wheelside.book.events import Event, Happened, add_events, given_to_shop
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.book.readings import add_readings
from wheelside.book.series import last_gauge
from wheelside.declared.kinds import Unfit
from wheelside.errors import BadQuantity, BadRequest, NotThere
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.season import where
from wheelside.garage.words import Corner, Instrumentation
from wheelside.inquiry.query import AnswerRefused
from wheelside.inquiry.typed import told, with_unit
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import at_day
from wheelside.jobs.work.tyres import TyreAt, tyres_now
from wheelside.said import Coded
from wheelside.units import GaugePressure, Temperature, UnitChoice, read_gauge_pressure, read_temperature
from wheelside.units.moment import Moment
from wheelside.watch.judge import RefillAsked
from wheelside.watch.mended import Mended

OUTSIDE, GAUGE, TYRES = "outside", "gauge", "tyres"
"""What is typed beside the four figures, by its name."""


class Came(Coded):
    """Where figures come from."""

    GAUGE = "gauge", "by gauge"
    DASH = "dash", "off the dash"
    PORT = "port", "read from the car"


@dataclass(frozen=True, slots=True)
class GaugedWheel:
    """One wheel that is gauged: its id and name, the corner that it is at, or belongs to, and how its figure is named.

    `key`: on a car the corner, which stays while wheels change; off it the wheel.
    """

    key: str
    wheel: str
    name: str
    corner: Corner

    @property
    def keys(self) -> tuple[str, str]:
        """Its own key, and the one by which it is named off the car: a set may be fitted between asking and keeping."""
        return self.key, key_of(self.wheel)


def key_of(wheel: str) -> str:
    """How the figure of a wheel that is on no car is named."""
    return f"wheel {wheel}"


@dataclass(frozen=True, slots=True)
class GaugeCard:
    """What a gauging asks: of a car, or of a set that is put away; its wheels, the gauges there are, and the one used last."""

    car: Car | None
    set: WheelSet | None
    wheels: tuple[GaugedWheel, ...]
    gauges: tuple[tuple[str, str], ...]
    gauge: str

    @property
    def name(self) -> str:
        """What is gauged."""
        return self.car.name if self.car is not None else self.set.name if self.set is not None else ""

    @property
    def query(self) -> str:
        """The same in an address."""
        car, own = self.car, self.set
        return urlencode({"car": car.id} if car is not None else {"set": own.id if own is not None else ""})


def gauge_card(desk: Desk, car_id: str = "", set_id: str = "") -> GaugeCard:
    """The card of a car, of the first one where none is named; or of a set, which is that of its car while it is on one.

    Raises NotThere, Outside.
    """
    garage = desk.loaded().garage
    if set_id and (on := desk.present().car_of.get(set_id)) is None:
        return _card_of_set(desk, garage, set_id)
    if set_id:
        car_id = on or ""
    car = car_named(garage, car_id)
    at = desk.present().wheel_at(car.id)
    wheels = tuple(GaugedWheel(c.value, at[c], garage.wheels[at[c]].name, c) for c in Corner if c in at)
    return _with_gauges(desk, garage, GaugeCard(car, None, wheels, (), ""))


def car_named(garage: Garage, car_id: str = "") -> Car:
    """A car, the owner's first one where none is named. Raises NotThere."""
    car = garage.cars.get(car_id) if car_id else next(iter(garage.own_cars), None)
    if car is None:
        raise NotThere(
            f"no car '{car_id[:60]}' in the book" if car_id else "no car in the book yet",
            found=car_id[:60],
            expected="a car",
        )
    return car


def _card_of_set(desk: Desk, garage: Garage, set_id: str) -> GaugeCard:
    """The card of a set that is on no car; a wheel of it that is on one all the same is left out."""
    day, now = desk.clock().day, desk.present()
    own = garage.sets.get(set_id)
    if own is None or own.on_offer or own.gone_by(day):
        raise NotThere(f"no set '{set_id[:60]}' in the book", found=set_id[:60], expected="a set of yours")
    on = {w for car in garage.car for w in now.wheel_at(car.id).values()}
    wheels = tuple(GaugedWheel(key_of(w), w, garage.wheels[w].name, c) for c, w in own.wheels if w not in on)
    return _with_gauges(desk, garage, GaugeCard(None, own, wheels, (), ""))


def sets_put_away(desk: Desk) -> tuple[WheelSet, ...]:
    """The owner's sets that are on no car."""
    now, day = desk.present(), desk.clock().day
    return tuple(
        s for s in now.garage.set if s.wheels and not s.on_offer and not s.gone_by(day) and s.id not in now.car_of
    )


def _with_gauges(desk: Desk, garage: Garage, card: GaugeCard) -> GaugeCard:
    """With the gauges, and the one that was used last at these wheels, by id or name; else the one in hand."""
    gauges = tuple((i.id, i.name) for i in garage.instrument if i.kind is Instrumentation.GAUGE)
    with desk.book.reading() as conn:
        last = last_gauge(conn, tuple(w.wheel for w in card.wheels)) or garage.conditions.gauge or ""
    return replace(card, gauges=gauges, gauge=last)


@dataclass(frozen=True, slots=True)
class HowRead:
    """How the figures were read. `at`: when, where that is not now; `as_it_is`: odd ones really read so.

    `sent`: what the car itself told, by the card's keys, where they came by its port; a figure that was typed otherwise is by gauge.
    `tyre`: how warm the air in each tyre is that the car told with them, by the card's keys.
    """

    warm: bool = False
    came: Came = Came.GAUGE
    as_it_is: bool = False
    at: Moment | None = None
    sent: Mapping[str, str] = field(default_factory=dict)
    tyre: Mapping[str, Temperature] = field(default_factory=dict)

    def came_of(self, key: str, text: str) -> Came:
        """Where one figure comes from."""
        typed_otherwise = self.came is Came.PORT and self.sent.get(key, "").strip() != text.strip()
        return Came.GAUGE if typed_otherwise else self.came


def keep_gauging(
    desk: Desk,
    car_id: str,
    typed: Mapping[str, str],
    how: HowRead,
    *,
    set_id: str = "",
    person: str = "",
    via: str = "page",
) -> tuple[Reading, ...]:
    """Keeps what was read at the corners of a car, or of a set; `typed`: by the card's keys, 'outside' and 'gauge'. Wheels may be left out.

    The same figures of one moment are kept once. Of a set that is put away, 'outside' is how cold it is where it lies: its tyres are as cold.

    Raises AnswerRefused with what is wrong, by gap; NotThere, Outside.
    """
    card = gauge_card(desk, car_id, set_id)
    garage = desk.loaded().garage
    units, wrong = garage.units.choice, dict[str, str]()
    pressures = {
        w.wheel: (p, came, how.tyre.get(w.key) if came is Came.PORT else None)
        for w in card.wheels
        for text in (next((typed[k] for k in w.keys if typed.get(k, "").strip()), ""),)
        if (p := _pressure(text, w.key, units, wrong, as_it_is=how.as_it_is)) is not None
        for came in (how.came_of(w.key, text),)
    }
    outside = _outside(typed.get(OUTSIDE, ""), units, wrong)
    if not pressures and not wrong:
        wrong[""] = "type at least one figure"
    if wrong:
        raise AnswerRefused(wrong)
    now = how.at or desk.clock()
    gauges, names, away = {Came.GAUGE: typed.get(GAUGE, "").strip()[:60]}, dict(card.gauges), card.car is None
    readings = tuple(
        Reading(
            ("wheel", wheel), now.us + n, came.value, pressure, instrument=names.get(gauge, gauge) or None, offset_min=now.offset_min,
            purpose=Purpose.GAUGING, warmth=Warmth.WARM if how.warm and not away else Warmth.COLD, tyre=outside if away else tyre,
            outside=None if away else outside, place=_place(desk, card),
            instrument_id=gauge if gauge in names else None,
        )
        for n, (wheel, (pressure, came, tyre)) in enumerate(pressures.items())
        for gauge in (gauges.get(came, ""),)
    )  # fmt: skip
    with desk.writing(f"pressures of {card.name} gauged", person=person, via=via) as writing:
        add_readings(writing, readings, as_it_is=True)
    return readings


def _place(desk: Desk, card: GaugeCard) -> str | None:
    """Where they were read: where the car stands, or the set lies; None where that is not known."""
    if card.car is not None:
        return card.car.stands_at
    spell = where(desk.present().line, card.set.id, desk.clock().day) if card.set is not None else None
    return spell.at if spell is not None else None


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


def tyres_of_card(desk: Desk, card: GaugeCard) -> tuple[tuple[TyreAt, ...], tuple[tuple[TyreAt, RefillAsked], ...]]:
    """What is said of the tyres of a card, in its order, and what is to be asked of them. Raises Outside."""
    wheels = tuple(w.wheel for w in card.wheels)
    if not wheels:
        return (), ()
    now = tyres_now(desk, wheels=wheels)
    tyres = tuple(t for w in wheels if (t := now.of(w)) is not None)
    return tyres, tuple((t, one) for t in tyres for one in now.asked if one.wheel == t.wheel)


def keep_mended(desk: Desk, wheel: str, what: Mended, *, person: str = "", via: str = "page") -> None:
    """Keeps that a leak was looked for, and what was done: it is held for mended only once it was gauged again. Raises NotThere, Outside."""
    if wheel not in desk.loaded().garage.wheels:
        raise NotThere(f"no wheel '{wheel[:60]}' in the book", found=wheel[:60], expected="a wheel")
    kind = Happened.CHECKED if what is Mended.NOT_FOUND else Happened.MENDED
    with desk.writing(f"leak of {wheel} looked for", person=person, via=via) as writing:
        add_events(writing, [Event(kind, desk.clock(), wheel=wheel, detail={"leak": what.value})])


def keep_at_shop(desk: Desk, wheel: str, *, person: str = "", via: str = "page") -> None:
    """Keeps that a wheel goes to a workshop, until it is said to be mended; once, however often that is said. Raises NotThere, Outside."""
    if wheel not in desk.loaded().garage.wheels:
        raise NotThere(f"no wheel '{wheel[:60]}' in the book", found=wheel[:60], expected="a wheel")
    if at_shop_since(desk, wheel) is None:
        with desk.writing(f"{wheel} goes to a workshop", person=person, via=via) as writing:
            add_events(writing, [Event(Happened.AT_SHOP, desk.clock(), wheel=wheel)])


def at_shop_since(desk: Desk, wheel: str) -> Moment | None:
    """Since when a wheel is with a workshop; None where it is not. Raises Outside."""
    with desk.book.reading() as conn:
        return given_to_shop(conn, wheel)


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
