"""The conversation in a terminal: one question, its answers by number, what can be said so far."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest, Outside
from wheelside.inquiry.lamp import lamp_advice, lamp_query
from wheelside.inquiry.opening import FROM_CAR, which_car
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Errand, Gap, Query
from wheelside.jobs.car.list_ids import car_can_say, ids_in_list
from wheelside.jobs.car.visit import Visit
from wheelside.jobs.work.starting import NEW_CAR, Asker, CourseLeg, car_of
from wheelside.said import Said, say
from wheelside.screens.start import known_so_far, said_so_far, so_far_screens
from wheelside.sheet import cautions

_SERVICE = re.compile(r"\d{2,3}[A-Za-z]")
"""What stands behind a tyre's size: typed alone, it is added to the size."""
LONG = ("to-measure", "parts")
"""What 'wheelside fit' tells at length."""
Ask = Callable[[str], str]
"""Shows what is asked and gives back what was typed. Raises EOFError where nothing more comes."""


class Leaving(Exception):
    """Somebody stops: all that was answered is kept."""


class GoBack(Exception):
    """Somebody takes the last answer back."""


class Conversation:
    """One conversation at one book. `car_link`: how a car is reached, as 'wheelside car' names it; '' for not at all."""

    def __init__(self, out: Teller, asker: Asker, ask: Ask, car_link: str = "") -> None:
        self.out, self.asker, self._ask, self._car_link = out, asker, ask, car_link
        self._car = ""

    def run(self) -> None:
        """From the door on, until nothing more is asked or somebody stops."""
        try:
            self._errand_or_back()
        except Leaving:
            self.out.blank()
            self.out.line("Kept. Go on any time: wheelside start")

    def _errand_or_back(self) -> None:
        while True:
            try:
                self._errand(self._door())
            except GoBack:
                self.out.line("There is nothing to take back.")
            else:
                return

    def _door(self) -> Errand:
        before = self.asker.so_far(Errand.WHEELS)
        if before.car is not None:
            self.out.line(
                f"So far: {self.out.speech.text(say('{all}', all=said_so_far(before.garage, before.car)))}", style="dim"
            )
        self.out.line("What brings you?", style="bold")
        for n, errand in enumerate(Errand, start=1):
            self.out.line(f"{n}  {errand.words}", indent=2)
        last = len(Errand)
        if before.car is not None:
            last += 1
            self.out.line(f"{last}  Another car", indent=2)
        self.out.line("To look round an example: wheelside demo.  A garage file: wheelside book import.", style="dim")
        while True:
            said = self._read("> ")
            if said.isdigit() and 0 < int(said) <= last:
                self._car = NEW_CAR if int(said) > len(Errand) else ""
                return Errand.WHEELS if self._car else tuple(Errand)[int(said) - 1]
            self.out.line(f"Type a number from 1 to {last}, or q to stop.")

    def _errand(self, errand: Errand) -> None:
        if errand is Errand.LAMP:
            self._lamp()
            return
        shown = False
        self._car = self._car or self._which()
        while True:
            turn = self.asker.turn(errand, self._car)
            shown = shown and turn.leg not in (CourseLeg.OPENING, CourseLeg.ALWAYS)
            if turn.leg in (CourseLeg.BESIDES, CourseLeg.OVER) and not shown:
                shown = True
                self._show(errand)
            if turn.query is None:
                self.out.line("No more questions. What you don't know yet may still change this.")
                return
            if turn.leg is CourseLeg.BESIDES:
                some = f"{turn.more} questions" if turn.more > 1 else "One question"
                self.out.line(f"{some} could still change this; q to stop.", style="dim")
            try:
                self._one(turn.query, errand)
            except GoBack:
                if not self.asker.go_back(via="command"):
                    self.out.line("There is nothing to take back.")

    def _which(self) -> str:
        """The car that it is about, where there are several."""
        query = which_car(self.asker.desk.loaded().garage)
        if query is None:
            return ""
        self.out.blank()
        self.out.line(self._text(query.title), style="bold")
        return self._pick(query)

    def ask_one(self, query: Query) -> bool:
        """Asks one question by itself; whether it was answered, which 'not known' is, too."""
        try:
            self._until_answered(query)
        except (Leaving, GoBack):
            return False
        return True

    def _one(self, query: Query, errand: Errand) -> None:
        """One question until it is answered, and what can be said then."""
        self._until_answered(query)
        for said in known_so_far(self.asker.so_far(errand, self._car)):
            self.out.line(f"   {self._text(said)}", style="dim")

    def _until_answered(self, query: Query) -> None:
        given = self._given(query)
        while True:
            try:
                self.asker.answer(query.code, given, via="command")
                if self._car == NEW_CAR:
                    self._car = self.asker.desk.loaded().garage.car[-1].id
                break
            except AnswerRefused as error:
                given = self._mended(query, given, error.wrong)

    def _mended(self, query: Query, given: dict[str, str], wrong: Mapping[str, str]) -> dict[str, str]:
        """The answer with what was wrong typed once more; all of it where that is of no single gap."""
        gaps = [gap for gap in query.gaps if gap.name in wrong]
        for gap in gaps:
            self.out.line(f"■ {self._text(gap.label)}: {wrong[gap.name]}", style="bold red")
            typed = self._gap(gap, query, first=True)
            if typed is None:
                return {"pick": DONT_KNOW}
            more = _SERVICE.fullmatch(typed.strip())
            given = {**given, gap.name: f"{given.get(gap.name, '')} {typed}".strip() if more else typed}
        if gaps:
            return given
        for text in wrong.values():
            self.out.line(f"■ {text}", style="bold red")
        return self._given(query)

    def _given(self, query: Query) -> dict[str, str]:
        """An answer as it is typed: a pick by its number, then what belongs to it."""
        self.out.blank()
        self.out.line(self._text(query.title), style="bold")
        pick = self._pick(query) if query.picks else ""
        if pick == DONT_KNOW or pick in query.alone:
            return {"pick": pick}
        given = {"pick": pick}
        if self._car_link and self._car_can_say(query):
            return given | self._from_car(query)
        for gap in query.gaps:
            if gap.kind == "more":
                continue
            typed = self._gap(gap, query, first=len(given) == 1)
            if typed is None:
                return {"pick": DONT_KNOW}
            given[gap.name] = typed
        return given

    def _car_can_say(self, query: Query) -> bool:
        garage = self.asker.desk.loaded().garage
        return car_can_say(garage, car_of(garage, self._car), query, self.asker.desk.clock())

    def _from_car(self, query: Query) -> dict[str, str]:
        """The IDs of the set that is on the car, read from its list where its lamp is off; typed where that does not come about."""
        read: dict[str, str] = {}
        self.out.line("Read them from the car? Only if the tyre lamp is off while you drive.", indent=2)
        self.out.line(cautions.PORT, indent=2)
        if self._read("  y: ignition on, engine off, lamp off: read them; Enter: I type them: ") == "y":
            garage = self.asker.desk.loaded().garage
            car = car_of(garage, self._car)
            try:
                read = ids_in_list(Visit(self.asker.desk, car.id), self._car_link) if car is not None else {}
            except (BadRequest, Outside) as error:
                self.out.line(f"■ {error}", style="bold red")
        given = {gap.name: read[gap.name] for gap in query.gaps if gap.name in read}
        for gap in query.gaps:
            if gap.name in given:
                self.out.line(f"{self._text(gap.label)}: {given[gap.name]}", indent=2)
        for gap in (g for g in query.gaps if g.name not in read):
            typed = self._gap(gap, query, first=not given)
            if typed is None:
                return {"pick": DONT_KNOW}
            given[gap.name] = typed
        return {**given, FROM_CAR: " ".join(read.values())}

    def _pick(self, query: Query) -> str:
        codes = [p.code for p in query.picks]
        for n, pick in enumerate(query.picks, start=1):
            then = f"   {self._text(pick.then)}" if pick.then is not None else ""
            self.out.line(f"{n}  {self._text(pick.words)}{then}" + ("   (usual)" if pick.usual else ""), indent=2)
        if query.unknown is not None:
            self.out.line(f"d  Don't know   {self._text(query.unknown)}", indent=2)
        while True:
            said = self._read("> ")
            if said.isdigit() and 0 < int(said) <= len(codes):
                return codes[int(said) - 1]
            if said == "d" and query.unknown is not None:
                return DONT_KNOW
            if said == "?" and query.where is not None:
                self.out.line(self._text(query.where), indent=2)
                continue
            more = ", d for don't know" if query.unknown is not None else ""
            where = ", ? for where to find it" if query.where is not None else ""
            self.out.line(f"Type a number from 1 to {len(codes)}{more}{where}, b to go back, q to stop.")

    def _gap(self, gap: Gap, query: Query, *, first: bool) -> str | None:
        """What is typed into one gap; None where it is not known. Enter takes what stands in brackets."""
        unit = f" in {gap.unit}" if gap.unit else ""
        usual = f" [{gap.value}]" if gap.value else ""
        like = f", such as {gap.example}" if gap.example and not gap.value else ""
        unknown = "; d: don't know" if first and query.unknown is not None and not query.picks else ""
        while True:
            said = self._read(f"  {self._text(gap.label)}{unit}{like}{unknown}{usual}: ")
            if said == "d" and query.unknown is not None and not query.picks:
                return None
            if said != "?":
                return said or gap.value
            if query.where is not None:
                self.out.line(self._text(query.where), indent=2)

    def _lamp(self) -> None:
        said: dict[str, str] = {}
        while (query := lamp_query(said)) is not None:
            self.out.blank()
            self.out.line(self._text(query.title), style="bold")
            if query.code == "look" and query.where is not None:
                self.out.line(self._text(query.where))
            said[query.code] = self._pick(query)
        advice = lamp_advice(said)
        self.out.blank()
        self.out.line(self._text(advice.do), style="bold")
        self.out.line(self._text(advice.because))
        for n, then in enumerate(advice.then, start=1):
            self.out.line(f"{n}. {self._text(then)}", indent=2)

    def _show(self, errand: Errand) -> None:
        """All that comes out, the answer first."""
        self.out.blank()
        for screen in so_far_screens(self.asker.so_far(errand, self._car)):
            self.out.parts(part for part in screen.parts if part.code not in LONG)

    def _read(self, prompt: str) -> str:
        try:
            said = self._ask(prompt).strip()
        except EOFError:
            raise Leaving from None
        if said == "q":
            raise Leaving
        if said == "b":
            raise GoBack
        return said

    def _text(self, said: Said) -> str:
        return self.out.speech.text(said)
