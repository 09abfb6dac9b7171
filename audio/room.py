"""A little room: early reflections and a short diffuse tail, added to one-shots."""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.synthesis import RATE, Samples, decay, fast_size, times

HEARD_SECONDS = 0.3
"""How much of a sound the room answers to."""


@dataclass(frozen=True)
class Room:
    """A room by its decay time ``t60`` in seconds, its first reflection ``gap`` in seconds, and a seed."""

    t60: float
    gap: float
    seed: int = 0

    @cached_property
    def response(self) -> Samples:
        """What the room answers to a click: (2, frames), left and right, of unit energy."""
        rng = np.random.default_rng([self.seed, 41])
        t = times(self.t60)
        tail = rng.standard_normal((2, t.size), dtype=np.float32) * decay(t, self.t60)
        tail[:, : round(self.gap * RATE)] = 0
        for channel in tail:
            early = self.gap * (1 + 2.5 * rng.random(6))
            channel[np.round(early * RATE).astype(int)] += np.float32(9) * rng.choice((-1, 1), 6)
            channel[:] = np.convolve(channel, (0.25, 0.5, 0.25), "same")
        answer: Samples = tail / np.sqrt(np.sum(tail**2, axis=1, keepdims=True))
        return answer

    def around(self, sound: Samples) -> Samples:
        """What comes back of a mono sound: (2, frames).

        Only its first part goes in: what rings longer covers its own echo.
        """
        heard = sound[: round(HEARD_SECONDS * RATE)].copy()
        heard[heard.size // 2 :] *= np.linspace(1, 0, heard.size - heard.size // 2, dtype=np.float32)
        count = heard.size + self.response.shape[1] - 1
        size = fast_size(count)
        back: Samples = np.fft.irfft(np.fft.rfft(heard, size) * _spectrum(self, size), size).astype(np.float32)
        return back[:, :count]


@lru_cache(maxsize=8)
def _spectrum(room: Room, size: int) -> NDArray[np.complex64]:
    return np.fft.rfft(room.response, size).astype(np.complex64)
