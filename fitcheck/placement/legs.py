"""What feet and legs do off the pedals: boots lifted off, crossing from brake to throttle, left foot at rest, shins.

Each is a part of its own, beside the boots on their pedals. Car frame, mm; the boot's frame is that of `driver`.
"""

from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Frame, Vector, crossed, turned, unit
from fitcheck.geometry.movement import Slide
from fitcheck.geometry.primitives import balls
from fitcheck.geometry.solids import Piece
from fitcheck.geometry.sweeps import Shift
from fitcheck.job.crosschecks import LEFT_FOOT
from fitcheck.job.remedies import spelled
from fitcheck.job.surroundings import Driver
from fitcheck.placement.driver import HEEL_HIGH_MM, Stance, Stand, boot_pieces, boot_stand, placed_boot
from fitcheck.placement.feet import boot_size
from fitcheck.placement.points import UP, Path, Places
from fitcheck.placement.scene import Kind, Missing, Part, Phase, Sway
from fitcheck.placement.swing import Swing

LIFT_OFF_MM = 30.0  # off the pad, square to the sole, where the job does not say; common practice, no source
SHIN_DIA_MM = 130.0  # shin and knee, trousers on, where the job does not say; common practice, no source
ANKLE_SHARE = 0.16  # of a boot's length ahead of its heel: the middle of its shaft; common practice, no source
THIGH_MM = 400.0  # shorter than any driver's: the arc of his knee bulges less than one of this radius
SLICES = 4  # of each part of the travel; each holds the shin throughout
SHIN_MM = (300.0, 600.0)  # ankle to knee; ANSUR II knee height, sitting, less ankle height: 436 to 519 (men 5 to 95)
STRETCH_MM = 40.0  # no shin grows by so much between two readings of its knee
BALL_MM = (120.0, 300.0)  # heel to ball
LIFTED, CROSSING = "boot lifted", "boot crossing"
SwingOf = Callable[[str], Swing]


def lifted_part(driver: Driver, index: int, swing_of: SwingOf, places: Places) -> Part:
    """The boot lifted off its pad at rest, square to its sole, by anything up to `lift_off`. Raises Missing."""
    stand = boot_stand(driver, index, swing_of, places)
    boot2car, name = stand.at(0.0), lifted_name(stand.how.pedal)
    lift = _lift(driver)
    sways = () if lift == 0 else (Sway(LIFTED, Slide(boot2car.rotation[:, 2], 0.0, lift), (0.0, lift)),)
    phase = Phase(placed_boot(name, stand.size, boot2car), sways=sways)
    return Part(name, Kind.BOOT, (phase,), new=False, joined=frozenset({stand.how.pedal}))


def lifted_name(pedal: str) -> str:
    """The name of the part that is the boot lifted off that pedal."""
    return f"boot lifted off {pedal}"


def _lift(driver: Driver) -> float:
    return LIFT_OFF_MM if driver.lift_off is None else driver.lift_off.mm


def crossing_part(driver: Driver, ends: tuple[int, int], swing_of: SwingOf, places: Places) -> Part:
    """The boot on its way from one pad at rest to the other, lifted by anything up to `lift_off`. Raises Missing.

    It goes straight across; anywhere on the way it may lie as on the one pad, as on the other, or between.
    """
    one, other = (boot_stand(driver, index, swing_of, places) for index in ends)
    start, end = one.at(0.0), other.at(0.0)
    name = crossing_name(one.how.pedal, other.how.pedal)
    pieces = tuple(_anyhow(piece, driver, start, end) for piece in boot_pieces(name, one.size))
    way = end.origin - start.origin
    far = float(np.linalg.norm(way))
    if far < 1.0:
        raise KeyFault(
            ("driver", "boots", ends[1], "on"),
            f"the boots on {one.how.pedal} and {other.how.pedal} would stand in one place; check both pads",
        )
    phase = Phase(pieces, sways=(Sway(CROSSING, Slide(way, 0.0, far), (0.0, far)),))
    joined = frozenset({one.how.pedal, other.how.pedal})
    return Part(name, Kind.BOOT, (phase,), new=False, joined=joined)


def crossing_name(one: str, other: str) -> str:
    """The name of the part that is the boot between those two pedals."""
    return f"boot crossing from {one} to {other}"


def _anyhow(piece: Piece, driver: Driver, start: Frame, end: Frame) -> Piece:
    """The piece, in the boot's frame, as it lies at `start`, lifted or not, turned anyhow between there and `end`.

    A corner turns on an arc, which lies within the triangle of its two ends and where its tangents there meet:
    r / cos(a / 2) from the axis, half way round.
    """
    lifted = piece.swept(Shift(np.zeros(3), np.array([0.0, 0.0, _lift(driver)]))).vertices
    arms = lifted @ start.rotation.T
    axis, angle = _between(start.rotation, end.rotation)
    if angle < 1e-9:
        return Piece(start.origin + arms, piece.name)
    along = (arms @ axis)[:, None] * axis
    tangents = along + (turned(arms, axis, angle / 2) - along) / np.cos(angle / 2)
    return Piece(start.origin + np.vstack([arms, tangents, turned(arms, axis, angle)]), piece.name)


def _between(start: Vector, end: Vector) -> tuple[Vector, float]:
    """Axis (3,) and angle (rad, under half a turn) of the turn that takes one rotation (3, 3) to the other."""
    turn = end @ start.T
    spin = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]])
    angle = float(np.arctan2(np.linalg.norm(spin), np.trace(turn) - 1))
    return (UP, 0.0) if angle < 1e-9 else (unit(spin), angle)


def left_foot_part(driver: Driver, places: Places) -> Part:
    """The left boot at rest, from its heel toward where the ball lies, its sole level sideways. Raises Missing."""
    assert driver.left_foot is not None
    path: Path = ("driver", "left_foot")
    heel = places.point(driver.left_foot.heel, (*path, "heel"))
    ball = places.point(driver.left_foot.ball, (*path, "ball"))
    far = float(np.linalg.norm(ball - heel))
    if not BALL_MM[0] <= far <= BALL_MM[1]:
        raise KeyFault((*path, "ball"), f"the ball lies {far:.0f} mm from the heel; no foot is so. Check both places")
    toe = unit(ball - heel)
    aside = unit(crossed(UP, toe))
    boot2car = Frame(np.column_stack([toe, aside, crossed(toe, aside)]), heel)
    return Part(LEFT_FOOT, Kind.BOOT, (Phase(placed_boot(LEFT_FOOT, boot_size(driver), boot2car)),), new=False)


def shin_part(driver: Driver, index: int, swing_of: SwingOf, places: Places) -> Part:
    """Shin and knee with the foot on its pedal, through the travel. Raises Missing.

    The ankle goes with the boot, slice by slice, the knee anywhere between where it was measured at rest and at full
    travel, and on beyond. Each slice is the hull of balls there, grown by what arcs bulge out of their chords:
    r a^2 / 8 for the ankle, c^2 / 8 R for the knee, c its chord and R the shortest thigh.
    """
    stand = boot_stand(driver, index, swing_of, places)
    dia = SHIN_DIA_MM if driver.shin_dia is None else driver.shin_dia.mm
    rest, full = _knees(driver, index, places, dia)
    start, stop = stand.how.shares
    knees = [rest + share * (full - rest) for share in (min(start, 0.0), max(stop, 1.0))]
    chord = knees[1] - knees[0]
    bulge = float(chord @ chord) / (8 * THIGH_MM)
    name = shin_name(stand.how.pedal)
    slices = [each for stance in stand.stances() for each in _slices(stand, stance, knees, dia, bulge)]
    phase = Phase(
        tuple(piece for piece, _ in slices), travel=stand.how.travel(), shares=tuple(shares for _, shares in slices)
    )
    notes = tuple(_notes(name, stand, rest, full, ("driver", "boots", index)))
    pedal = stand.how.pedal
    return Part(name, Kind.BOOT, (phase,), new=False, joined=frozenset({pedal}), driven_by=pedal, notes=notes)


def shin_name(pedal: str) -> str:
    """The name of the part that is the shin with the foot on that pedal."""
    return f"shin, foot on {pedal}"


def _knees(driver: Driver, index: int, places: Places, dia: float) -> tuple[Vector, Vector]:
    boot, path = driver.boots[index], ("driver", "boots", index)
    assert boot.knee is not None
    if boot.knee_at_full is None:
        key = f"driver.boots[{index + 1}].knee_at_full"
        raise Missing([key], f"where the knee is with the foot on the {boot.on} pedal at full travel, driver seated")
    rest = places.point(boot.knee, (*path, "knee"), half=dia / 2)
    return rest, places.point(boot.knee_at_full, (*path, "knee_at_full"), half=dia / 2)


def _ankle(stand: Stand) -> Vector:
    return np.array([ANKLE_SHARE * stand.size.length, 0.0, HEEL_HIGH_MM])


def _slices(
    stand: Stand, stance: Stance, knees: list[Vector], dia: float, bulge: float
) -> Iterator[tuple[Piece, tuple[float, float]]]:
    """Pieces that hold the shin throughout their shares of travel."""
    ankle = stance.boot2car.points(_ankle(stand))
    move = stance.moves
    angles = np.linspace(move.start, move.stop, SLICES + 1)
    wider = move.reach(ankle[None]) * float(angles[1] - angles[0]) ** 2 / 8
    for low, high in pairwise(angles.tolist()):
        ankles = [move.moved(ankle[None], angle)[0] for angle in (low, high)]
        ends = sorted((stance.travel.share(low), stance.travel.share(high)))
        yield balls([*ankles, *knees], dia + 2 * (wider + bulge), shin_name(stand.how.pedal)), (ends[0], ends[1])


def _notes(name: str, stand: Stand, rest: Vector, full: Vector, path: Path) -> Iterator[str]:
    """Refuses a knee that no shin reaches, and says where one would have to grow."""
    lengths = []
    at_rest = "with the pedal at rest", f"the heel ({spelled((*path, 'heel'))})"
    at_full = f"with the {stand.how.pedal} at full travel", f"the travel of the {stand.how.pedal}"
    for key, share, knee, (where, other) in (("knee", 0.0, rest, at_rest), ("knee_at_full", 1.0, full, at_full)):
        ankle = stand.at(share).points(_ankle(stand))
        far = float(np.linalg.norm(knee - ankle))
        if not SHIN_MM[0] <= far <= SHIN_MM[1]:
            why = f"the knee lies {far:.0f} mm from the ankle {where}; no shin is so. Check this place and {other}"
            raise KeyFault((*path, key), why)
        lengths.append(far)
    if abs(lengths[1] - lengths[0]) > STRETCH_MM:
        yield (
            f"{name}: by its two places the knee is {lengths[0]:.0f} mm from the ankle at rest and {lengths[1]:.0f} mm "
            "at full travel, and no shin grows so much; measure both again, and the pedal's travel"
        )
