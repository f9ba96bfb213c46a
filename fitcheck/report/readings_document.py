"""The readings as JSON: points with spread, readings in doubt, readings that no other checks. mm, degrees."""

from math import ceil
from typing import Any

from fitcheck.job.angles import degrees
from fitcheck.readings.adjust import Observation
from fitcheck.readings.points import Point, Points
from fitcheck.readings.snooping import Doubtful

WAYS = ("back", "right", "up")


def readings_document(points: Points) -> dict[str, Any]:
    """What stands under `readings`."""
    adjusted = points.adjusted
    return {
        "points": [_point(point) for point in points.found],
        "doubtful": [_doubtful(doubt) for doubt in points.doubtful],
        "unchecked": [{"key": each.reading.key, "what": each.words} for each in points.unchecked],
        "missing": list(points.missing()),
        "residuals": [_residual(points, each) for each in points.all_observations],
        "whole": {
            "more_than_needed": adjusted.degrees,
            "squares": _near(adjusted.squares),
            "limit": _near(adjusted.limit),
            "agrees": adjusted.agrees,
            "spreads_widened": _near(points.widened),
        },
    }


def _point(point: Point) -> dict[str, Any]:
    there = [i for i, way in enumerate(WAYS) if way not in point.open]
    return {
        "name": point.name,
        **{f"{WAYS[i]}_mm": _near(float(point.at[i])) for i in there},
        "spread": {f"{WAYS[i]}_mm": ceil(float(point.spread[i]) * 1000) / 1000 for i in there},
        **({"not_fixed": list(point.open)} if point.open else {}),
    }


def _doubtful(doubt: Doubtful) -> dict[str, Any]:
    each = doubt.observation
    return {
        "key": each.reading.key,
        "what": each.words,
        "reason": "in doubt: the other readings say otherwise",
        **_sized("reads", each, each.reading.value),
        **_sized("would_be", each, doubt.would_be),
        **_sized("off", each, doubt.off),
        "test": _near(doubt.w),
        "left_out": doubt.left_out,
        **({"or_else": [_doubtful(other) for other in doubt.or_else]} if doubt.or_else else {}),
    }


def _residual(points: Points, each: Observation) -> dict[str, Any]:
    adjusted = points.adjusted
    row = {"key": each.reading.key, "what": each.words, **_sized("reads", each, each.reading.value)}
    row |= _sized("off", each, each.off(adjusted.net.values(each, adjusted.x)))
    kept = {id(other): i for i, other in enumerate(adjusted.net.observations)}
    at = kept.get(id(each))
    if at is None:
        return row | {"left_out": True}
    row |= {"redundancy": _near(float(adjusted.redundancy[at])), "test": _near(float(adjusted.w[at]))}
    unseen = adjusted.unseen(at)
    return row | (_sized("could_hide", each, unseen) if unseen < float("inf") else {})


def _sized(name: str, each: Observation, value: float) -> dict[str, float]:
    if each.reading.is_angle:
        return {f"{name}_deg": _near(degrees(value))}
    return {f"{name}_mm": _near(value)}


def _near(value: float) -> float:
    return round(value, 3) + 0.0
