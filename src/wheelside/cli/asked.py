"""The first lines of every command that hangs on what is on the cars: what is due, and what has to be asked."""

from __future__ import annotations

from datetime import date

from wheelside.cli.tell import Teller
from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.garage.open_change import OpenChange
from wheelside.garage.present import present


def open_changes(garage: Garage, day: date) -> tuple[OpenChange, ...]:
    """The changes that are due or asked for, for programs: with `assumed` where it has to be asked what is on."""
    return present(without_offers(garage), day).open


def show_asked(out: Teller, garage: Garage, day: date) -> None:
    """Says which set is taken to be on a car whose change is due, and asks; says which change is due where that is known."""
    for one in open_changes(garage, day):
        car, coming = garage.cars[one.car].name, garage.sets[one.coming].name
        if one.going is not None and one.assumed:
            out.line(f"? Is {garage.sets[one.going].name} still on {car}? It is taken to be.", style="bold cyan")
            done = f"--wears {_quoted(one.car)}={_quoted(one.coming)}"
            out.line(f"{coming} was due on {one.due}. If it is on: {done}", indent=2)
        elif one.due is not None:
            out.line(f"{coming} is due on {car} since {one.due}.", style="bold")


def show_one_more(
    out: Teller,
    where: str,
    errand: str,
    *,
    car: str | None = None,
    wheel_set: str | None = None,
    day: date | None = None,
) -> None:
    """The question whose answer would change most, where the answer is found, and where it goes. `errand`: an Errand's value."""
    from wheelside.inquiry.query import Errand
    from wheelside.jobs.garagedesk import called
    from wheelside.jobs.work.one_more import one_more

    found = one_more(where, Errand(errand), car=car, wheel_set=wheel_set, day=day)
    out.blank()
    if found.query is None:
        out.line("No single fact more would change this.")
        return
    out.line(f"One more answer could change this: {out.speech.text(found.query.title)}", style="bold")
    if found.query.where is not None:
        out.line(out.speech.text(found.query.where), indent=2)
    if found.book:
        out.line(f"Answer it: wheelside start {_quoted(called(where))}", indent=2)
    elif found.key:
        row = f" of {found.row}" if found.row else ""
        out.line(f"In the file: '{found.key}' in {found.table}{row}", indent=2)


def _quoted(name: str) -> str:
    return f"'{name}'" if " " in name else name
