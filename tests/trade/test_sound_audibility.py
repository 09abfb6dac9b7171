"""Every stroke of a figure stands above the rest of the mix where an ear can hear it.

A stroke counts as audible by its second-best critical band (E. Zwicker, 1961), over 60 ms, so that no
single lucky band decides.
"""

from fractions import Fraction
from itertools import combinations
from random import Random

import numpy as np
import pytest

from audio.kit import Bank
from audio.mixdown import hits_of, mix_unlimited
from audio.synthesis import RATE
from shared.bars import METERS, Bar
from shared.figures import Figure
from shared.grooves import GROOVES
from shared.levels import find_level
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from shared.passages import Passage
from tests.kits import bank_of
from tests.listening import BARK_EDGES, power_in_bands
from tests.sampling import some

LEAST_MARGIN = 10.0
"""In dB."""

WINDOW = round(0.060 * RATE)
FIGURES = tuple(
    Figure(tuple(Fraction(k, 4) for k in places)) for count in range(1, 5) for places in combinations(range(4), count)
)
QUIET = power_in_bands(np.random.default_rng(0).standard_normal((WINDOW, 2)) * 10)
"""A noise of -70 dB: what a quiet room leaves to be heard, in sample steps of sixteen bits."""


def margins(passage: Passage, bank: Bank, high_pass: bool) -> list[float]:
    """For each stroke of a figure: dB above the rest of the mix in its second-best critical band."""
    factor = 10 ** (passage.gain / 20)
    mixed = np.pad(mix_unlimited(passage, bank).astype(float) * 32767, ((0, WINDOW), (0, 0)))
    found = []
    for (start, (samples, _)), (_, stroke) in zip(hits_of(passage, bank), passage.timed, strict=True):
        if stroke.figure:
            own = np.zeros((WINDOW, 2))
            own[: min(WINDOW, len(samples))] = samples[:WINDOW] * factor
            rest = mixed[start : start + WINDOW] - own
            ours, others = (power_in_bands(part, BARK_EDGES, high_pass) for part in (own, rest))
            found.append(float(np.sort(10 * np.log10((ours + 1e-9) / (others + QUIET)))[-2]))
    return found


@pytest.mark.parametrize(
    ("name", "kit", "high_pass"), some(3, list(ORCHESTRATIONS), ["practice", "stage"], [False, True])
)
def test_figures_stand_above_the_mix(name: str, kit: str, high_pass: bool) -> None:
    """Every stroke of a figure is at least 10 dB above the rest, at 90 and at 160 a minute."""
    random, bank = Random(9), bank_of(kit)
    for seed in range(6):
        bar = Bar(METERS["4/4"], tuple(random.choice(FIGURES) for _ in range(4)))
        passage = arrange(bar, Setting(name, 160 if seed % 2 else 90, seed=seed))
        assert min(margins(passage, bank, high_pass), default=99.0) >= LEAST_MARGIN, bar.count


@pytest.mark.parametrize(("groove", "kit"), some(4, list(GROOVES), ["practice", "stage"]))
def test_no_groove_covers_a_figure(groove: str, kit: str) -> None:
    """Under the cymbals of every groove, a crash before and a landing after: at least 10 dB, on any loudspeakers."""
    random, bank = Random(4), bank_of(kit)
    for tempo in (90, 160):
        bar = Bar(METERS["4/4"], tuple(random.choice(FIGURES) for _ in range(4)))
        for name in ("kick-and-snare", "fill-2"):
            passage = arrange(bar, Setting(name, tempo, 1, groove=groove, landing=True, opening=True))
            for high_pass in (False, True):
                assert min(margins(passage, bank, high_pass), default=99.0) >= LEAST_MARGIN, (name, bar.count)


@pytest.mark.parametrize(
    ("stage", "kit", "end"), some(3, ["stage-5", "stage-7", "stage-8"], ["practice", "stage"], ["low", "high"])
)
def test_triplets_and_compound_beats_stand_above_the_mix(stage: str, kit: str, end: str) -> None:
    """The same for the levels of other beats at their tempi, after a groove bar, on any loudspeakers."""
    level, bank, random = find_level(stage), bank_of(kit), Random(3)
    for name in ORCHESTRATIONS:
        bar = Bar(level.meter, tuple(random.choices(level.figures, k=level.meter.beats)))
        passage = arrange(bar, Setting(name, getattr(level.tempo, end), groove_bars=1))
        for high_pass in (False, True):
            assert min(margins(passage, bank, high_pass), default=99.0) >= LEAST_MARGIN, (name, bar.count)
