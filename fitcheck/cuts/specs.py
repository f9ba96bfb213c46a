"""The four cut ends: on which stock, from which face each is read, and into what on the unit it goes.

A piece grows by `way` (+1 down the column, -1 up it) from `origin`, the face of it that stays where it was.
"""

from dataclasses import dataclass

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain, Stack
from fitcheck.job.cutting import Cuts, CutSoFar, Fit, PieceName, Stock


@dataclass(frozen=True)
class Spec:
    """One piece. mouth, stop: where it goes in and what it would stop on; mark_from: the stock's one end for marks.

    face: where on the unit the line scribed for the trial fit belongs.
    """

    name: PieceName
    stock: Stock
    origin: str
    face: str
    mouth: str
    stop: str
    way: int
    mark_from: str
    read_from: str

    @property
    def key(self) -> str:
        """Its key under [cuts.fits] and [cuts.done]."""
        return self.name.replace(" ", "_")

    @property
    def waste(self) -> str:
        """On which side of the mark the saw goes."""
        return f"away from the {self.read_from}: the kerf lies beyond the mark"

    @property
    def far_end(self) -> str:
        """The other end of the uncut stock."""
        return STOCK_ENDS[self.stock][1 if self.way > 0 else 0]

    def fit(self, cuts: Cuts) -> Fit | None:
        """Its bands."""
        found: Fit | None = getattr(cuts.fits, self.key)
        return found

    def done(self, cuts: Cuts) -> CutSoFar:
        """What was cut of it so far."""
        found: CutSoFar | None = getattr(cuts.done, self.key)
        return CutSoFar() if found is None else found

    def reach(self, chain: Chain) -> Stack:
        """From the face that stays to what it would stop on: the length at which it bottoms."""
        return chain.between(self.origin, self.stop).times(self.way)

    def line(self, chain: Chain) -> Stack:
        """From the face that stays to the line that shows, on the piece, where the unit's face belongs."""
        return chain.between(self.origin, self.face).times(self.way)

    def depth(self, chain: Chain) -> Stack:
        """From the mouth to what it would stop on."""
        return chain.between(self.mouth, self.stop).times(self.way)


SPECS = (
    Spec(
        "upper jacket", "jacket", faces.JACKET_TOP, faces.INPUT_FACE, faces.INPUT_FACE, faces.COLLAR_SHOULDER, 1,
        faces.JACKET_TOP, "jacket's top end",
    ),
    Spec(
        "upper shaft", "shaft", faces.HUB_SEAT, faces.INPUT_FACE, faces.INPUT_MOUTH, faces.INPUT_BOTTOM, 1,
        faces.HUB_SEAT, "hub seat",
    ),
    Spec(
        "lower jacket", "jacket", faces.JACKET_END, faces.LOWER_MOUTH, faces.LOWER_MOUTH, faces.LOWER_SHOULDER, -1,
        faces.JACKET_TOP, "jacket's lower end",
    ),
    Spec(
        "lower shaft", "shaft", faces.SHAFT_END, faces.OUTPUT_FACE, faces.OUTPUT_MOUTH, faces.OUTPUT_BOTTOM, -1,
        faces.HUB_SEAT, "shaft's lower end",
    ),
)  # fmt: skip
STOCK_ENDS = {"jacket": (faces.JACKET_TOP, faces.JACKET_END), "shaft": (faces.SHAFT_TOP, faces.SHAFT_END)}
