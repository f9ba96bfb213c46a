"""The section through the closest place: areas by closed form, and never less room in it than the whole pair has."""

from math import pi

import numpy as np
import pytest
import shapely

from fitcheck.geometry.frames import Frame
from fitcheck.geometry.primitives import cylinder
from fitcheck.report.jobsheet.section import cuts, section_at, section_drawing, sliced
from fitcheck.report.paper.pen import Pen
from fitcheck.report.paper.sheets import Size, Stamp, blank
from fitcheck.report.pictures.stage import Shell
from tests.report.paper.pages import pages
from tests.verdicts import judged_example


def test_round_bar_is_cut_to_a_disc_and_aslant_to_an_ellipse() -> None:
    """Area pi r^2, and pi r^2 / cos(t) aslant by t (circumscribed facets: up to 1 % more)."""
    for way, area in (([0.0, 0.0, 200.0], pi * 900), ([0.0, 200.0, 200.0], pi * 900 * 2**0.5)):
        piece = cylinder([0, -way[1] / 2, -100], [0, way[1] / 2, 100], 60.0, "bar", ("one end", "other end"))
        line = sliced(Shell(piece.corners, piece.faces), Frame.identity(), 10.0)
        assert line is not None
        assert area <= shapely.Polygon(line).area <= 1.01 * area
    assert sliced(Shell(piece.corners, piece.faces), Frame.identity(), 150.0) is None


def test_three_o_clock_is_at_the_right() -> None:
    """Column frame: x to 12, y to 3 o'clock. A bar at 3 o'clock is cut to the right of the axis."""
    piece = cylinder([0, 50, -100], [0, 50, 100], 20.0, "bar", ("one end", "other end"))
    line = sliced(Shell(piece.corners, piece.faces), Frame.identity(), 0.0)
    assert line is not None
    assert line.mean(axis=0) == pytest.approx([50, 0], abs=1.0)


@pytest.mark.parametrize("name", ["dozen-go", "saloon-10-45"])
def test_no_less_room_in_the_section_than_the_pair_has(name: str) -> None:
    verdict = judged_example(name)
    at = section_at(verdict)
    assert at is not None
    entry, frame, along = at
    found = {cut.of.part.name: cut for cut in cuts(verdict, entry, frame, along) if not cut.of.ghost}
    a, b = (shapely.union_all([shapely.Polygon(line) for line in found[part.name].outlines])
            for part in (entry.pair.a, entry.pair.b))  # fmt: skip
    assert entry.found.closest is not None
    assert a.distance(b) >= entry.found.closest.gap.bound_mm - 1e-6
    assert np.isfinite(a.distance(b))


@pytest.mark.parametrize(("name", "parts"), [("saloon-exhaust-later", 2), ("saloon-10-45", 8)])
def test_the_closest_place_and_the_numbers_stand_inside_the_frame(name: str, parts: int) -> None:
    """Both circles of the gap, and every number at least 2 mm off the frame; none for a sliver at its edge."""
    verdict = judged_example(name)
    canvas, out = blank(Size.A4, Stamp("a test", "no job", "Job sheet"))
    section_drawing(Pen(canvas), (10.0, 150.0), 190.0, verdict)
    canvas.showPage()
    canvas.save()
    (page,) = pages(out.getvalue())
    ends = [path for path in page.paths if 1.7 < max(x for x, _ in path) - min(x for x, _ in path) < 1.9]
    assert len(ends) >= 2
    assert all(10 < x < 152 and 150 < y < 246 for path in ends for x, y in path)
    numbers = [word for word in page.words if word[0].isdigit() and word[1] < 152 and word[4] - word[2] < 2.6]
    assert len(numbers) == parts
    assert all(left > 12 and right < 150 and low > 151 and top < 245 for _, left, low, right, top in numbers)
