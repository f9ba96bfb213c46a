"""One pair as a JSON row. Lengths in mm, chances 0..1; bounds are rounded down and depths too, spreads up."""

import math
from typing import Any

from fitcheck.confidence.again import again
from fitcheck.confidence.results import Judged, Result
from fitcheck.geometry.frames import Vector


def gap_row(entry: Judged) -> dict[str, Any]:
    """One pair, judged or only listed."""
    pair, closest = entry.pair, entry.found.closest
    row: dict[str, Any] = {"a": pair.a.name, "b": pair.b.name, "result": entry.result.value, "reason": entry.reason}
    if entry.result not in (Result.AS_BEFORE, Result.JOINED):
        row |= {"required_mm": near(pair.need.required_mm), "required_from": pair.need.required_from}
    if closest is None:
        return row | ({"missing": list(entry.missing), "measure": entry.measure} if entry.missing else {})
    gap = closest.gap
    if gap.doubt:  # how far the surfaces are apart is no gap where one part may be inside the other
        return row
    if not gap.bracketed:
        return row | {"at_least_mm": down(gap.bound_mm), "bound_mm": down(gap.bound_mm)}
    row |= {"gap_mm": near(gap.gap_mm), "bound_mm": down(gap.bound_mm), "spread_mm": up(entry.spread_mm)}
    if gap.gap_mm == 0:
        row["depth_at_least_mm"] = down(gap.depth_mm)
    if entry.result is not Result.AS_BEFORE:
        row["chance_under"] = round(entry.chance_under, 6)
    if entry.drawn is not None:
        row["drawn"] = {
            "draws": entry.drawn.draws,
            "spread_mm": up(entry.drawn.spread_mm),
            "place_changed": round(entry.drawn.place_changed, 4),
        }
    if closest.at_travel:
        row["at_travel"] = {pedal: near(share) for pedal, share in closest.at_travel.items()}
    if closest.at_movement:
        row["at_movement"] = {name: near(share) for name, share in closest.at_movement.items()}
    if entry.found.first_touch is not None:
        row["first_touch_travel"] = near(entry.found.first_touch)
    buys = [{"key": each.key, "how": each.how, "chance_under": round(each.chance_under, 6)} for each in again(entry)]
    row |= {"measure_again": buys} if buys else {}
    row |= {"where_a": closest.a_where, "where_b": closest.b_where}
    row |= {"on_a": point(gap.on_a), "on_b": point(gap.on_b)}
    row["spread_from"] = [{"key": share.key, "part_mm": near(share.part_mm)} for share in entry.shares]
    return row


def point(at: Vector) -> dict[str, float]:
    """A point (3,) of the car."""
    return dict(zip(("back_mm", "right_mm", "up_mm"), map(near, at.tolist()), strict=True))


def near(value: float) -> float:
    """To the nearest thousandth."""
    return round(value, 3) + 0.0


def down(value: float) -> float:
    """To the thousandth below."""
    return float(math.floor(value * 1000) / 1000)


def up(value: float) -> float:
    """To the thousandth above."""
    return math.ceil(value * 1000) / 1000
