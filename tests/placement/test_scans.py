"""A scan fitted by named points: the fit against scipy's, what it says of its misses, blunders, and what it refuses."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Frame
from fitcheck.placement.scans import Fit, best_fit, fitted
from tests.geometry.shapes import any_rotation

NAMES = ("bolt", "hub_seat", "pivot", "sill", "corner", "lamp")
POINTS = np.array([[0, 0, 0], [600, 20, 0], [100, 500, 30], [50, -300, 400], [-200, 100, 250], [400, 300, 350.0]])


def any_frame(rng: np.random.Generator) -> Frame:
    return Frame(any_rotation(rng), 500 * rng.normal(size=3))


def measured(rng: np.random.Generator, count: int, off_mm: float, size: float = 1.0) -> tuple[Frame, np.ndarray]:
    frame = any_frame(rng)
    return frame, frame.points(size * POINTS[:count]) + off_mm * rng.normal(size=(count, 3))


def fit(in_car: np.ndarray, in_scan: np.ndarray | None = None, scale: bool = False) -> Fit:
    scan = POINTS[: len(in_car)] if in_scan is None else in_scan
    return fitted("footwell", NAMES[: len(in_car)], scan, in_car, scale)


@pytest.mark.parametrize("count", [3, 4, 6])
@pytest.mark.parametrize("off_mm", [0.0, 3.0])
def test_the_fit_is_scipy_s(count: int, off_mm: float) -> None:
    """scipy.spatial.transform.Rotation.align_vectors on the same points, each lot about its own middle."""
    rng = np.random.default_rng([count, int(off_mm)])
    for _ in range(20):
        _, in_car = measured(rng, count, off_mm)
        found = fit(in_car)
        in_scan = POINTS[:count]
        other, _ = Rotation.align_vectors(in_car - in_car.mean(axis=0), in_scan - in_scan.mean(axis=0))
        assert np.allclose(found.scan2car.rotation, other.as_matrix(), atol=1e-6)
        placed = other.apply(in_scan - in_scan.mean(axis=0)) + in_car.mean(axis=0)
        misses = np.linalg.norm(placed - in_car, axis=1)
        assert np.allclose(list(found.misses_mm.values()), misses, atol=1e-4)
        assert found.scale == 1


def test_exact_points_give_back_the_frame_and_the_size() -> None:
    rng = np.random.default_rng(1)
    for size in (1.0, 0.97, 1.06):
        frame, in_car = measured(rng, 5, 0, size)
        found = fit(in_car, scale=True)
        assert found.scale == pytest.approx(size)
        assert np.allclose(found.scan2car.rotation, frame.rotation)
        assert np.allclose(found.scan2car.origin, frame.origin)
        assert max(found.misses_mm.values()) < 1e-6


def test_no_other_place_or_size_fits_better() -> None:
    rng = np.random.default_rng(2)
    _, in_car = measured(rng, 6, 5.0, 1.02)
    for scale in (False, True):
        frame, size = best_fit(POINTS, in_car, scale)
        least = ((frame.points(size * POINTS) - in_car) ** 2).sum()
        for _ in range(200):
            turn = Rotation.from_rotvec(0.01 * rng.normal(size=3)).as_matrix()
            other = Frame(turn @ frame.rotation, frame.origin + 3 * rng.normal(size=3))
            grown = size * (1 + 0.01 * rng.normal()) if scale else size
            assert ((other.points(grown * POINTS) - in_car) ** 2).sum() >= least


def test_how_well_the_points_fit_is_told() -> None:
    """A fourth point 4 mm off square to the plane of three: by hand 1 mm is left at each corner of a square."""
    square = np.array([[0, 0, 0], [400, 0, 0], [400, 400, 0], [0, 400, 0.0]])
    bent = square + [[0, 0, 1], [0, 0, -1], [0, 0, 1], [0, 0, -1]]
    found = fit(bent, square)
    assert list(found.misses_mm.values()) == pytest.approx([1, 1, 1, 1], abs=1e-3)
    assert found.remarks[0].startswith("footwell is placed by 4 points that miss by 1.0 mm (root mean square; most: ")
    assert "three points show no blunder: give a fourth" in fit(POINTS[:3].copy()).remarks[0]
    grown = fit(1.02 * POINTS[:4], scale=True)
    assert "made 1.0200 times as large, as asked" in grown.remarks[0]


def test_a_blunder_is_named() -> None:
    rng = np.random.default_rng(3)
    for count in (4, 5, 6):
        for wrong in range(count):
            _, in_car = measured(rng, count, 0.3)
            in_car[wrong] += [0, 60, 0]
            (said,) = fit(in_car).remarks[1:]
            assert said.startswith(f"footwell: {NAMES[wrong]} is ")
            assert said.endswith("mm from where the other points put it; take it again, in car and scan")


def test_good_points_bring_no_reproach() -> None:
    rng = np.random.default_rng(4)
    for _ in range(20):
        assert len(fit(measured(rng, 6, 1.5)[1]).remarks) == 1


def test_a_scan_of_the_wrong_size_is_spoken_of_and_never_changed_unasked() -> None:
    found = fit(1.05 * POINTS)
    assert found.scale == 1
    assert found.remarks[1] == ("footwell would fit within 0.0 mm made 1.050 times as large; was it scanned to scale?")


@pytest.mark.parametrize(
    ("in_scan", "in_car", "said"),
    [
        (POINTS[:2], POINTS[:2], "footwell: 2 points place no scan; give three or more, well apart"),
        (POINTS[:1].repeat(3, 0), POINTS[:3], "footwell: its points lie nearly in one line in the scan"),
        (POINTS[:3], POINTS[:1].repeat(3, 0), "footwell: its points lie nearly in one line as measured"),
        (
            np.outer(np.arange(4), [1, 2, 3]) + [[0, 0, 0], [0.1, 0, 0], [0, 0.1, 0], [0, 0, 0]],
            POINTS[:4],
            "footwell: its",
        ),
        (
            POINTS,
            25.4 * POINTS,
            "footwell: its points were measured 25.4 times farther apart than in the scan; is mesh",
        ),
        (POINTS, POINTS / 1000, "footwell: its points were measured a thousand times nearer together than in the scan"),
        (POINTS, 10.3 * POINTS, "footwell: its points were measured ten times farther apart than in the scan; is mesh"),
    ],
)
def test_what_cannot_place_a_scan_is_refused(in_scan: np.ndarray, in_car: np.ndarray, said: str) -> None:
    with pytest.raises(GeometryError) as refusal:
        fit(in_car, in_scan)
    assert str(refusal.value).startswith(said)


def test_a_mirrored_scan_is_named_as_such() -> None:
    with pytest.raises(GeometryError, match="left and right are exchanged in the scan or in a reading"):
        fit(POINTS, POINTS * [1, -1, 1])
