"""Loudness by an independent meter: ITU-R BS.1770-4, as pyloudnorm measures it."""

from fractions import Fraction
from functools import cache
from itertools import combinations
from random import Random

import numpy as np
import pyloudnorm
import pytest

from audio.kit import Bank
from audio.mixdown import mix
from shared.bars import METERS, Bar
from shared.figures import Figure
from shared.levels import find_level
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from tests.sampling import some

GOAL = -23.0
"""LUFS, the programme loudness of EBU R 128."""

FIGURES = tuple(
    Figure(tuple(Fraction(k, 4) for k in places)) for count in range(5) for places in combinations(range(4), count)
)
METER = pyloudnorm.Meter(48_000)
DRUM_KITS = ("practice", "stage")


@cache
def loudness(kit: str, name: str, bars: int = 20) -> tuple[float, ...]:
    """The loudness in LUFS of random bars of an orchestration, each with its count-in."""
    random, bank = Random(5), Bank(kit)
    found = []
    for seed in range(bars):
        bar = Bar(METERS["4/4"], tuple(random.choice(FIGURES) for _ in range(4)))
        passage = arrange(bar, Setting(name, random.choice((60, 80, 100, 120)), seed=seed))
        found.append(float(METER.integrated_loudness(mix(passage, bank) / 32768.0)))
    return tuple(found)


WHOLE = [pytest.param(kit, 20, marks=pytest.mark.long) for kit in DRUM_KITS]
"""The suite measures some bars on one kit, the long run more on both, and one against the other."""


@pytest.mark.parametrize(("kit", "bars"), [(DRUM_KITS[0], 8), *WHOLE])
def test_orchestrations_are_equally_loud(kit: str, bars: int) -> None:
    """No bar is more than 2 LU from -23 LUFS, and the means of the orchestrations lie within 1.5 LU of each other.

    In one test, since several cores would each measure all of it.
    """
    found = {name: loudness(kit, name, bars) for name in ORCHESTRATIONS}
    assert max(abs(bar - GOAL) for each in found.values() for bar in each) < 2.0
    assert np.ptp([np.mean(each) for each in found.values()]) < 1.5


@pytest.mark.long
def test_kits_are_equally_loud() -> None:
    """Changing the kit does not change the loudness."""
    means = [np.mean([loudness(kit, name) for name in ORCHESTRATIONS]) for kit in DRUM_KITS]
    assert np.ptp(means) < 1.0


@pytest.mark.parametrize(("groove_bars", "kit"), some(2, [1, 3], DRUM_KITS))
def test_groove_bars_keep_the_level(kit: str, groove_bars: int) -> None:
    """Groove bars before the figure are as loud as the rest, within 2 LU."""
    bar = Bar(METERS["4/4"], (Figure((Fraction(0), Fraction(1, 4), Fraction(3, 4))),) * 4)
    for name in ORCHESTRATIONS:
        passage = arrange(bar, Setting(name, 90, groove_bars))
        assert abs(METER.integrated_loudness(mix(passage, Bank(kit)) / 32768.0) - GOAL) < 2.0


@pytest.mark.parametrize(
    ("stage", "groove_bars", "kit"),
    [
        ("stage-5", 0, "stage"),
        pytest.param("stage-5", 2, "practice", marks=pytest.mark.long),
        ("stage-7", 0, "practice"),
        pytest.param("stage-7", 2, "stage", marks=pytest.mark.long),
        pytest.param("stage-8", 0, "stage", marks=pytest.mark.long),
        pytest.param("stage-8", 2, "practice", marks=pytest.mark.long),
    ],
)
def test_triplets_and_compound_beats_keep_the_level(stage: str, groove_bars: int, kit: str) -> None:
    """The levels of other beats, after a groove or not: bars within 2 LU of the goal, ways of playing within 1.5 LU.

    Accents stand apart from the latter: the more strokes a figure has, the more of them are ghost notes.
    """
    level, bank, random = find_level(stage), Bank(kit), Random(3)
    bars = [Bar(level.meter, tuple(random.choices(level.figures, k=level.meter.beats))) for _ in range(6)]
    tempi = np.linspace(level.tempo.low, level.tempo.high, len(bars))
    means = []
    for name in ORCHESTRATIONS:
        passages = [
            arrange(bar, Setting(name, float(tempo), groove_bars, seed=seed))
            for seed, (bar, tempo) in enumerate(zip(bars, tempi, strict=True))
        ]
        found = [METER.integrated_loudness(mix(passage, bank) / 32768.0) for passage in passages]
        assert max(abs(bar - GOAL) for bar in found) < 2.0, name
        if name != "accents":
            means.append(np.mean(found))
    assert np.ptp(means) < 1.5
