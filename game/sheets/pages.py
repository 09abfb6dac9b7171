"""The pages of a worksheet: bars to fill in, the answer key, and cards to hold up.  Lengths in millimetres.

What is on a page is made as large as the page allows, and spread over it from top to foot.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from game.engraving import A4_HEIGHT, A4_WIDTH
from game.engraving.ground import Pages
from game.learning import Question
from game.sessions.paper.worksheet import VERSIONS, Worksheet
from game.sheets.sound import starts
from game.wording import counted
from shared.figures import Figure
from shared.levels import spelled, spelling_in
from shared.notation.engraved import INK, Layout, beat_to_fill, reach
from shared.notation.page import QUIET, Dress, lay_out_bar, lay_out_figure
from shared.notation.spacing import NARROWEST_BEAT

MARGIN = 15.0
INNER = A4_WIDTH - 2 * MARGIN
FOOT = A4_HEIGHT - MARGIN - 4
"""The margin of a page, the width between the margins, and the lowest place for bars."""

HEADING, TEXT, SMALL = 7.0, 4.4, 3.4
"""Type sizes."""

BLACK, GREY, CUT = "#000000", "#5a5a5a", "#8a8a8a"
INKS = {INK: BLACK, QUIET: GREY}

LARGEST_BAR, LARGEST_KEY, CARD_SPACE = 2.6, 2.4, 6.0
"""The most a staff space may be: in bars, in the letter key, on cards."""

COMFORTABLE, SMALLEST_KEY = 1.45, 1.3
"""The staff space below which bars go on to another page, and the least of the letter key."""

BAR_COLUMNS, COLUMN_GAP = (1, 2), 8.0
"""The numbers of columns that bars may stand in, and the gap between two."""

NUMBER_ROOM = 9.0
"""Room for a bar's number or a figure's letter, left of its staff."""

BOX = 9.0
"""The side of a box for one letter."""

NAMED = 6.8
"""The height of a row of letters in the answer key."""

ROW_GAP, WIDEST_ROW_GAP = 4.0, 26.0
"""The least space between two rows of bars, and the most that they are spread by."""

LINE = 6.0
"""From one line of text to the next."""

TASK = "You hear each bar twice, after a count-in. Write the letter of its figure in the box of each beat."
GROOVES = "Groove 1, groove 2 and so on: as many bars of groove come between the count-in and the bar."
SIGN = "In the whole sound file a swelling tone announces each bar; the time beside a bar is when it sounds."

GRIDS = ((1, 2), (1, 3), (2, 2), (2, 3), (2, 4), (2, 5), (3, 4), (3, 5), (3, 6), (4, 6))
"""Cards across and down a page, the fewest first."""

T = TypeVar("T")


@dataclass(frozen=True)
class _Spread:
    """How rows of bars are set: columns, staff space, the height of a row, and how many rows each page has."""

    columns: int
    space: float
    high: float
    rows: tuple[int, ...]


def draw_sheet(sheet: Worksheet, page: Pages) -> None:
    """Draw each version's form, then the answer key, then the cards."""
    drawn = _Sheet(sheet, page)
    forms = [drawn.form(version) for version in range(sheet.versions)]
    parts = [part for pages in (*forms, drawn.answers(), drawn.cards()) for part in pages]
    for number, (title, paint) in enumerate(parts, 1):
        page.add_page()
        if title:
            page.say(title, MARGIN, MARGIN + HEADING * 0.7, HEADING)
        paint()
        about = f"{sheet.level.name}, {counted(sheet.bars, 'bar')}, seed {sheet.seed}. Page {number} of {len(parts)}"
        page.say(about, MARGIN, A4_HEIGHT - 9, SMALL, bold=False)


PlannedPage = tuple[str, Callable[[], None]]
"""A page to come: its title, and what paints the rest of it."""


class _Sheet:
    """Puts a worksheet on pages."""

    def __init__(self, sheet: Worksheet, page: Pages) -> None:
        self.sheet = sheet
        self.level = sheet.level
        self.paper = sheet.questions()
        self.page = page
        self.top = MARGIN + HEADING + 7

    # The form

    def form(self, version: int) -> Iterator[PlannedPage]:
        """The pages that a pupil fills in: each has its name, its letters and its task, as pages come apart."""
        letters = self.sheet.letters(version)
        name = f": version {VERSIONS[version]}" if self.sheet.versions > 1 else ""
        layouts = _alike(self._empty, self.paper)
        key_space, key_high = self._key_size(letters, layouts)
        top = self.top + 9 + key_high + LINE * len(self._task()) + 6
        spread = _spread(layouts, FOOT - top, BOX + 1)
        layouts = _justified(self._empty, self.paper, layouts, spread)
        for places in _dealt(spread):
            yield f"{self.level.title}{name}", self._form_page(letters, key_space, top, layouts, spread, places)

    def _form_page(
        self, letters: dict[Figure, str], key_space: float, top: float, layouts: list[Layout], spread: _Spread,
        places: range,
    ) -> Callable[[], None]:  # fmt: skip
        def paint() -> None:
            self._lines_to_fill(self.top)
            low = self._key(letters, self.top + 9, key_space)
            for words in self._task():
                low += LINE
                self.page.say(words, MARGIN, low, SMALL * 1.1, bold=False)
            for number, left, line, below in _set(layouts, spread, places, top):
                self._bar(number, layouts[number], left, line, spread.space)
                self._boxes(self.paper[number], layouts[number], left, below, spread.space)

        return paint

    def _task(self) -> tuple[str, ...]:
        return (TASK, GROOVES) if any(question.setting.groove_bars for question in self.paper) else (TASK,)

    def _lines_to_fill(self, y: float) -> None:
        self._line_to_fill("Name", MARGIN, y, 82)
        self._line_to_fill("Date", MARGIN + 88, y, 46)
        boxes = f"/ {sum(len(question.asked) for question in self.paper)}"
        self.page.set_type(TEXT)
        # At the right edge of the bars below.
        end = A4_WIDTH - MARGIN - self.page.wide(boxes)
        self._line_to_fill("Mark", MARGIN + 140, y, end - MARGIN - 141)
        self.page.say(boxes, end, y, TEXT)

    def _line_to_fill(self, label: str, left: float, y: float, width: float) -> None:
        self.page.say(label, left, y, TEXT)
        self.page.set_type(TEXT)
        begins = left + self.page.wide(label) + 2
        self.page.pen(BLACK, 0.2)
        self.page.line(begins, y + 0.8, left + width, y + 0.8)

    def _key_size(self, letters: dict[Figure, str], layouts: list[Layout]) -> tuple[float, float]:
        """The staff space and the height of the letter key: the largest that leaves the bars on one page."""
        tiles = self._tiles(letters)
        sizes = [LARGEST_KEY - 0.1 * k for k in range(round((LARGEST_KEY - SMALLEST_KEY) / 0.1) + 1)]
        found = [(space, _key_height(tiles, space)) for space in sizes]
        for space, high in found:
            room = FOOT - (self.top + 9 + high + LINE * len(self._task()) + 6)
            spread = _spread(layouts, room, BOX + 1)
            if len(spread.rows) == 1 and spread.space >= COMFORTABLE:
                return space, high
        return found[-1]

    def _tiles(self, figures: Sequence[Figure] | dict[Figure, str]) -> list[Layout]:
        counts = self.sheet.counts
        return [lay_out_figure(figure, spelling_in(self.level, figure), count=counts) for figure in figures]

    def _key(self, letters: dict[Figure, str], top: float, space: float) -> float:
        """The figures with their letters; gives the height below them."""
        tiles = self._tiles(letters)
        columns = _key_columns(tiles, space)
        above, below = (space * spaces for spaces in reach(tiles))
        high = above + below + ROW_GAP
        for row, chunk in enumerate(_chunks(list(zip(letters.values(), tiles, strict=True)), columns)):
            line = top + row * high + above
            for column, (letter, tile) in enumerate(chunk):
                left = MARGIN + column * INNER / columns
                self.page.say(letter, left, line + TEXT * 0.4, TEXT * 1.3)
                self.page.paint(tile, left + NUMBER_ROOM - 2, line, space)
        return top + _key_height(tiles, space)

    # Bars

    def _bar(self, number: int, layout: Layout, left: float, line: float, space: float) -> None:
        self.page.say(str(number + 1), left - NUMBER_ROOM, line + TEXT * 0.4, TEXT * 1.2)
        self.page.paint(layout, left, line, space, INKS)
        if bars := self.paper[number].setting.groove_bars:
            low = line + layout.bottom * space + SMALL + 1
            self.page.say(f"groove {bars}", left - NUMBER_ROOM, low, SMALL, bold=False)

    def _boxes(self, question: Question, layout: Layout, left: float, top: float, space: float) -> None:
        """A box for the letter under each asked beat."""
        self.page.pen(BLACK, 0.25)
        for beat in question.asked:
            self.page.rect(left + layout.column(beat) * space - BOX / 2, top + 1, BOX, BOX)

    def _empty(self, question: Question, least_beat: float) -> Layout:
        """The bar with its asked beats empty."""
        figures = [None if beat in question.asked else figure for beat, figure in enumerate(question.bar.figures)]
        return lay_out_bar(question.bar.meter, figures, self._dress(least_beat))

    def _full(self, question: Question, least_beat: float) -> Layout:
        return lay_out_bar(question.bar.meter, question.bar.figures, self._dress(least_beat))

    def _dress(self, least_beat: float) -> Dress:
        return Dress(spelled(self.level), least_beat=least_beat)

    # The answer key

    def answers(self) -> Iterator[PlannedPage]:
        """The bars with their figures, the letters of each version, and how each bar is played."""
        layouts = _alike(self._full, self.paper)
        below = NAMED * self.sheet.versions + LINE
        top = self.top + LINE * 2
        spread = _spread(layouts, FOOT - top, below)
        layouts = _justified(self._full, self.paper, layouts, spread)
        letters = [self.sheet.letters(version) for version in range(self.sheet.versions)]
        at = starts(self.paper)

        def page_of(places: range) -> Callable[[], None]:
            def paint() -> None:
                self.page.say(SIGN, MARGIN, self.top, SMALL * 1.1, bold=False)
                for number, left, line, low in _set(layouts, spread, places, top):
                    self.page.say(str(number + 1), left - NUMBER_ROOM, line + TEXT * 0.4, TEXT * 1.2)
                    self.page.paint(layouts[number], left, line, spread.space, INKS)
                    for version, named in enumerate(letters):
                        under = low + NAMED * version
                        self._letters(number, named, version, layouts[number], left, under, spread.space)
                    played = f"{how_played(self.paper[number])}, at {clock(at[number])}"
                    self.page.say(played, left, low + NAMED * len(letters) + SMALL + 1, SMALL, bold=False)

            return paint

        for places in _dealt(spread):
            yield f"{self.level.title}: answers", page_of(places)

    def _letters(
        self, number: int, letters: dict[Figure, str], version: int, layout: Layout, left: float, top: float,
        space: float,
    ) -> None:  # fmt: skip
        question = self.paper[number]
        if self.sheet.versions > 1:
            self.page.say(f"{VERSIONS[version]}:", left - NUMBER_ROOM, top + 1 + TEXT, SMALL, bold=False)
        self.page.pen(GREY, 0.2)
        for beat in question.asked:
            middle = left + layout.column(beat) * space
            # In a box, as the pupil has it, and not to be taken for one more row of the count.
            self.page.rect(middle - 3, top + 0.6, 6, NAMED - 1.2)
            self.page.say(letters[question.bar.figures[beat]], middle, top + 1 + TEXT, TEXT, middle=True)

    # Cards

    def cards(self) -> Iterator[PlannedPage]:
        """A set of cards for each pupil: one figure a card, with the letter of the first version, to hold up."""
        letters = self.sheet.letters(0)
        # A level has 24 figures at most, so that a whole set fits the last grid: one cut over two pages is soon mixed
        # with another pupil's.
        across, down = next((grid for grid in GRIDS if grid[0] * grid[1] >= len(letters)), GRIDS[-1])
        sets_a_page = max(1, across * down // len(letters))
        cards = list(zip(letters.values(), self._tiles(letters), strict=True))
        for left in range(self.sheet.pupils, 0, -sets_a_page):
            yield "", self._card_page(cards * min(left, sets_a_page), across, down)

    def _card_page(self, cards: list[tuple[str, Layout]], across: int, down: int) -> Callable[[], None]:
        wide, high = INNER / across, (FOOT - MARGIN) / down

        def paint() -> None:
            # Room beside the notes for the letter, which is read across a room as well.
            letter = min(16.0, wide * 0.2, high * 0.24)
            room = wide - 8, high - letter - 6
            space = min(CARD_SPACE, *(min(room[0] / tile.width, room[1] / tile.height) for _, tile in cards))
            for place, (sign, tile) in enumerate(cards):
                left, top = MARGIN + place % across * wide, MARGIN + place // across * high
                self.page.pen(CUT, 0.2)
                self.page.rect(left, top, wide, high)
                self.page.say(sign, left + 4, top + 3 + letter * 0.72, letter)
                middle = top + letter + (high - letter) / 2
                line = middle - (tile.top + tile.bottom) * space / 2
                self.page.paint(tile, left + (wide - tile.width * space) / 2, line, space)

        return paint


def how_played(question: Question) -> str:
    """Tempo, way round the kit and groove of a bar, in words."""
    setting = question.setting
    groove = f", groove {setting.groove_bars}" if setting.groove_bars else ""
    return f"{setting.tempo:.0f} a minute, {setting.orchestration.replace('-', ' ')}{groove}"


def clock(seconds: float) -> str:
    """Minutes and seconds, such as "2:05"."""
    return f"{int(seconds) // 60}:{int(seconds) % 60:02}"


def _alike(lay_out: Callable[[Question, float], Layout], paper: Sequence[Question]) -> list[Layout]:
    """The bars of a paper with beats of one width, so that bar lines stand under each other."""
    widest = max(lay_out(question, NARROWEST_BEAT).beat_width for question in paper)
    return [lay_out(question, widest) for question in paper]


def _justified(
    lay_out: Callable[[Question, float], Layout], paper: Sequence[Question], layouts: list[Layout], spread: _Spread
) -> list[Layout]:
    """The bars drawn out to the width of their column."""
    widest = max(layouts, key=lambda layout: layout.width)
    beat = beat_to_fill([widest], _width(spread.columns) / spread.space)
    return [lay_out(question, beat) for question in paper]


def _width(columns: int) -> float:
    """The width that a bar has in one of so many columns."""
    return (INNER + COLUMN_GAP) / columns - NUMBER_ROOM - COLUMN_GAP


def _spread(layouts: Sequence[Layout], room: float, below: float) -> _Spread:
    """The fewest pages of ``room`` on which the bars are large enough to read; on these, the largest they can be.

    ``below`` is what a bar needs under its notes.
    """
    # Where even a page for each row leaves a bar too small, it stays as large as it can be.
    for pages in range(1, len(layouts) + 1):
        found = max((_set_in(layouts, columns, pages, room, below) for columns in BAR_COLUMNS), key=lambda s: s.space)
        if found.space >= COMFORTABLE:
            break
    return found


def _set_in(layouts: Sequence[Layout], columns: int, pages: int, room: float, below: float) -> _Spread:
    rows = -(-len(layouts) // columns)
    pages = min(pages, rows)
    # As even as can be, the fuller pages first: no last page with a single bar.
    dealt = tuple(rows // pages + (page < rows % pages) for page in range(pages))
    staff = sum(reach(layouts))
    high = room / dealt[0]
    space = min(
        LARGEST_BAR, _width(columns) / max(layout.width for layout in layouts), (high - below - ROW_GAP) / staff
    )
    return _Spread(columns, space, min(high, space * staff + below + WIDEST_ROW_GAP), dealt)


def _dealt(spread: _Spread) -> Iterator[range]:
    """The rows of each page."""
    first = 0
    for rows in spread.rows:
        yield range(first, first + rows)
        first += rows


def _set(
    layouts: Sequence[Layout], spread: _Spread, rows: range, top: float
) -> Iterator[tuple[int, float, float, float]]:
    """The bars of a page: number from 0, left edge, height of the staff line, height below the notes."""
    above, below = (spread.space * spaces for spaces in reach(layouts))
    cell = (INNER + COLUMN_GAP) / spread.columns
    for row in rows:
        for column in range(spread.columns):
            number = row * spread.columns + column
            if number < len(layouts):
                line = top + (row - rows.start) * spread.high + above
                yield number, MARGIN + column * cell + NUMBER_ROOM, line, line + below


def _key_columns(tiles: Sequence[Layout], space: float) -> int:
    widest = max(tile.width for tile in tiles) * space + NUMBER_ROOM + 3
    return max(1, min(len(tiles), int(INNER // widest)))


def _key_height(tiles: Sequence[Layout], space: float) -> float:
    rows = -(-len(tiles) // _key_columns(tiles, space))
    return rows * (space * sum(reach(tiles)) + ROW_GAP)


def _chunks(things: Sequence[T], size: int) -> Iterator[Sequence[T]]:
    return (things[start : start + size] for start in range(0, len(things), size))
