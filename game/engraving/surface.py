"""The pygame painter: crisp at every size, in any colour, quick the second time.

Glyphs are drawn many times too large and scaled down, in steps of a quarter pixel; stems, beams and
lines are rectangles on whole pixels.  Every column of notes begins on a whole pixel, so that equal
notes look equal.  Needs ``pygame.font``, but no display.
"""

from bisect import bisect_right
from collections import OrderedDict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor

import pygame
from pygame import Rect, Surface

from game.engraving import EM, MUSIC_FONT, TEXT_FONT
from game.engraving.palette import Palette, colour, rgb
from game.engraving.shelf import Shelf
from shared.notation.engraved import Block, Glyph, Layout, Word, beat_to_fill, reach
from shared.notation.marks import MARKS, STAFF_LINE, STEM
from shared.notation.spacing import NARROWEST_BEAT

PHASES = 4
"""On how many places within a pixel a glyph is drawn."""

DRAWN_SPACE = 320
"""About how large glyphs are drawn before they are scaled down, in pixels a staff space.

Rendering a font moves outlines to whole pixels, which no longer shows at that size.
"""

DRAWN_TEXT = 80
"""The least size at which words are drawn before they are scaled down, in pixels, for the same reason."""

SMALLEST_SPACE = 4
"""The least staff space, in pixels: below it the lines of a staff run into one grey."""

PADDING = 2
"""Pixels around a picture, for edges that rounding moves outwards."""

FONTS_OPEN = 8
"""How many fonts are kept open: each keeps its own pictures of what it has drawn, a megabyte and more."""

RGB = tuple[int, int, int]


@dataclass(frozen=True)
class PaintedLayout:
    """A painted layout on a transparent ground; ``line`` is the pixel row of the staff's middle line."""

    surface: Surface
    left: int
    line: int


def fit(layouts: Iterable[Layout], width: float, height: float) -> int:
    """The largest staff space, in whole pixels, at which each layout fits the width and all share one
    line within the height; at least 4."""
    layouts = tuple(layouts)
    above, below = reach(layouts)
    across = max(layout.width for layout in layouts)
    return max(SMALLEST_SPACE, floor(min(width / across, height / (above + below))))


def on_one_scale(
    lay_out: Callable[[float], Sequence[Layout]], size: tuple[int, int], largest: int, widest: float
) -> tuple[tuple[Layout, ...], int]:
    """Layouts at one width of the beat, and the staff space at which each fills a row of that size, both in pixels.

    ``lay_out`` makes them of beats at least so wide; ``widest`` is the most that a beat may become, both in staff
    spaces.  ``largest`` is the most of the staff space.
    """
    # First the size of the notes at their narrowest, then the beat as wide as that size leaves room for: the other
    # way round a wide beat would make the notes small.
    narrow = lay_out(NARROWEST_BEAT)
    space = min(fit(narrow, *size), largest)
    return tuple(lay_out(beat_to_fill(narrow, size[0] / space, widest))), space


class Engraver:
    """Paints layouts and keeps what it has drawn, up to about 50 MB."""

    def __init__(self) -> None:
        pygame.font.init()
        self._marks: Shelf[Surface] = Shelf(4_000_000)
        self.pictures: Shelf[PaintedLayout] = Shelf(8_000_000)
        self._fonts: OrderedDict[tuple[str, int], pygame.font.Font] = OrderedDict()

    def paint(self, target: Surface, layout: Layout, at: tuple[int, int], space: int, palette: Palette) -> None:
        """Paint a layout with its left edge and its middle line at the pixel ``at``.

        ``space`` is the distance of two staff lines in pixels.
        """
        picture = self.picture(layout, space, palette)
        target.blit(picture.surface, (at[0] - picture.left, at[1] - picture.line))

    def picture(self, layout: Layout, space: int, palette: Palette) -> PaintedLayout:
        """A layout painted on a transparent surface of its own; treat it as read-only."""
        key = (layout, space, tuple(palette.items()))
        kept = self.pictures.get(key)
        if kept is not None:
            return kept
        picture = self._draw(layout, space, palette)
        return self.pictures.keep(key, picture, picture.surface.get_width() * picture.surface.get_height())

    def _draw(self, layout: Layout, space: int, palette: Palette) -> PaintedLayout:
        line = ceil(-layout.top * space) + PADDING
        size = (ceil(layout.width * space) + 2 * PADDING, line + ceil(layout.bottom * space) + PADDING)
        surface = Surface(size, pygame.SRCALPHA, 32)
        grid = _Grid(layout, space, line)
        for block in layout.blocks:
            surface.fill(_rgb(palette, block.tone), grid.rect(block))
        for glyph in layout.glyphs:
            self._put_glyph(surface, glyph, grid, palette)
        for word in layout.words:
            self._put_word(surface, word, grid, palette)
        return PaintedLayout(surface, PADDING, line)

    def _put_glyph(self, surface: Surface, glyph: Glyph, grid: "_Grid", palette: Palette) -> None:
        mark = MARKS[glyph.name]
        left, x_phase = _phase(grid.x(glyph.x) + mark.left * grid.space)
        top, y_phase = _phase(grid.y(glyph.y) + mark.top * grid.space)
        image = self._glyph(glyph.name, grid.space, (x_phase, y_phase), _rgb(palette, glyph.tone))
        surface.blit(image, (left, top))

    def _glyph(self, name: str, space: int, phase: tuple[int, int], ink: RGB) -> Surface:
        key = (name, space, phase, ink)
        kept = self._marks.get(key)
        if kept is not None:
            return kept
        # Drawn in white, so that one multiplication gives it any colour.
        image = self.mask(name, space, phase)
        image.fill(ink, special_flags=pygame.BLEND_RGB_MULT)
        return self._marks.keep(key, image, image.get_width() * image.get_height())

    def mask(self, name: str, space: int, phase: tuple[int, int]) -> Surface:
        """A glyph in white: its ink's top left corner stands ``phase`` quarter pixels into the surface."""
        # A multiple of PHASES, so that a quarter of a pixel is a whole number of the large ones.
        times = PHASES * max(2, round(DRAWN_SPACE / space / PHASES))
        large = self._large(name, EM * space * times)
        shift = [step * times // PHASES for step in phase]
        size = [ceil((length + moved) / times) for length, moved in zip(large.get_size(), shift, strict=True)]
        ground = Surface([length * times for length in size], pygame.SRCALPHA, 32)
        # Clear, but white: scaling mixes colours too, and clear black would leave grey edges.
        ground.fill((255, 255, 255, 0))
        ground.blit(large, shift)
        return pygame.transform.smoothscale(ground, size)

    def _large(self, name: str, size: int) -> Surface:
        """A glyph in white, as large as drawn, cut down to its ink."""
        kept = self._marks.get((name, size))
        if kept is not None:
            return kept
        ink = _cut(self._font(str(MUSIC_FONT), size), chr(MARKS[name].code))
        return self._marks.keep((name, size), ink, ink.get_width() * ink.get_height())

    def _put_word(self, surface: Surface, word: Word, grid: "_Grid", palette: Palette) -> None:
        size = max(1, round(word.size * grid.space))
        text = self.text(word.text, size, _rgb(palette, word.tone))
        left = grid.x(word.x) - text.get_width() / 2
        # Not round(), which takes halves to the even neighbour: equal distances would come out unequal.
        surface.blit(text, (floor(left + 0.5), floor(grid.y(word.y) + 0.5) - self._ascent(size)))

    def text(self, text: str, size: int, ink: RGB) -> Surface:
        """A word with its baseline ``_ascent`` pixels down, drawn large like a glyph: small type would run wide."""
        key = (text, size, ink)
        kept = self._marks.get(key)
        if kept is not None:
            return kept
        times = _text_times(size)
        font = self._font(str(TEXT_FONT), size * times)
        large = font.render(text, True, "white")
        shift = self._ascent(size) * times - font.get_ascent()
        wide, high = (ceil(length / times) for length in (large.get_width(), large.get_height() + shift))
        ground = Surface((wide * times, high * times), pygame.SRCALPHA, 32)
        ground.fill((*ink, 0))
        large.fill(ink, special_flags=pygame.BLEND_RGB_MULT)
        ground.blit(large, ((wide * times - large.get_width()) // 2, shift))
        image = pygame.transform.smoothscale(ground, (wide, high))
        return self._marks.keep(key, image, wide * high)

    def _ascent(self, size: int) -> int:
        times = _text_times(size)
        return ceil(self._font(str(TEXT_FONT), size * times).get_ascent() / times)

    def _font(self, path: str, size: int) -> pygame.font.Font:
        if (path, size) not in self._fonts:
            self._fonts[path, size] = pygame.font.Font(path, size)
            # The font that was opened first goes; one that is still wanted is soon opened again.
            if len(self._fonts) > FONTS_OPEN:
                self._fonts.popitem(last=False)
        return self._fonts[path, size]


def _cut(font: pygame.font.Font, sign: str) -> Surface:
    """A sign in white, cut down to its ink: first by what the font says, as lines of music are very tall."""
    whole = font.render(sign, True, "white")
    metrics = font.metrics(sign)[0]
    assert metrics is not None, "the music font holds every mark"
    _, _, lowest, highest, _ = metrics
    reach = Rect(0, font.get_ascent() - highest, whole.get_width(), highest - lowest).inflate(0, 16)
    near = whole.subsurface(reach.clip(whole.get_rect()))
    return near.subsurface(near.get_bounding_rect()).copy()


def _text_times(size: int) -> int:
    return max(1, ceil(DRAWN_TEXT / size))


def _rgb(palette: Palette, tone: str) -> RGB:
    return rgb(colour(palette, tone))


def _phase(place: float) -> tuple[int, int]:
    """A place in pixels as a whole pixel and the quarters of a pixel beyond it."""
    return divmod(floor(place * PHASES + 0.5), PHASES)


class _Grid:
    """From staff spaces to the pixels of one picture."""

    def __init__(self, layout: Layout, space: int, line: int) -> None:
        self.space = space
        self.columns = layout.columns
        self.stem = self._thickness(STEM)
        # Half of the line as it is painted, in whole pixels: heads lie on its true middle at every size.
        self.middle = line + self._thickness(STAFF_LINE) / 2

    def _thickness(self, length: float) -> int:
        return max(1, round(length * self.space))

    def x(self, x: float) -> float:
        """Across: whole pixels at the columns, true distances from there."""
        # A column takes along what begins a little left of it, such as the bracket of a ghost note.
        place = bisect_right(self.columns, x + 0.35)
        column = self.columns[place - 1] if place else 0.0
        return PADDING + floor(column * self.space + 0.5) + (x - column) * self.space

    def y(self, y: float) -> float:
        """Down: the middle line's own middle is ``middle``."""
        return self.middle + y * self.space

    def rect(self, block: Block) -> Rect:
        """A block on whole pixels, never thinner than one."""
        left = floor(self.x(block.x) + 0.5)
        top = floor(self.y(block.y) + 0.5)
        # A beam ends at the outer edge of its last stem, so both ends are set by stems.
        if block.width > block.height:
            right = floor(self.x(block.x + block.width - STEM) + 0.5) + self.stem
            return Rect(left, top, right - left, self._thickness(block.height))
        bottom = floor(self.y(block.y + block.height) + 0.5)
        return Rect(left, top, self._thickness(block.width), bottom - top)
