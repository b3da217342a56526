"""What is depended on: pinned with its hashes, from nowhere in particular, and under a free licence.

No list of known vulnerabilities is looked at: the one that can be had as a package (safety-db) ends in July 2021, and says nothing
of the versions of today.
"""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import Distribution, distributions, version
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LOCKS = ("run.lock", "test.lock")
FREE = re.compile(
    r"(Apache|BSD|0BSD|MIT|MPL|Mozilla|ISC|PSF|Python Software|LGPL|Zlib|CC0|CNRI|HPND|Unlicense|Public Domain|DFSG|3-Clause BSD)"
)
SILENT = {"atheris": "Apache-2.0", "axe-playwright-python": "MIT"}
"""Those whose metadata name no licence: as their own licence files have it, by hand."""
TESTS_ONLY = {"scapy": "GPL-2.0-only"}
"""What is run by tests and is no part of the program."""


def normal(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def pinned(lock: str) -> dict[str, dict[str, int]]:
    """Name to its versions, one for some Pythons and another for others, each with its number of hashes."""
    text = (ROOT / "requirements" / lock).read_text(encoding="utf-8")
    found: dict[str, dict[str, int]] = {}
    for block in re.split(r"\n(?=\S)", text):
        if m := re.match(r"([A-Za-z0-9._-]+)(?:\[[^]]*\])?==([^\s;\\]+)", block):
            found.setdefault(normal(m[1]), {})[m[2]] = block.count("--hash=sha256:")
    return found


def licence_of(one: Distribution) -> str:
    meta = one.metadata
    classified = [c.split(" :: ")[-1] for c in meta.get_all("Classifier") or () if c.startswith("License ::")]
    expression, plain = (next(iter(meta.get_all(name) or ()), "") for name in ("License-Expression", "License"))
    said = expression or "; ".join(classified) or plain.split("\n")[0]
    return str(said) or SILENT.get(normal(meta["Name"]), "")


@pytest.mark.parametrize("lock", LOCKS)
def test_every_dependency_is_pinned_with_its_hashes_and_no_address(lock: str) -> None:
    text = (ROOT / "requirements" / lock).read_text(encoding="utf-8")
    assert "://" not in text
    names = re.findall(r"^([A-Za-z0-9._-]+)(?=[\[=<>~! ;@])", text, re.MULTILINE)
    found = pinned(lock)
    assert {normal(n) for n in names} == found.keys()
    assert [name for name, versions in found.items() if not all(versions.values())] == []


def test_what_is_installed_is_what_is_pinned() -> None:
    found = pinned("test.lock")
    here = {normal(one.metadata["Name"]): one.version for one in distributions()}
    odd = {n: (v, here[n]) for n, v in found.items() if n in here and here[n] not in v}
    assert odd == {}
    assert len(found.keys() & here.keys()) > 100


def test_what_the_program_names_is_pinned() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = [*project["dependencies"], *(d for extra in project["optional-dependencies"].values() for d in extra)]
    wanted = {normal(re.match(r"[A-Za-z0-9._-]+", one)[0]) for one in named}  # type: ignore[index]
    assert wanted <= pinned("test.lock").keys() | {"wheelside"}


def test_every_dependency_is_free_software() -> None:
    run = pinned("run.lock").keys()
    for one in distributions():
        name, said = normal(one.metadata["Name"]), licence_of(one)
        if name in TESTS_ONLY:
            assert name not in run
            assert said == TESTS_ONLY[name]
        elif name not in ("pip", "setuptools"):
            assert FREE.search(said), f"{name} {version(name)}: {said or 'no licence is named'}"
