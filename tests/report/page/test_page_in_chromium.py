"""The page driven in Chromium: numbers equal `check --json`, sliders, phone, no network, no WebGL, hostile names."""

import re
import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fitcheck.confidence.results import Result
from fitcheck.geometry.frames import Vector
from fitcheck.job.opening import open_job
from fitcheck.report.clocking_dial import LEVELS
from fitcheck.report.document import gaps_document
from fitcheck.report.page.model import CAR2PAGE
from fitcheck.report.page.page import SHADES, page
from fitcheck.report.words import down_mm, room
from fitcheck.verdict import Outcome, Verdict, judge
from tests import jobs
from tests.command import written
from tests.report.page.depth import depth_by_coal
from tests.report.page.made import chart_of, floors, page_of, page_without_map
from tests.report.page.opened import BOXES, Opened, lying_under_it, shows_all_of_it
from tests.report.page.test_page import BAD, GO, NO
from tests.verdicts import judged_example

pytestmark = pytest.mark.chromium
ARGUMENTS = ["--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
DESK, PHONE = {"width": 1280, "height": 800}, {"width": 390, "height": 844}
SLIDE = """(share) => {
    const slider = document.getElementById('pedal-0');
    slider.value = share;
    slider.dispatchEvent(new Event('input'));
}"""
LINE = "document.getElementById('stage').gapLine"
GAP = re.compile(r"at least (?:[^;(]*\()?([\d.]+) mm\)?; required")


def box_of(corners: Vector) -> Vector:
    """Least and greatest corner (2, 3) in the page's frame."""
    there = corners @ CAR2PAGE.T
    return np.array([there.min(axis=0), there.max(axis=0)])


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=shutil.which("chromium"), args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_it_fits_the_screen_and_asks_for_nothing(browser: Any, tmp_path: Path, size: dict[str, int]) -> None:
    opened = Opened(browser, tmp_path, page_of(GO), size)
    assert (opened.said, opened.asked) == ([], [opened.file])
    assert opened.tab.evaluate("document.documentElement.scrollWidth") <= size["width"]
    assert opened.tab.is_visible("#stage canvas")
    for view in ("driver", "side", "plan", "under"):
        opened.tab.click(f"#view-{view}")
        shows_all_of_it(opened)
    lying_under_it(opened)
    assert opened.said == []


@pytest.mark.parametrize("name", [GO, NO])
def test_numbers_are_those_of_the_document(browser: Any, tmp_path: Path, name: str) -> None:
    opened = Opened(browser, tmp_path, page_without_map(name), DESK)
    cells = [row.split("\t") for row in opened.text("#results tbody").split("\n") if "\t" in row]
    told = gaps_document(judged_example(name))["gaps"]
    wanted = [row for row in told if row["result"] not in ("joined", "as before")]
    assert len(cells) == len(wanted) > 0
    for cell, row in zip(cells, wanted, strict=True):
        assert cell[0].endswith(row["result"])
        assert cell[1].strip() == f"{row['a']} - {row['b']}"
        least = row["depth_at_least_mm"] if row["result"] == "hits" else row["bound_mm"]
        assert f"{down_mm(least):g} mm" in cell[2]


def test_sliders_move_the_pedal_and_what_is_certified(browser: Any, tmp_path: Path) -> None:
    """At a stop its own gap and the line between its points; between two stops the floor, and no line."""
    opened = Opened(browser, tmp_path, page_of(GO), PHONE)
    opened.tab.evaluate(SLIDE, 1.0)
    assert opened.text("#told-0") == "100 % of travel, 5 1/2 in (140 mm) at the pad"
    along = floors(GO)["unit", "clutch"]
    (stop,) = [stop for stop in along.stops if stop.share == 1.0]
    assert f"At this travel they keep at least {room(stop.bound_mm, 'in')}." in opened.text("#here")
    ends = np.array([stop.on_a, stop.on_b]) @ CAR2PAGE.T
    assert np.array(opened.tab.evaluate(LINE)) == pytest.approx(ends, abs=0.051)
    low, high = along.stops[30].share, along.stops[31].share
    opened.tab.evaluate(SLIDE, (low + high) / 2)
    (floor,) = [floor for floor in along.floors if floor.low <= (low + high) / 2 <= floor.high]
    assert f"they keep at least {room(floor.bound_mm - 5e-4, 'in')}." in opened.text("#here")
    assert opened.tab.evaluate(LINE) is None
    opened.tab.focus("#pedal-0")
    opened.tab.keyboard.press("Home")
    assert opened.text("#told-0").endswith("pulled up")


def place_unit(opened: Opened, clock: float, place: float) -> str:
    """The unit moved by its two sliders; what the page says then."""
    for name, value in (("clock", clock), ("place", place)):
        opened.tab.evaluate(
            "([name, value]) => { const s = document.getElementById(name); s.value = value;"
            " s.dispatchEvent(new Event('input')); }",
            [name, value],
        )
    said: str = opened.text("#moved")
    return said


def judged_at(folder: Path, clock: float, place: float) -> Verdict:
    """The job with its unit written somewhere else, judged afresh."""
    tables = tomllib.loads((jobs.EXAMPLES / GO / "job.toml").read_text(encoding="utf-8"))
    tables = jobs.changed(tables, ("unit", "clock"), f"{clock} deg")
    return judge(open_job(Path(written(folder, jobs.changed(tables, ("unit", "input_face"), f"{place} mm")))))


def told_mm(said: str) -> float:
    """The gap or the depth that the page tells."""
    found = GAP.search(said)
    assert found is not None, said
    return float(found[1])


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_moved_to_the_best_place_it_tells_what_the_job_judged_there_finds(
    browser: Any, tmp_path: Path, size: dict[str, int]
) -> None:
    """The gap told is that of the pair that decides there, to the tenth, and no more; the line is as long."""
    opened = Opened(browser, tmp_path, page_of(GO), size)
    opened.tab.click("#best")
    said, best = opened.text("#moved"), chart_of(GO).best
    assert best is not None
    there = judged_at(tmp_path, float(np.degrees(best.clock)), best.place_mm)
    entry = min((entry for entry in there.gaps if entry.result is Result.CLEAR), key=lambda entry: entry.margin_mm)
    closest = entry.found.closest
    assert closest is not None
    assert closest.a_where.split(",")[0] in said and closest.b_where.split(",")[0] in said
    assert -0.05 <= closest.gap.bound_mm - told_mm(said) <= 0.26
    (a, b), gap_mm = np.array(opened.tab.evaluate(LINE)), closest.gap.gap_mm
    assert np.linalg.norm(a - b) == pytest.approx(gap_mm, abs=0.5)
    opened.tab.click("#own")
    assert opened.text("#moved").startswith("The job's own place")


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_moved_to_a_place_that_hits_it_tells_no_more_than_coal_finds_there(
    browser: Any, tmp_path: Path, size: dict[str, int]
) -> None:
    """The pair it names meets at the travel it shows, and is in there by as much as it says."""
    opened = Opened(browser, tmp_path, page_of(GO), size)
    (arc,) = chart_of(GO).chart.arcs
    i, j = np.argwhere(arc.map.nodes.meets)[-1].tolist()
    clock, place = float(np.degrees(arc.map.clocks[i])), float(arc.map.places_mm[j])
    assert place_unit(opened, clock, place).startswith("Hits here: ")
    opened.tab.click("#worst")
    share, said = float(opened.tab.input_value("#pedal-0")), opened.text("#moved")
    fresh = judged_at(tmp_path, clock, place)
    assert fresh.outcome is Outcome.DOES_NOT_FIT
    nearest = arc.map.nodes.nearest(i, j)
    assert nearest is not None
    depth = depth_by_coal(fresh, nearest[0].a_piece, nearest[0].b_piece, share)
    assert nearest[0].a_piece in said and nearest[0].b_piece in said
    assert 1.0 <= told_mm(said) <= depth + 0.05


def test_between_nodes_it_says_the_floor_of_the_cell_and_draws_no_line(browser: Any, tmp_path: Path) -> None:
    opened = Opened(browser, tmp_path, page_of(GO), PHONE)
    (arc,) = chart_of(GO).chart.arcs
    edges, places, floors_mm = np.degrees(arc.edges), arc.map.places_mm, arc.map.cells.mm
    wide = np.flatnonzero(np.diff(edges) > 4.0)
    i = int(wide[floors_mm[wide].max(axis=1).argmax()])
    j = int(floors_mm[i].argmax())
    said = place_unit(opened, float(edges[i] + 2.0), float(places[j] + places[j + 1]) / 2)
    assert f"{room(int(floors_mm[i, j] * 10) / 10, 'in')} to spare" in said and said.startswith("All over this cell")
    assert opened.tab.evaluate(LINE) is None
    there = judged_at(tmp_path, float(edges[i] + 2.0), float(places[j] + places[j + 1]) / 2)
    assert min(entry.margin_mm for entry in there.gaps if entry.result is Result.CLEAR) >= floors_mm[i, j]


def test_map_is_for_fingers_and_lies_as_the_drawn_one(browser: Any, tmp_path: Path) -> None:
    """Cells of 24 px at least, places across, clocks down; a tap or a step goes to a node; shades as drawn."""
    opened = Opened(browser, tmp_path, page_of(GO), PHONE)
    cells = opened.tab.evaluate(
        "[...document.querySelectorAll('#map rect:not(.own)')].map((one) => {"
        " const box = one.getBoundingClientRect(); return [box.width, box.height, box.x, box.y]; })"
    )
    (arc,) = chart_of(GO).chart.arcs
    wide, high, x, y = np.array(cells).T
    count = arc.map.cells.mm.shape[1]
    assert len(cells) == arc.map.cells.mm.size and wide.min() >= 24 and high.min() >= 24
    assert (np.diff(x.reshape(-1, count), axis=1) > 0).all() and (np.diff(y.reshape(-1, count), axis=0) > 0).all()
    styles = "(one) => { const [[r]] = [document.querySelectorAll('.swatch.' + one)]; "
    colours = [opened.tab.evaluate(styles + "return getComputedStyle(r).backgroundColor; }", one) for one in SHADES]
    drawn = [tuple(bytes.fromhex(colour[1:])) for colour in LEVELS.values()]
    assert colours == [f"rgb{colour}" for colour in drawn[:3]]
    opened.tab.click(f"#map rect >> nth={count + 1}", position={"x": 1, "y": 1})
    said = opened.text("#moved")
    assert said.startswith(("Nearest to its limit here", "Hits here", "Here every gap"))
    before = [float(opened.tab.input_value(key)) for key in ("#clock", "#place")]
    opened.tab.click("#place-more")
    opened.tab.click("#clock-less")
    after = [float(opened.tab.input_value(key)) for key in ("#clock", "#place")]
    assert after[0] < before[0] and after[1] > before[1]
    assert opened.text("#moved").startswith(("Nearest to its limit here", "Hits here", "Here every gap"))


def test_mock_up_stands_as_the_car_placed_afresh(browser: Any, tmp_path: Path) -> None:
    """Unit turned and slid, clutch at full travel: boxes round both against those of a job written that way."""
    opened = Opened(browser, tmp_path, page_of(GO), DESK)
    place_unit(opened, 280.0, 440.0)
    opened.tab.evaluate(SLIDE, 1.0)
    boxes = opened.tab.evaluate(BOXES)
    fresh = judged_at(tmp_path, 280.0, 440.0).scene
    unit, clutch = fresh.part("unit"), fresh.part("clutch")
    assert unit is not None and clutch is not None
    corners = np.vstack([piece.corners for phase in unit.phases for piece in phase.pieces])
    assert np.array(boxes["unit"]) == pytest.approx(box_of(corners), abs=0.05)
    (phase,) = clutch.phases
    assert phase.moves is not None and phase.travel is not None
    value = float(np.interp(1.0, phase.travel.shares, phase.travel.values))
    pressed = phase.moves.moved(np.vstack([piece.corners for piece in phase.pieces]), value)
    assert np.array(boxes["clutch"]) == pytest.approx(box_of(pressed), abs=0.05)


def test_worst_over_full_travel_of_a_job_that_hits(browser: Any, tmp_path: Path) -> None:
    opened = Opened(browser, tmp_path, page_without_map(NO), DESK)
    assert opened.text(".result") == "DOES NOT FIT"
    opened.tab.click("#worst")
    assert "At this travel they meet: in by at least" in opened.text("#here")
    opened.tab.evaluate("document.querySelectorAll('button.pair')[1].click()")
    assert opened.tab.get_attribute("button.pair >> nth=1", "aria-pressed") == "true"
    drawn = "document.getElementById('stage').mockUp.filter((one) => one.solid.boot && one.mesh.visible).length"
    assert opened.tab.evaluate(drawn) > 0
    opened.tab.click("#boots")
    assert opened.tab.evaluate(drawn) == 0


def test_without_webgl_numbers_stand_all_the_same(browser: Any, tmp_path: Path) -> None:
    off = "HTMLCanvasElement.prototype.getContext = () => null;"
    opened = Opened(browser, tmp_path, page_of(GO), PHONE, off)
    assert opened.tab.is_visible("#flat") and not opened.tab.is_visible("#stage")
    assert "mm" in opened.text("#results tbody")
    assert opened.text("#told-0")


def test_hostile_names_run_nothing(browser: Any, tmp_path: Path) -> None:
    tables = jobs.changed(jobs.bare(), ("pedals",), [jobs.clutch(name=BAD[:80])])
    verdict = judge(open_job(Path(written(tmp_path, jobs.changed(tables, ("job", "name"), BAD)))))
    opened = Opened(browser, tmp_path, page(verdict, {}), PHONE)
    assert opened.tab.evaluate("window.bad") is None
    assert opened.text("h1") == BAD
    assert (opened.said, opened.asked) == ([], [opened.file])
    assert opened.tab.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
