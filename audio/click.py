"""Finds a metronome click in a recording, learns its waveform from the count-in and subtracts it.

It is subtracted because leaving out every onset near a click would lose each stroke that is well on the beat.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audio.synthesis import RATE, Samples

CLICK_SECONDS, SEARCH_SECONDS = 0.25, 0.004
"""The length of a click, and how far to each side of its expected place it is searched for."""

LEAST_LIKENESS = 0.4
"""The least normalised correlation of a click with its model, which is 1 for the same waveform."""


def without(samples: Samples, clicks: Sequence[Samples], found: Sequence[tuple[int, float]]) -> Samples:
    """A sound less some clicks; ``found`` has place and likeness of each, as ``best_place`` gives them."""
    rest = samples.copy()
    for click, (at, likeness) in zip(clicks, found, strict=True):
        # Half the likeness will do: a stroke on the click makes it less like itself.
        if likeness > LEAST_LIKENESS / 2:
            part = rest[at : at + len(click)]
            # A click's level that comes out far from 1 was measured with a stroke on top: then its mean is taken off.
            scale = float(part @ click[: len(part)]) / float(click[: len(part)] @ click[: len(part)])
            part -= np.float32(scale if 0.7 <= scale <= 1.3 else 1.0) * click[: len(part)]
    return rest


def mean_click(samples: Samples, places: Sequence[float]) -> Samples:
    """The mean waveform of the clicks at some places (seconds), each aligned with the first, faded out at the end."""
    length = round(CLICK_SECONDS * RATE)
    first = round(places[0] * RATE)
    model = samples[max(0, first) : max(0, first) + length]
    found = [model]
    for place in places[1:]:
        at, _ = best_place(samples, model, place)
        part = samples[at : at + length]
        if len(part) == length:
            found.append(part)
    # Faded out, so that taking it off the sound leaves no step.
    fade = np.ones(len(model), np.float32)
    tail = min(length // 5, len(model))
    fade[len(model) - tail :] = np.linspace(1, 0, tail, dtype=np.float32)
    mean: Samples = np.mean([part[: len(model)] for part in found], axis=0).astype(np.float32) * fade
    return mean


def best_place(samples: Samples, model: Samples, place: float) -> tuple[int, float]:
    """The sample near a place (seconds) from which a sound is most like a model, and its likeness (-1 to 1)."""
    reach = round(SEARCH_SECONDS * RATE)
    # Its beginning alone: its decay may lie under the player's strokes.
    attack = model[: round(0.05 * RATE)]
    low = max(0, round(place * RATE) - reach)
    part: NDArray[np.float32] = samples[low : low + 2 * reach + len(attack)]
    if len(part) < len(attack):
        return low, 0.0
    dots = np.correlate(part, attack, "valid")
    sums = np.concatenate([[0.0], np.cumsum(part.astype(np.float64) ** 2)])
    energy = sums[len(attack) :] - sums[: -len(attack)]
    # A floor for the energy: in digital silence nothing would be divided by nothing.
    likeness = dots / np.sqrt(np.maximum(energy * float(attack @ attack), 1e-12))
    best = int(likeness.argmax())
    return low + best, float(likeness[best])
