"""An energy-absorbing column: its own stroke with the unit in place, not less than before. Millimetres.

The stroke is the least of the rooms that are left before two bodies bottom. It is judged as the difference after less
before, against 0. Which kind of column it is must be said; nothing is assumed.
"""

from collections.abc import Iterator
from math import inf

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain, Stack
from fitcheck.cuts.faces import Readings
from fitcheck.cuts.limits import Band, Found, NotKnown, attempt, judged
from fitcheck.cuts.place import along
from fitcheck.job.cutting import Cuts

NOT_LESS = Band(0.0, inf, "not less than before")
REMARK_127 = (
    "127 mm in FMVSS 204 and UN R12 is how far the top of a column may come back in a crash test; it is no stroke to "
    "provide (read in summaries, not in the clauses)"
)


def stroke_limits(cuts: Cuts, chain: Chain, read: Readings) -> Iterator[Found]:
    """Every room with the unit in place, against the stroke before; for a plain column nothing."""
    what = "the column's own stroke"
    if cuts.column_kind is None:
        measure = (
            "nothing, but find out whether the column absorbs energy (mesh, bellows, balls or shear pins on jacket or "
            'shaft) and write column_kind = "energy-absorbing" or "plain"'
        )
        yield NotKnown(what, ("cuts.column_kind",), measure)
        return
    if cuts.column_kind == "plain":
        yield from _plain(what, cuts)
        return
    if not any(zone.collapses for zone in cuts.zones):
        yield NotKnown(
            "the collapsing section", ("cuts.zones",), "where it starts and ends, and mark it collapses = true"
        )
    if cuts.stroke is None:
        yield NotKnown(what, ("cuts.stroke",), "how far the column can shorten now, and with the unit in place")
        return
    if not cuts.stroke.rooms and not cuts.stroke.ahead:
        keys = ("cuts.stroke.rooms", "cuts.stroke.ahead")
        yield NotKnown(what, keys, "with the unit in place, how far each pair of bodies can go before it bottoms")
        return
    before = Stack.of("cuts.stroke.before", cuts.stroke.before.mm, read.spread(("cuts", "stroke", "before")))
    for room in rooms(cuts, chain, read):
        yield room if isinstance(room, NotKnown) else judged(room[0], room[1].plus(before, -1.0), NOT_LESS, chain)


def _plain(what: str, cuts: Cuts) -> Iterator[NotKnown]:
    """A plain column has neither a stroke nor a zone that collapses; where the job holds one, something is wrong."""
    said = [f"zone '{zone.name}' collapses" for zone in cuts.zones if zone.collapses]
    said += [] if cuts.stroke is None else ["cuts.stroke gives one"]
    if said:
        measure = (
            f"nothing, but find out which is wrong: cuts.column_kind says plain, {' and '.join(said)}. A column that "
            "may absorb energy is taken for one that does"
        )
        yield NotKnown(what, ("cuts.column_kind",), measure)


def rooms(cuts: Cuts, chain: Chain, read: Readings) -> Iterator[tuple[str, Stack] | NotKnown]:
    """Each room with the unit in place: read as such, or from the unit's output face to the body ahead of it."""
    if cuts.stroke is None:
        return
    for i, room in enumerate(cuts.stroke.rooms):
        spread = read.spread(("cuts", "stroke", "rooms", i, "room"))
        key = f"cuts.stroke.rooms[{i + 1}].room"
        yield f"stroke after less before: {room.name}", Stack.of(key, room.room.mm, spread)
    for body in cuts.stroke.ahead:
        yield _ahead(body.name, chain)


def _ahead(name: str, chain: Chain) -> tuple[str, Stack] | NotKnown:
    what = f"stroke after less before: unit onto {name}"
    found = attempt(what, lambda: judged(what, along_ahead(name, chain), NOT_LESS))
    return found if isinstance(found, NotKnown) else (what, found.stack)


def along_ahead(name: str, chain: Chain) -> Stack:
    """From the unit's output face to a fixed body ahead of it."""
    return along(chain, faces.ahead_face(name)).plus(along(chain, faces.OUTPUT_FACE), -1.0)
