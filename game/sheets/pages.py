"""The pages of a worksheet: bars to fill in, the answer key, and cards to hold up.  Lengths in millimetres."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from string import ascii_uppercase
from typing import TypeVar

from game.engraving import A4_HEIGHT, A4_WIDTH
from game.engraving.pdf import Page
from game.learning import Question
from shared.levels import Level, spelling_in
from shared.notation.engraved import INK, Layout, reach
from shared.notation.page import QUIET, Dress, lay_out_bar, lay_out_figure
from shared.notation.spacing import NARROWEST_BEAT

MARGIN = 15.0
INNER = A4_WIDTH - 2 * MARGIN
FOOT = A4_HEIGHT - MARGIN

HEADING, TEXT, SMALL = 7.0, 4.2, 3.6
"""Type sizes."""

BLACK, GREY, CUT = "#000000", "#5a5a5a", "#8a8a8a"
INKS = {INK: BLACK, QUIET: GREY}

LARGEST_SPACE, KEY_SPACE, CARD_SPACE = 1.6, 1.8, 5.0
"""The most a staff space may be: in bars, in the letter key, on cards."""

BAR_COLUMNS, KEY_COLUMNS = (2, 1), (6, 4, 3)
"""How many columns to try, most first."""

SMALLEST_SPACE = 1.25
"""The least staff space that columns may lead to, if fewer columns can help it."""

COLUMN_GAP = 8.0
NUMBER_ROOM = 8.0
"""Room for a bar's number or a figure's letter, left of its staff."""

BOX = 7.0
"""The side of a box for one letter."""

ROW_GAP = 6.0

LINE = 6.0
"""From one line of text to the next."""

TASK = "You hear each bar twice, after a count-in. Write the letter of its figure in the box of each beat."
GROOVES = "Groove 1, groove 2 and so on: as many bars of groove come between the count-in and the bar."
NUMBERING = "In the sound file a bar's number comes first: each low drum counts five, each stick one."

CARDS_ACROSS, CARDS_DOWN = 2, 3

T = TypeVar("T")


def sheet_pages(level: Level, paper: Sequence[Question], seed: int) -> bytes:
    """Worksheet, answer key and response cards as the bytes of a PDF file."""
    return _Sheet(level, paper, seed).bytes()


@dataclass(frozen=True)
class _Place:
    """A bar's place on a page: its left edge, the height of its staff line, and its staff space."""

    left: float
    line: float
    space: float


class _Sheet:
    """Puts a paper on pages."""

    def __init__(self, level: Level, paper: Sequence[Question], seed: int) -> None:
        self.level = level
        self.paper = paper
        self.seed = seed
        # A level has 24 figures at most, so there are letters enough.
        self.letters = dict(zip(level.figures, ascii_uppercase, strict=False))
        self.page = Page(f"{level.title}: worksheet")

    def bytes(self) -> bytes:
        """The finished file."""
        self._worksheet()
        self._answers()
        self._cards()
        return self.page.bytes()

    def _worksheet(self) -> None:
        top = self._key(self._open_form())
        for line in (TASK, GROOVES) if any(question.setting.groove_bars for question in self.paper) else (TASK,):
            top += LINE
            self.page.say(line, MARGIN, top, TEXT, bold=False)
        self._bars(self._open_form, top + LINE, _alike(self._empty, self.paper), boxes=True)

    def _answers(self) -> None:
        self._bars(self._open_answers, self._open_answers(), _alike(self._full, self.paper), boxes=False)

    def _open_answers(self) -> float:
        return self._open(f"{self.level.title}: answers")

    def _open_form(self) -> float:
        """Begin a page that a pupil fills in: each has its own name, as pages come apart."""
        top = self._open(self.level.title)
        self._line_to_fill("Name", MARGIN, top, 82)
        self._line_to_fill("Date", MARGIN + 88, top, 46)
        boxes = sum(len(question.asked) for question in self.paper)
        self._line_to_fill("Mark", MARGIN + 140, top, 27)
        self.page.say(f"/ {boxes}", MARGIN + 168, top, TEXT)
        return top + 8

    def _open(self, title: str) -> float:
        """Begin a page with its title and foot line; gives the height at which its matter may begin."""
        self.page.add_page()
        self.page.say(title, MARGIN, MARGIN + HEADING * 0.7, HEADING)
        about = f"{self.level.name}, {len(self.paper)} bars, seed {self.seed}. {NUMBERING}"
        self.page.say(about, MARGIN, FOOT + 5, SMALL, bold=False)
        return MARGIN + HEADING + 9

    def _line_to_fill(self, label: str, left: float, y: float, width: float) -> None:
        self.page.say(label, left, y, TEXT)
        self.page.pen(BLACK, 0.2)
        self.page.line(left + 13, y + 0.8, left + width, y + 0.8)

    def _key(self, top: float) -> float:
        """The figures with their letters; gives the height below them."""
        tiles = [lay_out_figure(figure, spelling_in(self.level, figure)) for figure in self.level.figures]
        columns, space = _columns(tiles, KEY_COLUMNS, NUMBER_ROOM, KEY_SPACE)
        cell = INNER / columns
        above, below = (space * spaces for spaces in reach(tiles))
        for row, chunk in enumerate(_chunks(list(zip(self.level.figures, tiles, strict=True)), columns)):
            line = top + row * (above + below + 3) + above
            for column, (figure, tile) in enumerate(chunk):
                left = MARGIN + column * cell
                self.page.say(self.letters[figure], left, line + TEXT * 0.33, TEXT * 1.2)
                self.page.paint(tile, left + NUMBER_ROOM - 2, line, space)
        rows = -(-len(tiles) // columns)
        return top + rows * (above + below + 3)

    def _bars(self, turn: Callable[[], float], top: float, layouts: list[Layout], boxes: bool) -> None:
        """Numbered bars in columns, on as many pages as they need; ``turn`` begins the next one."""
        columns, space = _columns(layouts, BAR_COLUMNS, NUMBER_ROOM + COLUMN_GAP, LARGEST_SPACE)
        cell = (INNER + COLUMN_GAP) / columns
        above, below = (space * spaces for spaces in reach(layouts))
        high = above + below + (BOX if boxes else TEXT) + ROW_GAP
        for row in _chunks(list(enumerate(layouts)), columns):
            if top + high > FOOT:
                top = turn()
            for column, (number, layout) in enumerate(row):
                place = _Place(MARGIN + column * cell + NUMBER_ROOM, top + above, space)
                self._bar(number, layout, place)
                self._beats(self.paper[number], layout, place, top + above + below + 1, boxes)
                self._groove(self.paper[number], place, top + above + below + 1)
            top += high

    def _bar(self, number: int, layout: Layout, place: _Place) -> None:
        self.page.say(str(number + 1), place.left - NUMBER_ROOM, place.line + TEXT * 0.33, TEXT * 1.2)
        self.page.paint(layout, place.left, place.line, place.space, INKS)

    def _beats(self, question: Question, layout: Layout, place: _Place, top: float, boxes: bool) -> None:
        """A box for the letter under each asked beat, or the letter."""
        self.page.pen(BLACK, 0.25)
        for beat in question.asked:
            middle = place.left + layout.column(beat) * place.space
            if boxes:
                self.page.rect(middle - BOX / 2, top, BOX, BOX)
            else:
                self.page.say(self.letters[question.bar.figures[beat]], middle, top + TEXT * 0.8, TEXT, middle=True)

    def _groove(self, question: Question, place: _Place, top: float) -> None:
        """How many bars of groove come first, if any: at the left, before the first beat."""
        if question.setting.groove_bars:
            words = f"groove {question.setting.groove_bars}"
            self.page.say(words, place.left - NUMBER_ROOM, top + TEXT * 0.8, SMALL, bold=False)

    def _empty(self, question: Question, least_beat: float) -> Layout:
        """The bar with its asked beats empty."""
        figures = [None if beat in question.asked else figure for beat, figure in enumerate(question.bar.figures)]
        return lay_out_bar(question.bar.meter, figures, self._dress(least_beat))

    def _full(self, question: Question, least_beat: float) -> Layout:
        return lay_out_bar(question.bar.meter, question.bar.figures, self._dress(least_beat))

    def _dress(self, least_beat: float) -> Dress:
        return Dress({figure: spelling_in(self.level, figure) for figure in self.level.figures}, least_beat=least_beat)

    def _cards(self) -> None:
        """One figure a card, large, with its letter, to cut out and hold up."""
        tiles = [lay_out_figure(figure, spelling_in(self.level, figure)) for figure in self.level.figures]
        wide, high = INNER / CARDS_ACROSS, (A4_HEIGHT - 2 * MARGIN) / CARDS_DOWN
        space = min(CARD_SPACE, *((wide - 16) / tile.width for tile in tiles))
        for chunk in _chunks(list(zip(self.letters.values(), tiles, strict=True)), CARDS_ACROSS * CARDS_DOWN):
            self.page.add_page()
            for place, (letter, tile) in enumerate(chunk):
                down, across = divmod(place, CARDS_ACROSS)
                self._card(letter, tile, MARGIN + across * wide, MARGIN + down * high, (wide, high), space)

    def _card(
        self, letter: str, tile: Layout, left: float, top: float, size: tuple[float, float], space: float
    ) -> None:
        self.page.pen(CUT, 0.2)
        self.page.rect(left, top, *size)
        self.page.say(letter, left + 5, top + 14, 14)
        middle = top + 8 + size[1] / 2
        line = middle - (tile.top + tile.bottom) * space / 2
        self.page.paint(tile, left + (size[0] - tile.width * space) / 2, line, space)


def _alike(lay_out: Callable[[Question, float], Layout], paper: Sequence[Question]) -> list[Layout]:
    """The bars of a paper with beats of one width, so that bar lines stand under each other."""
    widest = max(lay_out(question, NARROWEST_BEAT).beat_width for question in paper)
    return [lay_out(question, widest) for question in paper]


def _columns(layouts: Sequence[Layout], choices: Sequence[int], taken: float, most: float) -> tuple[int, float]:
    """How many columns to set the layouts in, with room taken in each, and the staff space they get."""
    width = max(layout.width for layout in layouts)
    found = [(columns, min(most, (INNER / columns - taken) / width)) for columns in choices]
    return next((pair for pair in found if pair[1] >= SMALLEST_SPACE), found[-1])


def _chunks(things: Sequence[T], size: int) -> Iterator[Sequence[T]]:
    return (things[start : start + size] for start in range(0, len(things), size))
