"""Pages that fill from the top: headings, paragraphs, tables, drawings; what does not fit goes to the next page. mm."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from fitcheck.report.paper.fonts import MM_PER_PT, high_mm, wrapped
from fitcheck.report.paper.pen import DASHED, FAINT, Pen, Point
from fitcheck.report.paper.sheets import MARGIN_MM, Draw, Size

FOOT_MM = 13.0
TEXT, HEAD, CELL = 9.0, 12.0, 8.5
PAD_MM, FOLD_PAD_MM = 0.9, 3.0
Drawing = Callable[[Pen, Point, float], None]


@dataclass
class Flow:
    """Pages being filled; `y` is how far down the last one is written."""

    size: Size
    pages: list[list[Draw]] = field(default_factory=list)
    y: float = 0.0

    @property
    def wide(self) -> float:
        """Width between the margins."""
        return self.size.mm[0] - 2 * MARGIN_MM

    def new_page(self) -> None:
        """What follows begins on a new page."""
        self.pages.append([])
        self.y = self.size.mm[1] - MARGIN_MM

    def room(self, high: float) -> None:
        """A new page where less than `high` is left on this one."""
        if not self.pages or self.y - high < FOOT_MM:
            self.new_page()

    def gap(self, high: float) -> None:
        """Some room between two things."""
        self.y -= high

    def heading(self, text: str, keep: float = 25.0) -> None:
        """A heading, kept together with `keep` mm of what follows."""
        lines = wrapped(text, HEAD, self.wide, bold=True, most=3)
        self.room(high_mm(HEAD, len(lines)) + 3 + keep)
        self.gap(3)
        for line in lines:
            self._line(line, HEAD, True, 0.0)
        self._draw(lambda pen, y=self.y: pen.line((MARGIN_MM, y), (MARGIN_MM + self.wide, y), 0.3))  # type: ignore[misc]
        self.gap(1.5)

    def text(self, text: str, size: float = TEXT, bold: bool = False, indent: float = 0.0, hang: float = 0.0) -> None:
        """A paragraph; its second and later lines are set in by `hang`."""
        for number, line in enumerate(wrapped(text, size, self.wide - indent - hang, bold)):
            self.room(high_mm(size))
            self._line(line, size, bold, indent + (hang if number else 0.0))

    def beside(self, text: str, wide: float) -> None:
        """A bold word at the left of the line that is written next; one too long for `wide` gets lines of its own."""
        lines = wrapped(text, TEXT, wide - 2, bold=True)
        self.room(high_mm(TEXT, 2))
        for line in lines[:-1]:
            self._line(line, TEXT, True, 2.0)
            self.room(high_mm(TEXT, 2))
        self._line(lines[-1], TEXT, True, 2.0)
        self.y += high_mm(TEXT)

    def drawing(self, high: float, draw: Drawing) -> None:
        """A drawing `high` mm tall, given its lower left corner and its width."""
        self.room(high)
        self.y -= high
        self._draw(lambda pen, y=self.y: draw(pen, (MARGIN_MM, y), self.wide))  # type: ignore[misc]

    def table(
        self,
        widths: Sequence[float],
        head: Sequence[str],
        rows: Sequence[Sequence[str]],
        least: float = 0.0,
        fold: bool = False,
    ) -> None:
        """Rows under a head that is repeated on every page; widths are shares.

        `least`: how high a row is at least; `fold`: the last column is to be folded back along its edge.
        """
        wides = [share / sum(widths) * self.wide for share in widths]
        self._row(wides, head, True, 0.0, None, fold)
        for row in rows:
            self._row(wides, row, False, least, head, fold)

    def _row(
        self, wides: list[float], cells: Sequence[str], bold: bool, least: float, head: Sequence[str] | None, fold: bool
    ) -> None:
        most = int((self.size.mm[1] - 60) / high_mm(CELL))
        pads = [*[PAD_MM] * (len(wides) - 1), FOLD_PAD_MM if fold else PAD_MM]
        lines = [
            wrapped(cell, CELL, wide - PAD_MM - pad, bold, most)
            for cell, wide, pad in zip(cells, wides, pads, strict=True)
        ]
        high = max(least, high_mm(CELL, max(map(len, lines))) + 2 * PAD_MM)
        before = len(self.pages)
        self.room(high)
        if head is not None and len(self.pages) > before:
            self._row(wides, head, True, 0.0, None, fold)
        top = self.y

        def draw(pen: Pen) -> None:
            x = MARGIN_MM
            for cell, wide, pad in zip(lines, wides, pads, strict=True):
                y = top - PAD_MM
                for line in cell:
                    pen.text((x + pad, y - 0.95 * CELL * MM_PER_PT), line, CELL, bold)
                    y -= high_mm(CELL)
                pen.box((x, top - high), (x + wide, top), width=0.15, grey=FAINT)
                x += wide
            if fold:
                pen.line((x - wides[-1], top - high), (x - wides[-1], top), 0.6, dash=DASHED)

        self._draw(draw)
        self.y -= high

    def _line(self, line: str, size: float, bold: bool, indent: float) -> None:
        at = MARGIN_MM + indent, self.y
        self._draw(lambda pen: pen.text((at[0], at[1] - 0.95 * size * MM_PER_PT), line, size, bold))
        self.y -= high_mm(size)

    def _draw(self, draw: Draw) -> None:
        self.pages[-1].append(draw)

    def drawn(self) -> list[Draw]:
        """One function a page."""

        def page(parts: list[Draw]) -> Draw:
            def draw(pen: Pen) -> None:
                for part in parts:
                    part(pen)

            return draw

        return [page(parts) for parts in self.pages]
