"""What cannot be as written is a fault under its key, with what to do; never a bare error of the geometry below."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.errors import JobError, KeyFault
from tests import jobs

STAYS = {"turns": "stays with the car"}
CLAMP = {"along": "390 mm", "wide": "30 mm", "thick": "5 mm"}
HEEL = jobs.at(430, None, -210)
HUB = jobs.bare()["column"]["hub_seat"]


def column(**changes: object) -> jobs.Tables:
    merged = {**jobs.bare()["column"], **changes}
    return jobs.bare(column={key: value for key, value in merged.items() if value is not None})


def without_hand(**changes: object) -> jobs.Tables:
    return {key: value for key, value in jobs.unit("3:00", **changes).items() if key != "hand"}


PLACING = [
    (column(jacket_to="60 mm"), ("column", "jacket_to"), "the jacket ends before it begins"),
    (column(jacket_to="40 mm"), ("column", "jacket_to"), "the jacket ends before it begins"),
    (column(down=None, across=None, low=HUB), ("column", "low"), "within 50 mm of the hub seat; take it farther down"),
    (column(down=None, across=None, low=jobs.at(600, -13, 338)), ("column", "low"), "within 50 mm of the hub seat"),
    (
        column(hub_seat={"along": "1 in", "out": "1 in", "out_from": "axis", "clock": "12:00"}),
        ("column",),
        "cannot be given off the column; give offsets from the datum",
    ),
    (column(jacket_od="0 mm"), ("column",), "diameter must be at least"),
    (jobs.bare(unit=jobs.unit("9:00", gear_body={"dia": "0 mm", "long": "90 mm"})), ("unit",), "gear body: its larger"),
    (
        jobs.bare(bracket={**STAYS, "clamp": {"along": "390 mm", "wide": "0 mm", "thick": "5 mm"}}),
        ("bracket",),
        "the distance between its ends",
    ),
    (
        jobs.bare(pivot_shafts=[{"name": "s", "at": jobs.at(1, 1, 1), "other_end": jobs.at(1, 1, 1), "dia": "22 mm"}]),
        ("pivot_shafts", 0, "other_end"),
        "both ends of the shaft are the same place",
    ),
    (jobs.bare(pedals=[jobs.clutch(pad=jobs.pad(jobs.at(320, -90, -95), high="0 mm"))]), ("pedals", 0), "clutch pad"),
    (
        jobs.bare(
            unit=without_hand(
                motor={"dia": "76 mm", "long": "130 mm", "lies": "parallel", "beside": "90 mm", "starts": "20 mm"},
                plug={"dia": "28 mm", "stands": "25 mm", "from_far_end": "40 mm", "side": "wheel"},
            )
        ),
        ("unit", "plug", "side"),
        'a plug stands "out" only',
    ),
    (
        jobs.bare(unit={"input_face": "430 mm", "clock": "9:00", "library": "no such unit"}),
        ("unit", "library"),
        'the library\'s unit is called "unit"',
    ),
    (
        jobs.bare(bracket={"turns": "with the unit", "library": "no such bracket"}),
        ("bracket", "library"),
        'the library\'s bracket is called "bracket"',
    ),
    (
        jobs.bare(unit={"input_face": "430 mm", "clock": "9:00", "library": "bracket"}),
        ("unit", "library"),
        'the library\'s unit is called "unit"',
    ),
    (jobs.bare(bracket={"turns": "with the unit", "library": "unit"}), ("bracket", "library"), 'called "bracket"'),
    (
        column(jacket_from="431 mm"),
        ("unit", "input_face"),
        "430 mm (16 15/16 in) to 640 mm (25 3/16 in) along, off the",
    ),
    (column(jacket_to="639 mm"), ("unit", "input_face"), "which runs from 60 mm to 639 mm (25 3/16 in)"),
    (column(shaft_od="19 mm", shaft_to="700 mm"), ("column", "shaft_to"), "the shaft ends inside the jacket"),
    (
        jobs.bare(bracket={**STAYS, "clamp": CLAMP, "bolts_to": ["gear body", "gear box"]}),
        ("bracket", "bolts_to", 1),
        "the unit has no piece 'gear box'; it has gear body, motor can, output stub, sensor section",
    ),
    (
        jobs.bare(pedals=[jobs.clutch(pivot=jobs.at(320, -90, -95), pad=jobs.pad(jobs.at(165, -82, 174)))]),
        ("pedals", 0, "kind"),
        "a hanging pedal, yet its pad lies above its pivot; swapped? check 'up' of both",
    ),
    *(
        (
            jobs.bare(obstacles=[{"name": "b", "shape": {"corner": jobs.at(1, 2, 3), "opposite": jobs.at(*other)}}]),
            ("obstacles", 0, "shape", "opposite"),
            f"{sides} of the box are the same place; measure both",
        )
        for sides, other in (
            ("front and rear", (1, 9, 9)),
            ("left and right side", (9, 2, 9)),
            ("top and underside", (9, 9, 3)),
        )
    ),
    (
        jobs.bare(pedals=[jobs.clutch()], driver={"foot": "men 96", "boots": [{"on": "clutch", "heel": HEEL}]}),
        ("driver", "foot"),
        '"women 95", or give foot_length, foot_breadth and ball_length instead',
    ),
    (
        jobs.bare(pedals=[jobs.clutch(pad=jobs.pad("pad center"))], points={"pad centre": jobs.at(320, -90, -95)}),
        ("pedals", 0, "pad", "at"),
        "there is no point named 'pad center' under [points]; did you mean 'pad centre'?",
    ),
    (
        jobs.bare(pedals=[jobs.clutch(pad=jobs.pad("elsewhere"))]),
        ("pedals", 0, "pad", "at"),
        "there is no point named 'elsewhere' under [points]; name one that is there, or write offsets in its place",
    ),
]


@pytest.mark.parametrize(("tables", "path", "words"), PLACING)
def test_what_cannot_be_is_a_fault_under_its_key(tables: jobs.Tables, path: tuple[str | int, ...], words: str) -> None:
    with pytest.raises(KeyFault) as caught:
        jobs.scene(tables)
    assert words in str(caught.value)
    assert caught.value.path == path


READING = [
    (jobs.bare(pedals=[jobs.clutch(pad=jobs.pad(jobs.at(0, 0, 0, **{"from": "hub seat"})))]), "'hub seat'"),
    (
        {**jobs.bare(), "points": {"a": jobs.at(0, 0, 1, **{"from": "b"}), "b": jobs.at(0, 0, 1, **{"from": "a"})}},
        "measured in a circle: a from b from a; one of them needs offsets from the datum",
    ),
    (jobs.bare(unit=jobs.unit("9:00", along_from="clamp")), "there is no mark named 'clamp'"),
    (jobs.bare(pedals=[{**jobs.clutch(), "pivot_shaft": "shaft"}]), "give either 'pivot' or 'pivot_shaft', not both"),
    (jobs.bare(pedals=[jobs.clutch(), jobs.clutch()]), "'clutch' is"),
    (
        jobs.bare(driver={"foot": "men 95", "boots": [{"on": "clutch", "heel": jobs.at(1, 1, 1)}]}),
        "no pedal named 'clutch'",
    ),
    (
        column(low=jobs.at(83, -2, 45)),
        "give either 'low' (a second place) or 'down' and 'across' (two angles), not both",
    ),
    (column(down=None), "give 'low' (a second place), or both 'down' and 'across'"),
    (
        column(shaft_od="19 mm"),
        "the shaft's end is missing: measure how far down the column from the hub seat it reaches and write shaft_to =",
    ),
    (
        column(shaft_to="720 mm"),
        "the shaft's size is missing: measure it by caliper below the jacket and write shaft_od =",
    ),
    (column(jacket_od="-50.8 mm"), '"-50.8 mm": this cannot be less than 0'),
    (jobs.bare(unit=jobs.unit("9:00", gear_body={"dia": "100 mm", "long": "-90 mm"})), "this cannot be less than 0"),
    (
        jobs.bare(unit={"input_face": "430 mm", "clock": "9:00", "library": "unit", "hand": "over"}),
        "'hand' says nothing",
    ),
    (
        jobs.bare(
            unit=jobs.unit(
                "9:00", motor={"dia": "9 mm", "long": "9 mm", "lies": "parallel", "beside": "9 mm", "starts": "9 mm"}
            )
        ),
        "'hand' says nothing here: only a can square to the column, given by its solids, is handed",
    ),
    *(
        (
            jobs.bare(pedals=[jobs.clutch(joined=[part])], bracket={**STAYS, "clamp": CLAMP}),
            f"never meant to touch the {part}",
        )
        for part in ("unit", "bracket")
    ),
    (
        jobs.bare(pedals=[jobs.clutch()], bracket={**STAYS, "clamp": CLAMP, "joined": ["clutch"]}),
        "the bracket is never meant to touch 'clutch', which moves; leave it out",
    ),
    (
        jobs.bare(
            pedals=[jobs.clutch()],
            driver={"foot": "men 95", "boots": [{"on": "clutch", "heel": HEEL}]},
            obstacles=[{"name": "boot on clutch", "shape": {"corner": jobs.at(1, 1, 1), "opposite": jobs.at(2, 2, 2)}}],
        ),
        "'boot on clutch' is another part's name too; every part needs its own",
    ),
]


@pytest.mark.parametrize(("tables", "words"), READING)
def test_what_leads_nowhere_is_a_fault_with_its_line(tables: jobs.Tables, words: str) -> None:
    with pytest.raises(JobError) as caught:
        jobs.job(tables)
    assert words in str(caught.value)
    assert all(fault.line > 1 for fault in caught.value.faults)


LENGTHS = [
    ("column", "jacket_from"),
    ("column", "jacket_to"),
    ("column", "jacket_od"),
    ("unit", "input_face"),
    ("unit", "motor", "long"),
    ("unit", "motor", "beside"),
    ("unit", "plug", "from_far_end"),
    ("bracket", "clamp", "thick"),
    ("pivot_shafts", 0, "dia"),
    ("pedals", 0, "travel"),
    ("pedals", 0, "over_travel"),
    ("pedals", 0, "arm_wide"),
    ("pedals", 0, "arm", 1, "at", "back"),
    ("pedals", 0, "pad", "at", "back"),
    ("pedals", 0, "pad", "thick"),
    ("linkages", 0, "pin", "back"),
    ("linkages", 0, "to", "forward"),
    ("driver", "boots", 0, "heel", "back"),
    ("obstacles", 0, "shape", "thick"),
    ("obstacles", 1, "shape", "corner", "up"),
]


@settings(max_examples=120, deadline=None)
@given(st.sampled_from(LENGTHS), st.sampled_from([-900, -50, -1, 0, 1e-4, 1, 50, 240, 320, 900, 5000, 99999]))
def test_a_number_gone_wrong_is_placed_or_refused_under_a_key(path: tuple[str | int, ...], value: float) -> None:
    """The whole saloon with one length replaced: all its parts, or a fault under a key; nothing else escapes."""
    tables = jobs.changed(jobs.saloon(), path, jobs.mm(value))
    fault: JobError | KeyFault | None = None
    try:
        scene = jobs.scene(tables)
    except (JobError, KeyFault) as error:
        fault = error
    if fault is None:
        assert len(scene.parts) + len(scene.unplaced) == 19
    elif isinstance(fault, KeyFault):
        assert fault.path[0] in tables and len(fault.message) > 10
    else:
        assert all(each.line > 1 for each in fault.faults)
