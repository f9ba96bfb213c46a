"""The drawing of the shaft: same bytes for the same chapter, in three formats, refused where there is nothing."""

from pathlib import Path

import pytest

from fitcheck.errors import DrawingError
from fitcheck.job.opening import open_job
from fitcheck.report.phase_drawing import Format, drawings, shaft_drawing
from fitcheck.shaft.results import ShaftChapter
from fitcheck.verdict import judge
from tests.jobs import EXAMPLES, at
from tests.shaft import cars

STARTS: dict[Format, bytes] = {"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}


@pytest.mark.parametrize("form", ["png", "svg", "pdf"])
def test_same_chapter_same_bytes(form: Format) -> None:
    found = cars.saloon_as_it_is()
    first, again = (shaft_drawing(found, "The saloon", "FITS", form) for _ in range(2))
    assert first.startswith(STARTS[form])
    assert first == again


def test_the_words_are_on_it() -> None:
    found = cars.chapter(cars.steep(), 0).proposal
    assert isinstance(found, ShaftChapter)
    drawn = shaft_drawing(found, "Three joints", "DOES NOT FIT", "svg").decode()
    for words in ("seen from the wheel end", "support bearing", "true angle", "as phased", "Three joints"):
        assert words in drawn


def test_nothing_to_draw_without_the_line() -> None:
    found = cars.chapter(cars.saloon(lower={"joint_at": at(-440, -95, -270)}), 0)
    with pytest.raises(DrawingError, match=r"nothing to draw yet: measure two places.*shaft.lower.tube"):
        shaft_drawing(found, "The saloon", "FITS")


def test_the_sheet_says_result_datum_and_what_is_moved() -> None:
    drawn = shaft_drawing(cars.saloon_as_it_is(), "The saloon", "FITS: all clear.", "svg").decode()
    for words in ("FITS: all clear.", "wheel-end yoke: 3 teeth clockwise", "Datum: ", "not an approval", "near you"):
        assert words in drawn


@pytest.mark.parametrize("show", ["in", "mm"])
def test_axes_are_in_the_jobs_own_unit(show: str) -> None:
    tables = cars.saloon()
    tables["job"]["show"] = show
    drawn = shaft_drawing(cars.chapter(tables, 0), "The saloon", "FITS", "svg").decode()
    unit = {"in": "inches", "mm": "mm"}[show]
    assert f"{unit} behind the datum" in drawn and f"{unit} right of the datum" in drawn


def test_three_joints_that_are_proposed_are_drawn_beside_the_jobs_own() -> None:
    verdict = judge(open_job(EXAMPLES / "saloon-steep-box" / "job.toml"), draws=0)
    (own, _, result), (other, found, words) = drawings(verdict, Path("shaft.png"))
    assert (own.name, other.name) == ("shaft.png", "shaft-three-joints.png")
    assert result.startswith("DOES NOT FIT") and words.startswith("PROPOSED, three joints and a bearing. SHAFT: keeps")
    assert len(found.joints) == 3
