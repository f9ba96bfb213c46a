"""Sizes of feet and boots against ANSUR II (NATICK/TR-15/007; men n = 4082, women n = 1986) and seating standards.

Mean, standard deviation and percentiles were worked out from the survey's two public data files. SAE J4003 OCT2008
changed the distance from heel point to ball of foot from 200 to 203 mm (read in its preface). What a boot adds to a
foot is common practice, no source.
"""

import pytest
from scipy.stats import norm

from fitcheck.errors import KeyFault
from fitcheck.job.surroundings import Driver
from fitcheck.placement.feet import ANSUR_II, BootSize, boot_size

# Mean and standard deviation of foot length, foot breadth (horizontal) and ball-of-foot length, mm.
MEASURED = {
    "men": ((271.18, 13.10), (101.86, 5.23), (200.94, 10.47)),
    "women": ((246.29, 12.44), (92.71, 4.78), (182.05, 9.64)),
}
NORMAL_WITHIN_MM = 1.6  # the survey's percentiles are counted, rounded to 1 mm, and its feet not quite normal
PERCENTILES = {
    "men 5": (250, 94, 184),
    "men 50": (271, 102, 201),
    "men 95": (293, 111, 218),
    "women 5": (226, 85, 167),
    "women 50": (246, 93, 182),
    "women 95": (267.8, 101, 198),
}


def bare_foot(foot: str) -> BootSize:
    return boot_size(Driver.model_validate({"foot": foot, "boot_adds_length": "0 mm", "boot_adds_breadth": "0 mm"}))


@pytest.mark.parametrize("foot", PERCENTILES)
def test_the_surveys_percentiles(foot: str) -> None:
    size = bare_foot(foot)
    assert (size.length, size.breadth, size.ball - 2) == PERCENTILES[foot]
    assert set(ANSUR_II) == set(PERCENTILES)


@pytest.mark.parametrize("foot", PERCENTILES)
def test_they_agree_with_the_surveys_mean_and_deviation(foot: str) -> None:
    """A second road: normal theory, mean + z sd, z by scipy (men 95: 271.18 + 1.6449 x 13.10 = 292.7)."""
    people, percentile = foot.split()
    size = bare_foot(foot)
    for got, (mean, deviation) in zip((size.length, size.breadth, size.ball - 2), MEASURED[people], strict=True):
        assert abs(got - (mean + norm.ppf(int(percentile) / 100) * deviation)) <= NORMAL_WITHIN_MM


def test_the_middle_mans_ball_is_as_far_from_the_heel_as_in_the_seating_standard() -> None:
    """SAE J4003 OCT2008, preface: 203 mm from heel point to ball of foot, in a shoe."""
    assert bare_foot("men 50").ball == 203


def test_a_boot_adds_to_a_foot() -> None:
    """A work boot is 25 to 30 longer than the foot and 120 to 130 wide over a 111 foot (common practice, no source)."""
    assert boot_size(Driver.model_validate({"foot": "men 95"})) == BootSize(323, 130, 220)


def test_a_measured_foot() -> None:
    driver = {"foot_length": "280 mm", "foot_breadth": "4 in", "ball_length": "205 mm", "boot_adds_length": "1 in"}
    size = boot_size(Driver.model_validate(driver))
    assert (size.length, size.ball) == (280 + 25.4, 207)
    assert abs(size.breadth - (101.6 + 19)) < 1e-9


def test_a_foot_not_in_the_table_is_asked_for_by_name() -> None:
    with pytest.raises(KeyFault, match='write one of "men 5", "men 50", "men 95", "women 5"') as caught:
        boot_size(Driver.model_validate({"foot": "men 99"}))
    assert caught.value.path == ("driver", "foot")
