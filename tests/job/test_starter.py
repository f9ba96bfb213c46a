"""The starter job: a dozen readings that check as they stand, and every rung once its comments are taken off."""

import re
import tomllib
from pathlib import Path

import pytest

from fitcheck.job.opening import OpenJob, open_job
from fitcheck.job.starter import starter_text
from fitcheck.limits import LimitResult
from fitcheck.verdict import Verdict, judge

LADDER = ("brake pedal", "bracket", "boot on clutch", "obstacles", "cut lengths", "intermediate shaft")


def uncommented() -> str:
    """The whole file with "# " taken off every line of the rungs that is a key or a table."""
    head, rungs = starter_text().split("# ---- Further rungs.")
    return head + re.sub(r"^# (?=\[|[a-z_]+ = )", "", "# " + rungs, flags=re.MULTILINE)


def opened(folder: Path, text: str) -> OpenJob:
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return open_job(folder / "job.toml")


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Verdict:
    return judge(opened(tmp_path_factory.mktemp("whole"), uncommented()))


def test_as_it_stands_it_holds_a_dozen_readings_and_waits_for_every_rung(tmp_path: Path) -> None:
    verdict = judge(opened(tmp_path, starter_text()))
    assert verdict.outcome.value == "fits"
    assert {what for what in LADDER if any(what in entry.what for entry in verdict.not_yet)} == set(LADDER)


def test_with_its_comments_off_every_rung_is_looked_at(whole: Verdict) -> None:
    assert whole.looked_at[:1] == ("gaps",)
    assert {"cuts", "shaft"} <= set(whole.looked_at)
    assert not [what for what in LADDER if what in {entry.what for entry in whole.not_yet}]
    assert {"bracket", "dash rail", "fuse panel", "boot on clutch", "brake"} <= {p.name for p in whole.scene.parts}
    assert whole.scene.unplaced == ()
    assert not [entry for entry in whole.gaps if entry.result.value in ("not known", "hits")]


def test_each_cut_and_each_end_of_the_shaft_is_worked_out(whole: Verdict) -> None:
    assert whole.cuts is not None
    assert whole.shaft is not None
    assert len(whole.cuts.pieces) == 4
    assert not [limit.what for limit in whole.cuts.limits if limit.result is LimitResult.OUTSIDE]
    assert not [row.joint.name for row in whole.shaft.joints if row.bend.result is LimitResult.NOT_KNOWN]


def test_every_length_of_it_is_in_inches() -> None:
    in_mm = re.findall(r"^(?!#).*\d mm", uncommented(), re.MULTILINE)
    assert in_mm == []
    assert len(tomllib.loads(uncommented())) >= 8
