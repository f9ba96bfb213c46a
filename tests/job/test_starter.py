"""The starter job: a dozen readings that check as they stand, and every rung once its comments are taken off."""

import re
import tomllib
from pathlib import Path

import pytest

from fitcheck.job.opening import OpenJob, open_job
from fitcheck.job.starter import starter_text
from fitcheck.limits import LimitResult
from fitcheck.report.text import check_text
from fitcheck.verdict import Verdict, judge

LADDER = ("brake pedal", "bracket", "boot on clutch", "obstacles", "cut lengths", "intermediate shaft")


def uncommented() -> str:
    """The whole file with "# " taken off every line of the rungs, and of what they ask of the column, that is a key."""
    head, rungs = starter_text().split("# ---- Further rungs.")
    return head.replace("# shaft_", "shaft_") + re.sub(r"^# (?=\[|[a-z_]+ = )", "", "# " + rungs, flags=re.MULTILINE)


def rung_texts() -> dict[int, str]:
    """Each rung without its "# ", by number."""
    parts = re.split(r"^# # ---- rung (\d)", uncommented(), flags=re.MULTILINE)
    return {int(number): text for number, text in zip(parts[1::2], parts[2::2], strict=True)}


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
    parts = {part.name for part in whole.scene.parts}
    assert {"bracket", "dash rail", "fuse panel", "boot on clutch", "brake", "throttle", "boot on throttle"} <= parts
    assert whole.scene.unplaced == ()
    assert not [entry for entry in whole.gaps if entry.result.value in ("not known", "hits")]


@pytest.mark.parametrize("rung", range(1, 8))
def test_each_rung_checks_with_no_others_than_it_says_it_needs(tmp_path: Path, rung: int) -> None:
    texts = rung_texts()
    needed = [texts[int(number)] for number in re.findall(r"needs the \w+ of rung (\d)", texts[rung])]
    head = starter_text().split("# ---- Further rungs.")[0]
    verdict = judge(opened(tmp_path, "\n# rung".join((head, *needed, texts[rung]))), draws=0)
    assert verdict.outcome.value != "does not fit"
    assert verdict.scene.unplaced == ()


def test_knees_left_foot_and_reaching_in_are_looked_at(whole: Verdict) -> None:
    assert whole.boots is not None and whole.reach is not None
    assert not [entry.pair.a.name for entry in whole.boots.gaps if entry.result.value not in ("clear", "as before")]
    assert {"shin, foot on throttle", "left foot at rest"} <= {entry.pair.a.name for entry in whole.boots.gaps} | {
        entry.pair.b.name for entry in whole.boots.gaps
    }
    assert whole.outcome.value == "fits"
    beside = {"what is in the engine bay", "strength of the shaft"}  # no part of the engine's, no assist torque
    assert {entry.what for entry in whole.not_yet} == {"search over clock and place", *beside}


def test_what_the_answers_ask_for_stands_in_it_by_its_key(whole: Verdict, tmp_path: Path) -> None:
    """The shaft's end in the first joint, the box's input in the last, the firewall's hole; and the column's stroke."""
    assert whole.shaft is not None and whole.cuts is not None
    assert not [note for note in whole.shaft.remarks if "sticks_out" in note or "shaft_to" in note]
    text = uncommented().replace('column_kind = "plain"', 'column_kind = "energy-absorbing"')
    absorbing = re.sub(r"^# # (?=\[|[a-z_]+ = )", "", text, flags=re.MULTILINE)
    assert "\n[cuts.stroke]" in absorbing
    stroke = opened(tmp_path, absorbing).job.cuts
    assert stroke is not None and stroke.stroke is not None and stroke.firewall is not None


def test_each_cut_and_each_end_of_the_shaft_is_worked_out(whole: Verdict) -> None:
    assert whole.cuts is not None
    assert whole.shaft is not None
    assert len(whole.cuts.pieces) == 4
    assert not [limit.what for limit in whole.cuts.limits if limit.result is LimitResult.OUTSIDE]
    assert not [row.joint.name for row in whole.shaft.joints if row.bend.result is LimitResult.NOT_KNOWN]
    assert not [check.what for check in whole.shaft.checks if check.result is LimitResult.OUTSIDE]


@pytest.mark.parametrize(
    ("key", "told"),
    [
        (
            "column_kind",
            "missing cuts.column_kind: find out whether the column absorbs energy (mesh, bellows, balls or shear pins "
            'on jacket or shaft) and write column_kind = "energy-absorbing" or "plain"',
        ),
        (
            "below",
            'missing cuts.below: say what goes on below the unit: write below = "jacket in a collar" or "shaft alone"',
        ),
    ],
)
def test_what_is_to_be_said_and_not_measured_is_asked_for_with_the_words_to_write(
    tmp_path: Path, key: str, told: str
) -> None:
    text = re.sub(rf"^{key} = .*$", "", uncommented().split("# ---- rung 6")[0], flags=re.MULTILINE)
    verdict = judge(opened(tmp_path, text))
    assert told in " ".join(check_text(verdict).split())
    assert "measure nothing" not in check_text(verdict)


def test_every_length_of_it_is_in_inches() -> None:
    in_mm = re.findall(r"^(?!#).*\d mm", uncommented(), re.MULTILINE)
    assert in_mm == []
    assert len(tomllib.loads(uncommented())) >= 8
