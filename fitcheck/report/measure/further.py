"""Further readings: the shaft, what else is near, feet and legs, reaching in. Tools are common practice, no source."""

from fitcheck.report.measure import sketch_feet, sketch_near
from fitcheck.report.measure.catalogue import BENCH, DOZEN
from fitcheck.report.measure.reading import CALIPER, TAPE, Reading
from fitcheck.report.measure.sizes import SIZES
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
        "Dowel to the nearest exhaust",
        "cold; and how far along the dowel from the column's joint",
        TAPE,
        shaft("exhaust"),
        r"shaft\.rock.*",
        ("gap", "along the dowel"),
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
        sketch_near.end,
        r"shaft\.pieces.*",
        ("kind, teeth", "across", "flats"),
    ),
)
PLACE = ("back", "left/right", "up/down")
NEAR = (
    Reading(
        "What must not be cut or clamped",
        "clamps, lock housing, mesh, bearing seats: along from the jacket's top or the hub seat",
        TAPE,
        sketch_near.zones,
        r"cuts\.(zones|kept).*",
        ("what", "from", "to"),
    ),
    Reading(
        "Firewall: sheet and opening",
        "slope going forward (upright 90 deg), turn in plan, what passes, ring of holes",
        "digital level, caliper",
        sketch_near.firewall,
        r"cuts\.firewall(\.(?!along).*)?",
        ("slope, turn", "passes dia", "sheet thick", "holes, circle"),
    ),
    Reading(
        "Whatever is within 150 mm of the unit",
        "dash, ducts, looms: two corners; or along the column, square out, clock place",
        TAPE,
        sketch_near.obstacle,
        r"obstacles.*",
        ("what", "one corner", "opposite"),
    ),
    Reading(
        "Bracket",
        "clamp and legs, once drawn: where each end is",
        TAPE,
        sketch_near.bracket,
        r"bracket.*",
        ("clamp", "leg", "leg"),
    ),
    Reading(
        "Engine's rock",
        "levered on its mounts, at a named place; which side lifts",
        TAPE,
        sketch_near.rock,
        r"groups\.engine.*",
        ("where", "how far"),
    ),
    Reading(
        "What gives: frame, box, axle",
        "how far it moves against the column, each way",
        TAPE,
        sketch_near.shift,
        r"groups\.(frame|axle).*|shaft\.lower\.moves.*",
        ("up, down", "left, right", "along"),
    ),
)
FEET = (
    Reading(
        "Each boot: foot and heel",
        "bare foot heel to toe and across; heel's rear edge on the carpet, foot on the pad",
        TAPE,
        sketch_feet.boot,
        r"driver\.boots(\[\d+\]\.(on|heel).*)?|driver\.(foot|shoe|ball|boot).*",
        ("pedal, foot", "heel back", "heel up/down"),
    ),
    Reading(
        "Each knee: pedal at rest and full",
        "front of the knee, driver seated, foot on the pedal; say which side the tape went to",
        TAPE,
        sketch_feet.knee,
        r"driver\.boots\[\d+\]\.knee.*|driver\.shin_dia",
        ("rest: back", "rest: side, up", "full: back", "full: side, up"),
    ),
    Reading(
        "Left foot at rest beside the clutch",
        "heel's rear edge on the floor; sole under the ball",
        TAPE,
        sketch_feet.left_foot,
        r"driver\.left_foot.*",
        ("heel back, left", "ball back, left", "ball up/down"),
    ),
)
REACH = (
    Reading(
        "Dash: lower edge above the unit",
        "above the datum",
        TAPE,
        sketch_feet.dash_edge,
        r"reach\.dash_edge.*",
        ("up",),
    ),
    Reading(
        "Way out",
        "straight moves, one after the other, mocked up with a box of the unit's size; what is taken off first",
        TAPE,
        sketch_feet.way_out,
        r"reach\.way_out.*",
        ("move 1", "move 2", "move 3", "taken off"),
    ),
    Reading(
        "Each screw and plug to be reached",
        "where it is, and a place on the side the hand, spanner or plug comes from",
        TAPE,
        sketch_feet.screws,
        r"reach\.rooms.*",
        ("what", "where", "from"),
    ),
)
AGAIN = (
    Reading(
        "Motor's clock place",
        "tape round the jacket from its scribed top line; say which way",
        TAPE,
        sketch_near.clock,
        r"unit\.clock.*",
    ),
    Reading("Pedals' pivot shaft", "both ends, to its centre", TAPE, sketch_near.pivot_shaft, r"pivot_shafts.*", PLACE),
    Reading(
        "Unit: its sizes",
        "across and along, and how far each stands off the column's axis",
        CALIPER,
        sketch_near.unit,
        r"unit\.(?!clock|input_face|gear_body|sensor|output|motor|hand).*",
        ("what", "across", "along", "off the axis"),
    ),
    Reading("A place in the car", "from the datum", TAPE, sketch_near.point, r"(points|linkages).*", PLACE),
    Reading("This reading again", "another way", TAPE, sketch_near.tape, r"readings.*"),
)
NEXT = (*NEAR, *FEET, *REACH)
EVERYTHING = (*DOZEN, *SIZES, *BENCH, *SHAFT, *NEXT, *AGAIN)


def reading_of(key: str) -> Reading | None:
    """The reading of the catalogue that a key of the job file stands for; None where it is none of them."""
    return next((one for one in EVERYTHING if one.stands_for(key)), None)
