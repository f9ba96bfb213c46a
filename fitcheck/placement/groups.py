"""How the groups of a job carry their parts: engine rock, frame shift, axle travel. Car frame, mm, rad.

Engine and axle hang on the frame, the frame on the body; the body stands still. Each movement goes beyond what was
stated by the spread of its reading.
"""

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector, unit
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.sweeps import Shift
from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.job.movements import EngineRock
from fitcheck.job.shafting import Rock
from fitcheck.job.tools import LIMIT, TOOLS, Tool
from fitcheck.placement.points import BACK, Path, Places
from fitcheck.placement.scene import Carry, Sway
from fitcheck.readings.survey import give_or_take

ENGINE_ROCK = "engine rock"
LARGEST_ROCK = np.radians(30.0)
FORE_AND_AFT = np.cos(np.radians(45.0))
SEEN = TOOLS["footwell tape"]
MOST_SHIFT_MM = 50.0  # a body that gives more than this on its frame is not mounted, or the number is wrong


def carry(job: Job, group: str, places: Places) -> tuple[Carry, ...]:
    """What carries the parts of a `group` against the body, the outermost first; Missing where a place is not known."""
    frame = frame_shift(job)
    outer = () if frame is None else (Carry("frame", shift=frame),)
    if group == "engine":
        rock = engine_rock(job, places)
        return outer if rock is None else (*outer, Carry("engine", (rock,)))
    if group == "axle":
        travel = axle_travel(job)
        return outer if travel is None else (*outer, Carry("axle", shift=travel))
    return outer if group == "frame" else ()


def frame_shift(job: Job) -> Shift | None:
    """The frame's shift against the body, each way; None where the job does not say."""
    frame = None if job.groups is None else job.groups.frame
    if frame is None:
        return None
    for way in ("up_down", "sideways", "fore_aft"):
        if not getattr(frame, way).mm <= MOST_SHIFT_MM:
            raise KeyFault(("groups", "frame", way), f"a frame shifts by 0 to {MOST_SHIFT_MM:g} mm on its mounts")
    each_way = np.array([_widened(way, LIMIT) for way in (frame.fore_aft, frame.sideways, frame.up_down)])
    return Shift(-each_way, each_way)


def axle_travel(job: Job) -> Shift | None:
    """The axle's travel against the frame; None where the job does not say."""
    axle = None if job.groups is None else job.groups.axle
    if axle is None:
        return None
    fore_aft, sideways, up, down = (
        _widened(getattr(axle, way), LIMIT) for way in ("fore_aft", "sideways", "up", "down")
    )
    return Shift(np.array([-fore_aft, -sideways, -down]), np.array([fore_aft, sideways, up]))


def _widened(length: Length, tool: Tool) -> float:
    return length.mm + give_or_take(length, tool)


def engine_rock(job: Job, places: Places) -> Sway | None:
    """The engine's rock, by [groups.engine], else by [shaft.rock]; None where the job says neither.

    A turn, right-hand about the axis pointing rearward: positive lifts the right side.
    """
    engine = None if job.groups is None else job.groups.engine
    if engine is not None:
        return _own_rock(engine, places)
    if job.shaft is None or job.shaft.rock is None:
        return None
    turn = shaft_rock(job.shaft.rock, places)
    return Sway(ENGINE_ROCK, turn, (turn.start, turn.stop))


def _own_rock(engine: EngineRock, places: Places) -> Sway:
    path: Path = ("groups", "engine")
    about = places.point(engine.about, (*path, "about"))
    axis = BACK if engine.about_to is None else _axis(about, places.point(engine.about_to, (*path, "about_to")))
    at = places.point(engine.at, (*path, "at"))
    far = rock_angle(at, about, axis, engine.by.mm, path)
    farther = rock_angle(at, about, axis, _widened(engine.by, SEEN), path)
    back, farther_back = far, farther
    if engine.other_way is not None:
        back = rock_angle(at, about, axis, engine.other_way.mm, path, "other_way")
        farther_back = rock_angle(at, about, axis, _widened(engine.other_way, SEEN), path, "other_way")
    right, left = (back, far) if engine.lifts == "left" else (far, back)
    stop, start = (farther_back, farther) if engine.lifts == "left" else (farther, farther_back)
    return Sway(ENGINE_ROCK, Turn(about, axis, -start, stop), (-left, right))


def _axis(about: Vector, other: Vector) -> Vector:
    """The way (3,) from one place on the axis to the other, made to point rearward."""
    if not np.linalg.norm(other - about) > 50.0:
        raise KeyFault(
            ("groups", "engine", "about_to"),
            "it lies within 50 mm of the first place on the axis; take one far from it",
        )
    axis = unit(other - about)
    if abs(axis @ BACK) < FORE_AND_AFT:
        raise KeyFault(
            ("groups", "engine", "about_to"),
            "the axis the engine rocks about runs across the car, so neither its left nor its right side lifts; "
            "check both places",
        )
    return axis if axis @ BACK > 0 else -axis


def rock_angle(at: Vector, about: Vector, axis: Vector, by_mm: float, path: Path, key: str = "by") -> float:
    """The turn (rad) about unit `axis` (3,) through `about` that takes `at` a straight `by_mm`: 2 asin(by / 2r).

    KeyFault, under `path`, where `at` is too near to the axis, or the turn is more than 30 degrees.
    """
    arm = at - about
    across = arm - (arm @ axis) * axis
    radius = float(np.sqrt(across @ across))
    if not radius > by_mm:
        raise KeyFault((*path, "at"), "it lies nearer to the axis than it moves; check place and movement")
    angle = 2 * float(np.arcsin(by_mm / 2 / radius))
    if not angle <= LARGEST_ROCK:
        raise KeyFault((*path, key), f"an engine that rocks by {np.degrees(angle):.0f} deg; check the reading")
    return angle


def shaft_rock(rock: Rock, places: Places) -> Turn:
    """The engine's rock as the shaft's own table says it, about an axis that runs straight fore and aft."""
    path: Path = ("shaft", "rock")
    about = places.point(rock.about, (*path, "about"))
    angle = rock_angle(places.point(rock.at, (*path, "at")), about, BACK, rock.by.mm, path)
    low, high = {"right": (0.0, angle), "left": (-angle, 0.0), "both": (-angle, angle)}[rock.lifts]
    return Turn(about, unit(BACK), low, high)
