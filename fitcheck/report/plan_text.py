"""The plan of what to measure as plain text: readings in walking order, what they decide, what is left as guessed."""

from collections.abc import Iterator, Sequence
from itertools import count, groupby
from math import ceil
from textwrap import wrap

from fitcheck.confidence.plan import Plan, Planned, Taken
from fitcheck.confidence.plan_places import Guess
from fitcheck.job.angles import degrees
from fitcheck.job.model import Job
from fitcheck.job.opening import OpenJob
from fitcheck.report import words
from fitcheck.report.key_words import key_words

WIDTH = 110
SHOWN = 6
WRITE = (
    'Write each reading in with how good it is ("394 mm ± 3 mm", or tool = "footwell tape" beside the place): then it '
    "counts as measured. What you find moves the gaps, so make the plan anew once the list is done: it may want more."
)
WOULD_NOT = "IT WOULD NOT FIT, and no reading changes that"
MOVE_FIRST = "Move it first (fitcheck clocking looks for a clock and place), then ask for the plan again"
MINUTES = "Tools, minutes and places to stand are common practice, no source."


def plan_text(opened: OpenJob, found: Plan, width: int = WIDTH) -> str:
    """The whole plan."""
    job = opened.job
    blocks = (
        [job.job.name, f"Job {opened.digest[:12]}, {job.job.date or 'no date in job'}."],
        _filled(f"PLAN: {_if_as_guessed(found, job)}.", width),
        ["Take these, in this order", *_walk(job, found.taken, width)] if found.taken else [],
        ["What they decide", *(line for pair in found.pairs for line in _pair(pair, job, width))],
        ["Next, for more certainty", *_next(job, found, width)] if found.next and not found.no_room else [],
        _filled(f"Not even guessed, so in no pair: {', '.join(found.missing)}. Guess them too.", width)
        if found.missing
        else [],
        ["Left as guessed: each moves a gap by up to", *_left(found.left, width)] if found.left else [],
        [*_filled(WRITE, width), MINUTES],
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _if_as_guessed(found: Plan, job: Job) -> str:
    only_if = f"if the car is about as guessed ({guessed_words(job)})"
    if not found.no_room:
        return f"{summary(found)}, {only_if}"
    return f"{WOULD_NOT}, {only_if}. {summary(found)}"


def summary(found: Plan) -> str:
    """How many readings, how long, and what they decide."""
    many, minutes = len(found.taken), ceil(found.minutes)
    open_ones = sum(not pair.decided for pair in found.pairs)
    what = f"{many} reading{'' if many == 1 else 's'}, about {minutes} minutes" if many else "no reading is needed"
    pairs = len(found.pairs)
    far = f" ({found.far} more are far apart)" if found.far else ""
    if found.no_room:
        worst = min(found.no_room, key=lambda pair: pair.margin_mm)
        more = f" and {len(found.no_room) - 1} more" if len(found.no_room) > 1 else ""
        return f"No room between {worst.a} and {worst.b}{more}. {MOVE_FIRST}"
    if not pairs:
        return f"{what}; no pair is near enough to be decided{far}"
    if open_ones:
        return f"{what}; {open_ones} of {pairs} pairs stay too close to call, whatever is taken{far}"
    return f"{what}, to decide {'the pair' if pairs == 1 else f'all {pairs} pairs'}{far}"


def guessed_words(job: Job) -> str:
    """How good the guesses are."""
    said = job.job.guessed
    assert said is not None
    return f"places give or take {said.places.text}, sizes {said.sizes.text}, angles {said.angles.text}"


def good(spread: float, is_angle: bool) -> str:
    """A spread, in its own unit."""
    return f"{degrees(spread):.2g} deg" if is_angle else f"{spread:.2g} mm"


def how(taken: Taken) -> str:
    """With what, and how good that is."""
    return f"{taken.way.words}, give or take {good(taken.way.spread, taken.guess.reading.is_angle)}"


def _walk(job: Job, taken: Sequence[Taken], width: int) -> Iterator[str]:
    numbers = count(1)
    for where, each in groupby(taken, key=lambda one: one.guess.station):
        yield f"  {where}"
        for one in each:
            yield from _numbered(next(numbers), f"{key_words(job, one.key)} ({one.key}): {how(one)}", width)


def _next(job: Job, found: Plan, width: int) -> Iterator[str]:
    for number, one in enumerate(found.next, len(found.taken) + 1):
        yield from _numbered(number, f"{key_words(job, one.key)} ({one.key}), {one.guess.station}: {how(one)}", width)


def _numbered(number: int, text: str, width: int) -> list[str]:
    return wrap(text, width, initial_indent=f"  {number:>4}  ", subsequent_indent="        ")


def _pair(pair: Planned, job: Job, width: int) -> list[str]:
    show = job.job.show
    away = words.room(abs(pair.margin_mm), show)
    side = f"{away} {'more' if pair.margin_mm >= 0 else 'less'} than required"
    mark = "[X]" if pair.margin_mm < 0 else "[+]"
    mark = mark if pair.decided else "[?]"
    if pair.no_room:
        told = f"  [X] {pair.a} - {pair.b}: would not fit as guessed, {side}, {words.spread(pair.spread_before_mm)}"
        return wrap(told, width, subsequent_indent="      ")
    told = (
        f"  {mark} {pair.a} - {pair.b}: as guessed {side}, {words.spread(pair.spread_before_mm)}; with these "
        f"{words.spread(pair.spread_after_mm)}, chance to call it wrong {words.chance(pair.chance_wrong)}"
    )
    return wrap(told, width, subsequent_indent="      ")


def _left(left: Sequence[tuple[Guess, float]], width: int) -> list[str]:
    by_size = sorted(left, key=lambda each: -each[1])
    told = [f"{guess.reading.key} {_up(most)}" for guess, most in by_size[:SHOWN]]
    rest = by_size[SHOWN:]
    more = [f"{len(rest)} more by {_up(rest[0][1])} at most"] if rest else []
    return _filled("  " + ", ".join([*told, *more]), width)


def _up(mm: float) -> str:
    return f"{ceil(10 * mm) / 10:.1f} mm"


def _filled(text: str, width: int) -> list[str]:
    indent = text[: len(text) - len(text.lstrip())]
    return wrap(text.strip(), width, initial_indent=indent, subsequent_indent=indent or "  ")
