"""Readings that are possible but odd, defaults in use, and what is said and not used: each told in words under its key.

What counts as odd is common practice, no source, but for the order of the pedals (Swiss vehicle technical ordinance,
Art. 108: clutch, brake, accelerator from the left, as quoted in a collection of rules).
"""

import pytest

from fitcheck.errors import KeyFault
from fitcheck.placement.assumed import assumed
from fitcheck.placement.ignored import ignored
from fitcheck.placement.oddities import Odd, oddities
from fitcheck.placement.place import place
from tests import jobs
from tests.jobs import at


def odd(tables: jobs.Tables) -> list[tuple[str, str]]:
    return [(each.key, each.why) for each in oddities(jobs.job(tables), jobs.scene(tables))]


def column(**changes: object) -> jobs.Tables:
    return jobs.bare(column={**jobs.bare()["column"], **changes})


@pytest.mark.parametrize("tables", [jobs.saloon(), jobs.bare(), jobs.bare(pedals=[jobs.van_clutch()])])
def test_nothing_is_odd_about_the_invented_cars(tables: jobs.Tables) -> None:
    assert odd(tables) == []


def heels(*ups: float) -> jobs.Tables:
    """Boots on clutch, brake and throttle whose heels stand at those heights."""
    names = ("clutch", "brake", "throttle")
    return {
        "foot": "men 95",
        "boots": [{"on": on, "heel": at(430, None, up)} for on, up in zip(names, ups, strict=False)],
    }


def by_low(low: jobs.Tables) -> jobs.Tables:
    """A column by its hub seat and a second place."""
    given = {key: value for key, value in jobs.bare()["column"].items() if key not in ("down", "across")}
    return jobs.bare(column={**given, "low": low})


HIGH_ARM = [{"at": at(203, -82, 92)}]
USUAL = "they are 25 mm (1 in) to 90 mm (3 9/16 in)"


@pytest.mark.parametrize(
    ("tables", "key", "why"),
    [
        (
            column(jacket_od="20 mm"),
            "column.jacket_od",
            f"a jacket of 20.0 mm (13/16 in); {USUAL}",
        ),
        (
            column(jacket_od="90.1 mm"),
            "column.jacket_od",
            f"a jacket of 90.1 mm (3 9/16 in); {USUAL}",
        ),
        (column(down="4 deg"), "column", "its lower end does not lie ahead of and below the hub seat (4 degrees down)"),
        (
            column(down="-28 deg"),
            "column",
            "its lower end does not lie ahead of and below the hub seat (-28 degrees down)",
        ),
        (column(across="12 deg"), "column", "its lower end leans 11 degrees to the driver's right; left for right?"),
        (column(across="-12 deg"), "column", "its lower end leans 11 degrees to the driver's left; left for right?"),
        (
            jobs.bare(pedals=[jobs.clutch(travel="15 mm")]),
            "pedals[1].travel",
            "15 mm (9/16 in) of travel at the clutch pad",
        ),
        (
            jobs.bare(pedals=[jobs.clutch(travel="225 mm")]),
            "pedals[1].travel",
            "225 mm (8 7/8 in) of travel at the clutch pad",
        ),
        (jobs.bare(unit=jobs.unit("9:00 ± 11 deg")), "unit.clock", "a reading good to give or take 11 deg is a guess"),
        (
            jobs.bare(unit=jobs.unit("9:00", input_face="430 mm ± 21 mm")),
            "unit.input_face",
            "a reading good to give or take 21 mm (13/16 in) is a guess",
        ),
        (
            jobs.bare(pedals=[jobs.brake(), jobs.clutch(pad=jobs.pad(at(320, 69, -95)))]),
            "pedals",
            "the clutch pad lies right of the brake pad; left for right?",
        ),
        (
            jobs.bare(pedals=[jobs.throttle(name="accelerator"), jobs.brake(pad=jobs.pad(at(310, 179, -82)))]),
            "pedals",
            "the brake pad lies right of the accelerator pad; left for right?",
        ),
        (  # faces 117 mm apart, the blocks' middles 6 mm ahead of them along their paths: 4.5 mm and 3.0 mm lower
            jobs.bare(pedals=[jobs.brake(), jobs.clutch(arm=HIGH_ARM, pad=jobs.pad(at(320, -90, 35)))]),
            "pedals[2].pad.at",
            "at rest the clutch pad lies 115 mm (4 9/16 in) above the brake pad (pedals[1].pad.at); up for down?",
        ),
        (
            jobs.bare(pedals=[jobs.clutch(), jobs.brake()], driver=heels(-210, 210)),
            "driver.boots[2].heel",
            "it stands 420 mm (16 9/16 in) above the next heel, and both on one floor; up for down?",
        ),
        (
            jobs.bare(pedals=[jobs.clutch(), jobs.brake(), jobs.throttle()], driver=heels(90, -210, 90)),
            "driver.boots[2].heel",
            "it stands 300 mm (11 13/16 in) below the next heel, and both on one floor; up for down?",
        ),
        (
            jobs.bare(cuts={"saw": {"kerf": "1 1/32 in"}}),
            "cuts.saw.kerf",
            "a kerf of 1 1/32 in; saws leave 0.3 mm to 5 mm",
        ),
        (  # sqrt(719^2 + 11^2 + 263^2 - 25.4^2): the tape lay half a jacket square off the axis
            by_low(at(-83, -2, 75, side="underside")),
            "column.low",
            "it lies 765 mm (30 1/8 in) down from the hub seat, the jacket goes from 60 mm (2 3/8 in) to 700 mm "
            "(27 9/16 in); forward for back?",
        ),
    ],
)
def test_what_is_odd_is_told_under_its_key(tables: jobs.Tables, key: str, why: str) -> None:
    assert (key, why) in odd(tables)


def test_a_travel_that_no_shin_follows_is_named_beside_the_knee() -> None:
    """A clutch travel of 15 1/2 in for 5 1/2: the foot goes where the knee, read right, cannot be."""
    knees = {"knee": at(530, -140, 320, side="front"), "knee_at_full": at(485, -130, 235, side="front")}
    driver = {"foot": "men 95", "boots": [{"on": "clutch", "heel": at(430, None, -210), **knees}]}
    tables = jobs.bare(pedals=[jobs.clutch(travel="15 1/2 in")], driver=driver)
    with pytest.raises(KeyFault) as fault:
        place(jobs.job(tables), jobs.EXAMPLES, whole=True)
    assert fault.value.path == ("driver", "boots", 0, "knee_at_full")
    assert "with the clutch at full travel; no shin is so" in str(fault.value)
    assert str(fault.value).endswith("Check this place and the travel of the clutch")


def test_a_question_ends_the_line_that_is_told() -> None:
    assert Odd("column", "left for right?").told == "LOOKS ODD, measure again: column: left for right?"
    assert Odd("column", "a guess").told == "LOOKS ODD, measure again: column: a guess."


def test_an_arm_on_the_other_side_than_its_pad_is_odd() -> None:
    """Arm 89 to the driver's right, pad 101 to the left (3 1/2 and 4 in): 190 mm, 7 1/2 in, apart."""
    tables = jobs.bare(pedals=[jobs.clutch(arm=[{"at": jobs.at(203, 89, 92)}], pad=jobs.pad(at(320, -101, -95)))])
    assert odd(tables) == [("pedals[1].arm", "the clutch arm runs 190 mm (7 1/2 in) beside its pad; left for right?")]


def test_travel_by_angle_is_odd_under_its_own_key() -> None:
    tables = jobs.bare(pedals=[jobs.clutch(travel_angle="3 deg")])
    del tables["pedals"][0]["travel"]
    assert [key for key, _ in odd(tables)] == ["pedals[1].travel_angle"]


@pytest.mark.parametrize(
    "tables",
    [
        column(jacket_od="25 mm"),
        column(down="5.1 deg"),
        column(across="6 deg"),
        jobs.bare(pedals=[jobs.clutch(travel="20.1 mm")]),
        jobs.bare(unit=jobs.unit("9:00 ± 10 deg", input_face="430 mm ± 20 mm")),
        jobs.bare(pedals=[jobs.clutch(), jobs.brake(), jobs.throttle()], driver=heels(-210, -130, -160)),
        jobs.bare(cuts={"saw": {"kerf": "5 mm"}}),
        by_low(at(83, -2, 50, side="underside")),
        by_low(at(-20, -2, -20)),  # read to the middle: the bare shaft below the jacket
        jobs.bare(pedals=[jobs.changed(jobs.clutch(), ("travel",), None)]),  # not measured yet is not odd
    ],
)
def test_what_lies_just_within_is_not(tables: jobs.Tables) -> None:
    assert odd(tables) == []


def test_one_default_of_several_pedals_is_told_once() -> None:
    pedals = [jobs.clutch(), jobs.brake(side_wear="0 mm"), jobs.throttle(pulled_up="5 mm")]
    said = list(assumed(jobs.job(jobs.bare(pedals=pedals))))
    assert said == [
        "require.wheel_pull not given: the unit moves 3 mm each way when the wheel is pulled",
        "column.lower_bearing not given: taken at the jacket's lower end",
        "clutch, brake: pulled_up not given: each can be pulled 10 mm beyond rest by hand",
        "clutch, throttle: side_wear not given: each has a pad that moves 4 mm each way sideways",
        "clutch, brake, throttle: boss_dia not given: each has an arm that ends square at its pivot, without an eye",
        "clutch, brake, throttle: pad.tilt not given: each has a pad square to its path",
    ]
    alone = list(assumed(jobs.job(jobs.bare(pedals=[jobs.changed(jobs.clutch(), ("over_travel",), None)]))))
    assert "clutch: over_travel not given: it goes 10 mm beyond full travel" in alone


def test_nothing_given_is_left_out_in_silence() -> None:
    shape = {"corner": at(1, 2, 3), "opposite": at(9, 9, 9)}
    groups = {"downpipe": "engine", "rail": "frame", "header": "engine", "duct": "body"}
    tables = jobs.bare(
        points={"spare": at(1, 2, 3), "mark": at(320, -90, -95), "base": at(0, 0, 0), "odd one": at(5, 5, 5)},
        pedals=[jobs.clutch(pad=jobs.pad(at(0, 0, 0, **{"from": "mark"})))],
        driver={
            "foot": "men 95",
            "boots": [{"on": "clutch", "heel": {**at(430, -90, -210)}}],
        },
        obstacles=[{"name": name, "shape": shape, "group": group} for name, group in groups.items()],
    )
    tables["points"]["mark"]["from"] = "base"
    assert list(ignored(jobs.job(tables))) == [
        "points.spare is not used: no other place is taken from it",
        'points."odd one" is not used: no other place is taken from it',
        "driver.boots[1].heel.left is not used: the boot stands straight behind its pad",
    ]


def test_a_point_named_like_a_part_is_used_only_where_a_place_may_stand() -> None:
    tables = jobs.bare(points={"clutch": at(1, 2, 3), "pad": at(320, -90, -95)})
    tables["pedals"] = [jobs.clutch(pad=jobs.pad("pad"))]
    assert list(ignored(jobs.job(tables))) == ["points.clutch is not used: no other place is taken from it"]
    tables["obstacles"] = [{"name": "rod", "shape": {"through": ["clutch", at(50, 50, 50)], "dia": "10 mm"}}]
    assert list(ignored(jobs.job(tables))) == []
    assert list(ignored(jobs.job(jobs.saloon()))) == []
