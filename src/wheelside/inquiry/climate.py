"""How cold mornings are where the car stands: the day hangs on it on which a tyre that loses air lights the lamp.

It is asked for only then, in one question, and kept as the rows of January and July: the months between are filled in.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.declared.kinds import Unfit
from wheelside.declared.row import TYRE_TEMPERATURE
from wheelside.garage.asked import MORNINGS
from wheelside.garage.model import Garage
from wheelside.inquiry.draft import Table, TableDraft, unknown
from wheelside.inquiry.facts import WARMEST_MORNING
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Gap, Given, Occasion, Query
from wheelside.inquiry.typed import degrees_like, told, value_of
from wheelside.said import Said, say
from wheelside.units import read_tyre_temperature

CODE = "climate/year"
KEY = "climate"
"""By which the conditions note that mornings are not known."""
JANUARY, JULY = 1, 7


@dataclass(frozen=True, slots=True)
class MorningAsked:
    """One of the two: its gap, the month for which it is kept, what it is called, and one as an example, in °C."""

    gap: str
    month: int
    label: Said
    example: float


ASKED = (
    MorningAsked("winter", JANUARY, say("a usual winter morning"), -2.0),
    MorningAsked("summer", JULY, say("a usual summer morning"), 14.0),
)


def climate_open(garage: Garage) -> bool:
    """Whether nothing is said of mornings yet, not even that they are not known."""
    return not garage.climate and KEY not in garage.conditions.not_known


def climate_query(garage: Garage) -> Query:
    """The question, with what stands there."""
    units = garage.units.choice
    noted = {row.month: units.show_temperature(row.morning) for row in garage.climate if row.place is None}
    gaps = []
    for one in ASKED:
        example = degrees_like(one.example, units)
        gaps.append(Gap(one.gap, one.label, noted.get(one.month, ""), units.temperature, example, "figure"))
    return Query(
        CODE, say(MORNINGS.question), (), tuple(gaps), say(MORNINGS.where), say(MORNINGS.unknown), effort=MORNINGS.effort
    )  # fmt: skip


def answer_climate(draft: TableDraft, rest: str, given: Given, now: Occasion) -> None:
    """Puts both mornings in, or that they are not known. Raises AnswerRefused; KeyError where something else is asked."""
    if f"{KEY}/{rest}" != CODE:
        raise KeyError(rest)
    rows, conditions = draft.rows(KEY), draft.single("conditions")
    others = [row for row in rows if row.get("place") is not None or row.get("month") not in (JANUARY, JULY)]
    if given.get("pick") == DONT_KNOW:
        rows[:] = others
        unknown(conditions, KEY)
        return
    rows[:] = [*others, *_typed(given, now)]
    left = [key for key in conditions.pop("not_known", ()) if key != KEY]
    if left:
        conditions["not_known"] = left


def _typed(given: Given, now: Occasion) -> list[Table]:
    """The two rows. Raises AnswerRefused."""
    wrong: dict[str, str] = {}
    rows: list[Table] = []
    for one in ASKED:
        try:
            text = value_of(TYRE_TEMPERATURE, given.get(one.gap, "").strip(), "°C", now.units)
        except Unfit as error:
            wrong[one.gap] = told(error)
            continue
        rows.append({"month": one.month, "morning": text})
        if read_tyre_temperature(text) > WARMEST_MORNING:
            wrong[one.gap] = (
                f"no morning is so warm: write the air's temperature, such as {degrees_like(10.0, now.units)}"
            )
    degrees = [read_tyre_temperature(row["morning"]) for row in rows]
    if not wrong and degrees[0] > degrees[1]:
        wrong["winter"] = "the winter morning is the colder one"
    if wrong:
        raise AnswerRefused(wrong)
    return rows
