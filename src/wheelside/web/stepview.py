"""One step as a page shows it: its state, the IDs to be read aloud with their QR codes, its figures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from fastapi import Request
from markupsafe import Markup

from wheelside.jobs.car.step import answered_by_car
from wheelside.jobs.work.doing import Doing
from wheelside.said import Said
from wheelside.screens.tyres import BesideAsk
from wheelside.sensor.ident import PrintForm
from wheelside.sensor.qr import dark, modules
from wheelside.sheet.progress import StepState
from wheelside.sheet.step import Does, Step
from wheelside.web.asking import linked
from wheelside.web.figures import Figures, figures_of


@dataclass(frozen=True, slots=True)
class BigId:
    """An ID as it is read aloud; `hex` names its QR code."""

    ask: str
    hex: str
    aloud: str
    decimal: str


@dataclass(frozen=True, slots=True)
class StepView:
    """One step on the sheet: its number, its state, the IDs to read aloud; whether the car can answer it, or be taught at it.

    `says`: what is said of the tyres whose pressures it asks for, where that is not 'normal'.
    """

    number: int
    state: StepState
    big: tuple[BigId, ...]
    asks_car: bool
    teaches_car: bool
    figures: Figures
    says: tuple[Said, ...] = ()

    @property
    def step(self) -> Step:
        return self.state.step


def view_of(
    request: Request, now: Doing, number: int, state: StepState, says: Mapping[str, BesideAsk] | None = None
) -> StepView:
    """One step of a job as it stands; `number` counts from one; `says`: what is to be said of tyres, by wheel."""
    step = state.step
    return StepView(
        number, state, tuple(_big(step)), linked(request) and answered_by_car(step), _teaches_car(request, step), figures_of(state, now),
        tuple(_said(step, says or {})),
    )  # fmt: skip


def _said(step: Step, says: Mapping[str, BesideAsk]) -> Iterator[Said]:
    """What is said of the tyres whose pressures a step asks for; named where the step is about several."""
    found = (says[wheel] for wheel in step.gauged if wheel in says)
    return (one.says if step.wheel else one.named for one in found)


def _teaches_car(request: Request, step: Step) -> bool:
    """Whether this step can be done by writing into the car."""
    return linked(request) and step.does in (Does.TEACH_BEGIN, Does.TEACH_PORT)


def _big(step: Step) -> list[BigId]:
    """The IDs that are compared where they are shown: none that has to be read without it in sight."""
    wanted = [(ask.label, ask.wanted) for ask in step.asks if ask.wanted is not None and ask.tail]
    found = [BigId(label, one.hex, one.aloud(), one.aloud(PrintForm.DECIMAL)) for label, one in wanted]
    return found if len(found) < 3 else []


def codes_of(hexes: tuple[str, ...]) -> tuple[tuple[str, Markup], ...]:
    """Each QR code once, by its ID."""
    return tuple((one, symbol(one)) for one in dict.fromkeys(hexes))


@lru_cache(maxsize=1024)
def symbol(text: str) -> Markup:
    """A QR code as a symbol that may be shown several times; drawn once."""
    size, steps = modules(text)
    return Markup('<symbol id="qr-{}" viewBox="-2 -2 {} {}"><path d="{}" stroke="#000" fill="none"/></symbol>').format(
        text, size + 4, size + 4, steps
    )


@lru_cache(maxsize=1024)
def dots(text: str) -> str:
    """A QR code for the page's script, which draws it: what it says, and the dark modules of each row as a hex number, with commas between."""
    return ",".join((text, *(f"{row:x}" for row in dark(text))))
