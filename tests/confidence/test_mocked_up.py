"""Which results a mock-up that disagrees leaves open: by hand, with readings of one mm of effect each.

A reading that alone makes a gap differ by d moves another gap by d times the ratio of its two effects (rule of three).
"""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Need, Pair, Treatment
from fitcheck.clearance.travel import Closest
from fitcheck.confidence.as_built import AsBuilt, AsBuiltEntry
from fitcheck.confidence.first_order import Share
from fitcheck.confidence.mocked_up import held_against, lean_words
from fitcheck.confidence.results import Judged, Result, judged
from fitcheck.job.opening import open_job
from fitcheck.placement.scene import Kind, Part, Phase
from fitcheck.verdict import judge
from tests import jobs
from tests.confidence.test_results import gap
from tests.geometry.shapes import box

UNIT = ("unit", Kind.UNIT, None)
BRAKE = ("brake", Kind.PEDAL, "brake")
BOOT = ("boot on brake", Kind.BOOT, "brake")
SHIN = ("shin on brake", Kind.BOOT, "brake")
CLUTCH = ("clutch", Kind.PEDAL, "clutch")
DUCT = ("duct", Kind.OBSTACLE, None)
MOVE = ("unit, move 1", Kind.UNIT, None)
LIFTED = ("boot lifted off clutch", Kind.BOOT, None)
Named = tuple[str, Kind, str | None]


def part(named: Named) -> Part:
    name, kind, pedal = named
    return Part(name, kind, (Phase((box([0, 0, 0], [1, 1, 1]),)),), new=True, driven_by=pedal)


def result(a: Named, b: Named, shares: Mapping[str, float], mm: float = 30.0, required: float = 16.0) -> Judged:
    """A gap of two parts, exact but for what readings cause."""
    pair = Pair(part(a), part(b), Need(Treatment.JUDGED, "", required, "common practice"))
    return judged(
        Found(pair, Closest(0, 0, gap(mm), a[0], b[0], {}), None), tuple(Share(*each) for each in shares.items())
    )


def found(a: str, b: str, off: float, shares: Mapping[str, float], spread: float = 0.5) -> AsBuiltEntry:
    parts = tuple(sorted((Share(*each) for each in shares.items()), key=lambda share: -abs(share.part_mm)))
    return AsBuiltEntry("seen[1]", f"{a} - {b}", (a, b), 20.0 + off, spread, 20.0, parts)


def said(entry: Judged, *seen: AsBuiltEntry, of_shaft: bool = False) -> Judged:
    (held,) = held_against((entry,), AsBuilt(seen), of_shaft)
    return held


GO_ALONG = [BOOT, SHIN, ("brake at rest", Kind.PEDAL, None), ("brake pushrod", Kind.LINKAGE, "brake")]


@pytest.mark.parametrize("other", GO_ALONG)
def test_what_goes_with_the_pedal_is_open_with_it(other: Named) -> None:
    off = found("unit", "brake", -9.0, {"pad": 3.0})
    held = said(result(UNIT, other, {"heel": 1.0}), off)
    assert held.result is Result.NOT_KNOWN
    assert held.reason == (
        "the mock-up disagrees on unit - brake, and this gap goes with that one: find the reading that is wrong"
    )
    assert said(result(MOVE, other, {"heel": 1.0}), off).result is Result.NOT_KNOWN, "the unit on its way out as well"
    assert said(result(UNIT, CLUTCH, {"heel": 1.0}), off).result is Result.CLEAR


def test_a_gap_is_open_where_a_suspect_alone_would_give_it_another_result() -> None:
    """9 mm less between unit and brake by the column alone is three times its 3 mm: 12 mm of the duct's 4 mm a time."""
    off = found("unit", "brake", -9.0, {"column.low.left": 3.0, "pad": 2.0})
    tight = said(result(UNIT, DUCT, {"column.low.left": 4.0}, mm=20.0, required=6.0), off)
    assert tight.result is Result.NOT_KNOWN, "20 - 12 is 8, surely kept only with 4 mm to spare"
    assert tight.reason == (
        "the mock-up disagrees on unit - brake, and this gap hangs on what may be wrong: column.low.left"
    )
    assert said(result(UNIT, DUCT, {"column.low.left": 4.0}, mm=40.0, required=6.0), off).result is Result.CLEAR
    other_way = result(UNIT, DUCT, {"column.low.left": -4.0}, mm=20.0, required=6.0)
    assert said(other_way, off).result is Result.CLEAR, "it would only gain"
    short = result(UNIT, DUCT, {"column.low.left": -4.0}, mm=5.0, required=6.0)
    assert short.result is Result.UNDER and said(short, off).result is Result.NOT_KNOWN, "5 + 12 would do"


def test_a_gap_found_as_predicted_is_let_alone() -> None:
    off = found("unit", "brake", -9.0, {"column.low.left": 3.0})
    own = found("unit", "duct", 0.2, {"column.low.left": 4.0})
    held = said(result(UNIT, DUCT, {"column.low.left": 4.0}, mm=20.0, required=6.0), off, own)
    assert held.result is Result.CLEAR and "agrees" in held.reason


def test_a_distance_found_off_leaves_open_what_hangs_on_its_points() -> None:
    off = AsBuiltEntry("seen[1]", "distance a - b", (), 509.0, 1.0, 500.0, (Share("points.a.back", 3.0),))
    entry = result(UNIT, CLUTCH, {"points.a.back": -3.0}, mm=24.0)
    assert said(entry, off).result is Result.NOT_KNOWN
    assert said(result(UNIT, CLUTCH, {"points.c.back": -3.0}, mm=24.0), off).result is Result.CLEAR


def test_two_gaps_lean_together() -> None:
    """Two gaps 3.4 mm closer, each good to 4 mm on readings of its own: their mean to 4 / sqrt 2 = 2.8 mm."""
    two = (found("unit", "brake", -3.4, {"x": 4.0}, 0.0), found("unit", "clutch", -3.4, {"y": 4.0}, 0.0))
    both = AsBuilt(two)
    assert both.mean_spread_mm == pytest.approx(4.0 / np.sqrt(2.0))
    assert both.leans and all(entry.agrees for entry in both.entries)
    shared = AsBuilt(tuple(found("unit", name, -3.4, {"x": 4.0}, 0.0) for name in ("brake", "clutch")))
    assert not shared.leans, "one reading behind both: chance"
    assert not AsBuilt(two[:1]).leans
    opposite = AsBuilt((found("unit", "brake", -9.0, {"x": 4.0}), found("unit", "clutch", 0.2, {"y": 4.0})))
    assert not opposite.leans, "one gap found off says so itself; the other does not lean with it"


def test_a_lean_leaves_open_all_that_hangs_on_the_column() -> None:
    two = (found("unit", "brake", -3.4, {"x": 4.0}, 0.0), found("unit", "clutch", -3.4, {"y": 4.0}, 0.0))
    for a, b in ((UNIT, DUCT), (MOVE, DUCT), (UNIT, LIFTED), (("bracket", Kind.BRACKET, None), CLUTCH)):
        assert said(result(a, b, {"z": 1.0}), *two).result is Result.NOT_KNOWN
    room = ("hand", Kind.OBSTACLE, None)
    assert said(result(room, BRAKE, {"z": 1.0}), *two).result is Result.CLEAR
    shaft = result(("shaft", Kind.OBSTACLE, None), DUCT, {"z": 1.0})
    assert said(shaft, *two).result is Result.CLEAR
    assert said(shaft, *two, of_shaft=True).result is Result.NOT_KNOWN


def test_words_of_a_lean_name_the_readings_and_the_one_pedal_all_gaps_share() -> None:
    first, second = {"x": 4.0, "column.low.up": 0.3}, {"y": 3.0, "column.low.up": 0.3}
    two = (found("unit", "clutch", -3.4, first, 0.0), found("unit", "clutch", -3.4, second, 0.0))
    assert lean_words(AsBuilt(two)) == (
        "the gaps found are all closer by 3.4 mm on the mean, more than the 2.5 mm that may be off: what they share is "
        "the column's axis and the unit's place, and the clutch; measure the hub seat, the low place and the input "
        "face again, and the clutch (every one hangs on column.low.up)"
    )


def test_a_lean_reaches_boots_off_their_pedals_and_the_way_out(tmp_path: Path) -> None:
    """A whole job: everything of the unit stands open, in every chapter."""
    gaps = {("unit", "clutch"): "18 mm", ("unit", "brake"): "19 mm", ("unit", "pedal shaft"): "8 mm"}
    seen = [{"between": list(names), "gap": gap, "at": "full"} for names, gap in gaps.items()]
    path = tmp_path / "job.toml"
    path.write_text(jobs.text({**jobs.example("saloon-way-in"), "seen": seen}), encoding="utf-8")
    verdict = judge(open_job(path), draws=0)
    assert verdict.seen is not None and verdict.seen.leans
    assert verdict.boots is not None and verdict.reach is not None
    besides = [entry for entry in (*verdict.boots.gaps, *verdict.reach.gaps) if entry.found.closest is not None]
    of_unit = [entry for entry in besides if Kind.UNIT in (entry.pair.a.kind, entry.pair.b.kind)]
    judged_ones = [entry for entry in of_unit if entry.result not in (Result.JOINED, Result.AS_BEFORE)]
    assert len(judged_ones) > 10
    assert {entry.result for entry in judged_ones} == {Result.NOT_KNOWN}
