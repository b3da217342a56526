"""Two thousand random mutations of the demo file: an answer, or a message that says what to do; never a bug."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from wheelside.cli.main import status
from wheelside.demo import DEMO_DAY, household

CHUNKS = 20
EACH = 100
LINES = household().decode().splitlines(keepends=True)
TOKENS = [
    "", "-1", "0", "1e999", "nan", "true", '""', '"x"', '"36"', '"2.4 bar"', '"-300 °C"', "[]", "{}", '["a"]', "1979-01-01", "9999-12-31",
    "0001-01-01", "2026-02-29", '"S1"', '"winter"', '"estate"', '"0xFFFFFFFF"', "99999999999999999999", '"\\u0000"', "[[", "]]", "=", '"' * 3, "#",
    "07:32:00", "2026-01-01T00:00:00Z", '"direct"', '"1,234 kPa"', "4", '"driving"', '"copy"', "1", "10", '"keep"',
]  # fmt: skip


def mutated(rng: random.Random) -> str:
    """The demo file with one to three mutations: of lines, values, characters or whole tables."""
    lines = list(LINES)
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(lines))
        kind = rng.randrange(7)
        if kind == 0:
            del lines[at]
        elif kind == 1:
            lines.insert(at, lines[rng.randrange(len(lines))])
        elif kind == 2 and "=" in lines[at]:
            lines[at] = lines[at].split("=")[0] + f"= {rng.choice(TOKENS)}\n"
        elif kind == 3 and lines[at]:
            cut = rng.randrange(len(lines[at]))
            lines[at] = (
                lines[at][:cut]
                + chr(rng.choice([rng.randrange(32, 127), rng.randrange(128, 0x2FF)]))
                + lines[at][cut + 1 :]
            )
        elif kind == 4:
            other = rng.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        elif kind == 5:
            end = min(len(lines), at + rng.randint(1, 12))
            del lines[at:end]
        else:
            values = [line.split("=", 1)[1] for line in lines if "=" in line]
            if "=" in lines[at]:
                lines[at] = lines[at].split("=")[0] + "=" + rng.choice(values)
        lines = lines or [""]
    return "".join(lines)


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_no_mutation_ends_in_a_bug(chunk: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rng = random.Random(1000 + chunk)
    codes = []
    for n in range(EACH):
        file = tmp_path / f"{n}.toml"
        file.write_text(mutated(rng), encoding="utf-8")
        command = rng.choice(["plan", "air", "sheet", "check"])
        extra = [] if command == "check" else ["--on", str(DEMO_DAY)]
        code = status([command, str(file), *extra])
        out = capsys.readouterr()
        assert code in (0, 1, 2), f"{command} ended with {code}: {out.err}\n{file.read_text()}"
        assert (code == 2) == bool(out.err), out.err
        codes.append(code)
    assert codes.count(2) > EACH // 10
    assert codes.count(0) > EACH // 20
