"""A place in the car with the dimensions asked of it: from the side back and up, from above left or right."""

from collections.abc import Set
from dataclasses import dataclass

from fitcheck.report.measure.sketch import DATUM, Board, Sketch, car, plan
from fitcheck.report.paper.pen import Point

BACK, ACROSS, UP = "back", "left/right", "up/down"
AXES = {"back": BACK, "forward": BACK, "left": ACROSS, "right": ACROSS, "up": UP, "down": UP}
HALF, SIDE_AT, PLAN_AT = 0.52, (0.0, 38.0), (46.0, 0.0)  # two views in one box: their size and their corners


@dataclass(frozen=True)
class Spot:
    """Where the place stands in the view from the side and in that from above; how far its dimensions stand off."""

    side: Point
    above: Point
    back_off: float = 24.0
    up_off: float = 16.0

    def sketch(self, axes: Set[str]) -> Sketch:
        """The view or the two views in which `axes` are seen, with a dimension for each of them and no other."""

        def draw(board: Board) -> None:
            both = ACROSS in axes and len(axes) > 1
            if axes - {ACROSS}:
                self._from_side(_part(board, SIDE_AT) if both else board, axes)
            if ACROSS in axes:
                self._from_above(_part(board, PLAN_AT) if both else board)

        return draw

    def _from_side(self, board: Board, axes: Set[str]) -> None:
        car(board)
        board.dot(self.side)
        if BACK in axes:
            board.measure(DATUM, (self.side[0], DATUM[1]), (0, self.back_off))
            board.line((self.side[0], DATUM[1] + self.back_off), self.side, thick=0.15)
        if UP in axes:
            board.measure(DATUM, (DATUM[0], self.side[1]), (self.up_off, 0))
            board.line((DATUM[0] + self.up_off, self.side[1]), self.side, thick=0.15)

    def _from_above(self, board: Board) -> None:
        plan(board)
        board.dot(self.above)
        board.measure((50, self.above[1]), self.above, (0, -6))


def _part(board: Board, corner: Point) -> Board:
    return Board(board.pen, board.at(corner), HALF * board.unit)
