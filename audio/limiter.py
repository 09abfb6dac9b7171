"""A peak limiter for mixes of one-shots whose peaks are known beforehand.

Every one-shot carries the true peaks of its blocks.  Their sum bounds the true peak of the mix, so
the gain that keeps the mix below the ceiling is known without looking at a single sample of it.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

BLOCK = 128
"""Frames in a block."""

TAPS = 12
"""Taps of each phase of the interpolating filter, as in ITU-R BS.1770-4, annex 2."""


def _phases() -> NDArray[np.float32]:
    """The filter for the three points that divide the gap between two frames in four: (3, taps)."""
    offsets = np.arange(1, TAPS + 1) - TAPS // 2 - np.array([[0.25], [0.5], [0.75]])
    # A sinc under a Hann window, of the standard's length; its own taps differ a little, for which ``CEILING`` has a
    # margin.
    window = np.cos(np.pi * offsets / (TAPS + 1)) ** 2
    taps = np.sinc(offsets) * window
    phases: NDArray[np.float32] = (taps / taps.sum(axis=1, keepdims=True)).astype(np.float32)
    return phases


PHASES = _phases()

RAMP = np.repeat(np.arange(BLOCK, dtype=np.float32) / np.float32(BLOCK), 2)
"""The way through a block, from 0 to 1, for each of its samples left and right."""

# EBU R 128 allows -1 dB of true peak.
CEILING = 10 ** (-1.3 / 20)
"""The highest that the bound may reach, full scale 1: -1 dB true peak, less a margin for other meters' filters."""

RECOVERY = 0.98
"""How fast the gain comes back, as a factor a block: some 4 dB in 60 ms, slow beside the lowest drum."""

Peaks = NDArray[np.float32]


def true_peaks(samples: NDArray[np.float32]) -> Peaks:
    """An upper bound of a sound's true peak in each block that it may touch: (blocks + 1,).

    ``samples`` (frames, 2), full scale 1.  A sound that starts inside a block spills into one block
    more than it fills, so each entry is the larger of two neighbours.
    """
    blocks = -(-(samples.shape[0] + TAPS) // BLOCK)
    padded = np.zeros((blocks * BLOCK + TAPS, 2), np.float32)
    padded[TAPS // 2 :][: samples.shape[0]] = samples
    fine = np.zeros(blocks + 2, np.float32)
    fine[1:-1] = _between(padded).reshape(blocks, -1).max(axis=1)
    peaks: Peaks = np.maximum(fine[1:], fine[:-1])
    return peaks


def _between(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """The peak of the signal near each frame, between the samples too: (frames, 2).

    It looks at the frame and, by interpolation, at the three quarter steps after it.  ``samples`` has ``TAPS`` frames
    more than the result: the neighbours that the interpolation needs.
    """
    frames = samples.shape[0] - TAPS
    highest = np.abs(samples[TAPS // 2 :][:frames])
    phase, share = np.empty_like(highest), np.empty_like(highest)
    for taps in PHASES:
        phase.fill(0)
        for place, weight in enumerate(taps, 1):
            phase += np.multiply(samples[place:][:frames], weight, out=share)
        np.maximum(highest, np.abs(phase, out=phase), out=highest)
    return highest


def gain_at_edges(bound: NDArray[np.float32]) -> NDArray[np.float32]:
    """The gain, as a factor, at the edges of the blocks: one entry more than ``bound`` (peak a block).

    Between edges it runs straight, so that it never exceeds what either block allows; it goes down
    within the block before a peak and comes back at ``RECOVERY``.
    """
    # Of a bound below the ceiling nothing is asked: the gain never exceeds 1, and silence divides by no zero.
    allowed = np.minimum(1, CEILING / np.maximum(bound, CEILING))
    edges = np.minimum(np.append(allowed, 1), np.append(1, allowed))
    # "Rises by no more than RECOVERY a block" becomes "never rises" once the slope is taken off: a running minimum.
    slope = -np.log(RECOVERY) * np.arange(edges.size)
    released = np.exp(np.minimum.accumulate(np.log(edges) - slope) + slope)
    gain: NDArray[np.float32] = np.minimum(released, 1).astype(np.float32)
    return gain


def limit(mix: NDArray[np.float32], bound: NDArray[np.float32]) -> None:
    """Bring ``mix``, (frames, 2) and contiguous, under the ceiling in place, touching only what has to be turned down.

    ``bound`` holds, for each block, a value that the true peak of the mix does not exceed, in full
    scales.
    """
    edges = gain_at_edges(bound)
    flat = mix.reshape(-1)
    for first, last in _runs(edges < 1):
        # The gain at an edge reaches into the blocks on both sides of it.
        start, stop = max(0, first - 1), min(last, bound.size)
        part = flat[2 * BLOCK * start : 2 * BLOCK * stop]
        curve = edges[start:stop, np.newaxis] + np.diff(edges[start : stop + 1])[:, np.newaxis] * RAMP
        part *= curve.reshape(-1)[: part.size]


def _runs(flags: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """The stretches of true flags, as (first, one past the last)."""
    changes = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(np.int8)))
    return zip(changes[::2].tolist(), changes[1::2].tolist(), strict=True)
