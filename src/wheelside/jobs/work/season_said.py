"""What Now, the calendar and the shopping list say of what is to be done before a set goes on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import reduce

from wheelside.garage.model import Garage
from wheelside.jobs.work.season_ahead import SetAhead, ToBuy, Ware
from wheelside.said import Said, count, listed, say

_MANY = {
    Ware.SENSOR: "{n} sensors",
    Ware.KIT: "{n} valve kits",
    Ware.TYRE: "{n} tyres",
    Ware.RINGS: "{n} sets of centring rings",
    Ware.FASTENERS: "{n} sets of bolts or nuts for its rims",
    Ware.VALVE: "{n} valves",
    Ware.WRITER: "{n} writers for given IDs",
}
_SAME_KPA = 5.0
"""Figures that lie so near are said as one."""


def ahead_lines(garage: Garage, one: SetAhead, *, orders: bool = True) -> tuple[Said, ...]:
    """What to try, to order and to book, a line each; three at most. `orders`: whether what is ordered is among them."""
    return tuple(_lines(garage, one, orders=orders))


def ahead_said(garage: Garage, one: SetAhead) -> Said:
    """The same as one text, with the day on which the set goes on."""
    first = say("It goes on {day}.", day=one.day)
    return reduce(lambda said, line: say("{said} {line}", said=said, line=line), ahead_lines(garage, one), first)


def _lines(garage: Garage, one: SetAhead, *, orders: bool) -> Iterator[Said]:
    if one.trigger:
        yield count(
            len(one.trigger), "First trigger the sensor of {wheels}.", "First trigger the sensors of {wheels}.",
            wheels=names_of(garage, one.trigger),
        )  # fmt: skip
    perhaps = say("Perhaps a tyre for {wheels}, too.", wheels=names_of(garage, one.across))
    if one.buy and orders:
        order = say("Order {wares}.", wares=listed(ware_said(each) for each in _by_ware(one.buy)))
        yield say("{order} {perhaps}", order=order, perhaps=perhaps) if one.across else order
    elif one.across:
        yield perhaps
    if one.tyre_off:
        yield say("Book a tyre shop for {wheels}.", wheels=names_of(garage, one.tyre_off))


def ahead_reasons(garage: Garage, one: SetAhead) -> tuple[Said, ...]:
    """Why, wheel by wheel, those of one reason together."""
    alike: dict[Said, list[str]] = {}
    for wheel, why in one.why:
        alike.setdefault(why, []).append(wheel)
    return tuple(say("{wheels}: {why}.", wheels=names_of(garage, w), why=why) for why, w in alike.items())


def stored_said(garage: Garage, one: SetAhead) -> Said | None:
    """What a set that was read as it was put by should read when it is fetched; None where it was not."""
    stored = one.stored
    if stored is None:
        return None
    about = say("{kpa}", kpa=stored.least)
    if stored.most.kpa - stored.least.kpa > _SAME_KPA:
        about = say("{least} to {most}", least=stored.least, most=stored.most)
    return say(
        "{set} has lain in store since {since}. Gauge it when you fetch it: cold, it should read about {about}.",
        set=garage.sets[one.set].name, since=stored.since, about=about,
    )  # fmt: skip


def ware_said(one: ToBuy) -> Said:
    """How many of what."""
    return count(one.count, f"{{n}} {one.ware.words}", _MANY[one.ware])


def names_of(garage: Garage, wheels: Iterable[str]) -> object:
    """Wheels by name."""
    return listed(garage.wheels[w].name for w in wheels)


def _by_ware(goods: tuple[ToBuy, ...]) -> Iterator[ToBuy]:
    """Those of one ware together, whatever their kind."""
    for ware in dict.fromkeys(one.ware for one in goods):
        mine = [one for one in goods if one.ware is ware]
        wheels = tuple(w for one in mine for w in one.wheels)
        yield ToBuy(ware, sum(one.count for one in mine), wheels, mine[0].by)
