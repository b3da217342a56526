"""Reading one ID from print, and drawing fresh ones by hand."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.errors import BadRequest, BadText
from wheelside.garage.ids import KnownId, Nobody, known_ids, proven_different
from wheelside.garage.mistaken import mistaken_for
from wheelside.garage.model import Family, Garage
from wheelside.identity.reserve import Reservation, given, given_up, numbers_taken
from wheelside.jobs.garagedesk import GarageDesk, Where, at_desk, load_garage
from wheelside.jobs.jsonform import plain
from wheelside.jobs.source import random_bits, today
from wheelside.said import Said, say
from wheelside.sensor.fresh import FreshId, FreshRule, draw
from wheelside.sensor.ident import WIDTHS, PrintForm, SensorId
from wheelside.sensor.near import Likeness, likenesses
from wheelside.sensor.reading import Readings, read_id
from wheelside.sensor.worn import Worn, WornForm, is_worn, read_worn


@dataclass(frozen=True, slots=True)
class LikelyId:
    """A known ID that a reading is equal to or easily taken for."""

    like: Likeness
    about: Said | Nobody


@dataclass(frozen=True, slots=True)
class WornMatch:
    """A known ID that a text with unreadable digits can be, and all that it belongs to."""

    id: SensorId
    about: tuple[Said | Nobody, ...]


@dataclass(frozen=True, slots=True)
class WornOut:
    """What a text with unreadable digits can be: how many IDs in each way, and which of them are known.

    `compared`: whether there was a garage to compare them with.
    """

    ways: tuple[WornForm, ...]
    assumed: tuple[Said, ...]
    fits: tuple[WornMatch, ...]
    compared: bool


@dataclass(frozen=True, slots=True)
class ReadOut:
    """All readings of a text, and for each what it resembles in the garage; `worn`, and no reading, where digits are unreadable."""

    readings: Readings
    matches: tuple[tuple[LikelyId, ...], ...]
    worn: WornOut | None = None


def family_of(garage: Garage, name: str) -> Family:
    """A family of the garage. Raises BadRequest."""
    if name not in garage.families:
        known = ", ".join(sorted(garage.families)) or "none"
        raise BadRequest(f"no family '{name}' in the file: it has {known}", found=name, expected=known)
    return garage.families[name]


def read_text(
    text: str,
    *,
    where: Where | None = None,
    family: str | None = None,
    bits: int | None = None,
    form: PrintForm | None = None,
) -> ReadOut:
    """Every reading of `text`, under what the garage says of the family where both are given. Raises Mendable.

    Each '?' stands for a digit that can't be read, two at most: then every ID that fits is compared with the garage's.
    """
    garage = load_garage(where) if where else None
    if family is not None and garage is None:
        raise BadRequest(
            f"--family {family}: families are described in a garage file; name it with --file",
            found=family,
            expected="--file",
        )
    spoken = family_of(garage, family) if garage and family else None
    if bits is not None:
        _check_width(bits)
    if spoken:
        _agrees(spoken, bits, None)
    width = bits or (spoken.bits if spoken else None)
    forms = (form,) if form else (spoken.printed,) if spoken and spoken.printed else tuple(PrintForm)
    widths = (width,) if width else WIDTHS
    if (other := mistaken_for(text)) and (width or WIDTHS[0]) >= WIDTHS[0]:
        raise BadText(plain(other.said), found=text, expected="an ID")
    if is_worn(text):
        return _worn(garage, text, read_worn(text, family or "", widths, forms))
    readings = read_id(text, family or "", widths, forms)
    known = known_ids(garage) if garage else ()
    return ReadOut(readings, tuple(_matches(garage, reading.id, known) for reading in readings.all))


def _worn(garage: Garage | None, text: str, worn: Worn) -> ReadOut:
    """The known IDs that the text can be, each with all that it belongs to; only the garage's own words pick none."""
    family = next(iter(worn.possible)).family
    keys = {one.key for one in worn.possible}
    about: dict[tuple[int, int], list[KnownId]] = {}
    for known in known_ids(garage) if garage else ():
        if known.id.key in keys and garage and not proven_different(garage, known.id.family, family):
            about.setdefault(known.id.key, []).append(known)
    fits = tuple(WornMatch(own[0].id, tuple(dict.fromkeys(k.about for k in own))) for _, own in sorted(about.items()))
    settle = say("Trigger the sensor to be sure.")
    return ReadOut(Readings(text, (), settle), (), WornOut(worn.ways, worn.assumed, fits, garage is not None))


def _matches(garage: Garage | None, seen: SensorId, known: tuple[KnownId, ...]) -> tuple[LikelyId, ...]:
    if garage is None:
        return ()
    rivals = [k for k in known if not proven_different(garage, k.id.family, seen.family)]
    about = {k.id: k.about for k in reversed(rivals)}
    return tuple(LikelyId(like, about[like.known]) for like in likenesses(seen, about))


@dataclass(frozen=True, slots=True)
class Drawn:
    """Fresh IDs, and where they were set aside; None where they were checked against nothing."""

    fresh: tuple[FreshId, ...]
    saved_in: str | None


def draw_ids(
    count: int,
    *,
    where: Where | None = None,
    family: str | None = None,
    bits: int | None = None,
    prefix: str | None = None,
) -> Drawn:
    """`count` fresh IDs; with a garage they avoid every ID in it and are set aside beside it: in its plan file, or in the book.

    Raises Mendable, Outside.
    """
    if where is None:
        if bits is None:
            raise BadRequest(
                "how many bits? give --bits 24, 28 or 32, or a garage file and --family", expected="--bits"
            )
        return Drawn(draw(count, _rule(family or "", bits, prefix, PrintForm.HEX), (), (), random_bits), None)

    def drawn(desk: GarageDesk) -> Drawn:
        garage, reserved = desk.load().garage, desk.reserved()
        rule = _family_rule(garage, family, bits, prefix)
        taken = numbers_taken(garage, rule, reserved)
        fresh = draw(count, rule, taken, taken, random_bits)
        added = tuple(Reservation("", one.id, one.distance, today()) for one in fresh)
        return Drawn(fresh, desk.keep((*reserved, *added)))

    return at_desk(where, drawn, keeps=True)


def give_id(where: Where, text: str, wheel: str) -> str | None:
    """Gives an ID that was set aside by `draw_ids` to a wheel: the plan takes it for that wheel. Where it is kept. Raises Mendable, Outside."""

    def gave(desk: GarageDesk) -> str | None:
        garage, reserved = desk.load().garage, desk.reserved()
        if wheel not in garage.wheels:
            known = ", ".join(sorted(garage.wheels)) or "none"
            raise BadRequest(f"no wheel '{wheel}' in the file: it has {known}", found=wheel, expected=known)
        return desk.keep(given(reserved, _set_aside(reserved, text), wheel, today()))

    return at_desk(where, gave, keeps=True)


def give_up_id(where: Where, text: str) -> str | None:
    """Gives up an ID that was set aside for no wheel; it is not drawn again. Where that is kept. Raises Mendable, Outside."""

    def gave_up(desk: GarageDesk) -> str | None:
        reserved = desk.reserved()
        return desk.keep(given_up(reserved, _set_aside(reserved, text)))

    return at_desk(where, gave_up, keeps=True)


def _set_aside(reserved: tuple[Reservation, ...], text: str) -> SensorId:
    """The ID that a text means among those set aside. Raises BadText, BadRequest."""
    keys = {r.id.key: r.id for r in reserved if not r.wheel and not r.released}
    found = [keys[one.key] for one in read_id(text).ids if one.key in keys]
    if len(found) != 1:
        held = ", ".join(sorted(one.hex for one in keys.values())) or "none"
        raise BadRequest(
            f"'{text}' does not lie ready: set aside and given to no wheel yet are {held}",
            found=text[:40],
            expected=held,
        )
    return found[0]


def _family_rule(garage: Garage, family: str | None, bits: int | None, prefix: str | None) -> FreshRule:
    """By which rule IDs of a family are drawn. Raises BadRequest."""
    if family is None:
        raise BadRequest(
            f"which family? give --family, one of: {', '.join(sorted(garage.families)) or 'none yet'}",
            expected="--family",
        )
    spoken = family_of(garage, family)
    width = bits or spoken.bits
    _agrees(spoken, bits, prefix)
    if width is None:
        raise BadRequest(
            f"family '{family}' has no width in the file: add bits = 32 (or 24, 28), or give --bits", expected="--bits"
        )
    return _rule(family, width, prefix or spoken.prefix, spoken.printed or PrintForm.HEX)


def _agrees(family: Family, bits: int | None, prefix: str | None) -> None:
    """Raises BadRequest where options say otherwise than the file does of the family."""
    if bits and family.bits and bits != family.bits:
        raise BadRequest(
            f"--bits {bits}: family '{family.id}' has {family.bits} in the file; leave --bits out", found=str(bits)
        )
    if prefix and family.prefix and not prefix.upper().startswith(family.prefix.upper()):
        raise BadRequest(
            f"--prefix {prefix}: family '{family.id}' has {family.prefix} in the file; leave --prefix out", found=prefix
        )


def _check_width(bits: int) -> None:
    if bits % 4 or not 8 <= bits <= 64:
        raise BadRequest(
            f"--bits {bits}: IDs have 24, 28 or 32 bits as a rule; give a multiple of 4",
            found=str(bits),
            expected="24, 28 or 32",
        )


def _rule(family: str, bits: int, prefix: str | None, form: PrintForm) -> FreshRule:
    digits = (prefix or "").upper()
    _check_width(bits)
    if any(c not in "0123456789ABCDEF" for c in digits) or 4 * len(digits) >= bits:
        raise BadRequest(
            f"prefix {prefix!r}: give fewer than {bits // 4} hex digits", found=str(prefix), expected="hex digits"
        )
    return FreshRule(family, bits, digits, form)
