"""Boots on the pedals: heel planted while the ball reaches the pad, then lifted and carried by the pad.

Boot frame: origin at the rear lower edge of the heel, x along the sole to the toe, y to the driver's left, z up.
Planted, the boot turns about its heel's lower edge with its sole on the pad's centre. Once the pad's centre is
farther from the heel than the ball is, the ball stays on the pad and the boot goes with the pedal.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.primitives import prism
from fitcheck.geometry.solids import Piece
from fitcheck.job.surroundings import Driver
from fitcheck.placement.feet import TOE_HIGH_MM, BootSize, boot_size
from fitcheck.placement.points import BACK, RIGHT, UP, Path, Places
from fitcheck.placement.scene import Kind, Part, Phase, Travel
from fitcheck.placement.swing import Swing

HEEL_HIGH_MM = 110.0  # counter of a work boot, where the ankle begins; common practice, no source
HEEL_SHARE = 0.75  # breadth of a boot's heel beside its ball; common practice, no source
SLOPE_SAMPLES = 121  # the slope changes smoothly: between samples it leaves their range by under 0.001 degrees


@dataclass(frozen=True, eq=False)
class Stance:
    """How a boot stands in one part of its pedal's travel: its frame with the movement at 0, and the movement."""

    boot2car: Frame
    moves: Turn
    travel: Travel


@dataclass(frozen=True, eq=False)
class Stand:
    """A boot on its pedal: size, rear edge of the heel (3,), the swing, and the travel at which the heel lifts."""

    name: str
    size: BootSize
    heel: Vector
    how: Swing
    lifts: float

    def stances(self) -> tuple[Stance, ...]:
        """The planted and the carried part of the travel, as far as there is any."""
        start, stop = self.how.shares
        planted = [_planted(self, start, min(self.lifts, stop))] if self.lifts > start else []
        carried = [_carried(self, max(self.lifts, start), stop)] if self.lifts < stop else []
        return (*planted, *carried)

    def at(self, share: float) -> Frame:
        """The boot's frame at a share of its pedal's travel."""
        if share <= self.lifts and self.lifts > self.how.shares[0]:
            return _boot2car(self.heel, float(_slopes(self.how, self.heel, np.array([share]))[0]))
        carried = _carried(self, max(self.lifts, self.how.shares[0]), self.how.shares[1])
        return carried.moves.frame(share * self.how.full) @ carried.boot2car


def boot_stand(driver: Driver, index: int, swing_of: Callable[[str], Swing], places: Places) -> Stand:
    """How the boot stands on its pedal. Raises Missing."""
    boot = driver.boots[index]
    path: Path = ("driver", "boots", index)
    how = swing_of(boot.on)
    size = boot_size(driver)
    heel = places.point(boot.heel, (*path, "heel"), need=("back", "up"))
    heel[1] = how.pad[1]
    if not (heel - how.pad) @ BACK > 0:
        raise KeyFault((*path, "heel"), "the heel stands ahead of the pad; it belongs behind it, on the floor")
    return Stand(f"boot on {boot.on}", size, heel, how, _lifts_at(how, heel, size.ball))


def boot_part(driver: Driver, index: int, swing_of: Callable[[str], Swing], places: Places) -> Part:
    """The boot as a part; its phases are the planted and the carried part of the travel. Raises Missing."""
    stand = boot_stand(driver, index, swing_of, places)
    phases = tuple(
        Phase(placed_boot(stand.name, stand.size, each.boot2car), each.moves, each.travel) for each in stand.stances()
    )
    start, stop = stand.how.shares
    notes = () if stand.lifts >= stop else (_lift_note(stand.name, stand.lifts, start),)
    joined, pedal = frozenset({stand.how.pedal}), stand.how.pedal
    return Part(stand.name, Kind.BOOT, phases, new=False, joined=joined, driven_by=pedal, pulled=phases, notes=notes)


def _lift_note(name: str, lifts: float, start: float) -> str:
    where = "off the floor throughout" if lifts <= start else f"off the floor beyond {max(0.0, lifts):.0%} of travel"
    return f"{name}: the heel is {where}: its ball does not reach the pad from where the heel stands"


def _lifts_at(how: Swing, heel: Vector, ball: float) -> float:
    """Share of travel at which the pad's centre is as far from the heel as the ball is, held within the travel.

    With the pad at centre + cos(t) u + sin(t) v its distance from the heel squared is a sinusoid of t, which rises
    through the travel since the pad goes away from the heel.
    """
    centre, u, v = how.circle
    start, stop = how.shares
    away = centre - heel
    reach = 2 * np.hypot(away @ u, away @ v)
    level = (ball**2 - away @ away - how.radius_mm**2) / reach
    if level >= 1:
        return stop
    if level <= -1:
        return start
    angle = np.arctan2(away @ v, away @ u) - np.arccos(level)
    middle = (start + stop) / 2 * how.full
    turns_away = (angle - middle + np.pi) % (2 * np.pi) - np.pi
    return float(np.clip((middle + turns_away) / how.full, start, stop))


def _slopes(how: Swing, heel: Vector, shares: Vector) -> Vector:
    """Angles of the sole above level when it runs from the heel to the pad's centre, rad."""
    to_pads = how.pads(shares) - heel
    return np.asarray(np.arctan2(to_pads @ UP, -(to_pads @ BACK)))


def _planted(stand: Stand, start: float, stop: float) -> Stance:
    """The sole follows the pad about the heel: a turn over all the slopes that occur between two shares of travel."""
    how = stand.how
    shares = np.linspace(start, stop, SLOPE_SAMPLES)
    slopes = _slopes(how, stand.heel, shares)
    rest = float(slopes[0])
    turns = slopes - rest
    rising = np.argsort(turns, kind="stable")
    travel = Travel(how.pedal, tuple(turns[rising].tolist()), tuple(shares[rising].tolist()), how.radius_mm, how.full)
    return Stance(_boot2car(stand.heel, rest), Turn(stand.heel, RIGHT, float(turns.min()), float(turns.max())), travel)


def _carried(stand: Stand, start: float, stop: float) -> Stance:
    """The ball stays on the pad's centre and the boot goes with the pedal, as it lay when the heel lifted."""
    how = stand.how
    ball = how.pads(np.array([start]))[0]
    slope = float(_slopes(how, stand.heel, np.array([start]))[0])
    boot2car = _boot2car(ball, slope) @ Frame(np.eye(3), np.array([-stand.size.ball, 0, 0]))
    back_to_rest = how.turn().frame(-start * how.full)
    turn = Turn(how.point, how.axis, start * how.full, stop * how.full)
    return Stance(back_to_rest @ boot2car, turn, how.travel())


def _boot2car(origin: Vector, slope: float) -> Frame:
    toe = -np.cos(slope) * BACK + np.sin(slope) * UP
    sole_up = np.sin(slope) * BACK + np.cos(slope) * UP
    return Frame(np.column_stack([toe, -RIGHT, sole_up]), origin)


def placed_boot(name: str, size: BootSize, boot2car: Frame) -> tuple[Piece, ...]:
    """The boot's pieces in the car."""
    return tuple(piece.placed(boot2car) for piece in boot_pieces(name, size))


def boot_pieces(name: str, size: BootSize) -> tuple[Piece, ...]:
    """Toe box, and heel with instep, in the boot's frame."""
    long, half, heel = size.length, size.breadth / 2, HEEL_SHARE * size.breadth / 2
    toe_box = [(0.45, 1), (0.80, 1), (0.93, 0.75), (1.0, 0.4)]
    outline = [(x * long, y * half) for x, y in toe_box] + [(x * long, -y * half) for x, y in reversed(toe_box)]
    right = [(0, heel, 0), (0.5 * long, half, 0), (0, heel, HEEL_HIGH_MM), (0.32 * long, heel, HEEL_HIGH_MM)]
    right.append((0.55 * long, half, TOE_HIGH_MM))
    instep = np.array(right + [(x, -y, z) for x, y, z in right], dtype=float)
    return (
        prism(np.array(outline), 0.0, TOE_HIGH_MM, Frame.identity(), f"{name}, toe box"),
        Piece(instep, f"{name}, heel and instep"),
    )
