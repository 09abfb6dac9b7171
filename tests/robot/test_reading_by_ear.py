"""Figures can be read from the sound alone, at every tempo of their stage."""

import random

import pytest

from audio.kit import Bank
from audio.mixdown import mix
from shared.bars import Bar
from shared.levels import Level, shipped_levels
from shared.orchestration import Setting, arrange
from tests.robot.ear import figures_heard
from tests.sampling import some

BARS = 6


@pytest.fixture(scope="module")
def bank() -> Bank:
    return Bank("practice")


@pytest.mark.parametrize(
    ("level", "orchestration"),
    some(2, shipped_levels()[:6], ["snare", "down-the-kit"]),
    ids=lambda value: value if isinstance(value, str) else value.name,
)
def test_figures_are_read_by_ear(level: Level, orchestration: str, bank: Bank) -> None:
    """After a count-in every figure of a stage is told from the others by its onset times, slow and fast."""
    draw = random.Random(f"{level.name} {orchestration}")
    beats = level.meter.beats
    rest = draw.choices(level.figures, k=BARS * beats - len(level.figures))
    figures = draw.sample([*level.figures, *rest], BARS * beats)
    for number in range(BARS):
        bar = Bar(level.meter, tuple(figures[number * beats : (number + 1) * beats]))
        tempo = (level.tempo.low, level.tempo.high)[number % 2]
        sound = mix(arrange(bar, Setting(orchestration, tempo, seed=number)), bank)
        assert figures_heard(sound, beats, level.figures) == bar.figures, bar.count
