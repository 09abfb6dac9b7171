"""The robot hears a chart, sees its page, and says at which bar the sound stopped: always rightly."""

from math import ceil

import numpy as np
import pytest

from audio.kit import Bank
from audio.mixdown import mix
from audio.synthesis import RATE
from game.sessions.reading.charts import which_bar
from shared.forms import FORMS, drawn
from shared.levels import find_level
from shared.orchestration import Setting
from tests.listening import find_onsets
from tests.robot.ear import beat_of
from tests.sampling import some

LEVELS = ("stage-2", "stage-4", "stage-5")


@pytest.fixture(scope="module")
def bank() -> Bank:
    """A kit to be heard."""
    return Bank()


@pytest.mark.parametrize(("name", "level", "seed"), some(6, list(FORMS), LEVELS, range(4)))
def test_the_bar_is_told_by_ear(name: str, level: str, seed: int, bank: Bank) -> None:
    """Counting the bars that sound after the sticks, and following the repeat signs of the page, gives the bar."""
    played = find_level(level)
    chart = drawn(FORMS[name], played.meter, played.figures, 100, seed)
    question = which_bar(chart, seed)
    sound = mix(question.passage(Setting(tempo=100)), bank)
    onsets = find_onsets(np.asarray(sound))
    beats = chart.meter.beats
    bar = beat_of(onsets[:beats]) * beats
    # The groove plays quavers and a fill at least crotchets: the last stroke lies in the last bar that sounds.
    bars = ceil((onsets[-1] - onsets[0] + 0.01 * bar) / bar) - 1
    assert chart.heard[bars - 1] == question.steps[0].answer
    assert len(sound) / RATE > bars * bar
