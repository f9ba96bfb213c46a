"""The shaded picture: what it shows and says, where it puts it, and what happens on a machine that cannot draw.

Projection and placing are checked against closed forms, against the drawing library's own projection, and against the
pad travel that the job states. A page is laid out without OpenGL by leaving the drawing blank.
"""

import itertools
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from fitcheck.confidence.results import Judged
from fitcheck.errors import DrawingError
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.primitives import box
from fitcheck.job.opening import open_job
from fitcheck.placement.scene import Kind, Part
from fitcheck.report.pictures import picture as drawing
from fitcheck.report.pictures.camera import Camera, View
from fitcheck.report.pictures.captions import beside_the_gaps, captions, corner, drawn_at, plain
from fitcheck.report.pictures.picture import picture
from fitcheck.report.pictures.sheet import Sheet, free_place, overlap, wide_of, wrapped
from fitcheck.report.pictures.stage import Mark, Shell, all_parts, drawn_shares, marks, outline, shown
from fitcheck.verdict import Verdict, judge
from tests.verdicts import judged_example

EXAMPLES = Path(__file__).parents[3] / "examples"
VIEWS: tuple[View, ...] = ("driver", "side", "plan", "under-dash")
HOSTILE = "<script>alert(1)</script>\n\x1b[31m\u202eevil\u2066 $\\frac{1}{0}$ \x00 " + "W" * 200


@pytest.fixture(scope="module")
def hits() -> Verdict:
    return judge(open_job(EXAMPLES / "saloon-9-00" / "job.toml"))


@pytest.fixture(scope="module")
def fits() -> Verdict:
    return judge(open_job(EXAMPLES / "saloon-10-45" / "job.toml"))


def with_names(verdict: Verdict, name: str) -> Verdict:
    """The same verdict with all parts but the pedals, every place on them, and the job called `name`."""

    def part(old: Part) -> Part:
        return old if old.kind is Kind.PEDAL else replace(old, name=f"{name} {old.name}")

    def entry(old: Judged) -> Judged:
        a, b, closest = old.pair.a, old.pair.b, old.found.closest
        if closest is None or not isinstance(a, Part) or not isinstance(b, Part):
            return old
        pair = replace(old.pair, a=part(a), b=part(b))
        where = replace(closest, a_where=name + closest.a_where, b_where=name + closest.b_where)
        return replace(old, found=replace(old.found, pair=pair, closest=where))

    header = verdict.opened.job.job.model_copy(update={"name": name, "date": name})
    opened = replace(verdict.opened, job=verdict.opened.job.model_copy(update={"job": header}))
    parts = tuple(map(part, verdict.scene.parts))
    scene = replace(verdict.scene, parts=parts * 2)
    return replace(verdict, opened=opened, scene=scene, gaps=tuple(map(entry, verdict.gaps)))


def blank(models: object, camera: Camera, background: str) -> Vector:
    return np.full((camera.height, camera.width, 3), 240, dtype=np.uint8)


# What it says


def test_the_caption_of_the_worst_pair_names_both_places_the_result_and_the_travel(hits: Verdict) -> None:
    worst, *others = captions(marks(hits), hits)
    assert worst.result.value == "hits"
    assert worst.places == ("unit: motor can, near end", "clutch arm")
    figures = "\n".join(worst.figures)
    for said in (
        "in by at least",
        "give or take",
        "required",
        "of clutch travel",
        "first touch at",
        "pulling the wheel",
    ):
        assert said in figures
    assert [caption.number for caption in others] == [2, 3]


def test_the_caption_of_a_clear_pair_says_the_gap_rounded_down(fits: Verdict) -> None:
    worst = marks(fits)[0]
    bound = worst.closest.gap.bound_mm
    tenth = np.floor(bound * 10) / 10
    assert f"({tenth:g} mm)" in captions([worst], fits)[0].figures[0]
    assert captions([worst], fits)[0].result.value == "clear"


def test_pairs_that_were_there_before_are_not_marked(hits: Verdict) -> None:
    kept = replace(hits, gaps=tuple(entry for entry in hits.gaps if entry.result.value in ("as before", "joined")))
    assert len(kept.gaps) > 3
    assert marks(kept) == ()


def test_the_corner_says_which_job_and_what_it_is_not(hits: Verdict) -> None:
    job, caution = corner(hits)
    assert hits.opened.digest[:12] in job
    assert "14 March 2026" in job
    assert caution == "a geometric aid, not an approval"


def test_it_says_at_which_travel_it_is_drawn(hits: Verdict) -> None:
    said = drawn_at(drawn_shares(marks(hits)), hits)
    assert said == "Drawn with clutch at 108% of travel, the other pedals at rest. Faint: at rest."
    assert drawn_at({}, hits) == "Pedals drawn at rest."
    said = drawn_at({"clutch": -0.07}, hits)
    assert said == "Drawn with clutch pulled up by hand, the other pedals at rest. Faint: at rest."


def test_it_says_what_was_not_looked_at_and_what_is_wrong_beside_the_gaps(fits: Verdict) -> None:
    (lacking,) = beside_the_gaps(fits)
    assert lacking.startswith("Not looked at: intermediate shaft, ")
    of_shaft, lacking = beside_the_gaps(judged_example("saloon-steep-box"))
    assert of_shaft.startswith("Shaft, not to be seen here: outside: angle of ")
    assert "clutch pedal" in lacking


def test_the_intermediate_shaft_is_drawn_and_its_gaps_are_marked() -> None:
    verdict = judged_example("saloon-exhaust-later")
    worst = captions(marks(verdict), verdict)[0]
    assert worst.result.value == "under"
    assert worst.places[1] == "exhaust primary"
    assert "hot, at rest" in worst.figures
    assert "whatever the pedals do" not in worst.figures
    assert [part.name for part in all_parts(verdict) if part.as_measured] == ["intermediate shaft"]


def test_any_text_becomes_one_short_line_without_signs_that_cannot_be_seen() -> None:
    assert plain("a\nb\tc\x00\x1b[0m\u202ed") == "a b c [0m d"
    assert plain("<script>alert(1)</script>") == "<script>alert(1)</script>"
    assert plain("left side panel 12", 10) == "left s… 12"
    assert len(plain(HOSTILE, 40)) == 40


# What it shows


def test_a_pad_at_full_travel_is_drawn_as_far_from_rest_as_the_job_says(hits: Verdict) -> None:
    """The job's chord c at the pad's radius R is a swing of 2 asin(c / 2R); a point at radius r then moves c r / R."""
    stated = {pedal.name: pedal.travel for pedal in hits.opened.job.pedals}
    at_rest = {each.part.name: each for each in shown(hits.scene.parts, {})}
    full = [each for each in shown(hits.scene.parts, dict.fromkeys(stated, 1.0)) if not each.ghost]
    pedals = [each for each in full if each.part.kind is Kind.PEDAL]
    assert len(pedals) == 3
    for each in pedals:
        phase, travel = each.part.phases[0], stated[each.part.name]
        pad = next(i for i, piece in enumerate(phase.pieces) if "pad" in piece.name)
        before, after = at_rest[each.part.name].shells[pad].points, each.shells[pad].points
        chords = np.linalg.norm(after - before, axis=1)
        assert phase.moves is not None
        assert phase.travel is not None
        assert travel is not None
        radii = [phase.moves.reach(corner[None]) for corner in before]
        np.testing.assert_allclose(chords, travel.mm * np.array(radii) / phase.travel.radius_mm, atol=1e-6)


def test_only_what_moves_leaves_a_ghost(hits: Verdict) -> None:
    ghosts = {each.part.name for each in shown(hits.scene.parts, {"clutch": 1.0}) if each.ghost}
    assert ghosts == {"clutch", "boot on clutch"}


def test_the_nearest_points_lie_on_the_pieces_as_drawn(fits: Verdict) -> None:
    for mark in marks(fits):
        for side, spot in zip(mark.sides, mark.spots, strict=True):
            assert abs(height_over(side.near, spot)) < 0.01


def height_over(shell: Shell, point: Vector) -> float:
    """Height of the point over the hull's nearest face plane, negative inside, mm."""
    corners = shell.points[shell.faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    return float(np.einsum("ij,ij->i", point - corners[:, 0], normals).max())


def test_the_worst_pair_decides_where_a_pedal_is_drawn(fits: Verdict) -> None:
    first, second, _ = marks(fits)
    other = replace(first.closest, at_travel={"clutch": 0.1, "brake": 0.2})
    shares = drawn_shares([first, replace(second, closest=other)])
    assert shares == {**first.closest.at_travel, "brake": 0.2}


def shell_of(corner: tuple[float, float, float]) -> Shell:
    piece = box(np.array(corner), np.array(corner) + 1.0)
    return Shell(piece.corners, piece.faces)


def test_the_outline_of_a_box_is_its_twelve_edges() -> None:
    assert outline([shell_of((0, 0, 0))]).shape == (12, 2, 3)


def test_the_outline_leaves_out_the_seam_of_two_boxes() -> None:
    edges = outline([shell_of((0, 0, 0)), shell_of((1, 0, 0))])
    assert edges.shape == (16, 2, 3)
    assert not (np.ptp(edges[:, :, 0], axis=1) + np.abs(edges[:, 0, 0] - 1) < 1e-9).any()


def test_big_sheets_are_told_from_solid_obstacles(hits: Verdict) -> None:
    sheets = {each.part.name for each in shown(hits.scene.parts, {}) if each.is_sheet}
    assert sheets == {"firewall", "dash lip"}


# Where it puts it


def test_wrapped_lines_keep_to_the_width_whatever_the_words() -> None:
    for text in ("two short words", "W" * 300, HOSTILE, "a " * 200):
        lines = wrapped(text, 16, 220.0, 3)
        assert len(lines) <= 3
        assert all(wide_of(line, 16) <= 220.0 for line in lines)
    assert wrapped("W" * 300, 16, 220.0, 3)[-1].endswith("…")
    assert wrapped("two short words", 16, 220.0, 3) == ["two short words"]


def test_labels_round_one_place_never_overlap_and_stay_inside() -> None:
    taken: list[tuple[float, float, float, float]] = []
    for _ in range(12):
        label = free_place((300.0, 20.0), 80.0, 24.0, taken, (0.0, 0.0, 600.0, 400.0), 20.0)
        assert label is not None
        taken.append(label)
    assert not any(overlap(a, b) for a, b in itertools.combinations(taken, 2))
    assert free_place((5.0, 5.0), 80.0, 24.0, [], (0.0, 0.0, 60.0, 60.0), 20.0) is None


@pytest.mark.parametrize("size", [(1600, 1200), (800, 600), (2400, 1000)])
@pytest.mark.parametrize("name", ["", "A quite ordinary name of a part, but a long one that goes on and on", HOSTILE])
def test_no_writing_overlaps_or_is_cut_off(
    hits: Verdict, fits: Verdict, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int], name: str
) -> None:
    monkeypatch.setattr(drawing, "rendered", blank)
    for verdict, view in itertools.product((with_names(hits, name), with_names(fits, name)), VIEWS):
        sheet = drawing.page(verdict, view, size)
        assert len(sheet.written) > 25
        assert_apart_and_inside(sheet)


def assert_apart_and_inside(sheet: Sheet) -> None:
    width, height = sheet.image.size
    for left, top, right, bottom in sheet.written:
        assert left >= 0
        assert top >= 0
        assert right <= width
        assert bottom <= height
    assert [pair for pair in itertools.combinations(sheet.written, 2) if overlap(*pair)] == []


def test_a_job_without_any_gap_says_so(hits: Verdict, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawing, "rendered", blank)
    sheet = drawing.page(replace(hits, gaps=()), "side", (1600, 1200))
    assert_apart_and_inside(sheet)
    with pytest.raises(DrawingError, match="no part of this job can be placed yet"):
        drawing.page(replace(hits, gaps=(), scene=replace(hits.scene, parts=())), "side", (1600, 1200))


@pytest.mark.parametrize("size", [(799, 600), (800, 599), (6401, 4800), (0, 0)])
def test_a_size_that_cannot_be_read_or_held_is_refused(hits: Verdict, size: tuple[int, int]) -> None:
    with pytest.raises(DrawingError, match="it can be 800 x 600 to 6400 x 4800"):
        picture(hits, "side", size)


# With OpenGL


@pytest.mark.opengl
@pytest.mark.parametrize("view", VIEWS)
def test_every_view_is_a_picture_of_the_asked_size_in_many_colours(hits: Verdict, view: View) -> None:
    image = Image.open(BytesIO(picture(hits, view, (1000, 750))))
    assert image.size == (1000, 750)
    drawn = np.asarray(image)[:600, :650].reshape(-1, 3)
    assert len(np.unique(drawn, axis=0)) > 800
    blue = (drawn[:, 2].astype(int) - drawn[:, 0] > 80).mean()
    assert 0.005 < blue < 0.5  # the unit


@pytest.mark.opengl
def test_the_same_verdict_gives_the_same_bytes_and_carries_its_digest(fits: Verdict) -> None:
    once, again = picture(fits, "side", (800, 600)), picture(fits, "side", (800, 600))
    assert once == again
    assert fits.opened.digest in Image.open(BytesIO(once)).info["Source"]


def test_marks_are_numbered_in_the_order_of_the_verdict(hits: Verdict) -> None:
    chosen: tuple[Mark, ...] = marks(hits)
    assert [mark.entry for mark in chosen] == list(hits.gaps[:3])
