"""What a job still wants measured, and which of its readings are worth taking again, from what its verdict says."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from fitcheck.confidence.mocked_up import suspects
from fitcheck.confidence.plan import Taken
from fitcheck.confidence.results import Judged, Result
from fitcheck.job.model import Job
from fitcheck.limits import NotKnown
from fitcheck.readings.ways import TWO_HANDS
from fitcheck.report import words
from fitcheck.report.key_words import key_words, owner_of
from fitcheck.report.measure.catalogue import BENCH, DOZEN
from fitcheck.report.measure.further import AGAIN as AGAIN_READINGS
from fitcheck.report.measure.further import FEET, REACH, SHAFT, reading_of
from fitcheck.report.measure.reading import TAPE, Reading
from fitcheck.report.measure.sizes import SIZES
from fitcheck.report.readings_text import doubt_words
from fitcheck.verdict import Verdict

AGAIN = 6  # readings taken again are shown at most
WORTH_MM = 0.2  # what moves a gap by less is not worth taking again
CHAPTERS = {"pedals": (*DOZEN[6:], *SIZES[:2]), "cuts": BENCH, "shaft": SHAFT, "reach": REACH}
ANY_OF = AGAIN_READINGS[2:]  # their titles do not say which
UNSURE = (Result.UNDER, Result.TOO_CLOSE, Result.NOT_KNOWN)


@dataclass(frozen=True)
class Wanted:
    """A reading of the catalogue, or something that is none of them; `about`: which part; `why` in words; `keys`."""

    reading: Reading | None
    about: str = ""
    why: str = ""
    keys: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """What to read."""
        if self.reading is None:
            return self.about
        said = self.about.lower() in self.reading.title.lower()
        return self.reading.title if said else f"{self.reading.title} ({self.about})"

    @property
    def is_brakes(self) -> bool:
        """Whether it may be a brake's: by its name, or no part is named."""
        return not self.about or "brake" in self.about.lower()

    @property
    def how(self) -> str:
        """Why, how, and with what."""
        one = self.reading
        how = "" if one is None else "; ".join(filter(None, (one.how, one.brake if self.is_brakes else "", one.tool)))
        return "; ".join(filter(None, (self.why.rstrip("."), how)))

    @property
    def where(self) -> str:
        """Where in the job file it stands."""
        return f"key: {', '.join(self.keys)}" if self.keys else ""


def planned(job: Job, taken: Sequence[Taken]) -> list[Wanted]:
    """The readings that are a plan's, or its next ones: in their order, those at one place together."""
    cells: dict[tuple[Reading | None, str], list[Taken]] = {}
    for one in taken:
        cells.setdefault((reading_of(one.key), one.key.rpartition(".")[0]), []).append(one)
    return [_cell(job, reading, each) for (reading, _), each in cells.items()]


def _cell(job: Job, reading: Reading | None, taken: list[Taken]) -> Wanted:
    ways = {one.key.rsplit(".", 1)[-1].replace("_", " "): one.way for one in taken}
    tools = [way.words.removesuffix(TWO_HANDS) for way in ways.values()]
    twice = [f"{key}{TWO_HANDS.replace(',', '', 1)}" for key, way in ways.items() if way.words.endswith(TWO_HANDS)]
    keys = [one.key for one in taken]
    made = (reading and reading.asked(keys)) or Reading(key_words(job, taken[0].key), "", TAPE, None)
    where = taken[0].guess.station
    cell = replace(
        made,
        how=f"{where[0].upper()}{where[1:]}: {made.how}",
        tool="; ".join([*dict.fromkeys(tools), *twice]),
        blanks=tuple(ways),
    )
    return Wanted(cell, owner_of(job, taken[0].key) if reading else "")


def wanted(verdict: Verdict, again: bool = True) -> list[Wanted]:
    """What the mock-up contradicts first, odd ones, what is missing, what leaves a result open, then whole chapters."""
    doubted = *_disagrees(verdict), *_odd(verdict)
    why_of: dict[str, str] = {}
    for key, why in (*doubted, *_missing(verdict), *(_again(verdict) if again else ())):
        why_of.setdefault(key, why)
    lots: dict[tuple[Reading | None, str], list[str]] = {}
    for key in why_of:
        reading, job = reading_of(key), verdict.opened.job
        named = reading is None or reading in ANY_OF
        lots.setdefault((reading, key_words(job, key) if named else owner_of(job, key)), []).append(key)
    found = [
        Wanted(reading and reading.asked(lot), about, why_of[lot[0]], tuple(lot))
        for (reading, about), lot in lots.items()
    ]
    return [*found, *dict.fromkeys(_chapters(verdict))]


def _chapters(verdict: Verdict) -> Iterator[Wanted]:
    """What the job does not hold at all: every reading of it, each part of the car once."""
    for open_end in verdict.not_yet:
        why = f"not looked at yet: {open_end.measure}"
        for key in open_end.missing:
            owner = owner_of(verdict.opened.job, key)
            if key in CHAPTERS:
                about = open_end.what if key == "pedals" else ""
                yield from (Wanted(reading, about) for reading in CHAPTERS[key])
            elif open_end.what == "shins and knees":
                yield Wanted(FEET[1], owner)
            else:
                reading = reading_of(key)
                yield Wanted(reading, owner or open_end.what, why if reading is None else "")


def _disagrees(verdict: Verdict) -> Iterator[tuple[str, str]]:
    """Readings to look at first where the mock-up disagrees: the car is right."""
    show = verdict.opened.job.job.show
    for entry in () if verdict.seen is None else verdict.seen.entries:
        if not entry.agrees:
            found, told = words.size(entry.found_mm, show), words.size(entry.predicted_mm, show)
            for share in suspects(entry):
                yield share.key, f"THE MOCK-UP DISAGREES: {entry.words}: found {found}, predicted {told}"


def _odd(verdict: Verdict) -> Iterator[tuple[str, str]]:
    """Readings that look odd, and those that the others contradict."""
    show = verdict.opened.job.job.show
    for doubt in () if verdict.readings is None else verdict.readings.doubtful:
        yield doubt.observation.reading.key, f"IN DOUBT: {doubt.observation.words}. {doubt_words(doubt, show)}"
    for odd in verdict.odd:
        yield odd.key, f"LOOKS ODD, again: {odd.why}"


def _missing(verdict: Verdict) -> Iterator[tuple[str, str]]:
    for entry in verdict.gaps:
        for key in entry.missing:
            yield key, f"missing: {entry.measure}"
    planned = () if verdict.cuts is None else verdict.cuts.planned
    for piece in planned:
        if isinstance(piece, NotKnown):
            for key in piece.keys:
                yield key, f"missing: {piece.measure}"


def _again(verdict: Verdict) -> Iterator[tuple[str, str]]:
    """The largest shares of the pairs that are not sure; of the nearest pair where all are."""
    unsure = [entry for entry in verdict.gaps if entry.result in UNSURE and entry.shares]
    clear = [entry for entry in verdict.gaps if entry.result is Result.CLEAR and entry.shares]
    shares = [(share.key, abs(share.part_mm), entry) for entry in unsure or clear[:2] for share in entry.shares[:4]]
    worth = [one for one in shares if one[1] >= WORTH_MM]
    for key, part, entry in sorted(worth, key=lambda one: -one[1])[:AGAIN]:
        yield key, f"again, another way: may put {_pair(entry)} off by {part:.1f} mm"


def _pair(entry: Judged) -> str:
    return f"{entry.pair.a.name} - {entry.pair.b.name}"
