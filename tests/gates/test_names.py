"""The code's names and the list of words: one word, one meaning. No word stands twice, none is dead, no class takes another room's name."""

from __future__ import annotations

import ast
import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROOMS = ROOT / "src" / "wheelside"
WORDS = ROOT / "docs" / "words.md"
OWN, TWICE = "## Our own words", "## Names that two rooms have"


def first_cells(title: str, text: str) -> list[str]:
    """What stands in the first column of the table under a heading."""
    part = text[text.index(title) :].split("\n## ", 1)[0].splitlines()
    return [line.split("|")[1].strip() for line in part if line.startswith("| ")][2:]


def words_of(cell: str) -> Iterator[str]:
    """The words that one row explains: 'stage (of a teaching), outcome' are two; what is in brackets tells two of one spelling apart."""
    yield from filter(None, (one.strip() for one in re.split(r",|/", cell)))


def bare(word: str) -> str:
    """A word as it is looked for: without brackets, without 'to'."""
    return re.sub(r"\W+", " ", re.sub(r"\(.*?\)", "", word)).strip().lower().removeprefix("to ")


def spoken(root: Path) -> str:
    """Every name, text and comment of the code, in small letters, with names taken apart."""
    text = " ".join(p.read_text() for p in root.rglob("*") if p.suffix in (".py", ".html", ".js", ".typ"))
    return re.sub(r"[\W_]+", " ", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text)).lower()


def rooms_of_names(root: Path) -> dict[str, set[str]]:
    """For each public class at the top of a module: the rooms that have one of that name."""
    found: dict[str, set[str]] = defaultdict(set)
    for path in root.rglob("*.py"):
        room = path.relative_to(root).parts[0].removesuffix(".py")
        for node in ast.parse(path.read_text()).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found[node.name].add(room)
    return found


def test_no_class_takes_a_name_that_another_room_has() -> None:
    twice = {name for name, rooms in rooms_of_names(ROOMS).items() if len(rooms) > 1}
    listed = set(first_cells(TWICE, WORDS.read_text()))
    assert sorted(twice - listed) == []
    assert sorted(listed - twice) == [], "no longer in two rooms: take it off the list"


def test_a_word_of_ours_stands_once_and_is_in_use() -> None:
    cells = first_cells(OWN, WORDS.read_text())
    assert len(cells) > 100
    counted = Counter(word for cell in cells for word in words_of(cell.partition(":")[0]))
    assert [word for word, n in counted.items() if n > 1] == []
    said = spoken(ROOMS) + spoken(ROOT / "tests")
    assert [word for cell in cells for word in words_of(cell.replace(":", ",")) if bare(word) not in said] == []


def test_a_dead_word_and_one_that_stands_twice_are_found() -> None:
    text = f"{OWN}\n\n| word | meaning |\n| --- | --- |\n| fit, gnarl | x |\n| fit (of a shoe): tight | y |\n"
    found = [word for cell in first_cells(OWN, text) for word in words_of(cell.replace(":", ","))]
    assert found == ["fit", "gnarl", "fit (of a shoe)", "tight"]
    assert [bare(word) in spoken(ROOMS) for word in ("fit (of a shoe)", "gnarl")] == [True, False]


def test_a_second_one_is_found(tmp_path: Path) -> None:
    for room, text in (("one", "class Same: ...\nclass _Own: ...\n"), ("two", "class Same: ...\nclass _Own: ...\n")):
        (tmp_path / room).mkdir()
        (tmp_path / room / "it.py").write_text(text)
    assert {n for n, rooms in rooms_of_names(tmp_path).items() if len(rooms) > 1} == {"Same"}
