"""What a garage file must not contradict: references, joinings, the season line, IDs.

Each check adds complaints and none stops the others. Doubts that a person can live with are no
complaints; they are findings of the plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields
from datetime import date
from difflib import get_close_matches

from wheelside.declared.lines import PathKey
from wheelside.declared.read import Complaint
from wheelside.declared.row import Thing
from wheelside.errors import BadText
from wheelside.garage.check_offers import OFFER_CHECKS
from wheelside.garage.ids import family_readings, sensor_readings
from wheelside.garage.model import Car, Garage, Sensor
from wheelside.garage.season import FAR, Spell, spells
from wheelside.garage.stay import Outing, Seen, StandIn
from wheelside.garage.wishes import Costs
from wheelside.garage.words import Corner, Heard, Instrumentation, Monitor, TakenOut
from wheelside.tyre.speed import speed_of
from wheelside.units import GaugePressure, Money

LEAST_PLACARD = GaugePressure(150.0)
"""No placard of a car in scope lies below; common practice, no source."""
Complaints = Iterator[Complaint]


def check_references(garage: Garage, references: tuple[tuple[PathKey, str, str], ...]) -> Complaints:
    """Every id that a row refers to is there."""
    known = {table: {row.id: None for row in getattr(garage, table)} for _, table, _ in references}
    for path, table, value in references:
        ids = known[table]
        if value not in ids:
            near = get_close_matches(value, ids, 1, 0.6)
            fix = f"write '{near[0]}'" if near else f"add a [[{table}]] with id = {value!r}"
            yield Complaint(path, f"'{value}'", f"the id of a [[{table}]]", fix)


def _unique_ids(garage: Garage) -> Complaints:
    for f in fields(garage):
        rows = getattr(garage, f.name)
        if not isinstance(rows, tuple) or not rows or not isinstance(rows[0], Thing):
            continue
        seen: set[str] = set()
        for i, row in enumerate(rows):
            if row.id in seen:
                yield Complaint(
                    (f.name, i, "id"), f"'{row.id}' a second time", "an id that only this row has", "rename one of them"
                )
            seen.add(row.id)


def _as_family(garage: Garage, at: PathKey, row: Car | Sensor, keys: tuple[str, ...]) -> Complaints:
    """What a car or sensor says of itself is what its family says."""
    family = garage.families.get(row.family or "")
    for key in keys:
        own, shared = getattr(row, key), getattr(family, key, None)
        if own is not None and shared is not None and own != shared:
            fix = f"leave '{key}' out here, or give it another family"
            yield Complaint((*at, key), str(own), f"{shared}, as its family has", fix)


def _scope(garage: Garage) -> Complaints:
    for i, car in enumerate(garage.car):
        at = ("car", i)
        if car.twin_wheels:
            yield Complaint(
                (*at, "twin_wheels"), "true", "single wheels", "twin wheels are out of scope; leave this vehicle out"
            )
        if car.speed_symbol:
            try:
                speed_of(car.speed_symbol)
            except BadText as error:
                yield Complaint((*at, "speed_symbol"), repr(car.speed_symbol), error.expected, error.message)
        yield from _as_family(garage, at, car, ("band",))
        if car.slots == 0:
            need = len(car.monitored_corners)
            fix = f"a set has {need} IDs: give the size of the whole list"
            yield Complaint((*at, "remembers_ids"), str(car.remembers_ids), f"at least {need}", fix)
        if car.monitor not in (Monitor.DIRECT, None) and car.holds:
            yield Complaint(
                (*at, "holds"), "IDs", "none: this car has no wheel sensors", "take 'holds' out or correct 'monitor'"
            )


def _placards(garage: Garage) -> Complaints:
    for i, car in enumerate(garage.car):
        seen = set()
        for k, row in enumerate(car.placard):
            at = ("car", i, "placard", k)
            name = (row.tyre.size, row.load)
            if name in seen:
                yield Complaint(
                    (*at, "load"), f"a second row for {row.tyre.size}, {row.load}", "one row for each size and load"
                )
            seen.add(name)
            for key in ("front", "rear", "spare"):
                pressure = getattr(row, key)
                if pressure is not None and not LEAST_PLACARD.kpa <= pressure.kpa <= 700:
                    found = f"{pressure.kpa:.0f} kPa"
                    yield Complaint((*at, key), found, "1.5 to 7 bar (22 to 101 psi)", "check the number and its unit")


def _paths(garage: Garage) -> Complaints:
    seen: set[tuple[str, ...]] = set()
    for i, path in enumerate(garage.path):
        pair = tuple(sorted(set(path.between)))
        if len(pair) != 2:
            yield Complaint(("path", i, "between"), str(list(path.between)), "two different places")
        elif pair in seen:
            yield Complaint(
                ("path", i, "between"), f"a second path between {pair[0]} and {pair[1]}", "one path for two places"
            )
        seen.add(pair)


def _climate(garage: Garage) -> Complaints:
    seen: set[tuple[str | None, int]] = set()
    for i, row in enumerate(garage.climate):
        if (row.place, row.month) in seen:
            yield Complaint(
                ("climate", i, "month"), f"a second line for month {row.month}", "one line for each month and place"
            )
        seen.add((row.place, row.month))


def _families(garage: Garage) -> Complaints:
    for i, family in enumerate(garage.family):
        if family.prefix is None:
            continue
        digits = family.prefix
        at = ("family", i, "prefix")
        if not all(c in "0123456789ABCDEFabcdef" for c in digits):
            yield Complaint(at, repr(digits), "hex digits", "write the shared leading digits, such as '2C'")
        elif family.bits is None:
            yield Complaint(at, repr(digits), "a width beside it", "add bits = 32 (or 24, 28) to this family")
        elif 4 * len(digits) >= family.bits:
            yield Complaint(
                at, repr(digits), f"fewer than {family.bits // 4} digits", "give only the digits that all IDs share"
            )


def _sensors(garage: Garage) -> Complaints:
    for i, sensor in enumerate(garage.sensor):
        yield from _as_family(garage, ("sensor", i), sensor, ("bits", "band"))
        try:
            sensor_readings(garage, sensor)
        except BadText as error:
            yield Complaint(
                ("sensor", i, "sends" if sensor.sends else "printed"), repr(error.found), error.expected, error.message
            )


def _listed_ids(garage: Garage) -> Complaints:
    texts: list[tuple[PathKey, str, str | None]] = []
    for i, car in enumerate(garage.car):
        for k, held in enumerate(car.holds or ()):
            at = ("car", i, "holds", k)
            texts += [((*at, "ids", n), text, car.family) for n, text in enumerate(held.ids)]
            texts += [((*at, "corners", corner.key), text, car.family) for corner, text in held.corners]
            if sum((held.set is not None, bool(held.ids), bool(held.corners))) != 1:
                yield Complaint(at, "a list that is not one of the three", "one of 'set', 'ids', 'corners'")
    texts += [(("retired", i, "id"), row.id, row.family) for i, row in enumerate(garage.retired)]
    for path, text, family in texts:
        try:
            family_readings(garage, text, family)
        except BadText as error:
            yield Complaint(path, repr(text), error.expected, error.message)


def _joinings(garage: Garage) -> Complaints:
    used: dict[tuple[str, str], list[tuple[date, date, str]]] = {}
    for i, wheel in enumerate(garage.wheel):
        own: list[tuple[date, date, str]] = []
        for k, joining in enumerate(wheel.joined):
            at: PathKey = ("wheel", i, "joined", k)
            first, last = joining.since or date.min, joining.until or FAR
            if first >= last:
                yield Complaint((*at, "until"), str(joining.until), f"a day after {joining.since}", "correct the days")
            if any(first < end and start < last for start, end, _ in own):
                fix = "give the earlier joining an 'until'"
                yield Complaint(at, "a joining while another one lasts", "one at a time", fix)
            own.append((first, last, wheel.id))
            for table in ("rim", "tyre", "sensor"):
                part = getattr(joining, table)
                if part is None:
                    continue
                others = used.setdefault((table, part), [])
                clash = next((o for o in others if first < o[1] and o[0] < last and o[2] != wheel.id), None)
                if clash:
                    fix = "give the earlier joining an 'until', or correct the id"
                    yield Complaint(
                        (*at, table),
                        f"{table} '{part}', which is in wheel '{clash[2]}' then",
                        "a part in one wheel",
                        fix,
                    )
                others.append((first, last, wheel.id))


def _gone(garage: Garage) -> Complaints:
    """What is scrapped, sold or lost is in no wheel any more."""
    for i, wheel in enumerate(garage.wheel):
        for k, joining in enumerate(wheel.joined):
            sensor = garage.sensors.get(joining.sensor or "")
            if sensor and sensor.gone and (joining.until is None or joining.until > sensor.gone):
                found = f"sensor '{sensor.id}', which is gone since {sensor.gone}"
                fix = f"give this joining until = {sensor.gone}"
                yield Complaint(("wheel", i, "joined", k, "sensor"), found, "a sensor that is there", fix)


def _treads(garage: Garage) -> Complaints:
    """A row of a tread's depths has one at least."""
    for i, tyre in enumerate(garage.tyre):
        for k, row in enumerate(tyre.measured):
            if row.least_mm is None:
                yield Complaint(
                    ("tyre", i, "measured", k), "no depth", "a depth", "add tread = '5 mm', or take the row out"
                )


def _sets(garage: Garage) -> Complaints:
    for i, wheel_set in enumerate(garage.set):
        seen: dict[str, Corner] = {}
        for corner, wheel in wheel_set.wheels:
            if wheel in seen:
                found = f"wheel '{wheel}', which this set has {seen[wheel].value} already"
                yield Complaint(("set", i, "wheels", corner.key), found, "a wheel at one corner of a set")
            seen[wheel] = corner


def _stays(garage: Garage) -> Complaints:
    sound = True
    for i, stay in enumerate(garage.stay):
        if sum(x is not None for x in (stay.on, stay.at, stay.riding_in)) != 1:
            sound = False
            yield Complaint(
                ("stay", i), "a stay that is not in one place", "one of 'on', 'at', 'riding_in'", "keep one of them"
            )
        if stay.until and stay.until <= stay.since:
            sound = False
            yield Complaint(
                ("stay", i, "until"), str(stay.until), f"a day after {stay.since}", "'until' is the first day after"
            )
        if stay.yearly and (stay.until is None or (stay.until - stay.since).days > 366):
            sound = False
            yield Complaint(
                ("stay", i, "yearly"), "true", "an 'until' within a year", "add 'until', or take 'yearly' out"
            )
    if sound and garage.stay:
        yield from _overlaps(garage)


def _seen(garage: Garage) -> Complaints:
    """Each row says where one set or one wheel was, and no two of one moment say two things of a wheel or a car."""
    told: dict[tuple[date, str, str], tuple[object, ...]] = {}
    on_car: dict[tuple[date, str, str], str] = {}
    for i, row in enumerate(garage.seen):
        at: PathKey = ("seen", i)
        if (row.set is None) == (row.wheel is None):
            yield Complaint(at, "a row that is not about one thing", "'set' or 'wheel'", "keep one of them")
            continue
        yield from _seen_spot(row, at)
        if row.job is not None:
            continue
        fix, moment = "add a 'time' to each, or take one out", (row.as_of, row.time or "")
        where = (row.on, row.corner if row.wheel else None, row.at, row.riding_in)
        for wheel in _wheels_of(garage, row):
            if told.setdefault((*moment, wheel), where) != where:
                yield Complaint(at, f"'{wheel}' at two places on {row.as_of}", "one place at a time", fix)
                break
        if row.set is not None and row.on is not None and on_car.setdefault((*moment, row.on), row.set) != row.set:
            found = f"'{on_car[*moment, row.on]}' and '{row.set}' on '{row.on}' on {row.as_of}"
            yield Complaint(at, found, "one set on a car at a time", fix)


def _wheels_of(garage: Garage, row: Seen) -> tuple[str, ...]:
    if row.wheel is not None:
        return (row.wheel,)
    return tuple(w for _, w in garage.sets[row.set].wheels) if row.set in garage.sets else ()


def _seen_spot(row: Seen, at: PathKey) -> Complaints:
    if sum(x is not None for x in (row.on, row.at, row.riding_in)) > 1:
        yield Complaint(at, "two whereabouts", "one of 'on', 'at', 'riding_in'", "keep one of them")
    if row.corner is not None and (row.wheel is None or row.on is None):
        yield Complaint((*at, "corner"), f"'{row.corner.value}'", "one wheel on a car", "take 'corner' out")
    if row.wheel is not None and row.on is not None and row.corner is None:
        yield Complaint((*at, "corner"), "nothing", "the corner of the car", 'add corner = "front left"')
    if row.since is not None and row.since > row.as_of:
        yield Complaint((*at, "since"), str(row.since), f"no later than {row.as_of}", "correct the days")


def _leaving(garage: Garage) -> Complaints:
    for i, wheel_set in enumerate(garage.set):
        if wheel_set.sold and wheel_set.scrapped:
            yield Complaint(("set", i, "scrapped"), str(wheel_set.scrapped), "a set that is sold or scrapped, not both")


def _listenings(garage: Garage) -> Complaints:
    for i, path in enumerate(garage.path):
        for k, listening in enumerate(path.listened):
            if path.heard is Heard.NO and listening.heard:
                fix = 'take heard = "no" out: what was heard once is heard'
                yield Complaint(("path", i, "listened", k, "heard"), "true", "what 'heard' says of this path", fix)


def _other_places(garage: Garage) -> Complaints:
    for i, stay in enumerate(garage.stay):
        if stay.or_at and stay.at is None:
            yield Complaint(("stay", i, "or_at"), str(list(stay.or_at)), "'at' with the first place beside it")
        twice = [place for place in stay.or_at if (stay.at, *stay.or_at).count(place) > 1]
        if twice:
            yield Complaint(("stay", i, "or_at"), f"'{twice[0]}' twice", "each place once")


def _outings(garage: Garage) -> Complaints:
    out: dict[str, list[Outing]] = {}
    for i, outing in enumerate(garage.outing):
        if outing.until <= outing.since:
            fix = "'until' is the first day after"
            yield Complaint(("outing", i, "until"), str(outing.until), f"a day after {outing.since}", fix)
        for car in dict.fromkeys(outing.cars):
            if any(o.since < outing.until and outing.since < o.until for o in out.get(car, [])):
                yield Complaint(
                    ("outing", i, "cars"), f"'{car}' at two places at once", "one outing at a time for a car"
                )
            out.setdefault(car, []).append(outing)


def _stand_ins(garage: Garage) -> Complaints:
    grouped = {wheel for wheel_set in garage.set for _, wheel in wheel_set.wheels}
    busy: list[StandIn] = []
    for i, one in enumerate(garage.stand_in):
        at: PathKey = ("stand_in", i)
        if one.until <= one.since:
            fix = "'until' is the first day after"
            yield Complaint((*at, "until"), str(one.until), f"a day after {one.since}", fix)
        if one.wheel == one.instead_of:
            yield Complaint((*at, "instead_of"), f"'{one.wheel}'", "another wheel than the one that is put on")
        for key in ("wheel", "instead_of"):
            if getattr(one, key) not in grouped:
                fix = "make it a [[set]] of its own: wheels = { spare = … }"
                yield Complaint((*at, key), f"'{getattr(one, key)}', which is in no set", "a wheel of a set", fix)
        ours = {one.wheel, one.instead_of}
        if any(o.since < one.until and one.since < o.until and ours & {o.wheel, o.instead_of} for o in busy):
            yield Complaint((*at, "since"), str(one.since), "one stand-in at a time for a wheel")
        busy.append(one)


def _blanks(garage: Garage) -> Complaints:
    seen: set[tuple[str, tuple[str, ...], str, int]] = set()
    for i, blank in enumerate(garage.blank):
        if blank.key in seen:
            fix = "add the two counts up"
            yield Complaint(("blank", i, "family"), f"'{blank.family}' a second time", "one row for each kind", fix)
        seen.add(blank.key)


def _overlaps(garage: Garage) -> Complaints:
    start = min(s.since for s in garage.stay)
    horizon = max(s.since.year for s in garage.stay) + garage.plan.horizon_years
    line = spells(garage, start, date(min(9998, horizon), 12, 31))
    told: set[tuple[str, str]] = set()
    for busy, word in ((lambda s: s.set, "set"), (lambda s: s.on, "car")):
        yield from _overlap_of(line, busy, word, told)


def _overlap_of(
    line: tuple[Spell, ...], busy: Callable[[Spell], str | None], word: str, told: set[tuple[str, str]]
) -> Complaints:
    last: dict[str, Spell] = {}
    for spell in line:
        name = busy(spell)
        if name is None:
            continue
        before = last.get(name)
        if before and spell.since < before.until and (word, name) not in told:
            told.add((word, name))
            found = f"{word} '{name}' twice at once: {_span(before)} and {_span(spell)}"
            yield Complaint(
                ("stay", spell.row), found, f"one stay at a time for {word} '{name}'", "correct 'since' or 'until'"
            )
        if before is None or spell.until > before.until:
            last[name] = spell


def _span(spell: Spell) -> str:
    where = spell.on or spell.at or spell.riding_in
    return f"'{spell.set}' {spell.since} to {spell.until} ({where})"


def _money(garage: Garage) -> Complaints:
    amounts = {f.name: v for f in fields(Costs) if isinstance(v := getattr(garage.costs, f.name), Money)}
    currencies = sorted({m.currency for m in amounts.values()})
    for i, blank in enumerate(garage.blank):
        if blank.each and currencies and blank.each.currency != currencies[0]:
            fix = "write all prices in one currency"
            yield Complaint(("blank", i, "each"), blank.each.currency, currencies[0], fix)
    if len(currencies) > 1:
        for key, amount in amounts.items():
            if amount.currency != currencies[0]:
                fix = "write all of them in one currency"
                yield Complaint(("costs", key), amount.currency, currencies[0], fix)


def check_conditions(garage: Garage) -> Complaints:
    """The conditions fit together and to the cars: temperatures in order, heights and load such as there are."""
    c = garage.conditions
    if c.coldest and c.warmest and c.coldest > c.warmest:
        yield Complaint(
            ("conditions", "coldest"), f"{c.coldest.celsius:.0f} °C", "no more than 'warmest'", "swap the two"
        )
    for key in ("height_here", "height_there"):
        height = getattr(c, key)
        if height and height.metres > 6000:
            yield Complaint(("conditions", key), f"{height.metres:.0f} m", "at most 6000 m", "check the unit")
    loads = sorted({row.load for car in garage.car for row in car.placard})
    if c.load and loads and c.load.casefold() not in {load.casefold() for load in loads}:
        near = get_close_matches(c.load, loads, 1, 0.6)
        fix = f"write '{near[0]}'" if near else "write one of them"
        yield Complaint(
            ("conditions", "load"), f"'{c.load}'", "a load of a placard: " + ", ".join(f"'{x}'" for x in loads), fix
        )


def _instruments(garage: Garage) -> Complaints:
    c = garage.conditions
    for key, kind in (("gauge", Instrumentation.GAUGE), ("thermometer", Instrumentation.THERMOMETER)):
        tool = garage.instruments.get(getattr(c, key) or "")
        if tool and tool.kind is not kind:
            yield Complaint(
                ("conditions", key), f"'{tool.id}', a {tool.kind.value}", f"an instrument of kind '{kind.value}'"
            )
    if garage.plan.taken_out is TakenOut.KEEP and garage.plan.keep_at is None:
        yield Complaint(("plan", "taken_out"), "'keep'", "a place beside it", 'add keep_at = "…" to [plan]')


_CHECKS = (
    _unique_ids, _scope, _placards, _paths, _climate, _listenings, _families, _sensors, _listed_ids, _joinings, _gone, _treads, _sets, _leaving,
    _stays, _seen, _other_places, _outings, _stand_ins, _blanks, _money, check_conditions, _instruments, *OFFER_CHECKS,
)  # fmt: skip


def check(garage: Garage) -> Complaints:
    """Every complaint that the rows of a garage give cause for, references aside."""
    for one in _CHECKS:
        yield from one(garage)
