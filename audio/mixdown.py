"""Mixes a passage into samples: adds the hit of each stroke at its exact sample."""

import numpy as np
from numpy.typing import NDArray

from audio.kit import FULL_SCALE, Bank, Shot
from audio.limiter import BLOCK, limit
from audio.synthesis import RATE
from shared.passages import Passage

CHOKED, CHOKING = "open-hat", frozenset({"open-hat", "closed-hat", "foot-hat"})
"""The instrument that rings until it is choked, and the instruments whose next stroke chokes it."""

CHOKE_SECONDS = 0.03
"""How long an open hi-hat takes to fall silent when it is closed."""

PIECE = 1 << 14
"""How many frames are turned down at a time: as many as the processor's cache holds."""

TimedShot = tuple[int, Shot]
"""The frame a hit starts at, and its sound."""


def mix(passage: Passage, bank: Bank) -> NDArray[np.int16]:
    """The passage as sound: (frames, 2) int16 at 48 kHz, C-contiguous, with the decay of its last hits.

    Time 0 of the passage is frame 0.  The true peak stays below -1 dB of full scale.
    """
    hits = hits_of(passage, bank)
    frames = length_of(passage, hits)
    gain = np.float32(_factor(passage.gain))
    total = _sum(hits, frames)
    total *= gain
    # Limited by the bound and not by the mix itself: so no sample of it has to be looked at a second time.
    limit(total, gain * _bound(hits, frames))
    return np.rint(total, out=total).astype(np.int16)


def mix_unlimited(passage: Passage, bank: Bank) -> NDArray[np.float32]:
    """The plain sum of the hits before the limiter: (frames, 2), full scale 1."""
    hits = hits_of(passage, bank)
    return _sum(hits, length_of(passage, hits)) * np.float32(_factor(passage.gain) / FULL_SCALE)


def at_volume(samples: NDArray[np.int16], decibels: float) -> NDArray[np.int16]:
    """The samples turned down by a volume of 0 dB or less; minus infinity is silence."""
    if decibels > 0:
        raise ValueError(f"volume {decibels:g} dB: choose 0 dB or less")
    if decibels == 0:
        return samples
    quieter, factor = np.empty_like(samples), np.float32(_factor(decibels))
    # Piece by piece: whole minutes as 32-bit floats would take four times the room of the sound itself.
    for start in range(0, samples.shape[0], PIECE):
        piece = slice(start, start + PIECE)
        np.rint(samples[piece] * factor, out=quieter[piece], casting="unsafe")
    return quieter


def hits_of(passage: Passage, bank: Bank) -> list[TimedShot]:
    """The hits of a passage in time order, open hi-hats cut where the hi-hat closes."""
    hits: list[TimedShot] = []
    turns: dict[str, int] = {}
    ringing: int | None = None
    for seconds, stroke in passage.timed:
        start = round(seconds * RATE)
        # A stroke at the same moment does not count: it would cut the open hi-hat before that is heard.
        if ringing is not None and stroke.instrument in CHOKING and start > hits[ringing][0]:
            hits[ringing] = _choked(hits[ringing], start)
            ringing = None
        turn = turns[stroke.instrument] = turns.get(stroke.instrument, -1) + 1
        if stroke.instrument == CHOKED:
            ringing = len(hits)
        hits.append((start, bank.shot(stroke.instrument, stroke.velocity, turn)))
    return hits


def length_of(passage: Passage, hits: list[TimedShot]) -> int:
    """Frames until the bars are over and the last hit has rung out."""
    return max(round(passage.seconds * RATE), *(start + len(shot.samples) for start, shot in hits), 0)


def _choked(hit: TimedShot, end: int) -> TimedShot:
    start, shot = hit
    fall = round(CHOKE_SECONDS * RATE)
    samples = shot.samples[: end - start + fall].copy()
    closing = samples[end - start :]
    ramp = np.linspace(1, 0, fall, dtype=np.float32)[: closing.shape[0], np.newaxis]
    closing[:] = np.rint(closing * ramp**2)
    # The peaks of the uncut hit still bound the cut one, which is nowhere louder.
    return start, Shot(samples, shot.peaks[: samples.shape[0] // BLOCK + 2])


def _sum(hits: list[TimedShot], frames: int) -> NDArray[np.float32]:
    total = np.zeros((frames, 2), np.float32)
    for start, (samples, _) in hits:
        part = total[start : start + samples.shape[0]]
        np.add(part, samples, out=part)
    return total


def _bound(hits: list[TimedShot], frames: int) -> NDArray[np.float32]:
    """An upper bound of the sum's true peak in each block, full scale 1: the sum of the hits' own peaks."""
    total = np.zeros(frames // BLOCK + 3, np.float32)
    for start, (_, peaks) in hits:
        block = start // BLOCK
        total[block : block + peaks.size] += peaks[: total.size - block]
    return total


def _factor(decibels: float) -> float:
    return float(10 ** (decibels / 20))
