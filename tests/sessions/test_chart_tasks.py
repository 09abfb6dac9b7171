"""Tasks on a chart: what sounds is what is asked, each answer is right, and nothing else differs."""

import pytest

from game.sessions.reading.charts import by_ear, otherwise, which_bar
from shared.forms import FORMS, drawn
from shared.levels import find_level
from shared.orchestration import Setting

LEVEL = find_level("stage-4")
SETTING = Setting(tempo=80)
CASES = [(name, seed) for name in FORMS for seed in range(6)]


def chart_of(name: str, seed: int):
    return drawn(FORMS[name], LEVEL.meter, LEVEL.figures, 70, seed)


@pytest.mark.parametrize(("name", "seed"), CASES)
def test_the_sound_stops_at_the_bar_that_is_asked(name: str, seed: int) -> None:
    """What is heard are the chart's first bars as they are, and the last one is the answer."""
    chart = chart_of(name, seed)
    question = which_bar(chart, seed)
    assert question.stops is not None
    heard, whole = question.passage(SETTING), chart.arranged(SETTING)
    assert heard.strokes == tuple(stroke for stroke in whole.strokes if stroke.bar <= question.stops)
    assert question.steps[0].answer == chart.heard[question.stops - 1]


@pytest.mark.parametrize(("name", "seed"), CASES)
def test_one_beat_of_one_bar_is_otherwise(name: str, seed: int) -> None:
    """Exactly one bar differs from the page, on one beat, which holds the figure that is the answer."""
    chart = chart_of(name, seed)
    question = otherwise(chart, LEVEL.figures, seed)
    which, what = question.steps
    changed = [
        place for place, (one, other) in enumerate(zip(chart.fills, question.heard.fills, strict=True)) if one != other
    ]
    assert changed == [which.answer]
    before, after = chart.fills[which.answer], question.heard.fills[which.answer]
    assert after is not None
    old = before.figures if before else (None,) * chart.meter.beats
    (beat,) = [k for k, (one, other) in enumerate(zip(old, after.figures, strict=True)) if one != other]
    assert after.figures[beat] == what.figures[what.answer]
    assert len(set(what.figures)) == len(what.figures) > 1
    assert old[beat] not in what.figures
    assert f"{what.figures[what.answer].count_on(beat + 1)} was played" in question.told
    assert f"beat {beat + 1}" in what.words


@pytest.mark.parametrize(("name", "seed"), CASES)
def test_where_a_figure_comes_is_counted_as_it_is_heard(name: str, seed: int) -> None:
    """How often, in which bar first and on which beat: as the strokes of the sound say it."""
    chart = chart_of(name, seed)
    question = by_ear(chart, seed)
    assert not question.page
    assert question.figure is not None
    passage = chart.arranged(SETTING)
    places = []
    for bar in range(len(chart.heard)):
        for beat in range(chart.meter.beats):
            onsets = tuple(s.at for s in passage.strokes if s.figure and (s.bar - 1, s.beat - 1) == (bar, beat))
            if onsets == question.figure.onsets:
                places.append((bar, beat))
    often, first, on = (step.answer for step in question.steps)
    assert (often + 1, (first, on)) == (len(places), places[0])
