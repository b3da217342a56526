"""A run sheet as it stands on paper, in words: what terminal, Markdown and PDF lay out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from wheelside.cli.sheet_rows import Block, RowWriter, card_steps
from wheelside.fill.contradictions import stands_first
from wheelside.finding import Finding, Weight
from wheelside.garage.model import Garage
from wheelside.said import Joined, Listing, Said, listed
from wheelside.screens.tyres import BesideAsk
from wheelside.sheet.cautions import Clause
from wheelside.sheet.extent import Extent
from wheelside.sheet.said_once import cautions_before
from wheelside.sheet.step import Card, Does, OnCard, RunSheet, Sitting, Step
from wheelside.sheet.title import called, said_title, short_title
from wheelside.sheet.warmth import table_of
from wheelside.speech.speech import Speech, begun
from wheelside.speech.together import together

SITTINGS = {
    "roadside": Sitting.ROADSIDE,
    "evening": Sitting.EVENING, "shop": Sitting.SHOP, "swap": Sitting.SWAP, "drive": Sitting.DRIVE, "after": Sitting.AFTER,
}  # fmt: skip
"""How a sitting is named on the command line."""
_IN_FULL = {Does.SET_PRESSURE: 1, Does.CLEAR_CODES: 0, Does.CLEAR_LATER: 0, Does.RECORD: 0}
"""Steps of which their card says less than they do: their own words, from which on, stand in the full sheet."""
_NO_WHY = frozenset({Does.STORE, Does.LET_DOWN, Does.INFLATE, Does.STORE_REFERENCE, Does.FILL_CORNER})
"""Steps of which their card says why."""


@dataclass(frozen=True, slots=True)
class OneCard:
    """One card. `number`: its place among those of the job, 0 where it is only called for. `more`: what is told in full, by its name."""

    number: int
    key: str
    title: str
    line: str
    cautions: tuple[str, ...]
    table: tuple[tuple[str, ...], ...]
    blocks: tuple[Block, ...]
    more: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class OneSitting:
    """Cards of one sitting; `heading` is '' where it is not called by one."""

    sitting: Sitting
    heading: str
    minutes: int
    cards: tuple[OneCard, ...]

    @property
    def called(self) -> str:
        """Its heading with its minutes, where it takes any; '' where it has none."""
        return f"{self.heading}, {self.minutes} min" if self.heading and self.minutes else self.heading


@dataclass(frozen=True, slots=True)
class Paper:
    """A whole sheet. `first`: what it is; `called`: as a book calls it. `on`: its day; `day`: the same as it is said. `get`: what is to be got or
    found out first. `called_for`: the cards that are not numbered. `care`: what to take care of. `level`: the evidence level. `know`: all else
    that is found, with how serious it is."""

    first: str
    called: str
    on: str
    day: str
    get: tuple[str, ...]
    parts: tuple[OneSitting, ...]
    called_for: tuple[OneCard, ...]
    care: tuple[str, ...]
    level: tuple[str, ...]
    know: tuple[tuple[str, str], ...]

    @property
    def count(self) -> int:
        """How many cards are numbered."""
        return sum(len(part.cards) for part in self.parts)


def key_of(of: OnCard) -> str:
    """How a card is named on the command line: 'wrong', 'lamp-test'."""
    return of.value.removeprefix("card-")


def about(minutes: int) -> str:
    """A time as one says it: '45 min', '3 h', '2½ h'.

    >>> [about(m) for m in (43, 179, 150)]
    ['45 min', '3 h', '2½ h']
    """
    if minutes < 100:
        return f"{max(5, 5 * round(minutes / 5))} min"
    whole, half = divmod(round(minutes / 30), 2)
    return f"{whole}{'½' if half else ''} h"


def only_called_for(card: Card, steps: dict[str, Step]) -> bool:
    """Whether a card belongs to the job only where something calls for it, or where one chooses to."""
    return all(s.rare or s.optional for s in card_steps(card, steps))


def paper_of(garage: Garage, sheet: RunSheet, says: Mapping[str, BesideAsk] | None = None) -> Paper:
    """A sheet in words, in the units of its garage. `says`: what is said of tyres whose pressures it asks for, by wheel."""
    return _Writer(garage, sheet, says or {}).paper()


def refusals(garage: Garage, forbidden: Iterable[Finding]) -> tuple[str, ...]:
    """What speaks against a sheet, with the way out and what it rests on."""
    speech = Speech(garage.units.choice)
    return tuple(f"{_mark(f)} {_told(f, speech, way=True, rests=True)}" for f in together(forbidden))


def _mark(f: Finding) -> str:
    return {Weight.FORBIDDEN: "■", Weight.WARNING: "▲"}.get(f.weight, "?")


def _told(f: Finding, speech: Speech, *, way: bool = False, rests: bool = False) -> str:
    """A finding as one text."""
    text = speech.text
    out = f" → {speech.way(f.way_out)}" if way and f.way_out else ""
    on = f" Rests on {'; '.join(text(b.said) for b in f.basis)}." if rests else ""
    return f"{named_about(f.about, speech)}: {text(f.text)}{out}{'.' if out and on else ''}{on}"


def named_about(about: str | Said, speech: Speech) -> str:
    """What a finding is about; of several wheels, their names."""
    parts = dict(about.values).get("about") if isinstance(about, Said) else None
    named = (
        [dict(p.values).get("wheel") for p in parts.parts if isinstance(p, Said)] if isinstance(parts, Listing) else []
    )
    if isinstance(parts, Listing) and len(named) == len(parts.parts) > 1 and all(named):
        return speech.text(listed(named, Joined.COMMA))
    return begun(speech.text(about))


class _Writer:
    def __init__(self, garage: Garage, sheet: RunSheet, says: Mapping[str, BesideAsk]) -> None:
        self.garage, self.sheet = garage, sheet
        self.speech = Speech(garage.units.choice)
        self.said = self.speech.text
        self.steps = {s.id: s for s in sheet.steps}
        self.told: dict[str, OnCard] = {}
        self.rows = RowWriter(garage, self.speech, says)
        self.numbers = {
            card.of: n for n, card in enumerate((c for c in sheet.cards if not only_called_for(c, self.steps)), start=1)
        }

    def paper(self) -> Paper:
        sheet = self.sheet
        mine = [c for c in sheet.cards if c.of in self.numbers]
        parts = tuple(self._parts(mine))
        apart = [self._card(c, *cautions_before((c,))) for c in sheet.cards if c.of not in self.numbers]
        title = called(self.garage, sheet)
        day = f"For {title.day}." if title.due is None else f"For {title.day}; due {title.due}."
        return Paper(
            first=f"{self.said(short_title(title))}: {self._how_long(parts)}.",
            called=self.said(said_title(title)),
            on=title.day.isoformat(),
            day=day,
            get=tuple(self._get_first()),
            parts=parts,
            called_for=tuple(apart),
            care=tuple(
                _told(f, self.speech)
                for f in together(sheet.findings)
                if f.weight is Weight.WARNING and not stands_first(f)
            ),
            level=tuple(self._level()),
            know=tuple(self._known()),
        )

    def _how_long(self, parts: tuple[OneSitting, ...]) -> str:
        n = len(self.numbers)
        if self.sheet.extent is Extent.FLAT:
            return f"{n} cards, of which your way on takes some"
        shop = sum(p.minutes for p in parts if p.sitting is Sitting.SHOP)
        own = sum(p.minutes for p in parts) - shop
        return f"{n} card{'s' if n != 1 else ''}, about {about(own)}{' and the shop' if shop else ''}"

    def _parts(self, cards: list[Card]) -> Iterator[OneSitting]:
        full = iter(cautions_before(cards))
        whole = self.sheet.extent.changes and self.sheet.car
        for sitting, run in groupby(cards, key=lambda c: c.sitting):
            own = list(run)
            shown = tuple(self._card(c, next(full)) for c in own)
            steps = [s for c in own for s in card_steps(c, self.steps)]
            minutes = sum(s.minutes for s in steps if not s.optional and not s.calls)
            named = whole or sitting not in (Sitting.EVENING, Sitting.SWAP)
            yield OneSitting(sitting, self.said(sitting) if named else "", minutes, shown)

    def _card(self, card: Card, cautions: tuple[tuple[Clause | str, ...], ...]) -> OneCard:
        own = card_steps(card, self.steps)
        shown = [s for s in own if card.of not in self.numbers or not s.rare]
        return OneCard(
            number=self.numbers.get(card.of, 0),
            key=key_of(card.of),
            title=self.said(card.title),
            line=self.said(card.line),
            cautions=tuple(" ".join(map(self.said, part)) for part in cautions),
            table=self._table(own),
            blocks=tuple(b for b in self.rows.blocks(shown) if b.rows or b.lines),
            more=tuple(self._more(card, own)),
        )

    def _table(self, steps: Iterable[Step]) -> tuple[tuple[str, ...], ...]:
        """Once for all wheels of a card: the figure by the temperature of the tyre; wheels that are alike share a row."""
        alike: dict[tuple[tuple[str, str], ...], list[str]] = {}
        for step in steps:
            rows = table_of(step, self.speech.units)
            if rows:
                alike.setdefault(rows, []).append(self.garage.wheels[step.wheel].name)
        if not alike:
            return ()
        units = self.speech.units
        heads = list(dict.fromkeys(at for rows in alike for at, _ in rows))
        top = ("tyre at", *(at.removesuffix(f" {units.temperature}") for at in heads), units.temperature)
        figures = [(", ".join(names), dict(rows)) for rows, names in alike.items()]
        return (
            top,
            *(
                (n, *(r.get(at, "–").removesuffix(f" {units.pressure}") for at in heads), units.pressure)
                for n, r in figures
            ),
        )

    def _more(self, card: Card, steps: tuple[Step, ...]) -> Iterator[tuple[str, str]]:
        """What is told in full: of the card, then of its steps what no card says, once for all wheels of which the same is said."""
        if card.expect:
            yield "expect", self.said(card.expect)
        for name, lines in (("how", card.how), ("if not", card.if_not)):
            if lines:
                yield name, " ".join(self.said(line) for line in lines if line)
            if name == "how" and card.why:
                yield "why", self.said(card.why)
        for does, own in groupby(sorted(steps, key=lambda s: list(Does).index(s.does)), key=lambda s: s.does):
            text = " ".join(self._of_steps(list(own)))
            before = self.told.setdefault(text, card.of) if text else card.of
            if text:
                yield self.said(does).lower(), text if before is card.of else f"as on card {self.numbers[before]}."

    def _of_steps(self, steps: list[Step]) -> Iterator[str]:
        parts: dict[str, list[tuple[Step, object]]] = {
            "": [(s, line) for s in steps for line in s.what[_IN_FULL.get(s.does, len(s.what)) :]],
            "why": [(s, s.why) for s in steps if s.why and s.does not in _NO_WHY],
            "if not": [(s, s.if_fails) for s in steps if s.if_fails],
        }
        for name, told in parts.items():
            for text, wheels in self._once(told):
                whose = f"{', '.join(wheels)}: " if wheels and len(wheels) < len(steps) else ""
                yield f"{name + ': ' if name else ''}{whose}{text}"

    def _once(self, told: list[tuple[Step, object]]) -> Iterator[tuple[str, list[str]]]:
        """Each text once, with the wheels that it is said of."""
        alike: dict[str, list[str]] = {}
        for step, line in told:
            own = alike.setdefault(self.said(line), [])
            if step.wheel in self.garage.wheels:
                own.append(self.garage.wheels[step.wheel].name)
        yield from alike.items()

    def _get_first(self) -> Iterator[str]:
        first = [f for f in together(self.sheet.findings) if stands_first(f) or f.weight is Weight.ASK]
        yield from (f"{_mark(f)} {_told(f, self.speech, way=True)}" for f in first)
        new = [s for s in self.sheet.steps if s.card is OnCard.WRITE and s.does in (Does.WRITE, Does.NOTE_BOUGHT)]
        if new:
            names = ", ".join(self.garage.wheels[s.wheel].name for s in new)
            yield f"▲ Get first what card {self.numbers[OnCard.WRITE]} lists: a new sensor for {names}."

    def _level(self) -> Iterator[str]:
        aim = self.sheet.aim
        yield f"Evidence to reach: {aim.level}, because {self.said(listed(aim.reasons, Joined.SEMICOLON))}."
        yield f"It is shown by: {self.said(aim.shown_by)}. It leaves open: {self.said(aim.leaves_open)}."
        if aim.at_hand is not None:
            yield self.said(aim.at_hand)

    def _known(self) -> Iterator[tuple[str, str]]:
        """Every finding with what it rests on; what stands first is not said again."""
        for f in together(f for f in self.sheet.findings if not stands_first(f) and f.weight is not Weight.ASK):
            yield self.said(f.weight), _told(f, self.speech, way=True, rests=True)
