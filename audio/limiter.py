"""A limiter that knows its peaks beforehand.

Every one-shot carries the true peaks of its blocks.  Their sum bounds the true peak of the mix, so
the gain that keeps the mix below the ceiling is known without looking at a single sample of it.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

BLOCK = 128
"""Frames in a block."""

OVERSAMPLING = 4
"""As ITU-R BS.1770-4, annex 2, asks of a true-peak meter."""

CEILING = 10 ** (-1.3 / 20)
"""What the bound may reach, full scale 1: -1 dB true peak, less a margin for other meters' filters."""

RECOVERY = 0.9
"""How fast the gain comes back, as a factor a block: about 0.9 dB."""

Peaks = NDArray[np.float32]


def true_peaks(samples: NDArray[np.float32]) -> Peaks:
    """What a sound's true peak stays below in each block it may touch: (blocks + 1, 2).

    ``samples`` (frames, 2), full scale 1.  A sound that starts inside a block spills into one block
    more than it fills, so each entry is the larger of two neighbours.
    """
    blocks = -(-samples.shape[0] // BLOCK)
    padded = np.zeros((blocks * BLOCK, 2), np.float32)
    padded[: samples.shape[0]] = samples
    fine = np.abs(oversampled(padded)).reshape(blocks, BLOCK * OVERSAMPLING, 2).max(axis=1)
    peaks = np.zeros((blocks + 1, 2), np.float32)
    peaks[:-1] = fine
    peaks[1:] = np.maximum(peaks[1:], fine)
    return peaks


def oversampled(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """The sound at four times the rate, by zeros in its spectrum: (4 * frames, 2)."""
    frames = samples.shape[0]
    spectrum = np.fft.rfft(samples, axis=0)
    fine: NDArray[np.float32] = np.fft.irfft(spectrum, OVERSAMPLING * frames, axis=0).astype(np.float32)
    fine *= np.float32(OVERSAMPLING)
    return fine


def gain_at_edges(bound: NDArray[np.float32]) -> NDArray[np.float32]:
    """The gain, as a factor, at the edges of the blocks: one entry more than ``bound`` (peak a block).

    Between edges it runs straight, so that it never exceeds what either block allows; it goes down
    within the block before a peak and comes back at ``RECOVERY``.
    """
    allowed = np.minimum(1, CEILING / np.maximum(bound, CEILING))
    edges = np.minimum(np.append(allowed, 1), np.append(1, allowed))
    slope = -np.log(RECOVERY) * np.arange(edges.size)
    released = np.exp(np.minimum.accumulate(np.log(edges) - slope) + slope)
    gain: NDArray[np.float32] = np.minimum(released, 1).astype(np.float32)
    return gain


def limit(mix: NDArray[np.float32], bound: NDArray[np.float32]) -> None:
    """Bring ``mix`` (frames, 2) under the ceiling in place, touching only what has to be turned down.

    ``bound`` holds, for each block, a value that the true peak of the mix does not exceed, in full
    scales.
    """
    edges = gain_at_edges(bound)
    for first, last in _runs(edges < 1):
        start, stop = max(0, first - 1), min(last + 1, bound.size)
        part = mix[start * BLOCK : stop * BLOCK]
        curve = np.interp(np.arange(part.shape[0]) / BLOCK, np.arange(stop - start + 1), edges[start : stop + 1])
        part *= curve.astype(np.float32)[:, np.newaxis]


def _runs(flags: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """The stretches of true flags, as (first, one past the last)."""
    changes = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(np.int8)))
    return zip(changes[::2].tolist(), changes[1::2].tolist(), strict=True)
