"""How far a shaft must shut to be drawn off; mm."""

from fitcheck.shaft import lengths
from fitcheck.shaft.chapter import as_three
from tests.jobs import mm
from tests.shaft import cars


def test_only_hubs_that_something_can_leave_count_for_the_draw_off() -> None:
    """Three joints, the wheel half held: the first joint's short bores (12, 13) stay put; 20 + 5 is asked."""
    loaded = as_three(cars.job(cars.steep()).shaft)  # type: ignore[arg-type]
    deep = {"to_end": mm(40), "bore": mm(25)}
    tables = [
        {"name": "first", "wheel_hub": {**deep, "bore": mm(12)}, "rack_hub": {**deep, "bore": mm(13)}},
        {"name": "middle", "wheel_hub": deep, "rack_hub": {**deep, "bore": mm(20)}},
        {"name": "last", "wheel_hub": deep, "rack_hub": deep},
    ]
    joints = [type(loaded.joints[0]).model_validate(table) for table in tables]
    shaft = loaded.model_copy(update={"joints": joints})
    assert lengths.draw_off_needed_mm(shaft, 1) == 20 + 5
    assert lengths.draw_off_needed_mm(shaft, 0) == 12 + 5
