"""A printed sheet: text, tables and figures from top to bottom, on as many pages as they need."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from game.engraving import A4_HEIGHT, A4_WIDTH
from game.engraving.ground import Pages
from shared.figures import Figure
from shared.levels import Level, spelling_in
from shared.notation.engraved import Layout, reach
from shared.notation.page import lay_out_figure

if TYPE_CHECKING:
    from game.engraving.pdf import PdfPage

MARGIN = 16.0
"""The margin of a page, in millimetres."""

TITLE, LEAD, BODY, SMALL = 7.0, 4.9, 4.0, 3.4
"""Type sizes in millimetres."""

LEADING = 1.35
"""The distance of two lines of text, in type sizes."""

SPACE = 1.35
"""Millimetres of a staff space."""

APART = 6.0
"""Millimetres between figures side by side."""

SHORTEST = 0.25
"""The least share of its width that the last line of a paragraph fills."""

TAKEN = 104.0
"""From the margin to the figures that stand beside a sentence on them, in millimetres."""


class PrintedSheet:
    """A sheet to be printed.  ``y`` is where the next thing goes, in millimetres from the top of the page."""

    def __init__(self, title: str, remark: str = "", document: str = "", page: Pages | None = None) -> None:
        """``document`` names the file in its reader, where that is not the title of the first page.

        It is drawn on a ``page`` where one is given, else on that of a file.
        """
        self._file: PdfPage | None = None
        if page is None:
            from game.engraving import pdf  # fpdf2 is slow to load: only when something is printed

            page = self._file = pdf.PdfPage(document or title)
        self.page = page
        self.begin(title, remark)

    def begin(self, title: str, remark: str = "") -> None:
        """Begin a sheet of its own, as for the next pupil: a new page with a title and a remark."""
        self._title, self._pages = title, 1
        self.y = MARGIN
        self.page.add_page()
        self.text(title, TITLE, bold=True)
        if remark:
            self.text(remark, BODY)
        self.gap(3)

    @property
    def room_left(self) -> float:
        """The height that is left on this page, in millimetres."""
        return A4_HEIGHT - MARGIN - self.y

    @property
    def width(self) -> float:
        """Between the margins, in millimetres."""
        return A4_WIDTH - 2 * MARGIN

    def gap(self, millimetres: float) -> None:
        """Leave so much space below what stands already."""
        self.y += millimetres

    def room(self, height: float) -> bool:
        """Begin a new page unless ``height`` millimetres are left on this one; returns whether one was begun."""
        full = self.y + height > A4_HEIGHT - MARGIN
        if full:
            self.turn()
        return full

    def heading(self, text: str) -> None:
        """A heading, which stays with a few lines of what follows."""
        self.gap(3)
        self.room(22)
        self.text(text, LEAD, bold=True)
        self.gap(1)

    def text(self, text: str, size: float = BODY, bold: bool = False, left: float = 0.0, width: float = 0.0) -> None:
        """A paragraph; ``left`` millimetres in from the margin, ``width`` wide where it is not to fill the line."""
        self.page.set_type(size, bold)
        lines = self._wrapped(text, width or self.width - left)
        self.room(len(lines) * size * LEADING)
        for line in lines:
            self.y += size * LEADING
            # Up from the line's end to the baseline: about the depth of descenders and half of the leading.
            self.page.say(line, MARGIN + left, self.y - size * 0.35, size, bold)

    def tall(self, text: str, size: float = BODY, bold: bool = False, width: float = 0.0) -> float:
        """The height of a paragraph, in millimetres."""
        self.page.set_type(size, bold)
        return len(self._wrapped(text, width or self.width)) * size * LEADING

    def _wrapped(self, text: str, width: float) -> list[str]:
        """The lines of a paragraph, no wider than ``width`` in the type that is set."""
        lines: list[str] = []
        line = ""
        # By spaces alone: words with spaces that do not break, as in a count, stay on one line.
        for word in filter(None, text.split(" ")):
            longer = f"{line} {word}" if line else word
            if line and self.page.wide(longer) > width:
                lines.append(line)
                longer = word
            line = longer
        # A word or two alone on the last line look like a slip: those before keep them company.
        while lines and lines[-1].count(" ") > 1 and self.page.wide(line) < SHORTEST * width:
            lines[-1], _, word = lines[-1].rpartition(" ")
            line = f"{word} {line}"
        return [*lines, line]

    def columns(self, cells: list[tuple[str, float]], size: float = BODY, bold: bool = False) -> None:
        """A line of cells: (text, width in millimetres), which wrap within their widths."""
        # Room for three lines, as cells wrap: a row must not be torn over two pages.
        self.room(3 * size * LEADING)
        top, lowest, left = self.y, self.y, 0.0
        for text, width in cells:
            self.y = top
            # Two millimetres of air: words that fill their cell must not run into the next one's.
            self.text(text, size, bold, left, width - 2)
            lowest, left = max(lowest, self.y), left + width
        self.y = lowest

    def table(self, heads: Sequence[str], widths: Sequence[float], lines: Iterable[Sequence[str]]) -> None:
        """Lines of small cells under their heads, which stand over them on each page."""
        self.columns(list(zip(heads, widths, strict=True)), SMALL, bold=True)
        for cells in lines:
            if self.room(3 * SMALL * LEADING):
                self.columns(list(zip(heads, widths, strict=True)), SMALL, bold=True)
            self.columns(list(zip(cells, widths, strict=True)), SMALL)

    def rule(self) -> None:
        """A hairline across."""
        self.gap(1)
        self.page.pen("#969696", 0.2)
        self.page.line(MARGIN, self.y, A4_WIDTH - MARGIN, self.y)
        self.gap(1)

    def box(self, x: float, y: float, side: float = 4.5) -> None:
        """A box to tick, its top left corner at ``x`` from the margin and ``y`` from the top."""
        self.page.pen("#000000", 0.3)
        self.page.rect(MARGIN + x, y, side, side)

    def figures(self, level: Level, figures: tuple[Figure, ...], left: float = 0.0, space: float = SPACE) -> None:
        """Figures side by side with their counts, in the level's spelling; ``space`` is the staff space."""
        layouts = [lay_out_figure(figure, spelling_in(level, figure)) for figure in figures]
        above, below = reach(layouts)
        across = self._across(layouts, left, space)
        for start in range(0, len(layouts), across):
            self.room((above + below) * space + 2)
            x = MARGIN + left
            for layout in layouts[start : start + across]:
                self.page.paint(layout, x, self.y + above * space, space)
                x += layout.width * space + APART
            self.gap((above + below) * space + 2)

    def rows(self, level: Level, figures: tuple[Figure, ...], left: float = 0.0) -> tuple[int, float]:
        """The rows that ``figures`` takes for some figures, and their height in millimetres."""
        layouts = [lay_out_figure(figure, spelling_in(level, figure)) for figure in figures]
        rows = -(-len(layouts) // self._across(layouts, left, SPACE))
        return rows, rows * (sum(reach(layouts)) * SPACE + 2)

    def _across(self, layouts: Sequence[Layout], left: float, space: float) -> int:
        """How many figures stand in a row."""
        # As many as fit if all were as wide as the widest: rows of one number are found by eye.
        widest = max(one.width for one in layouts) * space
        return max(1, int((self.width - left + APART) // (widest + APART)))

    def taken(self, level: Level, heard: Figure, said: Figure, how: str) -> None:
        """A sentence that one figure was taken for another, and how often, with the two figures beside it."""
        layouts = [lay_out_figure(figure, spelling_in(level, figure)) for figure in (heard, said)]
        # Two long ones are drawn smaller, rather than into the margin.
        space = min(SPACE, (self.width - TAKEN - APART) / sum(layout.width for layout in layouts))
        above, below = reach(layouts)
        # The sentence and the two figures in one: apart on two pages neither says anything.
        self.room((above + below) * space + 3)
        top = self.y
        self.y = top + above * space - BODY * LEADING / 2
        self.text(f"{level.named(heard)} was taken for {level.named(said)}, {how}.", width=TAKEN - 4)
        x = MARGIN + TAKEN
        for layout in layouts:
            self.page.paint(layout, x, top + above * space, space)
            x += layout.width * space + APART
        self.y = max(self.y + 1, top + (above + below) * space + 3)

    def bytes(self) -> bytes:
        """The finished file."""
        if self._file is None:
            raise ValueError("only a sheet that is drawn on a file of its own has bytes")
        return self._file.bytes()

    def turn(self) -> None:
        """Begin a new page, headed by the title and its number."""
        self.page.add_page()
        self._pages += 1
        self.y = MARGIN + SMALL * LEADING
        head = f"{self._title}, page {self._pages}"
        self.page.say(head, MARGIN, self.y - SMALL * 0.35, SMALL)
        self.gap(3)
