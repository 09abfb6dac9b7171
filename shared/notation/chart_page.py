"""A chart on the page: lines of bars on the five-line staff of the kit, with repeats, dynamics and bar numbers."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from shared.charts import Chart
from shared.notation.engraved import Block, Glyph, Layout, Word, reach
from shared.notation.kit_staff import lay_out_kit
from shared.notation.page import PLAIN, Dress
from shared.notation.spacing import NARROWEST_BEAT
from shared.notation.staves import Signs
from shared.orchestration import Setting

ACROSS = 4
"""The bars of a line: a phrase."""

LINE_GAP = 1.5
"""From the lowest ink of a line to the highest of the next, in staff spaces."""


@dataclass(frozen=True)
class ChartLine:
    """A line of a chart: its bars by their places from 0, and the layout of each, all on one staff."""

    bars: tuple[int, ...]
    layouts: tuple[Layout, ...]

    @property
    def width(self) -> float:
        """How wide the line is, in staff spaces."""
        return sum(layout.width for layout in self.layouts)

    @property
    def reach(self) -> tuple[float, float]:
        """How far its ink reaches above and below the middle line."""
        return reach(self.layouts)


def lay_out_chart(
    chart: Chart, setting: Setting, across: int = ACROSS, dress: Dress = PLAIN, width: float = 0.0
) -> tuple[ChartLine, ...]:
    """The lines of a chart of fills, so many bars in each.

    Each begins with a clef, the first with the time signature too.  Beats are made so wide that a line fills
    ``width`` (in staff spaces) where it is narrower.  Only fills are counted under the notes.
    """
    passage = chart.written(setting)

    def laid_out(bars: range, least_beat: float) -> ChartLine:
        layouts = []
        for bar in bars:
            own = replace(
                dress, opening=bar == bars[0], timed=bar == 0, least_beat=least_beat,
                count=dress.count and chart.fills[bar] is not None,
                hands=dress.hands if chart.fills[bar] is not None else None,
            )  # fmt: skip
            layouts.append(lay_out_kit(passage, own, bar, signs_of(chart, bar, bar == bars[0])))
        return ChartLine(tuple(bars), tuple(layouts))

    lines = []
    for bars in chart.systems(across):
        narrow = laid_out(bars, NARROWEST_BEAT)
        beat = max(layout.beat_width for layout in narrow.layouts)
        beats = len(bars) * chart.meter.beats
        ends = sum(layout.width - layout.beat_width * chart.meter.beats for layout in narrow.layouts)
        lines.append(laid_out(bars, max(beat, (width - ends) / beats)))
    return tuple(lines)


def signs_of(chart: Chart, bar: int, opens: bool = False) -> Signs:
    """The signs of a bar (from 0) of a chart; ``opens`` tells that it is the first of its line."""
    return Signs(
        number=str(bar + 1),
        begins=any(first == bar for first, _ in chart.repeats),
        ends=any(last == bar for _, last in chart.repeats),
        final=bar == len(chart.bars) - 1,
        dynamic=dict(chart.dynamics).get(bar, ""),
        # The first bar of a line is written out: nobody must look for it on the line above.
        like_before=chart.same_as_before(bar) and not opens,
    )


def on_one_page(lines: Iterable[ChartLine]) -> Layout:
    """Lines one below the other as one layout, for a picture."""
    lines = tuple(lines)
    glyphs: list[Glyph] = []
    blocks: list[Block] = []
    words: list[Word] = []
    first, y = lines[0].layouts[0], 0.0
    for number, line in enumerate(lines):
        above, below = line.reach
        y += above + LINE_GAP if number else 0.0
        x = 0.0
        for layout in line.layouts:
            glyphs += (one._replace(x=one.x + x, y=one.y + y) for one in layout.glyphs)
            blocks += (one._replace(x=one.x + x, y=one.y + y) for one in layout.blocks)
            words += (one._replace(x=one.x + x, y=one.y + y) for one in layout.words)
            x += layout.width
        y += below
    return replace(
        first,
        width=max(line.width for line in lines),
        top=-lines[0].reach[0],
        bottom=y,
        glyphs=tuple(glyphs),
        blocks=tuple(blocks),
        words=tuple(words),
        label=" / ".join(layout.label for line in lines for layout in line.layouts),
    )
