"""The limiter keeps the true peak down and leaves alone what is below it."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.signal import resample_poly

from audio.kit import KITS
from audio.limiter import BLOCK, CEILING, gain_at_edges, limit, true_peaks
from audio.mixdown import mix, mix_unlimited
from shared.bars import METERS
from shared.counting import parse_bar
from shared.instruments import INSTRUMENTS
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from shared.passages import Passage, Stroke
from tests.kits import bank_of
from tests.sampling import some


def true_peak(sound: NDArray[np.float64]) -> float:
    """The peak at four times oversampling, as ITU-R BS.1770-4 annex 2 measures it."""
    return float(np.abs(resample_poly(sound, 4, 1, axis=0)).max())


def decibels(samples: NDArray[np.int16]) -> float:
    return 20 * np.log10(true_peak(samples / 32768.0))


@pytest.mark.parametrize(("name", "kit"), some(9, list(ORCHESTRATIONS), list(KITS)))
def test_true_peak_stays_below_one_decibel(kit: str, name: str) -> None:
    """EBU R 128: at most -1 dB true peak, in the busiest bar of every orchestration."""
    bar = parse_bar("1 e & a 2 e & a 3 e & a 4 e & a")
    bank = bank_of(kit)
    assert all(decibels(mix(arrange(bar, Setting(name, tempo, 1, click=True)), bank)) < -1.0 for tempo in (60, 160))


def test_everything_at_once_does_not_clip() -> None:
    """All instruments struck as hard as possible on one sample, and 12 dB louder, stay under the ceiling."""
    strokes = tuple(Stroke(0, 1, Fraction(0), name, 1.0) for name in INSTRUMENTS)
    crash = Passage(METERS["4/4"], 120, 1, 0, strokes, gain=12.0)
    assert np.abs(mix_unlimited(crash, bank_of())).max() > 2
    assert decibels(mix(crash, bank_of())) < -1.0


def test_quiet_sound_is_untouched() -> None:
    """Below the ceiling the limiter is no effect at all."""
    quiet = Passage(METERS["4/4"], 120, 1, 0, (Stroke(0, 1, Fraction(0), "snare", 0.5),))
    assert np.array_equal(mix(quiet, bank_of()), np.rint(mix_unlimited(quiet, bank_of()) * 32767))


@given(st.integers(0, 2**32 - 1), st.floats(0.01, 20.0))
@settings(max_examples=25)
def test_peaks_bound_the_true_peak(seed: int, level: float) -> None:
    """Whatever the sound, no block's true peak exceeds its bound by more than other filters differ."""
    sound = (np.random.default_rng(seed).standard_normal((5 * BLOCK + 31, 2)) * level).astype(np.float32)
    smooth = np.apply_along_axis(np.convolve, 0, sound, np.hanning(9) / 4, "same").astype(np.float32)
    bound = true_peaks(smooth)
    fine = np.abs(resample_poly(smooth.astype(float), 4, 1, axis=0)).max(axis=1)
    for block in range(5):
        assert fine[4 * block * BLOCK : 4 * (block + 1) * BLOCK].max() <= 1.03 * bound[block]


@given(st.lists(st.floats(0, 8, width=32), min_size=1, max_size=40))
def test_gain_obeys_every_block(peaks: list[float]) -> None:
    """At both edges of a block, and so in between, the gain is what its peak allows or less."""
    bound = np.array(peaks, np.float32)
    gain = gain_at_edges(bound)
    assert gain.size == bound.size + 1
    assert np.all(gain <= 1)
    assert np.all(np.maximum(gain[:-1], gain[1:]) * bound <= np.maximum(bound, CEILING) * 1.00001)
    assert np.all(np.maximum(gain[:-1], gain[1:])[bound > CEILING] * bound[bound > CEILING] <= CEILING * 1.00001)


@given(st.lists(st.floats(0, 4, width=32), min_size=3, max_size=30))
def test_limited_blocks_stay_below_the_ceiling(peaks: list[float]) -> None:
    """Full blocks of constant level come out below the ceiling, and quiet stretches come out as they were."""
    bound = np.array(peaks, np.float32)
    sound = np.repeat(bound, BLOCK)[:, np.newaxis] * np.ones(2, np.float32)
    limited = sound.copy()
    limit(limited, bound)
    assert np.abs(limited).max(initial=0) <= CEILING * 1.0001
    if bound.max() <= CEILING:
        assert np.array_equal(limited, sound)
