"""The readings as plain text: what is in doubt first, then the points, each reading, and what is missing."""

from collections.abc import Iterator
from math import ceil
from textwrap import wrap

from fitcheck.job.angles import degrees
from fitcheck.job.model import Job
from fitcheck.readings.adjust import Observation
from fitcheck.readings.points import Point, Points
from fitcheck.readings.snooping import Doubtful
from fitcheck.report import words

NAMES, CELL = 13, 32  # columns for a point's name and for each coordinate
EACH = (
    "Each reading: how far it is off from what all of them together make of it, and how large a mistake could hide "
    "in it that nothing else would show"
)
WORDS = (("behind", "ahead"), ("right", "left"), ("above", "below"))
UNCHECKED_WHY = (
    "a mistake in one of these nothing else would show; take it a second time, by another road if there is one"
)


def readings_text(job: Job, points: Points, about: str, width: int) -> str:
    """The whole chapter."""
    show = job.job.show
    blocks = (
        _filled([job.job.name, about], width),
        _filled([f"READINGS: {summary(points)}."], width),
        list(doubts(points, show, width)),
        _list("Fixed by nothing", list(points.missing()), width),
        _points(job, points, width),
        [*_filled([EACH], width), *_rows(points, show)],
        _unchecked(points, width),
        [] if points.adjusted.agrees else _filled([whole(points)], width),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def readings_rows(points: Points, show: words.Show, width: int) -> list[str]:
    """The chapter in short, for the whole verdict."""
    rows = ["Readings", *_filled([f"  {summary(points)}; the table: fitcheck readings"], width)]
    rows += doubts(points, show, width)
    rows += [line for text in points.missing() for line in _filled([f"  {text}"], width)]
    return rows if points.adjusted.agrees else [*rows, *_filled([f"  {whole(points)}"], width)]


def summary(points: Points) -> str:
    """How many readings of how many points, and what is wrong with them."""
    many, named = len(points.all_observations), len(points.names)
    spare = points.adjusted.degrees + sum(doubt.left_out for doubt in points.doubtful)
    parts = [f"{many} readings of {named} points, {spare} more than it takes"]
    parts += [f"{len(points.doubtful)} in doubt"] if points.doubtful else []
    parts += [f"{len(points.unchecked)} checked by no other"] if points.unchecked else []
    still = sum(bool(point.open) for point in points.found)
    parts += [f"{still} point{'s' if still > 1 else ''} not fixed yet"] if still else []
    return "; ".join(parts)


def whole(points: Points) -> str:
    """What it means that the readings agree worse than their spreads say."""
    return (
        f"As a whole the readings agree {points.adjusted.factor:.1f} times worse than their spreads say (sum of "
        f"squares {points.adjusted.squares:.1f}, limit {points.adjusted.limit:.1f}): all spreads "
        "here are widened by that much. Were the spreads stated too small, or did something move between readings?"
    )


def doubts(points: Points, show: words.Show, width: int) -> Iterator[str]:
    """Each reading in doubt, with how far it is off and what it would have to be."""
    for doubt in points.doubtful:
        label = f"  [!] in doubt  {doubt.observation.reading.key}: {doubt.observation.words}"
        yield from wrap(label, width, subsequent_indent="                ")
        yield from wrap(
            doubt_words(doubt, show), width, initial_indent="                ", subsequent_indent="                "
        )


def doubt_words(doubt: Doubtful, show: words.Show) -> str:
    """One reading in doubt, in sentences."""
    each = doubt.observation
    read, other = amount(each, each.reading.value, show), amount(each, doubt.would_be, show)
    off = amount(each, abs(doubt.off), show)
    said = f"It reads {read}; by the others it would have to be {other}: {off} {'less' if doubt.off > 0 else 'more'}. "
    if doubt.left_out:
        return said + "It is left out of everything until it is taken again; look at both its ends."
    others = "; ".join(
        f"{each.observation.reading.key} ({each.observation.words}), which would have to be "
        f"{amount(each.observation, each.would_be, show)}"
        for each in doubt.or_else
    )
    return f"{said}Or instead of it one of these is wrong: {others}. Nothing tells which; take each of them again."


def amount(each: Observation, value: float, show: words.Show) -> str:
    """A reading in its own unit."""
    return f"{degrees(value):.1f} deg" if each.reading.is_angle else words.size(value, show)


def _points(job: Job, points: Points, width: int) -> list[str]:
    title = f"Points, from the datum ({job.job.datum}); give or take and (in brackets) in mm"
    return [*_filled([title], width), *(_point(point, job.job.show) for point in points.found)]


def _point(point: Point, show: words.Show) -> str:
    cells = []
    for way, (plus, minus), mm, spread in zip(
        ("back", "right", "up"), WORDS, point.at.tolist(), point.spread.tolist(), strict=True
    ):
        if way in point.open:
            cells.append(f"{plus} or {minus}: not known")
        else:
            size = words.size(abs(mm), show).replace(" mm)", ")")
            cells.append(f"{size} {plus if mm >= 0 else minus} ±{ceil(10 * spread) / 10:.1f}")
    return f"  {point.name:<{NAMES}}" + "".join(f"{cell:<{CELL}}" for cell in cells).rstrip()


def _rows(points: Points, show: words.Show) -> Iterator[str]:
    adjusted = points.adjusted
    kept = {id(each): i for i, each in enumerate(adjusted.net.observations)}
    for each in points.all_observations:
        at = kept.get(id(each))
        off = each.off(adjusted.net.values(each, adjusted.x))
        unit = "deg" if each.reading.is_angle else "mm"
        size = degrees if each.reading.is_angle else float
        if at is None:
            told = f"off by {size(off):+.1f} {unit}: IN DOUBT, left out"
        elif at not in _checked(points):
            told = "checked by no other"
        else:
            told = f"off by {size(off):+.1f} {unit}; under {size(adjusted.unseen(at)):.1f} {unit} could hide"
        name = each.words if len(each.words) <= 40 else each.words[:39] + "…"
        yield f"  {name:<41}{amount(each, each.reading.value, show):>22}  {told}"


def _checked(points: Points) -> set[int]:
    unchecked = {id(each) for each in points.unchecked}
    return {i for i, each in enumerate(points.adjusted.net.observations) if id(each) not in unchecked}


def _unchecked(points: Points, width: int) -> list[str]:
    if not points.unchecked:
        return []
    names = [each.words for each in points.unchecked]
    return [
        "Checked by no other reading",
        *_filled([f"  {UNCHECKED_WHY}:", "  " + "; ".join(names)], width),
    ]


def _filled(texts: list[str], width: int) -> list[str]:
    return [line for text in texts for line in wrap(text, width, subsequent_indent="  ")]


def _list(title: str, paragraphs: list[str], width: int) -> list[str]:
    if not paragraphs:
        return []
    lines = [x for text in paragraphs for x in wrap(text, width, initial_indent="  - ", subsequent_indent="    ")]
    return [title, *lines]
