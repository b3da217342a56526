"""Port cards as text to be completed, out of the files that describe a car: DBC and ODX. What can't be known is a '?'."""

from __future__ import annotations

import json
from itertools import groupby
from pathlib import Path

from wheelside.car.broadcast import LONGEST_MESSAGE, Described, decode_text, described
from wheelside.car.odx import LARGEST_FILE, WIDEST, Piece, ReadService, UnitSaid, read_odx
from wheelside.errors import BadRequest
from wheelside.jobs.car.port import LARGEST_DBC
from wheelside.jobs.source import read_bytes

UNKNOWN = '"?"'
MOST_PLACES = 5
ENDINGS = (".dbc", ".pdx", ".odx-d")
HEAD = (
    'A draft of a port card. Where it says "?", write what you know from service literature; take out what you don\'t need.',
    "'wheelside port check' names what is still open.",
)
CAUTION = (
    "These services write or start something. They are named here and nowhere else: a list may be made writable only after",
    "service literature says how teaching is begun, written and ended. A wrong one can leave the unit without its list.",
)


def draft_port_card(file: Path, only: str | None = None, layer: str | None = None) -> str:
    """A port card as TOML text, from a DBC or ODX file. `only`: a word that a signal or service has to have. Raises BadRequest, Outside."""
    kind = file.suffix.lower()
    if kind not in ENDINGS:
        raise BadRequest(
            f"{file}: a port card is drafted from one of {', '.join(ENDINGS)}", found=kind, expected=", ".join(ENDINGS)
        )
    most = LARGEST_DBC if kind == ".dbc" else LARGEST_FILE
    if file.is_file() and file.stat().st_size > most:
        raise BadRequest(
            f"{file} is larger than {most / 1_000_000:g} MB; take the part for this one unit",
            found=str(file),
            expected=f"at most {most} bytes",
        )
    data = read_bytes(file, "the file to draft from")
    if kind == ".dbc":
        return _from_dbc(file, described(decode_text(data)), only)
    return _from_odx(file, read_odx(data, file.name, layer), only)


def _text(lines: list[str]) -> str:
    return "\n".join(lines).rstrip("\n") + "\n"


def _comment(text: str) -> str:
    """A text as one comment line, whatever is in it."""
    return "# " + "".join(sign if sign.isprintable() else " " for sign in " ".join(text.split()))


def _quoted(text: str) -> str:
    """A text as a TOML string: JSON's escapes are TOML's, and what is not printed goes."""
    return json.dumps("".join(sign for sign in text if sign.isprintable()).strip() or "?", ensure_ascii=False)


def _top(file: Path, name: str, more: tuple[str, ...] = ()) -> list[str]:
    return [
        *(_comment(line) for line in (*HEAD, f"Drafted from {file.name}.")),
        "",
        "port = 1",
        f"id = {_quoted(name)}",
        *more,
        "",
    ]


def _none(only: str | None, what: str) -> BadRequest:
    why = f"no {what} with '{only}' in it" if only else f"no {what}"
    return BadRequest(f"the file has {why}; try another word with --only, or none", found="none", expected=what)


def _has(only: str | None, *texts: str) -> bool:
    return only is None or any(only.casefold() in text.casefold() for text in texts)


def _from_dbc(file: Path, signals: tuple[Described, ...], only: str | None) -> str:
    wanted = [one for one in signals if _has(only, one.message, one.signal, one.comment)]
    if not wanted:
        raise _none(only, "signal")
    lines = _top(file, file.stem, (f"dbc = {_quoted(file.name)}",))
    lines += [
        _comment(
            "Add [unit] with 'request' and 'answer' where the unit is to be asked, too; a DBC file does not say them."
        ),
        "",
    ]
    for one in wanted:
        lines += _broadcast(one)
    return _text(lines)


def _broadcast(one: Described) -> list[str]:
    can_id = f"{one.can_id:0{8 if one.wide else 3}X}"
    unit = f"unit {one.unit}" if one.unit else "no unit"
    told = [_comment(f"{one.message}.{one.signal}, {can_id}, {unit}{': ' if one.comment else ''}{one.comment}")]
    if one.length > LONGEST_MESSAGE:
        return [*told, _comment(f"left out: its message has {one.length} bytes, and at most 8 can be heard"), ""]
    return [
        *told, "[[broadcast]]", f"message = {_quoted(one.message)}", f"signal = {_quoted(one.signal)}", f"holds = {UNKNOWN}",
        _comment('place = the corner, such as "front left", where it is of one wheel'),
        _comment('unit = "kPa gauge" or "kPa absolute", where the file does not say which'), "",
    ]  # fmt: skip


def _from_odx(file: Path, said: UnitSaid, only: str | None) -> str:
    answers = [one for one in said.answers if _has(only, one.name, *(part.name for part in one.parts))]
    changes = [one for one in said.changes if _has(only, one.name)]
    if not answers and not changes:
        raise _none(only, "service that reads by identifier")
    lines = _top(file, said.layer)
    lines += ["[unit]", f"request = {_can_id(said.request)}", f"answer = {_can_id(said.answer)}"]
    lines += [_comment("padding: the file does not say it in a way that can be relied on; look it up"), ""]
    for answer in answers:
        lines += _value(answer)
    if changes:
        lines += [_comment(line) for line in CAUTION]
        lines += [_comment(f"{one.name}: {one.request.hex(' ').upper()}") for one in changes]
    return _text(lines)


def _can_id(found: tuple[int, bool] | None) -> str:
    return f'"{found[0]:0{8 if found[1] else 3}X}"' if found else UNKNOWN


def _value(answer: ReadService) -> list[str]:
    """One service as a value, or as a comment that says why a port card can't have it."""
    where = f"{answer.identifier:04X}" if answer.identifier is not None else "without an identifier"
    told = [_comment(f"{answer.name}, {where}: {', '.join(map(_named, answer.parts)) or 'nothing told'}")]
    why = answer.why_not or "; ".join(f"{part.name}: {part.why_not}" for part in answer.parts if part.why_not)
    alike = len(list(groupby(answer.parts, key=lambda part: part.alike))) == 1
    if not why and (not alike or len(answer.parts) > MOST_PLACES):
        why = "several different parameters in one answer"
    if not why and len(answer.parts) > 1 and not 1 <= (answer.parts[0].length or 0) <= WIDEST:
        why = "several texts or long numbers in one answer"
    if why or answer.identifier is None:
        return [*told, _comment(f"left out, for a port card can't say it: {why}"), ""]
    return [
        *told,
        "[[value]]",
        f'identifier = "{answer.identifier:04X}"',
        f"holds = {UNKNOWN}",
        *_layout(answer.parts),
        "",
    ]


def _named(part: Piece) -> str:
    return f"{part.name} ({part.unit})" if part.unit else part.name


def _layout(parts: tuple[Piece, ...]) -> list[str]:
    """The keys of a value's layout, those that are not as usual."""
    one, lines = parts[0], list[str]()
    if len(parts) > 1:
        lines += [f"places = [{', '.join([UNKNOWN] * len(parts))}]"]
    if one.length is None or one.length > WIDEST:
        return [*lines, _comment("a text or bytes: a serial number or a VIN")]
    lines += [f"length = {one.length}"] if one.length > 1 else []
    lines += ["signed = true"] if one.signed else []
    lines += [] if one.high_first or one.length == 1 else ['order = "low first"']
    lines += [f"scale = {one.scale!r}"] if one.scale != 1 else []
    lines += [f"offset = {one.offset!r}"] if one.offset else []
    lines += [f"unit = {_quoted(one.unit)}"] if one.unit else []
    lines += [f"words = [{', '.join(_quoted(f'{number}: {word}') for number, word in one.words)}]"] if one.words else []
    return lines + ([_comment(f"left out: {one.note}")] if one.note else [])
