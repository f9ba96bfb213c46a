"""The two invented example cars with their bench readings, as tables that a test changes first. mm."""

import copy
import tomllib
from pathlib import Path
from typing import Any

from fitcheck.cuts.limits import Found, Limit, LimitResult
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.plan import CutPlan, cut_plan
from fitcheck.job.cutting import Cuts
from fitcheck.job.loading import load
from fitcheck.job.model import Job
from tests.jobs import Tables, changed, text

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

UNIT_ENDS: Tables = {
    "face_to_face": "210 mm",
    "input_depth": "30 mm",
    "output_depth": "32 mm",
    "collar_depth": "30 mm",
    "lower_collar_mouth": "195 mm",
    "lower_collar_depth": "25 mm",
}
FITS: Tables = {
    "upper_jacket": {"engagement": ["20 mm", "30 mm"]},
    "upper_shaft": {"engagement": ["25 mm", "28 mm"], "end_gap": ["2 mm", "4 mm"]},
    "lower_jacket": {"engagement": ["15 mm", "25 mm"]},
    "lower_shaft": {"engagement": ["26 mm", "30 mm"], "end_gap": ["2 mm", "5 mm"]},
}
FIXINGS = [
    {"piece": "upper shaft", "what": "set screw", "from_mouth": "12 mm", "dia": "8 mm"},
    {"piece": "lower shaft", "what": "cross-bolt", "from_mouth": "14 mm", "dia": "8 mm"},
]
SALOON_CUTS: Tables = {
    "column_kind": "energy-absorbing",
    "below": "jacket in a collar",
    "bores_apart": "0 deg",
    "bench": {
        "hub_seat_to_jacket_top": "2 3/8 in",
        "jacket_overall": "25 25/32 in",
        "shaft_stick_out": "2 9/16 in",
        "shaft_overall": "32 3/16 in",
        "hub_seat_to_shaft_top": "1 15/32 in",
    },
    "unit": UNIT_ENDS,
    "fits": FITS,
    "saw": {"kind": "bandsaw", "kerf": "1.1 mm", "trim_square": "0.5 mm"},
    "bar": {"kind": "double-D"},
    "fixings": FIXINGS,
    "zones": [
        {"name": "lock housing", "measured_from": "jacket top", "starts": "0 mm", "ends": "2 in"},
        {
            "name": "mesh section",
            "measured_from": "jacket top",
            "starts": "3 in",
            "ends": "10 3/4 in",
            "collapses": True,
        },
        {"name": "shear pins", "on": "shaft", "measured_from": "hub seat", "starts": "6 in", "ends": "8 1/4 in"},
    ],
    "kept": [
        {"name": "cancel cam", "on": "shaft", "along": "18 mm"},
        {"name": "lock collar", "on": "shaft", "along": "4 1/8 in"},
    ],
    "stroke": {"before": "96 mm", "rooms": [{"name": "mesh section", "room": "100 mm"}]},
    "firewall": {
        "slope": "90 deg",
        "along": "28 3/8 in",
        "passes_dia": "2 in",
        "thick": "1.2 mm",
        "clearance": "4 mm",
        "bolts": {"count": 3, "circle": "96 mm", "dia": "6.5 mm", "first": "12:00", "plate": "130 mm"},
    },
}
VAN_CUTS: Tables = {
    "column_kind": "plain",
    "below": "jacket in a collar",
    "bores_apart": "0 deg",
    "bench": {
        "hub_seat_to_jacket_top": "70 mm",
        "jacket_overall": "720 mm",
        "shaft_stick_out": "60 mm",
        "shaft_overall": "885 mm",
        "hub_seat_to_shaft_top": "35 mm",
    },
    "unit": UNIT_ENDS,
    "fits": FITS,
    "saw": {"kind": "hacksaw", "kerf": "1 mm", "trim_square": "0.5 mm"},
    "bar": {"kind": "double-D"},
    "fixings": FIXINGS,
    "zones": [{"name": "dash clamp", "measured_from": "jacket top", "starts": "110 mm", "ends": "150 mm"}],
    "kept": [{"name": "horn contact", "on": "jacket", "along": "95 mm"}],
    "firewall": {"slope": "50 deg", "along": "800 mm", "passes_dia": "19 mm", "thick": "1.5 mm"},
}


class CutJob(Job):
    """A job that holds its cuts."""

    cuts: Cuts


def saloon_cuts() -> Tables:
    """Car A with its bench readings."""
    return _example("saloon-10-45", SALOON_CUTS)


def van_cuts() -> Tables:
    """Car B with its bench readings."""
    return _example("van-440-along", VAN_CUTS)


def both_cars() -> list[Tables]:
    """Car A and car B."""
    return [saloon_cuts(), van_cuts()]


def _example(name: str, cuts: Tables) -> Tables:
    tables = tomllib.loads((EXAMPLES / name / "job.toml").read_text(encoding="utf-8"))
    return {key: value for key, value in tables.items() if key not in ("cuts", "shaft")} | {"cuts": copy.deepcopy(cuts)}


def cut_job(tables: Tables) -> CutJob:
    """The tables as a job; raises JobError."""
    return load(text(tables), "job.toml", CutJob)


def planned(tables: Tables) -> CutPlan:
    """The cut list of the tables."""
    job = cut_job(tables)
    return cut_plan(job, job.cuts)


def with_done(tables: Tables, **pieces: dict[str, str]) -> Tables:
    """The tables with what was cut so far, by key of the piece."""
    return changed(tables, ("cuts", "done"), pieces)


def piece_of(plan: CutPlan, name: str) -> Piece:
    """The planned piece of that name."""
    return next(piece for piece in plan.pieces if piece.name == name)


def limit_of(plan: CutPlan, what: str) -> Found:
    """The one limit whose text holds `what`."""
    found = [limit for limit in plan.limits if what in limit.what]
    assert len(found) == 1, [limit.what for limit in plan.limits]
    return found[0]


def value_of(plan: CutPlan, what: str) -> float:
    """Its value, mm."""
    limit = limit_of(plan, what)
    assert isinstance(limit, Limit)
    return limit.stack.mm


def not_kept(plan: CutPlan) -> list[str]:
    """What does not keep, with why."""
    return [f"{one.what}: {one.reason}" for one in plan.limits if one.result is not LimitResult.KEEPS]


def setting(path: str, value: Any, tables: Tables) -> Tables:
    """The tables with `value` at a dotted path under [cuts]; None takes the key out."""
    if value is None and "." not in path:
        return {**tables, "cuts": {key: item for key, item in tables["cuts"].items() if key != path}}
    return changed(tables, ("cuts", *path.split(".")), value)
