"""The readings in an order a person can walk: a dozen for a first answer, then the bench for the cuts.

Tools are common practice, no source.
"""

from fitcheck.report.measure.reading import CALIPER, PLUMB, TAPE, Reading
from fitcheck.report.measure.sketch import DATUM, HUB, PAD, PIVOT, along, bench, caliper, in_car, in_plan, kerf, travel
from fitcheck.report.measure.sketch_place import ACROSS, BACK, UP, Spot

DOWN = along(0.85)
EVERY = frozenset((BACK, ACROSS, UP))
LOW_AT = Spot((DOWN[0], DOWN[1] - 3), (42.0, 62.0))
ARM_AT = Spot((39.0, 44.0), (28.0, 54.0))
PAD_AT = Spot(PAD, (28.0, 40.0), -26.0, 66.0)

DOZEN = (
    Reading(
        "Hub seat: back",
        "from the datum, level, to the face the hub seats on, at the column's centre",
        PLUMB,
        in_car((DATUM, (HUB[0], DATUM[1]), (0, 34)), spots=(HUB,)),
        r"(column|points)\.hub_seat\.(back|forward)",
    ),
    Reading(
        "Hub seat: left or right",
        "beside the datum, as the driver sees it",
        PLUMB,
        in_plan((64, 10)),
        r"(column|points)\.hub_seat\.(left|right)",
    ),
    Reading(
        "Hub seat: up",
        "above the datum, by level",
        PLUMB,
        in_car((DATUM, (DATUM[0], HUB[1]), (90, 0)), spots=(HUB,)),
        r"(column|points)\.hub_seat\.(up|down)",
    ),
    Reading(
        "Low place on the column",
        "as far down as you can reach, to one side of the jacket: say which side",
        TAPE,
        LOW_AT.sketch(EVERY),
        r"column\.(low|down|across).*",
        (BACK, ACROSS, UP),
        place=LOW_AT,
    ),
    Reading(
        "Jacket: outside diameter",
        "across the bare tube, twice, a quarter turn apart",
        CALIPER,
        caliper,
        r"column\.(jacket_od|shaft_od)",
    ),
    Reading(
        "Unit's input face, wanted place",
        "along the column from the hub seat",
        TAPE,
        in_car((HUB, along(0.55), (-5, 10)), spots=(along(0.55),)),
        r"unit\.input_face",
    ),
    Reading(
        "Pedal pivot: back",
        "from the datum to the pivot's centre",
        TAPE,
        in_car((DATUM, (PIVOT[0], DATUM[1]), (0, 30)), spots=(PIVOT,)),
        r"pedals\[\d+\]\.pivot(?!\.(up|down)).*",
    ),
    Reading(
        "Pedal pivot: up",
        "above the datum",
        TAPE,
        in_car((DATUM, (DATUM[0], PIVOT[1]), (18, 0)), spots=(PIVOT,)),
        r"pedals\[\d+\]\.pivot\.(up|down)",
    ),
    Reading(
        "Pedal arm where it passes the column",
        "its front edge, pedal at rest; left or right to the middle of its thickness",
        TAPE,
        ARM_AT.sketch(EVERY),
        r"pedals\[\d+\]\.(arm|tail|rides)(?!_wide|_thick).*",
        (BACK, ACROSS, UP),
        place=ARM_AT,
    ),
    Reading(
        "Pedal travel",
        "pad centre at rest to pad centre on its stop or the carpeted floor: straight",
        TAPE,
        travel,
        r"pedals\[\d+\]\.(travel|over_travel|pulled_up).*",
        brake="the brake's with a bleeder open, see above",
    ),
    Reading(
        "Pad centre: back and up",
        "middle of the pad's face, pedal at rest",
        TAPE,
        in_car((DATUM, (PAD[0], DATUM[1]), (0, -26)), ((PAD[0], DATUM[1]), PAD, (14, 0)), spots=(PAD,)),
        r"pedals\[\d+\]\.pad\.at\.(back|forward|up|down)|pedals\[\d+\]\.pad",
        (BACK, UP),
        place=PAD_AT,
    ),
    Reading(
        "Pad centre: left or right",
        "beside the datum",
        TAPE,
        in_plan((28, 40)),
        r"pedals\[\d+\]\.pad\.at\.(left|right)",
    ),
)

BENCH = tuple(
    Reading(title, how, tool, bench(start, end), rf"cuts\.{key}")
    for title, how, tool, start, end, key in (
        (
            "Hub seat to jacket top",
            "down to the jacket's top end",
            TAPE,
            "hub seat",
            "jacket top",
            r"bench\.hub_seat_to_jacket_top",
        ),
        ("Jacket overall", "end to end", TAPE, "jacket top", "jacket end", r"bench\.jacket_overall"),
        (
            "Shaft stands out below",
            "from the jacket's lower end to the shaft's",
            TAPE,
            "jacket end",
            "shaft end",
            r"bench\.shaft_stick_out",
        ),
        ("Shaft overall", "end to end", TAPE, "shaft top", "shaft end", r"bench\.shaft_overall"),
        (
            "Hub seat to shaft top",
            "up to the shaft's top end, over the thread",
            TAPE,
            "shaft top",
            "hub seat",
            r"bench\.hub_seat_to_shaft_top",
        ),
        (
            "Hub seat to firewall",
            "along the column, in the car",
            TAPE,
            "hub seat",
            "firewall sheet",
            r"firewall\.along",
        ),
        (
            "Unit face to face",
            "input face to output face",
            CALIPER,
            "unit input face",
            "unit output face",
            r"unit\.face_to_face",
        ),
        (
            "Input bore",
            "input face to the bottom of its bore",
            CALIPER,
            "unit input face",
            "input bore bottom",
            r"unit\.input_(depth|mouth)",
        ),
        (
            "Output bore",
            "output face to the bottom of its bore",
            CALIPER,
            "output bore bottom",
            "unit output face",
            r"unit\.output_(depth|mouth)",
        ),
        (
            "Collar",
            "input face to the shoulder the upper jacket stops on",
            CALIPER,
            "unit input face",
            "collar shoulder",
            r"unit\.collar_depth",
        ),
        (
            "Lower collar: mouth",
            "input face to its mouth",
            CALIPER,
            "unit input face",
            "lower collar mouth",
            r"unit\.lower_collar_mouth",
        ),
        (
            "Lower collar: depth",
            "its mouth to the shoulder",
            CALIPER,
            "lower collar shoulder",
            "lower collar mouth",
            r"unit\.lower_collar_depth",
        ),
    )
) + (Reading("Kerf", "the slot your saw leaves in scrap of the same tube", CALIPER, kerf, r"cuts\.saw\.kerf"),)
