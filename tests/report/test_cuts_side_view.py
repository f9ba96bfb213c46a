"""The dimensioned side view: same plan, same bytes; every figure is the plan's; what is not known is not drawn."""

import re
from collections.abc import Callable

import pytest

from fitcheck.cuts.place import along, cut_end
from fitcheck.errors import DrawingError
from fitcheck.job.lengths import inches_text
from fitcheck.report.side_view import KINDS, Kind, dimensions, kind_of, side_view
from tests.cuts.cut_jobs import cut_job, planned, saloon_cuts, setting, van_cuts, with_done
from tests.jobs import Tables

ABOUT = "Job 0123456789ab, no date in job."
STARTS = {"png": b"\x89PNG", "pdf": b"%PDF", "svg": b"<?xml"}


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_plan_makes_the_same_bytes(kind: Kind) -> None:
    tables = saloon_cuts()
    first, second = (side_view(cut_job(tables), planned(tables), ABOUT, kind) for _ in range(2))
    assert first == second
    assert first.startswith(STARTS[kind])


def test_an_svg_holds_no_date_and_says_which_job() -> None:
    tables = van_cuts()
    drawn = side_view(cut_job(tables), planned(tables), ABOUT, "svg").decode()
    assert "<dc:date>" not in drawn
    assert "0123456789ab" in drawn


@pytest.mark.parametrize("car", [saloon_cuts, van_cuts])
def test_every_mark_is_dimensioned_from_the_one_end_of_its_stock(car: Callable[[], Tables]) -> None:
    tables = car()
    plan, job = planned(tables), cut_job(tables)
    marks = [one for one in dimensions(job, plan) if ": mark " in one.text]
    starts = {"jacket": plan.chain.between("hub seat", "jacket top").mm, "shaft": 0.0}
    for piece, drawn in zip(sorted(plan.pieces, key=lambda one: one.spec.stock), marks, strict=True):
        assert drawn.start == starts[piece.spec.stock]
        assert drawn.end - drawn.start == pytest.approx(piece.mark_mm, abs=1e-9)
        mark, first, finished = (float(mm) for mm in re.findall(r"([\d.]+) mm", drawn.text))
        assert inches_text(piece.mark_mm) in drawn.text
        assert drawn.text.startswith(f"{piece.name}: mark ") and (drawn.text.index("mm") < drawn.text.index("in")) == (
            job.job.show == "mm"
        )
        assert 0 <= (mark - piece.mark_mm) * piece.spec.way < 0.5
        assert 0 <= first - piece.first_cut_mm < 0.5
        assert piece.allowed.low_mm <= finished <= piece.allowed.high_mm
    heights = [one.at for one in dimensions(job, plan)]
    assert len(set(heights)) == len(heights)


def test_pieces_lie_in_the_unit_by_their_engagement() -> None:
    plan = planned(saloon_cuts())
    ends = {
        piece.name: sorted((along(plan.chain, piece.spec.origin).mm, cut_end(piece, plan.chain).mm))
        for piece in plan.pieces
    }
    face = plan.chain.between("hub seat", "unit input face").mm
    for piece in plan.pieces[:2]:
        assert ends[piece.name][1] - face == pytest.approx(piece.inside.mm, abs=1e-9)
    mouth = plan.chain.between("hub seat", "output bore mouth").mm
    assert mouth - ends["lower shaft"][0] == pytest.approx(plan.pieces[3].inside.mm, abs=1e-9)


def test_no_mark_is_drawn_for_a_cut_in_a_zone() -> None:
    zone = {"name": "rubber joint", "measured_from": "hub seat", "starts": "560 mm", "ends": "640 mm"}
    tables = setting("zones", [zone], setting("column_kind", "plain", saloon_cuts()))
    plan, job = planned(tables), cut_job(tables)
    assert [one.text for one in dimensions(job, plan) if ": mark " in one.text] == []
    assert side_view(job, plan, ABOUT, "svg") != side_view(job, planned(saloon_cuts()), ABOUT, "svg")


@pytest.mark.parametrize(("name", "kind"), [("a.png", "png"), ("A.PDF", "pdf"), ("b.c.svg", "svg")])
def test_the_file_s_name_says_which_kind(name: str, kind: Kind) -> None:
    assert kind_of(name) == kind


def test_any_other_ending_is_refused() -> None:
    with pytest.raises(DrawingError, match=r"cut\.jpg: a side view is written as \.png, \.pdf or \.svg"):
        kind_of("cut.jpg")


def test_what_is_not_known_is_not_drawn() -> None:
    tables = setting("unit", {"input_depth": "30 mm"}, setting("zones", [], setting("stroke", None, saloon_cuts())))
    tables = setting("column_kind", "plain", tables)
    plan = planned(tables)
    assert [piece.name for piece in plan.pieces] == ["upper shaft"]
    drawn = side_view(cut_job(tables), plan, ABOUT, "svg")
    assert drawn.startswith(b"<?xml")
    assert len([one for one in dimensions(cut_job(tables), plan) if ": mark " in one.text]) == 1


def test_zones_clamp_and_what_stays_are_drawn_and_the_job_s_unit_stands_first() -> None:
    tables = saloon_cuts()
    drawn = side_view(cut_job(tables), planned(tables), ABOUT, "svg").decode()
    names = ("mesh section: no cut or clamp", "bracket clamp", "cancel cam stays", "KEEP: upper shaft", "saw")
    assert [name for name in names if f"<!-- {name} -->" not in drawn] == []
    assert "unit input face 16 15/16 in (430 mm)" in drawn


def test_a_cut_that_is_made_is_drawn_as_read_and_nothing_is_put_together_while_it_is_too_short() -> None:
    """437.2 mm is 17 7/32 in."""
    tables = with_done(saloon_cuts(), upper_shaft={"cut": "437.2 mm"})
    drawn = side_view(cut_job(tables), planned(tables), ABOUT, "svg").decode()
    assert "upper shaft: cut, reads 17 7/32 in (437.2 mm)" in drawn
    assert "shaft, as it was before the saw: DO NOT CUT YET" in drawn
    assert "not put together before that is settled" in drawn
    assert "finished" not in drawn
    assert "KEEP" not in drawn
