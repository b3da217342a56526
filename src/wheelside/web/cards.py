"""The cards of a run sheet as a page shows them: sittings, cards, a row a wheel, the cautions before an act."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from wheelside.jobs.work.doing import Doing
from wheelside.said import Said
from wheelside.sensor.ident import PrintForm
from wheelside.sheet.ask import Ask, Asked, Tells, When
from wheelside.sheet.cautions import Caution, caution_of, stands_each_time
from wheelside.sheet.option import Bubbles, YesNo, option_of
from wheelside.sheet.step import Card, Does, OnCard, Sitting, Step
from wheelside.sheet.step_words import Channel
from wheelside.sheet.warmth import STEPS, curve_of, figure_at, temperature_ask
from wheelside.units import Temperature, UnitChoice
from wheelside.web.stepview import BigId, StepView
from wheelside.web.wording import for_pages, on_page

COLUMNS = 5
"""So many temperatures stand on the strip of a card of pressures."""


@dataclass(frozen=True, slots=True)
class WheelRow:
    """One row of a card: a wheel by the name on its tag and its corner in words, '' where it is about no wheel; its steps in their order.

    `target`: what it is to show, '' where nothing is to be seen before it is read. `group`: rows that do the same have the same.
    """

    wheel: str
    corner: str
    steps: tuple[StepView, ...]
    target: str
    group: str


@dataclass(frozen=True, slots=True)
class Read:
    """A caution that has to be read on one card: whether it stands there in full where there is no script, else on which card
    it does; `first`: nowhere before it on the page."""

    caution: Caution
    in_full: bool
    as_on: str
    first: bool


@dataclass(frozen=True, slots=True)
class Strip:
    """Five temperatures with the figures of each line of wheels; `at`: as the page's script counts, in kelvin."""

    temperatures: tuple[tuple[float, str], ...]
    lines: tuple[tuple[str, tuple[str, ...]], ...]
    said: str


@dataclass(frozen=True, slots=True)
class CardView:
    """One card: its place among all, its rows, its cautions, the strip of a card of pressures.

    `check`: the set that is fetched or put away here, whose pressures can be checked at once; '' for none.
    """

    number: int
    card: Card
    rows: tuple[WheelRow, ...]
    cautions: tuple[Read, ...]
    strip: Strip | None
    check: str = ""

    @property
    def is_note(self) -> bool:
        """Whether it has the note for the shop."""
        return self.card.of is OnCard.NOTE

    @property
    def timed(self) -> bool:
        """Whether some of it is done without a pause."""
        return any(v.step.timed and v.step.allowed_s for row in self.rows for v in row.steps)

    @property
    def folds(self) -> tuple[tuple[str, tuple[str | Said, ...]], ...]:
        """What is one tap away, each by its name."""
        return ("How", self.card.how), ("Why", (self.card.why,) if self.card.why else ()), ("If not", self.card.if_not)

    @property
    def steps(self) -> tuple[StepView, ...]:
        return tuple(v for row in self.rows for v in row.steps)


def cards_of(now: Doing, views: tuple[StepView, ...]) -> tuple[CardView, ...]:
    """The cards of a job, each with its steps."""
    by_id = {v.step.id: v for v in views}
    told: dict[tuple[Sitting, Caution], str] = {}
    ever: set[Caution] = set()
    made = []
    for n, card in enumerate(now.start.sheet.cards, start=1):
        own = tuple(by_id[one] for one in card.steps if one in by_id)
        rows = tuple(_row(now, wheel, tuple(steps)) for wheel, steps in _by_wheel(own))
        made.append(CardView(n, card, rows, tuple(_read(card, told, ever)), _strip(now, own), _check(now, own)))
    return tuple(made)


def _check(now: Doing, own: tuple[StepView, ...]) -> str:
    """The set whose wheels are fetched or put away on a card; '' where none are, or none is gauged."""
    does = {v.step.does for v in own if v.step.gauged}
    return now.start.coming if Does.FETCH in does else (now.start.going or "") if Does.STORE in does else ""


def _by_wheel(own: tuple[StepView, ...]) -> list[tuple[str, list[StepView]]]:
    """Consecutive steps of one wheel together; a step about none by itself."""
    keyed = groupby(enumerate(own), key=lambda pair: (pair[1].step.wheel, pair[1].step.wheel or pair[0]))
    return [(wheel, [v for _, v in some]) for (wheel, _), some in keyed]


def _row(now: Doing, wheel: str, steps: tuple[StepView, ...]) -> WheelRow:
    planned = next((w for w in now.start.wheels if w.wheel == wheel), None)
    first = steps[0].step
    name = planned.name if planned else wheel
    return WheelRow(
        name,
        planned.corner if planned else "",
        steps,
        _target(steps, now.start.units),
        first.does.value if wheel else first.id,
    )


def _target(steps: tuple[StepView, ...], units: UnitChoice) -> str:
    for v in steps:
        for ask in v.step.asks:
            if ask.by_temperature:
                told = temperature_ask(v.step)
                figure = figure_at(ask.by_temperature, told.temperature) if told and told.temperature else None
                return units.show_pressure(figure) if figure else ""
            if ask.wanted is not None and ask.tail:
                return ask.wanted.aloud()
            if ask.pressure is not None:
                return units.show_pressure(ask.pressure)
    return ""


def _read(card: Card, told: dict[tuple[Sitting, Caution], str], ever: set[Caution]) -> list[Read]:
    found = []
    for code in card.cautions:
        one = caution_of(code)
        if one is None:
            continue
        before = told.setdefault((card.sitting, one), card.of.value)
        in_full = before == card.of.value or stands_each_time(one, card.of)
        found.append(Read(one, in_full, "" if in_full else before, one not in ever))
        ever.add(one)
    return found


def once(step: Step) -> str:
    """The cautions of a step that are confirmed once in a sitting: their codes with spaces between."""
    return " ".join(c for c in step.cautions if (one := caution_of(c)) and not stands_each_time(one, step.card))


def each(step: Step) -> str:
    """The cautions of a step that are confirmed before each such act."""
    return " ".join(c for c in step.cautions if (one := caution_of(c)) and stands_each_time(one, step.card))


def calls(some: tuple[When, ...]) -> str:
    """What calls for a step or an ask, for the page's script: JSON of lists, pressures in kPa."""
    rows = [
        [w.of, list(w.said), *(round(p.kpa, 2) if p else None for p in (w.below, w.least)), int(w.otherwise)]
        for w in some
    ]
    return json.dumps(rows, separators=(",", ":"))


def in_one_tap(step: Step) -> str:
    """How the pinned action answers a step as planned by itself: 'shown' for an ID where it is shown, 'yes' or 'done'; '' where it can't."""
    wanted = [a for a in step.asks if (a.required and not a.only) or _yes(a)]
    ids = [a for a in wanted if a.kind is Asked.ID]
    if any(not (a.kind is Asked.DONE or _yes(a) or (a.kind is Asked.ID and a.wanted and a.tail)) for a in wanted):
        return ""
    if len(ids) > 1 or any(a.kind not in (Asked.PHOTO, Asked.WORDS, Asked.PICK) for a in step.asks if a not in wanted):
        return ""
    return (
        "shown"
        if ids
        else "done"
        if any(a.kind is Asked.DONE for a in wanted)
        else "yes"
        if any(_yes(a) for a in wanted)
        else ""
    )


def _yes(ask: Ask) -> bool:
    return ask.kind is Asked.PICK and ask.expect == YesNo.YES and not ask.also


_IN_TILES: dict[tuple[str, str], str] = {
    ("written", YesNo.YES): "Yes, written", ("written", YesNo.NO): "Not written",
    ("confirms", YesNo.YES): "Yes, confirmed", ("confirms", YesNo.NO): "Not confirmed",
    ("stored", YesNo.YES): "Yes, confirmed", ("stored", YesNo.NO): "Not confirmed",
    ("lit", YesNo.YES): "Yes, it came on", ("lit", YesNo.NO): "It stayed off",
    ("out", YesNo.YES): "Yes, it went out", ("out", YesNo.NO): "It stayed on",
}  # fmt: skip
"""What an answer is called where it is tapped, by the name of its ask: alone on a button, 'no' says nothing."""
_APART: dict[str, str] = {YesNo.YES: "Yes, so it is", YesNo.NO: "It is not so", Bubbles.SOME: "it bubbles"}
"""Likewise at every ask: two buttons side by side do not begin or end alike where they say the contrary."""


def in_tiles(ask: Ask) -> tuple[str, ...]:
    """What each option of an ask is called where it is tapped; its code and what the proof says stay."""
    if ask.names:
        return ask.names
    return tuple(
        _IN_TILES.get((ask.id, one)) or _APART.get(one) or on_page(option_of(one) or one, UnitChoice())
        for one in ask.options
    )


def by_the_dash(step: Step) -> bool:
    """Whether the dash's figures before and after stand beside the gauge's."""
    return any(a.moved for a in step.asks)


def written(row: WheelRow) -> BigId | None:
    """The ID that is written in a row, as it is entered in the writer: the one that is read back there."""
    writes = any(v.step.does is Does.WRITE for v in row.steps)
    one = next((a.wanted for v in row.steps for a in v.step.asks if a.wanted is not None and writes), None)
    return BigId("", one.hex, one.aloud(), one.aloud(PrintForm.DECIMAL)) if one else None


def the_four(now: Doing) -> tuple[tuple[str, str, str], ...]:
    """The planned IDs as the car stands: corner, wheel and ID; () where one of them is not known."""
    wheels = sorted((w for w in now.start.wheels if w.corner in _STANDS), key=lambda w: _STANDS.index(w.corner))
    found = tuple((w.corner, w.name, w.id.aloud()) for w in wheels if w.id is not None)
    return found if len(found) == len(wheels) == len(_STANDS) else ()


_STANDS = ("front left", "front right", "rear left", "rear right")


def lead(step: Step, big: BigId) -> str:
    """What stands before an ID that is shown large, where nothing else is said beside it: 'With Hand writer, write'."""
    if len(step.what) != 1 or not isinstance(step.what[0], str):
        return ""
    before, shown, after = step.what[0].partition(big.aloud)
    return before.strip() if shown and re.fullmatch(r"( \(\w+ [\d ]+\))?\.?", after) else ""


def beside_it(ask: Ask, step: Step) -> bool:
    """Whether an answer that may be left out stands with the others all the same: the dash's figures, or where nothing else is asked."""
    return ask.channel is Channel.DASH or bool(ask.only) or not any(a.required for a in step.asks)


def _strip(now: Doing, own: tuple[StepView, ...]) -> Strip | None:
    """The figures of a card of pressures at five temperatures around the one planned for; None where none depends on it."""
    units = now.start.units
    curved = [v for v in own if curve_of(v.step)]
    asked = temperature_ask(curved[0].step) if curved else None
    if asked is None or asked.temperature is None:
        return None
    step = STEPS[units.temperature]
    middle = round(units.degrees(asked.temperature) / step) * step
    shown = [middle + (n - COLUMNS // 2) * step for n in range(COLUMNS)]
    at = [_kelvin(value, units) for value in shown]
    lines: dict[tuple[str, ...], list[str]] = {}
    corners = {w.wheel: w.corner for w in now.start.wheels}
    for v in curved:
        figures = tuple(_figure(v.step, one, units) for one in at)
        lines.setdefault(figures, []).append(corners.get(v.step.wheel, "") or v.step.wheel)
    said = curved[0].figures.suggested.get(asked.id, "")
    return Strip(
        tuple((one.kelvin, units.plain(float(value))) for one, value in zip(at, shown, strict=True)),
        tuple((_axle(names), figures) for figures, names in lines.items()), said,
    )  # fmt: skip


def _kelvin(value: float, units: UnitChoice) -> Temperature:
    return Temperature((value - 32) / 1.8 + 273.15 if units.temperature == "°F" else value + 273.15)


def _figure(step: Step, at: Temperature, units: UnitChoice) -> str:
    found = figure_at(curve_of(step), at)
    return units.show_pressure(found).partition(" ")[0] if found else "–"


def _axle(corners: list[str]) -> str:
    """'front' for both front corners, 'rear' likewise, 'all' for all of them, else their names."""
    axles = {c.split(" ")[0] for c in corners}
    if len(axles) == 1 and len(corners) > 1:
        return axles.pop()
    return "all" if len(corners) > 2 else ", ".join(corners)


@dataclass(frozen=True, slots=True)
class Gist:
    """What a fold's own line says, and what else it holds."""

    gist: Markup
    rest: tuple[Markup, ...]


def gist(texts: tuple[str | Said, ...], units: UnitChoice) -> Gist | None:
    """The first sentence for a fold's own line, and the rest; None where there is nothing."""
    if not texts:
        return None
    first, *rest = [for_pages(one) if isinstance(one, str) else on_page(one, units) for one in texts]
    for mark in (". ", "; "):
        head, sign, tail = first.partition(mark)
        if sign and len(head) > 12 and "<" not in first:
            return Gist(head + ".", (tail[:1].upper() + tail[1:], *rest))
    return Gist(first, tuple(rest))


def tells_found(ask: Ask) -> bool:
    """Whether a row that is done shows this answer."""
    return ask.kind not in (Asked.PHOTO, Asked.TEMPERATURE) and ask.tells not in (Tells.DASH_BEFORE, Tells.ODOMETER)
