"""Further readings: the intermediate shaft, and what else is near. Tools are common practice, no source."""

from fitcheck.report.measure.catalogue import BENCH, DOZEN
from fitcheck.report.measure.reading import CALIPER, TAPE, Reading
from fitcheck.report.measure.sketch import shaft

SHAFT = (
    Reading(
        "Box input: near place",
        "a straight tube 300 to 500 mm long slipped over it; near the box",
        TAPE,
        shaft("tube"),
        r"shaft\.lower\.(joint_at|tube\.near|down|across).*",
        ("back", "left/right", "up"),
    ),
    Reading(
        "Box input: far place",
        "on the same tube, as far out as it goes",
        TAPE,
        shaft("tube"),
        r"shaft\.lower\.tube\.(far|od).*",
        ("back", "left/right", "up"),
    ),
    Reading(
        "Joint centre to joint centre",
        "a dowel between the two centres: it closes the loop",
        "dowel",
        shaft("dowel"),
        r"shaft\.upper\..*",
    ),
    Reading(
        "Dowel to the nearest exhaust", "cold; say where along the dowel", TAPE, shaft("exhaust"), r"shaft\.rock.*"
    ),
    Reading(
        "Each joint's hub",
        "centre to its end, and the depth of the bore",
        CALIPER,
        shaft("hub"),
        r"shaft\.joints.*",
        ("centre to end", "bore"),
    ),
    Reading(
        "Each end",
        "spline: count the teeth; double-D: over the flats and across",
        CALIPER,
        None,
        r"shaft\.pieces.*",
        ("kind, teeth", "across", "flats"),
    ),
)
NEXT = (
    Reading(
        "What must not be cut or clamped",
        "clamps, lock housing, mesh, bearing seats: along from the jacket's top or the hub seat",
        TAPE,
        None,
        r"cuts\.(zones|kept).*",
        ("what", "from", "to"),
    ),
    Reading(
        "Whatever is within 150 mm of the unit",
        "dash, ducts, looms, brackets: two corners, or off the column: along, square out, clock place",
        TAPE,
        None,
        r"obstacles.*",
        ("what", "one corner", "opposite"),
    ),
    Reading(
        "Each boot: foot and heel",
        "bare foot heel to toe and across the ball; where the heel stands on the carpet",
        TAPE,
        None,
        r"driver.*",
        ("foot", "heel back", "heel up/down"),
    ),
    Reading(
        "Engine's rock",
        "levered on its mounts, at a named place; which side lifts",
        TAPE,
        None,
        r"groups\.engine.*",
        ("where", "how far"),
    ),
    Reading(
        "Bracket", "clamp and legs, once drawn: where each end is", TAPE, None, r"bracket.*", ("clamp", "leg", "leg")
    ),
)
EVERYTHING = (*DOZEN, *BENCH, *SHAFT, *NEXT)
