"""wheelside port, as a person runs it."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from commands import run
from odxfiles import pdx
from wheelside.car.portcard import read_port_card
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import practice_car, serve_tcp

Capsys = pytest.CaptureFixture[str]
LONG = r"""VERSION ""
BO_ 5 Long: 12 A
 SG_ Late : 0|8@1+ (1,0) [0|0] "a" A
BO_ 2147483653 Wide: 1 A
 SG_ Near : 0|8@1+ (1,0) [0|0] "" A
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "practice.dbc").write_bytes(dbc())
    (tmp_path / "unit.pdx").write_bytes(pdx())
    return tmp_path


def drafted(capsys: Capsys, *args: object) -> str:
    code, out, err = run(capsys, "port", "draft", *args)
    assert (code, err) == (0, "")
    tomllib.loads(out)
    return out


def filled(text: str) -> str:
    """A draft as its owner completes it; the kinds are the test's."""
    text = text.replace('request = "?"', 'request = "6A3"').replace('answer = "?"', 'answer = "6AB"')
    corners = iter(["front left", "front right", "rear right", "rear left"])
    for part, corner in (
        ("FrontLeft", "front left"),
        ("FrontRight", "front right"),
        ("RearRight", "rear right"),
        ("RearLeft", "rear left"),
    ):
        text = text.replace(
            f'signal = "Air{part}"\nholds = "?"', f'signal = "Air{part}"\nholds = "pressure"\nplace = "{corner}"'
        )
    text = text.replace('signal = "Lamp"\nholds = "?"', 'signal = "Lamp"\nholds = "lamp"')
    text = re.sub(r"places = .*", lambda found: re.sub(r'"\?"', lambda _: f'"{next(corners)}"', found[0]), text)
    return text.replace('holds = "?"', 'holds = "pressure"')


def test_a_card_drafted_from_a_dbc_file_loads_once_it_says_what_is_held(folder: Path, capsys: Capsys) -> None:
    text = drafted(capsys, folder / "practice.dbc")
    card = read_port_card(filled(text).encode(), "x.toml", dbc().decode())
    assert [(one.message, one.signal) for one in card.broadcasts] == [
        ("WheelState", f"Air{corner}") for corner in ("FrontLeft", "FrontRight", "RearRight", "RearLeft")
    ] + [("WheelState", "Lamp")]
    assert 'holds = "?"' in text
    assert "# WheelState.Lamp, 2F1, no unit: Lamp of the tyre monitor" in text


def test_a_card_drafted_from_a_package_loads_once_it_says_what_is_held(folder: Path, capsys: Capsys) -> None:
    text = drafted(capsys, folder / "unit.pdx")
    card = read_port_card(filled(text).encode(), "x.toml")
    assert (card.unit.request, card.unit.answer, card.id) == (0x6A3, 0x6AB, "Monitor")
    assert [one.identifier for one in card.values] == [0x2120, 0x2121, 0x2123, 0x2140, 0xF18C, 0x2125]
    assert card.written == card.routines == frozenset()
    assert "# ListWrite: 2E 21 10" in text
    assert "service literature says how" in text
    assert (
        "# SeveralRead, 2126: First (kPa), Second (°C)\n# left out, for a port card can't say it: several different"
        in text
    )


def test_a_draft_as_it_comes_is_refused_with_what_to_write(folder: Path, capsys: Capsys) -> None:
    card = folder / "draft.toml"
    card.write_text(drafted(capsys, folder / "unit.pdx"), encoding="utf-8")
    code, _, err = run(capsys, "port", "check", card)
    assert code == 2
    line = 1 + card.read_text(encoding="utf-8").splitlines().index('holds = "?"')
    assert f"draft.toml:{line}: value[1].holds: found a draft's '?'" in err
    assert "one of 'pressure', 'temperature'" in err
    assert "write what it holds" in err
    assert "write which corner it is" in err
    card.write_text(drafted(capsys, folder / "practice.dbc"), encoding="utf-8")
    code, _, err = run(capsys, "port", "check", card)
    assert code == 2
    assert "broadcast[5].holds" in err
    assert "unit" not in err.replace("'unit'", "")


def test_only_what_has_the_word_is_drafted(folder: Path, capsys: Capsys) -> None:
    text = drafted(capsys, folder / "practice.dbc", "--only", "REAR")
    assert re.findall(r'signal = "(\w+)"', text) == ["AirRearRight", "AirRearLeft"]
    assert re.findall(r'signal = "(\w+)"', drafted(capsys, folder / "practice.dbc", "--only", "lamp of")) == ["Lamp"]
    assert re.findall(r'identifier = "(\w+)"', drafted(capsys, folder / "unit.pdx", "--only", "warmth")) == ["2121"]
    code, _, err = run(capsys, "port", "draft", folder / "practice.dbc", "--only", "snow")
    assert code == 2
    assert "no signal with 'snow' in it" in err


def test_a_message_that_is_too_long_is_left_out_in_words(folder: Path, capsys: Capsys) -> None:
    (folder / "long.dbc").write_text(LONG, encoding="utf-8")
    text = drafted(capsys, folder / "long.dbc")
    assert "# Long.Late, 005," in text
    assert "# left out: its message has 12 bytes" in text
    assert "# Wide.Near, 00000005, no unit" in text
    assert re.findall(r'signal = "(\w+)"', text) == ["Near"]


def test_names_with_quotes_and_lines_stay_where_they_are(folder: Path, capsys: Capsys) -> None:
    text = dbc().decode().replace('"Lamp of the tyre monitor"', '"two\nlines] = \\"quoted\\" # 1"')
    (folder / 'a "b".dbc').write_text(text, encoding="utf-8")
    out = drafted(capsys, folder / 'a "b".dbc')
    assert tomllib.loads(out)["dbc"] == 'a "b".dbc'
    assert "# WheelState.Lamp, 2F1, no unit: two lines]" in out


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("x.xlsx", b"", ".dbc, .pdx, .odx-d"),
        ("x.dbc", b"nonsense", "the DBC file can't be read"),
        ("x.pdx", b"nonsense", "can't be read as a diagnostic description"),
        ("x.dbc", bytes(1_000_001), "larger than 1 MB"),
    ],
)
def test_a_file_to_draft_from_that_is_none_is_refused(
    folder: Path, name: str, data: bytes, told: str, capsys: Capsys
) -> None:
    (folder / name).write_bytes(data)
    code, out, err = run(capsys, "port", "draft", folder / name)
    assert (code, out) == (2, "")
    assert told in err
    assert run(capsys, "port", "draft", folder / "missing.pdx")[0] == 2


def test_broadcasts_are_listened_to_as_long_as_one_says(folder: Path, capsys: Capsys) -> None:
    (folder / "practice.toml").write_bytes(port_card())
    car = practice_car()
    with serve_tcp(car, lasting_s=60) as (host, port):
        link = f"at socket://{host}:{port}"
        code, out, _ = run(capsys, "port", "check", folder / "practice.toml", "--link", link, "--listen", "0.5")
        assert code == 0
        assert "WheelState.AirFrontLeft" in out
        assert "lamp, broadcast" in out
        car.around.ignition = 0
        (folder / "only.toml").write_text(
            'port = 1\nid = "x"\ndbc = "practice.dbc"\n[unit]\nrequest = "6A3"\nanswer = "6AB"\n'
            '[[broadcast]]\nmessage = "WheelState"\nsignal = "Lamp"\nholds = "lamp"\n',
            encoding="utf-8",
        )
        code, out, err = run(capsys, "car", "read", folder / "only.toml", "--link", link, "--listen", "0.5")
    assert code == 1, err
    assert "? lamp: WheelState.Lamp was not heard within 0.5 s" in out
    assert run(capsys, "car", "read", folder / "only.toml", "--link", link, "--listen", "0")[0] == 2


def test_the_practising_cars_card_is_written_with_its_dbc_file(tmp_path: Path, capsys: Capsys) -> None:
    assert run(capsys, "demo", "--write", tmp_path)[0] == 0
    code, out, _ = run(capsys, "port", "check", tmp_path / "practice.toml")
    assert code == 0
    assert "WheelState.AirRearLeft" in out
    (tmp_path / "practice.dbc").unlink()
    code, _, err = run(capsys, "port", "check", tmp_path / "practice.toml")
    assert code == 2
    assert "practice.dbc" in err
