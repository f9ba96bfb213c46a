"""Torques as people write them. Outside: N m or lb ft; inside: N m (float)."""

import re
from dataclasses import dataclass
from typing import ClassVar, Self

from fitcheck.errors import LengthError
from fitcheck.job.texts import AMOUNT, FromText, amount, as_in, clean, number_complaint, quoted

NM_PER_LBFT = 0.3048 * 4.4482216152605  # foot and pound-force, both exact by definition
_TORQUE = re.compile(rf"(?P<first>{AMOUNT}) ?(?P<unit>N ?m|Nm|lb ?ft|lbf ?ft|ft ?lb)", re.ASCII | re.IGNORECASE)


@dataclass(frozen=True)
class Torque(FromText):
    """nm: newton metres; text: as written."""

    nm: float
    text: str

    noun: ClassVar[str] = "a torque"
    examples: ClassVar[tuple[str, ...]] = ("40 N m", "30 lb ft")

    @classmethod
    def parse(cls, text: str) -> Self:
        match = _TORQUE.fullmatch(clean(text))
        if match is None:
            reason = number_complaint(clean(text)) or "not a torque"
            raise LengthError(f"{quoted(text)}: {reason}; write it as in {as_in(cls.examples)}")
        scale = 1.0 if match["unit"][0] in "nN" else NM_PER_LBFT
        size = float(amount(match["first"])) * scale
        if not size > 0:
            raise LengthError(f"{quoted(text)}: a torque has to be more than 0")
        return cls(size, text.strip())
