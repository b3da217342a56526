"""The first questions, which make a car, its sets and their wheels: nobody is asked for an id, names are made."""

from __future__ import annotations

from datetime import date

from wheelside.declared.kinds import Unfit
from wheelside.declared.row import MONEY
from wheelside.errors import BadText
from wheelside.garage.asked import DESIGNATION, MONITOR, OTHER_SET, PRICE, PRINTED
from wheelside.garage.joined import parts_on
from wheelside.garage.kinds import DESIGNATION as SIZE
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.words import ROAD_CORNERS, Corner, Monitor
from wheelside.inquiry.draft import Table, TableDraft, known, unknown
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Gap, Given, Occasion, Pick, Query
from wheelside.inquiry.typed import told, value_of
from wheelside.said import Begun, Said, say
from wheelside.sensor.reading import read_id

CAR_NAME = "My car"
HOME = "home"
SEASONS = {
    "winter": ("Winter", "W", "winter"),
    "summer": ("Summer", "S", "summer"),
    "all-year": ("All-year", "A", "all year"),
}
"""For each kind of set: what it is called, the letter of its wheels, its tyres' season as the garage has it."""
WHICH = "Winter tyres have a mountain with a snowflake on the sidewall. The size stands there in large type: 205/60 R16 92V."
SENSORS = ("figures", "lamp", "wheel-speed", "nothing")


def which_car(garage: Garage) -> Query | None:
    """Which of the owner's cars it is about; None where there are not several."""
    own = tuple(Pick(c.id, say("{car}", car=c.name)) for c in garage.car if not c.somebody_elses)
    return Query("car", say("Which car?"), own) if len(own) > 1 else None


def car_query(garage: Garage) -> Query:
    """How the car tells of its tyres: the first thing that is asked. A second car is given a name as well."""
    picks = (
        Pick("figures", say("A figure for each tyre")),
        Pick("lamp", say("Only a lamp"), say("and no Set or Reset button for tyres: its wheels have sensors")),
        Pick("wheel-speed", say("A lamp, and a Set or Reset button"), say("no sensors in its wheels")),
        Pick("nothing", say("Nothing")),
    )
    name = f"{CAR_NAME} {len(garage.car) + 1}" if garage.car else CAR_NAME
    names = (Gap("name", say("what you call it"), name),)
    return Query(
        "begin", say("What does your car show of its tyres?"), picks, names, say(MONITOR.where), say(MONITOR.unknown)
    )


def answer_car(draft: TableDraft, _rest: str, given: Given, _now: Occasion) -> None:
    """Makes a car that stands at home."""
    pick = given.get("pick", "")
    if pick not in (*SENSORS, DONT_KNOW):
        raise AnswerRefused({"": "pick one of the answers"})
    if draft.rows("car") and given.get("name", CAR_NAME) in {row["id"] for row in draft.rows("car")}:
        raise AnswerRefused({"": "this car is noted already: go on with the next question"})
    called = given.get("name", "").strip() or CAR_NAME
    plain = "".join(c for c in called if c.isascii() and (c.isalnum() or c in " ._-")).strip(" ._-")[:50] or CAR_NAME
    row = draft.row("car", draft.free("car", plain))
    if called != row["id"]:
        row["label"] = called
    draft.row("place", HOME, label="Where the car stands")
    row["stands_at"] = HOME
    if pick == DONT_KNOW:
        unknown(row, "monitor")
        return
    known(row, "monitor", {"wheel-speed": "indirect", "nothing": "none"}.get(pick, "direct"))
    if pick in ("figures", "wheel-speed", "nothing"):
        known(row, "dash_shows", pick == "figures")


def on_query(car: Car, noted: tuple[WheelSet, ...] = ()) -> Query:
    """What is on the car: one of the sets that are noted, or the kind of tyre by a pick, its size typed."""
    there = tuple(Pick(f"{NOTED}{s.id}", say("{set}", set=s.name), say("already noted")) for s in noted)
    picks = there + tuple(Pick(code, say(name + " wheels")) for code, (name, _, _) in SEASONS.items())
    rear = Gap("rear", say("rear tyres, where they differ"), "", "", "", "more")
    gaps = (Gap("size", say("tyre size"), "", "", DESIGNATION.example), rear)
    return Query(
        f"on/{car.id}",
        say("What is on {car} now?", car=car.name),
        picks,
        gaps,
        say(WHICH),
        None,
        "sidewall",
        alone=tuple(p.code for p in there),
    )


def other_query(car: Car, on: WheelSet | None, size: str) -> Query:
    """Which other set there is; its size is shown as that of the first."""
    has = {on.id.split()[0]} if on is not None else set()
    picks = [Pick(code, say(name + " wheels")) for code, (name, _, _) in SEASONS.items() if name not in has]
    picks.append(Pick("none", say("None")))
    gaps = (Gap("size", say("their tyre size"), size, "", DESIGNATION.example),)
    return Query(
        f"other/{car.id}", say(OTHER_SET.question), tuple(picks), gaps, say(WHICH), say(OTHER_SET.unknown),
        "sidewall", alone=("none",),
    )  # fmt: skip


def answer_on(draft: TableDraft, car: str, given: Given, now: Occasion) -> None:
    """Makes the set that is on a car, seen there today."""
    if any(row.get("on") == car and row.get("as_of") == now.day for row in draft.rows("seen")):
        raise AnswerRefused({"": "what is on it is noted already: go on with the next question"})
    pick = given.get("pick", "")
    if pick.startswith(NOTED):
        name = pick.removeprefix(NOTED)
        if draft.find("set", name) is None:
            raise AnswerRefused({"": "pick one of the answers"})
    else:
        name = _set_made(draft, car, given)
        draft.rows("stay").append({"set": name, "on": car, "since": now.day})
    draft.rows("seen").append({"set": name, "on": car, "as_of": now.day})


def answer_other(draft: TableDraft, car: str, given: Given, now: Occasion) -> None:
    """Makes another set of a car, kept somewhere; or notes that there is none."""
    row = draft.row("car", car)
    pick = given.get("pick", "")
    if "other_set" in row:
        raise AnswerRefused({"": "its other wheels are noted already: go on with the next question"})
    if pick == "none":
        known(row, "other_set", value=False)
    elif pick == DONT_KNOW:
        unknown(row, "other_set")
    else:
        name = _set_made(draft, car, given)
        known(row, "other_set", value=True)
        draft.row("set", name)["goes_on"] = car
        draft.row("place", STORE, label="Where wheels are kept")
        draft.rows("stay").append({"set": name, "at": STORE, "since": now.day})


def offer_query(car: Car, garage: Garage) -> Query:
    """A used set that somebody offers: its tyres and its price."""
    gaps = (
        Gap("size", say("tyre size"), "", "", DESIGNATION.example),
        Gap("price", say("asking price"), "", garage_currency(garage), PRICE.example, "figure"),
    )
    picks = tuple(Pick(code, say(name + " tyres")) for code, (name, _, _) in SEASONS.items())
    return Query(f"offer/{car.id}", say("Which set is it?"), picks, gaps, say(DESIGNATION.where), None, "sidewall")


def garage_currency(garage: Garage) -> str:
    """The currency in which prices are named here."""
    return next((one.price.currency for one in garage.set if one.price is not None), "EUR")


def answer_offer(draft: TableDraft, car: str, given: Given, now: Occasion) -> None:
    """Makes a set on offer, of four wheels alike. Raises AnswerRefused."""
    price = given.get("price", "").strip()
    try:
        amount = value_of(MONEY, price, "EUR", now.units) if price else None
    except Unfit as error:
        bare = "" if any(c.isdigit() for c in price) else f"write a figure, such as {PRICE.example}"
        raise AnswerRefused({"price": bare or told(error)}) from error
    name = _set_made(draft, car, given, called="Used set", letter="U")
    row = draft.row("set", name)
    row["on_offer"] = True
    if amount is not None:
        row["price"] = amount


STORE, NOTED = "store", "set:"
"""The place where wheels are kept; and what the code of a pick begins with that names a set."""


def _set_made(draft: TableDraft, car: str, given: Given, *, called: str = "", letter: str = "") -> str:
    """A set of four wheels with tyres and, where the car goes by them, sensors. Raises AnswerRefused."""
    pick = given.get("pick", "")
    if pick not in SEASONS:
        raise AnswerRefused({"": "pick one of the answers"})
    usual, first, season = SEASONS[pick]
    letter = letter or first
    sizes = [_size(given.get("size", ""), "size"), _size(given.get("rear", ""), "rear")]
    name = draft.free("set", called or usual)
    direct = draft.row("car", car).get("monitor") not in (Monitor.INDIRECT.value, Monitor.NONE.value)
    letters = {str(w["id"])[:-1] for w in draft.rows("wheel") if str(w["id"])[-1:].isdigit()}
    letter = next(one for one in (letter, *(f"{letter}{c}" for c in "BCDEFGHIJKLMNOPQRSTUVWXYZ")) if one not in letters)
    wheels = {}
    for n, corner in enumerate(ROAD_CORNERS):
        wheel = wheels[corner.key] = f"{letter}{n + 1}"
        size = (sizes[1] or sizes[0]) if n >= 2 else sizes[0]
        draft.row("tyre", wheel, season=season, **({"designation": size} if size else {}))
        joined = {"tyre": wheel}
        if direct:
            draft.row("sensor", wheel)
            joined["sensor"] = wheel
        draft.row("wheel", wheel, joined=[joined])
    draft.row("set", name, wheels=wheels)
    return name


def _size(text: str, gap: str) -> str:
    """A tyre size as the garage has it; '' where nothing is typed. Raises AnswerRefused."""
    said = text.strip().upper()
    if not said:
        return ""
    try:
        found = SIZE.take(said)
    except Unfit as error:
        raise AnswerRefused({gap: told(error)}) from error
    if found.service is None:
        raise AnswerRefused({gap: f"{said}: what stands behind it? A figure and a letter, such as 92V"})
    return said


FROM_CAR = "from_car"
"""The name under which an answer says which of its IDs were read from the car."""


def ids_query(garage: Garage, wheel_set: WheelSet, day: date) -> Query:
    """The IDs of a set, on the four as the car stands; what is noted stands there."""
    gaps = tuple(
        Gap(corner.key, _at(garage, corner, wheel), _printed(garage, wheel, day), kind="id")
        for corner, wheel in wheel_set.wheels
    )  # fmt: skip
    title = say(PRINTED.question, name=wheel_set.name)
    return Query(
        f"ids/{wheel_set.id}", title, (), gaps, say(PRINTED.where), say(PRINTED.unknown), PRINTED.drawing, four=True
    )


def _at(garage: Garage, corner: Corner, wheel: str) -> Said:
    return say("{corner}, {wheel}", corner=Begun(say(corner.value)), wheel=garage.wheels[wheel].name)


def _printed(garage: Garage, wheel: str, day: date) -> str:
    sensor = parts_on(garage, wheel, day).sensor
    return sensor.printed or sensor.sends or "" if sensor is not None else ""


def answer_name(draft: TableDraft, rest: str, given: Given, _now: Occasion) -> None:
    """Gives a car or a set another name; its id stays. Raises AnswerRefused."""
    kind, _, row_id = rest.partition("/")
    name = given.get("name", "").strip()
    if not name:
        raise AnswerRefused({"name": "write a name"})
    row = draft.find(kind, row_id)
    if row is None or kind not in ("car", "set"):
        raise KeyError(rest)
    row["label"] = name


def answer_ids(draft: TableDraft, set_id: str, given: Given, _now: Occasion) -> None:
    """Puts what is printed on the sensors of a set in; what is left empty is not known. Raises AnswerRefused.

    Under FROM_CAR: the IDs that the car's list holds, apart by spaces. One of them is what its sensor sends; nothing printed was read.
    """
    row = draft.find("set", set_id) or {}
    sent = {text.upper() for text in given.get(FROM_CAR, "").split()}
    wrong, found = {}, {}
    for corner in row.get("wheels", {}):
        text = "" if given.get("pick") == DONT_KNOW else given.get(corner, "").strip()
        try:
            found[corner] = read_id(text).text if text else ""
        except BadText:
            wrong[corner] = f"{text[:20]} is not a sensor ID: 6 to 10 digits, 0 to 9 and A to F"
    for corner, text in found.items():
        if text and [t.upper() for t in found.values()].count(text.upper()) > 1:
            wrong[corner] = f"{text[:20]} stands at two corners: read both again"
    if wrong:
        raise AnswerRefused(wrong)
    for (corner, _), joined in zip(row["wheels"].items(), draft.parts(set_id), strict=True):
        sensor = draft.find("sensor", str(joined.get("sensor")))
        if sensor is not None:
            _note_id(sensor, found[corner], from_car=found[corner].upper() in sent)


def _note_id(sensor: Table, text: str, *, from_car: bool) -> None:
    if not text:
        unknown(sensor, "printed")
    elif from_car:
        known(sensor, "sends", text)
    elif text != sensor.get("sends"):
        known(sensor, "printed", text)
