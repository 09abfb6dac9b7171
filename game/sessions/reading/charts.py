"""Tasks on a chart: which bar is this, which bar was played otherwise, and where a figure comes, found by ear."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from shared.bars import Bar
from shared.charts import Chart
from shared.counting import Words, as_shown
from shared.figures import Figure
from shared.fills import Fill, FillBeat, FillStroke
from shared.likeness import likeness
from shared.orchestration import Setting
from shared.passages import Passage

EARLIEST = 3
"""The sound never stops before so many bars: the ear must find its way first."""

CHOICES = 4
"""The figures on offer where it is asked what was played."""


@dataclass(frozen=True)
class ChartStep:
    """One thing that is asked: the ``words`` of the question, and the number (from 0) of the right option.

    The options are ``figures`` where there are any, else what stands in ``options``.
    """

    words: str
    options: tuple[str, ...]
    answer: int
    figures: tuple[Figure, ...] = ()


@dataclass(frozen=True)
class ChartQuestion:
    """A chart as it is written and as it is heard, and what is asked of it, one step after another.

    ``stops`` is the number of bars after which the sound stops, None for the end; ``page`` whether the chart is in
    sight.  ``told`` says the answer in a sentence.
    """

    chart: Chart
    heard: Chart
    steps: tuple[ChartStep, ...]
    told: str
    stops: int | None = None
    page: bool = True
    figure: Figure | None = None

    def passage(self, setting: Setting) -> Passage:
        """The sound of it."""
        whole = self.heard.arranged(setting)
        if self.stops is None:
            return whole
        last = whole.figure_bar + self.stops
        return replace(whole, bars=last, strokes=tuple(stroke for stroke in whole.strokes if stroke.bar < last))


def which_bar(chart: Chart, seed: int) -> ChartQuestion:
    """The sound stops at the end of some bar: which one of the page was it?"""
    heard = chart.heard
    stops = Random(f"which bar/{seed}").randint(min(EARLIEST, len(heard)), len(heard))
    answer = heard[stops - 1]
    step = ChartStep("In which bar did it stop?", _numbers(len(chart.bars)), answer)
    return ChartQuestion(chart, chart, (step,), f"It stopped at the end of bar {answer + 1}.", stops)


def otherwise(chart: Chart, figures: Sequence[Figure], seed: int, words: Words = ()) -> ChartQuestion:
    """One bar is played otherwise than written: which, and what was played?

    In a fill one beat has another of ``figures``; in a bar of groove a fill of one beat comes in.  ``words`` are those
    shown for words of the count.
    """
    random = Random(f"otherwise/{seed}")
    place = random.randrange(len(chart.bars))
    fill = chart.fills[place]
    known = tuple(figure for figure in dict.fromkeys(figures) if figure.onsets)
    if fill:
        beat = random.choice(fill.played)
        written = fill.figures[beat]
        played = _another(known, written, random)
        changed = fill.with_figure(beat, played)
    # On the last beat of the bar, where fills stand.
    else:
        beat, written = chart.meter.beats - 1, None
        played = random.choice(known)
        beats = [None] * beat + [FillBeat(played, (FillStroke(),) * len(played.onsets))]
        changed = Fill(chart.meter, tuple(beats))
    choices = _choices(known, played, written, random)
    which = ChartStep("Which bar was played otherwise?", _numbers(len(chart.bars)), place)
    what = ChartStep(f"Bar {place + 1}, beat {beat + 1}: what was played?", (), choices.index(played), choices)
    was = as_shown(played.count_on(beat + 1), words)
    if written:
        stands = as_shown(written.count_on(beat + 1), words)
        told = f"Bar {place + 1}, beat {beat + 1}: {was} was played, {stands} is written."
    else:
        told = f"Bar {place + 1}, beat {beat + 1}: {was} was played, the groove is written."
    return ChartQuestion(chart, _with_fill(chart, place, changed), (which, what), told)


def by_ear(chart: Chart, seed: int) -> ChartQuestion:
    """A figure of the fills is shown and the chart heard without its page: how often, in which bar, on which beat?"""
    places = [
        (number, beat, fill.figures[beat])
        for number, place in enumerate(chart.heard)
        if (fill := chart.fills[place])
        for beat in fill.played
    ]
    random = Random(f"by ear/{seed}")
    # Of more than one stroke, where there is any: a single stroke can't be told from the groove's.
    figures = [figure for _, _, figure in places if figure and len(figure.onsets) > 1]
    figure = random.choice(figures or [figure for _, _, figure in places])
    found = [(number, beat) for number, beat, other in places if other == figure]
    bar, beat = found[0]
    steps = (
        # At least four numbers, so that the options do not tell the answer.
        ChartStep("How often did it come?", _numbers(max(4, len(found))), len(found) - 1),
        ChartStep("In which bar did it come first?", _numbers(len(chart.heard)), bar),
        ChartStep("On which beat was that?", _numbers(chart.meter.beats), beat),
    )
    times = "once" if len(found) == 1 else "twice" if len(found) == 2 else f"{len(found)} times"
    told = f"It came {times}, first in bar {bar + 1} on beat {beat + 1}."
    return ChartQuestion(chart, chart, steps, told, page=False, figure=figure)


def _numbers(count: int) -> tuple[str, ...]:
    return tuple(str(number) for number in range(1, count + 1))


def _another(known: Sequence[Figure], written: Figure | None, random: Random) -> Figure:
    others = [figure for figure in known if figure != written]
    # With no other figure known the same is played again, rather than nothing asked.
    return random.choice(others or list(known))


def _choices(known: Sequence[Figure], played: Figure, written: Figure | None, random: Random) -> tuple[Figure, ...]:
    """The figure played and those most like it, in an order that tells nothing."""
    others = [figure for figure in known if figure not in (played, written)]
    others.sort(key=lambda figure: likeness(figure, played), reverse=True)
    # What is written was not played: it is on offer only where there is nothing else to be wrong.
    if not others and written:
        others = [written]
    found = list(dict.fromkeys([played, *others]))[:CHOICES]
    random.shuffle(found)
    return tuple(found)


def _with_fill(chart: Chart, place: int, fill: Fill) -> Chart:
    bars: list[Bar] = list(chart.bars)
    bars[place] = fill.bars[0]
    fills = tuple(fill if number == place else other for number, other in enumerate(chart.fills))
    return replace(chart, bars=tuple(bars), fills=fills)
