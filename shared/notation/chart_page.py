"""A chart on the page: lines of bars on the five-line staff of the kit, with repeats, dynamics and bar numbers."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from shared.charts import Chart
from shared.notation.engraved import Block, Glyph, Layout, Word, reach
from shared.notation.kit_staff import lay_out_beats
from shared.notation.page import PLAIN, Dress
from shared.notation.parts import KitBeat, beats_of
from shared.notation.spacing import NARROWEST_BEAT
from shared.notation.staves import Signs
from shared.orchestration import Setting

NARROWEST_QUAVER = 3.0
"""The least width of a quaver of groove, in staff spaces."""

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
    chart: Chart, setting: Setting, across: int = 0, dress: Dress = PLAIN, width: float = 0.0,
    numbered: bool = True,
) -> tuple[ChartLine, ...]:  # fmt: skip
    """The lines of a chart of fills, so many bars in each, or a phrase.

    Each begins with a clef, the first with the time signature too.  Beats are made so wide that a line fills
    ``width`` (in staff spaces) where it is narrower.  Only fills are counted under the notes.  Where bars are not
    ``numbered`` each, the first of a line is.
    """
    written, across = _written(chart, setting), across or chart.phrase

    def laid_out(bar: int, first: int, least_beat: float) -> Layout:
        fills, opens = _is_fill(chart, bar), bar == first
        own = replace(
            dress, opening=opens, timed=bar == 0, least_beat=least_beat, count=dress.count and fills,
            hands=dress.hands if fills else None,
        )  # fmt: skip
        return lay_out_beats(written[bar], chart.meter, own, signs_of(chart, bar, opens, numbered))

    # A bar of groove has few notes, and takes less of a line than a fill; all bars of a kind are alike on every line,
    # so that bar lines stand under each other.
    least = {True: NARROWEST_BEAT, False: NARROWEST_QUAVER * (3 if chart.meter.compound else 2)}
    narrow = [laid_out(bar, bars[0], least[_is_fill(chart, bar)]) for bars in chart.systems(across) for bar in bars]
    for bar, layout in enumerate(narrow):
        kind = _is_fill(chart, bar)
        least[kind] = max(least[kind], layout.beat_width)
    # The clef, signs and margins of a line keep their width: what is left of ``width`` is shared among its beats.
    lines = []
    for bars in chart.systems(across):
        ends = sum(narrow[bar].width - narrow[bar].beat_width * chart.meter.beats for bar in bars)
        beats = sum(least[_is_fill(chart, bar)] for bar in bars) * chart.meter.beats
        wider = max(1.0, (width - ends) / beats)
        layouts = (laid_out(bar, bars[0], least[_is_fill(chart, bar)] * wider) for bar in bars)
        lines.append(ChartLine(tuple(bars), tuple(layouts)))
    return tuple(lines)


@lru_cache(maxsize=4)
def _written(chart: Chart, setting: Setting) -> tuple[tuple[KitBeat, ...], ...]:
    """The beats of each bar: worked out once for a chart that is laid out in several widths to find the best."""
    passage = chart.written(setting)
    return tuple(beats_of(passage, bar) for bar in range(len(chart.bars)))


def _is_fill(chart: Chart, bar: int) -> bool:
    return chart.fills[bar] is not None


def signs_of(chart: Chart, bar: int, opens: bool = False, numbered: bool = True) -> Signs:
    """The signs of a bar (from 0) of a chart; ``opens`` tells that it is the first of its line."""
    return Signs(
        number=str(bar + 1) if opens or numbered else "",
        alone=not numbered,
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
    # Beats and columns stay those of the first bar: a picture of the whole is looked at, and nothing is pointed at in
    # it.
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
