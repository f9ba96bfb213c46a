"""A column that tilts or is adjusted in and out: what lies toward the wheel of the joint goes along; mm, rad.

Tilt turns about an axis square to the column and level across it; reach slides along the column. The movement whose
joint is farther from the wheel carries the other.
"""

from dataclasses import dataclass

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.movement import Slide, Turn
from fitcheck.job.model import Job
from fitcheck.job.movements import ColumnReach, ColumnTilt
from fitcheck.placement.groups import SEEN
from fitcheck.placement.points import Path, Places
from fitcheck.placement.scene import Carry, Sway
from fitcheck.readings.survey import give_or_take

TILT, REACH = "column tilt", "column reach"
LARGEST_TILT = np.radians(30.0)
LEAST_LEVER_MM = 50.0


@dataclass(frozen=True, eq=False)
class Adjustment:
    """One movement of the column, the table it stands in, and how far along its joint is: all above it goes along.

    `overlap_mm`: how far what stays must reach up past the joint, so that it leaves no hole as the other moves off.
    """

    path: Path
    sway: Sway
    joint_mm: float
    overlap_mm: float


def adjustments(job: Job, column2car: Frame, radius_mm: float, places: Places) -> tuple[Adjustment, ...]:
    """The column's movements, that which acts first at the head; none where the job says nothing of any."""
    moves = None if job.groups is None else job.groups.column
    if moves is None:
        return ()
    found = []
    if moves.reach is not None:
        found.append(_reach(moves.reach, column2car))
    if moves.tilt is not None:
        found.append(_tilt(moves.tilt, column2car, radius_mm, places))
    return tuple(sorted(found, key=lambda each: each.joint_mm))


def _reach(reach: ColumnReach, column2car: Frame) -> Adjustment:
    out, away = (length.mm + give_or_take(length, SEEN) for length in (reach.toward_driver, reach.away))
    slide = Slide(-column2car.rotation[:, 2], -away, out)
    return Adjustment(
        ("groups", "column", "reach"),
        Sway(REACH, slide, (-reach.away.mm, reach.toward_driver.mm)),
        reach.slides_at.mm,
        out,
    )


def _tilt(tilt: ColumnTilt, column2car: Frame, radius_mm: float, places: Places) -> Adjustment:
    path: Path = ("groups", "column", "tilt")
    pivot = places.point(tilt.pivot, (*path, "pivot"), need=("back", "up"))
    off, _, along = column2car.inverse.points(pivot).tolist()
    lever = float(np.hypot(off, along))
    if not (along > 0 and lever > LEAST_LEVER_MM):
        raise KeyFault((*path, "pivot"), "it lies above the hub seat or within 50 mm of it; check the place")
    if not abs(off) < along:
        raise KeyFault((*path, "pivot"), "it lies farther off the column than down it; check the place")
    up, down = (_angle(length.mm, lever, (*path, key)) for key, length in (("up", tilt.up), ("down", tilt.down)))
    higher, lower = (
        _angle(length.mm + give_or_take(length, SEEN), lever, (*path, key))
        for key, length in (("up", tilt.up), ("down", tilt.down))
    )
    # About 9 o'clock, right-hand, what lies above the pivot goes to 12 o'clock: up is positive.
    turn = Turn(pivot, -column2car.rotation[:, 1], -lower, higher)
    return Adjustment(path, Sway(TILT, turn, (-down, up)), along, radius_mm)


def _angle(chord_mm: float, lever_mm: float, path: Path) -> float:
    """The turn (rad) that takes the hub seat a straight `chord_mm`: 2 asin(c / 2r)."""
    angle = 2 * float(np.arcsin(min(1.0, chord_mm / (2 * lever_mm))))
    if not angle <= LARGEST_TILT:
        raise KeyFault(
            path, f"{chord_mm:.0f} mm is no tilt for a hub seat {lever_mm:.0f} mm from its pivot; check both"
        )
    return angle


def goes_along(found: tuple[Adjustment, ...], start_mm: float, end_mm: float, what: str) -> tuple[Carry, ...]:
    """What carries a thing that sits on the column from `start_mm` to `end_mm` along; KeyFault for a joint in it."""
    for each in found:
        if start_mm < each.joint_mm < end_mm:
            raise KeyFault(
                each.path,
                f"the joint lies {each.joint_mm:.0f} mm along, within the {what}, which reaches from {start_mm:.0f} "
                f"to {end_mm:.0f} mm; it must lie above or below it",
            )
    sways = tuple(each.sway for each in found if each.joint_mm >= end_mm)
    return (Carry("column", sways),) if sways else ()


def zones(found: tuple[Adjustment, ...], start_mm: float, end_mm: float) -> list[tuple[float, float]]:
    """The stretch of the column from `start_mm` to `end_mm` cut at the joints within it: where each piece starts, ends.

    What stays reaches up past its joint by the overlap.
    """
    within = [each for each in found if start_mm < each.joint_mm < end_mm]
    ends = [*(each.joint_mm for each in within), end_mm]
    starts = [start_mm, *(max(start_mm, each.joint_mm - each.overlap_mm) for each in within)]
    return list(zip(starts, ends, strict=True))
