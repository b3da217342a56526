"""Makes a proof and its page with the Wheelside of an earlier commit, as the tests of older rules read them.

Run with that commit's `src` before everything else, in an environment that has today's dependencies:

    PYTHONPATH=OLD/src:tests python tests/older/make_rules.py NAME tests/older

NAME.json, NAME.html: the proof of a job that proves the lamp of the set that is on, with answers that later rules take otherwise.
"""

from __future__ import annotations

import json
import sys
import tempfile
from datetime import datetime, timedelta, timezone
from pathlib import Path

from claiming import do_all
from wheelside.demo import household
from wheelside.jobs.book.desk import new_desk
from wheelside.jobs.book.files import take_in
from wheelside.jobs.work.doing import begin
from wheelside.jobs.work.finish import finish, page_of
from wheelside.sheet.extent import Extent
from wheelside.units.moment import Moment

NOON = Moment.of(datetime(2026, 11, 25, 12, tzinfo=timezone(timedelta(hours=1))))
OTHERWISE = {"ids_heard": {"list": "just-these-heard"}, "challenge": {"lit": "no", "out": "no"}}


def main(name: str, into: Path) -> None:
    """Writes the two files."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "household.toml").write_bytes(household())
        desk = new_desk(str(Path(folder) / "old.book"))
        desk.clock = lambda: NOON
        take_in(desk, Path(folder) / "household.toml")
        job = begin(desk, car="estate", extent=Extent.PROVE).job
        assert job is not None
        do_all(desk, job, other=OTHERWISE)
        proof = json.loads(finish(desk, job, leave_open=True))
        (into / f"{name}.json").write_text(json.dumps(proof, ensure_ascii=False) + "\n")
        (into / f"{name}.html").write_text(page_of(desk, proof))
        desk.close()


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
