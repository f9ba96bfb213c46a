"""What the list says once a piece is off its stock, of a first cut that reads as its mark, and of the trim. mm."""

from math import ceil

from fitcheck.cuts.limits import LimitResult
from fitcheck.report.cuts_text import cuts_text
from tests.cuts.cut_jobs import piece_of, planned, saloon_cuts, with_done
from tests.jobs import Tables


def said_of(tables: Tables) -> str:
    return " ".join(cuts_text(planned(tables), [], "mm").split())


def test_once_the_upper_piece_is_sawn_the_lower_is_marked_from_its_own_end() -> None:
    """The jacket top, from which the lower jacket's mark was pulled, went off with the upper jacket."""
    before = said_of(saloon_cuts())
    assert "Mark upper and lower jacket and upper and lower shaft before either is sawn" in before
    lower = piece_of(planned(saloon_cuts()), "lower jacket")
    assert "from the jacket top, saw short of the mark" in before
    after = said_of(with_done(saloon_cuts(), upper_jacket={"first_cut": "404.5 mm"}))
    assert "from the jacket top, saw short of the mark" not in after
    assert f"mark {ceil(lower.first_cut_mm * 2) / 2:g} mm" in after
    assert "from the jacket's lower end, saw beyond the mark" in after
    assert "from the hub seat, saw short of the mark" in after  # the shaft is whole still


def test_a_mark_entered_as_a_first_cut_is_told_so() -> None:
    lower = piece_of(planned(saloon_cuts()), "lower shaft")
    done = {"first_cut": f"{lower.mark_mm:.1f} mm"}
    plan = planned(with_done(saloon_cuts(), lower_shaft=done))
    odd = piece_of(plan, "lower shaft").first_cut_in_doubt
    assert "is where its mark was, from the hub seat: enter the piece's own length, from the shaft's lower end" in odd
    assert plan.result is LimitResult.NOT_KNOWN
    assert (
        "expect" not in said_of(with_done(saloon_cuts(), lower_shaft=done)).split("LOWER SHAFT")[1].split("Limits")[0]
    )


def test_the_trim_is_told_as_a_sum() -> None:
    """Trim T leaves T - G before the bottom: as planned with the planned trim and the expected gap, mm for mm."""
    piece = piece_of(planned(saloon_cuts()), "upper shaft")
    assert f"plus what you read, less {piece.expected.mm:.1f} mm" in said_of(saloon_cuts())
