"""Small sketches of what is measured from where to where, in a box 100 wide and 80 high, y up.

From the side forward is to the left. In plan forward is up and the driver's right is to the right.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot

from fitcheck.report.paper.pen import DASHED, FAINT, Pen, Point

Sketch = Callable[["Board"], None]
WALL, FLOOR, DATUM = 8.0, 5.0, (8.0, 38.0)
LEAST_MM = 2.6  # a dimension line with its heads inside
OUTSIDE_MM = 2.4  # an arrow that points at a dimension line from outside
HUB, LOW, PIVOT, PAD, PRESSED = (86.0, 66.0), (15.0, 31.0), (33.0, 54.0), (55.0, 16.0), (31.0, 11.0)


@dataclass(frozen=True)
class Board:
    """The box a sketch is drawn in: its lower left corner and how many mm a unit is."""

    pen: Pen
    low: Point
    unit: float

    def at(self, point: Point) -> Point:
        """A point of the sketch on the page."""
        return self.low[0] + self.unit * point[0], self.low[1] + self.unit * point[1]

    def line(self, *points: Point, thick: float = 0.3, dash: Point | None = None, grey: float = FAINT) -> None:
        """An open line."""
        self.pen.path([self.at(point) for point in points], closed=False, width=thick, grey=grey, dash=dash)

    def dot(self, point: Point) -> None:
        """A place that a tape goes to."""
        self.pen.circle(self.at(point), 0.9, 0.25, fill=0.0)

    def measure(self, a: Point, b: Point, off: Point = (0.0, 0.0), said: str = "") -> None:
        """From a to b, the dimension line shifted by `off`, heads at both ends."""
        start, end = (a[0] + off[0], a[1] + off[1]), (b[0] + off[0], b[1] + off[1])
        for foot, tip in ((a, start), (b, end)):
            if foot != tip:
                self.line(foot, tip, thick=0.15)
        middle = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        long = hypot(end[0] - start[0], end[1] - start[1])
        for tip in (start, end):
            if long * self.unit > LEAST_MM:
                self.pen.arrow(self.at(middle), self.at(tip), 0.5, min(1.8, 0.45 * long * self.unit))
            else:  # no room for heads between: from outside
                out = OUTSIDE_MM / self.unit / (long / 2 or 1.0)
                foot = tip[0] + out * (tip[0] - middle[0]), tip[1] + out * (tip[1] - middle[1])
                self.pen.arrow(self.at(foot), self.at(tip), 0.3, 1.4)
        if said:
            x, y = self.at(middle)
            self.pen.text((x, y - 0.9), said, 6.5, bold=True, side="middle", backed=True)

    def word(self, point: Point, text: str) -> None:
        """A word beside what it names."""
        self.pen.text(self.at(point), text, 6, grey=FAINT)


def along(share: float) -> Point:
    """A place on the column's axis: 0 at the hub seat, 1 low down."""
    return HUB[0] + share * (LOW[0] - HUB[0]), HUB[1] + share * (LOW[1] - HUB[1])


def car(board: Board) -> None:
    """From the driver's left: firewall, floor, column, wheel, a hanging pedal."""
    board.line((WALL, 0), (WALL, 80), thick=0.6)
    board.line((WALL, FLOOR), (100, FLOOR))
    for side in (2.2, -2.2):
        board.line((along(0.05)[0] - 0.44 * side, along(0.05)[1] + 0.9 * side),
                   (LOW[0] - 0.44 * side, LOW[1] + 0.9 * side))  # fmt: skip
    board.line((HUB[0] - 5, HUB[1] + 11), (HUB[0] + 5, HUB[1] - 11), thick=0.8)
    board.line(PIVOT, (44.0, 36.0), PAD, thick=0.9)
    board.line((PAD[0] - 3, PAD[1] - 5), (PAD[0] + 3, PAD[1] + 5), thick=0.9)
    board.pen.circle(board.at(PIVOT), 0.8, 0.25, fill=1.0)
    board.dot(DATUM)


def plan(board: Board) -> None:
    """From above: firewall at the top, datum, column, pad and arm at its left."""
    board.line((5, 72), (95, 72), thick=0.6)
    board.line((50, 72), (50, 4), dash=DASHED, thick=0.15)
    board.line((42, 66), (64, 10), thick=0.9)
    board.line((49, 10), (79, 10), thick=0.8)
    board.line((22, 40), (34, 40), thick=0.9)
    for side in (26.5, 29.5):
        board.line((side, 66), (side, 40), thick=0.2)
    board.dot((50, 72))
    board.word((53, 74), "datum")


def in_car(*dims: tuple[Point, Point, Point], spots: tuple[Point, ...] = ()) -> Sketch:
    """The car from the side with dimensions: from, to, shift."""

    def draw(board: Board) -> None:
        car(board)
        for spot in spots:
            board.dot(spot)
        for a, b, off in dims:
            board.measure(a, b, off)

    return draw


def in_plan(spot: Point) -> Sketch:
    """The car from above with the distance beside the datum."""

    def draw(board: Board) -> None:
        plan(board)
        board.dot(spot)
        board.measure((50, spot[1]), spot, (0, -6))

    return draw


def travel(board: Board) -> None:
    """The straight line of the pad's centre from rest to full travel."""
    car(board)
    board.line(PIVOT, (30, 33), PRESSED, dash=DASHED, thick=0.6)
    board.dot(PAD)
    board.dot(PRESSED)
    board.measure(PRESSED, PAD)


def caliper(board: Board) -> None:
    """A tube between the jaws of a caliper."""
    board.pen.circle(board.at((50, 40)), 24 * board.unit, 0.6)
    board.pen.circle(board.at((50, 40)), 20 * board.unit, 0.2)
    for x in (26.0, 74.0):
        board.line((x, 40), (x, 74), thick=0.5)
    board.measure((26, 70), (74, 70))


STOCK = {"shaft top": 8.0, "hub seat": 16.0, "jacket top": 22.0, "jacket end": 80.0, "shaft end": 97.0,
         "firewall sheet": 88.0}  # fmt: skip
UNIT = {"unit input face": 15.0, "input bore bottom": 34.0, "collar shoulder": 28.0, "unit output face": 88.0,
        "output bore bottom": 68.0, "lower collar mouth": 82.0, "lower collar shoulder": 72.0}  # fmt: skip


def bench(start: str, end: str) -> Sketch:
    """Column or unit on the bench, from one face to another."""

    def draw(board: Board) -> None:
        on_unit = start in UNIT or end in UNIT
        (_unit if on_unit else stock)(board)
        places = UNIT if on_unit else STOCK
        board.measure((places[start], 34), (places[end], 34), (0, -22))

    return draw


def stock(board: Board) -> None:
    """Jacket and shaft on the bench, the wheel at the left."""
    for low, high, half in ((8.0, 97.0, 4.0), (22.0, 80.0, 11.0)):
        board.pen.box(board.at((low, 40 - half)), board.at((high, 40 + half)), width=0.35, grey=FAINT)
    board.line((16, 30), (16, 50), thick=0.6)
    board.word((6, 54), "hub seat")
    board.word((40, 54), "jacket")
    board.word((84, 47), "shaft")


def _unit(board: Board) -> None:
    board.pen.box(board.at((15, 18)), board.at((88, 62)), width=0.5, grey=FAINT)
    for low, high in ((15.0, 34.0), (68.0, 88.0)):
        board.pen.box(board.at((low, 34)), board.at((high, 46)), width=0.3, grey=FAINT)
    board.word((1, 66), "wheel end")
    board.word((72, 66), "rack end")


def kerf(board: Board) -> None:
    """The slot a saw leaves in scrap."""
    board.pen.box(board.at((10, 28)), board.at((90, 56)), width=0.4, grey=FAINT)
    board.pen.box(board.at((47, 38)), board.at((54, 56.5)), width=0.4, fill=1.0)
    board.measure((47, 56), (54, 56), (0, 8))


def shaft(which: str) -> Sketch:
    """Between column and box: `tube` over the input, `dowel` between centres, `exhaust`, or a `hub` on its end."""

    def draw(board: Board) -> None:
        if which == "hub":
            board.pen.circle(board.at((22, 40)), 3.5 * board.unit, 0.4)
            board.pen.box(board.at((26, 28)), board.at((80, 52)), width=0.5, grey=FAINT)
            board.pen.box(board.at((44, 34)), board.at((80, 46)), width=0.3, grey=FAINT)
            board.measure((22, 52), (80, 52), (0, 14))
            board.measure((44, 34), (80, 34), (0, -14))
            return
        board.line((92, 74), (74, 62), thick=0.9)
        board.line((24, 22), (6, 16), thick=0.9)
        for centre in ((74.0, 62.0), (24.0, 22.0)):
            board.pen.circle(board.at(centre), 1.1, 0.3, fill=1.0)
        if which == "dowel":
            board.measure((24, 22), (74, 62))
        elif which == "tube":
            board.line((24, 22), (66, 36), thick=0.9, dash=DASHED)
            board.dot((30, 24))
            board.dot((62, 34.7))
        else:
            board.line((24, 22), (74, 62))
            board.pen.circle(board.at((58, 28)), 7 * board.unit, 0.5)
            board.measure((47.5, 40.8), (53.5, 33.5))

    return draw
