"""Foot sizes from ANSUR II (NATICK/TR-15/007; men n = 4082, women n = 1986), mm, and what a boot adds to a foot.

Foot length, foot breadth (horizontal) and ball-of-foot length at the 5th, 50th and 95th percentile, worked out from
the survey's public data files.
"""

from dataclasses import dataclass

from fitcheck.errors import KeyFault
from fitcheck.job.surroundings import Driver
from fitcheck.placement.shoes import foot_length_mm

ANSUR_II = {
    "men 5": (250.0, 94.0, 184.0),
    "men 50": (271.0, 102.0, 201.0),
    "men 95": (293.0, 111.0, 218.0),
    "women 5": (226.0, 85.0, 167.0),
    "women 50": (246.0, 93.0, 182.0),
    "women 95": (267.8, 101.0, 198.0),
}
BREADTH_SHARE = 0.379  # of a foot's length: the broadest of the table's six feet, men 95
# Of a foot's length, heel to ball: the least of the table's six feet, men 5, whose heel lifts soonest.
BALL_SHARE = 0.736
BOOT_ADDS_LENGTH_MM = 30.0  # work boot over foot; common practice, no source
BOOT_ADDS_BREADTH_MM = 19.0  # brings a 111 mm foot to a 130 mm work boot; common practice, no source
BALL_BEHIND_HEEL_MM = 2.0  # bare heel-to-ball 201 (men 50) to the 203 mm of SAE J4003 OCT2008, heel to ball in a shoe
TOE_HIGH_MM = 65.0  # toe box of a work boot; common practice, no source


@dataclass(frozen=True)
class BootSize:
    """A boot: length and breadth outside, heel breadth, and the ball's distance from the heel's rear edge, mm."""

    length: float
    breadth: float
    ball: float


def boot_size(driver: Driver) -> BootSize:
    """The boot over a measured foot, over a percentile of the survey, or over the foot a shoe size is made for."""
    length, breadth, ball = _bare_foot(driver)
    longer = BOOT_ADDS_LENGTH_MM if driver.boot_adds_length is None else driver.boot_adds_length.mm
    wider = BOOT_ADDS_BREADTH_MM if driver.boot_adds_breadth is None else driver.boot_adds_breadth.mm
    return BootSize(length + longer, breadth + wider, ball + BALL_BEHIND_HEEL_MM)


def size_from(driver: Driver) -> str:
    """In words where the boot's size comes from."""
    if driver.foot is not None:
        return f"{driver.foot} in ANSUR II (percentile), and what a boot adds"
    if driver.shoe_size is not None:
        return f"shoe size {driver.shoe_size}, broad for its length as in ANSUR II, and what a boot adds"
    return "the foot as measured, and what a boot adds"


def _bare_foot(driver: Driver) -> tuple[float, float, float]:
    """Length, breadth and heel to ball of the foot, mm."""
    if driver.foot is not None:
        if driver.foot not in ANSUR_II:
            known = ", ".join(f'"{name}"' for name in ANSUR_II)
            raise KeyFault(
                ("driver", "foot"),
                f"'{driver.foot}' is not in the survey's table; write one of {known}, or give foot_length, "
                "foot_breadth and ball_length instead",
            )
        return ANSUR_II[driver.foot]
    if driver.shoe_size is not None:
        length = foot_length_mm(driver.shoe_size)
        return length, BREADTH_SHARE * length, BALL_SHARE * length
    assert driver.foot_length is not None and driver.foot_breadth is not None and driver.ball_length is not None
    return driver.foot_length.mm, driver.foot_breadth.mm, driver.ball_length.mm
