"""The page driven in Chromium: numbers equal `check --json`, sliders, phone, no network, no WebGL, hostile names."""

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
from fitcheck.report.document import gaps_document
from fitcheck.report.page.model import CAR2PAGE
from fitcheck.report.page.page import page
from fitcheck.report.words import down_mm
from fitcheck.verdict import Outcome, Verdict, judge
from tests import jobs
from tests.command import written
from tests.report.page.made import chart_of, floors, page_of
from tests.report.page.test_page import BAD, GO, NO
from tests.verdicts import judged_example

pytestmark = pytest.mark.chromium
DESK, PHONE = {"width": 1100, "height": 900}, {"width": 390, "height": 844}
SLIDE = """(share) => {
    const slider = document.getElementById('pedal-0');
    slider.value = share;
    slider.dispatchEvent(new Event('input'));
}"""
BOXES = """() => {
    const found = {};
    for (const { solid, mesh } of document.getElementById('stage').mockUp) {
        const box = new THREE.Box3(), points = mesh.geometry.attributes.position;
        for (let i = 0; i < points.count; i += 1) {
            box.expandByPoint(new THREE.Vector3().fromBufferAttribute(points, i).applyMatrix4(mesh.matrix));
        }
        found[solid.name] = [box.min.toArray(), box.max.toArray()];
    }
    return found;
}"""


def box_of(corners: Vector) -> Vector:
    """Least and greatest corner (2, 3) in the page's frame."""
    there = corners @ CAR2PAGE.T
    return np.array([there.min(axis=0), there.max(axis=0)])


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        yield opened
        opened.close()


class Opened:
    """A page opened from disk, with all that it said and asked for."""

    def __init__(self, browser: Any, folder: Path, html: str, size: dict[str, int], first: str = "") -> None:
        file = folder / "page.html"
        file.write_text(html, encoding="utf-8")
        self.tab = browser.new_page(viewport=size)
        self.said: list[str] = []
        self.asked: list[str] = []
        self.tab.on("console", lambda line: self.said.append(line.text) if line.type == "error" else None)
        self.tab.on("pageerror", lambda error: self.said.append(str(error)))
        self.tab.on("request", lambda request: self.asked.append(request.url))
        if first:
            self.tab.add_init_script(first)
        self.tab.goto(file.as_uri())
        self.tab.wait_for_selector("body[data-ready]", timeout=60_000)
        self.file = file.as_uri()


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_it_fits_the_screen_and_asks_for_nothing(browser: Any, tmp_path: Path, size: dict[str, int]) -> None:
    opened = Opened(browser, tmp_path, page_of(GO), size)
    assert (opened.said, opened.asked) == ([], [opened.file])
    assert opened.tab.evaluate("document.documentElement.scrollWidth") <= size["width"]
    assert opened.tab.is_visible("#stage canvas")
    opened.tab.click("#view-under")
    assert opened.said == []


@pytest.mark.parametrize("name", [GO, NO])
def test_numbers_are_those_of_the_document(browser: Any, tmp_path: Path, name: str) -> None:
    opened = Opened(browser, tmp_path, page_of(name), DESK)
    cells = [row.split("\t") for row in opened.tab.inner_text("#results tbody").split("\n") if "\t" in row]
    told = gaps_document(judged_example(name))["gaps"]
    wanted = [row for row in told if row["result"] not in ("joined", "as before")]
    assert len(cells) == len(wanted) > 0
    for cell, row in zip(cells, wanted, strict=True):
        assert cell[0].endswith(row["result"])
        assert cell[1].strip() == f"{row['a']} - {row['b']}"
        least = row["depth_at_least_mm"] if row["result"] == "hits" else row["bound_mm"]
        assert f"{down_mm(least):g} mm" in cell[2]


def test_sliders_move_the_pedal_and_the_certified_floor(browser: Any, tmp_path: Path) -> None:
    opened = Opened(browser, tmp_path, page_of(GO), PHONE)
    opened.tab.evaluate(SLIDE, 1.0)
    assert opened.tab.inner_text("#told-0") == "100 % of travel, 140 mm at the pad"
    (floor, *_) = [floor for floor in floors(GO)["unit", "clutch"] if floor.low <= 1.0 <= floor.high]
    assert f"at least {int(floor.bound_mm * 10) / 10:.1f} mm" in opened.tab.inner_text("#here")
    opened.tab.focus("#pedal-0")
    opened.tab.keyboard.press("Home")
    assert opened.tab.inner_text("#told-0").endswith("pulled up")


def place_unit(opened: Opened, clock: float, place: float) -> str:
    """The unit moved by its two sliders; what the page says then."""
    for name, value in (("clock", clock), ("place", place)):
        opened.tab.evaluate(
            "([name, value]) => { const s = document.getElementById(name); s.value = value;"
            " s.dispatchEvent(new Event('input')); }",
            [name, value],
        )
    said: str = opened.tab.inner_text("#moved")
    return said


def judged_at(folder: Path, clock: float, place: float) -> Verdict:
    """The job with its unit written somewhere else, judged afresh."""
    tables = tomllib.loads((jobs.EXAMPLES / GO / "job.toml").read_text(encoding="utf-8"))
    tables = jobs.changed(tables, ("unit", "clock"), f"{clock} deg")
    return judge(open_job(Path(written(folder, jobs.changed(tables, ("unit", "input_face"), f"{place} mm")))))


def test_moved_to_the_best_place_and_to_one_that_hits(browser: Any, tmp_path: Path) -> None:
    """At each the page says its cell's floor; the job judged afresh there has no less, or hits where it says so."""
    opened = Opened(browser, tmp_path, page_of(GO), PHONE)
    (arc,) = chart_of(GO).arcs
    floors_mm = arc.map.cells.mm
    best = np.unravel_index(int(floors_mm.argmax()), floors_mm.shape)
    edges, places = np.degrees(arc.edges), arc.map.places_mm
    clock, place = (edges[best[0]] + edges[best[0] + 1]) / 2, (places[best[1]] + places[best[1] + 1]) / 2
    said = place_unit(opened, float(clock), float(place))
    floor_mm = int(floors_mm[best] * 10) / 10
    assert f"{floor_mm:.1f} mm to spare" in said
    there = [entry for entry in judged_at(tmp_path, clock, place).gaps if entry.result is Result.CLEAR]
    assert min(entry.margin_mm for entry in there) >= floor_mm
    i, j = np.argwhere(arc.map.cells.meets)[0]
    clock, place = (edges[i] + edges[i + 1]) / 2, (places[j] + places[j + 1]) / 2
    assert place_unit(opened, float(clock), float(place)).startswith("Something hits here.")
    assert judged_at(tmp_path, clock, place).outcome is Outcome.DOES_NOT_FIT
    opened.tab.click("#own")
    assert "own place" not in opened.tab.inner_text("#moved")


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
    opened = Opened(browser, tmp_path, page_of(NO), DESK)
    assert opened.tab.inner_text(".result") == "DOES NOT FIT"
    opened.tab.click("#worst")
    assert opened.tab.inner_text("#here") == "Here they may meet."
    opened.tab.evaluate("document.querySelectorAll('button.pair')[1].click()")
    assert opened.tab.get_attribute("button.pair >> nth=1", "aria-pressed") == "true"


def test_without_webgl_numbers_stand_all_the_same(browser: Any, tmp_path: Path) -> None:
    off = "HTMLCanvasElement.prototype.getContext = () => null;"
    opened = Opened(browser, tmp_path, page_of(GO), PHONE, off)
    assert opened.tab.is_visible("#flat") and not opened.tab.is_visible("#stage")
    assert "mm" in opened.tab.inner_text("#results tbody")
    assert opened.tab.inner_text("#told-0")


def test_hostile_names_run_nothing(browser: Any, tmp_path: Path) -> None:
    tables = jobs.changed(jobs.bare(), ("pedals",), [jobs.clutch(name=BAD[:80])])
    verdict = judge(open_job(Path(written(tmp_path, jobs.changed(tables, ("job", "name"), BAD)))))
    opened = Opened(browser, tmp_path, page(verdict, {}), PHONE)
    assert opened.tab.evaluate("window.bad") is None
    assert opened.tab.inner_text("h1") == BAD
    assert (opened.said, opened.asked) == ([], [opened.file])
    assert opened.tab.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
