"""Nothing hostile reaches the collision library: it would end the process (seen with python-fcl 0.7), not raise."""

import ast
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import GeometryError
from fitcheck.geometry.door import Shape
from tests.geometry.hostile import CONTACTS, CORNERS, FACES, HOSTILE
from tests.geometry.shapes import box, rod

ROOT = Path(__file__).parents[2]


def test_hostile_geometry_is_refused_and_kills_nothing() -> None:
    child = subprocess.run(
        [sys.executable, "-m", "tests.geometry.hostile"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert child.returncode == 0, child.stderr
    assert child.stdout.splitlines()[-1] == f"refused {len(HOSTILE)}, lived through {CONTACTS} contacts"


def test_only_the_door_imports_the_library_and_only_unsigned() -> None:
    importing = []
    for path in sorted((ROOT / "fitcheck").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            importing += [path.name for name in names if name.split(".")[0] == "fcl"]
    assert importing == ["door.py"]
    source = (ROOT / "fitcheck" / "geometry" / "door.py").read_text(encoding="utf-8")
    assert "enable_signed_distance=False" in source
    assert "enable_signed_distance=True" not in source


@pytest.mark.parametrize(
    ("corners", "faces", "said"),
    [
        (np.where(CORNERS > 0, np.nan, CORNERS), FACES, "arm: a corner is no finite number or lies over 100 m away"),
        (CORNERS[:3], FACES, "arm: expected 4 to 100000 corners of three numbers, got shape (3, 3)"),
        (CORNERS * [1, 1, 0], FACES, "arm: its corners lie in one plane, it has no volume"),
        (CORNERS, FACES + 1, "arm: a triangle points at a corner that is not there"),
        (CORNERS, FACES[:2], "arm: expected 4 to 100000 triangles, got shape (2, 3)"),
        (CORNERS, FACES * 1.0, "arm: a triangle's corners are whole numbers, got float64"),
    ],
)
def test_the_refusal_says_what_is_wrong(corners: np.ndarray, faces: np.ndarray, said: str) -> None:
    with pytest.raises(GeometryError) as refusal:
        Shape(corners, faces, "arm")
    assert str(refusal.value) == said


def test_outside_is_measured_from_the_faces() -> None:
    """A box's faces and a rod's flats, by hand."""
    cube = box((20, 30, 40))
    shape = Shape(cube.corners, cube.faces, "cube")
    assert shape.outside_mm(np.array([12.0, 0, 0])) == pytest.approx(2)
    assert shape.outside_mm(np.array([0.0, 0, 19])) == pytest.approx(-1)
    round_bar = rod(10, 50, 24)
    shape = Shape(round_bar.corners, round_bar.faces, "bar")
    assert shape.outside_mm(np.array([10 * np.cos(np.pi / 24), 10 * np.sin(np.pi / 24), 0])) == pytest.approx(
        0, abs=1e-9
    )
