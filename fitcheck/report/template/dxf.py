"""Templates as one DXF R2010 in millimetres, panels side by side, a layer for each purpose. Same job, same bytes."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import StringIO
from textwrap import wrap
from typing import TYPE_CHECKING

from fitcheck.errors import DrawingError
from fitcheck.report.files import harmless
from fitcheck.report.paper.sheets import NOT_AN_APPROVAL, Stamp
from fitcheck.report.template.drawing import LAYERS, Circle, EllipseArc, Item, Line, Panel, Point, Words

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

APART_MM, LINE_MM, LETTERS = 25.0, 5.0, 70
MILLIMETRES = 4  # of $INSUNITS


def template_dxf(panels: Sequence[Panel], stamp: Stamp) -> bytes:
    """The drawing as bytes; raises DrawingError without ezdxf."""
    try:
        from ezdxf.filemanagement import new
    except ImportError:
        raise DrawingError("a DXF is written with ezdxf; install it with: pip install ezdxf") from None
    with _undated():
        document = new("R2010", setup=["linetypes"], units=MILLIMETRES)
        document.header["$MEASUREMENT"] = 1
        for name, (colour, line) in LAYERS.items():
            document.layers.add(name, color=colour, linetype=line)
        _fill(document, panels, stamp)
        out = StringIO(newline="\r\n")
        document.write(out)
    return out.getvalue().encode("utf-8")


@contextmanager
def _undated() -> Iterator[None]:
    """No date, no random identifier in what is written."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _fill(document: "Drawing", panels: Sequence[Panel], stamp: Stamp) -> None:
    space = document.modelspace()
    for number, line in enumerate((f"{stamp.name}: {stamp.which}", stamp.warning or NOT_AN_APPROVAL)):
        _write(space, Words((0.0, -2 * LINE_MM - LINE_MM * number), line), (0.0, 0.0))
    left = 0.0
    for panel in panels:
        origin = left - panel.low[0], -panel.low[1]
        for item in panel.items:
            _write(space, item, origin)
        lines = [panel.title, *(line for note in panel.notes for line in wrap(note, LETTERS))]
        top = panel.high[1] - panel.low[1] + LINE_MM * len(lines)
        for number, line in enumerate(lines):
            _write(space, Words((left, top - LINE_MM * number), line), (0.0, 0.0))
        wide = max(panel.high[0] - panel.low[0], max(2.2 * len(line) for line in lines))
        left += wide + APART_MM


def _write(space: "Modelspace", item: Item, origin: Point) -> None:
    how = {"layer": item.layer}
    if isinstance(item, Words):
        from ezdxf.enums import TextEntityAlignment

        sides = {
            "left": TextEntityAlignment.LEFT,
            "middle": TextEntityAlignment.CENTER,
            "right": TextEntityAlignment.RIGHT,
        }
        text = space.add_text(
            harmless(" ".join(item.text.split())), height=item.high, rotation=item.angle, dxfattribs=how
        )
        text.set_placement(_moved(item.at, origin), align=sides[item.side])
    elif isinstance(item, Circle):
        space.add_circle(_moved(item.centre, origin), item.radius, dxfattribs=how)
    elif isinstance(item, Line):
        space.add_line(_moved(item.start, origin), _moved(item.end, origin), dxfattribs=how)
    elif isinstance(item, EllipseArc):
        space.add_ellipse(
            _moved(item.centre, origin), (*item.major, 0), item.ratio, item.start, item.stop, dxfattribs=how
        )
    else:
        space.add_lwpolyline([_moved(point, origin) for point in item.points], close=item.closed, dxfattribs=how)


def _moved(point: Point, origin: Point) -> Point:
    return point[0] + origin[0], point[1] + origin[1]
