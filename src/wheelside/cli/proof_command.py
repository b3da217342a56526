"""wheelside proof: the finished record of a job, and checking it without the book."""

from __future__ import annotations

import json
from pathlib import Path

import click

from wheelside.cli import options
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.jobs.desk import open_desk
from wheelside.jobs.finish import photos_for, proof_of
from wheelside.jobs.jsonform import document
from wheelside.jobs.source import read_bytes, write_whole
from wheelside.proof.check import Checked, check_proof


@click.group("proof")
def command() -> None:
    """Checks proofs, and writes them out of a book."""


@command.command("check")
@click.argument("file", type=options.FILE)
@options.as_json
def check(file: Path, json_out: bool) -> int:
    """Says whether a proof, as JSON or as a page, is unaltered since it was signed. Needs no book."""
    found = check_proof(read_bytes(file, "the proof"), str(file))
    if json_out:
        parts = {
            "unaltered": found.sound,
            "key": found.key,
            "altered": found.altered,
            "unchecked": found.unchecked,
            "notes": found.notes,
        }
        click.echo(document("proof check", **parts), nl=False)
    else:
        _show(Teller(), file, found)
    return int(not found.sound)


def _show(out: Teller, file: Path, found: Checked) -> None:
    if found.sound:
        out.line(f"{file}: unaltered since signed by the key {found.key}")
        record = found.proof["record"]
        out.line(
            f"{found.proof['start']['title']}: {record['level']['reached']} reached, {len(found.proof['evidence'])} pieces of evidence",
            indent=2,
        )
    elif not found.altered:
        out.line(f"{file}: signed by the key {found.key}, but NOT CHECKED in full")
        for line in found.unchecked:
            out.line(f"? {line}", indent=2)
    else:
        out.line(f"{file}: ALTERED since it was signed, or not signed by the key {found.key}")
        for line in found.altered:
            out.line(f"✕ {line}", indent=2)
    for note in found.notes:
        out.line(f"· {note}", indent=2)
    if found.sound:
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
    pictures = photos_for(desk, proof)
    desk.close()
    if file.suffix == ".json":
        write_whole(file, json.dumps(proof, ensure_ascii=False, indent=1) + "\n", "the proof")
    elif file.suffix == ".html":
        from wheelside.proof.page import proof_page

        write_whole(file, proof_page(proof, pictures), "the proof")
    elif file.suffix == ".pdf":
        from wheelside.proof.pdf import proof_pdf

        file.write_bytes(proof_pdf(proof, pictures))
    else:
        raise BadRequest(f"{file}: name it .json, .html or .pdf", found=file.suffix, expected=".json, .html or .pdf")
    Teller().line(f"The proof is {file}.")
    return 0
