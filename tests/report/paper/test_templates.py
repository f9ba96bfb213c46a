"""Templates read back in millimetres: rulers, strip, mitre, ellipse, holes, plates, tiles; the DXF audited.

PDFs are read by pdfplumber, DXFs audited by ezdxf. What they must measure is worked out here by hand or closed form.
"""

import re
from io import StringIO
from math import cos, hypot, pi, radians, sin, tan
from pathlib import Path

import ezdxf.filemanagement
import numpy as np
import pytest
from ezdxf.document import Drawing

from fitcheck.cuts.firewall import Opening, opening
from fitcheck.errors import FitcheckError
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.job.opening import open_job
from fitcheck.job.sheet_metal import Firewall
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.plates import bracket_plates
from fitcheck.report.cuts_words import opening_words
from fitcheck.report.paper.sheets import Size, Stamp
from fitcheck.report.template.drawing import LAYERS, Line, Panel, Polyline
from fitcheck.report.template.pdf import template_pdf
from fitcheck.report.template.strip import across_mm, mitre_line, round_mm
from fitcheck.report.template.templates import paper_thickness, templates_dxf, templates_pdf
from fitcheck.report.template.tiles import OVERLAP_MM, Tiling
from fitcheck.report.text import cut_list_text
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.command import Said, written
from tests.report.paper.pages import Page, Point, fonts, inside, pages, print_scaling
from tests.verdicts import judged_example

SALOON, VAN = "saloon-10-45", "van-440-along"
STAMP = Stamp("a test", "job 0123456789ab, no date in job", "Templates in true size")
# The saloon's column by its file: hub seat (636, -13, 398), underside of the low place (82.9, -1.7, 75.3); an upright,
# square firewall, so the tilt is the angle between the column and straight ahead.
ACROSS_TAN = tan(radians(28.0))


def judged(folder: Path, tables: jobs.Tables) -> Verdict:
    return judge(open_job(Path(written(folder, tables))))


def lengths(page: Page, width: float) -> list[float]:
    """Lengths of the straight lines drawn that thick."""
    return [hypot(b[0] - a[0], b[1] - a[1]) for a, b, thick in page.lines if thick == pytest.approx(width, abs=0.01)]


def read_dxf(content: bytes) -> Drawing:
    return ezdxf.filemanagement.read(StringIO(content.decode("utf-8"), newline=None))


@pytest.mark.parametrize(("name", "size"), [(SALOON, Size.LETTER), (VAN, Size.A4)])
def test_rulers_stand_on_every_page_and_nothing_leaves_it(name: str, size: Size) -> None:
    made = templates_pdf(judged_example(name), size, 0.1)
    for page in pages(made):
        assert page.size == pytest.approx(size.mm, abs=0.01)
        flat = [b[0] - a[0] for a, b, _ in page.lines if a[1] == pytest.approx(b[1], abs=1e-6)]
        assert min(abs(length - 100.0) for length in flat) < 0.01
        assert min(abs(length - 101.6) for length in flat) < 0.01
        assert inside(page)
        assert judged_example(name).opened.digest[:12] in page.text
        assert str(judged_example(name).opened.job.job.date) in page.text
    assert print_scaling(made) == "None"
    assert all("DejaVuSans" in font and "+" in font for font in fonts(made))


@pytest.mark.parametrize("paper", [0.1, 0.3])
def test_strip_goes_round_jacket_and_half_the_paper(paper: float) -> None:
    """A bent sheet keeps its length in the middle of its thickness: pi (50.8 + paper)."""
    first = pages(templates_pdf(judged_example(SALOON), Size.A4, paper))[0]
    cut = [length for length in lengths(first, 0.5) if length > 20]
    assert cut == pytest.approx([pi * (50.8 + paper)] * 2, abs=0.05)


def test_strip_is_read_from_outside_with_the_clock_to_the_right() -> None:
    """Printed side out: right times up must point away from the tube. Frame: x 12, y 3 o'clock, z to the rack."""
    around = round_mm(50.8, 0.1)
    for clock in (0.3, 1.9, 4.0):
        step = across_mm(clock + 0.01, around) - across_mm(clock, around)
        assert step == pytest.approx(0.01 / (2 * pi) * around)
        right = np.array([-sin(clock), cos(clock), 0.0]) * np.sign(step)
        outward = np.cross(right, [0.0, 0.0, 1.0])
        assert outward == pytest.approx([cos(clock), sin(clock), 0.0])


def test_clock_marks_every_five_degrees_and_hours_named() -> None:
    first = pages(templates_pdf(judged_example(SALOON), Size.A4, 0.1))[0]
    upright = [a[0] for a, b, thick in first.lines if a[0] == b[0] and a[1] > 50 and abs(thick - 0.2) < 0.01]
    middle = (min(upright) + max(upright)) / 2
    marks = {round((x - middle) / (pi * 50.9) * 360, 1) for x in upright}
    assert marks == {float(turn) for turn in range(-180, 181, 5)}
    hours = [word for word, *_ in first.words if word.isdigit()]
    assert {str(hour) for hour in range(1, 13)} <= set(hours)
    assert "motor 10:45" in first.text or "10:45" in first.text


def test_mitred_end_lies_in_the_sheet_s_plane() -> None:
    """Wrapped round the column in the car, every place of the line is as far behind the upright firewall."""
    verdict = judged_example(SALOON)
    assert verdict.cuts is not None and isinstance(verdict.cuts.opening, Opening)
    hole, around = verdict.cuts.opening, round_mm(50.8, 0.1)
    line: Vector = np.array(mitre_line(50.8, hole.tilt_rad, hole.farthest_rad, around))
    clock = line[:, 0] / around * 2 * pi
    on_tube = np.column_stack([25.4 * np.cos(clock), 25.4 * np.sin(clock), line[:, 1]])
    back = ColumnAxis(verdict.opened.job).column2car.points(on_tube)[:, 0]
    assert np.ptp(back) < 1e-6
    assert np.ptp(line[:, 1]) == pytest.approx(50.8 * ACROSS_TAN, abs=0.3)


def ovals(page: Page) -> list[Vector]:
    """Centred points of the paths that could be a half of the opening."""
    return [np.array(path) for path in page.paths if len(path) > 300 and np.ptp(path, axis=0)[0] < 80]


def test_opening_is_the_true_ellipse_with_its_holes() -> None:
    """r = 25.4 + 4; tilt t: 2 r / cos t by 2 r, and 1.2 mm of sheet draws the long one out by 1.2 tan t."""
    page = pages(templates_pdf(judged_example(SALOON), Size.A4, 0.1))[1]
    axis = ColumnAxis(judged_example(SALOON).opened.job).column2car.rotation[:, 2]
    cosine = float(-axis[0])  # the firewall is upright and square: its normal is straight ahead
    full = np.vstack(ovals(page)[:2])
    centre = (full.max(axis=0) + full.min(axis=0)) / 2
    reach = np.hypot(*(full - centre).T)
    drawn = 1.2 * np.sqrt(1 - cosine**2) / cosine
    assert 2 * reach.max() == pytest.approx(58.8 / cosine + drawn, abs=0.02)
    assert 2 * reach.min() == pytest.approx(58.8, abs=0.02)
    holes = [np.array(path) for path in page.paths if np.abs(np.ptp(path, axis=0) - 6.5).max() < 0.1]
    middles = [(hole.max(axis=0) + hole.min(axis=0)) / 2 for hole in holes]
    assert len(middles) == 3
    pitch = [hypot(*(middles[i] - middles[i - 1])) for i in range(3)]
    assert pitch == pytest.approx([96 * sin(pi / 3)] * 3, abs=0.02)
    top = max(middles, key=lambda middle: middle[1])
    assert top - centre == pytest.approx([0.0, 48.0], abs=0.02)  # the first at 12:00, seen from the seat


def test_bracket_plate_is_flat_true_and_not_mirrored(tmp_path: Path) -> None:
    """A plate across the car, measured on its rear face: seen from behind, a hole at its right stays at its right."""
    corners = [(250.0, -60.0, 200.0), (250.0, 20.0, 200.0), (280.0, 20.0, 240.0), (280.0, -60.0, 240.0)]
    flat = {
        "outline": [jobs.at(*corner) for corner in corners],
        "thick": "4 mm",
        "to": "front",
        "holes": [{"at": jobs.at(256.0, 10.0, 208.0), "dia": "9 mm"}],
    }
    tables = jobs.changed(jobs.saloon(), ("bracket", "solids"), {"support plate": flat})
    (plate,) = bracket_plates(jobs.job(tables))
    across = np.roll(plate.outline, -1, axis=0) - plate.outline
    assert np.hypot(*across.T) == pytest.approx([80.0, 50.0, 80.0, 50.0])
    x, y = plate.outline.T
    assert (x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2 == pytest.approx(4000.0)  # listed anticlockwise from behind
    (centre, dia), *_ = plate.holes
    from_right_edge = min(np.hypot(*(centre - plate.outline[i])) for i in (1, 2))
    assert from_right_edge == pytest.approx(hypot(10.0, 10.0))
    assert dia == 9.0
    page = next(p for p in pages(templates_pdf(judged(tmp_path, tables), Size.A4, 0.1)) if "support plate" in p.text)
    outline = min((np.array(p) for p in page.paths if len(p) in (4, 5)), key=lambda p: abs(np.ptp(p[:, 0]) - 80.0))
    assert sorted(np.ptp(outline, axis=0)) == pytest.approx([50.0, 80.0], abs=0.02)


def test_tiles_join_on_their_crosses() -> None:
    """What lies in the overlap stands the same way from the crosses on both tiles, and every cross has its twin."""
    frame = Polyline("OUTLINE", ((0, 0), (300, 0), (300, 90), (0, 90)), closed=True)
    seam = 190.0 - OVERLAP_MM / 2
    panel = Panel("large", (), (frame, Line("CUT", (seam, 20.0), (seam + 2.0, 45.0))))
    left, right = pages(template_pdf([panel], Size.A4, STAMP))
    places = []
    for page in (left, right):
        (mark,) = [(a, b) for a, b, thick in page.lines if thick == pytest.approx(0.5, abs=0.01)]
        flat = [(a, b) for a, b, _ in page.lines if b[0] - a[0] == pytest.approx(8.0, abs=1e-3) and a[1] == b[1]]
        crosses: list[Point] = [((a[0] + b[0]) / 2, a[1]) for a, b in flat]
        assert len(crosses) == 2
        low = min(crosses, key=lambda cross: cross[1])
        places.append((mark[0][0] - low[0], mark[0][1] - low[1], crosses[1][1] - crosses[0][1]))
    assert places[0] == pytest.approx(places[1], abs=1e-3)


def test_a_tile_on_which_nothing_stands_is_not_printed() -> None:
    """An L over two by two tiles: its arms lie on three of them."""
    arms = (Line("CUT", (5.0, 0.0), (5.0, 350.0)), Line("CUT", (0.0, 5.0), (300.0, 5.0)))
    found = pages(template_pdf([Panel("an angle", (), arms)], Size.A4, STAMP))
    assert [page.text.split("Tile ")[1][:6] for page in found] == ["1 of 3", "2 of 3", "3 of 3"]
    assert all(inside(page) for page in found)
    far = Panel("high", (), (Line("CUT", (0.0, 0.0), (0.0, 100.0)), Line("CUT", (0.0, 900.0), (0.0, 910.0))))
    assert len(pages(template_pdf([far], Size.A4, STAMP))) == 2


@pytest.mark.parametrize("turn", [0.0, 0.3, 0.8, 1.3, pi / 2])
def test_every_place_of_a_drawing_lies_on_a_printed_tile(turn: float) -> None:
    end = 700 * cos(turn), 700 * sin(turn)
    tiling = Tiling.of(Panel("aslant", (), (Line("CUT", (0.0, 0.0), end),)), (190.0, 220.0))
    for share in np.linspace(0, 1, 701):
        x, y = share * end[0], share * end[1]
        corners = [tiling.low(spot) for spot in tiling.held]
        assert any(a <= x <= a + 190.0 and b <= y <= b + 220.0 for a, b in corners)
    assert len(tiling.held) < tiling.counts[0] * tiling.counts[1] or 1 in tiling.counts


@pytest.mark.parametrize("size", list(Size))
def test_sizes_read_as_in_the_cut_list_and_an_opening_is_never_smaller(size: Size) -> None:
    """58.8 mm is 2 10/32 in and a little: 2 11/32 in and 59 mm, on the template as at the saw."""
    verdict = judged_example(SALOON)
    text = " ".join(page.text.replace("\u00a0", " ") for page in pages(templates_pdf(verdict, size, 0.1)))
    listed = " ".join(cut_list_text(verdict).split())
    for said in ("2 5/8 in (67 mm) by 2 11/32 in (59 mm)", "2 21/32 in (67.5 mm) for the sheet's thickness"):
        assert said in text and said in listed
    for mark in re.findall(r"mark (\S+ \S+ in \(\S+ mm\)) from the jacket top", listed):
        assert f"Cut line: {mark} from the jacket top" in text


@pytest.mark.parametrize("name", [SALOON, VAN])
def test_dxf_is_sound_in_millimetres_and_the_same_each_time(name: str) -> None:
    made = templates_dxf(judged_example(name), 0.1)
    assert made == templates_dxf(judged_example(name), 0.1)
    found = read_dxf(made)
    audit = found.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert (found.dxfversion, found.units) == ("AC1024", 4)
    assert set(LAYERS) <= {layer.dxf.name for layer in found.layers}
    assert {entity.dxf.layer for entity in found.modelspace()} <= set(LAYERS)


def test_dxf_holds_the_cut_line_and_true_ellipses() -> None:
    space = read_dxf(templates_dxf(judged_example(SALOON), 0.1)).modelspace()
    cuts = [line for line in space.query('LINE[layer=="CUT"]') if abs(line.dxf.start.y - line.dxf.end.y) < 1e-9]
    assert [line.dxf.start.distance(line.dxf.end) for line in cuts][:2] == pytest.approx([pi * 50.9] * 2, abs=1e-6)
    halves = list(space.query('ELLIPSE[layer=="CUT"]'))
    assert len(halves) == 2
    assert halves[0].dxf.major_axis.magnitude * halves[0].dxf.ratio == pytest.approx(29.4, abs=1e-9)


def test_a_piece_that_must_not_be_cut_gets_no_line(tmp_path: Path) -> None:
    zone = {"name": "rubber joint", "measured_from": "hub seat", "starts": "560 mm", "ends": "640 mm"}
    cuts = {**jobs.saloon()["cuts"], "zones": [zone], "column_kind": "plain"}
    cuts.pop("stroke")
    first = pages(templates_pdf(judged(tmp_path, jobs.changed(jobs.saloon(), ("cuts",), cuts)), Size.A4, 0.1))[0]
    assert first.text.count("DO NOT CUT") == 2
    assert lengths(first, 0.5) == []


HOSTILE = "<script>alert(1)</script> & </para> %s " + "Ωж" * 60 + " 車 " + "W" * 200


def test_hostile_names_neither_break_nor_leave_the_page(tmp_path: Path) -> None:
    tables = jobs.changed(jobs.saloon(), ("job", "name"), HOSTILE)
    verdict = judged(tmp_path, tables)
    found = pages(templates_pdf(verdict, Size.LETTER, 0.1))
    assert all(inside(page) for page in found)
    assert "<script>alert(1)</script>" in found[0].text
    assert read_dxf(templates_dxf(verdict, 0.1)).audit().errors == []


def test_command_writes_both_into_a_folder_or_one_file(tmp_path: Path) -> None:
    job = str(jobs.EXAMPLES / "dozen-go" / "job.toml")
    told = Said("template", job, "-o", str(tmp_path / "made"))
    assert told.code == 0
    assert sorted(path.name for path in (tmp_path / "made").iterdir()) == ["templates.dxf", "templates.pdf"]
    assert told.err.count("wrote ") == 2
    assert Said("template", job, "-o", str(tmp_path / "one.pdf"), "--size", "letter").code == 0
    assert pages((tmp_path / "one.pdf").read_bytes())[0].size == pytest.approx((215.9, 279.4), abs=0.01)
    wrong = Said("template", job, "-o", str(tmp_path / "one.png"))
    assert (wrong.code, "ends in .pdf or .dxf" in wrong.err) == (2, True)


@pytest.mark.parametrize("text", ["2 mm", "-0.1 mm", "0.1"])
def test_paper_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(FitcheckError):
        paper_thickness(text)


def test_an_opening_whose_tilt_the_tape_does_not_show_is_called_round() -> None:
    """59 / cos i, rounded up: 0.0008 mm longer at 0.3 deg, far below half a millimetre; 66.8 mm at 28 deg."""
    sheet = {"slope": "90 deg", "passes_dia": "50.8 mm", "thick": "1.2 mm", "clearance": "4.1 mm"}
    told = []
    for tilt in (0.3, 28.0):
        axis, unsure = np.array([-cos(radians(tilt)), 0.0, -sin(radians(tilt))]), {"slope": 0.0, "across": 0.0}
        said = opening_words(opening(Firewall.model_validate(sheet), axis, Frame.identity(), unsure, 0.0), "mm")
        told.append(said.replace("\u00a0", " "))
    assert told[0].startswith("round, 59.5 mm") and "long axis" not in told[0] and "deg" not in told[0]
    assert told[1].startswith("ellipse 67 mm")
