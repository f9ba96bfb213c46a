"""Triangles and clusters of scans, flat as they are, do the collision library no harm: it would end the process."""

import subprocess
import sys
from pathlib import Path

from tests.geometry.hostile_hulls import HOSTILE, QUERIES

ROOT = Path(__file__).parents[2]


def test_broken_hulls_are_refused_and_flat_ones_answered() -> None:
    child = subprocess.run(
        [sys.executable, "-m", "tests.geometry.hostile_hulls"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert child.returncode == 0, child.stderr
    assert child.stdout.splitlines()[-1] == f"refused {len(HOSTILE)}, lived through {QUERIES} queries"
