"""The shaft's chapter of the story: a job in, everything about its intermediate shaft out. Car frame, mm, rad.

`find` is the order of the steps: angles, phases, spreads, lengths, room, limits, and where two joints do not do, three.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from itertools import chain as joined

import numpy as np

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Treatment
from fitcheck.errors import GeometryError, KeyFault, Missing
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Turn
from fitcheck.job.model import Job
from fitcheck.job.shafting import Shafting
from fitcheck.limits import LimitResult, NotKnown, known
from fitcheck.placement.scene import Scene
from fitcheck.shaft import lengths, rows, solids, space
from fitcheck.shaft.agreement import doubted
from fitcheck.shaft.checks import checks
from fitcheck.shaft.holding import hollow
from fitcheck.shaft.landing import with_landing
from fitcheck.shaft.layout import LEAST_BAR_MM, Layout, Question, best_layout, room
from fitcheck.shaft.line import Line, tables
from fitcheck.shaft.phases import Choice, Reach
from fitcheck.shaft.remarks import remarks
from fitcheck.shaft.results import Bend, Evenness, JointRow, ShaftChapter, Space
from fitcheck.shaft.setup import LINE, MIDDLE_CENTRE, Adapt, Setup, as_it_is, figures
from fitcheck.shaft.spread import DRAWS, Spread, spreads
from fitcheck.shaft.strength import Strength, strength

MIDDLE = "middle joint"


def find(
    job: Job, scene: Scene, engine: GapEngine, draws: int = DRAWS, cut_end: tuple[float, float] | None = None
) -> ShaftChapter | None:
    """Everything about the job's shaft; None where the job has none. Raises KeyFault for what cannot be as written.

    `cut_end`: where the cut list leaves the end of the column's shaft, along from the hub seat, and its spread.
    """
    shaft = tables(job)
    if shaft is None or not shaft.joints:
        return None
    setup = replace(Setup.of(job), cut_end=cut_end)
    if len(shaft.joints) == 3 and isinstance(setup.between, NotKnown):
        return _laid_out(setup, scene, engine, as_it_is, draws)
    found = _chapter(setup, scene, engine, as_it_is, draws, _fixed_bearing(setup))
    why_not = tuple(_why_not(found)) if len(shaft.joints) == 2 else ()
    if not why_not:
        return found
    proposal = _proposal(setup, scene, engine, draws)
    return ShaftChapter(**{**vars(found), "why_not": why_not, "proposal": proposal})


def _chapter(
    setup: Setup, scene: Scene, engine: GapEngine, adapt: Adapt, draws: int, bearing: Vector | None
) -> ShaftChapter:
    """The chapter of one layout; `adapt` makes its tables from the job's."""
    shaft = setup.shaft
    picked = known("phases", lambda: rows.choice(setup)) if shaft.pieces else _no_pieces()
    spread = _spreads(setup, adapt, picked, draws)
    joints = tuple(
        JointRow(joint, known(joint.name, partial(rows.bend, setup, i, spread))) for i, joint in enumerate(shaft.joints)
    )
    even: Evenness | NotKnown = (
        picked if isinstance(picked, NotKnown) else rows.evenness(setup, picked[0], picked[1], spread)
    )
    phases = picked if isinstance(picked, NotKnown) else rows.phase_rows(setup, picked[0], picked[1], spread)
    pieces = tuple(known(piece.name, partial(rows.piece_row, setup, i, spread)) for i, piece in enumerate(shaft.pieces))
    line = known(LINE, setup.line)
    found = ShaftChapter(
        setup=setup,
        adapt=adapt,
        line=line,
        joints=joints,
        phases=phases,
        evenness=even,
        pieces=pieces or (_no_pieces(),),
        stub=known("end of the column's shaft", setup.stub_ends_mm),
        checks=tuple(checks(setup, pieces or (_no_pieces(),), even, spread)),
        space=known("room round the shaft", lambda: _space(setup, scene, engine, bearing)),
        strength=_strength(setup, line, joints),
        bearing=bearing,
        remarks=tuple(remarks(setup)),
        end_dimples=tuple(lengths.end_dimples(shaft, hollow(setup, 0, "wheel"))),
        spreads=spread,
    )
    return doubted(found)


def _no_pieces() -> NotKnown:
    return NotKnown(
        "shaft between the joints",
        ("shaft.pieces",),
        "the shaft between the joints: its diameter and what its ends are",
    )


def _spreads(
    setup: Setup, adapt: Adapt, picked: tuple[Choice, tuple[Reach, ...]] | NotKnown, draws: int
) -> dict[str, Spread]:
    """Spreads of all figures; a middle joint the job fixes moves with its readings, one found here stands still.

    A first joint set by hand to the end of the column's shaft moves with that end.
    """
    fixed = isinstance(known(MIDDLE_CENTRE, setup.ends.fixed_between), NotKnown) or len(setup.shaft.joints) == 2
    between = setup.between if fixed else None
    moved_on: Vector | None = None
    if not isinstance(picked, NotKnown):
        moved_on = np.array([step.phase - setup.base(i) for i, step in enumerate(picked[0].steps)])
    found = spreads(setup.job, lambda job: figures(Setup.of(job, adapt, between), moved_on), draws)
    return with_landing(setup, found, moved_on)


def _strength(setup: Setup, line: Line | NotKnown, joints: tuple[JointRow, ...]) -> Strength | NotKnown:
    if setup.shaft.load is None:
        return NotKnown("strength", ("shaft.load.torque",), "the unit's assist torque, from its own data")
    if isinstance(line, NotKnown):
        return line
    if not setup.shaft.pieces:
        return _no_pieces()
    bends = [row.bend.largest for row in joints if isinstance(row.bend, Bend)]
    try:
        return strength(setup.shaft, setup.shaft.joints, line, np.array(bends))
    except GeometryError as error:
        raise KeyFault(("shaft", "pieces"), str(error)) from error


def _space(setup: Setup, scene: Scene, engine: GapEngine, bearing: Vector | None) -> Space:
    """The shaft's gaps over every stand, the engine at rest and through its rock."""
    shaft, turn = setup.shaft, rock(setup)
    parts = solids.shaft_parts(shaft, [setup.line(stand) for stand in setup.stands], bearing)
    at_rest = [space.pairs_at_rest(engine, shaft, part, scene, turn) for part in parts]
    if turn is None:
        rocking = [space.rock_not_known(shaft, part, scene) for part in parts]
    else:
        rocking = [space.pairs_rocking(engine, shaft, part, scene, turn) for part in parts]
    found = list(joined(*at_rest))
    passed_over = tuple(entry.pair for entry in found if entry.pair.need.treatment is Treatment.NOT_LOOKED_AT)
    looked = tuple(entry for entry in found if entry.pair.need.treatment is not Treatment.NOT_LOOKED_AT)
    return Space(parts, turn, looked, tuple(joined(*rocking)), passed_over, solids.lacking(shaft))


def rock(setup: Setup) -> Turn | None:
    """The engine's rock, where the job says how it goes."""
    return None if setup.shaft.rock is None else space.rock_turn(setup.shaft.rock, setup.ends.places)


def _fixed_bearing(setup: Setup) -> Vector | None:
    """Middle (3,) of the support bearing where the job fixes the middle joint."""
    support = setup.shaft.support
    if support is None or len(setup.shaft.joints) != 3 or isinstance(known(LINE, setup.line), NotKnown):
        return None
    sign = -1 if support.side == "wheel" else 1
    return np.asarray(setup.centre(1) + sign * support.from_joint.mm * setup.way(1 if sign < 0 else 2))


def _why_not(found: ShaftChapter) -> Iterator[str]:
    """Why two joints do not do, each reason with its figure."""
    for row in found.joints:
        if isinstance(row.bend, Bend) and row.bend.result is LimitResult.OUTSIDE:
            words = f"{row.joint.name} would stand at {np.degrees(row.bend.largest):.1f} deg"
            yield f"{words}, {row.bend.limit_deg:g} allowed ({row.bend.limit_from})"
    if isinstance(found.space, Space):
        for entry in found.space.found:
            if entry.closest is not None and entry.closest.gap.bound_mm < entry.pair.need.required_mm:
                gap = f"{entry.closest.gap.bound_mm:.1f} mm" if entry.closest.gap.gap_mm > 0 else "none, it hits"
                need = f"{entry.pair.need.required_mm:.1f} mm needed"
                yield f"straight across, its gap to {entry.pair.b.name} is {gap}, {need}"


def as_three(shaft: Shafting) -> Shafting:
    """The tables of a two-joint shaft with a middle joint like its first and a plain bar on the bearing's side."""
    first, last, piece = shaft.joints[0], shaft.joints[1], shaft.pieces[0]
    middle = first.model_copy(update={"name": MIDDLE, "at": None, "counts_as": first.counts_as})
    support_side = "wheel" if shaft.support is None else shaft.support.side
    held = piece.model_copy(update={"name": f"{support_side} half-shaft", "telescope": None, "long": None})
    free = piece.model_copy(update={"name": f"{'rack' if support_side == 'wheel' else 'wheel'} half-shaft"})
    pieces = [held, free] if support_side == "wheel" else [free, held]
    return shaft.model_copy(update={"joints": [first, middle, last], "pieces": pieces, "dowel": None})


def _proposal(setup: Setup, scene: Scene, engine: GapEngine, draws: int) -> ShaftChapter | NotKnown:
    """Three joints and a bearing, checked like any other shaft; what is missing for that."""
    if not setup.shaft.pieces:
        return _no_pieces()
    if setup.shaft.support is None or not setup.shaft.support.room:
        return NotKnown(
            "three joints",
            ("shaft.support.room",),
            "where a support bearing's middle may sit, with metal to bolt it to: a box or two",
        )
    three = Setup.of(setup.job, as_three, NotKnown(MIDDLE_CENTRE, ("shaft.support.room",), "where a bearing may sit"))
    return _laid_out(replace(three, cut_end=setup.cut_end), scene, engine, as_three, draws)


def _laid_out(setup: Setup, scene: Scene, engine: GapEngine, adapt: Adapt, draws: int) -> ShaftChapter:
    """The best place for the middle joint, then its chapter; without a line or a room, the chapter of what is known."""
    found = known("layout", lambda: layout(setup, scene, engine))
    if isinstance(found, NotKnown) or found is None:
        return _chapter(setup, scene, engine, adapt, draws, None)
    placed = replace(Setup.of(setup.job, adapt, found.line.centres[1:-1]), cut_end=setup.cut_end)
    return _chapter(placed, scene, engine, adapt, draws, found.bearing)


def layout(setup: Setup, scene: Scene, engine: GapEngine) -> Layout | None:
    """The best layout of three joints with the bearing in its room; Missing where ends or hubs are not known.

    Where the room leaves no span long enough to telescope as wanted, the best that merely holds its bars.
    """
    shaft, ends = setup.shaft, setup.ends
    assert shaft.support is not None  # the tables hold this for three joints
    if not shaft.support.room:
        raise Missing(["shaft.support.room"], "where the bearing's middle may sit: a box or two")
    two, rooms = ends.line(np.empty((0, 3))), tuple(_rooms(setup))
    reaches = tuple(setup.reach(piece) for piece in range(2))
    margin = _margin(setup, scene, engine)
    for as_wanted in (True, False):
        spans = _least_span(setup, 0, as_wanted), _least_span(setup, 1, as_wanted)
        found = best_layout(Question(two, tuple(shaft.joints), shaft.support, rooms, reaches, spans), margin)
        if found is not None:
            return found
    return None


def _rooms(setup: Setup) -> Iterator[tuple[Vector, Vector]]:
    support = setup.shaft.support
    assert support is not None  # asked only with one
    for i, box in enumerate(support.room):
        path = ("shaft", "support", "room", i)
        corner = setup.ends.places.point(box.corner, (*path, "corner"))
        opposite = setup.ends.places.point(box.opposite, (*path, "opposite"))
        try:
            yield room(corner, opposite)
        except GeometryError as error:
            raise KeyFault(path, str(error)) from error


def _least_span(setup: Setup, piece: int, as_wanted: bool) -> float:
    """Shortest span that holds a piece; `as_wanted`: with the overlap, collapse and draw-off that are wanted."""
    ends, part = lengths.seats(setup.shaft, piece), setup.shaft.pieces[piece]
    least = LEAST_BAR_MM
    if as_wanted and part.telescope is not None:
        least = lengths.least_telescoping_mm(part, ends, rows.wanted_collapse_mm(setup, piece))
    return least + ends[0].inner_mm + ends[1].inner_mm


def _margin(setup: Setup, scene: Scene, engine: GapEngine) -> Callable[[Line, Vector], float]:
    turn = rock(setup)

    def margin(line: Line, bearing: Vector) -> float:
        found: list[Found] = []
        for part in solids.shaft_parts(setup.shaft, [line], bearing):
            found += space.pairs_at_rest(engine, setup.shaft, part, scene, turn)
            found += () if turn is None else space.pairs_rocking(engine, setup.shaft, part, scene, turn)
        return space.least_margin_mm(found)

    return margin
