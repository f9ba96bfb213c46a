"""The plan of what to measure as one JSON object. mm, degrees, minutes; chances 0..1."""

from typing import Any

from fitcheck.confidence.plan import Plan, Taken
from fitcheck.job.angles import degrees
from fitcheck.job.opening import OpenJob
from fitcheck.report.gap_document import near, up
from fitcheck.report.readings_chapter import SCHEMA


def plan_document(opened: OpenJob, found: Plan) -> dict[str, Any]:
    """The whole plan."""
    head = opened.job.job
    job = {"name": head.name, "file": opened.file, "digest": opened.digest}
    return {
        "schema": SCHEMA,
        "job": job | ({"date": head.date} if head.date is not None else {}),
        "plan": {
            "decides": found.decides,
            "no_room": [[pair.a, pair.b] for pair in found.no_room],
            "minutes": near(found.minutes),
            "take": [_taken(each) for each in found.taken],
            "pairs": [
                {
                    "a": pair.a,
                    "b": pair.b,
                    "margin_mm": near(pair.margin_mm),
                    "spread_as_guessed_mm": up(pair.spread_before_mm),
                    "spread_mm": up(pair.spread_after_mm),
                    "chance_wrong": round(pair.chance_wrong, 6),
                    "decided": pair.decided,
                }
                for pair in found.pairs
            ],
            "next": [_taken(each) for each in found.next],
            "left_as_guessed": [{"key": guess.reading.key, "moves_mm": up(most)} for guess, most in found.left],
            "far": found.far,
            "missing": list(found.missing),
        },
    }


def _taken(each: Taken) -> dict[str, Any]:
    is_angle = each.guess.reading.is_angle
    spread = {"spread_deg": up(degrees(each.way.spread))} if is_angle else {"spread_mm": up(each.way.spread)}
    row = {"key": each.key, "where": each.guess.station, "with": each.way.words, "minutes": near(each.way.minutes)}
    return row | spread
