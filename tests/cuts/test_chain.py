"""The dimension chain: signs, missing links, contradictions, order of the links, least squares as a second road. mm."""

from itertools import pairwise
from math import hypot

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.cuts.chain import Chain, Link, Stack, Untaken
from fitcheck.placement.scene import Missing

ROUNDING_MM = 1e-9

lengths = st.floats(-500, 500)
spreads = st.floats(0, 5)


@st.composite
def trees(draw: st.DrawFn) -> list[Link]:
    """Links that tie up to nine faces together with none to spare, in any direction and order."""
    count = draw(st.integers(2, 9))
    links = []
    for face in range(1, count):
        onto = draw(st.integers(0, face - 1))
        ends = draw(st.permutations([f"face {face}", f"face {onto}"]))
        links.append(Link(f"reading {face}", ends[0], ends[1], draw(lengths), draw(spreads)))
    return draw(st.permutations(links))


def by_least_squares(links: list[Link], start: str, end: str) -> float:
    """The distance from the normal equations of all readings at once."""
    faces = sorted({face for link in links for face in (link.start, link.end)})
    rows = np.zeros((len(links) + 1, len(faces)))
    for row, link in zip(rows, links, strict=False):
        row[faces.index(link.end)], row[faces.index(link.start)] = 1.0, -1.0
    rows[-1, 0] = 1.0
    places = np.linalg.lstsq(rows, np.array([*(link.mm for link in links), 0.0]), rcond=None)[0]
    return float(places[faces.index(end)] - places[faces.index(start)])


def test_a_distance_runs_both_ways() -> None:
    chain = Chain([Link("a", "hub", "face", 100.0, 1.0), Link("b", "end", "face", 30.0, 0.5)])
    assert chain.between("hub", "end").mm == 70.0
    assert chain.between("end", "hub").mm == -70.0
    assert chain.between("hub", "hub") == Stack(0.0)
    assert chain.between("hub", "end").terms == {"a": (1.0, 1.0), "b": (-1.0, 0.5)}


@given(trees())
def test_sums_along_the_chain_are_what_least_squares_finds(links: list[Link]) -> None:
    chain, last = Chain(links), links[-1]
    assert abs(chain.between("face 0", last.end).mm - by_least_squares(links, "face 0", last.end)) < 1e-6


@given(st.data())
def test_the_order_of_the_readings_changes_nothing(data: st.DataObject) -> None:
    links = data.draw(trees())
    other = data.draw(st.permutations(links))
    ends = links[0].start, links[-1].end
    assert Chain(links).between(*ends) == Chain(other).between(*ends)


@given(trees())
def test_squares_never_add_up_to_more_than_the_worst_case(links: list[Link]) -> None:
    stack = Chain(links).between("face 0", links[-1].end)
    assert 0 <= stack.rss_mm <= stack.worst_mm
    assert not stack.shares or abs(sum(share.share for share in stack.shares) - 1) < 1e-9
    assert all(left.share >= right.share for left, right in pairwise(stack.shares))


@given(trees(), st.floats(-3, 3))
def test_worst_case_and_squares_are_the_textbook_s(links: list[Link], factor: float) -> None:
    stack = Chain(links).between("face 0", links[-1].end).times(factor)
    parts = [abs(weight) * spread for weight, spread in stack.terms.values()]
    assert abs(stack.worst_mm - sum(parts)) < ROUNDING_MM
    assert abs(stack.rss_mm - hypot(*parts)) < ROUNDING_MM


def test_a_reading_used_twice_is_one_reading() -> None:
    """The same reading forth and back cancels; twice the same way counts double, not root two."""
    stack = Stack.of("a", 10.0, 3.0)
    assert stack.plus(stack, -1.0) == Stack(0.0)
    assert stack.plus(stack).rss_mm == 6.0


def test_a_chain_that_cannot_close_says_which_reading_is_missing() -> None:
    chain = Chain(
        [Link("a", "hub", "jacket top", 60.0, 1.0)],
        [
            Untaken("bench.overall", "jacket top", "jacket end", "the jacket, end to end"),
            Untaken("bench.far", "jacket end", "shaft end", "how far the shaft stands out"),
            Untaken("bench.roundabout", "hub", "shaft end", "the long way"),
        ],
    )
    with pytest.raises(Missing) as caught:
        chain.between("hub", "jacket end")
    assert caught.value.keys == ("bench.overall",)
    assert caught.value.measure == "the jacket, end to end"
    with pytest.raises(Missing, match=r"bench\.roundabout"):
        chain.between("hub", "shaft end")
    with pytest.raises(Missing, match="the distance from hub to the moon along the column"):
        chain.between("hub", "the moon")


def test_two_readings_that_contradict_each_other_are_named() -> None:
    links = [Link("in the car", "hub", "end", 405.0, 1.0), Link("on the bench", "hub", "end", 400.0, 2.0)]
    chain = Chain(links)
    (doubt,) = chain.doubts
    assert (doubt.key, doubt.others) == ("on the bench", ("in the car",))
    assert doubt.off_mm == 5.0
    assert doubt.spread_mm == pytest.approx(hypot(1, 2), abs=ROUNDING_MM)
    assert str(doubt).startswith(
        "hub to end: 400.0 mm (15 3/4 in) by on the bench, 405.0 mm (15 15/16 in) by in the car. That"
    )
    assert chain.doubts_of(chain.between("hub", "end")) == (doubt,)
    assert chain.doubts_of(Stack.of("elsewhere", 1.0, 1.0)) == ()


def test_the_surest_road_carries_and_the_others_check() -> None:
    """One reading of spread 1.5 is surer than three of 1 each (root 3 is 1.73)."""
    parts = [Link(f"part {i}", f"face {i}", f"face {i + 1}", 10.0, 1.0) for i in range(3)]
    whole = Link("whole", "face 0", "face 3", 31.0, 1.5)
    chain = Chain([*parts, whole], root="face 0")
    assert chain.between("face 0", "face 3").terms == {"whole": (1.0, 1.5)}
    assert chain.checks == ("part 2",)
    assert chain.doubts == ()


@settings(max_examples=50)
@given(trees(), st.floats(0.01, 5))
def test_a_second_reading_of_the_same_distance_changes_no_answer_and_is_checked(links: list[Link], off: float) -> None:
    """A poorer reading beside the tree: the answer stands, and it is in doubt when off by more than the spreads."""
    ends, chain = (links[0].start, links[0].end), Chain(links)
    told = chain.between(*ends)
    again = Chain([*links, Link("zz again", *ends, told.mm + off, 6.0)])
    assert again.between(*ends).terms == told.terms
    assert bool(again.doubts) == (off > hypot(told.rss_mm, 6.0))
    wrong = Chain([*links, Link("zz again", *ends, told.mm + 100.0, 6.0)])
    assert [doubt.key for doubt in wrong.doubts] == ["zz again"]
