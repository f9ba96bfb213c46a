"""The shaft's chapter in words: what a person under the car reads, in both units, with nothing left bare."""

from functools import cache, partial

from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.results import Judged
from fitcheck.confidence.shaft_gaps import shaft_gaps
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.shafting import ShaftPiece
from fitcheck.limits import NotKnown
from fitcheck.placement.place import place
from fitcheck.report.shaft_text import shaft_rows, shaft_text
from fitcheck.report.shaft_words import step_words, turn_words
from fitcheck.shaft.chapter import find
from fitcheck.shaft.phases import Step
from fitcheck.shaft.results import ShaftChapter
from tests.jobs import Tables
from tests.shaft import cars


def with_gaps(tables: Tables) -> tuple[ShaftChapter, list[Judged]]:
    """A chapter with its gaps judged as all others are."""
    job = cars.job(tables)
    scene = place(job, cars.HERE)
    found = find(job, scene, GapEngine(), 20)
    assert found is not None
    if isinstance(found.space, NotKnown):
        return found, []
    nudged = Nudged(job, partial(place, folder=cars.HERE, like=scene))
    return found, list(shaft_gaps(nudged, scene, found))


@cache
def saloon(show: str = "in") -> str:
    found, gaps = with_gaps(cars.saloon())
    return shaft_text(found, gaps, ["The saloon"], "in" if show == "in" else "mm")


def flat(text: str) -> str:
    """The text with its line ends taken out."""
    return " ".join(text.split())


def test_the_saloon_says_what_to_do_with_the_tooth() -> None:
    said = flat(saloon())
    assert said.startswith("The saloon SHAFT: keeps; 1 length to set on the car; its gaps: ")
    assert (
        "from the paint mark, move the wheel-end yoke 3 teeth of 36 clockwise seen from the wheel end "
        "(anticlockwise seen from the rack end)" in said
    )
    assert (
        "then the wheel-end yoke 30.0 deg clockwise of the rack-end yoke, seen from the wheel end; the best, 31.4 deg "
        "clockwise" in said
    )
    assert "ripple 6.2 % of speed" in said and "all yokes in line 12.3 %" in said
    assert "lead/lag: the far end runs up to 0.9 deg ahead and behind" in said


def test_lengths_carry_their_spread_and_where_it_comes_from() -> None:
    said = flat(saloon())
    assert "joints 19 11/16 in (500 mm) centre to centre by readings, give or take 3." in said
    assert "most of it: column.shaft_to 1.9 mm, shaft.lower.joint_at.forward 1.5 mm" in said
    assert "by draws" not in said and "first order" not in said
    assert "solid half cut first 14 2" in said and "tube half cut first 13 " in said
    assert "column's shaft has to end 30 3/32 in (764 mm) to 30 1/8 in (765 mm) along from the hub seat" in said


def test_a_job_shown_in_mm_says_mm_first() -> None:
    assert " in (" not in saloon("mm").replace("deg", "")


def test_gaps_cautions_and_what_was_assumed_are_there() -> None:
    said = flat(saloon())
    assert "exhaust primary, hot, at rest: gap 2 13/32 in (61.4 mm), give or take" in said
    assert "exhaust primary, hot, through the rock: gap" in said
    assert "Meant to touch, not judged: intermediate shaft - column (the shaft hangs on it)" in said
    assert "never friction alone" in said
    assert "Welding on steering parts only where the law and the part allow it, and by a qualified welder." in said
    assert "at_mark not given: teeth are counted from a paint mark made with both yokes in line" in said
    assert "Strength: a check, not an approval" in said
    assert "safe" not in said.lower() and "approved" not in said.lower()


def test_no_line_is_wider_than_the_paper() -> None:
    assert max(len(line) for line in saloon().splitlines()) <= 110


def test_an_exhaust_fitted_later_is_under_with_a_shield_asked_for() -> None:
    found, gaps = with_gaps(cars.saloon(exhaust_left=30.0))
    said = flat(shaft_text(found, gaps, [], "mm"))
    assert "[!] under telescoping shaft, middle - exhaust primary, hot, at rest: gap 32 mm" in said
    assert "its rock of 20 mm and 13 mm); a heat shield" in said


def test_two_double_ds_say_what_would_take_the_ripple_away() -> None:
    found, gaps = with_gaps(cars.van(pieces=[cars.bar(wheel_end=cars.DOUBLE_D)]))
    said = flat(shaft_text(found, gaps, [], "mm"))
    assert "its ends allow no other phase than both yokes in line" in said
    assert "the 34.9 % cannot be taken away as the ends are: the ends of the bar hold both yokes in line" in said
    assert (
        "and it wants the rack-end yoke 66.3 deg anticlockwise of the wheel-end yoke, seen from the wheel end. What "
        "would: a spline of 36" in said
    )
    assert "36 teeth at one end of the bar, with a joint to match: 4.7 % left; or a joint whose maker" in said
    assert (
        "or a weld-on yoke at one end of the bar, the maker's part, welded by a qualified welder where the law" in said
    )
    assert "paint mark 2.0 deg off" not in said
    assert "[X] outside ripple as phased" in said
    assert "nothing telescopes" in said
    assert "as it is the shaft cannot be drawn off any joint for service" in said


def test_three_joints_say_where_the_bearing_goes() -> None:
    found, gaps = with_gaps(cars.steep())
    said = flat(shaft_text(found, gaps, [], "mm"))
    assert "Two joints do not do - lower joint would stand at 42.2 deg, 35 allowed" in said
    assert "PROPOSED: three joints and a support bearing, checked the same way" in said
    assert "support bearing's middle 1" in said or "support bearing's middle 2" in said


def test_what_is_missing_is_said_with_its_key_and_all_else_stands() -> None:
    tables = cars.saloon()
    for key in ("down", "across"):
        del tables["shaft"]["lower"][key]
    found, gaps = with_gaps(tables)
    said = flat(shaft_text(found, gaps, [], "mm"))
    assert "lower joint: not known: measure two places, near and far, on a straight tube" in said
    assert "(key: shaft.lower.tube)" in said
    assert "upper joint: 15.6 deg" in said
    assert "tube half cut first" in said


def test_the_short_rows_name_what_does_not_keep() -> None:
    found, _ = with_gaps(cars.van(pieces=[cars.bar(wheel_end=cars.DOUBLE_D)]))
    rows = flat("\n".join(shaft_rows(found, "mm")))
    assert rows.startswith("Intermediate shaft: outside")
    assert "ripple as phased" in rows and "positive retention" not in rows
    assert rows.index("[X] outside") < rows.index(" to set on the car")


def test_steps_in_words() -> None:
    both = ShaftPiece.model_validate(cars.telescoping(rack_end=cars.spline(30)))
    assert step_words(Step(0.0, 0, 0), both, free=False) == "leave both yokes as the paint mark has them"
    moved_words = step_words(Step(0.1, -1, 2), both, free=False)
    assert moved_words == (
        "move the rack-end yoke 1 tooth of 30 anticlockwise seen from the wheel end (clockwise seen from the rack end) "
        "and move the wheel-end yoke 2 teeth of 36 clockwise seen from the wheel end "
        "(anticlockwise seen from the rack end)"
    )
    half = ShaftPiece.model_validate(cars.telescoping())
    assert step_words(Step(0.0, 1, 0), half, free=False).startswith("move the rack-end yoke half a turn")
    assert step_words(Step(-0.5, 0, 0), half, free=True).startswith(
        "weld-on, by a qualified welder: rack-end yoke 28.6 deg"
    )
    assert turn_words(0.0) == "in line"


def test_ripple_that_only_other_angles_take_away_is_said_with_the_angles() -> None:
    """15.6 and 42.2 deg: cos b = cos 42.2 / cos 15.6, so sin b tan b = 53 % stays at the best phase."""
    found, gaps = with_gaps(cars.steep())
    said = flat(shaft_text(found, gaps, [], "mm"))
    assert (
        "52.9 % stays whatever the phase, by the angles themselves (upper joint 15.6 deg and lower joint 42.2 deg)"
        in said
    )
    assert "set the first joint elsewhere along the column, move or turn the box" in said


def test_a_figure_with_a_least_is_rounded_down_wherever_it_stands() -> None:
    """How far it shuts, the collapse left and the draw-off are one figure here."""
    assert flat(saloon()).count("4 5/32 in (106.2 mm)") == 3


def test_grades_are_told_in_plain_words_once() -> None:
    said = flat(saloon())
    assert said.count("usable to 25") == 1
    assert "lower joint: 21.0 deg, give or take 1.1 deg; usable; 30 deg allowed" in said


def test_the_teeth_beside_the_chosen_one_are_told_as_teeth() -> None:
    said = flat(saloon())
    assert (
        "tooth by tooth, the ripple it leaves (wheel-end yoke, seen from the wheel end): 1 tooth clockwise 9.7 %"
        in said
    )
    assert "2 teeth clockwise 7.4 %, 3 teeth clockwise 6.2 %, 4 teeth clockwise 6.9 %, 5 teeth clockwise 9.0 %" in said
