"""The program's clock: the one that is given, else the machine's."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from books import NOON, later
from commands import run
from wheelside.errors import BadRequest
from wheelside.jobs import source


def test_the_clock_starts_at_the_moment_that_is_given_and_runs_on(monkeypatch: pytest.MonkeyPatch) -> None:
    passed_s = iter([100, 100, 100 + 13 * 3600])
    monkeypatch.setattr(time, "monotonic_ns", lambda: next(passed_s) * 10**9)
    monkeypatch.setenv(source.CLOCK, "2028-02-28T23:30:00.5-02:00")
    assert source.now().iso() == "2028-02-28T23:30:00.500000-02:00"
    assert source.now().iso() == "2028-02-29T12:30:00.500000-02:00"


def test_today_is_the_day_in_the_zone_that_is_given(monkeypatch: pytest.MonkeyPatch) -> None:
    for moment, day in (("2027-12-31T23:58:00-08:00", "2027-12-31"), ("2028-01-01T07:58:00Z", "2028-01-01")):
        monkeypatch.setenv(source.CLOCK, moment)
        assert str(source.today()) == day


@pytest.mark.parametrize("nothing", [None, ""])
def test_without_one_it_is_the_machines(nothing: str | None, monkeypatch: pytest.MonkeyPatch) -> None:
    machine = later(60 * 24 * 700)
    monkeypatch.setattr(source, "machine", lambda: machine)
    if nothing is None:
        monkeypatch.delenv(source.CLOCK)
    else:
        monkeypatch.setenv(source.CLOCK, nothing)
    assert (source.now(), source.today()) == (machine, machine.day)
    monkeypatch.setenv(source.CLOCK, NOON.iso())
    assert source.today() == NOON.day


@pytest.mark.parametrize(
    "text",
    [
        "today", "2026-11-25", "2026-11-25T09:00:00", "2026-11-25T09:00+01:00", "2026-11-25 09:00:00+01:00", "20261125T090000Z",
        "2026-11-31T09:00:00Z", "2026-11-25T24:01:00Z", "2026-11-25T09:00:00+25:00", "1979-12-31T09:00:00Z", "2201-01-01T09:00:00Z",
        " 2026-11-25T09:00:00Z", "1764057600",
    ],
)  # fmt: skip
def test_what_is_not_a_moment_is_refused_with_one_to_copy(
    text: str, file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """RFC 3339, section 5.6, with the 'T' and the offset that it asks for."""
    monkeypatch.setenv(source.CLOCK, text)
    with pytest.raises(BadRequest):
        source.now()
    code, out, err = run(capsys, "air", file)
    assert (code, out) == (2, "")
    assert err == (
        f"wheelside: WHEELSIDE_CLOCK={text}: write a moment from 1980 to 2200 with its offset, "
        "as in 2026-11-25T09:00:00+01:00; or leave it out\n"
    )


def test_a_command_goes_by_it(file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def told(*args: str) -> str:
        return run(capsys, "air", file, "--json", *args)[1]

    monkeypatch.setenv(source.CLOCK, "2027-05-02T09:00:00+02:00")
    spring = told()
    assert spring == told("--on", "2027-05-02")
    monkeypatch.setenv(source.CLOCK, "2026-11-25T09:00:00+01:00")
    assert told() == told("--on", "2026-11-25") != spring
