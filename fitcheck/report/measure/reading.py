"""One reading of the measuring sheet: what to read, how, with what, and which keys of a job file it stands for."""

import re
from dataclasses import dataclass

from fitcheck.report.measure.sketch import Sketch

TAPE, PLUMB, CALIPER = "steel tape", "plumb bob and tape", "caliper"


@dataclass(frozen=True)
class Reading:
    """What to read, how, with what; `blanks` are the figures that come of it; `keys` matches keys of a job file.

    `brake`: what is said besides where it is a brake's.
    """

    title: str
    how: str
    tool: str
    sketch: Sketch | None
    keys: str = "(?!)"
    blanks: tuple[str, ...] = ("",)
    brake: str = ""

    def stands_for(self, key: str) -> bool:
        """Whether a key of the job file is this reading."""
        return re.fullmatch(self.keys, key) is not None
