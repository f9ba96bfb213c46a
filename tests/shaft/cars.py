"""The two invented cars with their intermediate shafts, as tables, jobs and chapters. Offsets in mm, car frame.

The saloon's datum lies 60 mm, the van's 40 mm below the middle of the column where it passes the firewall.
"""

from functools import cache
from pathlib import Path
from typing import Any

from fitcheck.geometry.gap import GapEngine
from fitcheck.job.loading import load
from fitcheck.job.model import Job
from fitcheck.job.shafting import Shafting
from fitcheck.placement.place import place
from fitcheck.placement.scene import Scene
from fitcheck.shaft.chapter import find
from fitcheck.shaft.results import ShaftChapter
from tests import jobs
from tests.jobs import Tables, at, mm

HERE = Path(__file__).resolve().parent
DRAWS = 40


class ShaftJob(Job):
    """A job with its intermediate shaft."""

    shaft: Shafting | None = None


def hub(**changes: Any) -> Tables:
    """One half of the cars' joints."""
    return {"to_end": mm(40), "bore": mm(25), "held_by": "set screw", "screw": mm(12), **changes}


def joint(name: str, **changes: Any) -> Tables:
    """A joint of the 3/4 in class."""
    return {"name": name, "swing": mm(34), "ear": mm(9), "wheel_hub": hub(), "rack_hub": hub(), **changes}


def on_tube(name: str, **changes: Any) -> Tables:
    """A joint whose hub toward the rack holds the tube half, by a bolt right through."""
    bolted = {"to_end": mm(40), "bore": mm(25), "held_by": "through bolt"}
    return joint(name, **{"rack_hub": bolted, **changes})


def spline(teeth: int = 36) -> Tables:
    return {"kind": "spline", "teeth": teeth}


DOUBLE_D = {"kind": "double-D"}
WELD_ON = {"kind": "weld-on"}


def telescoping(**changes: Any) -> Tables:
    """A telescoping shaft: tube half toward the wheel, solid half toward the rack."""
    return {
        "name": "telescoping shaft",
        "wheel_end": spline(),
        "rack_end": DOUBLE_D,
        "dia": mm(19),
        "over_flats": mm(14),
        "telescope": {"solid_toward": "rack", "tube_od": mm(25.4)},
        **changes,
    }


def bar(**changes: Any) -> Tables:
    """A plain bar, spline at one end, double-D at the other."""
    return {"name": "bar", "wheel_end": spline(), "rack_end": DOUBLE_D, "dia": mm(19), **changes}


def saloon_shaft(**changes: Any) -> Tables:
    """The saloon's two-joint shaft."""
    return {
        "hot": ["exhaust primary"],
        "joined": ["firewall"],
        "upper": {"joint_along": "780.4 mm ± 1 mm"},
        "lower": {
            "joint_at": at(-440, -95, -270, spread=mm(2)),
            "down": "18 deg",
            "across": "-4 deg",
            "moves": mm(0),
        },
        "joints": [on_tube("upper joint"), joint("lower joint")],
        "pieces": [telescoping()],
        "rock": {"about": at(-330, 60, -330), "at": at(-300, 60, -10), "by": mm(20), "lifts": "right"},
        "load": {"torque": "40 N m", "lever": mm(100)},
        **changes,
    }


def exhaust(left: float = 0.0) -> Tables:
    """The saloon's exhaust primary, moved so far to the driver's left."""
    line = [(-300, 60, -10), (-285, 45, -120), (-262, 30, -240), (-180, 28, -335)]
    places = [at(back, right - left, up) for back, right, up in line]
    return {"name": "exhaust primary", "group": "engine", "shape": {"through": places, "dia": mm(42)}}


def firewall() -> Tables:
    corners = [(0, -450, -270), (0, 450, -270), (0, 450, 460), (0, -450, 460)]
    hole = {"at": at(0, 0, 60), "dia": mm(57)}
    outline = [at(*corner) for corner in corners]
    return {
        "name": "firewall",
        "joined": ["column"],
        "shape": {"outline": outline, "thick": mm(1.2), "to": "front", "holes": [hole]},
    }


def rail() -> Tables:
    corner, opposite = at(-700, -290, -360), at(-80, -210, -250)
    return {"name": "left rail", "group": "frame", "shape": {"corner": corner, "opposite": opposite}}


def saloon(exhaust_left: float = 0.0, **changes: Any) -> Tables:
    """The saloon: column, unit, firewall, exhaust and rail, with its shaft; `changes` are the shaft's."""
    column = {
        "hub_seat": at(636, -13, 398, spread=mm(1.5)),
        "low": at(88.297, -1.805, 106.925, spread=mm(1.5)),
        "jacket_od": mm(50.8),
        "jacket_from": mm(60),
        "jacket_to": mm(715),
        "shaft_od": mm(19),
        "shaft_to": mm(764.6),
    }
    obstacles = [firewall(), exhaust(exhaust_left), rail()]
    return jobs.bare(column=column, unit=jobs.unit("10:45"), obstacles=obstacles, shaft=saloon_shaft(**changes))


def van_shaft(**changes: Any) -> Tables:
    """The van's two-joint shaft; the rack input's direction by a tube slipped over it."""
    joint_at = (-150.0, -60.0, -350.0)
    way = (-0.55 / 0.99750, -0.45 / 0.99750, -0.70 / 0.99750)
    near, far = ([c - so * w for c, w in zip(joint_at, way, strict=True)] for so in (60.0, 460.0))
    return {
        "upper": {"joint_along": "854.65 mm ± 1 mm"},
        "lower": {
            "joint_at": at(*joint_at, spread=mm(2)),
            "tube": {"near": at(*near), "far": at(*far), "od": mm(25)},
        },
        "joints": [on_tube("upper joint"), joint("lower joint")],
        "pieces": [telescoping()],
        **changes,
    }


def van(**changes: Any) -> Tables:
    """The van: column and unit, with its shaft; `changes` are the shaft's."""
    column = {
        "hub_seat": at(514, 8, 653, spread=mm(1.5)),
        "low": at(51.4, 0.8, 101.3, spread=mm(1.5)),
        "jacket_od": mm(38.1),
        "jacket_from": mm(70),
        "jacket_to": mm(790),
        "shaft_od": mm(19),
        "shaft_to": mm(839),
    }
    return jobs.bare(job=jobs.header(drive="right"), column=column, shaft=van_shaft(**changes))


def support(**changes: Any) -> Tables:
    """A support bearing on the wheel side of the middle joint, with room on the saloon's left rail."""
    room = [{"corner": at(-260, -110, -160), "opposite": at(-110, -20, -20)}]
    return {"from_joint": mm(60), "od": mm(52), "wide": mm(20), "room": room, "float_held": True, **changes}


def steep(**changes: Any) -> Tables:
    """The saloon with a box input that two joints reach only at more than any joint may stand at."""
    own = {"largest_angle": "35 deg"}
    return saloon(
        **{
            "lower": {
                "joint_at": at(-440, -95, -270, spread=mm(2)),
                "down": "-4 deg",
                "across": "-4 deg",
                "moves": mm(0),
            },
            "support": support(),
            "joints": [on_tube("upper joint", **own), joint("lower joint", **own)],
            "pieces": [telescoping(rack_end=spline())],
            "collapse": mm(50),
            **changes,
        }
    )


def job(tables: Tables) -> ShaftJob:
    """The tables as a job."""
    return load(jobs.text(tables), "job.toml", ShaftJob)


def scene(tables: Tables) -> Scene:
    """The placed scene of the tables."""
    return place(job(tables), HERE)


def chapter(tables: Tables, draws: int = DRAWS) -> ShaftChapter:
    """The shaft's chapter of the tables."""
    loaded = job(tables)
    found = find(loaded, place(loaded, HERE), GapEngine(), draws)
    assert found is not None
    return found


@cache
def saloon_as_it_is() -> ShaftChapter:
    """The saloon's chapter, worked out once."""
    return chapter(saloon())
