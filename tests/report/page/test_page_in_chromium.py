"""The page driven in Chromium: numbers equal `check --json`, sliders, phone, no network, no WebGL, hostile names."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from fitcheck.job.opening import open_job
from fitcheck.report.document import gaps_document
from fitcheck.report.page.page import page
from fitcheck.report.words import down_mm
from fitcheck.verdict import judge
from tests import jobs
from tests.command import written
from tests.report.page.made import floors, page_of
from tests.report.page.test_page import BAD, GO, NO
from tests.verdicts import judged_example

pytestmark = pytest.mark.chromium
DESK, PHONE = {"width": 1100, "height": 900}, {"width": 390, "height": 844}


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
    slide = """(share) => {
        const slider = document.getElementById('pedal-0');
        slider.value = share;
        slider.dispatchEvent(new Event('input'));
    }"""
    opened.tab.evaluate(slide, 1.0)
    assert opened.tab.inner_text("#told-0") == "100 % of travel, 140 mm at the pad"
    (floor, *_) = [floor for floor in floors(GO)["unit", "clutch"] if floor.low <= 1.0 <= floor.high]
    assert f"at least {int(floor.bound_mm * 10) / 10:.1f} mm" in opened.tab.inner_text("#here")
    opened.tab.focus("#pedal-0")
    opened.tab.keyboard.press("Home")
    assert opened.tab.inner_text("#told-0").endswith("pulled up")


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
