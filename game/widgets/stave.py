"""The bar on the page: one staff across it, as large as the level's widest bar allows."""

from collections.abc import Callable, Container, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import cycle, islice

from pygame import Rect

from game.engraving.surface import fit
from game.widgets.base import Act
from game.widgets.look import Look
from game.widgets.notation import BeatPlace, Staff, line_in
from game.widgets.ruler import Ruler, Where
from shared.bars import Bar, Meter
from shared.figures import Figure
from shared.levels import Level, spelled
from shared.notation.engraved import Layout, beat_to_fill, reach
from shared.notation.page import Dress, lay_out_bar
from shared.orchestration import groove_figure
from shared.sticking import STICKINGS, Hands

WIDEST_BEAT = 26.0
"""How wide a beat may become to fill the page, in staff spaces."""

LARGEST_SPACE = 17.0
"""The largest staff space, in units."""


@dataclass(frozen=True)
class Stave:
    """How a level's bars lie in a box: staff space in pixels, beat width in spaces, left edge and line."""

    level: Level
    space: int
    beat: float
    left: int
    line: int
    box: Rect

    def layout(
        self, figures: Sequence[Figure | None], tones: Sequence[str] | None = None, hands: Hands | None = None
    ) -> Layout:
        """Lay out a bar at this stave's width."""
        dress = Dress(spelled(self.level), hands=hands, least_beat=self.beat)
        return lay_out_bar(self.level.meter, figures, dress, tones)

    def staff(self, layout: Layout) -> Staff:
        """The bar as a widget."""
        return Staff("staff", self.box, layout, self.space, self.left, self.line)

    def span(self, layout: Layout, beat: int) -> Rect:
        """The part of the box that belongs to a beat, from 0."""
        span = layout.beats[beat]
        left, right = self.left + round(span.left * self.space), self.left + round(span.right * self.space)
        return Rect(left, self.box.y, right - left, self.box.h)

    def column(self, layout: Layout, beats: float) -> int:
        """The pixel column of a place in the bar, in beats from 0."""
        return self.left + round(layout.column(0, beats) * self.space)

    def places(
        self, look: Look, layout: Layout, asked: Sequence[int], state: Callable[[int], str],
        choose: Callable[[int], None], act: Act, unsure: Container[int] = (),
    ) -> list[BeatPlace]:  # fmt: skip
        """The asked beats as places that take the focus; to those that are ``unsure`` "not sure" was said."""
        gap = look.u(9)

        # A function of its own for each beat: a lambda in the loop would always choose the last.
        def chooses(beat: int) -> Callable[[], None]:
            return lambda: choose(beat)

        return [
            BeatPlace(
                f"beat {beat}", _without_right(self.span(layout, beat), gap), act, state(beat),
                "?" if beat in unsure else "", on_focus=chooses(beat),
            )
            for beat in asked
        ]  # fmt: skip

    def ruler(self, layout: Layout, box: Rect, where: Where) -> Ruler:
        """The ruler over the bar."""
        columns = tuple(self.column(layout, beat) for beat in range(self.level.meter.beats))
        end = self.left + round(layout.width * self.space)
        return Ruler("ruler", box, columns, end, columns[0] - box.x - self.space // 2, where)


def _without_right(box: Rect, gap: int) -> Rect:
    return Rect(box.x, box.y, box.w - gap, box.h)


@lru_cache(maxsize=16)
def stave_height(look: Look, level: Level, width: int, most: int) -> int:
    """How high the box of a stave must be in a page of that width; ``most`` at most."""
    layouts = _widest(level)
    space = min(fit(layouts, width, most), look.u(LARGEST_SPACE))
    return min(most, round(sum(reach(layouts)) * space) + look.u(24))


def stave_in(look: Look, level: Level, box: Rect) -> Stave:
    """The stave that lets every bar of the level fit the box, count and sticking under it."""
    return _stave(look, level, (box.x, box.y, box.w, box.h))


@lru_cache(maxsize=16)
def _stave(look: Look, level: Level, place: tuple[int, int, int, int]) -> Stave:
    box = Rect(place)
    layouts = _widest(level)
    space = min(fit(layouts, box.w, box.h), look.u(LARGEST_SPACE))
    # One width for every bar of the level: a stave that changed with each bar would tell something of its figures.
    beat = beat_to_fill(layouts, box.w / space, WIDEST_BEAT)
    wider = level.meter.beats * (beat - layouts[0].beat_width)
    width = round((layouts[0].width + wider) * space)
    line = box.y + line_in(box.h, layouts, space)
    return Stave(level, space, beat, box.x + (box.w - width) // 2, line, box)


@lru_cache(maxsize=16)
def _widest(level: Level) -> tuple[Layout, ...]:
    """Bars full of each figure, and of the groove, with count and sticking: alone and before a silent number.

    A silent number is counted in brackets, which reach furthest into the beat before.
    """
    meter = level.meter
    figures = dict.fromkeys((*level.figures, groove_figure(meter.compound)))
    # The widest bars, not the widest figures: it is neighbours that need the room.
    silent = next((figure for figure in figures if not figure.onsets or figure.onsets[0]), None)
    full = [_full_bar(level, meter, (figure,)) for figure in figures]
    return tuple(full + [_full_bar(level, meter, (figure, silent)) for figure in figures if silent])


def _full_bar(level: Level, meter: Meter, figures: Sequence[Figure]) -> Layout:
    bar = Bar(meter, tuple(islice(cycle(figures), meter.beats)))
    return lay_out_bar(meter, bar.figures, Dress(spelled(level), hands=STICKINGS["natural"](bar, "R")))
