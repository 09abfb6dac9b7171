"""A chart: bars in a row over a groove, some beats left out; one piece to be heard and to be written down."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from shared.bars import Bar, Meter
from shared.errors import UserError
from shared.figures import Figure
from shared.orchestration import Setting, arrange
from shared.passages import Passage, Stroke

Spot = tuple[int, int]
"""A bar and a beat in it, both from 0."""


class ChartError(UserError, ValueError):
    """Bars that make no chart."""


@dataclass(frozen=True)
class Chart:
    """Bars of one meter in a row; ``gaps`` are the beats whose figures are left out, where the groove goes on alone."""

    bars: tuple[Bar, ...]
    gaps: frozenset[Spot] = frozenset()

    def __post_init__(self) -> None:
        object.__setattr__(self, "bars", tuple(self.bars))
        object.__setattr__(self, "gaps", frozenset(self.gaps))
        if not self.bars:
            raise ChartError("a chart has at least one bar; found none")
        for number, bar in enumerate(self.bars, 1):
            if bar.meter != self.meter:
                raise ChartError(
                    f"bar {number}: found {bar.meter} in a chart of {self.meter}; write one meter throughout"
                )
        for bar_place, beat in sorted(self.gaps):
            if not (0 <= bar_place < len(self.bars) and 0 <= beat < self.meter.beats):
                raise ChartError(
                    f"gap at bar {bar_place + 1}, beat {beat + 1}: the chart has {len(self.bars)} bars "
                    f"of {self.meter.beats} beats"
                )

    @property
    def meter(self) -> Meter:
        """The meter of every bar."""
        return self.bars[0].meter

    def filled(self, places: Iterable[Spot]) -> "Chart":
        """The chart with some of its gaps filled: their figures sound again."""
        return replace(self, gaps=self.gaps - frozenset(places))

    def figures(self, bar: int) -> tuple[Figure | None, ...]:
        """The figures of a bar (from 0) as they are written; None for a gap."""
        return tuple(None if (bar, beat) in self.gaps else f for beat, f in enumerate(self.bars[bar].figures))

    def systems(self, length: int) -> Iterator[range]:
        """The bars of each line of a page, by their places, so many in a line."""
        if length < 1:
            raise ChartError(f"{length} bars in a line; write at least 1")
        for first in range(0, len(self.bars), length):
            yield range(first, min(first + length, len(self.bars)))

    def arranged(self, setting: Setting) -> Passage:
        """The whole chart as one passage: the figures by the setting, hi-hat and bass drum of the groove under them.

        Its count-in comes once, before the first bar; groove bars of the setting are left out.
        """
        # The groove goes on under the figures already.
        setting = replace(setting, groove_bars=0)
        first = arrange(self._sounding(0), setting)
        groove = tuple(_groove(self.bars[0], setting))
        strokes: dict[tuple[object, ...], Stroke] = {}
        for stroke in first.strokes:
            if stroke.bar < first.figure_bar:
                strokes[_spot(stroke)] = stroke
        for place in range(len(self.bars)):
            # Every bar draws what is random in it anew, and the same each time.
            own = replace(setting, count_in=False, seed=setting.seed + place)
            # Figures come first: where the groove has the same instrument at the same place, the figure's stroke stays.
            for stroke in (*arrange(self._sounding(place), own).strokes, *groove):
                moved = replace(stroke, bar=first.figure_bar + place)
                strokes.setdefault(_spot(moved), moved)
        return Passage(
            meter=self.meter,
            tempo=setting.tempo,
            bars=first.figure_bar + len(self.bars),
            figure_bar=first.figure_bar,
            strokes=tuple(strokes.values()),
            gain=first.gain,
        )

    def _sounding(self, bar: int) -> Bar:
        """A bar with silence in its gaps."""
        silent = Figure((), self.meter.compound)
        return self.bars[bar].with_figures({beat: silent for place, beat in self.gaps if place == bar})


def _groove(bar: Bar, setting: Setting) -> Iterator[Stroke]:
    """A bar of groove without its backbeat, whose snare would be taken for a stroke of the figures."""
    plain = replace(setting, orchestration="snare", count_in=False, groove_bars=1, click=False)
    for stroke in arrange(bar, plain).strokes:
        if stroke.bar == 0 and stroke.instrument != "snare":
            yield stroke


def _spot(stroke: Stroke) -> tuple[object, ...]:
    """What can sound once at a time: an instrument at a place."""
    return stroke.bar, stroke.beat, stroke.at, stroke.instrument
