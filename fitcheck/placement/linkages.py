"""What a pedal drives: pushrods, pin to pin, and Z-bars turning about their own axis."""

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path as FilePath

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector, crossed, unit
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.primitives import balls, cylinder
from fitcheck.job.lengths import Length
from fitcheck.job.surroundings import Linkage
from fitcheck.job.tools import PAD_CHORD
from fitcheck.placement.points import TOWARD, Path, Places
from fitcheck.placement.scene import Kind, Missing, Part, Phase, Travel
from fitcheck.placement.shapes import shape_pieces
from fitcheck.placement.swing import Swing
from fitcheck.readings.survey import give_or_take

SLICES = 16  # of a pushrod's travel; each stands still and holds the rod throughout its slice
LOOKS = 8  # places a slice at which the far end is worked out


def linkage_part(
    linkage: Linkage, index: int, swing_of: Callable[[str], Swing], places: Places, folder: FilePath
) -> Part:
    """The linkage as a part driven by its pedal. Raises Missing where the pedal's own travel is not known."""
    path: Path = ("linkages", index)
    how = swing_of(linkage.driven_by)
    if linkage.kind == "pushrod":
        phase = _pushrod(linkage, path, places, how)
    else:
        phase = _z_bar(linkage, path, places, how, folder)
    joined = frozenset({linkage.driven_by, *linkage.joined})
    return Part(linkage.name, Kind.LINKAGE, (phase,), new=False, joined=joined, driven_by=how.pedal, pulled=(phase,))


def _pushrod(linkage: Linkage, path: Path, places: Places, how: Swing) -> Phase:
    """The rod swept slice by slice: pin end on the pedal's arc, far end sliding so that the rod keeps its length.

    Within a slice the pin leaves its chord by at most r d^2 / 8, by which the rod is made thicker, and goes sideways
    with the worn bush; the far end stays on its line, between the ends of what is met in `LOOKS` places, lengthened
    by what a curve can hide between them. So each slice's hull holds the rod at every travel of the slice.
    """
    pin = places.point(linkage.pin, (*path, "pin"))
    far = places.point(linkage.to, (*path, "to"))
    toward = 2 * far - pin
    if linkage.slides_toward is not None:
        toward = places.point(linkage.slides_toward, (*path, "slides_toward"))
    turn = how.turn()
    angles = np.linspace(turn.start, turn.stop, SLICES * LOOKS + 1)
    pins = turn.path(pin, angles)
    slide = unit(toward - far)
    steps = _far_steps(pins, pin, far, slide, path)
    hidden = float(np.abs(np.diff(steps, 2)).max())  # a smooth curve hides an eighth of this; the rest is margin
    play = how.side_play(pin) * how.axis
    dia = linkage.dia.mm + 2 * turn.reach(pin[None]) * (LOOKS * (angles[1] - angles[0])) ** 2 / 8
    pieces = []
    for first in range(0, SLICES * LOOKS, LOOKS):
        within = steps[first : first + LOOKS + 1]
        fars = [far + (within.min() - hidden) * slide, far + (within.max() + hidden) * slide]
        ends = [pins[end] + way * play for end in (first, first + LOOKS) for way in (1, -1)]
        pieces.append(balls([*ends, *fars], dia, linkage.name))
    shares = angles[::LOOKS] / how.full
    return Phase(tuple(pieces), travel=how.travel(), shares=tuple(pairwise(shares.tolist())))


def _far_steps(pins: Vector, pin: Vector, far: Vector, slide: Vector, path: Path) -> Vector:
    """How far along `slide` (3,) the far end is for each place (n, 3) of the pin: the rod keeps its length."""
    length_squared = (pin - far) @ (pin - far)
    behind = pins - far
    along = behind @ slide
    root = along**2 - (behind**2).sum(axis=1) + length_squared
    if root.min() < 0:
        raise KeyFault(
            (*path, "to"), "the rod is too short to follow the pedal through its travel; check pin and far end"
        )
    return np.asarray(along - np.sign((pin - far) @ slide) * np.sqrt(root))


def _z_bar(linkage: Linkage, path: Path, places: Places, how: Swing, folder: FilePath) -> Phase:
    start, end, pin = _bar_places(linkage, path, places)
    axis = unit(end - start)
    arm = pin - start - ((pin - start) @ axis) * axis
    radius = float(np.linalg.norm(arm))
    assert linkage.lever_travel is not None and linkage.lever_moves is not None
    travel, farther = _lever_chords(linkage.lever_travel)
    if not (0 < travel < 1.7 * radius and farther < 2 * radius):
        raise KeyFault((*path, "lever_travel"), f"no travel for a pin {radius:.0f} mm from the bar's axis; check both")
    onward = float(crossed(axis, arm) @ TOWARD[linkage.lever_moves])
    if abs(onward) < 0.2 * radius:
        raise KeyFault((*path, "lever_moves"), f"its pin cannot set off {linkage.lever_moves} from where it is at rest")
    if onward < 0:
        axis = -axis
    full, beyond = (float(2 * np.arcsin(chord / (2 * radius))) for chord in (travel, farther))
    ratio = full / how.full
    pieces = [cylinder(start, end, linkage.dia.mm, linkage.name)]
    for name, shape in linkage.levers.items():
        pieces += shape_pieces(shape, name, (*path, "levers", name), places, folder)
    turn = Turn(start, axis, -how.pulled_up * ratio, beyond + how.over_travel * ratio)
    shares = turn.start / full, turn.stop / full
    return Phase(tuple(pieces), turn, Travel(how.pedal, (turn.start, turn.stop), shares, how.radius_mm, how.full))


def _lever_chords(travel: Length) -> tuple[float, float]:
    """The lever's travel as measured, and farther by its spread, mm."""
    return travel.mm, travel.mm + give_or_take(travel, PAD_CHORD)


def _bar_places(linkage: Linkage, path: Path, places: Places) -> tuple[Vector, Vector, Vector]:
    missing = [key for key in ("other_end", "lever_travel", "lever_moves") if getattr(linkage, key) is None]
    if missing:
        keys = [f"linkages[{int(path[1]) + 1}].{key}" for key in missing]
        raise Missing(keys, f"the {linkage.name}: both ends of its axis, and how far and which way its pin goes")
    assert linkage.other_end is not None
    return (
        places.point(linkage.to, (*path, "to")),
        places.point(linkage.other_end, (*path, "other_end")),
        places.point(linkage.pin, (*path, "pin")),
    )
