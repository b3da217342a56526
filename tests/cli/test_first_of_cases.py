"""What the first line of a plan and of the pressures says of garages of every kind: read alone, it is the answer."""

from __future__ import annotations

from pathlib import Path

import pytest

from commands import run

CASES = Path(__file__).parents[1] / "cases"
COLD = "No pressure can be given yet. First find out how warm the tyres are and how cold it will be."
WINTER = "winter on car: front 2.42 bar, rear 2.32 bar."
SUMMER = "summer on car: front 2.42 bar, rear 2.32 bar."
HIGH = "winter on car: front 2.15 bar, rear 2.05 bar."
HATCH = "winter on hatch: front 2.45 bar, rear 2.34 bar."
HEIGHT = "? Conditions: The height above sea level where you set them is not known; sea level is taken."
GOES_ON = "work before winter goes on car on 2026-11-30:"
PLANS = {
    "bits-left-out": "As far as is known no sensor needs work. summer: find out how many bits first.",
    "blanks-copy-only-writer": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new sensor with a new ID.",
    "blanks-inside-tyres": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new ID, written into its sensor.",
    "blanks-no-writer": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new sensor with a new ID.",
    "clones-store-far": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new sensor with a copied ID.",
    "empty-id-sent": "As far as is known no sensor needs work: the IDs of B1 can be read in two ways.",
    "empty-slot-in-list": "No sensor needs work.",
    "height-known-here": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new sensor with a new ID.",
    "height-unknown-here": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new sensor with a new ID.",
    "list-of-two-when-full-all": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new sensor with a new ID.",
    "neighbour-alone": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new sensor with a new ID.",
    "neighbour-same-id": "Five wheels need work: N1, W1, W2, W3 and W4 each get a new sensor with a new ID.",
    "one-print-unreadable": "As far as is known no sensor needs work: first read the IDs of A4.",
    "originals-sold": "Four wheels need work: B1, B2, B3 and B4 each get a new ID, written into its sensor.",
    "originals-to-be-sold": "Four wheels need work: A1, A2, A3 and A4 each get a new ID, written into its sensor.",
    "own-id-refused": "One wheel needs work before A goes on car on 2027-01-05: A1 gets a copied ID, written into its sensor.",
    "own-old-ids": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new sensor with its old ID.",
    "pair-kept-on-two-set-car": "No sensor needs work, and no car has to be taught.",
    "sale-with-writing": "Four wheels need work: W1, W2, W3 and W4 each get a new ID, written into its sensor.",
    "slow-12-wheels": "Three wheels need work: car1.A FR and car1.B RL each get a new ID, written into its sensor.",
    "spare-counted": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new sensor with a new ID.",
    "unread-ids": "One wheel needs work before B goes on car on 2026-04-10: B1 gets a copied ID, written into its sensor.",
    "unwritten-rewritable": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new ID, written into its sensor.",
    "unwritten-silent": f"Four wheels need {GOES_ON} W1, W2, W3 and W4 each get a new ID, written into its sensor.",
    "wheel-speed-car": "No wheel has a sensor that a car watches: no IDs to plan.",
}
"""The answer of each plan."""
AIR = {
    "bits-left-out": COLD,
    "blanks-copy-only-writer": WINTER,
    "blanks-inside-tyres": WINTER,
    "blanks-no-writer": WINTER,
    "clones-store-far": WINTER,
    "empty-id-sent": COLD,
    "empty-slot-in-list": COLD,
    "height-known-here": HIGH,
    "height-unknown-here": HEIGHT,
    "list-of-two-when-full-all": WINTER,
    "neighbour-alone": WINTER,
    "neighbour-same-id": WINTER,
    "one-print-unreadable": COLD,
    "originals-sold": COLD,
    "originals-to-be-sold": COLD,
    "own-id-refused": COLD,
    "own-old-ids": WINTER,
    "pair-kept-on-two-set-car": COLD,
    "sale-with-writing": SUMMER,
    "slow-12-wheels": COLD,
    "spare-counted": WINTER,
    "unread-ids": COLD,
    "unwritten-rewritable": WINTER,
    "unwritten-silent": WINTER,
    "wheel-speed-car": HATCH,
}
"""That of the pressures, as far as it is compared."""
EARLY = {
    "empty-id-sent",
    "empty-slot-in-list",
    "originals-sold",
    "originals-to-be-sold",
    "own-id-refused",
    "pair-kept-on-two-set-car",
    "slow-12-wheels",
    "unread-ids",
}
"""Those of which the day is 5 January 2026; of the others it is 25 November."""


@pytest.mark.parametrize("case", PLANS)
def test_the_first_line_is_the_answer(
    case: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "300")
    for command, first in (("plan", PLANS[case]), ("air", AIR[case])):
        _, out, _ = run(
            capsys, command, CASES / f"{case}.toml", "--on", "2026-01-05" if case in EARLY else "2026-11-25"
        )
        lines = [line.strip() for line in out.splitlines()]
        said = " ".join(lines[:2] if lines[0].endswith(":") else lines[:1])
        assert said == first or (first == HEIGHT and said.startswith(HEIGHT))


def test_every_case_is_there() -> None:
    assert sorted(f.stem for f in CASES.glob("*.toml")) == sorted(PLANS) == sorted(AIR)
