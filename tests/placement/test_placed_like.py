"""A job placed like a scene made before takes over what did not change, and comes out as if placed afresh; mm."""

import gc

import numpy as np
import pytest

from fitcheck.geometry.movement import Slide, Turn
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.placement.scene import Part, Phase, Scene
from fitcheck.readings.survey import readings, shifted
from tests import jobs
from tests.jobs import at, mm
from tests.placement.test_mirror_and_datum import by_gauge

SALOON, BY_GAUGE = jobs.job(jobs.saloon()), jobs.job(by_gauge())


def numbers(part: Part) -> list[float]:
    """Every number a part is made of."""
    found: list[float] = []
    for phase in (*part.phases, *part.pulled):
        found += [number for each in phase.pieces for number in each.vertices.ravel().tolist()]
        found += _movement(phase)
    return found


def _movement(phase: Phase) -> list[float]:
    found = [share for pair in phase.shares for share in pair]
    if phase.travel is not None:
        found += [*phase.travel.values, *phase.travel.shares, phase.travel.radius_mm]
    if isinstance(phase.moves, Turn):
        found += [*phase.moves.point.tolist(), *phase.moves.axis.tolist(), phase.moves.start, phase.moves.stop]
    elif isinstance(phase.moves, Slide):
        found += [*phase.moves.direction.tolist(), phase.moves.start, phase.moves.stop]
    return found


def same(one: Scene, other: Scene) -> bool:
    return (
        one.setting == other.setting
        and one.unplaced == other.unplaced
        and [(part.name, part.joined, part.new, numbers(part)) for part in one.parts]
        == [(part.name, part.joined, part.new, numbers(part)) for part in other.parts]
    )


@pytest.mark.parametrize("job", [SALOON, BY_GAUGE], ids=["saloon", "by gauge"])
def test_any_single_reading_moved_gives_the_scene_placed_afresh(job: Job) -> None:
    """Every third reading of the saloon; of the one by gauge those of the column, which are others."""
    before = place(job, jobs.EXAMPLES)
    taken_over = 0
    tried = readings(job)[::3] if job is SALOON else [each for each in readings(job) if each.path[0] == "column"]
    for reading in tried:
        moved = shifted(job, reading.path, 0.01 if reading.is_angle else 1.5)
        quick, afresh = place(moved, jobs.EXAMPLES, like=before), place(moved, jobs.EXAMPLES)
        assert same(quick, afresh), reading.key
        inert = reading.path[0] == "cuts" or reading.key in INERT
        assert inert or not same(quick, before), reading.key
        assert same(quick, before) or reading.path[0] != "cuts", reading.key
        taken_over += sum(any(part is old for old in before.parts) for part in quick.parts)
    assert taken_over > 5 * len(tried), "most parts do not hang on most readings"


# Readings that move nothing, as those of the bench do: the boot stands behind the pad's middle, wherever its heel was
# taped sideways; a hole's place in depth does not matter to a plate.
INERT = {
    "driver.boots[1].heel.left",
    "driver.boots[2].heel.right",
    "driver.boots[3].heel.right",
    "obstacles[1].shape.holes[1].at.back",
    "pedals[3].pivot.right",
}


def test_one_scene_after_another_may_be_taken_over_from() -> None:
    """A chain in which every job but the last two is gone: nothing is remembered of what is no longer there."""
    scene = place(SALOON, jobs.EXAMPLES)
    job = SALOON
    for reading in readings(SALOON)[::20]:
        job = shifted(job, reading.path, 0.01 if reading.is_angle else 1.5)
        scene = place(job, jobs.EXAMPLES, like=scene)
        gc.collect()
        assert same(scene, place(job, jobs.EXAMPLES)), reading.key
        assert all(id(held) == key for key, (held, *_) in scene.needs.items()), "an id may go to another piece later"


def test_the_same_job_is_taken_over_whole() -> None:
    before = place(SALOON, jobs.EXAMPLES)
    after = place(SALOON, jobs.EXAMPLES, like=before)
    assert all(part is old for part, old in zip(after.parts, before.parts, strict=True))


def test_what_the_readings_move_is_no_more_than_they_say() -> None:
    """The clutch pad 1.5 farther back: clutch, boot on it; not column, unit, brake or any obstacle."""
    before = place(SALOON, jobs.EXAMPLES)
    (reading,) = [each for each in readings(SALOON) if each.key == "pedals[1].pad.at.back"]
    after = place(shifted(SALOON, reading.path, 1.5), jobs.EXAMPLES, like=before)
    anew = {part.name for part, old in zip(after.parts, before.parts, strict=True) if part is not old}
    assert anew == {"clutch", "boot on clutch"}
    assert not np.array_equal(numbers(after.parts[4]), numbers(before.parts[4]))


def test_a_part_that_waited_is_placed_once_its_reading_is_there() -> None:
    tables = jobs.bare(pedals=[jobs.clutch()])
    waiting = place(jobs.job(jobs.changed(tables, ("pedals", 0, "travel"), None)), jobs.EXAMPLES)
    assert waiting.part("clutch") is None
    assert place(jobs.job(tables), jobs.EXAMPLES, like=waiting).part("clutch") is not None


def test_a_part_off_the_column_moves_with_the_point_the_column_starts_from() -> None:
    """The hub seat is a named point itself tied to another: both move the column, and with it a tube laid off it."""
    off = {"out": mm(90), "out_from": "axis", "clock": "9:00"}
    line = [{"along": mm(300), **off}, {"along": mm(500), **off}]
    tube = {"name": "loom", "new": False, "shape": {"through": line, "dia": mm(12)}}
    tables = jobs.bare(points={"dash": at(600, 0, 300), "hub": {"from": "dash", **at(36, -13, 38)}}, obstacles=[tube])
    job = jobs.job(jobs.changed(tables, ("column", "hub_seat"), "hub"))
    before = place(job, jobs.EXAMPLES)
    was = before.part("loom")
    assert was is not None
    for name in ("dash", "hub"):
        (reading,) = [each for each in readings(job) if each.path[:2] == ("points", name) and "up" in each.key]
        moved = place(shifted(job, reading.path, 1.5), jobs.EXAMPLES, like=before).part("loom")
        assert moved is not None
        offs = moved.phases[0].pieces[0].vertices - was.phases[0].pieces[0].vertices
        assert np.abs(offs - [0, 0, 1.5]).max() < 1e-9, name
    apart = jobs.job(jobs.changed(tables, ("column", "hub_seat"), at(636, -13, 338)))
    before = place(apart, jobs.EXAMPLES)
    (reading,) = [each for each in readings(apart) if each.key.startswith("points.hub.") and "up" in each.key]
    after = place(shifted(apart, reading.path, 1.5), jobs.EXAMPLES, like=before)
    assert after.part("loom") is before.part("loom"), "a point that nothing hangs on moves nothing"
