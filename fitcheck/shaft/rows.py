"""The rows of the shaft's chapter: each joint's bend, each shaft's phase, the evenness of all, each piece's length.

Car frame, mm, rad; ripple per cent.
"""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import turned
from fitcheck.shaft import lengths
from fitcheck.shaft.joints import Chain, half_turn
from fitcheck.shaft.limits import COLLAPSE_MM, Held, angle_limit_deg, grade
from fitcheck.shaft.phases import (
    Choice,
    Reach,
    anything,
    best_phases,
    choose,
    is_any,
    least_ripple_pct,
    reach,
    ripple_at,
    tooth_by_tooth,
)
from fitcheck.shaft.results import Bend, Evenness, PhaseRow, PieceRow
from fitcheck.shaft.setup import Setup
from fitcheck.shaft.spread import Spread
from fitcheck.shaft.stands import AS_MEASURED, Stand

NO_SPREAD = Spread(0.0, 0.0, ())
PAINT_MARK = np.radians(2.0)  # common practice, no source
USUAL_TEETH = 36
WELDED = "the maker's part, welded by a qualified welder where the law and the part allow it"
WORTH_SAYING_PCT = 1.0  # of ripple that other ends would take away
ROUND_MM = 0.01
MOST_OF_SPAN = 0.25  # a box that moves more of the last span than this is a slip of the pen
Spreads = Mapping[str, Spread]


def box_moves_mm(setup: Setup) -> float:
    """How far the box moves each way against the column."""
    moves = setup.shaft.lower.moves
    return 0.0 if moves is None else moves.mm


def box_words(setup: Setup) -> str:
    """The same in words."""
    return f"the box moved by {box_moves_mm(setup):.3g} mm"


def bend(setup: Setup, joint: int, spreads: Spreads) -> Bend:
    """A joint's bend as measured and the largest there is; both joints of the last shaft follow the box's movement."""
    parts = setup.shaft.joints
    more, words = 0.0, ""
    if joint >= len(parts) - 2 and box_moves_mm(setup) > 0:
        more = float(np.arcsin(box_moves_mm(setup) / _span_for(setup)))
        words = box_words(setup)
    largest, stand = max(((setup.bend(joint, stand), stand) for stand in setup.stands), key=lambda pair: pair[0])
    when = _when(stand, words)
    limit, source = angle_limit_deg(parts[joint])
    spread = spreads.get(f"bend {joint}", NO_SPREAD)
    judged = float(np.degrees(largest + more))
    return Bend(
        angle=setup.bend(joint),
        largest=largest + more,
        largest_when=when or stand.words,
        limit_deg=limit,
        limit_from=source,
        grade=grade(parts[joint], judged),
        spread=spread,
        result=Held(judged, float(np.degrees(spread.most)), high=limit).result,
    )


def _span_for(setup: Setup) -> float:
    """Length of the last span; KeyFault where the box moves so far that no joint would follow."""
    span = setup.span_mm(len(setup.shaft.joints) - 2)
    if not box_moves_mm(setup) < span * MOST_OF_SPAN:
        words = f"a box that moves {box_moves_mm(setup):.0f} mm at the end of a shaft {span:.0f} mm long; check it"
        raise KeyFault(("shaft", "lower", "moves"), words)
    return span


def choice(setup: Setup) -> tuple[Choice, tuple[Reach, ...]]:
    """The reachable phases of all shafts; Missing where line or ends are."""
    reaches = tuple(setup.reach(piece) for piece in range(len(setup.shaft.pieces)))
    return choose(setup.chain(np.zeros(len(reaches))), reaches), reaches


def phase_rows(setup: Setup, chosen: Choice, reaches: Sequence[Reach], spreads: Spreads) -> tuple[PhaseRow, ...]:
    """Each shaft's phase with its neighbours."""
    chain = setup.chain(chosen.phases)
    best = best_phases(chain)
    rows = []
    for i, (piece, step, entry) in enumerate(zip(setup.shaft.pieces, chosen.steps, reaches, strict=True)):
        mark = piece.at_mark.spread_rad if piece.at_mark is not None else None
        error = float(PAINT_MARK if mark is None else mark)
        off = max(ripple_at(chain, i, step.phase + error), ripple_at(chain, i, step.phase - error))
        rows.append(
            PhaseRow(
                piece=piece.name,
                any_phase=is_any(chain, i),
                best=float(best[i]),
                best_spread=spreads.get(f"phase {i}", NO_SPREAD),
                chosen=step,
                base=half_turn(setup.mark(i)),
                reach=entry,
                neighbours=tooth_by_tooth(chain, entry, i),
                mark_error=error,
                mark_ripple_pct=off,
            )
        )
    return tuple(rows)


def evenness(setup: Setup, chosen: Choice, reaches: Sequence[Reach], spreads: Spreads) -> Evenness:
    """Ripple and lead as phased, in line, at best, at the worst stand; straight ahead; what would help."""
    chain = setup.chain(chosen.phases)
    worst, when = max(_ripples(setup, chosen), key=lambda pair: pair[0])
    spread = spreads.get("ripple", NO_SPREAD)
    return Evenness(
        chain=chain,
        ripple_pct=chain.unevenness.ripple_pct,
        lead=chain.unevenness.lead_rad,
        in_line_pct=setup.chain(np.zeros(len(chosen.steps))).unevenness.ripple_pct,
        least_pct=least_ripple_pct(chain.angles, chain.passing),
        worst_pct=worst,
        worst_when=when,
        spread=spread,
        light_clock=light_clock(setup, chain),
        remedies=remedies(setup, chain, reaches),
    )


def _ripples(setup: Setup, chosen: Choice) -> Iterator[tuple[float, str]]:
    """Ripple (%) at every stand of the column, the box where it was measured and moved."""
    by = box_moves_mm(setup)
    if by > 0:
        _span_for(setup)
    for stand in setup.stands:
        yield setup.chain(chosen.phases, stand).unevenness.ripple_pct, stand.words
        if by > 0:
            moved = max(each.unevenness.ripple_pct for each in setup.chains_box_moved(chosen.phases, stand, by))
            yield moved, _when(stand, box_words(setup))


def _when(stand: Stand, box: str) -> str:
    return ", ".join(text for text in (stand.words if stand is not AS_MEASURED else "", box) if text)


def light_clock(setup: Setup, chain: Chain) -> float:
    """Clock place (rad, half a turn is the same) the first yoke's arms point to where the far end is slowest."""
    in_plane = np.cross(chain.normals[0], chain.ways[0])
    arms = setup.ends.column2car().inverse.directions(turned(in_plane, chain.ways[0], chain.slowest_at))
    return float(np.arctan2(arms[1], arms[0]) % np.pi)


def remedies(setup: Setup, chain: Chain, reaches: Sequence[Reach]) -> tuple[tuple[str, float], ...]:
    """What the ends would have to be instead, with the ripple that would be left, where that is worth saying."""
    now = chain.unevenness.ripple_pct
    found: list[tuple[str, float]] = []
    for i, (piece, entry) in enumerate(zip(setup.shaft.pieces, reaches, strict=True)):
        if entry.free or len(entry.steps) >= USUAL_TEETH // 2:
            continue

        def left(other: Reach, at: int = i) -> float:
            return choose(chain, [*reaches[:at], other, *reaches[at + 1 :]]).ripple_pct

        splined = f"a spline of {USUAL_TEETH} teeth at one end of the {piece.name}, with a joint to match"
        found.append((splined, left(reach(2, USUAL_TEETH, setup.base(i)))))
        if len(reaches) == 1:
            turn = abs(np.degrees(half_turn(float(best_phases(chain)[i]) - setup.base(i))))
            found.append(
                (f"a joint whose maker broaches its bore {turn:.0f} deg round from its yoke", left(anything()))
            )
        found.append((f"a weld-on yoke at one end of the {piece.name}, {WELDED}", left(anything())))
    return tuple((words, ripple) for words, ripple in found if now - ripple > WORTH_SAYING_PCT)


def piece_row(setup: Setup, piece: int, spreads: Spreads) -> PieceRow:
    """A piece's length as set; the dowel's where that is the better reading. Missing where hubs or centres are."""
    part, ends, show = setup.shaft.pieces[piece], lengths.seats(setup.shaft, piece), setup.job.job.show
    by_dowel, spread = setup.by_dowel(piece), spreads.get(f"bar {piece}", NO_SPREAD)
    span, source = setup.span_mm(piece), "readings"
    if by_dowel is not None and spreads["dowel bar"].most < spread.most and agrees(setup, spreads):
        span, source, spread = by_dowel, "dowel", spreads["dowel bar"]
    length = lengths.bar(span, ends, spread.most, show)
    stands = _at_stands(setup, piece)
    found = None
    if part.telescope is not None:
        found = lengths.halves(
            part, length.aim, ends, moves_mm(setup, piece, stands), wanted_collapse_mm(setup, piece), spread.most, show
        )
    return PieceRow(part.name, span, source, spread, length, stands, found, tuple(lengths.dimples(part, ends)))


def _at_stands(setup: Setup, piece: int) -> tuple[tuple[str, float], ...]:
    """Change of a span at every stand; also on the way between two, where it goes beyond all of them there."""
    measured = setup.span_mm(piece)
    at_ends = tuple((stand.words, setup.span_mm(piece, stand) - measured) for stand in setup.stands)
    if piece > 0 or len(setup.stands) == 1:
        return at_ends
    between = [(stand.words, setup.span_mm(piece, stand) - measured) for stand in setup.on_the_way]
    shortest, longest = (pick(between, key=lambda pair: pair[1]) for pick in (min, max))
    changes = [change for _, change in at_ends]
    beyond = (min(changes) - shortest[1] > ROUND_MM, longest[1] - max(changes) > ROUND_MM)
    return (*at_ends, *(found for found, is_so in zip((shortest, longest), beyond, strict=True) if is_so))


def agrees(setup: Setup, spreads: Spreads) -> bool:
    """Whether dowel and readings agree within the spread of their difference."""
    spread = spreads["dowel less readings"]
    off = np.linalg.norm(setup.ends.last_centre() - setup.ends.first_centre())
    return setup.shaft.dowel is None or bool(abs(setup.shaft.dowel.mm - float(off)) <= spread.most)


def moves_mm(setup: Setup, piece: int, stands: Sequence[tuple[str, float]]) -> tuple[float, float]:
    """Least and greatest change of a piece's length by how the column stands and by what the box moves."""
    box = box_moves_mm(setup) if piece == len(setup.shaft.pieces) - 1 else 0.0
    changes = [change for _, change in stands]
    return min(0.0, *changes) - box, max(0.0, *changes) + box


def wanted_collapse_mm(setup: Setup, piece: int) -> float:
    """Collapse wanted of a piece: the job's, else the trade's; at least what drawing it off takes."""
    stated = setup.shaft.collapse
    wanted = COLLAPSE_MM if stated is None else stated.mm
    return max(wanted, lengths.draw_off_needed_mm(setup.shaft, piece))
