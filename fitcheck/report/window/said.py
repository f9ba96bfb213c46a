"""What the window says: the pair nearest to its limit, its gap, where the unit is, which keys there are."""

from collections.abc import Mapping

from fitcheck.clearance.at_travel import Nearest
from fitcheck.placement.scene import Scene
from fitcheck.report import words
from fitcheck.report.pictures.captions import plain

NOTHING = "No pair can be looked at yet: fitcheck check says what to measure."
NOT_ALLOWED = "The job does not allow this clock (clocking.clocks)."
KEYS = (
    "t: pedals to the worst of their full travel    o: the job's own place    "
    "d, l, u: from the seat, from the left, lying under it"
)
LONGEST = 80


def said(
    found: Nearest | None, scene: Scene, shares: Mapping[str, float], show: words.Show, unsettled: str = ""
) -> str:
    """What is not settled anywhere; the pair with its gap, what is required of it, and where everything stands."""
    at = scene.setting
    place = f"motor to {words.clock_both(at.clock)}, input face {words.size(at.input_face_mm, show)} down from hub seat"
    first = [plain(unsettled, 3 * LONGEST)] if unsettled else []
    nearest = [NOTHING] if found is None else _gap(found, show)
    return "\n".join((*first, *nearest, place, _pedals(shares, scene, show)))


def _gap(found: Nearest, show: words.Show) -> tuple[str, str]:
    pair, gap, need = found.pair, found.gap, found.pair.need
    if gap.gap_mm == 0:
        room = f"in by at least {words.room(gap.depth_mm, show)}" if gap.depth_mm >= 1 else "they touch"
    else:
        room = f"at least {words.room(gap.bound_mm, show)}"
    names = plain(f"{pair.a.name} - {pair.b.name}", LONGEST)
    return (
        f"nearest to its limit: {names}: {room}",
        f"required {words.need(need.required_mm, show)} ({plain(need.required_from, LONGEST)}): {_kept(found, show)}",
    )


def _kept(found: Nearest, show: words.Show) -> str:
    if found.gap.gap_mm == 0:
        return "HITS"
    if found.margin_mm < 0:
        return f"NOT KEPT, {words.need(-found.margin_mm, show)} short"
    return f"kept, with {words.room(found.margin_mm, show)} to spare; the readings' spread not counted"


def _pedals(shares: Mapping[str, float], scene: Scene, show: words.Show) -> str:
    told = "; ".join(words.one_travel(pedal, share, scene, show) for pedal, share in shares.items())
    return plain(f"{told}; all else through all its movements" if told else "", 3 * LONGEST)
