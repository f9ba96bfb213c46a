"""Clocks, places along and round the jacket in words for the search. Stretches are rounded inward, never wider."""

import math
from dataclasses import dataclass

from fitcheck.clearance.clocking_allowed import HOLE_PLAY
from fitcheck.clearance.clocking_help import BRACKET, CLOCK, HAND, MOTOR, OBSTACLE, PLACE, Change
from fitcheck.clearance.clocking_windows import Box
from fitcheck.confidence.clocking import ClockingChapter
from fitcheck.confidence.results import Judged
from fitcheck.job.angles import clock_text, degrees
from fitcheck.job.lengths import inches_text, round_down_32, round_up_32
from fitcheck.placement.column import round_the_jacket
from fitcheck.placement.scene import Setting
from fitcheck.report import words
from fitcheck.report.tape import set_at

MINUTE = math.radians(0.5)
HAIR = 1e-9
STEP = 2 * HOLE_PLAY + HAIR  # no wider than this is one clock


@dataclass(frozen=True)
class Ruler:
    """How a chapter's places are said: from which mark, round which jacket, in inches or mm; whether all is known."""

    own: Setting
    radius_mm: float
    show: words.Show
    all_known: bool = True

    @classmethod
    def of(cls, chapter: ClockingChapter) -> "Ruler":
        """The job's own."""
        radius_mm, scene = chapter.job.column.jacket_od.mm / 2, chapter.scene
        return cls(scene.setting, radius_mm, chapter.job.job.show, not words.not_judged(scene))

    @property
    def kept(self) -> str:
        """What holds in a window."""
        return "every gap is kept" if self.all_known else "every gap that is known is kept"

    @property
    def mark_mm(self) -> float:
        """Where the mark is, mm from the hub seat."""
        return self.own.input_face_mm - self.own.from_mark_mm

    def place(self, place_mm: float) -> str:
        """One place: "16 15/16 in (430 mm)"."""
        return set_at(place_mm - self.mark_mm, self.show)

    def places(self, box: Box) -> str:
        """A stretch of places, rounded inward: "16 11/16 to 17 29/32 in (423.8 to 455.2 mm)"."""
        return self._tapes(box.low_mm - self.mark_mm, box.high_mm - self.mark_mm)

    def left(self, margin_mm: float) -> str:
        """What a margin means: how much is still missing, or by how much every gap is kept."""
        if margin_mm < 0:
            return f"still {words.need(-margin_mm, self.show)} short"
        which = "every gap" if self.all_known else "every gap that is known"
        return f"{which} kept, by {words.room(margin_mm, self.show)}"

    def clocks(self, box: Box) -> str:
        """A stretch of clocks to the minute, rounded inward: "10:28 to 11:23"."""
        if box.all_round:
            return "any clock"
        if box.stop - box.start <= STEP:
            return clock_text((box.start + box.stop) / 2)
        first, last = inward(box)
        return f"{first} to {last}"

    def clocks_below(self, box: Box) -> str:
        """The same stretch as seen lying under it."""
        return self.clocks(Box(-box.stop, -box.start, box.low_mm, box.high_mm))

    def round_jacket(self, box: Box) -> str:
        """The stretch as tape round the jacket from its top line, rounded inward."""
        if box.all_round:
            return "anywhere round the jacket"
        start = round_the_jacket(box.start, self.radius_mm)
        stop = start + (box.stop - box.start) * self.radius_mm
        if start < 0 < stop:
            return f"from {self._tape(-start)} anticlockwise to {self._tape(stop)} clockwise of the scribed top line"
        way = "clockwise" if start >= 0 else "anticlockwise"
        least, most = sorted((abs(start), abs(stop)))
        return f"{self._tapes(least, most)} {way} of the scribed top line, round the jacket"

    def at_clock(self, clock: float) -> str:
        """One clock as seen from the seat, lying under it, and as tape round the jacket."""
        tape = round_the_jacket(clock, self.radius_mm)
        way = "clockwise" if tape >= 0 else "anticlockwise"
        return f"motor to {words.clock_both(clock)}, {set_at(abs(tape), self.show)} {way} round the jacket"

    def down(self) -> str:
        """From where places are measured: "down from hub seat"."""
        return f"down from {words.mark(self.own.from_mark)}"

    def _tape(self, mm: float) -> str:
        return words.room(mm, self.show)

    def _tapes(self, least: float, most: float) -> str:
        """A stretch of tape, rounded inward; in mm alone where no two marks of an inch tape lie within it."""
        start, stop = round_up_32(least), round_down_32(most)
        plain = f"{_up(least):g} to {words.down_mm(most + HAIR):g} mm"
        if self.show == "mm" or not start < stop:
            return plain
        return f"{inches_text(start)} to {inches_text(stop)} ({plain})"


def _up(mm: float) -> float:
    return math.ceil(mm * 10 - HAIR) / 10


def minutes(radians: float) -> str:
    """An angle as minutes of the clock face and degrees, rounded down: "16 min (8 deg)"."""
    return f"{math.floor(radians / MINUTE + HAIR)} min of the clock face ({math.floor(degrees(radians) * 2) / 2:g} deg)"


def closest(entry: Judged, chapter: ClockingChapter) -> str:
    """Which two parts, where on them, and at which travel."""
    nearest = entry.found.closest
    assert nearest is not None
    at = words.travel(nearest.at_travel, chapter.scene, chapter.job.job.show), words.sways(nearest.at_movement)
    where = f"{nearest.a_where} - {nearest.b_where}" if nearest.gap.bracketed else words.names(entry)
    return ", ".join([f"{where} ({words.names(entry)})", *filter(None, at)])


def inward(box: Box) -> tuple[str, str]:
    """The clock times between which a stretch lies, to the minute, rounded inward."""
    first, last = (math.ceil(box.start / MINUTE - HAIR) * MINUTE, math.floor(box.stop / MINUTE + HAIR) * MINUTE)
    return clock_text(first), clock_text(last)


def change_words(change: Change, ruler: Ruler) -> str:
    """A change as a fabricator would say it."""
    far = words.size(abs(change.toward_rack_mm), ruler.show)
    way = "toward the rack" if change.toward_rack_mm > 0 else "toward the wheel"
    return {
        CLOCK: "another clock than those allowed",
        PLACE: "another place along the column than those allowed",
        HAND: f'the other hand of the unit ("{change.job.unit.hand}")',
        BRACKET: f"the bracket's clamp {far} {way}",
        MOTOR: f"the motor {far} {way} between the unit's faces",
        OBSTACLE: f"'{change.obstacle}' out of the way",
    }[change.kind]
