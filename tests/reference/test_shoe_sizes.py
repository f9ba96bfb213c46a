"""Shoe sizes against the published steps: Mondopoint by ISO 9407, the others by the scope of ISO/TS 19407 (both read
in summaries): Paris points of 6.67 mm, barleycorns of 8.47 mm, EU size = 1.5 x (foot + 10 to 15 mm) in cm.

That size 0 is 25 thirds of an inch in the UK and 24 for US men, and 22.5 or 23 for US women, is common knowledge of the
trade, read on several calculator pages that agree on it.
"""

from itertools import pairwise

import pytest

from fitcheck.errors import KeyFault
from fitcheck.job.surroundings import Driver
from fitcheck.placement.feet import ANSUR_II, boot_size
from fitcheck.placement.shoes import foot_length_mm

STEPS = {"EU {}": 20 / 3, "UK {}": 25.4 / 3, "US men {}": 25.4 / 3, "US women {}": 25.4 / 3}


@pytest.mark.parametrize(("size", "step"), STEPS.items())
def test_published_steps(size: str, step: float) -> None:
    first = 38 if size.startswith("EU") else 6
    feet = [foot_length_mm(size.format(n)) for n in range(first, first + 6)]
    assert [b - a for a, b in pairwise(feet)] == pytest.approx([step] * 5, abs=1e-9)
    assert step == pytest.approx(6.67 if size.startswith("EU") else 8.47, abs=0.005)


def test_mondopoint_is_the_foot_itself() -> None:
    assert foot_length_mm("Mondopoint 275") == 275 and foot_length_mm("mondopoint 260") == 260


@pytest.mark.parametrize("size", [39, 42, 44, 46])
def test_eu_sizes_by_the_published_formula(size: int) -> None:
    """size = 1.5 x (foot + 1.0 ... 1.5 cm): of the two feet the longer."""
    longer, shorter = (10 * (size / 1.5 - allowance) for allowance in (1.0, 1.5))
    assert foot_length_mm(f"EU {size}") == pytest.approx(longer, abs=1e-9)
    assert longer > shorter


def test_uk_and_us_sizes_by_the_lasts_length_in_thirds_of_an_inch() -> None:
    for size, last_in in (("UK 9", (9 + 25) / 3), ("US men 10", (10 + 24) / 3), ("US women 8 1/2", (8.5 + 23) / 3)):
        assert foot_length_mm(size) == pytest.approx(25.4 * last_in - 10, abs=1e-9)
    assert foot_length_mm("UK 9") == pytest.approx(foot_length_mm("US men 10"), abs=1e-9), "US men run one over UK"
    assert foot_length_mm("UK 9.5") == foot_length_mm("uk 9 1/2")


def test_a_boot_by_shoe_size_has_the_proportions_of_the_survey() -> None:
    size = boot_size(Driver.model_validate({"shoe_size": "Mondopoint 293"}))
    length, breadth, ball = ANSUR_II["men 95"]
    assert size.length == length + 30
    assert 0 <= size.breadth - 19 - breadth <= 0.2
    assert min(b / long for long, _, b in ANSUR_II.values()) * 293 == pytest.approx(size.ball - 2, abs=0.1)
    assert ball > size.ball - 2


@pytest.mark.parametrize(
    ("size", "said"),
    [
        ("44", '\'44\' is no shoe size with its system; write "EU 44", "UK 9"'),
        ("FR 44", "no shoe size with its system"),
        ("EU 44.3", "no shoe size with its system"),
        ("EU 12", "a foot of 70 mm, no driver's"),
        ("Mondopoint 450", "a foot of 450 mm, no driver's"),
    ],
)
def test_what_is_no_shoe_size_is_refused(size: str, said: str) -> None:
    with pytest.raises(KeyFault) as caught:
        foot_length_mm(size)
    assert said in caught.value.message and caught.value.path == ("driver", "shoe_size")
