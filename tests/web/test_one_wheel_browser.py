"""A flat tyre on the phone, and a new one: begun from the list of jobs in two taps, and only the way that is gone opens."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from browsing import PHONE, Serving, Visit, answer, come_in, ready

pytestmark = pytest.mark.timeout(240)
SPARE, SEALANT = "the spare goes on", "sealant: a small hole in the tread, not driven flat"


def begun(browser: Browser, server: Serving, button: str) -> Visit:
    """A job about the rear left wheel, begun on a phone from the list of jobs."""
    visit = come_in(browser, server, **PHONE)
    visit.goto("/jobs")
    visit.page.get_by_label("Wheel", exact=True).select_option(label="Estate: rear left, S3")
    visit.page.get_by_role("button", name=button).click()
    ready(visit)
    return visit


@pytest.mark.parametrize(
    ("way", "steps"),
    [
        (SPARE, ["stop", "spare-on", "drive-on", "tell-fitter", "torque", "retorque"]),
        (SEALANT, ["stop", "fill", "drive-on", "tell-fitter"]),
    ],
    ids=["spare", "sealant"],
)
def test_a_flat_tyre_opens_the_way_that_is_gone_and_no_other(
    browser: Browser, server: Serving, way: str, steps: list[str]
) -> None:
    visit = begun(browser, server, "It is flat")
    expect(visit.page.get_by_role("heading", level=1)).to_contain_text("S3 of Estate is flat")
    done: list[str] = []
    while not visit.page.locator("[data-over]").is_visible() and len(done) < 9:
        _picture(visit.page, way, len(done))
        done.append(answer(visit, {"pick": way} if not done else None))
    assert done == steps
    visit.only_own_requests()
    assert visit.errors == []


def _picture(page: object, way: str, n: int) -> None:
    folder = os.environ.get("SHOTS")
    if folder:
        page.screenshot(path=str(Path(folder) / f"{way[:6]}-{n}.png"))  # type: ignore[attr-defined]
        act = page.locator("[data-act]")  # type: ignore[attr-defined]
        k = 0
        while page.locator("[data-gate]").is_visible():  # type: ignore[attr-defined]
            act.click()
            k += 1
            page.screenshot(path=str(Path(folder) / f"{way[:6]}-{n}-{k}.png"))  # type: ignore[attr-defined]


def test_a_new_tyre_is_begun_from_the_list_of_jobs(browser: Browser, server: Serving) -> None:
    visit = begun(browser, server, "New tyre or valve")
    expect(visit.page.get_by_role("heading", level=1)).to_contain_text("S3 of Estate: new tyre or valve")
    done: list[str] = []
    while not visit.page.locator("[data-over]").is_visible() and len(done) < 12:
        _picture(visit.page, "tyre", len(done))
        done.append(answer(visit))
    assert done[:3] == ["snapshot", "codes-before", "change-tyre"]
    assert {"air-s3", "drive", "second-start", "codes-after", "retorque", "note-tyre"} <= set(done)
    assert visit.errors == []
