"""wheelside proof: the finished record of a job, and checking it without the book."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

import click

from wheelside.cli import options
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.jobs.book.desk import open_desk
from wheelside.jobs.jsonform import document
from wheelside.jobs.source import read_bytes, write_whole
from wheelside.jobs.work.finish import page_of, photos_for, proof_of
from wheelside.proof.check import Checked, Flawed, check_proof
from wheelside.proof.seal import is_of
from wheelside.proof.view import view_of
from wheelside.speech.speech import Speech


@click.group("proof")
def command() -> None:
    """Checks proofs, and writes them out of a book."""


@command.command("check")
@click.argument("file", type=options.FILE)
@click.option(
    "--key", "named", metavar="FINGERPRINT", help="The key that it has to be signed by; 16 hex digits are enough."
)
@options.as_json
def check(file: Path, named: str | None, json_out: bool) -> int:
    """Says whether a proof, as JSON or as a page, is unaltered since it was signed. Needs no book."""
    found = check_proof(read_bytes(file, "the proof"), str(file))
    by_named = None if named is None else is_of(named, found.proof["seal"]["key"])
    if json_out:
        parts = {
            "unaltered": found.sound,
            "key": found.key,
            "by_named_key": by_named,
            "rules": found.rules,
            "judged": found.judged,
            "altered": _as_json(found.altered),
            "unchecked": _as_json(found.unchecked),
            "notes": _as_json(found.notes),
        }
        echo(document("proof check", **parts), nl=False)
    else:
        _show(Teller(), file, found, by_named)
    return int(not found.sound or by_named is False)


def _as_json(flaws: Iterable[Flawed]) -> list[dict[str, str]]:
    return [{"code": one.flaw.value, "text": Speech().text(one.said)} for one in flaws]


def _show(out: Teller, file: Path, found: Checked, by_named: bool | None) -> None:
    if by_named is False:
        out.line(f"{file}: NOT signed by the key that you named; the key in it is {found.key}")
    elif found.sound:
        view = view_of(found.proof)
        out.line(f"{file}: unaltered since signed by the key {found.key}")
        out.line(
            f"{view.title}: {view.record['level']['reached']} reached, {len(found.proof['evidence'])} pieces of evidence",
            indent=2,
        )
        if not found.judged:
            out.line(
                f"Made under rules {found.rules}, shown as they said then; its level was not judged again. Altered: no.",
                indent=2,
            )
    elif not found.altered:
        out.line(f"{file}: signed by the key {found.key}, but NOT CHECKED in full")
        for line in found.unchecked:
            out.line(f"? {Speech().text(line.said)}", indent=2)
    else:
        out.line(f"{file}: ALTERED since it was signed, or not signed by the key {found.key}")
        for line in found.altered:
            out.line(f"✕ {Speech().text(line.said)}", indent=2)
    for note in found.notes:
        out.line(f"· {Speech().text(note.said)}", indent=2)
    if found.sound and by_named:
        out.line(
            "That is the key that you named. Whether what was typed in is true, no file can say.", style="dim", indent=2
        )
    elif found.sound and by_named is None:
        out.line("Whose key that is, and whether what was typed in is true, no file can say.", style="dim", indent=2)


@command.command("write")
@options.book
@click.argument("job")
@click.argument("file", type=options.FILE)
@options.photos
def write(book: str, job: str, file: Path, photos: Path | None) -> int:
    """Writes the proof of a finished job as .json, .html or .pdf."""
    desk, _ = open_desk(book, photos)
    proof = proof_of(desk, job)
    if file.exists():
        raise BadRequest(f"there is something at {file} already: name another file", found=str(file))
    pictures, page = photos_for(desk, proof), page_of(desk, proof)
    desk.close()
    if file.suffix == ".json":
        write_whole(file, json.dumps(proof, ensure_ascii=False, indent=1) + "\n", "the proof")
    elif file.suffix == ".html":
        write_whole(file, page, "the proof")
    elif file.suffix == ".pdf":
        from wheelside.proof.pdf import proof_pdf

        file.write_bytes(proof_pdf(proof, pictures))
    else:
        raise BadRequest(f"{file}: name it .json, .html or .pdf", found=file.suffix, expected=".json, .html or .pdf")
    Teller().line(f"The proof is {file}.")
    return 0
