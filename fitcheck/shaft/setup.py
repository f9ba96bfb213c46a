"""One job's shaft made ready: its ends, joints and stands, and the figures that follow from its readings alone.

Car frame, mm, rad. The same figures are worked out again for jobs whose readings have been moved a little.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np

from fitcheck.errors import Missing
from fitcheck.geometry.frames import EYE, Vector, crossed, unit
from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.job.shaft_ends import End
from fitcheck.job.shafting import Shafting
from fitcheck.limits import NotKnown, known
from fitcheck.placement.adjusted import Adjustment, adjustments
from fitcheck.placement.groups import frame_shift
from fitcheck.shaft import lengths
from fitcheck.shaft.joints import Chain, half_turn, joint_angles
from fitcheck.shaft.line import Ends, Line, chain, tables
from fitcheck.shaft.phases import Reach, anything, best_phases, reach
from fitcheck.shaft.stands import AS_MEASURED, PARTS, Stand, contradiction, counted, stands, takes_along

Adapt = Callable[[Shafting], Shafting]
BOX_PLACES = 24  # round the box's own, for the ripple where it moves
LINE, MIDDLE_CENTRE = "joint centres and ways of the shafts", "middle joint's centre"
TILT_TWICE = "the tilt again, then leave one of the two out: they say {}"
COLUMN_MOVES = "shaft with the column tilted, or pulled out and pushed in"


def as_it_is(shaft: Shafting) -> Shafting:
    """The job's own tables."""
    return shaft


def frame_reach_mm(job: Job) -> float:
    """How far the frame can shift against the body, straight to the farthest corner; 0 where the job does not say."""
    shift = frame_shift(job)
    return 0.0 if shift is None else float(np.linalg.norm(np.maximum(-shift.low, shift.high)))


def with_frame(job: Job, shaft: Shafting) -> Shafting:
    """The tables with the box moving at least as far as the frame it is bolted to; the column stays with the body."""
    reach, own = frame_reach_mm(job), shaft.lower.moves
    if reach <= (0.0 if own is None else own.mm):
        return shaft
    moves = Length(reach, 0.0, f"{reach:.1f} mm")
    return shaft.model_copy(update={"lower": shaft.lower.model_copy(update={"moves": moves})})


@dataclass(frozen=True, eq=False)
class Setup:
    """A job with its shaft's tables (or those of a proposal) and the centres (k, 3) of the joints in between.

    `cut_end`: where the cut list leaves the end of the column's shaft, along from the hub seat, and its spread.
    """

    job: Job
    shaft: Shafting
    between: Vector | NotKnown
    cut_end: tuple[float, float] | None = None

    @classmethod
    def of(cls, job: Job, adapt: Adapt = as_it_is, between: Vector | NotKnown | None = None) -> "Setup":
        """From a job that has `[shaft]`; without `between`, the centres are the job's own, where it fixes them."""
        own = tables(job)
        assert own is not None  # asked only of jobs that have it
        shaft = with_frame(job, adapt(own))
        return cls(job, shaft, known(MIDDLE_CENTRE, Ends(job, shaft).fixed_between) if between is None else between)

    @cached_property
    def ends(self) -> Ends:
        return Ends(self.job, self.shaft)

    @cached_property
    def adjusted(self) -> tuple[Adjustment, ...] | NotKnown:
        """Movements of the column as a group ([groups.column]) that the shaft's own tables do not tell of."""
        ends, upper = self.ends, self.shaft.upper

        def found() -> tuple[Adjustment, ...]:
            every = adjustments(self.job, ends.axis.column2car, ends.axis.radius, ends.places)
            differ = contradiction(every, upper)
            if differ:
                raise Missing(["shaft.upper.tilt", "groups.column.tilt"], TILT_TWICE.format(differ))
            return counted(every, upper)

        return known(COLUMN_MOVES, found)

    @cached_property
    def carrying(self) -> tuple[Adjustment, ...] | NotKnown:
        """Those of them that take the first joint along; not known where it is not said how the shaft tilts."""
        found = self.adjusted
        if isinstance(found, NotKnown) or not found:
            return found
        return known(COLUMN_MOVES, lambda: takes_along(found, self.shaft.upper, self.ends.first_along_mm()))

    @cached_property
    def stands(self) -> tuple[Stand, ...]:
        """Every way the column may stand, as far as that is known."""
        return stands(self.shaft.upper, () if isinstance(self.carrying, NotKnown) else self.carrying)

    @cached_property
    def on_the_way(self) -> tuple[Stand, ...]:
        """Every such stand, and those on the way to them where the column tilts."""
        return stands(self.shaft.upper, () if isinstance(self.carrying, NotKnown) else self.carrying, PARTS)

    def centre(self, joint: int, stand: Stand = AS_MEASURED) -> Vector:
        """Centre (3,) of a joint; Missing where it is not known yet."""
        if joint == 0:
            return self.ends.first_centre(stand)
        if joint == len(self.shaft.joints) - 1:
            return self.ends.last_centre()
        if isinstance(self.between, NotKnown):
            raise Missing(list(self.between.keys), self.between.measure)
        return np.asarray(self.between[joint - 1])

    def way(self, shaft: int, stand: Stand = AS_MEASURED) -> Vector:
        """Way (3,) of a shaft: the column is 0, the box's input the last."""
        if shaft == 0:
            return self.ends.first_way(stand)
        if shaft == len(self.shaft.joints):
            return self.ends.last_way()
        return unit(self.centre(shaft, stand) - self.centre(shaft - 1, stand))

    def bend(self, joint: int, stand: Stand = AS_MEASURED) -> float:
        """True angle of a joint, rad."""
        return float(joint_angles(np.array([self.way(joint, stand), self.way(joint + 1, stand)]))[0])

    def span_mm(self, piece: int, stand: Stand = AS_MEASURED) -> float:
        """Centre to centre of the joints on a piece."""
        return float(np.linalg.norm(self.centre(piece + 1, stand) - self.centre(piece, stand)))

    def by_dowel(self, piece: int) -> float | None:
        """The same by dowel, which goes from the first joint to the last: only where there are two."""
        dowel = self.shaft.dowel
        return dowel.mm if dowel is not None and len(self.shaft.joints) == 2 and piece == 0 else None

    def line(self, stand: Stand = AS_MEASURED) -> Line:
        """The whole line."""
        between = [self.centre(joint, stand) for joint in range(1, len(self.shaft.joints) - 1)]
        return self.ends.line(np.array(between).reshape(-1, 3), stand)

    def chain(self, phases: Vector, stand: Stand = AS_MEASURED) -> Chain:
        """The joints on that line."""
        return chain(self.line(stand), self.shaft.joints, phases)

    def chains_box_moved(self, phases: Vector, stand: Stand, by_mm: float) -> Iterator[Chain]:
        """The same with the last joint moved all round, square to the last span, the box's way kept.

        To first order a joint's part in the ripple is the square of its bend as a complex number, so that the greatest
        sum of them over a disc of places lies on its rim.
        """
        line = self.line(stand)
        way = line.ways[-2]
        one = unit(crossed(way, EYE[int(np.argmin(np.abs(way)))]))
        other = crossed(way, one)
        for turn in np.linspace(0, 2 * np.pi, BOX_PLACES, endpoint=False):
            centres = line.centres.copy()
            centres[-1] += by_mm * (np.cos(turn) * one + np.sin(turn) * other)
            yield chain(Line.through(centres, line.ways[0], line.ways[-1]), self.shaft.joints, phases)

    def as_made(self, piece: int) -> float | None:
        """Phase (rad) with first tooth on first tooth at both ends, by the parts' own figures; None where none is."""
        own = self.shaft.pieces[piece].ends_turned
        hubs = self.shaft.joints[piece].rack_hub, self.shaft.joints[piece + 1].wheel_hub
        bores = [None if hub is None else hub.turned for hub in hubs]
        if own is None and bores == [None, None]:
            return None
        wheel, rack = (0.0 if bore is None else bore.rad for bore in bores)
        return (0.0 if own is None else own.rad) + wheel - rack

    def base(self, piece: int) -> float:
        """A phase the piece can have (rad): at its paint mark, else as the parts are made; 0 = yokes in line."""
        part, made = self.shaft.pieces[piece], self.as_made(piece)
        if part.at_mark is not None:
            return part.at_mark.rad
        return 0.0 if made is None else made

    def mark(self, piece: int) -> float:
        """Phase (rad) that teeth are counted from: the paint mark's, else as near to in line as the ends allow."""
        base = half_turn(self.base(piece))
        if self.shaft.pieces[piece].at_mark is not None:
            return base
        return min((step.phase for step in self._reach(piece, base).steps), key=abs, default=base)

    def stub_short_mm(self) -> float:
        """How far short of the first joint's bore's inner end the column's shaft ends; negative: it stands proud."""
        end = self.job.column.shaft_to
        if end is None:
            raise Missing(["column.shaft_to"], "where the column's shaft ends, along from the hub seat")
        inner = lengths.seat(self.shaft.joints[0], 0, "wheel").inner_mm
        return self.ends.first_along_mm() - inner - end.mm

    def stub_ends_mm(self) -> tuple[float, float]:
        """Where the column's shaft has to end, along from the hub seat: from, to."""
        return lengths.stub_end_along_mm(self.ends.first_along_mm(), lengths.seat(self.shaft.joints[0], 0, "wheel"))

    def hub_beyond_unit_mm(self) -> float:
        """How far the first joint's hub stays beyond the unit's output face, its shaft slid toward the wheel."""
        slid = self.shaft.upper.slides_in
        hub = lengths.seat(self.shaft.joints[0], 0, "wheel").hub
        toward_wheel = 0.0 if slid is None else slid.mm
        return self.ends.first_along_mm() - toward_wheel - hub.to_end.mm - self.ends.output_face_mm()

    def reach(self, piece: int) -> Reach:
        """The phases a piece can have by its ends, teeth counted from its mark; Missing where they are not given."""
        return self._reach(piece, self.mark(piece))

    def _reach(self, piece: int, base: float) -> Reach:
        part, name = self.shaft.pieces[piece], f"shaft.pieces[{piece + 1}]"
        if part.wheel_end is None or part.rack_end is None:
            lacking = [f"{name}.{side}" for side in ("wheel_end", "rack_end") if getattr(part, side) is None]
            raise Missing(lacking, f"{part.name}: what its ends are, and the teeth of a spline")
        places = [_places_round(end) for end in (part.wheel_end, part.rack_end)]
        if places[0] is None or places[1] is None:
            return anything()
        return reach(places[0], places[1], base)


def _places_round(end: End) -> int | None:
    """In how many places a joint goes on that end; None: in any (weld-on)."""
    return {"spline": end.teeth, "double-D": 2, "weld-on": None}[end.kind]


def figures(setup: Setup, moved_on: Vector | None, stand: Stand = AS_MEASURED) -> dict[str, float]:
    """Every figure that can be known: spans, bends, bars, best phases, ripple and lead.

    `moved_on` (n-1,): phases chosen, each less the phase at the paint mark; None while there are none.
    """
    joints, pieces = len(setup.shaft.joints), len(setup.shaft.pieces)
    line = known(LINE, partial(setup.line, stand))
    found: dict[str, float | NotKnown] = {}
    if isinstance(line, NotKnown):
        found |= {f"bend {joint}": known("angle", partial(setup.bend, joint, stand)) for joint in range(joints)}
        found |= {f"span {piece}": known("span", partial(setup.span_mm, piece, stand)) for piece in range(joints - 1)}
    else:
        found |= {f"bend {joint}": float(bend) for joint, bend in enumerate(joint_angles(line.ways))}
        found |= {f"span {piece}": float(span) for piece, span in enumerate(line.spans_mm)}
    for piece in range(pieces):
        span = found[f"span {piece}"]
        found[f"bar {piece}"] = span if isinstance(span, NotKnown) else known("bar", partial(_bar, setup, piece, span))
        dowel = setup.by_dowel(piece)
        if dowel is not None:
            found["dowel"] = dowel
            found["dowel bar"] = known("bar", partial(_bar, setup, piece, dowel))
    found |= _places(setup)
    if setup.shaft.dowel is not None:
        found["dowel less readings"] = known("dowel", partial(_closing, setup))
    even = {} if moved_on is None or isinstance(line, NotKnown) else _even(setup, line, moved_on)
    return even | {name: value for name, value in found.items() if not isinstance(value, NotKnown)}


def _places(setup: Setup) -> dict[str, float | NotKnown]:
    """Readings of one thing by two roads, as differences: off the axes (three ways), the column's end, the unit."""
    found: dict[str, float | NotKnown] = {}
    for name, off in (("first off", setup.ends.first_off_axis), ("last off", setup.ends.last_off_tube)):
        arm = known(name, off)
        found |= {f"{name} {i}": arm if isinstance(arm, NotKnown) else float(arm[i]) for i in range(3)}
    found["stub short"] = known("column's end", setup.stub_short_mm)
    found["first along"] = known("first joint", setup.ends.first_along_mm)
    found["hub beyond unit"] = known("first joint", setup.hub_beyond_unit_mm)
    return found


def _bar(setup: Setup, piece: int, span_mm: float) -> float:
    return lengths.longest_mm(span_mm, lengths.seats(setup.shaft, piece))


def _closing(setup: Setup) -> float:
    assert setup.shaft.dowel is not None  # asked only with one
    return setup.shaft.dowel.mm - float(np.linalg.norm(setup.ends.last_centre() - setup.ends.first_centre()))


def _even(setup: Setup, line: Line, moved_on: Vector) -> dict[str, float]:
    phases = np.array([setup.base(piece) for piece in range(len(moved_on))]) + moved_on
    worked = chain(line, setup.shaft.joints, phases)
    best = {f"phase {piece}": float(phase) for piece, phase in enumerate(best_phases(worked))}
    return {**best, "ripple": worked.unevenness.ripple_pct, "lead": worked.unevenness.lead_rad}
