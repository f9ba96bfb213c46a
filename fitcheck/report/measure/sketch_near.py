"""Small sketches of what is near the column and of what moves, in the same box 100 wide and 80 high, y up."""

from math import asin, cos, pi, sin

from fitcheck.report.measure.sketch import PIVOT, Board, along, car, stock
from fitcheck.report.paper.pen import DASHED, FAINT


def zones(board: Board) -> None:
    """A stretch of the jacket that must not be cut, from and to by tape from its top."""
    stock(board)
    board.pen.hatch(board.at((44, 29)), board.at((60, 51)), 1.0)
    board.measure((22, 34), (44, 34), (0, -14))
    board.measure((22, 34), (60, 34), (0, -24))


def obstacle(board: Board) -> None:
    """A box by two corners, or off the column: along the jacket, square out from it, and the clock place."""
    car(board)
    board.line((40, 62), (60, 62), (60, 78), (40, 78), (40, 62), thick=0.6)
    board.dot((40, 62))
    board.dot((60, 78))
    at = along(0.62)
    board.measure(at, (at[0] - 7, at[1] + 15))
    board.measure(along(0.0), at, (5, -12))


def firewall(board: Board) -> None:
    """The sheet from the left, the column through it: its slope from level, and the diameter of what passes."""
    board.line((20, 8), (56, 74), thick=0.9)
    board.line((20, 8), (56, 8), thick=0.15)
    arc = [(20 + 20 * cos(i / 10 * 1.07), 8 + 20 * sin(i / 10 * 1.07)) for i in range(11)]
    board.line(*arc, thick=0.4)
    board.word((42, 14), "slope")
    for off in (4.0, -4.0):
        board.line((10, 26 + off), (94, 58 + off), thick=0.4)
    board.measure((77.8, 56.1), (80.6, 48.6))
    board.word((54, 34), "what passes")


def rock(board: Board) -> None:
    """An engine levered on its mounts: the stroke at a named place."""
    board.line((30, 18), (70, 18), (74, 46), (62, 66), (38, 66), (26, 46), (30, 18), thick=0.5)
    board.pen.circle(board.at((50, 30)), 1.2, 0.4, fill=1.0)
    board.line((36, 16), (72, 24), (71, 52), (57, 70), (34, 65), dash=DASHED, thick=0.3)
    board.dot((74, 46))
    board.measure((77, 42), (77, 58))
    board.word((40, 5), "which side lifts")


def bracket(board: Board) -> None:
    """The clamp round the jacket and its legs up to what is fixed."""
    board.pen.circle(board.at((50, 26)), 12 * board.unit, 0.6)
    board.pen.circle(board.at((50, 26)), 16 * board.unit, 0.4)
    board.line((10, 74), (90, 74), thick=0.7)
    for x, foot in ((24, 38), (76, 62)):
        board.line((foot, 37), (x, 74), thick=0.9)
        board.dot((x, 74))
        board.dot((foot, 37))
    board.measure((24, 74), (76, 74), (0, -12))


def end(board: Board) -> None:
    """A spline's teeth, and a double-D over the flats and across."""
    middle = 28.0, 42.0
    for tooth in range(24):
        right, up = sin(tooth * pi / 12), cos(tooth * pi / 12)
        board.line(*((middle[0] + r * right, middle[1] + r * up) for r in (14.0, 18.0)), thick=0.4)
    board.pen.circle(board.at(middle), 14 * board.unit, 0.3)
    board.word((18, 14), "teeth")
    centre, reach, half = (72.0, 42.0), 18.0, 13.0
    side = (reach**2 - half**2) ** 0.5
    for way in (1, -1):
        first = asin(side / reach)
        turns = [first + (pi - 2 * first) * i / 12 for i in range(13)]
        board.line(*((centre[0] + way * reach * sin(t), centre[1] + reach * cos(t)) for t in turns), thick=0.5)
        board.line((centre[0] - side, centre[1] + way * half), (centre[0] + side, centre[1] + way * half), thick=0.5)
    board.measure((centre[0], centre[1] - half), (centre[0], centre[1] + half))
    board.measure((centre[0] - reach, centre[1]), (centre[0] + reach, centre[1]), (0, -28))


def clock(board: Board) -> None:
    """The motor's clock place: from the scribed top line round the jacket."""
    board.pen.circle(board.at((50, 40)), 26 * board.unit, 0.5)
    board.line((50, 40), (50, 70), thick=0.3)
    board.line((50, 40), (24, 64), thick=0.6, dash=DASHED)
    board.word((48, 73), "12")
    board.word((6, 68), "motor")
    arc = [(50 - 21 * sin(t / 10), 40 + 21 * cos(t / 10)) for t in range(9)]
    board.line(*arc[:-1], thick=0.5, grey=0.0)
    board.pen.arrow(board.at(arc[-2]), board.at(arc[-1]), 0.5, 1.8)


def unit(board: Board) -> None:
    """The unit from the side: gear body, sensor section, stub, and the motor across."""
    board.line((4, 26), (96, 26), dash=DASHED, thick=0.15)
    for low, high in (((42, 10), (70, 42)), ((14, 15), (42, 37)), ((70, 22), (84, 30)), ((44, 42), (68, 76))):
        board.pen.box(board.at(low), board.at(high), width=0.5, grey=FAINT)
    board.measure((42, 10), (70, 10), (0, -6))
    board.measure((14, 15), (14, 37), (-8, 0))
    board.measure((68, 26), (68, 76), (12, 0))
    board.word((46, 58), "motor")


def pivot_shaft(board: Board) -> None:
    """The shaft that pedals hang on, from above: both ends."""
    board.line((5, 74), (95, 74), thick=0.6)
    board.dot((50, 74))
    board.word((53, 76), "datum")
    board.line((50, 74), (50, 4), dash=DASHED, thick=0.15)
    board.line((20, 40), (82, 40), thick=0.9)
    for x in (20, 82):
        board.dot((x, 40))
        board.measure((50, 40), (x, 40), (0, -10))
    board.measure((20, 74), (20, 40), (-9, 0))


def point(board: Board) -> None:
    """A place in the car: back and up from the datum; left or right beside it."""
    car(board)
    board.dot(PIVOT)
    board.measure((8, 38), (PIVOT[0], 38), (0, 30))
    board.measure((8, 38), (8, PIVOT[1]), (14, 0))


def tape(board: Board) -> None:
    """A tape between two places."""
    for spot in ((16.0, 22.0), (84.0, 60.0)):
        board.dot(spot)
    board.measure((16, 22), (84, 60))


def shift(board: Board) -> None:
    """What gives against the column: up, down and to the sides, from where it stands."""
    board.line((30, 20), (70, 20), (70, 50), (30, 50), (30, 20), thick=0.6)
    board.line((35, 26), (75, 26), (75, 56), (35, 56), (35, 26), thick=0.3, dash=DASHED)
    for foot, tip in (((50, 50), (50, 74)), ((50, 20), (50, 4)), ((30, 35), (8, 35)), ((70, 35), (94, 35))):
        board.pen.arrow(board.at(foot), board.at(tip), 0.5, 2.0)
