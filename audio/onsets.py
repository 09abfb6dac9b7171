"""Onset detection: finds the strokes in a sound, where many frequencies rise at once.

Spectral flux of logarithmic magnitudes with an adaptive threshold (after Böck, Krebs and Schedl, ISMIR 2012); the
widths and thresholds were chosen on recorded hits of acoustic kits.
"""

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from audio.synthesis import RATE, Samples

WINDOW, HOP, LAG = 512, 128, 2
"""Samples in a frame, from frame to frame, and frames back to the one that it is compared with."""

COMPRESSION = 300.0
"""The factor on magnitudes in log(1 + factor * magnitude): below 1/300 of full scale they count nearly linearly."""

FLOOR, OVER_MEDIAN, OF_STRONG = 0.03, 1.7, 0.12
"""A peak exceeds FLOOR + OVER_MEDIAN times the median flux around it, and OF_STRONG times the flux of strong peaks."""

ALONE, AROUND, APART = 0.020, 0.100, 0.050
"""In seconds: how far to each side a peak must be the highest, and the median reaches; the least gap of two peaks."""

LATE = 0.0014
"""How long after a stroke's beginning the peak of the flux lies, in seconds."""

CHUNK = 4096
"""Frames worked on at a time, so that ten minutes need little memory."""

SILENCE = 0.001
"""The peak, of full scale, below which a sound is silent: -60 dB."""


@dataclass(frozen=True)
class Onset:
    """A sudden rise: ``seconds`` from the start of the sound, and ``strength``, 1 for the strongest of them."""

    seconds: float
    strength: float


def onsets(samples: Samples) -> tuple[Onset, ...]:
    """The strokes of a mono sound at 48 kHz, in order."""
    flux = _flux(samples)
    if not flux.size:
        return ()
    frames = _peaks(flux)
    if not frames.size:
        return ()
    strengths = flux[frames]
    # Not the strongest of all: one crash would make every soft stroke look like noise.
    strong = np.quantile(strengths, 0.9)
    kept = frames[strengths > OF_STRONG * strong]
    kept = _spaced(kept, flux)
    # A frame is told by its middle, half a window in; with the silence before the sound that makes one window to take
    # off.
    seconds = (_parabola(kept, flux) * HOP - WINDOW) / RATE - LATE
    # Strengths as shares of the strongest, which is all that a recording of unknown loudness can tell.
    top = float(flux[kept].max())
    return tuple(
        Onset(max(0.0, float(second)), float(flux[frame]) / top) for second, frame in zip(seconds, kept, strict=True)
    )


def _flux(samples: Samples) -> Samples:
    """The mean rise of the log spectrum, frame by frame; the sound is first brought to full scale."""
    peak = float(np.abs(samples).max(initial=0.0))
    if peak < SILENCE:
        return np.zeros(0, np.float32)
    # Silence first, so that a stroke on the very first sample has something to rise from.
    ahead, after = np.zeros(WINDOW + WINDOW // 2, np.float32), np.zeros(WINDOW, np.float32)
    padded = np.concatenate([ahead, samples / peak, after])
    frames = sliding_window_view(padded, WINDOW)[::HOP]
    # The periodic form of the Hann window, which spectra ask for; numpy's own is the symmetric one.
    window = np.hanning(WINDOW + 1)[:-1].astype(np.float32)
    flux = np.zeros(len(frames), np.float32)
    for first in range(0, len(frames), CHUNK):
        part = frames[max(0, first - LAG) : first + CHUNK]
        spectra = np.log1p(COMPRESSION * np.abs(np.fft.rfft(part * window)).astype(np.float32) * (2 / WINDOW))
        rises = np.maximum(spectra[LAG:] - spectra[:-LAG], 0).mean(1)
        end = max(0, first - LAG) + LAG
        flux[end : end + len(rises)] = rises
    return flux


def _peaks(flux: Samples) -> NDArray[np.intp]:
    """The frames where the flux is the highest about, and stands out."""
    near, wide = round(ALONE * RATE / HOP), round(AROUND * RATE / HOP)
    high = sliding_window_view(np.pad(flux, near), 2 * near + 1).max(1)
    candidates = np.flatnonzero((flux >= high) & (flux > FLOOR))
    around = sliding_window_view(np.pad(flux, wide), 2 * wide + 1)
    medians = np.median(around[candidates], axis=1)
    return candidates[flux[candidates] > FLOOR + OVER_MEDIAN * medians]


def _spaced(frames: NDArray[np.intp], flux: Samples) -> NDArray[np.intp]:
    """The peaks without those that come too soon after another; of two, a much stronger later one stays."""
    kept: list[int] = []
    for frame in frames.tolist():
        if not kept or (frame - kept[-1]) * HOP / RATE >= APART:
            kept.append(frame)
        elif flux[frame] > 2 * flux[kept[-1]]:
            kept[-1] = frame
    return np.array(kept, np.intp)


def _parabola(frames: NDArray[np.intp], flux: Samples) -> NDArray[np.float64]:
    """The tops of parabolas through each peak and its neighbours, in frames."""
    padded = np.pad(flux, 1).astype(np.float64)
    left, top, right = padded[frames], padded[frames + 1], padded[frames + 2]
    # A flat top (bend 0) has no parabola through it: it stays at its frame.
    bend = left - 2 * top + right
    return frames.astype(np.float64) + np.where(bend < 0, (left - right) / (2 * np.where(bend < 0, bend, 1)), 0.0)
