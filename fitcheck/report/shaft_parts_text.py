"""The shaft's pieces as sentences: lengths, halves, dimples, the column's stub; and what they carry."""

from collections.abc import Iterator

from fitcheck.limits import NotKnown
from fitcheck.report import words
from fitcheck.report.shaft_words import deg, lacking
from fitcheck.report.tape import at_least, between, finished, near
from fitcheck.shaft.lengths import BarLength, Dimple
from fitcheck.shaft.results import PieceRow, ShaftChapter
from fitcheck.shaft.strength import Strength

SHARES_SHOWN = 3
SAME_SHARE = 0.1  # two ways to a spread nearer than this share of it are told as one


def length_lines(found: ShaftChapter, show: words.Show) -> Iterator[str]:
    """Every piece, its halves and dimples, and where the column's shaft has to end."""
    for row in found.pieces:
        yield from [lacking(row)] if isinstance(row, NotKnown) else _piece(row, show)
    if isinstance(found.stub, NotKnown):
        yield f"column's shaft: {lacking(found.stub)}"
    else:
        yield f"column's shaft has to end {between(*found.stub, show)} along from the hub seat, not past it"
    for what, dimple in found.end_dimples:
        yield f"{what}: {_dimple(dimple, show)}"


def _piece(row: PieceRow, show: words.Show) -> Iterator[str]:
    yield (
        f"{row.name}: joints {near(row.span_mm, show)} centre to centre by {row.span_from}, "
        f"{words.spread(row.spread.most)}{_shares(row)}"
    )
    if row.halves is None:
        yield f"{row.name}: bar {_band(row.length, show)}"
    else:
        yield f"{row.name}: pulled out as set it is {between(row.length.low, row.length.high, show)} end to end"
    for when, change in row.at_stands[1:]:
        yield f"{row.name}: {when}: {words.size(abs(change), show)} {'longer' if change >= 0 else 'shorter'}"
    if row.halves is not None:
        slide = row.halves
        made = " (as made; figures here are what it would be cut to)" if slide.made else ""
        yield f"{row.name}: solid half {_band(slide.solid, show)}{made}"
        yield f"{row.name}: tube half {_band(slide.tube, show)}{made}"
        yield (
            f"{row.name}: overlap {words.size(slide.overlap_mm, show)} as set; "
            f"shuts {words.room(slide.shuts_mm, show)} until {slide.stops}"
        )
    for dimple in row.dimples:
        yield f"{row.name}: {_dimple(dimple, show)}"


def _band(band: BarLength, show: words.Show) -> str:
    if band.low > band.high:
        return f"no length does: at least {words.size(band.low, show)}, at most {words.size(band.high, show)}"
    told = finished(band.finished, band.low, band.high, show)
    return f"cut first {at_least(band.first, show)}, finished {told}, may be {between(band.low, band.high, show)}"


def _shares(row: PieceRow) -> str:
    most = [f"{share.key} {abs(share.part):.1f} mm" for share in row.spread.shares[:SHARES_SHOWN]]
    one, other = row.spread.by_draws, row.spread.first_order
    apart = abs(one - other) > SAME_SHARE * row.spread.most and one > 0
    two = f"{words.spread(one)} by trying all readings at once, {words.spread(other)} one by one; " if apart else ""
    return f" ({two}most of it: {', '.join(most)})" if most else ""


def _dimple(dimple: Dimple, show: words.Show) -> str:
    return (
        f"dimple for {dimple.joint}, {near(dimple.from_end_mm, show)} from the {dimple.end} end; "
        f"drilled through the joint after the trial fit; {dimple.remark}"
    )


def strength_lines(found: Strength | NotKnown) -> Iterator[str]:
    """Torsion, couples, side forces and the bracket's force."""
    if isinstance(found, NotKnown):
        yield lacking(found)
        return
    yield f"at {found.torque_nm:.0f} N m of assist torque, at most; solid steel where nothing else is given:"
    for name, bar in found.torsion:
        yield (f"{name}: {bar.stress_mpa:.0f} MPa of shear, twist {deg(bar.twist_rad_per_m / 10)} each 100 mm")
    for couple in found.couples:
        yield (
            f"{couple.joint}: bends its driving shaft with {couple.driving_nm:.0f} N m, its driven one with "
            f"{couple.driven_nm:.0f} N m, twice a turn; {couple.rating}"
        )
    yield f"box input pushed sideways with up to {found.box_force_n:.0f} N"
    if found.support_force_n is not None:
        yield f"support bearing pushed sideways with up to {found.support_force_n:.0f} N"
    if isinstance(found.bracket_force_n, NotKnown):
        yield f"unit's bracket: {lacking(found.bracket_force_n)}"
    else:
        yield f"unit's bracket pushed with {found.bracket_force_n:.0f} N, both ways"
