"""Cars whose maps are looked at, and where a unit stands at any clock, place and pull, worked out apart from the map.

Millimetres and radians; frames lead to the car's. Every car is invented.
"""

import numpy as np

from fitcheck.clearance.map import Map, MapMaker
from fitcheck.geometry.frames import Frame, Vector, turned
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.place import place
from fitcheck.placement.scene import Scene
from tests import jobs

BEARING_MM = 640.0
PULL_MM = 3.0  # at the input face

CAP_MM = 60.0  # no margin above it is told apart


def box(name: str, low: tuple[float, float, float], high: tuple[float, float, float]) -> jobs.Tables:
    return {"name": name, "shape": {"corner": jobs.at(*low), "opposite": jobs.at(*high)}}


def car(**changes: object) -> jobs.Tables:
    """Column of car A with a bearing, a smaller unit, all three pedals, a boot, a wall, a dash, a box and a pipe."""
    plug = {"dia": "20 mm", "stands": "15 mm", "from_far_end": "30 mm", "side": "wheel"}
    motor = {"dia": "50 mm", "long": "80 mm", "lies": "square", "beside": "36 mm", "starts": "30 mm"}
    drums = {"gear_body": {"dia": "70 mm", "long": "70 mm"}, "sensor": {"dia": "56 mm", "long": "60 mm"}}
    tables = jobs.bare(
        column={**jobs.bare()["column"], "lower_bearing": jobs.mm(BEARING_MM)},
        unit=jobs.unit("10:30", plug=plug, motor=motor, **drums),
        pedals=[jobs.clutch(), jobs.brake(), jobs.throttle()],
        driver={"foot": "men 50", "boots": [{"on": "brake", "heel": jobs.at(420, 68, -270)}]},
        obstacles=[
            box("wall", (-20, -400, -300), (0, 400, 500)),
            box("dash", (400, -400, 380), (460, 400, 470)),
            box("box", (60, 90, 190), (170, 210, 300)),
            {"name": "pipe", "soft": True, "shape": {"through": [jobs.at(30, -250, 40), jobs.at(60, 250, 20)],
                                                     "dia": "12 mm"}},
        ],
        require={"wheel_pull": jobs.mm(PULL_MM)},
    )  # fmt: skip
    return {**tables, **changes}


ENGINE = {
    "about": jobs.at(-100, 0, -260),
    "runs": "along the car",
    "at": jobs.at(60, 120, 60),
    "by": "15 mm",
    "lifts": "right",
    "other_way": "4 mm",
}
ADJUSTED = {
    "tilt": {"pivot": jobs.at(50, None, 26), "up": "12 mm", "down": "15 mm"},
    "reach": {"slides_at": "665 mm", "toward_driver": "15 mm", "away": "10 mm"},
}
FRAME = {"up_down": "4 mm", "sideways": "3 mm", "fore_aft": "3 mm"}


def moving_car(**changes: object) -> jobs.Tables:
    """The car with a column that tilts and reaches, an engine that rocks, a frame that shifts, parts on both."""
    tables = car(groups={"engine": ENGINE, "frame": FRAME, "column": ADJUSTED})
    for name, group in (("box", "engine"), ("pipe", "frame")):
        next(obstacle for obstacle in tables["obstacles"] if obstacle["name"] == name)["group"] = group
    return {**tables, **changes}


def placed(tables: jobs.Tables) -> tuple[Job, Scene]:
    job = jobs.job(tables)
    return job, place(job, jobs.EXAMPLES)


def mapped(tables: jobs.Tables, clocks_deg: Vector, places_mm: Vector, around: bool = False) -> Map:
    job, scene = placed(tables)
    maker = MapMaker(GapEngine(), job, scene, np.radians(clocks_deg), places_mm, around, 0.5, CAP_MM)
    nodes = maker.nodes()
    return Map(maker.clocks, maker.places_mm, CAP_MM, nodes, maker.cells(nodes))


def standing(job: Job, scene: Scene, clock: float, place_mm: float, pull_mm: float = 0.0, way: float = 0.0) -> Frame:
    """Takes the unit from where the scene has it to a clock and place, then pulled by so much, any way round."""
    column2car = ColumnAxis(job).column2car
    now, then = (
        column2car @ Frame(turned(np.eye(3), np.array([0, 0, 1.0]), angle).T, np.array([0, 0, along]))
        for angle, along in ((scene.setting.clock, scene.setting.input_face_mm), (clock, place_mm))
    )
    axis = column2car.directions([np.cos(way), np.sin(way), 0.0])
    bearing = column2car.points([0, 0, BEARING_MM])
    rotation = turned(np.eye(3), axis, float(np.arcsin(pull_mm / (BEARING_MM - place_mm)))).T
    heave = Frame(rotation, bearing - rotation @ bearing)
    return heave @ then @ now.inverse


def at_unit(tables: jobs.Tables, clock_deg: float, place_mm: float) -> jobs.Tables:
    """The same car with its unit at another clock and place."""
    turned_ = jobs.changed(tables, ("unit", "clock"), jobs.deg(clock_deg))
    return jobs.changed(turned_, ("unit", "input_face"), jobs.mm(place_mm))
