"""Loudness by an independent meter: ITU-R BS.1770-4, as pyloudnorm measures it."""

from collections.abc import Sequence
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
from shared.passages import Passage
from tests.kits import bank_of
from tests.sampling import some

GOAL = -23.0
"""LUFS, the programme loudness of EBU R 128."""

FIGURES = tuple(
    Figure(tuple(Fraction(k, 4) for k in places)) for count in range(5) for places in combinations(range(4), count)
)
METER = pyloudnorm.Meter(48_000)
DRUM_KITS = ("practice", "stage")


def measured(passage: Passage, bank: Bank) -> float:
    """The loudness of a passage in LUFS."""
    return float(METER.integrated_loudness(mix(passage, bank) / 32768.0))


def random_bars(name: str, bars: int) -> list[Passage]:
    """Random bars of an orchestration, the same for each, with their count-in."""
    random, found = Random(5), []
    for seed in range(bars):
        bar = Bar(METERS["4/4"], tuple(random.choice(FIGURES) for _ in range(4)))
        found.append(arrange(bar, Setting(name, random.choice((60, 80, 100, 120)), seed=seed)))
    return found


@cache
def loudness(kit: str, name: str, first: int = 0, last: int = 20) -> tuple[float, ...]:
    """The loudness in LUFS of some of the random bars."""
    return tuple(measured(passage, bank_of(kit)) for passage in random_bars(name, last)[first:])


WHOLE = [pytest.param(kit, 0, 20, marks=pytest.mark.long) for kit in DRUM_KITS]
"""The long run measures more bars on both kits, and one kit against the other."""


# These two bars are of the softest and the loudest.  One way of playing that is off alone is found from 0.87 LU on
# (the mean over the ways; of all twenty bars from 0.67).
@pytest.mark.parametrize(("kit", "first", "last"), [(DRUM_KITS[0], 4, 6), *WHOLE])
def test_orchestrations_are_equally_loud(kit: str, first: int, last: int) -> None:
    """No bar is more than 2 LU from -23 LUFS, and the means of the orchestrations lie within 1.5 LU of each other.

    In one test, since several cores would each measure all of it.
    """
    found = {name: loudness(kit, name, first, last) for name in ORCHESTRATIONS}
    assert max(abs(bar - GOAL) for each in found.values() for bar in each) < 2.0
    assert np.ptp([np.mean(each) for each in found.values()]) < 1.5


@pytest.mark.long
def test_kits_are_equally_loud() -> None:
    """Changing the kit does not change the loudness."""
    means = [np.mean([loudness(kit, name) for name in ORCHESTRATIONS]) for kit in DRUM_KITS]
    assert np.ptp(means) < 1.0


@pytest.mark.parametrize(("name", "groove_bars", "kit"), some(3, list(ORCHESTRATIONS), [1, 3], DRUM_KITS))
def test_groove_bars_keep_the_level(name: str, kit: str, groove_bars: int) -> None:
    """Groove bars before the figure are as loud as the rest, within 2 LU."""
    bar = Bar(METERS["4/4"], (Figure((Fraction(0), Fraction(1, 4), Fraction(3, 4))),) * 4)
    assert abs(measured(arrange(bar, Setting(name, 90, groove_bars)), bank_of(kit)) - GOAL) < 2.0


@pytest.mark.parametrize(
    ("stage", "groove_bars", "kit", "taken"),
    [
        ("stage-5", 0, "stage", (5,)),
        ("stage-7", 0, "practice", (0, 2)),
        *(
            pytest.param(stage, groove_bars, kit, range(6), marks=pytest.mark.long)
            for stage, groove_bars, kit in (
                ("stage-5", 0, "stage"),
                ("stage-5", 2, "practice"),
                ("stage-7", 0, "practice"),
                ("stage-7", 2, "stage"),
                ("stage-8", 0, "stage"),
                ("stage-8", 2, "practice"),
            )
        ),
    ],
)
def test_triplets_and_compound_beats_keep_the_level(
    stage: str, groove_bars: int, kit: str, taken: Sequence[int]
) -> None:
    """The levels of other beats, after a groove or not: bars within 2 LU of the goal, ways of playing within 1.5 LU.

    Accents stand apart from the latter: the more strokes a figure has, the more of them are ghost notes.
    """
    level, bank, random = find_level(stage), bank_of(kit), Random(3)
    bars = [Bar(level.meter, tuple(random.choices(level.figures, k=level.meter.beats))) for _ in range(6)]
    tempi = np.linspace(level.tempo.low, level.tempo.high, len(bars))
    means = []
    for name in ORCHESTRATIONS:
        found = [
            measured(arrange(bars[seed], Setting(name, float(tempi[seed]), groove_bars, seed=seed)), bank)
            for seed in taken
        ]
        assert max(abs(bar - GOAL) for bar in found) < 2.0, name
        if name != "accents":
            means.append(np.mean(found))
    assert np.ptp(means) < 1.5
