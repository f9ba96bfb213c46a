"""The section as a picture: areas by closed form, lengths by its scale, black and white, what it refuses."""

from dataclasses import dataclass, field
from math import pi, sqrt
from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import DrawingError
from fitcheck.geometry.frames import Frame, unit
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.scene import Kind, Part, Phase
from fitcheck.report.pictures import opengl, overlay, palette, section
from fitcheck.report.pictures.camera import AIMS, Camera
from fitcheck.report.pictures.cutting import area_of, faces_at
from fitcheck.report.pictures.sheet import Box, Point, Sheet, overlap
from fitcheck.report.pictures.stage import FULL, OVER, marks, shown
from tests import jobs
from tests.command import Said, written
from tests.geometry import meshes
from tests.verdicts import judged_example

SIZE = (1600, 1200)


def test_a_scanned_ring_is_cut_to_a_ring() -> None:
    """A torus of radii R and r, z off its middle: 4 pi R sqrt(r^2 - z^2), without its hole; facets lie inside."""
    piece = ScanPiece.of(meshes.scan(meshes.ring(40.0, 10.0, around=96, across=48)))
    part = Part("ring", Kind.OBSTACLE, (Phase((piece,)),), new=False)
    (one,) = shown([part], {})
    for z in (0.0, 3.0, -6.0):
        area = area_of(part, one.shells, Frame.identity(), z)
        assert area.geom_type == "Polygon" and len(area.interiors) == 1
        exact = 4 * pi * 40.0 * sqrt(100.0 - z * z)
        assert 0.985 * exact <= area.area <= exact
    assert area_of(part, one.shells, Frame.identity(), 11.0).is_empty


def test_faces_stand_as_far_apart_as_the_scale_says() -> None:
    """Saloon, closest points in the plane: balls drawn the true gap apart, by the picture's pixels a millimetre."""
    verdict = judged_example("saloon-10-45")
    worst, frame = marks(verdict), ColumnAxis(verdict.opened.job).column2car
    along = section._along(frame, worst, None)
    faces = tuple(faces_at(shown(verdict.scene.parts, {}), frame, along))
    camera = section._camera(faces, frame, along, worst[:1], 1056, 1050)
    assert camera.px_per_mm is not None
    a, b = camera.pixels(worst[0].spots)
    gap_mm = worst[0].closest.gap.gap_mm
    assert max(map(abs, section._off(frame, worst[0], along))) < 0.5
    assert np.hypot(*(a - b)) / camera.px_per_mm == pytest.approx(gap_mm, abs=0.05)


def test_twelve_is_up_and_three_at_the_right() -> None:
    verdict = judged_example("saloon-10-45")
    frame = ColumnAxis(verdict.opened.job).column2car
    faces = tuple(faces_at(shown(verdict.scene.parts, {}), frame, 510.0))
    camera = section._camera(faces, frame, 510.0, (), 1056, 1050)
    middle, twelve, three = camera.pixels(frame.points(np.array([[0, 0, 510], [50, 0, 510], [0, 50, 510]])))
    assert unit([*(twelve - middle), 0.0])[:2] == pytest.approx([0, -1], abs=1e-9)
    assert unit([*(three - middle), 0.0])[:2] == pytest.approx([1, 0], abs=1e-9)


@pytest.mark.parametrize("name", ["saloon-9-00", "van-scanned"])
def test_page_has_everything_in_it_and_nothing_overlaps(name: str) -> None:
    sheet = section.page(judged_example(name), None, grey=False, ends=True, size=SIZE)
    for i, one in enumerate(sheet.written):
        assert one[0] >= 0 and one[1] >= 0 and one[2] <= SIZE[0] and one[3] <= SIZE[1]
        assert not any(overlap(one, other) for other in sheet.written[:i])


def test_black_and_white_is_grey_all_over_and_still_shows_the_faces() -> None:
    sheet = section.page(judged_example("saloon-9-00"), None, grey=True, ends=True, size=SIZE)
    seen = np.asarray(sheet.image, dtype=int)
    assert (np.ptp(seen, axis=2) == 0).all()
    can = seen[330:390, 60:120, 0]  # inside the motor can, which lies at 9 o'clock: hatched on white
    assert (can < 60).any() and (can == 255).mean() > 0.5
    assert (seen[0:40, 0:40, 0] == seen[0, 0, 0]).all()  # nothing there


def test_ghosts_stand_at_full_travel_and_beyond_by_choice() -> None:
    scene = judged_example("saloon-10-45").scene
    some = {(each.part.name, each.at) for each in shown(scene.parts, {"clutch": 0.5}, ends=True) if each.ghost}
    assert {("clutch", FULL), ("clutch", OVER), ("brake", FULL), ("throttle", OVER), ("brake pushrod", FULL)} <= some
    assert ("boot on clutch", FULL) not in some
    few = {(each.part.name, each.at) for each in shown(scene.parts, {"clutch": 0.5}) if each.ghost}
    assert few == {("clutch", "at rest"), ("boot on clutch", "at rest")}


def test_command_cuts_without_opengl_and_refuses_what_makes_no_sense(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opengl, "COMMAND", ("no-such-program-anywhere",))
    job, out = written(tmp_path, jobs.bare()), str(tmp_path / "cut.png")
    go = str(jobs.EXAMPLES / "dozen-go" / "job.toml")
    told = Said("picture", go, "--view", "section", "--grey", "-o", out)
    assert (told.code, told.err) == (0, f"wrote {out}\n")
    told = Said("picture", go, "--view", "section", "--at", "40 ft", "-o", out)
    assert told.code == 2 and "nothing stands" in told.err
    told = Said("picture", go, "--at", "17 in", "-o", out)
    assert told.code == 2 and "--at and --grey belong to --view section" in told.err
    told = Said("picture", go, "--view", "section", "--at", "17", "-o", out)
    assert told.code == 2 and "17" in told.err
    told = Said("picture", job, "--view", "section", "-o", str(tmp_path / "bare.png"))
    assert told.code in (0, 2) and "Traceback" not in told.err


def test_a_plane_far_from_the_worst_pairs_says_so() -> None:
    verdict = judged_example("dozen-go")
    with pytest.raises(DrawingError, match="a picture of 10 x 10 pixels"):
        section.section(verdict, None, False, True, (10, 10))
    said = section._contents(verdict, (), [], 100.0, {}, True)
    assert said.captions == () and "comes closest near this plane" in said.nothing


@pytest.mark.parametrize(("name", "along"), [("saloon-adjustable", True), ("saloon-10-45", False)])
def test_a_gap_that_runs_along_the_column_is_said_to_be_a_dot(name: str, along: bool) -> None:
    """The first one's worst pair lies one behind the other on the column, the other's side by side."""
    verdict = judged_example(name)
    frame, worst = ColumnAxis(verdict.opened.job).column2car, marks(verdict)
    told = section._told(verdict, frame, worst[:1], section._along(frame, worst, None), ())
    assert ("runs along the column" in told and "See --view side." in told) is along


def test_a_closest_point_that_the_plane_misses_gets_its_outline() -> None:
    """2.7 mm short of the gear body's end the plane cuts the narrower sensor: the body's outline is dashed."""
    verdict = judged_example("saloon-10-45")
    frame, worst = ColumnAxis(verdict.opened.job).column2car, marks(verdict)
    assert [side.part.name for _, side in section._dashed_sides(frame, worst[0], 508.0)] == ["unit"]


@dataclass
class Heard(Sheet):
    """A page that keeps what is written on it."""

    said: list[str] = field(default_factory=list)

    def write(self, at: Point, text: str, size: int, colour: str = palette.INK, bold: bool = False) -> Box:
        self.said.append(text)
        return super().write(at, text, size, colour, bold)


def test_what_stands_below_a_drawing_is_never_cut() -> None:
    sheet = Heard.blank(SIZE, 1.0, palette.PAPER)
    assert isinstance(sheet, Heard)
    camera = Camera.fitted(AIMS["side"], np.array([[0.0, 0, 0], [300, 200, 300]]), 1056, 1050)
    overlay.strip(sheet, (0, 1050, 1056, 1200), camera, "Short dashes: the pair, someone pulling the wheel. " * 9, "mm")
    assert "…" not in " ".join(sheet.said) and " ".join(sheet.said).count("pulling") == 9
    assert max(box[3] for box in sheet.written) <= 1200
