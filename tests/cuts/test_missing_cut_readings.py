"""A reading that is missing withholds what depends on it, with its key and what to measure, and nothing else."""

import pytest

from fitcheck.cuts.limits import LimitResult, NotKnown
from fitcheck.errors import JobError
from tests.cuts.cut_jobs import limit_of, planned, saloon_cuts, setting, value_of, van_cuts
from tests.jobs import Tables, changed

ALL = {"upper jacket", "upper shaft", "lower jacket", "lower shaft"}
CASES = [
    ("unit.input_depth", {"upper shaft"}, "from the unit's input face to the bottom of its bore"),
    ("unit.output_depth", {"lower shaft"}, "from the unit's output face to the bottom of its bore"),
    ("unit.collar_depth", {"upper jacket"}, "from the unit's input face to its collar's shoulder"),
    ("unit.lower_collar_mouth", {"lower jacket"}, "from the unit's input face to its lower collar's mouth"),
    ("unit.lower_collar_depth", {"lower jacket"}, "from the lower collar's mouth to its shoulder"),
]


def pieces_planned(tables: Tables) -> set[str]:
    return {piece.name for piece in planned(tables).pieces}


@pytest.mark.parametrize("car", [saloon_cuts, van_cuts])
@pytest.mark.parametrize(("key", "without", "measure"), CASES)
def test_a_missing_reading_withholds_its_piece_alone(
    car: type[Tables], key: str, without: set[str], measure: str
) -> None:
    tables = setting(key, None, car())
    assert pieces_planned(tables) == ALL - without
    plan = planned(tables)
    missing = limit_of(plan, next(iter(without))) if "jacket" in str(without) else None
    unknown = [limit for limit in plan.limits if isinstance(limit, NotKnown) and limit.what in without]
    assert [(one.keys, one.measure) for one in unknown] == [((f"cuts.{key}",), measure)]
    assert plan.result is LimitResult.NOT_KNOWN
    assert missing is None or missing in unknown


def test_the_bench_and_the_car_stand_in_for_each_other() -> None:
    """Without the bench's readings the tape in the car still gives the cuts, less surely."""
    bench = planned(saloon_cuts()).pieces
    tape = planned(setting("bench", None, saloon_cuts())).pieces
    assert {piece.name for piece in tape} == ALL
    spreads = {piece.name: piece.needed.rss_mm for piece in bench}
    assert all(piece.needed.rss_mm >= spreads[piece.name] for piece in tape)
    assert all(abs(a.needed.mm - b.needed.mm) < 1.0 for a, b in zip(bench, tape, strict=True))


def test_where_neither_says_where_the_shaft_ends_it_is_asked_for() -> None:
    tables = changed(changed(saloon_cuts(), ("column", "shaft_to"), None), ("column", "shaft_od"), None)
    tables = setting("bench.shaft_stick_out", None, tables)
    tables = setting("bench.shaft_overall", None, tables)
    missing = limit_of(planned(tables), "lower shaft")
    assert isinstance(missing, NotKnown)
    assert missing.keys == ("cuts.bench.shaft_overall",)
    assert missing.measure == "the shaft from end to end"


def test_the_bands_are_asked_of_the_unit_s_maker_and_never_assumed() -> None:
    plan = planned(setting("fits.upper_shaft", None, saloon_cuts()))
    missing = limit_of(plan, "upper shaft")
    assert isinstance(missing, NotKnown)
    assert missing.keys == ("cuts.fits.upper_shaft",)
    assert "the unit's maker says so" in missing.measure


def test_a_missing_kerf_leaves_every_mark_and_length() -> None:
    plan = planned(setting("saw", {"trim_square": "0.5 mm"}, saloon_cuts()))
    whole = planned(saloon_cuts())
    assert [piece.mark_mm for piece in plan.pieces] == [piece.mark_mm for piece in whole.pieces]
    assert all(isinstance(account, NotKnown) and account.keys == ("cuts.saw.kerf",) for account in plan.accounts)


def test_a_default_in_use_is_said() -> None:
    remarks = planned(setting("saw", {"kind": "chop saw"}, saloon_cuts())).remarks
    assert remarks[:4] == (
        "cuts.saw.kerf not given: 3.2 mm for a chop saw; measure it in scrap",
        "cuts.saw.square not given: a first cut by hand may be 1 mm out of square",
        "cuts.saw.trim_square not given: a final face may be 1 mm out of square",
        "cuts.saw.allowance not given: the first cut leaves a piece 6 mm longer, and its spread",
    )


def test_what_goes_on_below_the_unit_has_to_be_said() -> None:
    plan = planned(setting("below", None, saloon_cuts()))
    unknown = next(limit for limit in plan.limits if limit.what == "lower jacket")
    assert isinstance(unknown, NotKnown)
    assert unknown.keys == ("cuts.below",)


def test_bench_and_car_that_contradict_each_other_leave_their_pieces_not_known() -> None:
    """The jacket 12 mm longer on the bench than taped in the car; the shaft, not tied to it, is answered."""
    tables = setting("bench.jacket_overall", "667 mm", saloon_cuts())
    tables = setting("bench.shaft_stick_out", None, tables)
    plan = planned(tables)
    (doubt,) = plan.doubts
    assert doubt.key == "column.jacket_to"
    assert doubt.others == ("cuts.bench.hub_seat_to_jacket_top", "cuts.bench.jacket_overall")
    found = limit_of(plan, "lower jacket: engagement")
    assert isinstance(found, NotKnown)
    assert "contradict each other" in found.reason
    assert value_of(plan, "upper shaft: engagement") == pytest.approx(26.99, abs=0.01)
    assert value_of(plan, "lower shaft: engagement") == pytest.approx(28.23, abs=0.01)


def test_the_unit_s_solids_check_its_length() -> None:
    """Sensor, gear body and output stub are 80 + 90 + 40; a unit of 220 mm contradicts them."""
    plan = planned(setting("unit.face_to_face", "220 mm", saloon_cuts()))
    (doubt,) = plan.doubts
    assert {doubt.key, *doubt.others} == {
        "cuts.unit.face_to_face", "unit.sensor.long", "unit.gear_body.long", "unit.output.long",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("fits.upper_shaft.end_gap", ["4 mm", "2 mm"], "end_gap runs from the smaller to the larger"),
        ("bar", {"kind": "spline"}, "give teeth = 36"),
        ("zones", [{"name": "z", "measured_from": "hub seat", "starts": "9 in", "ends": "8 in"}], "exchange the two"),
        ("bench.jacket_overal", "600 mm", "did you mean 'jacket_overall'?"),
        ("bench.jacket_overall", 600, "bare number"),
    ],
)
def test_what_cannot_be_is_refused_with_line_and_remedy(key: str, value: object, said: str) -> None:
    with pytest.raises(JobError) as caught:
        planned(setting(key, value, saloon_cuts()))
    (fault,) = caught.value.faults
    assert fault.key.startswith("cuts.")
    assert said in fault.message


def test_a_contradiction_is_told_once_and_makes_the_end_of_the_shaft_not_known() -> None:
    """9 in too little on the bench: 23 for 32."""
    plan = planned(setting("bench.shaft_overall", "23 in", saloon_cuts()))
    assert plan.holds == tuple(map(str, plan.doubts))
    assert plan.shaft_end_doubt is not None
    assert "cuts.bench.shaft_overall" in plan.shaft_end_doubt.keys
    assert planned(saloon_cuts()).shaft_end_doubt is None
