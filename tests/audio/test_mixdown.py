"""Mixing: every hit on its exact sample, hits add up, an open hi-hat is cut."""

import tracemalloc
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from audio.kit import Bank
from audio.mixdown import at_volume, hits_of, mix, mix_unlimited
from audio.synthesis import RATE
from shared.bars import METERS
from shared.counting import parse_bar
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from shared.passages import Passage, Stroke
from tests.kits import bank_of

BANK = bank_of()


def passage(*strokes: tuple[int, Fraction, str], tempo: float = 90.0, gain: float = 0.0) -> Passage:
    """One bar of 4/4 with strokes of (beat, place, instrument)."""
    return Passage(
        METERS["4/4"], tempo, 1, 0, tuple(Stroke(0, beat, at, name, 0.8) for beat, at, name in strokes), gain
    )


def test_mix_is_what_the_player_takes() -> None:
    """16-bit stereo, contiguous, the whole bar and its ring-out."""
    sound = mix(passage((4, Fraction(3, 4), "floor-tom")), BANK)
    assert (sound.dtype, sound.ndim, sound.shape[1]) == (np.dtype(np.int16), 2, 2)
    assert sound.flags.c_contiguous
    assert sound.shape[0] > 4 * 60 / 90 * RATE


def test_bar_of_rests_lasts_its_beats() -> None:
    """Silence has a length too."""
    sound = mix(passage(tempo=120), BANK)
    assert sound.shape == (2 * RATE, 2)
    assert not sound.any()


@given(
    tempo=st.floats(20, 400),
    beat=st.integers(1, 4),
    at=st.fractions(0, 1, max_denominator=8).filter(lambda at: at < 1),
    name=st.sampled_from(["snare", "kick", "closed-hat", "floor-tom", "sticks"]),
)
def test_stroke_starts_on_its_sample(tempo: float, beat: int, at: Fraction, name: str) -> None:
    """The first sample of a stroke is at most half a sample from its exact time."""
    bar = passage((beat, at, name), tempo=tempo)
    first = int(np.flatnonzero(mix(bar, BANK).any(axis=1))[0])
    exact = (beat - 1 + at) * 60 / Fraction(tempo) * RATE
    assert abs(first - exact) <= Fraction(1, 2) + Fraction(1, 10**6)


@pytest.mark.parametrize("name", ORCHESTRATIONS)
def test_each_stroke_of_a_bar_is_on_its_sample(name: str) -> None:
    """In a whole arrangement every hit starts on the rounded sample of its exact place."""
    arranged = arrange(parse_bar("1 e a 2 & 3 trip let 4 e & a"), Setting(name, 97.0, 1))
    hits = hits_of(arranged, BANK)
    exact = sorted(float(arranged.position(stroke) * 60 / 97 * RATE) for stroke in arranged.strokes)
    errors = [abs(start - place) for (start, _), place in zip(hits, exact, strict=True)]
    assert max(errors) <= 0.5 + 1e-6


def test_overlapping_hits_add() -> None:
    """Two drums together are the sum of each alone, to the rounding of one step."""
    both = mix(passage((1, Fraction(0), "snare"), (1, Fraction(1, 8), "high-tom")), BANK).astype(int)
    alone = [mix(passage((1, at, name)), BANK) for at, name in ((Fraction(0), "snare"), (Fraction(1, 8), "high-tom"))]
    assert np.abs(both - sum(part.astype(int) for part in alone)).max() <= 1


def test_same_bar_gives_the_same_bits() -> None:
    """A passage and a seed settle every sample."""
    bar = arrange(parse_bar("1 e a 2 & 3 e a 4 & a"), Setting("kick-and-snare", 100, 1, seed=3, feel=1.0))
    assert np.array_equal(mix(bar, Bank("stage", 4)), mix(bar, Bank("stage", 4)))
    assert not np.array_equal(mix(bar, Bank("stage", 4)), mix(bar, Bank("stage", 5)))


def test_gain_is_in_decibels() -> None:
    """The fixed gain of an orchestration scales the mix."""
    quiet = mix_unlimited(passage((1, Fraction(0), "snare"), gain=-20.0), BANK)
    plain = mix_unlimited(passage((1, Fraction(0), "snare")), BANK)
    assert np.allclose(10 * quiet, plain, atol=1e-4)


@pytest.mark.parametrize("closer", ["closed-hat", "foot-hat"])
def test_closing_cuts_the_open_hat(closer: str) -> None:
    """Closed cuts open: a tenth of a second after the hi-hat closes nothing of the open one is left."""
    opened = passage((1, Fraction(0), "open-hat"))
    cut = mix(passage((1, Fraction(0), "open-hat"), (1, Fraction(1, 2), closer)), BANK).astype(float)
    alone = mix(passage((1, Fraction(1, 2), closer)), BANK).astype(float)
    cut[: len(alone)] -= alone[: len(cut)]
    late = round(0.333 * RATE) + RATE // 5
    assert np.abs(mix(opened, BANK)[late : late + 4800]).max() > 30
    assert np.abs(cut[late : late + 4800]).max() < 2


def test_other_drums_let_the_open_hat_ring() -> None:
    """Only the hi-hat itself cuts it."""
    start = round(0.333 * RATE) + RATE // 2
    alone, under = (
        mix(passage((1, Fraction(0), "open-hat"), *more), BANK) for more in ((), ((1, Fraction(1, 2), "snare"),))
    )
    assert np.array_equal(alone[start : start + 4800], under[start : start + 4800])


def test_choke_does_not_touch_the_bank() -> None:
    """A cut hit is a copy: the next open hi-hat rings in full."""
    before = mix(passage((1, Fraction(0), "open-hat")), BANK)
    mix(passage((1, Fraction(0), "open-hat"), (2, Fraction(0), "closed-hat")), BANK)
    assert np.array_equal(before, mix(passage((1, Fraction(0), "open-hat")), BANK))


def test_volume_scales_samples() -> None:
    """Six decibels down is half, full volume is untouched, minus infinity is silence."""
    sound = mix(passage((1, Fraction(0), "snare")), BANK)
    assert at_volume(sound, 0.0) is sound
    assert np.abs(2 * at_volume(sound, -6.0206).astype(int) - sound).max() <= 2
    assert not at_volume(sound, float("-inf")).any()


def test_volume_scales_long_sounds_alike() -> None:
    """Every frame of a long sound is scaled and rounded to the nearest sample, wherever it lies."""
    sound = np.random.default_rng(5).integers(-32768, 32768, (100_001, 2)).astype(np.int16)
    assert np.array_equal(at_volume(sound, -9.0), np.rint(sound * np.float32(10 ** (-9 / 20))))


def test_volume_takes_little_room() -> None:
    """Turning a minute down takes hardly more memory than what comes out of it."""
    sound = np.ones((60 * RATE, 2), np.int16)
    tracemalloc.start()
    at_volume(sound, -9.0)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 1.1 * sound.nbytes


def test_volume_never_amplifies() -> None:
    """A volume over 0 dB would pass the limiter by."""
    with pytest.raises(ValueError, match="volume 3 dB: choose 0 dB or less"):
        at_volume(np.zeros((1, 2), np.int16), 3.0)
