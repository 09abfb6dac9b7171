"""An ear for tests: it finds onsets in sound alone and knows nothing of how the sound was made.

A log-spectral flux says that something started; the waveform then says when, to a fraction of a
millisecond.  (Log-flux onset functions: J. P. Bello and others, A tutorial on onset detection in
music signals, 2005.)  An ear may attend to one part of the mix, by its place in the spectrum.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.fft import rfft
from scipy.signal import butter, sosfilt

Floats = NDArray[np.float64]

HOP, WINDOW = 96, 512
"""Frames between two spectra, and frames in one, at 48 kHz: 2 ms and 10.7 ms."""

BANDS, LOWEST_HERTZ = 32, 60.0
LEAST_GAP = 0.030
"""Seconds within which two starts are one."""

LEAST_RISE_DB = 4.0
"""How much the bands must rise, averaged, to make an onset."""


class Part(NamedTuple):
    """What an ear attends to: from ``low`` to ``high`` Hz, and only what lies at most ``floor`` dB (negative) below
    the loudest band there."""

    low: float
    high: float
    floor: float


EVERYTHING = Part(0.0, np.inf, -66.0)
DRUMS = Part(0.0, 900.0, -30.0)
"""Bass drum, snare and toms without the cymbals, which have little so low."""

CYMBALS = Part(12_000.0, np.inf, -15.0)
"""Hi-hat and ride without the drums, which have little so high."""


def find_onsets(samples: NDArray[np.generic], rate: int = 48_000, part: Part = EVERYTHING) -> Floats:
    """The times, in seconds, at which something starts in (frames,) or (frames, channels) samples."""
    sound = _filtered(_mono(samples), rate, part)
    if not sound.any():
        return np.empty(0)
    rise = log_flux(sound, rate, part)
    lead = np.pad(np.diff(sound, prepend=0.0), rate // 10)
    return np.array([_start(lead, rate, place * HOP) / rate for place in _peaks(rise, rate)])


def log_flux(sound: Floats, rate: int, part: Part = EVERYTHING) -> Floats:
    """How many dB the bands rise, averaged, from just before each hop to just after it."""
    lag = WINDOW // HOP
    padded = np.pad(sound.astype(np.float32), WINDOW)
    frames = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP] * np.hanning(WINDOW).astype(np.float32)
    # Real and imaginary parts side by side, in place: with copies an ear of many bars takes a third longer.
    parts = rfft(frames, axis=1).view(np.float32)
    parts *= parts
    power = parts @ np.repeat(_bands(rate, part), 2, axis=0).astype(np.float32)
    level = 10 * np.log10(power + power.max() * np.float32(10 ** (part.floor / 10)))
    # Frame k starts WINDOW samples early, so that entry k compares what begins at k * HOP with what ended there.
    rises: Floats = np.maximum(0, level[lag:] - level[:-lag]).mean(axis=1)
    return rises


def _mono(samples: NDArray[np.generic]) -> Floats:
    sound = samples.astype(np.float64)
    return sound if sound.ndim == 1 else (sound[:, 0] + sound[:, 1]) / 2


def _filtered(sound: Floats, rate: int, part: Part) -> Floats:
    """Only the part of the sound that is attended to, 24 dB an octave; nothing in it comes earlier than before."""
    for edge, kind in ((part.low, "high"), (part.high, "low")):
        if 0 < edge < rate / 2:
            sound = sosfilt(butter(4, edge, kind, fs=rate, output="sos"), sound)
    return sound


def _bands(rate: int, part: Part) -> Floats:
    """Weights (bins, bands) that gather the part's bins into bands of equal width in octaves."""
    hertz = np.fft.rfftfreq(WINDOW, 1 / rate)
    edges = np.geomspace(LOWEST_HERTZ, 0.45 * rate, BANDS + 1)
    place = np.searchsorted(edges, hertz, side="right") - 1
    weights = (place[:, np.newaxis] == np.arange(BANDS)).astype(np.float64)
    outside = (edges[1:] <= part.low) | (edges[:-1] >= part.high)
    weights[:, outside] = 0.0
    return weights[:, weights.any(axis=0)]


def _peaks(rise: Floats, rate: int) -> list[int]:
    """Hops where the rise is the greatest around and great enough."""
    reach = round(LEAST_GAP * rate / HOP)
    around = np.pad(rise, reach, constant_values=-1.0)
    highest = np.lib.stride_tricks.sliding_window_view(around, 2 * reach + 1).max(axis=1)
    return [int(k) for k in np.flatnonzero((rise == highest) & (rise > LEAST_RISE_DB))]


def _start(lead: Floats, rate: int, near: int) -> int:
    """The sample near a flux peak before which there was least and after which there is most.

    ``lead`` has a tenth of a second of nothing before the sound and after it.
    """
    before, after = round(0.003 * rate), round(0.001 * rate)
    first, count = near - round(0.012 * rate), round(0.020 * rate)
    margin = first - before
    around = lead[rate // 10 + margin :][: before + count + after]
    energy = np.concatenate([[0.0], np.cumsum(around**2)])
    ahead = (energy[before + after :][:count] - energy[before:][:count]) / after
    behind = (energy[before:][:count] - energy[:count]) / before
    quiet = 1e-7 * ahead.max() + 1e-12
    best = np.argmax((ahead + quiet) / (behind + quiet) * np.sqrt(ahead))
    return max(0, first + int(best))


BARK_EDGES = (
    20, 100, 200, 300, 400, 510, 630, 770, 920, 1080, 1270, 1480, 1720, 2000, 2320, 2700, 3150, 3700, 4400, 5300,
    6400, 7700, 9500, 12000, 15500,
)  # fmt: skip
"""The edges of the 24 critical bands in Hz: E. Zwicker, Subdivision of the audible frequency range, 1961."""


def power_in_bands(
    sound: Floats, edges: tuple[float, ...] = BARK_EDGES, high_pass: bool = False, rate: int = 48_000
) -> Floats:
    """The power of (frames,) or (frames, channels) between each pair of ``edges`` in Hz.

    ``high_pass`` takes away what small loudspeakers do not play: 200 Hz, 24 dB an octave.
    """
    size = max(8192, 1 << (sound.shape[0] - 1).bit_length())
    hertz = np.fft.rfftfreq(size, 1 / rate)
    power = np.abs(np.fft.rfft(sound, size, axis=0)) ** 2
    power = power if power.ndim == 1 else power.sum(axis=1)
    if high_pass:
        ratio = (hertz / 200.0) ** 8
        power = power * ratio / (1 + ratio)
    band = np.searchsorted(edges, hertz, side="right")
    return np.bincount(band, power, len(edges) + 1)[1:-1]
