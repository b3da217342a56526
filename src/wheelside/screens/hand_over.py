"""A set that is handed over as a screen: the page for its buyer, and what its owner looks at first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

from wheelside.garage.words import Band, Writing
from wheelside.jobs.wheelset.for_buyer import ForBuyer, Gauged, Lay, SoldRim, SoldSensor, SoldTyre, SoldWheel
from wheelside.jobs.wheelset.hand_over import HandOver, line_for_file
from wheelside.said import Depth, Figure, Joined, Measure, Said, count, listed, say
from wheelside.screens.screen import Block, Cell, Findings, Look, Screen, Section, Sentence, ShownTable, rows
from wheelside.sensor.ident import PrintForm, SensorId
from wheelside.tyre.age import Years
from wheelside.units import Length

T = TypeVar("T")
_NOT_KNOWN = say("not known")
_WEEK_S = 7 * 86400.0


def hand_over_screen(page: ForBuyer) -> Screen:
    """The page for the buyer: what to do first, then tyres, rims, sensors and pressures."""
    n = len(page.wheels)
    beside = count(n, "{n} wheel, handed over on {day}", "{n} wheels, handed over on {day}", day=page.day)
    parts = (
        Section("to-do", None, tuple(_to_do(page))),
        Section("sensors", say("Sensors"), (_ids(page), _states(page))),
        Section("tyres", say("Tyres"), (_tyres(page),)),
        Section("rims", say("Rims"), (_rims(page),)),
        Section("pressures", say("Pressures"), tuple(_pressures(page))),
        Section("as-noted", None, (Sentence(_AS_NOTED, Look.SOFT),)),
    )
    return Screen(say("{set}: hand-over", set=page.set), parts, beside)


_AS_NOTED = say(
    "As its owner noted it, and no inspection: a workshop sees whether tyres and rims are sound. Set the pressures of your own car's placard."
)


def _to_do(page: ForBuyer) -> Iterator[Block]:
    if any(w.fitted is not False for w in page.wheels):
        text = "Your car has to be taught these sensor IDs. From {day} on nobody here uses them."
        yield Sentence(say(text, day=page.day), Look.STRONG)
        yield Sentence(
            say(
                "A sensor can be recognised by its ID wherever it is heard. The IDs stand here because the sensors are yours now."
            )
        )
    else:
        yield Sentence(say("These wheels have no sensors: there is nothing to teach."), Look.STRONG)
    if page.stays:
        corners = listed((c.value for c in page.stays), Joined.COMMA)
        yield Sentence(say("Not part of it: the wheel for {corners}.", corners=corners))


def _known(value: T | None, shown: Callable[[T], Cell]) -> Cell:
    return _NOT_KNOWN if value is None else shown(value)


def _itself(value: object) -> Cell:
    return value


def _text(value: object) -> Cell:
    return str(value)


def _grouped(page: ForBuyer, cells: Callable[[SoldWheel], tuple[Cell, ...]]) -> Iterator[tuple[Cell, ...]]:
    """A row for all wheels of which the same is said: their corners, and that."""
    same: dict[tuple[Cell, ...], list[Cell]] = {}
    for w in page.wheels:
        same.setdefault(cells(w), []).append(w.corner.value)
    for said, corners in same.items():
        whole = len(same) == 1 and len(corners) > 1
        yield (say("all {n}", n=len(corners)) if whole else listed(corners, Joined.COMMA), *said)


def _ids(page: ForBuyer) -> ShownTable:
    columns = (say("corner"), say("wheel"), say("ID"), say("in hex"), say("family"), say("band"))
    shown = ((w.corner.value, w.wheel, *_id(w)) for w in page.wheels)
    return ShownTable(columns, rows(shown), whole=(0, 2, 3))


def _id(w: SoldWheel) -> tuple[Cell, ...]:
    s = w.sensor
    if s is None:
        return (say("no sensor") if w.fitted is False else _NOT_KNOWN, "", "", "")
    if not s.ids:
        shown: tuple[Cell, Cell] = (say("none: never written") if s.never_written else _NOT_KNOWN, "")
    else:
        form = s.form or PrintForm.HEX
        shown = (_either(s.ids, form), listed((one.hex for one in s.ids), Joined.OR))
    return (*shown, _known(s.family, _itself), _known(s.band, _band))


def _band(band: Band) -> Cell:
    return say("{mhz} MHz", mhz=Figure(float(band.value.removesuffix(" MHz"))))


def _either(ids: Iterable[SensorId], form: PrintForm) -> Cell:
    return listed((one.aloud(form) for one in ids), Joined.OR)


def _states(page: ForBuyer) -> ShownTable:
    columns = (say("corner"), say("in use since"), say("battery"), say("answers"), say("can be written"))
    beside = any(w.sensor and w.sensor.printed for w in page.wheels)
    shown = _grouped(page, lambda w: (*_state(w), *((_printed(w),) if beside else ())))
    return ShownTable((*columns, say("another ID printed on it")) if beside else columns, rows(shown), whole=(1,))


def _state(w: SoldWheel) -> tuple[Cell, ...]:
    s = w.sensor
    if s is None:
        return (say("no sensor") if w.fitted is False else _NOT_KNOWN, "", "", "")
    return (_known(s.in_use_since, _itself), _battery(s), _known(s.answers, _itself), _writable(s))


def _printed(w: SoldWheel) -> Cell:
    s = w.sensor
    if s is not None and not s.ids:
        return _NOT_KNOWN
    return _either(s.printed, s.form or PrintForm.HEX) if s and s.printed else say("no")


def _battery(s: SoldSensor) -> Cell:
    flag = _known(s.battery_low, lambda low: say("says that it is low") if low else say("not low"))
    return say("{flag}; {remark}", flag=flag, remark=s.battery) if s.battery else flag


def _writable(s: SoldSensor) -> Cell:
    if s.writing is None:
        return _NOT_KNOWN
    if s.writing is Writing.WRITE_ONCE:
        return say("once, not yet done") if s.never_written else say("no more: written once")
    return s.writing is Writing.REWRITABLE


def _tyres(page: ForBuyer) -> ShownTable:
    columns = (
        say("corner"), say("size"), say("for"), say("date code"), say("years old"), say("tread"), say("damage"), say("repairs"),
        say("most pressure"),
    )  # fmt: skip
    return ShownTable(columns, rows(_grouped(page, lambda w: _tyre(w.tyre))), whole=(1, 3, 4, 5, 8))


def _tyre(t: SoldTyre | None) -> tuple[Cell, ...]:
    if t is None:
        return (_NOT_KNOWN,) * 8
    return (
        _known(t.size, lambda size: size.text), _known(t.season, _text), _known(t.date_code, _itself), _known(t.age, _years),
        _known(t.tread, Depth), _known(t.damaged, _damage), _known(t.repairs, _itself), _known(t.max_pressure, _itself),
    )  # fmt: skip


def _years(age: Years) -> Cell:
    """In whole weeks a year is known to a tenth; where the decade is open, from the least to the most."""
    least, most = Figure(age.least, 1), Figure(age.most, 1)
    return most if age.most - age.least < 1.0 else say("{least} to {most}", least=least, most=most)


def _damage(damaged: bool) -> Cell:
    return say("damaged") if damaged else say("none")


def _rims(page: ForBuyer) -> ShownTable:
    columns = (
        say("corner"), say("size"), say("bolt circle"), say("centre bore"), say("inset"), say("seat"), say("damage"), say("most load"),
        say("most pressure"),
    )  # fmt: skip
    return ShownTable(columns, rows(_grouped(page, lambda w: _rim(w.rim))), whole=(1, 2, 3, 4, 7, 8))


def _rim(r: SoldRim | None) -> tuple[Cell, ...]:
    if r is None:
        return (_NOT_KNOWN,) * 8
    return (
        _known(r.size, lambda size: size.text), _known(r.bolt_circle, lambda circle: circle.text), _known(r.centre_bore, _measure),
        _known(r.inset, _measure), _known(r.seat, _text), _known(r.damaged, _damage), _known(r.max_load, _itself),
        _known(r.max_pressure, _itself),
    )  # fmt: skip


def _measure(length: Length) -> Cell:
    return Measure(length)


def _pressures(page: ForBuyer) -> Iterator[Block]:
    if not any(w.gauged or w.lay for w in page.wheels):
        yield Sentence(say("Last gauged: not known. Lost while it lay: not known."))
        return
    columns = (say("corner"), say("last gauged"), say("on"), say("lost while it lay"), say("from"), say("to"))
    shown = ((w.corner.value, *_gauged(w.gauged), *_lay(w.lay)) for w in page.wheels)
    yield ShownTable(columns, rows(shown), whole=(1, 2, 4, 5))
    lays = [w.lay for w in page.wheels if w.lay]
    sound = [lay for lay in lays if lay.sound is not None]
    if sound:
        least, most = min(lay.sound[0] for lay in sound if lay.sound), max(lay.sound[1] for lay in sound if lay.sound)
        text = "What cold takes off is not counted. A sound tyre loses {least} to {most} in that time."
        yield Sentence(say(text, least=least, most=most), Look.SOFT)
    if len(sound) < len(lays):
        warning = say(
            "As it was read where so marked: the tyres' temperature was not noted, and cold alone takes some off."
        )
        yield Sentence(warning, Look.SOFT)


def _gauged(g: Gauged | None) -> tuple[Cell, Cell]:
    return (_NOT_KNOWN, "") if g is None else (g.pressure, g.day)


def _lay(lay: Lay | None) -> tuple[Cell, Cell, Cell]:
    if lay is None:
        return _NOT_KNOWN, "", ""
    loss: Cell = lay.loss if lay.at_one_temperature else say("{loss} as read", loss=lay.loss)
    return loss, _read(lay.stored), _read(lay.found)


def _read(g: Gauged) -> Cell:
    return say("{pressure}, {day}", pressure=g.pressure, day=g.day)


def owner_screen(found: HandOver) -> Screen:
    """What the owner looks at before a set goes, and what is kept, or is to be put into the file."""
    name = found.garage.sets[found.set].name
    if found.gone is not None:
        return Screen(say("Gone since {day}", day=found.gone), ())
    if found.in_book:
        kept = Section("kept", None, tuple(Sentence(one) for one in _kept(name, found)))
    else:
        table, row, line = line_for_file(found)
        lines = [Sentence(say("In {table} {row}: {line}", table=table, row=row, line=line))]
        stay = "Its wheels and sensors stay in the file: by them its IDs are never given out again."
        kept = Section("lines", say("To put into the file"), (*lines, Sentence(say(stay))))
    first = (Section("to-know", None, (Findings(found.first),)),) if found.first else ()
    return Screen(say("For you, not for the buyer"), (*first, kept))


def _kept(name: str, found: HandOver) -> tuple[Said, ...]:
    return (
        say("{set} is sold on {day}: no job, plan or season of yours has it from then on.", set=name, day=found.day),
        say("Its IDs are never given out again. Each wheel's history says so."),
        say("Sold by mistake? Take the day out of its facts again."),
    )
