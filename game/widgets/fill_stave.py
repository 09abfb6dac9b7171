"""A fill on the five-line staff, which is written on: a stroke at hand, moved along by arrows, up and down by drums."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache

import pygame
from pygame import Rect, Surface

from game.widgets.base import Widget
from game.widgets.keycaps import key_name
from game.widgets.look import Look
from game.widgets.notation import draw_layout, extent
from game.widgets.stave import LARGEST_SPACE
from shared.counting import Words
from shared.fills import Fill
from shared.notation.engraved import Layout, reach
from shared.notation.kit_staff import lay_out_kit
from shared.notation.page import Dress
from shared.notation.spacing import NARROWEST_BEAT
from shared.orchestration import Setting
from shared.passages import Passage

FillSpot = tuple[int, int]
"""A beat of the fill and a stroke in it, both from 0."""


@dataclass(frozen=True)
class FillSheet:
    """How a fill lies in a box: a layout for each of its bars, the staff space, the left edges and the line."""

    fill: Fill
    layouts: tuple[Layout, ...]
    space: int
    lefts: tuple[int, ...]
    line: int
    box: Rect

    def column(self, place: float) -> int:
        """The pixel column of a place in beats from the fill's start."""
        size = self.fill.meter.beats
        bar = min(int(place // size), len(self.layouts) - 1)
        return self.lefts[bar] + round(self.layouts[bar].column(0, place - bar * size) * self.space)

    @property
    def end(self) -> int:
        """Where the staff ends."""
        return self.lefts[-1] + round(self.layouts[-1].width * self.space)

    def beat(self, number: int) -> Rect:
        """The part of the box that belongs to a beat."""
        bar, beat = divmod(number, self.fill.meter.beats)
        left, right = (self.lefts[bar] + round(edge * self.space) for edge in self.layouts[bar].beats[beat])
        return Rect(left, self.box.y, right - left, self.box.h)

    def stroke(self, place: FillSpot) -> Rect | None:
        """The column of a stroke; None where the beat has none."""
        beat = self.fill.beats[place[0]]
        if beat is None or not beat.strokes:
            return None
        # Somewhat wider than a head, which is 1.18 spaces: the mark must show at both its sides.
        column, half = self.column(place[0] + float(beat.figure.onsets[place[1]])), round(0.95 * self.space)
        return Rect(column - half, self.box.y, 2 * half, self.box.h)

    def nearest(self, x: int) -> FillSpot:
        """The stroke nearest to a pixel column, or the beat there that has none."""
        size = len(self.fill.beats)
        # By beats first: a click into an empty beat means that beat, however near a stroke of the next one is.
        number = next((k for k in range(size) if x < self.beat(k).right), size - 1)
        beat = self.fill.beats[number]
        onsets = beat.figure.onsets if beat else ()
        ways = [(abs(self.column(number + float(at)) - x), k) for k, at in enumerate(onsets)]
        return number, min(ways)[1] if ways else 0


def fill_sheet(box: Rect, fill: Fill, setting: Setting, largest: int, words: Words = ()) -> FillSheet:
    """A fill as large as it fits in a box; its staff goes all the way across."""
    # As a tuple: a Rect can be changed, and so is no key of a cache.
    return _sheet(tuple(box), fill, setting, largest, words)


# Laid out for every move of the arrows else, where nothing but the mark has moved.
@lru_cache(maxsize=32)
def _sheet(
    box: tuple[int, int, int, int], fill: Fill, setting: Setting, largest: int, words: Words
) -> FillSheet:  # fmt: skip
    rect = Rect(box)
    # Twice: as narrow as the notes allow, which gives the size, then as wide as the box at that size.
    narrow = _layouts(fill, setting, 0.0, words)
    above, below = reach(narrow)
    wide = sum(layout.width for layout in narrow)
    space = max(1, min(largest, int(rect.w / wide), int(rect.h / (above + below))))
    beats = len(fill.beats)
    ends = sum(layout.width - layout.beat_width * fill.meter.beats for layout in narrow)
    layouts = _layouts(fill, setting, (rect.w / space - ends) / beats, words)
    lefts, x = [], float(rect.x)
    for layout in layouts:
        lefts.append(round(x))
        x += layout.width * space
    above, below = reach(layouts)
    line = rect.y + round((rect.h - (above + below) * space) / 2 + above * space)
    return FillSheet(fill, layouts, space, tuple(lefts), line, rect)


def _layouts(fill: Fill, setting: Setting, least_beat: float, words: Words) -> tuple[Layout, ...]:
    passage = Passage(fill.meter, setting.tempo, fill.length, 0, tuple(fill.strokes(setting)))

    def lay_out(bar: int, least: float) -> Layout:
        # Any value but None asks for the sticking, which the kit staff then takes from the passage.
        dress = Dress(hands=(), opening=bar == 0, least_beat=least, words=words)
        return lay_out_kit(passage, dress, bar)

    # All bars by the widest beat of any: beats of equal width show time as equal ways.
    least = max(least_beat, *(lay_out(bar, NARROWEST_BEAT).beat_width for bar in range(fill.length)))
    return tuple(lay_out(bar, least) for bar in range(fill.length))


def as_written(setting: Setting) -> Setting:
    """As much of a setting as the notes depend on: layouts are kept by it, and another tempo draws no other notes."""
    return Setting(lead=setting.lead, groove=setting.groove)


def fill_picture(canvas: Surface, look: Look, box: Rect, fill: Fill, setting: Setting, words: Words = ()) -> None:
    """Draw a fill in a box, to be looked at; ``words`` are those shown for words of the count."""
    sheet = fill_sheet(box, fill, as_written(setting), min(look.u(LARGEST_SPACE), fit_height(box)), words)
    for layout, left in zip(sheet.layouts, sheet.lefts, strict=True):
        draw_layout(canvas, look, layout, (left, sheet.line), sheet.space)


def fit_height(box: Rect) -> int:
    """The largest staff space for a picture of that height."""
    # From its highest stem to its sticking a plain fill takes just under twelve staff spaces.
    return max(1, box.h // 12)


@dataclass
class FillStave(Widget):
    """The fill that is written.  ``here`` is the stroke at hand.

    ``go`` moves along by so many strokes, ``raise_`` the stroke (or, with True, its whole beat) up so many drums, and
    ``choose`` goes to a place.
    """

    sheet: FillSheet
    here: FillSpot
    go: Callable[[int], None]
    raise_: Callable[[int, bool], None]
    choose: Callable[[int, int], None]
    focusable: bool = field(default=True, kw_only=True)
    repeats = True

    def ink(self) -> Rect:
        parts = zip(self.sheet.layouts, self.sheet.lefts, strict=True)
        boxes = [extent(layout, left, self.sheet.line, self.sheet.space) for layout, left in parts]
        return boxes[0].unionall(boxes[1:])

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        look.box(canvas, self.sheet.beat(self.here[0]).inflate(-look.u(4), 0), theme.panel, theme.rule, 1.5)
        stroke = self.sheet.stroke(self.here)
        # Under the notes, which are drawn after it: a mark over them would hide them.
        if stroke:
            look.box(canvas, stroke.clip(self.rect), theme.wash, theme.accent, 2)
        for layout, left in zip(self.sheet.layouts, self.sheet.lefts, strict=True):
            draw_layout(canvas, look, layout, (left, self.sheet.line), self.sheet.space)

    def click(self, at: tuple[int, int]) -> None:
        self.choose(*self.sheet.nearest(at[0]))

    def take(self, event: pygame.Event) -> bool:
        name, whole = key_name(event), bool(event.mod & pygame.KMOD_SHIFT)
        if name in ("left", "right"):
            self.go(1 if name == "right" else -1)
        elif name in ("up", "down"):
            self.raise_(1 if name == "up" else -1, whole)
        else:
            return False
        return True
