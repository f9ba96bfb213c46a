"""The chapter on boots and legs as JSON: keys are a contract; what is not known is absent, never null."""

from typing import Any

from fitcheck.clearance.boots import USUAL_SPACING_MM, SideRoom
from fitcheck.confidence.boots import BootsChapter, Leg
from fitcheck.report.gap_document import down, gap_row, near


def boots_document(boots: BootsChapter) -> dict[str, Any]:
    """The chapter: size, result, every boot and leg with its gaps, and the spacing of the pads."""
    size = boots.size
    return {
        "result": boots.result.value,
        "size": {
            "from": boots.size_from,
            "length_mm": near(size.length),
            "breadth_mm": near(size.breadth),
            "ball_mm": near(size.ball),
        },
        "on_pedals": [_leg(leg) | _heel(leg) | _rooms(leg, boots.rooms) for leg in boots.on_pedals],
        "off_pedals": [_leg(leg) for leg in boots.off_pedals],
        "spacing": [
            {"left": s.left, "right": s.right, "sideways_mm": near(s.sideways_mm), "usual_mm": USUAL_SPACING_MM}
            for s in boots.spacing
        ],
    }


def _leg(leg: Leg) -> dict[str, Any]:
    rows = {"new": [gap_row(entry) for entry in leg.new], "as_before": [gap_row(entry) for entry in leg.before]}
    return {"name": leg.name} | ({"result": leg.worst.result.value} if leg.new else {}) | rows


def _heel(leg: Leg) -> dict[str, Any]:
    if not leg.heel_known:
        return {}
    if leg.heel_lifts is None:
        return {"heel": "planted"}
    return {"heel": "lifts", "heel_lifts_travel": near(leg.heel_lifts)}


def _rooms(leg: Leg, rooms: tuple[SideRoom, ...]) -> dict[str, Any]:
    found = {}
    for room in rooms:
        if room.boot == leg.name:
            found[room.side] = {"at_least_mm": down(room.at_least_mm)} | ({} if room.to is None else {"to": room.to})
    return {"room_beside": found} if found else {}
