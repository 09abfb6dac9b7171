"""Shows a chart in lines, as large as they fit: the bar that sounds is marked, and bars can be pressed."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from pygame import Rect, Surface

from game.widgets.base import Act, Widget
from game.widgets.look import Look
from game.widgets.moves import Next
from game.widgets.notation import draw_layout, extent
from shared.charts import Chart
from shared.counting import Words
from shared.notation.chart_page import ChartLine, lay_out_chart
from shared.notation.engraved import Layout
from shared.notation.page import Dress
from shared.orchestration import Setting

LARGEST = 12.0
"""The largest staff space of a chart, in units."""

SIGNS = {"right": "tick", "wrong": "cross", "unsure": "query"}
"""The sign of a bar beside its colour, by its tone."""

GAP, UNDER = 14, 11
"""Units between lines at least, and of these the room under a line for the mark of the bar that sounds."""


@dataclass
class ChartBar(Widget):
    """A bar of a chart on its line.

    ``sounds``: it is the one that is heard now; ``beat`` is then the beat at hand, from 0, or None.  ``tone`` signs and
    underlines the bar: nothing, ``right``, ``wrong`` or ``unsure``.  ``chosen``: it is the one that is spoken of.
    """

    layout: Layout
    space: int
    line: int
    sounds: bool
    act: Act | None = None
    beat: int | None = None
    tone: str = ""
    chosen: bool = False
    focusable: bool = field(default=False, kw_only=True)

    def __post_init__(self) -> None:
        # A bar that can't be pressed may lie over what can.
        self.layered = self.act is None

    def press(self) -> Next:
        return self.act() if self.act else None

    def ink(self) -> Rect:
        return extent(self.layout, self.rect.x, self.rect.y + self.line, self.space)

    @property
    def strip(self) -> Rect:
        """The strip under the notes where the mark moves."""
        # More than the line itself, since its dot stands out to every side.
        return Rect(self.rect.x - self.rect.h // 8, self.rect.bottom - self.rect.h // 8,
                    self.rect.w + self.rect.h // 4, self.rect.h // 4)  # fmt: skip

    def mark(self, canvas: Surface, look: Look, beat: int | None) -> None:
        """Mark it as the bar that sounds, and the beat at hand."""
        canvas.fill(look.theme.accent, (self.rect.x, self.rect.bottom - look.u(4), self.rect.w, look.u(4)))
        if beat is not None:
            x = self.rect.x + round(self.layout.column(beat) * self.space)
            look.dot(canvas, (x, self.rect.bottom - look.u(2)), look.u(7), look.theme.accent)

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        if self.chosen:
            look.box(canvas, self.rect, theme.wash)
        if self.tone:
            colour = {"right": theme.accent, "wrong": theme.warn}.get(self.tone, theme.quiet)
            side = look.u(UNDER + 2)
            sign = Rect(self.rect.right - side, self.rect.bottom - side, side, side)
            canvas.fill(colour, (self.rect.x, sign.centery, self.rect.w - side - look.u(4), look.u(3)))
            look.shape(canvas, SIGNS[self.tone], sign, colour)
        if self.sounds:
            self.mark(canvas, look, self.beat)
        draw_layout(canvas, look, self.layout, (self.rect.x, self.rect.y + self.line), self.space)


@dataclass
class ChartMark(Widget):
    """The mark under the bar that sounds of those in its box; ``where`` is asked for bar and beat at each painting.

    It is for pages that must not be laid out anew while it moves.
    """

    bars: Sequence[ChartBar]
    where: Callable[[], tuple[int, int] | None]

    def __post_init__(self) -> None:
        self.layered, self.focusable = True, False

    def paint(self, canvas: Surface, look: Look) -> None:
        if found := self.where():
            bar, beat = found
            self.bars[bar].mark(canvas, look, beat)


@dataclass(frozen=True)
class ChartPlan:
    """How a chart lies in a box: its lines, the staff space in pixels, and the height of each line."""

    lines: tuple[ChartLine, ...]
    space: int
    heights: tuple[int, ...]


@lru_cache(maxsize=16)
def _plan(
    chart: Chart, setting: Setting, size: tuple[int, int], largest: int, gap: int, words: Words
) -> ChartPlan:  # fmt: skip
    plans, dress = [], Dress(words=words)
    # A phrase in a line; half of one where a whole one would be small, or two where a phrase has no halves.
    for across in (chart.phrase, chart.phrase * 2 if chart.phrase % 2 else chart.phrase // 2):
        lines = lay_out_chart(chart, setting, across, dress)
        widest = max(line.width for line in lines)
        high = sum(sum(line.reach) for line in lines)
        space = min(largest, int(size[0] / widest), int((size[1] - gap * len(lines)) / high))
        plans.append((max(1, space), across))
    space, across = max(plans)
    # The last pixel of a line is kept free: the bars are rounded each to whole pixels.
    lines = lay_out_chart(chart, setting, across, dress, (size[0] - 8) / space)
    return ChartPlan(lines, space, tuple(int(sum(line.reach) * space) + 1 for line in lines))


def chart_view(
    look: Look, box: Rect, chart: Chart, setting: Setting, sounds: tuple[int, int | None] | None = None,
    act: Callable[[int], Act] | None = None, tones: dict[int, str] | None = None, words: Words = (),
) -> list[ChartBar]:  # fmt: skip
    """The bars of a chart of fills in a box.

    ``sounds`` is the bar that is heard, from 0, and the beat in it; ``act`` gives what pressing a bar does, where bars
    can be pressed; ``tones`` signs some; ``words`` are those shown for words of the count.
    """
    # Groove and leading hand alone change the notes; without the rest one plan serves at every tempo.
    written = Setting(groove=setting.groove, lead=setting.lead)
    plan = _plan(chart, written, box.size, look.u(LARGEST), look.u(GAP), words)
    used = sum(plan.heights) + look.u(UNDER)
    gap = min(look.u(40), max(look.u(GAP), (box.h - used) // (len(plan.heights) + 1)))
    y = box.y + max(0, (box.h - used - gap * (len(plan.heights) - 1)) // 2)
    found = []
    for line, high in zip(plan.lines, plan.heights, strict=True):
        x = float(box.x)
        for bar, layout in zip(line.bars, line.layouts, strict=True):
            right = x + layout.width * plan.space
            here = sounds is not None and sounds[0] == bar
            rect = Rect(round(x), y, round(right) - round(x), high + look.u(UNDER))
            found.append(
                ChartBar(
                    f"bar {bar + 1}", rect, layout, plan.space,
                    round(line.reach[0] * plan.space), here, act(bar) if act else None,
                    sounds[1] if sounds and here else None, (tones or {}).get(bar, ""), focusable=act is not None,
                )
            )  # fmt: skip
            x = right
        y += high + gap
    return found
