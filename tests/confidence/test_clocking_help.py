"""Where nothing fits: the pair in the way, and the one change that buys most, made by hand and judged afresh.

Sources: the closed form of `clocking_car`; the whole verdict on the changed job, which knows nothing of the search.
"""

from functools import cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import numpy as np
import pytest

from fitcheck.clearance.clocking_allowed import Allowed, Arc
from fitcheck.clearance.clocking_help import BRACKET, CLOCK, HAND, MOTOR, OBSTACLE, PLACE, changes_to_try, freedoms
from fitcheck.clearance.map import MapMaker
from fitcheck.confidence.clocking import ClockingChapter, find
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.job.opening import OpenJob
from fitcheck.job.variants import with_motor_moved, with_unit_at, without_obstacle
from fitcheck.placement.bracket_moved import with_bracket_moved
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.place import place
from fitcheck.report.clocking_text import clocking_text, exit_code
from fitcheck.verdict import judge
from tests import jobs
from tests.confidence import clocking_car as car


@cache
def folder() -> Path:
    return car.folder(Path(mkdtemp()))


def blocked(**changes: Any) -> jobs.Tables:
    """Only 8:30 to 9:30 allowed, where the wall leaves 2 mm of the 6, and a removable rod right in the way."""
    tables = car.tables(clocking={"clocks": "8:30 to 9:30", "places": "425 mm to 445 mm"})
    along = {"out": "58 mm", "out_from": "axis", "clock": "9:00"}
    ends = [{"along": "500 mm", **along}, {"along": "530 mm", **along}]
    rod = car.exact({"name": "rod", "removable": True, "shape": {"through": ends, "dia": "6 mm"}})
    return {**tables, "obstacles": [*tables["obstacles"], rod], **changes}


@cache
def chapter() -> ClockingChapter:
    return find(jobs.job(blocked()), folder())


def test_nothing_fits_and_the_pair_in_the_way_is_named() -> None:
    found = chapter()
    assert found.windows == ()
    assert found.forgiving is None
    assert exit_code(found) == 1
    assert {found.best.decides.pair.b.name} <= {"wall", "rod"}
    assert found.best.margin_mm < 0


def test_the_change_that_buys_most_made_by_hand_is_judged_the_same() -> None:
    """Any other clock is worth it: far from wall and rod the gear body decides."""
    best = chapter().changes[0]
    assert best.helped.change.kind == CLOCK
    assert best.judged is not None
    spot = best.helped.spot
    by_hand = with_unit_at(jobs.job(car.tables(obstacles=blocked()["obstacles"])), spot.clock, spot.place_mm)
    verdict = judge(OpenJob(by_hand, "", "", folder(), ""))
    margin = min(entry.margin_mm for entry in verdict.gaps if entry.pair.need.required_mm)
    assert best.judged.margin_mm == pytest.approx(margin, abs=0.06)
    rod = np.hypot(58.0 - 3.0 - car.GEAR_DIA / 2, 500.0 - (spot.place_mm + 40.0)) - car.FIXED_MM  # to the gear body
    exact = min(float(car.least(np.array(spot.clock), np.array(spot.place_mm))), rod)
    assert margin == pytest.approx(exact, abs=car.PROUD_MM)
    assert [tried.margin_mm for tried in chapter().changes] == sorted(
        (tried.margin_mm for tried in chapter().changes), reverse=True
    )


def test_taking_the_rod_out_leaves_the_wall_alone() -> None:
    """At 8:30 and 9:30 the wall leaves 80 - 58 cos 15 deg - 20 of the 6 mm: 2.02 mm short."""
    (without,) = [each for each in chapter().changes if each.helped.change.kind == OBSTACLE]
    wall = car.margins(np.radians(255.0), np.array(425.0))["wall"]
    assert wall == pytest.approx(-2.0237, abs=1e-3)
    assert without.margin_mm == pytest.approx(float(wall), abs=car.PROUD_MM + 0.1)
    assert without.helped.change.obstacle == "rod"


def test_the_words_say_what_is_in_the_way_and_what_buys_how_much() -> None:
    opened = OpenJob(jobs.job(blocked()), "", "job.toml", folder(), "0" * 64)
    said = " ".join(clocking_text(opened, chapter()).split())
    assert "NOTHING FITS: no clock and place tried keeps every gap. Least bad, in the way is" in said
    assert "What would help, one change at a time, most first" in said
    assert "another clock than those allowed: buys" in said
    assert "'rod' out of the way" in said
    assert "required gap" not in said.split("Worked with")[0].replace("every required gap", "")
    assert "stop" not in said.split("Worked with")[0]


def test_kinds_of_change_and_what_they_keep() -> None:
    job = jobs.job(bracketed())
    there = Allowed((Arc(4.0, 5.0),), 425.0, 445.0)
    changes = list(changes_to_try(job, folder(), place(job, folder()), there))
    kinds = {change.kind for change in changes}
    assert kinds == {CLOCK, PLACE, HAND, BRACKET, MOTOR, OBSTACLE}
    for change in changes:
        assert change.job.require == job.require
        assert change.job.pedals == job.pedals
    assert list(freedoms(job, there, stated_only=True)) == []


def bracketed() -> jobs.Tables:
    """A handed unit with room about its motor, held by a clamp on one leg; one box may go elsewhere."""
    leg = {"through": [jobs.at(330, -13, 190), jobs.at(300, -13, 420)], "dia": jobs.mm(20)}
    box = {"name": "box", "removable": True,
           "shape": {"corner": jobs.at(300, 200, 0), "opposite": jobs.at(340, 240, 40)}}  # fmt: skip
    return jobs.bare(
        bracket={"turns": "stays with the car", "clamp": {"along": "380 mm", "wide": "30 mm", "thick": "5 mm"},
                 "solids": {"leg": leg}},
        obstacles=[box],
    )  # fmt: skip


def test_a_moved_bracket_keeps_its_foot_and_takes_clamp_and_leg_along() -> None:
    job = jobs.job(bracketed())
    moved = with_bracket_moved(job, -20.0)
    assert moved is not None
    down = ColumnAxis(job).column2car.rotation[:, 2]
    old, new = (ends(each) for each in (job, moved))
    assert new[0] - old[0] == pytest.approx(-20.0 * down, abs=1e-9)
    assert new[1] == pytest.approx(old[1], abs=1e-9)
    assert moved.bracket is not None and moved.bracket.clamp is not None
    assert moved.bracket.clamp.along.mm == pytest.approx(360.0)
    assert with_bracket_moved(jobs.job(jobs.bare()), 5.0) is None


def ends(job: Job) -> np.ndarray:
    """Ends of the leg's axis as placed: near the clamp, and at the car."""
    part = place(job, folder()).part("bracket")
    assert part is not None
    (leg,) = [piece.vertices for piece in part.phases[0].pieces if piece.name == "leg"]
    foot = leg[:, 2] > leg[:, 2].mean()
    return np.array([leg[~foot].mean(axis=0), leg[foot].mean(axis=0)])


def test_a_moved_motor_keeps_both_faces() -> None:
    job = jobs.job(jobs.bare())
    moved = with_motor_moved(job, 15.0)
    assert moved is not None
    ends_, planes = zip(*(faces(each) for each in (job, moved)), strict=True)
    assert ends_[0] == pytest.approx(ends_[1], abs=1e-9)
    assert planes[1] - planes[0] == pytest.approx(15.0)
    assert with_motor_moved(job, 40.0) is None  # as long as the output stub
    assert with_motor_moved(job, -80.0) is None


def faces(job: Job) -> tuple[list[float], float]:
    """How far down the column the unit reaches, from and to, and where its motor's plane is."""
    scene = place(job, folder())
    part = scene.part("unit")
    assert part is not None and scene.setting.motor_plane_mm is not None
    drums = [piece for piece in part.phases[0].pieces if piece.name in ("sensor section", "output stub")]
    down = np.concatenate([ColumnAxis(job).column2car.inverse.points(piece.vertices)[:, 2] for piece in drums])
    return [float(down.min()), float(down.max())], scene.setting.motor_plane_mm


def test_an_obstacle_taken_out_takes_its_required_pairs_along() -> None:
    pairs = [{"between": ["unit", "box"], "gap": "9 mm", "why": "hot"}]
    job = without_obstacle(jobs.job({**bracketed(), "require": {"pairs": pairs}}), "box")
    assert job.obstacles == []
    assert job.require.pairs == []
    assert place(job, folder()).part("box") is None


def test_the_other_hand_of_the_saloons_unit_hits_from_nine_to_half_past_eleven() -> None:
    """Where the saloon has its unit along the column, every clock from 9:00 to 11:30 hits, as a can under 9:00."""
    tables = jobs.changed(jobs.saloon(), ("unit", "hand"), "under")
    job = jobs.job(tables)
    scene = place(job, jobs.EXAMPLES)
    at = scene.setting.input_face_mm
    clocks = np.radians(np.arange(270.0, 345.1, 2.5))
    maker = MapMaker(GapEngine(), job, scene, clocks, np.array([at, at + 0.5]))
    nodes = maker.nodes()
    assert nodes.meets.all()
    assert maker.cells(nodes).meets.all()  # with nothing left to ask about
    assert {nodes.decides(i, 0).b for i in range(len(clocks))} >= {"clutch"}  # type: ignore[union-attr]
