"""Ways to hear a question: the bar, slower, one beat of it alone, and the bar as it was answered."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from shared.bars import Bar, meter_for
from shared.figures import Figure
from shared.orchestration import Setting, arrange
from shared.passages import Passage, Stroke

SLOW = 0.7
"""The share of the tempo at which a bar is heard slowly."""

LEAD_IN = 2
"""How many beats of sticks come before a beat that is heard alone."""


def slowly(bar: Bar, setting: Setting) -> Passage:
    """The bar at ``SLOW`` times its tempo: played slower, not stretched."""
    return arrange(bar, setting.slower(SLOW))


def as_answered(bar: Bar, said: Mapping[int, Figure | None]) -> Bar:
    """The bar as it was answered: ``said`` by place in the bar, from 0; a beat that was skipped is silent."""
    silent = Figure((), bar.meter.compound)
    return bar.with_figures({place: silent if figure is None else figure for place, figure in said.items()})


def beat_alone(passage: Passage, beat: int) -> Passage:
    """One beat (from 1) of the passage's figures, with sticks on the beats before and on the one after.

    Without a pulse around it a figure could be any of several.
    """
    strokes = [
        replace(stroke, bar=0, beat=LEAD_IN + 1)
        for stroke in passage.strokes
        if stroke.bar == passage.figure_bar and stroke.beat == beat and stroke.instrument != "click"
    ]
    pulse = [Stroke(0, place, Fraction(0), "sticks", 0.8) for place in (*range(1, LEAD_IN + 1), LEAD_IN + 2)]
    meter = meter_for(LEAD_IN + 2, passage.meter.compound)
    return replace(passage, meter=meter, bars=1, figure_bar=0, strokes=(*pulse, *strokes))
