"""What finishing a job puts into the book's facts: what its answers have shown, and nothing else."""

from __future__ import annotations

import copy
from dataclasses import dataclass
from datetime import date

from wheelside.book.facts import Row
from wheelside.garage.joined import joining_on
from wheelside.garage.model import Car, Garage, Joining
from wheelside.garage.words import AtRest, TakenOut, WhenFull, Writing
from wheelside.identity.roll import Roll, carried_by
from wheelside.jobs.work.doing import Doing
from wheelside.jobs.work.seen import KIND, rows_of_job
from wheelside.proof.heard import silent
from wheelside.proof.shown import ShownAnswer, shown_by
from wheelside.sensor.kind import one_kind
from wheelside.sensor.reading import Readings, read_id
from wheelside.sheet.ask import Tells
from wheelside.sheet.option import Battery, Instead, Listed, YesNo
from wheelside.sheet.progress import Standing
from wheelside.sheet.start import PlannedWheel
from wheelside.sheet.step import Does
from wheelside.units.moment import Moment

_SENT = (Tells.SENT_BEFORE, Tells.READ_BACK, Tells.AWAKE)


@dataclass(frozen=True, slots=True)
class Unfinished:
    """A step that is not finished, and how it stands."""

    title: str
    standing: Standing


@dataclass(frozen=True, slots=True)
class Ended:
    """What finishing a job would do: what is still open, what it changes in the book in words, and the table after it.

    `widths`: the widths in bits that all IDs of several readings have in common, to be asked about; `width_by`: the ID that
    settles it if all are of one kind, '' where none does.
    """

    unfinished: tuple[Unfinished, ...]
    changes: tuple[str, ...]
    table: Row
    widths: tuple[int, ...] = ()
    width_by: str = ""


def settled_facts(now: Doing, garage: Garage, table: Row, at: Moment, bits: int | None = None) -> Ended:
    """What finishing the job at a moment would do to the facts in `table`, which describe `garage`.

    `bits`: the width of the IDs that can be read in several ways, where the person says that they are of one kind.
    """
    unfinished = tuple(
        Unfinished(s.step.title, s.standing)
        for s in now.states
        if s.to_do or (not s.finished and s.standing is not Standing.OPEN)
    )
    work = _Settler(now, garage, copy.deepcopy(table), at)
    work.settle()
    kind = one_kind(work.open_ids.values())
    if bits in kind.widths:
        work.width(bits)
    return Ended(unfinished, tuple(work.told), work.table, kind.widths, kind.by)


def left_by(now: Doing, garage: Garage, table: Row, at: Moment) -> Row:
    """The facts in `table` with what a job that is given up has done to sensors and lists; where wheels are is in them already."""
    work = _Settler(now, garage, copy.deepcopy(table), at)
    work.parts()
    return work.table


class _Settler:
    """Writes what a job has shown into a table, and tells it."""

    def __init__(self, now: Doing, garage: Garage, table: Row, at: Moment) -> None:
        self.now, self.garage, self.table, self.at = now, garage, table, at
        self.shown = shown_by(now.states)
        self.told: list[str] = []
        self.open_ids: dict[str, Readings] = {}

    @property
    def day(self) -> date:
        return self.at.day

    def settle(self) -> None:
        self.parts()
        self.whereabouts()

    def parts(self) -> None:
        """Sensors, lists and tyres."""
        taught = was_taught(self.now, self.shown)
        self.write_out_lists(taught=taught)
        for wheel in self.now.start.wheels:
            self.wheel(wheel, taught=taught)
        self.blanks()
        if taught and self.now.start.car in self.garage.cars:
            self.car_list()
        self.treads()

    def row(self, kind: str, one: str | None) -> Row | None:
        return next((r for r in self.table.get(kind, ()) if r.get("id") == one), None)

    # --- sensors and their IDs

    def wheel(self, w: PlannedWheel, *, taught: bool) -> None:
        """What a wheel's sensor was seen to send, and its battery."""
        heard = sorted(
            (s for s in self.shown if s.wheel == w.wheel and s.tells in _SENT), key=lambda s: s.kept.claim.at.us
        )
        if w.refit:
            fitted = [s for s in heard if s.tells is Tells.AWAKE or s.does is Does.CHANGE_SENSORS]
            if fitted and w.wheel in self.garage.wheels and (text := self.noted(self.new_name(w), fitted[-1])):
                self.new_sensor(w, text)
            return
        row = self.row("sensor", w.sensor)
        if row is None:
            if heard:
                self.found(w, heard[-1], taught=taught)
            return
        if heard:
            self.sent(w, row, heard[-1])
            if taught and row.get("answers") is True:
                self.taken_by_car(row)
        if w.writes and any(s.wheel == w.wheel and _shows_written(s) for s in self.shown):
            self.written(w, row)
        self.battery(w, row)

    def sent(self, w: PlannedWheel, row: Row, last: ShownAnswer) -> None:
        if last.answer.said == Instead.NO_ANSWER:
            if row.get("answers") is not False:
                row["answers"] = False
                self.told.append(f"sensor {w.sensor} of wheel {w.name}: it gave no answer")
            return
        text = self.noted(w.sensor or "", last)
        if text and (row.get("sends") != text or row.get("answers") is not True):
            row["sends"], row["answers"] = text, True
            self.keep_width(row, last)
            self.told.append(f"sensor {w.sensor} of wheel {w.name}: it answers, and sends {text.removeprefix('0x')}")

    def found(self, w: PlannedWheel, last: ShownAnswer, *, taught: bool) -> None:
        """The sensor that answered in a wheel of which nothing was known: a loose one that sends this, else one that nobody had noted."""
        wheel, row, text = self.garage.wheels.get(w.wheel), self.row("wheel", w.wheel), _as_noted(last)
        loose = self.row("sensor", self.loose_with(text) if text else None)
        name = loose["id"] if loose is not None else self.new_name(w)
        if not text or wheel is None or row is None or wheel.joined or (loose is None and name in self.garage.sensors):
            return
        there: Row = loose if loose is not None else {"id": name}
        there |= {"sends": self.noted(name, last), "answers": True}
        if loose is None:
            self.table.setdefault("sensor", []).append(there)
        row["joined"] = [{"sensor": name}]
        self.told.append(f"wheel {w.name}: {name} is in it, and sends {text.removeprefix('0x')}")
        if taught:
            self.taken_by_car(there)

    def taken_by_car(self, row: Row) -> None:
        """A sensor that the car was taught with is of the family that it understands, where nobody has noted one."""
        car = self.garage.cars.get(self.now.start.car)
        if car is not None and car.family and not {"family", "bits"} & set(row):
            row["family"] = car.family
            self.open_ids.pop(row["id"], None)

    def loose_with(self, text: str) -> str | None:
        """The one sensor of which nobody says where it is that carries an ID as it was read; None where there is none, or more than one."""
        joined = {j.sensor for w in self.garage.wheel for j in w.joined}
        keys = {one.key for one in read_id(text).ids}
        free = (s for s in self.garage.sensor if s.id not in joined and s.gone is None and s.kept_at is None)
        like = [s.id for s in free if keys & {one.key for one in carried_by(self.garage, s)}]
        return like[0] if len(like) == 1 else None

    def keep_width(self, row: Row, last: ShownAnswer) -> None:
        """The width that the print or the owner had settled: the digits alone may be read in another one, too."""
        family = self.row("family", row.get("family")) or {}
        one = last.answer.id
        if one is not None and not {"bits"} & {*row, *family} and len(read_id(f"0x{one.hex}").widths) > 1:
            row["bits"] = one.bits

    def new_name(self, w: PlannedWheel) -> str:
        return f"sensor {w.wheel} {self.day}"

    def noted(self, sensor: str, s: ShownAnswer) -> str:
        """The ID as it is kept: its digits where it is clear which one it is, else as it was typed, with all its readings."""
        text = _as_noted(s)
        if text and s.answer.id is None:
            self.open_ids[sensor] = read_id(text)
        return text

    def width(self, bits: int | None) -> None:
        """Puts the width that was said into the family of the sensors, or into each sensor that has none."""
        for name in self.open_ids:
            row = self.row("sensor", name)
            family = self.row("family", row.get("family")) if row is not None else None
            into = family if family is not None and "bits" not in family else row
            if into is not None and "bits" not in into and (family is None or into is family):
                into["bits"] = bits
                self.told.append(f"{into['id']}: its IDs have {bits} bits")

    def written(self, w: PlannedWheel, row: Row) -> None:
        if row.get("writing") == Writing.WRITE_ONCE.value and row.get("written") is not True:
            row["written"] = True
            self.told.append(f"sensor {w.sensor} of wheel {w.name}: written, and can't be written again")

    def battery(self, w: PlannedWheel, row: Row) -> None:
        said = [s.answer.said for s in self.shown if s.wheel == w.wheel and s.tells is Tells.BATTERY]
        low = {Battery.LOW: True, Battery.GOOD: False}.get(Battery(said[-1])) if said else None
        if low is not None and row.get("battery_low") is not low:
            row["battery_low"] = low
            self.told.append(f"sensor {w.sensor} of wheel {w.name}: battery {'low' if low else 'good'}")

    def new_sensor(self, w: PlannedWheel, text: str) -> None:
        """A refitted sensor: a new row, a new joining, and the fate of the old one."""
        name = self.new_name(w)
        if name in self.garage.sensors:
            return
        new: Row = {"id": name, "sends": text, "answers": True, "first_used": self.day}
        if w.id is not None and w.id.family in self.garage.families:
            new["family"] = w.id.family
        elif (car := self.garage.cars.get(self.now.start.car)) is not None and car.family:
            new["family"] = car.family
        if w.writes:
            new["writing"] = Writing.REWRITABLE.value
        if w.silent:
            new["at_rest"] = AtRest.SILENT.value
        self.table.setdefault("sensor", []).append(new)
        joined = joining_on(self.garage.wheels[w.wheel], self.day)
        row = self.row("wheel", w.wheel)
        assert row is not None, "the wheel is in the garage that the table describes"
        rows: list[Row] = row.setdefault("joined", [])
        if joined is not None:
            index = self.garage.wheels[w.wheel].joined.index(joined)
            if joined.since == self.day:
                del rows[index]
            else:
                rows[index]["until"] = self.day
        rows.append({**_parts(joined), "sensor": name, "since": self.day})
        self.told.append(f"wheel {w.name}: new sensor {name}, which sends {text.removeprefix('0x')}")
        self.old_sensor(joined)

    def old_sensor(self, joined: Joining | None) -> None:
        row = self.row("sensor", joined.sensor) if joined is not None else None
        if joined is None or row is None:
            return
        wishes = self.garage.plan
        if wishes.taken_out is TakenOut.SCRAP and "gone" not in row:
            row["gone"] = self.day
            self.told.append(f"sensor {joined.sensor}: taken out and scrapped; its ID is never given out again")
        elif wishes.keep_at and wishes.taken_out is TakenOut.KEEP:
            row["kept_at"] = wishes.keep_at
            self.told.append(f"sensor {joined.sensor}: taken out, kept at {self.garage.places[wishes.keep_at].name}")

    def blanks(self) -> None:
        """New sensors in hand that were fitted are in hand no more."""
        new = {s["id"] for s in self.table.get("sensor", ())} - set(self.garage.sensors)
        used = [w for w in self.now.start.wheels if w.in_hand and self.new_name(w) in new]
        for w in used:
            row = self.row_of_blanks(w)
            if row is not None:
                row["count"] -= 1
        if used:
            left = sum(b["count"] for b in self.table.get("blank", ()))
            self.told.append(f"new sensors in hand: {len(used)} used, {left} left")

    def row_of_blanks(self, w: PlannedWheel) -> Row | None:
        """The row from which a new sensor was taken: of those that can be its family and rest as it does, the cheapest that is good for least."""
        car = self.garage.cars.get(self.now.start.car)
        family = w.id.family if w.id is not None else car.family if car is not None else None
        fit = [
            (b.each.hundredths if b.each else 0, len(b.families), n)
            for n, b in enumerate(self.garage.blank)
            if family in b.families and (b.at_rest is AtRest.SILENT) is w.silent and self.table["blank"][n]["count"]
        ]
        return self.table["blank"][min(fit)[2]] if fit else None

    # --- cars' lists

    def write_out_lists(self, *, taught: bool) -> None:
        """A list noted by set follows the wheels of the set; where their IDs change, what it holds is written out first."""
        changed = {w.wheel for w in self.now.start.wheels if w.refit or w.writes}
        for car in self.garage.car:
            if not car.holds or (taught and car.id == self.now.start.car and (car.slots or 1) == 1):
                continue
            row = self.row("car", car.id)
            roll = Roll(self.garage, self.day)
            groups = roll.held(car)
            for n, held in enumerate(car.holds):
                own = taught and (car.id, held.set) == (self.now.start.car, self.now.start.coming)
                if own and roll.goes_by(car, n, held.set or "") is None:
                    continue  # its own list is taught over
                wheels = {w for _, w in self.garage.sets[held.set].wheels} if held.set in self.garage.sets else set()
                rows = {h.corner.key: f"0x{h.id.hex}" for h in groups[n] if h.corner is not None}
                if row is not None and wheels & changed and rows:
                    row["holds"][n] = {"corners": rows}
                    self.told.append(
                        f"{car.name}: what its list holds of {self.garage.sets[held.set or ''].name} is written out"
                    )

    def car_list(self) -> None:
        """The car's list after it was taught: what it forgets by its own rule, then this set as it is joined now."""
        start = self.now.start
        car, row = self.garage.cars[start.car], self.row("car", start.car)
        assert row is not None, "the car is in the garage that the table describes"
        held = _kept_groups(car, row.get("holds", []), start.coming)
        row["holds"] = [*held, {"set": start.coming, "as_of": self.day}]
        self.told.append(f"{car.name}: its list holds {start.coming_name} from {self.day} on")

    # --- tyres and places

    def treads(self) -> None:
        for s in self.shown:
            wheel = self.garage.wheels.get(s.wheel)
            if s.tells is not Tells.TREAD or s.answer.tread is None or wheel is None:
                continue
            joined = joining_on(wheel, self.day)
            row = self.row("tyre", joined.tyre) if joined is not None else None
            if row is not None:
                row["tread"] = f"{s.answer.tread.mm:g} mm"
                row["measured"] = [*row.get("measured", ()), {"on": self.day, "tread": row["tread"]}]
                self.told.append(f"wheel {wheel.name}: tread {s.answer.tread.mm:g} mm")

    def whereabouts(self) -> None:
        """Where each wheel is: the rows that the job wrote while it was done, those of one set in one place as one."""
        job = self.now.row.id
        mine = [
            r
            for r in rows_of_job(self.now.row, self.now.start, self.now.states, self.at)
            if r["wheel"] in self.garage.wheels
        ]
        others = [r for r in self.table.get(KIND, ()) if r.get("job") != job]
        rows = list(_together(self.garage, mine))
        if rows:
            self.table[KIND] = [*(r for r in others if not _overtaken(self.garage, r, mine)), *rows]
        for row in rows:
            row.setdefault("since", row["as_of"])
            self.told.append(_where(self.garage, row))


def _shows_written(s: ShownAnswer) -> bool:
    """Whether a sensor took a writing, by what it read back or by the writer's own word: one that takes one alone takes no more."""
    return (s.tells is Tells.READ_BACK and s.answer.id is not None) or (
        s.tells is Tells.WRITTEN and s.answer.said == YesNo.YES
    )


def _as_noted(s: ShownAnswer) -> str:
    """The ID as it is kept: its digits where it is clear which one it is, else as it was typed, with all its readings."""
    if s.answer.id is not None:
        return f"0x{s.answer.id.hex}"
    return "" if s.answer.said == Instead.NO_ANSWER or s.answer.tail_only else s.answer.said.strip()


def _parts(joined: Joining | None) -> Row:
    return {k: v for k in ("rim", "tyre") if joined is not None and (v := getattr(joined, k))}


def _kept_groups(car: Car, held: list[Row], coming: str) -> list[Row]:
    """What a car's list still holds once a set has been taught to it; where its size is not known, it is taken to hold one set."""
    kept, slots = [h for h in held if h.get("set") != coming], car.slots or 1
    if len(kept) < slots:
        return kept
    return [] if car.when_full is WhenFull.ALL else kept[len(kept) - (slots - 1) :]


def was_taught(now: Doing, shown: tuple[ShownAnswer, ...]) -> bool:
    """Whether the evidence shows that the car knows the set now: confirmed wheel by wheel, listed, or driven with the lamp off."""
    if not now.start.taught:
        return False
    listed = [s for s in shown if s.tells is Tells.KNOWN_IDS and s.answer.said not in (Listed.NOT_READ, Listed.HEARD)]
    if listed:
        return listed[-1].answer.said in (Listed.JUST_THESE, Listed.NO_CORNERS)
    confirmed = [s for s in shown if s.tells is Tells.TAUGHT]
    if confirmed:
        asked = {a.wheel for state in now.states for a in state.step.asks if a.tells is Tells.TAUGHT}
        return {s.wheel for s in confirmed if s.answer.said == YesNo.YES} >= asked
    driven = [s for s in shown if s.tells in (Tells.LAMP_DRIVING, Tells.DRIVEN)]
    return bool(driven) and all(s.answer.as_planned for s in driven) and not silent(now.start, shown)


def _together(garage: Garage, rows: list[Row]) -> list[Row]:
    """Rows of wheels, those of a whole set at its own corners or at one place as one row about the set."""
    out, left = [], {r["wheel"]: r for r in rows}
    for wheel_set in garage.set:
        whole = [(c, left[w]) for c, w in wheel_set.wheels if w in left]
        own = [(c, left[w]) for c, w in garage.of_its_own(wheel_set) if w in left]
        on = {r.get("on") if r.get("corner") == c.value else None for c, r in whole}
        at = {r.get("at") for _, r in own}
        home = len(whole) == len(wheel_set.wheels) and len(on) == 1 and None not in on
        lies = len(own) == len(garage.of_its_own(wheel_set)) and len(at) == 1 and None not in at
        if not home and not lies:
            continue
        mine = [r for _, r in (whole if home else own)]
        last = max(mine, key=lambda r: (r["as_of"], r["time"]))
        row: Row = {"set": wheel_set.id}
        row |= {"on": last["on"], "since": max(r["as_of"] for r in mine)} if home else {"at": last["at"]}
        row |= {k: last[k] for k in ("as_of", "time", "how", "by", "job") if k in last}
        out.append(row)
        for r in mine:
            del left[r["wheel"]]
    return [*out, *left.values()]


def _overtaken(garage: Garage, row: Row, mine: list[Row]) -> bool:
    """Whether a row says nothing more: all the wheels that it is about were seen later."""
    newer = {r["wheel"] for r in mine if (r["as_of"], r["time"]) >= (row["as_of"], row.get("time", ""))}
    if row.get("wheel"):
        return row["wheel"] in newer
    wheel_set = garage.sets.get(row.get("set", ""))
    if wheel_set is None:
        return False
    about = wheel_set.wheels if row.get("on") else garage.of_its_own(wheel_set)
    return all(w in newer for _, w in about)


def _where(garage: Garage, row: Row) -> str:
    name = garage.sets[row["set"]].name if row.get("set") else f"wheel {garage.wheels[row['wheel']].name}"
    if row.get("on"):
        corner = f", {row['corner']}" if row.get("corner") else ""
        return f"{name} is on {garage.cars[row['on']].name}{corner}, since {row.get('since', row['as_of'])}"
    place = garage.places.get(row.get("at", ""))
    return (
        f"{name} lies at {place.name}, since {row['as_of']}"
        if place
        else f"{name} is off the car; where it lies is not noted"
    )
