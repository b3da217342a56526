"""A proof can be checked by anybody, and whatever is altered in it shows."""

from __future__ import annotations

import base64
import copy
import hashlib
import io
import json
import random
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from PIL import Image
from pypdf import PdfReader

from claiming import claim, do_all
from commands import run
from wheelside.errors import BadFile
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.doing import begin, doing, take_claims
from wheelside.jobs.work.finish import finish, page_of
from wheelside.jobs.work.photo import take_photo
from wheelside.proof.check import Flaw, Flawed, check_proof
from wheelside.proof.page import proof_page
from wheelside.proof.pdf import proof_pdf
from wheelside.proof.plain import read_start
from wheelside.proof.record import RULES
from wheelside.proof.seal import canonical, fingerprint, sealed
from wheelside.sheet.claim import Answer

Json = dict[str, Any]
SEAL = b"\x02" * 32


@pytest.fixture
def proof(home: Desk) -> Json:
    job = begin(home).job
    assert job is not None
    do_all(home, job, skip=("retorque",), other={"air_w2": {"pressure_w2": "2,1"}})
    made: Json = json.loads(finish(home, job, leave_open=True))
    return made


def altered(proof: Json) -> tuple[Flaw, ...]:
    return tuple(one.flaw for one in check_proof(json.dumps(proof).encode(), "proof.json").altered)


def flaws(found: tuple[Flawed, ...]) -> list[Flaw]:
    return [one.flaw for one in found]


def test_an_untouched_proof_is_unaltered_in_any_spelling(proof: Json) -> None:
    shuffled = json.loads(json.dumps(proof), object_pairs_hook=lambda pairs: dict(reversed(pairs)))
    for text in (json.dumps(proof), json.dumps(proof, indent=4, ensure_ascii=False), json.dumps(shuffled)):
        found = check_proof(text.encode(), "proof.json")
        assert (found.altered, found.notes) == ((), ())
        assert found.key == fingerprint(proof["seal"]["key"])


def _places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The path of every plain value."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield from _places(one, (*path, key))
    elif isinstance(value, list):
        for i, one in enumerate(value):
            yield from _places(one, (*path, i))
    else:
        yield path


def _with(proof: Json, path: tuple[Any, ...], value: Any) -> Json:
    other = copy.deepcopy(proof)
    at: Any = other
    for part in path[:-1]:
        at = at[part]
    at[path[-1]] = value
    return other


def _other(value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, (int, float)):
        return value + 1
    return "x" if value is None else (value[:-1] + ("0" if value[-1:] != "0" else "1") if value else "y")


def test_every_single_value_that_is_altered_shows(proof: Json) -> None:
    places = [p for p in _places(proof) if p != ("wheelside_proof",)]
    chosen = random.Random(20261125).sample(places, 300)
    chosen += [p for p in places if p[0] in ("about", "seal", "record")]
    at: Any
    missed = []
    for path in dict.fromkeys(chosen):
        at = proof
        for part in path:
            at = at[part]
        other = _with(proof, path, _other(at))
        try:
            if not altered(other):
                missed.append(path)
        except BadFile:
            continue
    assert len(dict.fromkeys(chosen)) > 400
    assert missed == []


def test_it_says_which_part_was_altered(proof: Json) -> None:
    assert altered(_with(proof, ("record", "level", "reached"), "E9")) == (Flaw.RECORD,)
    other = _with(proof, ("evidence", 6, "claim", "person"), "Eve")
    (one,) = check_proof(json.dumps(other).encode(), "x").altered
    assert (one.flaw, one.said["n"], one.said["step"]) == (Flaw.PIECE, 7, "fetch-w3")
    assert altered(_with(proof, ("start", "car_name"), "Other")) == (Flaw.START,)
    assert altered(_with(proof, ("about", "ended"), "2026-01-01T00:00:00+00:00"))[0] is Flaw.ABOUT


def test_evidence_taken_out_put_in_or_put_elsewhere_shows(proof: Json) -> None:
    shorter = copy.deepcopy(proof)
    del shorter["evidence"][3]
    assert Flaw.COUNT in altered(shorter)
    cut = copy.deepcopy(proof)
    del cut["evidence"][-1]
    assert Flaw.COUNT in altered(cut)
    swapped = copy.deepcopy(proof)
    swapped["evidence"][2], swapped["evidence"][3] = swapped["evidence"][3], swapped["evidence"][2]
    (one,) = check_proof(json.dumps(swapped).encode(), "x").altered
    assert (one.flaw, one.said["n"]) == (Flaw.PIECE, 3)
    doubled = copy.deepcopy(proof)
    doubled["evidence"].insert(4, doubled["evidence"][4])
    assert altered(doubled)


def test_a_seal_by_another_key_over_altered_content_has_another_fingerprint(proof: Json) -> None:
    bare = [{k: v for k, v in piece.items() if k != "link"} for piece in proof["evidence"]]
    forged = sealed(proof["about"], proof["start"], proof["record"], bare, b"\x01" * 32)
    found = check_proof(json.dumps(forged).encode(), "x")
    assert found.altered == ()
    assert found.key != fingerprint(proof["seal"]["key"])


def test_a_statement_that_does_not_follow_from_its_evidence_shows_though_signed(proof: Json) -> None:
    bare = [{k: v for k, v in piece.items() if k != "link"} for piece in proof["evidence"]]
    record = copy.deepcopy(proof["record"])
    record["level"]["reached"] = "E5"
    record["otherwise"] = []
    forged = sealed(proof["about"], proof["start"], record, bare, b"\x01" * 32)
    assert altered(forged) == (Flaw.UNLIKE,)


def test_the_version_of_the_program_decides_nothing(proof: Json) -> None:
    bare = [{k: v for k, v in piece.items() if k != "link"} for piece in proof["evidence"]]
    about = {**proof["about"], "program": "0.0.1"}
    same = check_proof(json.dumps(sealed(about, proof["start"], proof["record"], bare, b"\x01" * 32)).encode(), "x")
    assert (same.sound, same.judged) == (True, True)
    record = {**proof["record"], "aimed": "E5"}
    assert altered(sealed(about, proof["start"], record, bare, b"\x01" * 32)) == (Flaw.UNLIKE,)


def test_a_proof_under_newer_rules_is_not_called_checked(proof: Json) -> None:
    bare = [{k: v for k, v in piece.items() if k != "link"} for piece in proof["evidence"]]
    newer = sealed({**proof["about"], "rules": RULES + 1}, proof["start"], proof["record"], bare, b"\x01" * 32)
    found = check_proof(json.dumps(newer).encode(), "x")
    assert (flaws(found.altered), flaws(found.unchecked), found.sound) == ([], [Flaw.NEWER], False)


def test_a_proof_cannot_be_made_to_pass_for_an_older_one(proof: Json) -> None:
    """Its level is judged because of the rules that are signed with it, not because of the number outside the seal."""
    with pytest.raises(BadFile):
        check_proof(json.dumps({**proof, "wheelside_proof": 1}).encode(), "x")


def test_jobs_begun_before_a_field_was_added_can_still_be_read(proof: Json) -> None:
    start = {k: v for k, v in proof["start"].items() if k != "gauge_bias"}
    assert read_start(json.dumps(start)).gauge_bias is None


BROKEN = (
    b"",
    b"{}",
    b"[]",
    b"null",
    b"{",
    b'{"wheelside_proof": 1}',
    b"\xff\xfe",
    b"<html></html>",
    b'{"wheelside_proof":1,"wheelside_proof":1}',
)


@pytest.mark.parametrize("data", BROKEN)
def test_what_is_no_proof_is_said_to_be_none(data: bytes) -> None:
    with pytest.raises(BadFile, match="proof"):
        check_proof(data, "x")


def test_a_proof_with_a_part_too_many_or_a_key_twice_is_refused(proof: Json) -> None:
    with pytest.raises(BadFile):
        check_proof(json.dumps({**proof, "extra": 1}).encode(), "x")
    twice = json.dumps(proof).replace('"about": {', '"about": {}, "about": {', 1)
    with pytest.raises(BadFile):
        check_proof(twice.encode(), "x")
    with pytest.raises(BadFile, match="newer"):
        check_proof(json.dumps({**proof, "wheelside_proof": 3}).encode(), "x")


def test_the_page_holds_the_proof_and_shows_nothing_else(home: Desk, proof: Json) -> None:
    page = page_of(home, proof)
    assert check_proof(page.encode(), "x").sound
    assert "http://" not in page.replace("http://www.w3.org", "")
    assert "https://" not in page
    level = proof["record"]["level"]["reached"]
    for old, new in ((f">{level}<", ">E9<"), ("<h2>Seal</h2>", "<h2>Seal!</h2>"), ("</main>", "<p>safe</p></main>")):
        assert old in page
        assert flaws(check_proof(page.replace(old, new, 1).encode(), "x").altered) == [Flaw.PAGE]
    inside = page.replace('"person":"Ada"', '"person":"Eve"', 1)
    assert check_proof(inside.encode(), "x").altered
    bare = re.sub(r'id="page-seal">"[0-9a-f]+"', 'id="page-seal">""', page)
    assert bare != page
    found = check_proof(bare.encode(), "x")
    assert (flaws(found.unchecked), found.sound) == ([Flaw.BARE_PAGE], False)


def test_another_photo_on_the_page_shows(home: Desk) -> None:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "red").save(out, "JPEG")
    name = take_photo(home, out.getvalue())
    job = begin(home).job
    assert job is not None
    step = next(s.step for s in doing(home, job).states if s.step.id == "fetch-w1")
    answers = (Answer("pressure-w1", "2.4"), Answer("photo", photo=name))
    take_claims(home, job, [replace(claim(job, step), answers=answers)])
    proof = json.loads(finish(home, job, leave_open=True))
    page = page_of(home, proof)
    assert check_proof(page.encode(), "x").sound
    data = re.search(r"base64,([A-Za-z0-9+/=]+)", page)
    assert data is not None
    other = page.replace(data[1], base64.b64encode(b"another picture").decode())
    assert flaws(check_proof(other.encode(), "x").altered) == [Flaw.PHOTO, Flaw.PAGE]
    bare = check_proof(proof_page(proof, {}, SEAL).encode(), "x")
    assert flaws(bare.notes) == [Flaw.NO_PHOTO]


def test_what_cannot_be_checked_is_not_called_unaltered(
    proof: Json, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bare = [{k: v for k, v in piece.items() if k != "link"} for piece in proof["evidence"]]
    for start in ({**proof["start"], "units": 7}, {}):
        record = {**proof["record"], "level": {**proof["record"]["level"], "reached": "E9"}}
        odd = sealed(proof["about"], start, record, bare, b"\x03" * 32)
        path = tmp_path / f"odd{len(start)}.json"
        path.write_text(json.dumps(odd))
        code, out, _ = run(capsys, "proof", "check", path)
        assert code == 1
        assert "NOT CHECKED" in " ".join(out.split())
        assert "unaltered since" not in out
        assert "E9" not in out


def test_names_with_markup_stay_words_on_the_page_and_in_the_pdf(proof: Json) -> None:
    nasty = '</script><script>alert(1)</script>#show: "x" $ * _ @a <b>'
    bare = [{k: v for k, v in piece.items() if k != "link"} for piece in proof["evidence"]]
    other = sealed(proof["about"], {**proof["start"], "coming_name": nasty}, proof["record"], bare, SEAL)
    page = proof_page(other, {}, SEAL)
    assert "<script>alert" not in page
    assert check_proof(page.encode(), "x").sound
    text = " ".join(p.extract_text() for p in PdfReader(io.BytesIO(proof_pdf(other, {}))).pages)
    assert "alert(1)" in text


def test_the_pdf_says_what_the_proof_says(proof: Json) -> None:
    reader = PdfReader(io.BytesIO(proof_pdf(proof, {})))
    text = " ".join("\n".join(p.extract_text() for p in reader.pages).split())
    record = proof["record"]
    for wheel in record["wheels"]:
        assert wheel["hex"] in text
        assert f"{wheel['pressure']['shown']['kpa'] / 100:.2f} bar" in text
    for said in (
        "shown",
        fingerprint(proof["seal"]["key"]),
        "2.10 bar not as planned",
        "Not done",
        "not done",
        record["aimed"],
    ):
        assert said in text, said
    assert reader.pdf_header == "%PDF-1.7"


def test_a_pdf_is_not_taken_for_a_proof(proof: Json) -> None:
    with pytest.raises(BadFile, match="for reading and printing"):
        check_proof(proof_pdf(proof, {}), "x.pdf")


def test_the_command_words_it_as_it_is_and_no_more(
    proof: Json, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good, bad = tmp_path / "good.json", tmp_path / "bad.json"
    good.write_text(json.dumps(proof))
    bad.write_text(json.dumps(_with(proof, ("record", "aimed"), "E0")))
    code, out, _ = run(capsys, "proof", "check", good)
    assert code == 0
    assert f"unaltered since signed by the key {fingerprint(proof['seal']['key'])}" in " ".join(out.split())
    assert not any(word in out for word in ("safe", "genuine", "valid", "true by"))
    code, out, _ = run(capsys, "proof", "check", bad)
    assert code == 1
    assert "ALTERED" in out
    assert "what it states" in out
    assert run(capsys, "proof", "check", tmp_path / "none")[0] == 2


def test_the_key_that_was_named_has_to_be_the_one(
    proof: Json, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, key = tmp_path / "proof.json", fingerprint(proof["seal"]["key"])
    file.write_text(json.dumps(proof))
    for named in (key, key.lower(), key.replace(" ", ""), key[:19], key.replace(" ", ":")[:24]):
        code, out, _ = run(capsys, "proof", "check", file, "--key", named)
        assert code == 0, named
        assert "unaltered since signed" in out
        assert "the key that you named" in out
    other = "0000" + key[4:] if not key.startswith("0000") else "1111" + key[4:]
    code, out, _ = run(capsys, "proof", "check", file, "--key", other)
    assert code == 1
    assert f"NOT signed by the key that you named; the key in it is {key}" in " ".join(out.split())
    assert "unaltered" not in out
    assert json.loads(run(capsys, "proof", "check", file, "--key", other, "--json")[1])["by_named_key"] is False
    for named in ("", key[:18], "key of ada", key + "00"):
        assert run(capsys, "proof", "check", file, "--key", named)[0] == 2


@pytest.mark.published
def test_signatures_are_those_of_rfc_8032() -> None:
    """RFC 8032, 7.1, TEST 1 and TEST 3: secret key, public key, message, signature."""
    for secret, public, message, signature in (
        (
            "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
            "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
        ),
        (
            "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
            "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
        ),
    ):  # fmt: skip
        key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
        assert key.public_key().public_bytes_raw().hex() == public
        assert key.sign(bytes.fromhex(message)).hex() == signature


@pytest.mark.published
def test_canonical_form_is_that_of_rfc_8785() -> None:
    """RFC 8785, 3.2.2 to 3.2.4: the sample object, its canonical bytes as printed in hex there; sorting by UTF-16 in 3.2.3."""
    sample = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
        "literals": [None, True, False],
    }  # fmt: skip
    expected = (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )  # fmt: skip
    assert canonical(sample) == expected.encode()


def test_the_chain_can_be_followed_without_this_program(proof: Json) -> None:
    """By the description in docs/proof.md alone: RFC 8785, SHA-256, Ed25519."""
    link = hashlib.sha256(rfc8785.dumps(proof["about"])).digest()
    for piece in proof["evidence"]:
        bare = {k: v for k, v in piece.items() if k != "link"}
        link = hashlib.sha256(link + rfc8785.dumps(bare)).digest()
        assert piece["link"] == link.hex()
    seal = {k: v for k, v in proof["seal"].items() if k != "signature"}
    assert seal["chain"] == link.hex()
    key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(seal["key"]))
    key.verify(bytes.fromhex(proof["seal"]["signature"]), rfc8785.dumps(seal))
