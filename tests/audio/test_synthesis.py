"""The building blocks of the voices do what their numbers say."""

import numpy as np
import pytest
from scipy.special import jv

from audio.synthesis import (
    LOWEST_ZERO,
    MEMBRANE,
    RATE,
    Noise,
    Partials,
    decay,
    faded,
    fast_size,
    membrane,
    mode_shape,
    noise,
    times,
)  # fmt: skip

T = times(1.0)


def rng() -> np.random.Generator:
    return np.random.default_rng(3)


def test_decay_falls_by_sixty_decibels_in_its_time() -> None:
    """T60 is the time in which a level falls by 60 dB."""
    assert decay(T, 0.5)[round(0.5 * RATE)] == pytest.approx(1e-3, rel=1e-3)


def test_partial_rings_at_its_frequency() -> None:
    """One partial without glide or spread is a sine at its frequency."""
    sound = Partials((440.0,), (1.0,), (5.0,), spread=0.0, scatter=0.0).sound(rng(), 0.8, T)
    assert np.argmax(np.abs(np.fft.rfft(sound))) == 440


def test_glide_starts_high_and_settles() -> None:
    """A struck head starts sharp: the first cycles are shorter than the last ones."""
    sound = Partials((100.0,), (1.0,), (5.0,), glide=0.5, glide_seconds=0.05, spread=0.0).sound(rng(), 0.8, T)
    rises = np.flatnonzero((sound[:-1] <= 0) & (sound[1:] > 0))
    lengths = np.diff(rises) / RATE
    assert lengths[0] < 0.75 * lengths[-1]
    assert 1 / lengths[-1] == pytest.approx(100, rel=0.02)


def test_scatter_keeps_the_energy() -> None:
    """Hits differ in the balance of their partials, not in their energy."""
    partials = Partials((200.0, 310.0, 420.0), (1.0, 0.6, 0.3), (0.5, 0.4, 0.3), scatter=0.3)
    energies = [np.sum(partials.sound(np.random.default_rng(k), 0.8, T) ** 2) for k in range(12)]
    assert np.ptp(10 * np.log10(energies)) < 0.8


@pytest.mark.parametrize(("low", "high"), [(200.0, 900.0), (2500.0, 6000.0), (9500.0, 16000.0)])
def test_noise_lies_in_its_band(low: float, high: float) -> None:
    """Nearly all the power of a steep band lies between its edges, widened by half an octave."""
    band = Noise(low, high, 0.0, 5.0, slope=48)
    power = np.abs(np.fft.rfft(noise(rng(), 0.8, (band,), T))) ** 2
    inside = power[int(low / 1.42) : int(high * 1.42)].sum()
    assert inside / power.sum() > 0.97


def test_noise_level_is_in_decibels() -> None:
    """A band at -20 dB has an effective value of a tenth."""
    sound = noise(rng(), 0.0, (Noise(500, 5000, -20, 20.0),), T) / decay(T, 20.0)
    assert np.sqrt(np.mean(sound**2)) == pytest.approx(0.1, rel=0.1)


def test_noise_without_bands_is_silence() -> None:
    """A voice without noise has none."""
    assert not noise(rng(), 0.8, (), T).any()


@pytest.mark.parametrize("count", [1, 17, 1000, 1537, 4096, 70_000])
def test_fast_size_holds_the_count(count: int) -> None:
    """A transform length is long enough, not twice too long, and has small factors only."""
    size = fast_size(count)
    assert count <= size < max(17, 2 * count)
    while size % 2 == 0:
        size //= 2
    assert size in (1, 3)


def test_faded_sound_ends_in_silence() -> None:
    """The end of a sound does not click."""
    sound = faded(np.ones(7000, np.float32), rise=0.001)
    assert abs(sound[-1]) < 1e-6
    assert sound[3000] == 1.0
    assert 0 < sound[0] < 0.2


@pytest.mark.parametrize("mode", MEMBRANE)
def test_modes_have_their_shapes(mode: tuple[int, int]) -> None:
    """A membrane moves in a mode as the Bessel function of its order says (scipy's), and not at all at the rim."""
    for radius in (0.0, 0.3, 0.7):
        expected = jv(mode[0], radius * LOWEST_ZERO * MEMBRANE[mode])
        assert mode_shape(mode, radius) == pytest.approx(expected, abs=1e-6)
    assert mode_shape(mode, 1.0) == pytest.approx(0, abs=1e-5)


def test_the_place_of_the_strike_changes_the_tone() -> None:
    """Nearer the rim the modes with a still centre come out; the energy of the hit stays."""
    head = membrane(100.0, {(0, 1): (1.0, 0.5), (1, 1): (0.5, 0.5)}, scatter=0.0, spread=0.0, strike=0.3, wander=0.15)
    hits = [head.sound(np.random.default_rng(seed), 0.8, T) for seed in range(12)]
    shares = [np.abs(np.fft.rfft(hit))[[100, 159]] for hit in hits]
    assert np.std([high / low for low, high in shares]) > 0.1
    assert np.ptp([10 * np.log10(np.sum(hit**2)) for hit in hits]) < 0.8


def test_a_band_blooms() -> None:
    """A band with a bloom starts a tenth as strong and is there after three of its time constants."""
    plain, late = (noise(rng(), 0.8, (Noise(500, 5000, 0, 1000.0, bloom=bloom),), T) for bloom in (0.0, 0.02))
    share = np.abs(late) / np.maximum(np.abs(plain), 1e-9)
    assert np.median(share[:50]) < 0.2 * np.median(share[-4800:])
    assert np.median(share[2880:4800]) > 0.9 * np.median(share[-4800:])
