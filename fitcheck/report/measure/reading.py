"""One reading of the measuring sheet: what to read, how, with what, and which keys of a job file it stands for."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from fitcheck.report.measure.sketch import Sketch
from fitcheck.report.measure.sketch_place import AXES, Spot

TAPE, PLUMB, CALIPER = "steel tape", "plumb bob and tape", "caliper"


@dataclass(frozen=True)
class Reading:
    """What to read, how, with what; `blanks` are the figures that come of it; `keys` matches keys of a job file.

    `brake`: what is said besides where it is a brake's; `place`: of a place in the car, where its sketches show it.
    """

    title: str
    how: str
    tool: str
    sketch: Sketch | None
    keys: str = "(?!)"
    blanks: tuple[str, ...] = ("",)
    brake: str = ""
    place: Spot | None = None

    def asked(self, keys: Iterable[str]) -> "Reading":
        """The same with the blanks and the dimensions of those keys alone, where it is a place in the car."""
        asked = {AXES.get(key.rpartition(".")[2], "") for key in keys}
        if self.place is None or not asked or "" in asked:
            return self
        blanks = tuple(axis for axis in dict.fromkeys(AXES.values()) if axis in asked)
        return replace(self, sketch=self.place.sketch(asked), blanks=blanks)

    def stands_for(self, key: str) -> bool:
        """Whether a key of the job file is this reading."""
        return re.fullmatch(self.keys, key) is not None
