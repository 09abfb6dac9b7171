"""A round as one piece of music: its bars in a row over a groove, the beats that were missed left out."""

from collections.abc import Sequence

from game.sessions.practice.round import BarResult
from shared.bars import Bar
from shared.charts import Chart
from shared.figures import Figure
from shared.orchestration import ORCHESTRATIONS


def piece(results: Sequence[BarResult]) -> Chart:
    """The chart of some answered bars, in order.  Raises ``ChartError`` where there are none."""
    gaps = {(number, place) for number, result in enumerate(results) for place, _, _ in result.wrong()}
    return Chart(tuple(_bar(result) for result in results), frozenset(gaps))


def _bar(result: BarResult) -> Bar:
    """A bar with its figures alone: where a fill only had the groove, the groove is under it anyway."""
    bar = result.question.bar
    figures = ORCHESTRATIONS[result.question.setting.orchestration].asked(bar.meter)
    silent = Figure((), bar.meter.compound)
    return bar.with_figures({beat: silent for beat in range(bar.meter.beats) if beat not in figures})
