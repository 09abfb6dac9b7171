"""A take on the page: while it runs its beats and strokes, and then what was played under what is written.

After the take three rows show the bar as written, where it is known, as played, and the timing of the strokes.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from pygame import Rect, Surface

from game.engraving.surface import on_one_scale
from game.widgets.base import Lettered, Widget, letter, write
from game.widgets.boxes import rows
from game.widgets.look import Look
from game.widgets.notation import WRONG, draw_layout, extent, line_in
from game.widgets.stave import WIDEST_BEAT
from shared.bars import Meter
from shared.figures import Figure
from shared.notation.engraved import INK, Layout
from shared.notation.page import Dress, Hands, Spelled, lay_out_bar
from shared.reading import Placed, ReadBeat
from shared.spelling import Spelling

FARTHEST = 0.05
"""A stroke this many seconds early or late reaches the edge of the ruler; one farther away does too."""

WRITTEN, PLAYED, TIMING = "Written", "Played", "Timing"
"""The label of each row."""


class Stalk(NamedTuple):
    """A stroke over the ruler: its place in the bar in beats from 0, and how late it came, in seconds.

    ``late`` is None for a stroke without a place of its own.
    """

    place: float
    late: float | None


def stalks_of(beats: Sequence[ReadBeat], place_of: Callable[[Placed], float]) -> tuple[Stalk, ...]:
    """Every stroke of a bar that was read: at its place where it has one, else at what ``place_of`` says, in beats."""
    return tuple(
        Stalk(place_of(placed), None) if placed.at is None else Stalk(number + float(placed.at), placed.late)
        for number, beat in enumerate(beats)
        for placed in beat.strokes
    )


def hands_of(beats: Sequence[ReadBeat]) -> Hands:
    """The hand of each stroke of each beat that is told, for the notation of what was played."""
    found = []
    for beat in beats:
        hands = {placed.at: placed.stroke.hand or "" for placed in beat.strokes if placed.at is not None}
        found.append(tuple(hands.get(at, "") for at in beat.figure.onsets) if beat.figure else ())
    return tuple(found)


class SoFar(NamedTuple):
    """Where a take is: the beat at hand, from 0, None where none is counted; and the strokes of the bar, in beats."""

    beat: int | None
    strokes: tuple[float, ...] = ()


@dataclass
class TakeLine(Widget):
    """A bar while it is played: its beats by number, the one at hand in a box, and a stalk for each stroke so far.

    Nothing moves towards a stroke that is still to come, and nothing says whether one was right: the ear leads.
    ``start`` and ``end`` are the pixel columns of its first beat and of its end, ``so_far`` is asked at each painting.
    """

    beats: int
    start: int
    end: int
    so_far: Callable[[], SoFar]

    def lettering(self, look: Look) -> list[Lettered]:
        return [letter(look, str(k + 1), box, "huge", True) for k, box in enumerate(self._boxes(look))]

    def _boxes(self, look: Look) -> list[Rect]:
        """The box of each number, over the column of its beat."""
        high = min(look.line("huge") + look.u(12), self.rect.h // 2)
        wide = min(look.u(80), self.column(1) - self.start - look.u(8))
        return [Rect(self.column(k) - wide // 2, self.rect.y, wide, high) for k in range(self.beats)]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme, (beat, strokes) = look.theme, self.so_far()
        # It is painted alone while the take runs, over what it showed before.
        canvas.fill(theme.paper, self.rect)
        for k, (box, number) in enumerate(zip(self._boxes(look), self.lettering(look), strict=True)):
            if k == beat:
                look.box(canvas, box, theme.accent)
            write(canvas, number, theme.on_accent if k == beat else theme.quiet, "centre")
        top, line = self._boxes(look)[0].bottom + look.u(20), self.rect.bottom - look.u(14)
        thick, wide = look.u(2), look.u(5)
        canvas.fill(theme.ink, (self.start, line, self.end - self.start, thick))
        for column in map(self.column, range(self.beats + 1)):
            canvas.fill(theme.ink, (column - thick // 2, line - look.u(8), thick, look.u(16)))
        for at in map(self.column, strokes):
            canvas.fill(theme.accent, (at - wide // 2, top, wide, max(0, line - top)))
            look.dot(canvas, (at, top), look.u(8), theme.accent)

    def column(self, place: float) -> int:
        """The column of a place in the bar, in beats from 0."""
        return self.start + round(place * (self.end - self.start) / self.beats)


@dataclass
class TakeView(Widget):
    """A bar as ``written`` and as ``played`` (None for a beat that is not sure), each with its hands.

    All rows lie on one time scale.  Where ``written`` is None, the bar that was to be played is not known.

    ``stalks`` are the strokes; those up to ``quiet`` seconds early or late lie in the quiet band.  ``lit`` is asked
    at each painting for the label of what sounds.  ``largest`` is the largest staff space, in pixels.
    """

    meter: Meter
    spelled: Spelled
    written: tuple[Figure, ...] | None
    played: tuple[Figure | None, ...]
    written_hands: Hands | None
    played_hands: Hands
    stalks: Sequence[Stalk]
    quiet: float
    lit: Callable[[], str]
    largest: int

    def ink(self) -> Rect:
        """The pixels of the notation."""
        first, *others = [extent(layout, left, line, space) for layout, left, line, space in self._places()]
        return first.unionall(others)

    def lettering(self, look: Look) -> list[Lettered]:
        side, high, ruler = self._side(), look.line(), self._rows()[-1]
        # A third each where the window is low, so that the small words are not cut for the large one.
        late, timing, early = rows(Rect(ruler.x, ruler.y, side, ruler.h), [None, min(high, ruler.h // 3), None])
        lines = [line for _, _, line, _ in self._places()]
        boxes = [*(Rect(self.rect.x, line - high // 2, side, high) for line in lines), timing]
        labels = (*((WRITTEN,) if self.written else ()), PLAYED, TIMING)
        found = [letter(look, text, box, "body", True) for text, box in zip(labels, boxes, strict=True)]
        return [*found, letter(look, "late", late, "small"), letter(look, "early", early, "small")]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        lit = self.lit()
        *labels, late, early = self.lettering(look)
        for lettered in labels:
            if lettered.text == lit:
                wide = look.width(lettered.text, "body", True) + look.u(8)
                box = Rect(lettered.box.x, lettered.box.bottom, wide, look.u(4))
                canvas.fill(theme.accent, box)
            write(canvas, lettered, theme.accent if lettered.text == lit else theme.ink)
        for lettered in (late, early):
            write(canvas, lettered, theme.quiet)
        places = self._places()
        layout, left, _, space = places[-1]
        for beat, tone in enumerate(self._tones()):
            # A beat that is not sure has the usual tone: it is no mistake, and gets no mark of one.
            if tone == WRONG:
                span = layout.beats[beat]
                x = left + round(span.left * space)
                row = self._rows()[-2]
                box = Rect(x, row.y, round((span.right - span.left) * space) - look.u(6), row.h)
                look.box(canvas, box, theme.warn_wash, theme.warn, 2)
        for layout, left, line, space in places:
            draw_layout(canvas, look, layout, (left, line), space)
        self._paint_ruler(canvas, look)

    def _paint_ruler(self, canvas: Surface, look: Look) -> None:
        theme, box = look.theme, self._rows()[-1]
        layout, left, _, space = self._places()[0]
        beats = self.meter.beats

        def column(place: float) -> int:
            return left + round(layout.column(0, place) * space)

        reach = box.h // 2 - look.u(10)
        # From a little before the 1, round which strokes come early as well.
        start, end = column(0) - space, min(column(beats), left + round(layout.width * space))
        band = round(min(1.0, self.quiet / FARTHEST) * reach)
        canvas.fill(theme.wash, (start, box.centery - band, end - start, 2 * band))
        canvas.fill(theme.quiet, (start, box.centery, end - start, look.u(1.5)))
        for beat in range(beats):
            canvas.fill(theme.quiet, (column(beat), box.centery - band, look.u(1.5), 2 * band))
        for stalk in self.stalks:
            # A quarter of a beat before the bar still belongs to its 1; what lies farther off has no place here.
            if not -0.25 <= stalk.place < beats:
                continue
            at = column(stalk.place)
            if stalk.late is None:
                side = look.u(14)
                sign = Rect(at - side // 2, box.centery - side // 2, side, side)
                look.shape(canvas, "cross", sign, theme.warn)
                continue
            high = round(min(1.0, max(-1.0, stalk.late / FARTHEST)) * reach)
            # Colour, size and a hole in the dot: told apart without colours too.
            away = abs(stalk.late) > self.quiet
            colour = theme.warn if away else theme.accent
            thick = look.u(4)
            canvas.fill(colour, (at - thick // 2, box.centery - max(high, 0), thick, abs(high)))
            look.dot(canvas, (at, box.centery - high), look.u(7 if away else 5), colour)
            if away:
                look.dot(canvas, (at, box.centery - high), look.u(3.5), theme.paper)

    # Where everything lies

    def _rows(self) -> list[Rect]:
        """The rows of notation, and that of the ruler below them."""
        gap = max(2, self.rect.h // 40)
        if self.written is None:
            return rows(self.rect, [None, round(self.rect.h * 0.4)], gap)
        return rows(self.rect, [None, None, round(self.rect.h * 0.32)], gap)

    def _side(self) -> int:
        return round(self.rect.w * 0.1)

    def _places(self) -> list[tuple[Layout, int, int, int]]:
        """Of each bar the layout, its left edge and line, and the staff space."""
        *boxes, _ = self._rows()
        side = self._side()
        bars: tuple[Figures, ...] = ((self.played, self._tones(), self.played_hands),)
        if self.written is not None:
            bars = ((self.written, None, self.written_hands), *bars)
        size = (self.rect.w - side, boxes[0].h)
        layouts, space = _laid_out(self.meter, tuple(self.spelled.items()), bars, size, self.largest)
        return [
            (layout, self.rect.x + side, box.y + line_in(box.h, layouts, space), space)
            for layout, box in zip(layouts, boxes, strict=True)
        ]

    def _tones(self) -> tuple[str, ...]:
        return tuple(
            INK if figure is None or figure == wanted else WRONG
            for figure, wanted in zip(self.played, self.written or self.played, strict=True)
        )


Figures = tuple[tuple[Figure | None, ...], tuple[str, ...] | None, Hands | None]


@lru_cache(maxsize=16)
def _laid_out(
    meter: Meter,
    spelled: tuple[tuple[Figure, Spelling], ...],
    bars: tuple[Figures, ...],
    size: tuple[int, int],
    largest: int,
) -> tuple[tuple[Layout, ...], int]:
    spelling = dict(spelled)

    def lay_out(beat: float) -> list[Layout]:
        return [
            lay_out_bar(meter, figures, Dress(spelling, hands=hands, least_beat=beat), tones)
            for figures, tones, hands in bars
        ]

    return on_one_scale(lay_out, size, largest, WIDEST_BEAT)
