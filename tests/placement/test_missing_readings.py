"""Readings not taken yet: a part that waits for them is named with its keys, and nothing else is lost."""

import pytest

from fitcheck.errors import KeyFault
from fitcheck.placement.scene import Kind, Scene
from tests import jobs


def car(**clutch: object) -> jobs.Tables:
    """Two pedals, each with pushrod and boot; what is None is left out of the clutch."""
    pedals = [{key: value for key, value in jobs.clutch(**clutch).items() if value is not None}, jobs.brake()]
    sides = {"clutch": -82, "brake": 106}
    return jobs.bare(
        pedals=pedals,
        linkages=[
            {
                "name": f"{name} rod",
                "driven_by": name,
                "kind": "pushrod",
                "dia": "8 mm",
                "pin": jobs.at(189, right, 122),
                "to": jobs.at(-10, right, 134),
            }
            for name, right in sides.items()
        ],
        driver={
            "foot": "men 95",
            "boots": [{"on": name, "heel": jobs.at(430, right, -270)} for name, right in sides.items()],
        },
        obstacles=[{"name": "duct", "shape": {"corner": jobs.at(5, 76, 150), "opposite": jobs.at(110, 230, 300)}}],
    )


EVERYTHING = ["column", "unit", "clutch", "brake", "clutch rod", "brake rod", "boot on clutch", "boot on brake", "duct"]
OF_THE_CLUTCH = ["clutch", "clutch rod", "boot on clutch"]


def names(scene: Scene) -> list[str]:
    return [each.name for each in scene.parts]


def test_a_whole_car_waits_for_nothing() -> None:
    scene = jobs.scene(car())
    assert names(scene) == EVERYTHING
    assert scene.unplaced == ()


WAITING = [
    ({"travel": None}, ("pedals[1].travel",), "from rest to full travel, in a straight line"),
    ({"pad": None}, ("pedals[1].pad",), "the clutch pad at rest: back, right or left, and up"),
    ({"pivot": None}, ("pedals[1].pivot",), "the clutch pedal's pivot: how far back and up it is"),
    ({"pad": {"wide": "60 mm", "high": "55 mm", "thick": "12 mm"}}, ("pedals[1].pad.at",), "the clutch pad at rest"),
    ({"pad": jobs.pad(jobs.at(320, None, -95))}, ("pedals[1].pad.at.right",), "right or left of the datum"),
    (
        {"pad": jobs.pad(jobs.at(None, None, -95))},
        ("pedals[1].pad.at.back", "pedals[1].pad.at.right"),
        "how far behind or ahead of the datum it is; how far to the driver's right or left",
    ),
    ({"pivot": jobs.at(165, -82, None)}, ("pedals[1].pivot.up",), "how far above or below the datum it is"),
]


@pytest.mark.parametrize(("change", "keys", "measure"), WAITING)
def test_a_pedal_without_its_swing_waits_and_so_do_its_rod_and_boot(
    change: jobs.Tables, keys: tuple[str, ...], measure: str
) -> None:
    scene = jobs.scene(car(**change))
    assert [each.name for each in scene.unplaced] == OF_THE_CLUTCH
    assert [each.kind for each in scene.unplaced] == [Kind.PEDAL, Kind.LINKAGE, Kind.BOOT]
    assert all(each.keys == keys and measure in each.measure for each in scene.unplaced)
    assert names(scene) == [name for name in EVERYTHING if name not in OF_THE_CLUTCH]


@pytest.mark.parametrize(
    ("change", "keys"),
    [
        ({"arm": None}, ("pedals[1].arm",)),
        ({"arm_wide": None}, ("pedals[1].arm_wide",)),
        (
            {"arm": None, "arm_wide": None, "arm_thick": None},
            ("pedals[1].arm", "pedals[1].arm_wide", "pedals[1].arm_thick"),
        ),
    ],
)
def test_a_pedal_without_its_arm_waits_alone(change: jobs.Tables, keys: tuple[str, ...]) -> None:
    """How it swings is known, so rod and boot are placed: what can be judged is judged."""
    scene = jobs.scene(car(**change))
    (waits,) = scene.unplaced
    assert (waits.name, waits.kind, waits.keys) == ("clutch", Kind.PEDAL, keys)
    assert "the clutch arm: its front edge where it passes the column, its width and its thickness" in waits.measure
    assert names(scene) == [name for name in EVERYTHING if name != "clutch"]


def test_whether_it_is_new_goes_with_a_part_that_waits() -> None:
    (waits, *_) = jobs.scene(car(travel=None, altered=True)).unplaced
    assert waits.new


def test_an_obstacle_with_half_a_corner_waits_alone() -> None:
    tables = jobs.changed(car(), ("obstacles", 0, "shape", "corner"), jobs.at(5, None, 150))
    (waits,) = jobs.scene(tables).unplaced
    assert (waits.name, waits.keys) == ("duct", ("obstacles[1].shape.corner.right",))


def test_a_named_point_that_is_not_whole_is_asked_for_by_its_own_name() -> None:
    tables = {**car(pad=jobs.pad("pad centre")), "points": {"pad centre": jobs.at(320, -90, None)}}
    scene = jobs.scene(tables)
    assert [each.name for each in scene.unplaced] == OF_THE_CLUTCH
    assert scene.unplaced[0].keys == ('points."pad centre".up',)


@pytest.mark.parametrize("place", ["hub_seat", "low"])
def test_without_its_column_a_job_has_no_places_and_says_so(place: str) -> None:
    tables = car()
    if place == "low":
        for key in ("down", "across"):
            del tables["column"][key]
        tables["column"]["low"] = jobs.at(83, -2, 45)
    with pytest.raises(KeyFault, match=rf"column\.{place}\.right") as caught:
        jobs.scene(jobs.changed(tables, ("column", place, "left"), None))
    assert caught.value.path == ("column",)
