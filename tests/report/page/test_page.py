"""The page as a file: what may run in it, what it asks for, hostile names, and the floors along the travel.

Floors are held against coal's distances at many places of the travel, and against where the parts first touch.
"""

import json
import re
from base64 import b64decode, b64encode
from hashlib import sha256
from html.parser import HTMLParser
from pathlib import Path

import coal
import numpy as np
import pytest

from fitcheck.clearance.travel import phases
from fitcheck.confidence.results import Result
from fitcheck.geometry.frames import Vector
from fitcheck.job.opening import open_job
from fitcheck.placement.scene import Part
from fitcheck.report.gap_text import gap
from fitcheck.report.page.model import model, rows, said_gap
from fitcheck.report.page.page import page, three_js
from fitcheck.verdict import judge
from tests import jobs
from tests.command import Said, written
from tests.report.page.made import chart_of, floors, page_of
from tests.verdicts import judged_example

GO, NO = "dozen-go", "saloon-9-00"
BAD = "</script><script>window.bad = 1</script><img src=x onerror='window.bad=1'>"


class Tags(HTMLParser):
    """Tags with their attributes, and what stands in each script and style."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.inside: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag in ("script", "style"):
            self.inside.append("")

    def handle_data(self, data: str) -> None:
        if self.lasttag in ("script", "style") and self.inside and self.cdata_elem is not None:
            self.inside[-1] += data


def test_only_the_named_scripts_may_run_and_nothing_be_asked_for() -> None:
    found = Tags(page_of(GO))
    (policy,) = [a["content"] for tag, a in found.tags if a.get("http-equiv") == "Content-Security-Policy"]
    assert policy is not None and policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy and "http" not in policy and "data:" not in policy
    style, data, three, own = found.inside
    for text in (style, three, own):
        assert f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'" in policy
    assert json.loads(data)["rows"]
    for _, attributes in found.tags:
        assert not {"src", "href", "action"} & set(attributes)
        assert not [name for name in attributes if name.startswith("on")]


def test_licence_notice_of_what_is_embedded_stays() -> None:
    assert three_js().lstrip().startswith("/**\n * @license")
    assert "SPDX-License-Identifier: MIT" in page_of(GO)


def test_same_job_same_page() -> None:
    assert page_of(GO) == page(judged_example(GO), floors(GO), chart_of(GO))


def test_hostile_names_become_neither_markup_nor_script(tmp_path: Path) -> None:
    tables = jobs.changed(jobs.bare(), ("pedals",), [jobs.clutch(name=BAD[:80])])
    tables = jobs.changed(tables, ("job", "name"), BAD)
    tables = jobs.changed(tables, ("job", "datum"), BAD)
    hostile = page(judge(open_job(Path(written(tmp_path, tables)))), {})
    count = {tag: sum(one == tag for one, _ in Tags(hostile).tags) for tag in ("script", "img")}
    assert count == {"script": 3, "img": 0}
    assert json.loads(Tags(hostile).inside[1])["pedals"][0]["name"] == BAD[:80]


def points(vertices: Vector) -> coal.StdVec_Vec3s:
    found = coal.StdVec_Vec3s()
    found.extend(np.asarray(vertices, dtype=float))
    return found


def test_map_promises_no_more_than_the_job_judged_there() -> None:
    """The cell that holds the job's own place is never above the least margin of the pairs judged there."""
    verdict, at = judged_example(GO), judged_example(GO).scene.setting
    (arc,) = json.loads(Tags(page_of(GO)).inside[1])["map"]["arcs"]
    i = max(k for k, edge in enumerate(arc["edges"]) if edge <= np.degrees(at.clock))
    j = max(k for k, place in enumerate(arc["places"][:-1]) if place <= at.input_face_mm)
    least = min(entry.margin_mm for entry in verdict.gaps if entry.result is Result.CLEAR)
    assert -5.0 < arc["mm"][i][j] <= least + 1e-6


def test_node_at_the_jobs_own_place_says_what_the_job_judged_there_says() -> None:
    """Same pair, and its gap to the tenth that nodes are known to, never more."""
    (arc,) = chart_of(GO).chart.arcs
    verdict = judged_example(GO)
    at = verdict.scene.setting
    (i,) = np.flatnonzero(np.abs(arc.map.clocks - at.clock) < 1e-9).tolist()
    (j,) = np.flatnonzero(np.abs(arc.map.places_mm - at.input_face_mm) < 1e-9).tolist()
    nearest = arc.map.nodes.nearest(i, j)
    assert nearest is not None
    decides, gap = nearest
    entry = min((e for e in verdict.gaps if e.result is Result.CLEAR), key=lambda e: e.margin_mm)
    closest = entry.found.closest
    assert closest is not None
    assert {decides.a, decides.b} == {entry.pair.a.name, entry.pair.b.name}
    least = entry.margin_mm
    assert least - 0.11 - 0.05 <= arc.map.nodes.mm[i, j] <= least + 0.05
    assert np.linalg.norm(gap.on_a - gap.on_b) == pytest.approx(closest.gap.gap_mm, abs=0.5)
    told = json.loads(Tags(page_of(GO)).inside[1])["map"]["arcs"][0]["nodes"][i][j]
    gap_mm = int((arc.map.nodes.mm[i, j] + decides.required_mm) * 10) / 10
    assert f"{gap_mm:g} mm" in told["said"] and told["at"] == pytest.approx(decides.at_travel, abs=1e-5)


def test_floors_hold_at_every_place_that_coal_is_asked_about() -> None:
    """At five places of every fourth stretch coal finds no less room than the floor of that stretch says."""
    scene = judged_example(GO).scene
    unit, clutch = scene.part("unit"), scene.part("clutch")
    assert isinstance(unit, Part) and isinstance(clutch, Part)
    (moving,), (still,) = phases(clutch, unit), phases(unit, clutch)
    assert moving.moves is not None and moving.travel is not None
    hulls = [coal.ConvexBase.convexHull(points(piece.corners), False, "Qt") for piece in still.pieces]
    own = floors(GO)["unit", "clutch"].floors
    assert len(own) == 40
    rest, least = coal.Transform3s(), []
    for floor in own[::4]:
        for share in np.linspace(floor.low, floor.high, 5):
            value = float(np.interp(share, moving.travel.shares, moving.travel.values))
            arms = [
                coal.ConvexBase.convexHull(points(moving.moves.moved(piece.corners, value)), False, "Qt")
                for piece in moving.pieces
            ]
            ask = coal.DistanceRequest()
            apart = min(coal.distance(a, rest, b, rest, ask, coal.DistanceResult()) for a in arms for b in hulls)
            assert not (floor.bound_mm > apart + 1e-3)
            least.append(apart)
    (entry,) = [entry for entry in judged_example(GO).gaps if {entry.pair.a, entry.pair.b} == {unit, clutch}]
    assert entry.found.closest is not None
    assert min(floor.bound_mm for floor in own) >= entry.found.closest.gap.bound_mm - 0.55


def test_stops_are_what_coal_finds_there() -> None:
    """At every fifth stop coal's distance is the stop's to 0.06 mm, and its points are that far apart."""
    scene, along = judged_example(GO).scene, floors(GO)["unit", "clutch"]
    unit, clutch = scene.part("unit"), scene.part("clutch")
    assert isinstance(unit, Part) and isinstance(clutch, Part)
    (moving,), (still,) = phases(clutch, unit), phases(unit, clutch)
    assert moving.moves is not None and moving.travel is not None
    hulls = [coal.ConvexBase.convexHull(points(piece.corners), False, "Qt") for piece in still.pieces]
    rest, shares = coal.Transform3s(), [stop.share for stop in along.stops]
    assert len(shares) == 41 and {0.0, 1.0} <= set(shares) and shares == sorted(shares)
    for stop in along.stops[::5]:
        value = float(np.interp(stop.share, moving.travel.shares, moving.travel.values))
        arms = [
            coal.ConvexBase.convexHull(points(moving.moves.moved(piece.corners, value)), False, "Qt")
            for piece in moving.pieces
        ]
        ask = coal.DistanceRequest()
        apart = min(coal.distance(a, rest, b, rest, ask, coal.DistanceResult()) for a in arms for b in hulls)
        assert apart > 0 and not stop.meets
        assert stop.bound_mm <= apart + 1e-6 and apart - stop.bound_mm <= 0.06
        assert np.linalg.norm(stop.on_a - stop.on_b) == pytest.approx(apart, abs=0.06)


def test_floors_are_above_nothing_until_the_parts_first_touch() -> None:
    verdict = judged_example(NO)
    (entry,) = [entry for entry in verdict.gaps if entry.result is Result.HITS]
    own = floors(NO)[entry.pair.a.name, entry.pair.b.name].floors
    assert entry.found.first_touch is not None
    for floor in own:
        if floor.low > entry.found.first_touch + 0.01:
            assert floor.bound_mm <= 0
    clear = [floor for floor in own if floor.high < entry.found.first_touch - 0.05]
    assert clear and max(floor.bound_mm for floor in clear) > 0


def test_a_viewer_that_is_not_what_it_was_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    from fitcheck.errors import DrawingError

    monkeypatch.setattr("trimesh.viewer.notebook.scene_to_html", lambda scene: "<script>other()</script>")
    with pytest.raises(DrawingError, match="viewer of trimesh"):
        three_js()


def test_command_writes_one_file_or_says_what_to_name(tmp_path: Path) -> None:
    job = written(tmp_path, jobs.bare())
    told = Said("page", job, "-o", str(tmp_path / "page.html"))
    assert told.code == 0
    assert "the page has no map: " in told.err
    assert re.search(r"not known|nothing|clear|CANNOT", (tmp_path / "page.html").read_text(encoding="utf-8"))
    assert Said("page", job, "-o", str(tmp_path / "page.pdf")).code == 2


def test_a_gap_that_is_only_known_to_be_at_least_so_much_has_no_give_or_take() -> None:
    """A spread is told where the text of the gaps tells one, and nowhere else."""
    verdict = judged_example(NO)
    far = 0
    for entry in rows(verdict):
        assert entry.found.closest is not None
        told, text = said_gap(entry, verdict), gap(entry, verdict.scene, verdict.opened.job.job.show)
        assert ("give or take" in told) == ("give or take" in text)
        far += told.startswith("at least ")
    assert far > 0


@pytest.mark.parametrize("name", ["saloon-shaft"])
def test_the_intermediate_shaft_is_drawn_and_its_pairs_end_on_it(name: str) -> None:
    """Within 0.1 mm of the box round what is drawn, where nothing else moves."""
    found = json.loads(model(judged_example(name), {}, None))
    drawn: dict[str, list[Vector]] = {}
    for solid in found["solids"]:
        drawn.setdefault(solid["name"], []).append(np.frombuffer(b64decode(solid["points"]), "<f4").reshape(-1, 3))
    ends = [row["line"] for row in found["rows"] if row["said"].startswith("intermediate shaft - ")]
    shaft = np.vstack(drawn["intermediate shaft"])
    assert len(ends) > 3
    for on_shaft, _ in ends:
        assert (shaft.min(axis=0) - 0.1 <= on_shaft).all() and (on_shaft <= shaft.max(axis=0) + 0.1).all()
    assert any("rocked" in row["said"] for row in found["rows"])
