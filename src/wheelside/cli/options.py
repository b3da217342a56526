"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from wheelside.cli.output import echo
from wheelside.errors import BadQuantity, BadRequest
from wheelside.garage.words import TyreState
from wheelside.jobs.garagedesk import in_a_book
from wheelside.jobs.notice import NOTICED
from wheelside.jobs.source import now
from wheelside.jobs.work.air import Wishes
from wheelside.said import Said
from wheelside.speech.speech import Speech
from wheelside.units import read_distance, read_tyre_temperature

if TYPE_CHECKING:
    from wheelside.jobs.book.desk import Desk

F = TypeVar("F", bound=Callable[..., Any])

FILE = click.Path(path_type=Path)


def _at_garage(_: click.Context, __: click.Parameter, value: str) -> str:
    """A garage's name; what its job notices beside its answer goes to standard error, once."""
    said = set[str]()

    def say(noticed: Said) -> None:
        text = Speech().text(noticed)
        if text not in said:
            echo(f"wheelside: {text}", err=True)
        said.add(text)

    NOTICED.set(say)
    return value


def _at_book(ctx: click.Context, _: click.Parameter, value: str) -> str:
    """A book's name; where the clock shows less than its newest entry, it is said."""
    if not ctx.resilient_parsing and in_a_book(value):
        from wheelside.jobs.book.clock_back import clock_back_at

        _say_clock(clock_back_at(value, now()))
    return value


def look_at_clock(desk: Desk) -> None:
    """Where the clock shows less than the newest entry of a book that is open, it is said."""
    from wheelside.jobs.book.kept import clock_of

    _say_clock(clock_of(desk))


def _say_clock(noticed: Said | None) -> None:
    if noticed is not None:
        echo(f"wheelside: {Speech().text(noticed)}", err=True)


garage = click.argument("where", metavar="GARAGE", callback=_at_garage)
"""A garage file or a book: its file, or a database's address. Jobs do not ask which."""
book = click.argument("book", callback=_at_book)
photos = click.option("--photos", type=FILE, help="The folder with the book's photos; beside the book by default.")
as_json = click.option("--json", "json_out", is_flag=True, help="Print JSON for other programs.")


def day(_: click.Context, __: click.Parameter, value: str | None) -> date | None:
    """A day as an option gives it. Raises BadRequest."""
    if value is None:
        return None
    try:
        day = date.fromisoformat(value)
    except ValueError as error:
        raise BadRequest(
            f"{value}: write the day as year-month-day, as in 2026-11-28", found=value, expected="2026-11-28"
        ) from error
    if not 1980 <= day.year <= 2200:
        raise BadRequest(f"{value}: plans are made for days from 1980 to 2200", found=value, expected="2026-11-28")
    return day


on_day = click.option(
    "--on", "day", metavar="DAY", callback=day, help="Plan as of this day (year-month-day); today by default."
)


def _wears(_: click.Context, __: click.Parameter, values: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """What is on cars now, as options give it: car and set. Raises BadRequest."""
    pairs = [tuple(part.strip() for part in value.partition("=")[::2]) for value in values]
    for value, (car, wheel_set) in zip(values, pairs, strict=True):
        if not car or not wheel_set:
            raise BadRequest(
                f"--wears {value}: write car and set, as in --wears estate=winter", found=value, expected="CAR=SET"
            )
    return tuple((car, wheel_set) for car, wheel_set in pairs)


wears = click.option(
    "--wears", metavar="CAR=SET", multiple=True, callback=_wears,
    help="The set that is on a car now; goes before the season line, for this run.",
)  # fmt: skip
car_link = click.option(
    "--car-link", metavar="LINK", default="",
    help="How a car is reached from this machine, as for 'wheelside car': 'at /dev/ttyUSB0', 'socketcan can0'. Pages may ask it then.",
)  # fmt: skip
ask = click.option(
    "--ask", is_flag=True, help="Show which one more fact would change this most, and where it is found."
)
plan_file = click.option(
    "--plan-file", type=FILE, help="Where reserved IDs are kept; beside the garage file by default."
)
no_save = click.option("--no-save", is_flag=True, help="Do not write the plan file; fresh IDs are then not set aside.")


def _quantity(read: Callable[[str], Any]) -> Callable[[click.Context, click.Parameter, str | None], Any]:
    def callback(_: click.Context, param: click.Parameter, value: str | None) -> Any:
        try:
            return None if value is None else read(value)
        except BadQuantity as error:
            name = param.opts[0]
            raise BadRequest(f"{name} {value}: {error.message}", found=error.found, expected=error.expected) from error

    return callback


def which_change(command: F) -> F:
    """Adds --car and --set."""
    for option in (
        click.option("--set", "wheel_set", metavar="SET", help="The wheel set that goes on; the next one by default."),
        click.option("--car", metavar="CAR", help="The car; the one that changes next by default."),
    ):
        command = option(command)
    return command


_WISHES = (
    ("--tyre", "tyre_temperature", read_tyre_temperature, "The tyres' own temperature now, as in 17C."),
    ("--use", "temperature_of_use", read_tyre_temperature, "The temperature of the cold tyre outside before a drive."),
    ("--coldest", "coldest", read_tyre_temperature, "Coldest cold tyre before the next check."),
    ("--warmest", "warmest", read_tyre_temperature, "Warmest cold tyre before the next check."),
    ("--height-here", "height_here", read_distance, "Height above sea level where the pressures are set."),
    ("--height-there", "height_there", read_distance, "Height above sea level where the car is used."),
)


def wishes(command: F) -> F:
    """Adds the options that go over the file's conditions."""
    command = click.option("--hot", is_flag=True, help="The tyres have been driven, or stood in the sun.")(command)
    command = click.option("--load", metavar="LOAD", help="The placard load that the car is used with.")(command)
    for name, target, read, text in reversed(_WISHES):
        command = click.option(name, target, metavar="VALUE", callback=_quantity(read), help=text)(command)
    return command


def wishes_from(hot: bool, load: str | None, **quantities: Any) -> Wishes:
    """What the options say."""
    return Wishes(load=load, tyres=TyreState.HOT if hot else None, **quantities)
