"""The long proofs whole, of which the suite runs a seeded sample: reasons, rules, enumeration, facts that are taken away.

python benchmarks/long.py            all of them, about a quarter of an hour on two cores
python benchmarks/long.py -k reasons more options are pytest's
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PROOFS = (
    "fit/test_unknown.py",
    "identity/test_reasons.py",
    "identity/test_plan_rules.py",
    "identity/test_enumeration.py",
)


def main() -> int:
    """Runs them; what pytest ends with."""
    command = [sys.executable, "-m", "pytest", "-q", "-n", "2", *(f"tests/{one}" for one in PROOFS), *sys.argv[1:]]
    environ = {**os.environ, "WHEELSIDE_LONG": "1", "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT / 'tests'}"}
    return subprocess.run(command, cwd=ROOT, env=environ, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
