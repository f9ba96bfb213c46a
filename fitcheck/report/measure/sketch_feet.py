"""Small sketches of the driver's feet and legs, and of reaching in, in the same box 100 wide and 80 high, y up.

From the side forward is to the left. In plan forward is up and the driver's right is to the right.
"""

from itertools import pairwise

from fitcheck.report.measure.sketch import DATUM, FLOOR, WALL, Board, along, car
from fitcheck.report.paper.pen import DASHED, Point

HEEL, SOLE, SQUARE = (58.0, 5.0), (-0.74, 0.67), (0.67, 0.74)  # along the sole to the toe, and square to it
BALL = 25.0  # along the sole from the heel
HIP, KNEE, KNEE_FULL = (99.0, 40.0), (76.0, 58.0), (67.0, 49.0)


def boot(board: Board) -> None:
    """A boot on its pad, heel on the carpet: from the datum back and down to the heel's rear edge."""
    _room(board)
    _boot(board, 0.7)
    board.dot(HEEL)
    board.measure(DATUM, (HEEL[0], DATUM[1]), (0, 22))
    board.line((HEEL[0], DATUM[1] + 22), HEEL, thick=0.15)
    board.measure((HEEL[0], DATUM[1]), HEEL, (26, 0))
    board.line(DATUM, (HEEL[0] + 26, DATUM[1]), thick=0.15, dash=DASHED)


def knee(board: Board) -> None:
    """The leg with the pedal at rest and, dashed, at full travel: back and up to the front of the knee."""
    _room(board)
    _boot(board, 0.5)
    ankle = _on(6.0, 19.0)
    board.line(HIP, KNEE, ankle, thick=1.3)
    board.line(HIP, KNEE_FULL, (ankle[0] - 4, ankle[1] - 1), thick=0.5, dash=DASHED)
    for spot in (KNEE, KNEE_FULL):
        board.dot((spot[0] - 3, spot[1]))
    front = KNEE[0] - 3, KNEE[1]
    board.measure(DATUM, (front[0], DATUM[1]), (0, 34))
    board.line((front[0], DATUM[1] + 34), front, thick=0.15)
    board.measure(DATUM, (DATUM[0], front[1]), (16, 0))
    board.line((DATUM[0] + 16, front[1]), front, thick=0.15)


def left_foot(board: Board) -> None:
    """From above: the left foot beside the clutch, heel and ball from the datum's line."""
    board.line((5, 74), (95, 74), thick=0.6)
    board.line((74, 74), (74, 4), dash=DASHED, thick=0.15)
    board.dot((74, 74))
    board.word((77, 76), "datum")
    board.line((46, 44), (58, 44), thick=0.9)
    board.word((48, 47), "clutch")
    sole = ((22, 14), (31, 14), (33, 28), (36, 46), (31, 58), (24, 58), (19, 46), (21, 28), (22, 14))
    board.line(*sole, thick=0.5)
    board.dot((26, 14))
    board.dot((27, 48))
    board.measure((74, 14), (26, 14), (0, -7))
    board.measure((27, 74), (27, 48), (-15, 0))
    board.word((37, 22), "heel")
    board.word((38, 52), "ball")


def dash_edge(board: Board) -> None:
    """The dash's lower edge above the unit, up from the datum."""
    car(board)
    board.line((40, 80), (40, 70), (62, 70), (62, 80), thick=0.9)
    board.word((44, 74), "dash")
    board.dot((50, 70))
    board.measure(DATUM, (DATUM[0], 70), (12, 0))
    board.line((DATUM[0] + 12, 70), (50, 70), thick=0.15)


def way_out(board: Board) -> None:
    """The unit on the column, and the straight moves that take it out, one after the other."""
    car(board)
    at = along(0.5)
    corners = [(at[0] - 6, at[1] + 2), (at[0] + 2, at[1] + 7), (at[0] + 7, at[1] - 2), (at[0] - 2, at[1] - 7)]
    board.line(*corners, corners[0], thick=0.6)
    places: list[Point] = [at, (at[0], 16.0), (92.0, 16.0)]
    for number, (start, end) in enumerate(pairwise(places), 1):
        board.pen.arrow(board.at(start), board.at(end), 0.5, 2.0)
        middle = (start[0] + end[0]) / 2 + 2, (start[1] + end[1]) / 2 + 2
        board.pen.text(board.at(middle), str(number), 7, bold=True, backed=True)
    board.line(*((x + places[2][0] - at[0] - 4, y + places[2][1] - at[1]) for x, y in [*corners, corners[0]]),
               thick=0.3, dash=DASHED)  # fmt: skip


def screws(board: Board) -> None:
    """A screw on the clamp, and the side the hand or the spanner comes from."""
    board.pen.circle(board.at((34, 44)), 16 * board.unit, 0.5)
    board.pen.circle(board.at((34, 44)), 11 * board.unit, 0.25)
    board.line((46, 54), (58, 54), (58, 34), (46, 34), thick=0.5)
    board.line((52, 30), (52, 58), thick=0.9)
    board.dot((52, 60))
    board.pen.arrow(board.at((88, 78)), board.at((55, 62)), 0.5, 2.0)
    board.word((66, 60), "from here")
    board.word((60, 40), "clamp")


def _room(board: Board) -> None:
    board.line((WALL, 0), (WALL, 80), thick=0.6)
    board.line((WALL, FLOOR), (100, FLOOR))
    board.dot(DATUM)


def _on(along_mm: float, off: float) -> Point:
    """A place of the boot: along its sole from the heel, and square off it."""
    return HEEL[0] + along_mm * SOLE[0] + off * SQUARE[0], HEEL[1] + along_mm * SOLE[1] + off * SQUARE[1]


def _boot(board: Board, thick: float) -> None:
    """The boot, and the pad under its ball."""
    corners = ((0, 0), (34, 0), (35, 5), (21, 9), (12, 20), (-1, 20), (0, 0))
    board.line(*(_on(*corner) for corner in corners), thick=thick)
    board.line(_on(BALL - 6, -1.6), _on(BALL + 6, -1.6), thick=0.9)
