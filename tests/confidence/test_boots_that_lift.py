"""A boot whose heel lifts sooner or later bends: its spread against whole cars placed and searched anew."""

from functools import partial

import pytest

from fitcheck.clearance.gaps import Found, found
from fitcheck.clearance.pairs import pairs
from fitcheck.confidence.first_order import Share, spreads
from fitcheck.confidence.nudged import Nudged
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.opening import open_job
from fitcheck.placement.place import place
from fitcheck.placement.scene import Part
from fitcheck.readings.survey import shifted
from tests import jobs

HEEL = ("driver", "boots", 1, "heel", "back")
OPENED = open_job(jobs.EXAMPLES / "saloon-10-45" / "job.toml")
PLACED = partial(place, folder=OPENED.folder, like=place(OPENED.job, OPENED.folder))


def brake_boot(heel_back_mm: float) -> tuple[float, Found, tuple[Share, ...]]:
    """Gap of the unit to the boot on the brake with its heel farther back, and what causes its spread."""
    job = shifted(OPENED.job, HEEL, heel_back_mm)
    scene = PLACED(job)
    pair = next(each for each in pairs(job, scene.parts) if {each.a.name, each.b.name} == {"unit", "boot on brake"})
    entry = found(GapEngine(), pair)
    assert entry.closest is not None
    like = partial(place, folder=OPENED.folder, like=scene)
    return entry.closest.gap.gap_mm, entry, spreads(Nudged(job, like), [entry])[0]


@pytest.mark.parametrize(("heel_back_mm", "lifts"), [(4.0, 2), (5.0, 1)])
def test_the_spread_holds_the_fall_of_a_heel_that_comes_forward(heel_back_mm: float, lifts: int) -> None:
    """Just short of lifting throughout, where the slope is without end, and beyond, where at once there is none.

    The heel's reading is good to 3 mm: 3 mm farther forward the whole car has this much less room, 3 and 7 mm.
    """
    gap_mm, entry, shares = brake_boot(heel_back_mm)
    assert isinstance(entry.pair.b, Part) and len(entry.pair.b.phases) == lifts
    fall = gap_mm - brake_boot(heel_back_mm - 3.0)[0]
    assert fall > 3.0
    (heel,) = (share.part_mm for share in shares if share.key == "driver.boots[2].heel.back")
    assert heel == pytest.approx(fall, abs=0.1)


def test_a_heel_that_is_far_off_the_floor_throughout_goes_straight() -> None:
    gap_mm, _, shares = brake_boot(12.0)
    (heel,) = (share.part_mm for share in shares if share.key == "driver.boots[2].heel.back")
    assert heel == pytest.approx(brake_boot(15.0)[0] - gap_mm, abs=0.1)
