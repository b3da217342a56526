"""Jobs of before there were codes: the sentences that they kept, and the codes that these stood for.

This is a record of what was, so its texts and codes stay as they are, whatever the program says or keeps later.
"""

from __future__ import annotations

import hashlib
import json
import re
from typing import Any

Json = dict[str, Any]
_OPTIONS = {
    "lights, then goes out": "lights-goes-out",
    "lights and stays on": "lights-stays",
    "flashes, then stays on": "flashes-stays",
    "goes out only after some minutes": "goes-out-late",
    "comes and goes": "comes-and-goes",
    "never lights": "never-lights",
    "stays off": "stays-off",
    "was lit before the drive, then goes out": "was-lit-goes-out",
    "flashes for a while, then goes out": "flashes-goes-out",
    "comes on, then goes out by itself": "comes-on-goes-out",
    "comes on and stays": "comes-on-stays",
    "was lit before the drive, and stays on": "was-lit-stays",
    "off": "lamp-off",
    "steady": "lamp-steady",
    "flashing": "lamp-flashing",
    "not told": "lamp-not-told",
    "none": "no-codes",
    "some": "codes",
    "not read": "codes-not-read",
    "just these, each at its corner": "just-these",
    "just these, corners not shown": "just-these-no-corners",
    "just these, heard by a receiver": "just-these-heard",
    "just these, some at another corner": "just-these-swapped",
    "others too, or some missing": "others-or-missing",
    "can't be read": "list-not-read",
    "good": "battery-good",
    "low": "battery-low",
    "not shown": "battery-not-shown",
    "none moved": "none-moved",
    "some moved": "some-moved",
    "no bubbles": "no-bubbles",
    "this set": "this-set",
    "nothing yet": "nothing-shown-yet",
    "another set": "another-set",
}
_NO_ANSWER = "no answer within two minutes"
_STAGES = {
    "Before anything is touched": "before",
    "Parts and tools": "parts",
    "Write new sensors on the bench": "bench",
    "Take wheels off": "off",
    "Tyre shop": "shop",
    "Write sensors in their wheels": "in-wheel",
    "Swap the wheels": "swap",
    "Pressures": "air",
    "Wake and teach": "teach",
    "Drive and look": "drive",
    "Prove it": "proof",
    "Afterwards": "after",
    "Only if a sensor was written wrongly": "wrong",
}
_OF_A_WHEEL = (
    "answer", "write", "read-back", "note", "off", "let-down", "inflate", "fit", "air", "wake", "teach", "corner", "corner-back",
)  # fmt: skip
_REASONS = {
    "the set goes on no car": "no-car",
    "how this car watches its tyres is not known": "monitor-not-known",
    "this car does not watch its tyres": "not-watched",
    "the least that shows whose wheels the car hears": "least",
    "this car watches by wheel speed and has learnt these tyres anew": "learnt-anew",
    "the set carries a clone": "clone",
    "new sensors carry old IDs on": "carried-on",
    "the car was taught by corner": "by-corner",
    "front and rear tyres differ": "staggered",
}
_WANTS = {
    "'monitor' in the garage file": "monitor",
    "a diagnostic adapter, to read codes and the car's list": "adapter",
    "a dash that shows each wheel's pressure (note 'dash_shows'), or a receiver": "dash",
}
_KPA = {"bar": 100.0, "psi": 6.894757293168361, "kPa": 1.0}


def as_code(said: str, kind: str, tells: str) -> str:
    """The code for a sentence that was an answer to an ask of a kind; anything else stays as it was said."""
    if kind == "id":
        return "no-answer" if said == _NO_ANSWER else said
    if kind != "pick":
        return said
    if said == "none" and tells == "corner that moved":
        return "no-figure"
    return _OPTIONS.get(said, said)


def job_in_codes(body: str) -> tuple[str, str]:
    """What a job began with, in codes, and what the job is called; both as JSON text. One that is in codes already stays."""
    start: Json = json.loads(body)
    if "title" not in start:
        return body, ""
    del start["title"]
    sheet: Json = start["sheet"]
    start["gauge_bias"] = _bias(start.get("gauge_bias", ""))
    sheet["aim"] = _aim(sheet["aim"], start.get("monitor"))
    sheet["steps"] = [_step(step, start) for step in sheet["steps"]]
    sheet["findings"] = [_finding(one) for one in sheet.get("findings", ())]
    due = sheet.get("due")
    called = {
        "coming": start["coming_name"], "day": sheet["day"], "car": start["car_name"] if start["car"] else "", "going": start["going_name"],
        "stays_on": sheet["stays_on"], "due": due if due != sheet["day"] else None,
    }  # fmt: skip
    return json.dumps(start, ensure_ascii=False), json.dumps(called, ensure_ascii=False)


def claim_in_codes(body: str, asks: dict[str, tuple[str, str]]) -> str:
    """What a claim says, in codes. `asks`: the kind of each ask of its step, and what it is about, by the ask's id."""
    said: Json = json.loads(body)
    for answer in said["answers"]:
        if answer["ask"] in asks:
            answer["said"] = as_code(answer["said"], *asks[answer["ask"]])
    return json.dumps(said, ensure_ascii=False)


def asks_of(body: str) -> dict[str, dict[str, tuple[str, str]]]:
    """The kind of each ask of a job and what it is about, by step and ask."""
    steps = json.loads(body)["sheet"]["steps"]
    return {s["id"]: {a["id"]: (a["kind"], a.get("tells", "")) for a in s.get("asks", ())} for s in steps}


def _aim(aim: Json, monitor: str | None) -> Json:
    reasons = [_REASONS[one] for one in aim["why"].split("; ") if one in _REASONS]
    return {
        "level": aim["level"], "reasons": reasons or ["least"], "monitor": monitor, "reachable": aim["reachable"],
        "missing": [_WANTS[one] for one in aim["missing"] if one in _WANTS],
    }  # fmt: skip


def _finding(finding: Json) -> Json:
    """A finding whose text is kept as it was said then."""
    way = finding.get("way_out", "")
    return {
        **finding,
        "text": _quoted(finding["text"]),
        "way_out": {"kind": "work", "said": _quoted(way)} if way else None,
    }


def _quoted(text: str) -> Json:
    return {"pattern": "{text}", "values": [["text", text]]}


def _bias(said: str) -> Json | None:
    """How much a gauge was said to read too high: 'reads 0.05 bar too low'."""
    if said == "reads true":
        return {"kpa": 0.0}
    found = re.fullmatch(r"reads ([\d.,]+) (bar|psi|kPa) too (high|low)", said)
    if not found:
        return None
    kpa = float(found[1].replace(",", ".")) * _KPA[found[2]]
    return {"kpa": kpa if found[3] == "high" else -kpa}


def _tail(wheel: str) -> str:
    """How the ids of steps ended that were about a wheel."""
    if re.fullmatch(r"[A-Z][A-Z0-9]*", wheel):
        return f"-{wheel.lower()}"
    looks = re.sub(r"[^a-z0-9]+", "-", wheel.lower()).strip("-")
    return f"-{looks}-{hashlib.sha256(wheel.encode()).hexdigest()[:8]}"


def _step(step: Json, start: Json) -> Json:
    told = [w["wheel"] for w in start["wheels"]]
    told += [a["wheel"] for a in step.get("asks", ()) if a.get("wheel")] + [m["wheel"] for m in step.get("moves", ())]
    wheel = next((w for w in told if step["id"].endswith(_tail(w)) and step["id"][: -len(_tail(w))] in _OF_A_WHEEL), "")
    stem = step["id"][: -len(_tail(wheel))] if wheel else step["id"]
    before = "does" not in step or step["does"] is None
    moves = _moves(stem, wheel, start) if before else step.get("moves", [])
    stowed = step.get("does") == "stow spare" or (before and stem == "fit" and _corner(start, wheel) == "spare")
    no_figure = stem == "air" and (step.get("does") == "find pressure" or (before and bool(step.get("lock"))))
    does = "stow" if stowed else "find-air" if no_figure else stem
    return {
        **step, "does": does, "wheel": wheel, "moves": moves, "stage": _STAGES.get(step["stage"], step["stage"]),
        "asks": [_ask(one) for one in step.get("asks", ())],
    }  # fmt: skip


def _corner(start: Json, wheel: str) -> str:
    return next((str(w["corner"]) for w in start["wheels"] if w["wheel"] == wheel), "")


def _moves(stem: str, wheel: str, start: Json) -> list[Json]:
    """Where a wheel is after a step of before steps told it: only their ids did."""
    if stem == "fit" and wheel:
        return [{"wheel": wheel, "on": start["car"], "corner": _corner(start, wheel), "at": None}]
    return [{"wheel": wheel, "on": None, "corner": "", "at": None}] if stem == "off" and wheel else []


def _ask(ask: Json) -> Json:
    kind, tells = ask["kind"], ask.get("tells", "")
    if kind != "pick":
        return ask
    found = {
        "options": [as_code(o, kind, tells) for o in ask.get("options", ())],
        "expect": as_code(ask.get("expect", ""), kind, tells),
    }
    return {**ask, **found, "also": [as_code(o, kind, tells) for o in ask.get("also", ())]}


_STATES = {"read back": "read-back", "known to the car": "known"}
"""How far an ID had come, in the words in which events said it, that are no codes."""


def state_in_codes(detail: str) -> str:
    """The detail of an event with its state as a code."""
    said = json.loads(detail)
    state = said.get("state")
    return json.dumps(said | {"state": _STATES[state]}, ensure_ascii=False) if state in _STATES else detail
