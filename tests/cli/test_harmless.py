"""Nothing from outside steers the terminal: not what a file holds, what it is called, nor what was typed."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest
import tomli_w
from pypdf import PdfReader

from commands import ON, run
from garages import demo_table
from wheelside.cli.tell import Teller
from wheelside.errors import BadFile, Problem
from wheelside.harmless import MARK, escaped, harmless
from wheelside.typeset import typeset

NASTY = "A\x1b[2K\x1b[1Gkey 1111\rB\x08\x7f\x9b2J\u202eC\u2066\u200fD\u061c"
STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


@pytest.fixture
def nasty(tmp_path: Path) -> Path:
    table = demo_table()
    for name in ("car", "set", "place"):
        for one in table[name]:
            one["label"] = NASTY
    path = tmp_path / "na\x1b[2J\u202esty\x85.toml"
    path.write_text(tomli_w.dumps(table), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "sign", [*map(chr, (*range(9), *range(11, 32), *range(0x7F, 0xA0))), *"\u202a\u202e\u2066\u2069\u200e\u061c"]
)
def test_each_sign_that_steers_becomes_a_mark(sign: str) -> None:
    assert harmless(f"a{sign}b") == f"a{MARK}b"
    assert json.loads(escaped(json.dumps(sign, ensure_ascii=False))) == sign


def test_what_people_write_stays() -> None:
    text = "Größe 205/55 R16\t→ „links“ 👩‍🔧\nשלום\n"
    assert harmless(text) == text
    assert harmless("two\r\nlines") == "two\nlines"


@pytest.mark.parametrize(
    "command",
    [("plan",), ("plan", "--reasons"), ("plan", "--json"), ("sheet",), ("sheet", "--full"), ("sheet", "--markdown"),
     ("air",), ("air", "--json"), ("earshot",), ("check",), ("check", "--json")],
)  # fmt: skip
def test_no_command_lets_it_through(capsys: pytest.CaptureFixture[str], nasty: Path, command: tuple[str, ...]) -> None:
    _, out, err = run(capsys, command[0], nasty, *command[1:], *(ON if command[0] != "check" else ()))
    assert out
    assert not STEERS.findall(out + err)


def test_our_own_colours_stay_on_a_terminal(
    capsys: pytest.CaptureFixture[str], nasty: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    _, out, _ = run(capsys, "plan", nasty, *ON)
    assert re.search(r"\x1b\[[0-9;]+m", out)
    assert not STEERS.findall(re.sub(r"\x1b\[[0-9;]*m", "", out))


@pytest.mark.parametrize(
    "args",
    [
        ("pl\x9ban",),
        ("plan", "--\x9b2J\rx"),
        ("id", "read", "\x9b2J\u202e12"),
        ("check", "no\r\x9bfile.toml"),
        ("air", "x", "--on", "\r\x9b"),
    ],
)
@pytest.mark.parametrize("json_out", [(), ("--json",)])
def test_no_message_lets_it_through(
    capsys: pytest.CaptureFixture[str], args: tuple[str, ...], json_out: tuple[str, ...]
) -> None:
    code, out, err = run(capsys, *args, *json_out)
    assert code == 2
    assert not STEERS.findall(out + err)


def test_a_value_cannot_begin_a_line_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    Teller().line("x.json\nproof.json: unaltered since signed by the key 1111")
    assert capsys.readouterr().out.count("\n") == 1
    problem = Problem(1, "car", "x\nproof.json: unaltered", "", "")
    assert str(BadFile("a\nb", (problem,))).count("\n") == 2


def test_the_pdf_takes_every_text(tmp_path: Path) -> None:
    page = tmp_path / "page.typ"
    page.write_text('#set document(title: "t")\n#json(bytes(sys.inputs.data)).at("said").join(" ")')
    read = PdfReader(io.BytesIO(typeset(page, {"said": [NASTY, "\ud800 half"]}))).pages[0].extract_text()
    assert "key 1111" in read
    assert not STEERS.findall(read)
