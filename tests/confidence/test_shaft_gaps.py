"""Chances of the shaft's gaps near their need: by draws of all readings, held against the normal chance."""

from math import erf, sqrt

import pytest

from fitcheck.confidence.results import Judged, Result
from fitcheck.job.opening import open_job
from fitcheck.readings.reading import SIGMAS_95
from fitcheck.report.text import shaft_chapter_text
from fitcheck.verdict import Verdict, judge
from tests.jobs import EXAMPLES


@pytest.fixture(scope="module")
def later() -> Verdict:
    return judge(open_job(EXAMPLES / "saloon-exhaust-later" / "job.toml"), draws=20_000)


def hot(verdict: Verdict) -> Judged:
    """The shaft against the exhaust at rest, its worst gap."""
    return verdict.shaft_gaps[0]


def test_one_smooth_place_has_nearly_the_normal_chance(later: Verdict) -> None:
    """A round bar beside a round pipe: 0.5 (1 + erf((required - bound) / sigma / sqrt 2)); facets make up the rest."""
    entry = hot(later)
    assert entry.found.closest is not None and entry.drawn is not None
    sigma = entry.spread_mm / SIGMAS_95
    off = (entry.pair.need.required_mm - entry.found.closest.gap.bound_mm) / sigma
    assert entry.result is Result.UNDER
    assert abs(entry.chance_under - 0.5 * (1 + erf(off / sqrt(2)))) < 0.03
    assert abs(entry.drawn.spread_mm - entry.spread_mm) < 0.1


def test_what_is_far_from_its_need_is_not_drawn(later: Verdict) -> None:
    (rail,) = [entry for entry in later.shaft_gaps if entry.pair.b.name == "left rail"]
    assert rail.drawn is None and rail.chance_under == 0.0


def test_the_text_says_the_chance_and_how_it_was_got(later: Verdict) -> None:
    said = " ".join(shaft_chapter_text(later).split())
    assert f"chance of less: {100 * hot(later).chance_under:.1f} %, by 20,000 draws of all readings" in said
    assert any("by 20,000 draws of all readings at once" in remark for remark in later.remarks)
