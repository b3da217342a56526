"""What a rung of the evidence ladder lacks. No code is ever taken out: proofs are sealed with them."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.said import Coded


class Lack(Coded):
    """What a rung lacks. CODES_THERE, LIST_OTHER and CORNER_OTHER are of rules 2, which told less apart."""

    NOT_LOOKED = "not-looked", "nobody has looked at the lamp since the work"
    LAMP_SEEN = "lamp-seen", "the lamp: {said}"
    LAMP_TOLD = "lamp-told", "the lamp, as the car tells it: {said}"
    STILL_LIT = "still-lit", "the lamp was made to come on, and was not seen to go out"
    NOT_WATCHED = "not-watched", "the lamp was not watched at ignition-on after the work"
    AT_IGNITION = "at-ignition", "at ignition-on the lamp {said}"
    NO_DRIVE = "no-drive", "no drive is noted"
    SHORT_DRIVE = "short-drive", "the drive lasted {minutes} minutes, {wanted} are wanted"
    LAMP_DRIVING = "lamp-driving", "the lamp did not stay off while driving"
    START_FIRST = "start-first", "the second start was seen before the drive"
    SILENT = (
        "silent",
        "wheel {wheel}, {corner}: no answer within two minutes, not heard since, and perhaps not missed by the car yet",
    )
    SILENT_DASH = (
        "silent-dash",
        "wheel {wheel}, {corner}: no figure of it moved, not heard since, and perhaps not missed by the car yet",
    )
    NOT_STORED = "not-stored", "the reference was not stored"
    CODES_NOT_READ = "codes-not-read", "codes were not read after the work"
    CODES_THERE = "codes-there", "codes are stored or pending, or could not be read"
    CODES_STORED = "codes-stored", "codes are stored or pending"
    CODES_EARLY = "codes-early", "codes were read before the drive only"
    CLEARED_SINCE = "cleared-since", "codes were cleared after the drive: whether one comes back is read in a week"
    READ_TOO_SOON = "read-too-soon", "codes were cleared, and read again before one could come back"
    LIST_NOT_HELD = "list-not-held", "the car's list was not compared with the fitted IDs"
    LIST_OTHER = "list-other", "the car's list is not just the fitted IDs, or can't be read"
    LIST_NOT_READ = "list-not-read", "the car's list can't be read"
    LIST_STRANGERS = "list-strangers", "the car's list has other IDs too, or lacks some of the fitted ones"
    LIST_SWAPPED = "list-swapped", "the car's list has the fitted IDs, some at another corner"
    LIST_HEARD = (
        "list-heard",
        "that a receiver heard just the fitted IDs is somebody's word, with no instrument behind it",
    )
    OTHER_ID = "other-id", "wheel {wheel}, {corner}: it sends another ID than the one that the list was compared with"
    CORNER_NOT_TRIED = "corner-not-tried", "{corner}: no change was tried"
    CORNER_NOT_PARKED = (
        "corner-not-parked",
        "{corner}: its figure is not shown while parked, and was not tried after the drive",
    )
    CORNER_EARLY = "corner-early", "{corner}: it was tried before the car was taught"
    CORNER_OTHER = "corner-other", "{corner}: the figure that moved was {said}"
    CORNER_SWAPPED = "corner-swapped", "{corner}: the figure of {said} moved"
    CORNER_NONE = "corner-none", "{corner}: no figure moved"
    CORNER_STILL = "corner-still", "{corner}: by the dash's own figures, before and after, it hardly moved"
    CORNER_NOT_GAUGED = "corner-not-gauged", "{corner}: it was not gauged again after the change"
    NOT_CHALLENGED = "not-challenged", "the lamp was not made to come on"
    NOT_LIT = "not-lit", "not shown, as the lamp did not come on: a car has to warn only while it is driven"
    NOT_OUT = "not-out", "it was not seen to go out after inflating"


@dataclass(frozen=True, slots=True)
class Lacking:
    """One thing that a rung lacks, with what its words name: an answer's code, a corner, a wheel by its id, minutes."""

    lack: Lack
    said: str = ""
    corner: str = ""
    minutes: float | None = None
    wanted: float | None = None
    wheel: str = ""
