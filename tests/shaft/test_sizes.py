"""Sizes of the shaft's parts that cannot be are refused in the file, each by its key; mm."""

from typing import Any

import pytest

from fitcheck.errors import JobError, KeyFault
from tests.jobs import Tables, at, mm
from tests.shaft import cars

TUBE = {"solid_toward": "rack", "tube_od": mm(15)}
LOAD = {"torque": "40 N m", "lever": mm(0)}
ROCK = {"about": at(-330, 60, -330), "at": at(-300, 60, -10), "by": mm(-20), "lifts": "right"}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"pieces": [cars.telescoping(telescope=TUBE)]}, "does not slide in a tube 15 mm across"),
        ({"pieces": [cars.telescoping(telescope={**TUBE, "tube_od": mm(0)})]}, "tube_od.*more than 0"),
        ({"pieces": [cars.bar(dia=mm(0))]}, "dia.*more than 0"),
        ({"pieces": [cars.bar(over_flats=mm(20))]}, "over_flats.*less than 'dia'"),
        ({"pieces": [cars.bar(hollow=mm(19))]}, "hollow.*less than 'dia'"),
        (
            {"joints": [cars.joint("a", wheel_hub=cars.hub(screw=mm(30))), cars.joint("b")]},
            "sit 30 mm in a bore only 25 mm",
        ),
        (
            {"joints": [cars.joint("a", wheel_hub=cars.hub(short_by=mm(100))), cars.joint("b")]},
            "short by 100 mm in a bore",
        ),
        ({"joints": [cars.joint("a", swing=mm(0)), cars.joint("b")]}, r"joints\[1\].swing.*more than 0"),
        (
            {"joints": [cars.joint("a", swing=mm(20)), cars.joint("b")]},
            "sweeps 20 mm as it turns, no more than the shaft",
        ),
        ({"joints": [cars.joint("a", largest_angle="-5 deg"), cars.joint("b")]}, "more than 0; got -5 deg"),
        ({"load": LOAD}, r"shaft\.load\.lever.*more than 0"),
        ({"load": {"torque": "0 N m"}}, "torque has to be more than 0"),
        ({"rock": ROCK}, r"shaft\.rock\.by.*more than 0"),
    ],
)
def test_refused_in_the_file(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(JobError, match=words):
        cars.job(cars.saloon(**changes))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"from_joint": mm(20)}, "lies in the joint's hub, which reaches 40 mm"),
        ({"od": mm(5)}, "does not go round a shaft"),
    ],
)
def test_a_bearing_that_cannot_be_there_is_refused(changes: Tables, words: str) -> None:
    joints = [cars.joint("a"), cars.joint("b"), cars.joint("c")]
    tables = cars.saloon(support=cars.support(**changes), joints=joints, pieces=[cars.bar(), cars.telescoping()])
    with pytest.raises(JobError, match=words):
        cars.job(tables)


@pytest.mark.parametrize("moves", [300, 600])
def test_a_box_that_moves_half_the_shaft_is_a_slip_of_the_pen(moves: float) -> None:
    tables = cars.saloon()
    tables["shaft"]["lower"]["moves"] = mm(moves)
    with pytest.raises(KeyFault, match=f"a box that moves {moves} mm at the end of a shaft 500 mm long"):
        cars.chapter(tables, 2)
