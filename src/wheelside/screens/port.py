"""What a car says on its port as parts of a screen: its list against what is fitted, and a list before and after it is written."""

from __future__ import annotations

from wheelside.car.conditions import Condition
from wheelside.car.draft import Draft
from wheelside.car.reads import id_text
from wheelside.identity.inlist import InList, ListPlace, Seen
from wheelside.said import Joined, listed, say
from wheelside.screens.screen import Block, Cell, Look, Section, Sentence, ShownTable, rows


def list_part(name: str, found: InList, *, goes_by: bool) -> Section:
    """One list against what is on the car; `goes_by`: whether it is the one that the car goes by."""
    heading = say("List ‘{name}’, which the car goes by", name=name) if goes_by else say("List ‘{name}’", name=name)
    if found.empty:
        return Section("list", heading, (), say("holds no IDs"))
    places = rows((p.corner, p.id or "–", _seen(p)) for p in found.places)
    blocks: list[Block] = [ShownTable((say("place"), say("ID"), say("is")), places, whole=(1,))]
    if found.lacking:
        lacking = listed(found.lacking, Joined.COMMA)
        blocks.append(Sentence(say("▲ Not in it: what is fitted {corners}.", corners=lacking), Look.CARE))
    if any(p.seen is Seen.STRANGER for p in found.places):
        blocks.append(Sentence(say("IDs written down nowhere are shown by their last digits."), Look.SOFT))
    return Section("list", heading, tuple(blocks), say("✓ as fitted") if found.same else say("▲ not as fitted"))


def _seen(place: ListPlace) -> Cell:
    return say("{seen}: {whose}", seen=place.seen, whose=place.whose) if place.whose else place.seen


def draft_parts(draft: Draft, found: tuple[Condition, ...]) -> tuple[Section, ...]:
    """What would be written, place by place, and what has to be so before."""
    places = rows(
        (d.place, id_text(d.before), id_text(d.after), say("stays") if d.before == d.after else say("changes"))
        for d in draft.differences
    )  # fmt: skip
    columns = (say("place"), say("holds"), say("would hold"), "")
    before = Section(
        "draft", say("List ‘{name}’", name=draft.row.name), (ShownTable(columns, places, whole=(1, 2)),), say("before and after")
    )  # fmt: skip
    signs = {True: say("✓"), False: say("✕ not so"), None: say("? make sure of it")}
    checked = rows((one.name, one.found, signs[one.right]) for one in found)
    blocks: list[Block] = [ShownTable((say("before writing"), say("found"), ""), checked)]
    if draft.row.begin and draft.row.begin_empties:
        empties = "▲ Beginning empties the list: the supply must hold, and the plug stay in, until it is read back."
        blocks.append(Sentence(say(empties), Look.CARE))
    return (before, Section("conditions", say("What has to be so"), tuple(blocks)))
