"""Room reverberation for one-shots: early reflections and a diffuse tail."""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.synthesis import RATE, Samples, decay, fast_size, times

EXCITING_SECONDS = 0.3
"""How much of a sound's beginning the reverberation is made of, in seconds."""


@dataclass(frozen=True)
class Room:
    """A room; all times in seconds.

    ``t60`` is its decay by 60 dB, ``gap`` the delay of the first reflection, ``heard`` the length of its response.
    """

    t60: float
    gap: float
    heard: float
    seed: int = 0

    @cached_property
    def response(self) -> Samples:
        """The impulse response: (2, frames), left and right, of unit energy."""
        # The second number keeps the room's noise apart from that of voices with the same seed.
        rng = np.random.default_rng([self.seed, 41])
        t = times(self.heard)
        tail = rng.standard_normal((2, t.size), dtype=np.float32) * decay(t, self.t60)
        tail[:, : round(self.gap * RATE)] = 0
        tail[:, -t.size // 4 :] *= np.linspace(1, 0, -(-t.size // 4), dtype=np.float32)
        # Each side has reflections of its own: alike on both they would sound as in the middle, not around.
        for channel in tail:
            early = self.gap * (1 + 2.5 * rng.random(6))
            channel[np.round(early * RATE).astype(int)] += np.float32(9) * rng.choice((-1, 1), 6)
            channel[:] = np.convolve(channel, (0.25, 0.5, 0.25), "same")
        answer: Samples = tail / np.sqrt(np.sum(tail**2, axis=1, keepdims=True))
        return answer

    def around(self, sound: Samples) -> Samples:
        """The reverberation alone of a mono sound: (2, frames).

        It is made of the sound's first ``EXCITING_SECONDS``: the rest covers its own echo.
        """
        heard = sound[: round(EXCITING_SECONDS * RATE)].copy()
        # Faded out: a cut would itself be a click, and come back from the room as one.
        heard[heard.size // 2 :] *= np.linspace(1, 0, heard.size - heard.size // 2, dtype=np.float32)
        count = heard.size + self.response.shape[1] - 1
        size = fast_size(count)
        back: Samples = np.fft.irfft(np.fft.rfft(heard, size) * _spectrum(self, size), size).astype(np.float32)
        return back[:, :count]


ROOMS = {"dry": None, "room": Room(0.34, 0.007, 0.34), "hall": Room(1.1, 0.018, 0.55)}
"""Every room, by name; a hall is heard until it lies some 55 dB under the stroke, faded at its end."""


@lru_cache(maxsize=8)
def _spectrum(room: Room, size: int) -> NDArray[np.complex64]:
    return np.fft.rfft(room.response, size).astype(np.complex64)
