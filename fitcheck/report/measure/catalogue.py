"""The readings in an order a person can walk: a dozen for a first answer, then the bench for the cuts.

Tools are common practice, no source.
"""

from fitcheck.report.measure.reading import CALIPER, PLUMB, TAPE, Reading
from fitcheck.report.measure.sketch import DATUM, HUB, PAD, PIVOT, along, bench, caliper, in_car, in_plan, kerf, travel

DOWN = along(0.85)
ARM = (40.0, 41.5)

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
        in_plan((57, 10)),
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
        in_car(
            (DATUM, (DOWN[0], DATUM[1]), (0, 24)),
            (DATUM, (DATUM[0], DOWN[1] - 3), (16, 0)),
            spots=((DOWN[0], DOWN[1] - 3),),
        ),
        r"column\.(low|down|across).*",
        ("back", "left/right", "up"),
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
        r"unit\.input_face|column\.jacket_(from|to)",
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
        "its front edge, pedal at rest; arm's width and thickness too",
        TAPE,
        in_car((DATUM, (ARM[0], DATUM[1]), (0, 26)), (DATUM, (DATUM[0], ARM[1]), (24, 0)), spots=(ARM,)),
        r"pedals\[\d+\]\.(arm|tail|rides).*",
        ("back", "left/right", "up"),
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
        ("back", "up or down"),
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
            r"firewall(\..*)?",
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
