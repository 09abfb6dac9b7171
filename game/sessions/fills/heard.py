"""A fill as it is heard and written: three bars of groove and the fill, once or over and over."""

from dataclasses import replace

from game.sessions.hearing.hearing import Hearing
from shared.bars import Bar
from shared.charts import Chart
from shared.figures import Figure
from shared.fills import Fill
from shared.orchestration import Setting

TIMES_OVER = 6
"""How often a loop plays groove and fill before it ends by itself: two dozen bars, which are mixed without a wait."""

GROOVE, FILL, SECOND = "Groove", "Fill", "Fill, second bar"
"""The words for what sounds."""


def as_chart(fill: Fill, groove_bars: int) -> Chart:
    """A chart of so many bars of groove and the fill."""
    silent = Bar(fill.meter, (Figure((), fill.meter.compound),) * fill.meter.beats)
    own = tuple(fill.bar(number) for number in range(fill.length))
    return Chart((silent,) * groove_bars + fill.bars, fills=(None,) * groove_bars + own)


def hearing_of(fill: Fill, setting: Setting, times: int = 1) -> Hearing:
    """The bars of groove that the setting asks for and the fill, so many times without a break."""
    once = as_chart(fill, setting.groove_bars)
    chart = Chart(once.bars * times, fills=once.fills * times)
    # With the crash on the 1 after it: by where it lands the ear knows a fill for one.
    passage = chart.arranged(replace(setting, landing=True))
    words = ((GROOVE,) * setting.groove_bars + (FILL, SECOND)[: fill.length]) * times
    return Hearing(passage, (*(("Count-in",) if setting.count_in else ()), *words), loop=times > 1)
