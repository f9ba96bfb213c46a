"""The measuring sheet read back: twelve on page one, each with a sketch and blanks; for a job only what it lacks."""

from io import BytesIO
from pathlib import Path

import pdfplumber
import pytest

from fitcheck.job.opening import open_job
from fitcheck.readings.survey import readings
from fitcheck.report.key_words import key_words
from fitcheck.report.measure.catalogue import BENCH, DOZEN
from fitcheck.report.measure.further import EVERYTHING, NEXT, SHAFT, reading_of
from fitcheck.report.measure.reading import Reading
from fitcheck.report.measure.sheet import blank_sheet, job_sheet, plan_sheet
from fitcheck.report.measure.sizes import SIZES
from fitcheck.report.measure.sketch import Board
from fitcheck.report.measure.wanted import planned, wanted
from fitcheck.report.paper.pen import Pen
from fitcheck.report.paper.sheets import Size, Stamp, blank
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.command import Said, written
from tests.report.paper.pages import Page, inside, pages
from tests.verdicts import judged_example, planned_example


def judged(folder: Path, tables: jobs.Tables) -> Verdict:
    return judge(open_job(Path(written(folder, tables))))


@pytest.mark.parametrize("size", list(Size))
def test_dozen_stands_on_page_one_with_blanks_for_two_hands(size: Size) -> None:
    made = blank_sheet(size)
    assert made == blank_sheet(size)
    found = pages(made)
    assert all(inside(page) for page in found)
    text = found[0].text
    assert len(DOZEN) == 12
    for number, reading in enumerate(DOZEN, 1):
        assert f"{number} {reading.title}" in text
    blanks = sum(len(reading.blanks) for reading in DOZEN)
    assert (text.count("1st"), text.count("2nd"), text.count("tool, who")) == (blanks, blanks, 12)
    later = " ".join(page.text for page in found[1:])
    assert all(reading.title in later for reading in (*SIZES, *BENCH, *SHAFT, *NEXT))


def test_no_words_of_a_cell_run_into_each_other() -> None:
    """Letters of two words never share room: boxes of the words on the first page do not overlap."""
    with pdfplumber.open(BytesIO(blank_sheet(Size.LETTER)), pages=[1]) as opened:
        words = opened.pages[0].extract_words()
    boxes = [(w["x0"], w["top"] + 0.2 * (w["bottom"] - w["top"]), w["x1"], w["bottom"] - 0.2 * (w["bottom"] - w["top"]))
             for w in words]  # fmt: skip
    clashes = [
        (words[i]["text"], words[j]["text"])
        for i, a in enumerate(boxes)
        for j, b in enumerate(boxes[:i])
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]
    assert clashes == []


def test_the_dozen_covers_the_readings_of_a_dozen_job() -> None:
    """Every place and size of a shipped job on a dozen readings that is read in the car is one of the twelve."""
    job = judged_example("dozen-go").opened.job
    keys = {reading.key for reading in readings(job)}
    in_the_car = {
        key for key in keys if key.startswith(("column.hub_seat", "column.low", "pedals[1].pivot", "unit.input"))
    }
    assert in_the_car
    assert all(any(reading.stands_for(key) for reading in DOZEN) for key in in_the_car)


def test_a_job_is_asked_only_for_what_it_lacks() -> None:
    titles = [one.title for one in wanted(judged_example("dozen-go"))]
    assert "Pedal travel (brake pedal)" in titles
    assert "Pedal travel (clutch pedal)" not in titles
    assert "Jacket overall" in titles
    whole = [one.title for one in wanted(judged_example("saloon-shaft"))]
    assert "Jacket overall" not in whole


def test_a_missing_reading_and_one_that_leaves_a_result_open_are_named(tmp_path: Path) -> None:
    tables = jobs.changed(jobs.saloon(), ("pedals", 2, "travel"), None)
    tables = jobs.changed(tables, ("cuts", "bench", "jacket_overall"), None)
    found = {key: one for one in wanted(judged(tmp_path, tables)) for key in one.keys}
    assert found["pedals[3].travel"].why.startswith("missing: ")
    assert found["pedals[3].travel"].title == "Pedal travel (throttle)"
    text = " ".join(page.text for page in pages(job_sheet(judged(tmp_path, tables), Size.A4)))
    assert "pedals[3].travel" in text


def test_every_key_leads_to_one_reading_only() -> None:
    for key in (
        "column.hub_seat.back",
        "cuts.bench.jacket_overall",
        "pedals[2].pad.at.left",
        "shaft.upper.joint_along",
    ):
        assert sum(reading.stands_for(key) for reading in EVERYTHING) == 1


def sketched(reading: Reading) -> Page:
    assert reading.sketch is not None
    canvas, out = blank(Size.A4, Stamp("a test", "no job", "Measuring sheet"))
    reading.sketch(Board(Pen(canvas), (50.0, 50.0), 0.34))
    canvas.showPage()
    canvas.save()
    return pages(out.getvalue())[0]


@pytest.mark.parametrize("of", ["column.low.{}", "pedals[2].arm[1].at.{}", "pedals[1].pad.at.{}"])
def test_a_sketch_dimensions_what_is_asked_and_nothing_else(of: str) -> None:
    """Heads of dimension lines are the only triangles: two a dimension; left and right are read from above."""
    for axes, view in ((("left",), True), (("back", "up"), False), (("forward",), False), (("up", "right"), True)):
        keys = [of.format(axis) for axis in axes]
        reading = reading_of(of.format("back"))
        assert reading is not None
        asked, page = reading.asked(keys), sketched(reading.asked(keys))
        small = [path for path in page.paths if max(x for x, _ in path) - min(x for x, _ in path) < 2]
        heads = [path for path in small if len({(round(x, 2), round(y, 2)) for x, y in path}) == 3]
        assert (len(asked.blanks), len(heads)) == (len(axes), 2 * len(axes)), (of, axes)
        assert ("datum" in page.text) == view


def test_the_blank_sheet_asks_for_every_size_of_the_first_answer() -> None:
    text = " ".join(page.text for page in pages(blank_sheet(Size.A4)))
    for blank_ in ("Datum, a mark", "wide 1st", "high 1st", "thick 1st", "from 1st", "to 1st", "sensor long 1st",
                   "beside 1st", "starts 1st", "over or under 1st", "along the dowel 1st", "passes dia 1st",
                   "slope, turn 1st"):  # fmt: skip
        assert blank_ in text
    keys = ("pedals[1].arm_thick", "unit.motor.beside", "unit.hand", "column.jacket_to", "cuts.firewall", "unit.worm")
    assert len({one.title for key in keys if (one := reading_of(key))}) == len(keys)


def test_instructions_are_whole_and_a_mock_up_that_disagrees_is_told_first() -> None:
    """What was found stands in the example's [[seen]]: 17 mm at half travel."""
    verdict = judged_example("dozen-mock-up-off")
    found = pages(job_sheet(verdict, Size.LETTER))
    assert all(inside(page) and "\u2026" not in page.text for page in found)
    assert "The mock-up disagrees: the car is right, find the reading" in found[0].text
    first = wanted(verdict)[0]
    assert first.why.startswith("THE MOCK-UP DISAGREES") and "(17 mm)" in first.why.replace("\u00a0", " ")
    assert first.keys == ("pedals[1].arm[1].at.left",)
    assert first.reading is not None and first.reading.blanks == ("left/right",)
    assert all("\u2026" not in page.text for page in pages(job_sheet(judged_example("saloon-shaft"), Size.LETTER)))


def test_every_reading_has_a_drawing_and_draws_inside_its_box() -> None:
    """A box is 100 by 80 units of 0.34 mm; half a mm for lines, 2 mm to the words beside."""
    for reading in EVERYTHING:
        page = sketched(reading)
        spots = [spot for line in page.lines for spot in line[:2]] + [spot for path in page.paths for spot in path]
        assert spots
        assert all(49.5 <= x <= 84.5 and 49.5 <= y <= 77.7 for x, y in spots), reading.title
        assert all(right <= 86 for _, _, _, right, _ in page.words), reading.title


@pytest.mark.parametrize("name", ["dozen-go", "saloon-shaft", "van-440-along"])
def test_what_is_asked_for_has_a_drawing_and_stands_once(name: str) -> None:
    found = wanted(judged_example(name))
    assert [one.title for one in found if one.reading is None] == []
    assert len({one.title for one in found}) == len(found)


def test_hostile_names_are_told_and_stay_on_the_page(tmp_path: Path) -> None:
    hostile = "<script>alert(1)</script> & %s " + "W" * 40
    tables = jobs.changed(jobs.saloon(), ("pedals", 2, "travel"), None)
    tables = jobs.changed(jobs.changed(tables, ("pedals", 2, "name"), hostile), ("job", "name"), hostile)
    tables = jobs.changed(tables, ("driver",), None)
    found = pages(job_sheet(judged(tmp_path, tables), Size.LETTER))
    assert all(inside(page) for page in found)
    assert "<script>alert(1)</script>" in found[0].text


def test_a_key_is_told_by_the_names_in_the_job() -> None:
    """Names of parts as they stand in examples/saloon-shaft/job.toml."""
    job = judged_example("saloon-shaft").opened.job
    assert key_words(job, "pedals[2].arm[1].at.right") == "brake: arm 1, right"
    assert key_words(job, "obstacles[3].shape.opposite.left") == "fuse panel: opposite corner, left"
    assert key_words(job, "driver.boots[2].heel.down") == "boot on brake: heel, down"
    assert key_words(job, "unit.clock") == "unit, clock"
    crossed = judged_example("saloon-readings").opened.job
    assert key_words(crossed, "readings[1].is") == "tape hub seat - shaft left"


def test_command_writes_a_blank_sheet_and_one_for_a_job(tmp_path: Path) -> None:
    blank, own = tmp_path / "blank.pdf", tmp_path / "own.pdf"
    assert Said("measure", "-o", str(blank)).code == 0
    assert Said("measure", str(jobs.EXAMPLES / "dozen-go" / "job.toml"), "-o", str(own), "--size", "letter").code == 0
    assert "no job yet" in pages(blank.read_bytes())[0].text
    assert judged_example("dozen-go").opened.digest[:12] in pages(own.read_bytes())[0].text


def test_a_guessed_job_gets_the_dozen_of_its_plan_in_walking_order(tmp_path: Path) -> None:
    path, verdict, found = tmp_path / "plan.pdf", judged_example("dozen-plan"), planned_example()
    assert Said("measure", str(jobs.EXAMPLES / "dozen-plan"), "-o", str(path)).code == 0
    assert path.read_bytes() == plan_sheet(verdict, found, Size.A4)
    first, *later = pages(path.read_bytes())
    assert inside(first) and later
    assert "The plan: boxes 1 to 5 decide, if the car is as guessed" in first.text
    job = verdict.opened.job
    boxes = [one.title for one in planned(job, found.taken)]
    assert len(boxes) == 5
    assert [f"{number} {title}" in first.text for number, title in enumerate(boxes, 1)] == [True] * 5
    blanks = sum(len(one.reading.blanks) for one in planned(job, (*found.taken, *found.next)) if one.reading)
    assert blanks == 12


def test_a_bleeder_is_opened_for_the_brake_only_and_bled_after(tmp_path: Path) -> None:
    tables = jobs.saloon()
    for number in (0, 1, 2):
        tables = jobs.changed(tables, ("pedals", number, "travel"), None)
    travels = [one for one in wanted(judged(tmp_path, tables)) if one.title.startswith("Pedal travel")]
    assert sorted((one.about, "bleeder" in one.how) for one in travels) == [
        ("brake", True), ("clutch", False), ("throttle", False)]  # fmt: skip
    (first, *_) = pages(blank_sheet(Size.A4))
    assert "close it, bleed and test the brakes before the car moves" in first.text
