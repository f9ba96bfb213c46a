"""Sizes that go with the dozen: arm, pad, the jacket's ends, the unit and its hand. Tools: common practice, no source.

Sketches in the box 100 wide and 80 high, y up.
"""

from fitcheck.report.measure.reading import CALIPER, TAPE, Reading
from fitcheck.report.measure.sketch import Board, stock
from fitcheck.report.paper.pen import DASHED, FAINT


def arm(board: Board) -> None:
    """The arm from the side with its width, and from the seat with its thickness."""
    for low, high, said in ((14.0, 36.0, "from the side"), (70.0, 78.0, "from the seat")):
        board.pen.box(board.at((low, 12)), board.at((high, 74)), width=0.5, grey=FAINT)
        board.measure((low, 44), (high, 44))
        board.word((low - 12 if low < 50 else low - 18, 3), said)
    board.word((18, 50), "wide")
    board.word((82, 50), "thick")


def pad(board: Board) -> None:
    """The pad from the seat, wide and high, and from the side, thick."""
    board.pen.box(board.at((8, 22)), board.at((56, 64)), width=0.5, grey=FAINT)
    board.measure((8, 22), (56, 22), (0, -8))
    board.measure((8, 22), (8, 64), (10, 0))
    board.pen.box(board.at((76, 22)), board.at((86, 64)), width=0.5, grey=FAINT)
    board.measure((76, 22), (86, 22), (0, -8))
    board.word((22, 4), "wide")
    board.word((22, 42), "high")
    board.word((76, 4), "thick")


def jacket(board: Board) -> None:
    """Where the jacket begins and ends, both from the hub seat."""
    stock(board)
    board.measure((16, 34), (22, 34), (0, -12))
    board.measure((16, 34), (80, 34), (0, -24))
    board.word((32, 20), "from")
    board.word((82, 8), "to")


def drums(board: Board) -> None:
    """Gear body, sensor section and output stub, each across and along; the wheel at the left."""
    board.line((4, 42), (96, 42), dash=DASHED, thick=0.15)
    for low, high, half in ((40.0, 68.0, 22.0), (12.0, 40.0, 14.0), (68.0, 86.0, 6.0)):
        board.pen.box(board.at((low, 42 - half)), board.at((high, 42 + half)), width=0.5, grey=FAINT)
        board.measure((low, 20), (high, 20), (0, -10))
        board.measure(((low + high) / 2, 42 - half), ((low + high) / 2, 42 + half))
    board.word((10, 60), "sensor")
    board.word((43, 68), "gear body")
    board.word((70, 52), "output")


def motor(board: Board) -> None:
    """The can square to the column at 9 o'clock, from the wheel end: here it passes over."""
    board.pen.circle(board.at((66, 26)), 13 * board.unit, 0.4)
    board.pen.circle(board.at((66, 26)), 1.1, 0.3, fill=1.0)
    board.pen.box(board.at((8, 40)), board.at((50, 60)), width=0.5, grey=FAINT)
    board.line((4, 50), (94, 50), dash=DASHED, thick=0.15)
    board.line((66, 26), (66, 78), dash=DASHED, thick=0.15)
    board.measure((8, 60), (50, 60), (0, 12))
    board.measure((50, 60), (66, 60), (0, 12))
    board.measure((20, 40), (20, 60))
    board.measure((66, 26), (66, 50), (10, 0))
    board.word((22, 65), "long")
    board.word((68, 70), "starts")
    board.word((24, 44), "dia")
    board.word((78, 34), "beside")
    board.word((10, 22), "column")
    board.line((34, 25), (53, 25), thick=0.15)


SIZES = (
    Reading(
        "Pedal arm: its sizes",
        "where it passes the column: wide front to rear, thick side to side",
        CALIPER,
        arm,
        r"pedals\[\d+\]\.arm_(wide|thick)",
        ("wide", "thick"),
    ),
    Reading("Pad: its sizes", "with its rubber", CALIPER, pad, r"pedals\[\d+\]\.pad\.(wide|high|thick)",
            ("wide", "high", "thick")),
    Reading(
        "Jacket: where it begins and ends",
        "both along the column from the hub seat",
        TAPE,
        jacket,
        r"column\.jacket_(from|to)",
        ("from", "to"),
    ),
    Reading("Unit: gear body", "across, and along the column", CALIPER, drums, r"unit\.gear_body.*", ("dia", "long")),
    Reading(
        "Unit: sensor section and output stub",
        "each across, and along the column",
        CALIPER,
        drums,
        r"unit\.(sensor|output).*",
        ("sensor dia", "sensor long", "output dia", "output long"),
    ),
    Reading("Unit: motor", "its can, and where it stands off the column's centre", CALIPER, motor,
            r"unit\.motor.*", ("dia", "long", "beside", "starts")),
    Reading("Unit: its hand", "turned to 9:00, seen from the wheel end: does the can pass over the column, as drawn, "
            "or under it?", "by eye", motor, r"unit\.hand", ("over or under",)),
)  # fmt: skip
