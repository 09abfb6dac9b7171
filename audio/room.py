"""A little room: early reflections and a short diffuse tail, added to one-shots."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from audio.synthesis import RATE, Samples, decay, fast_size, times


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
        t = times(0.7 * self.t60)
        tail = rng.standard_normal((2, t.size), dtype=np.float32) * decay(t, self.t60)
        tail[:, : round(self.gap * RATE)] = 0
        for channel in tail:
            early = self.gap * (1 + 2.5 * rng.random(6))
            channel[np.round(early * RATE).astype(int)] += np.float32(9) * rng.choice((-1, 1), 6)
            channel[:] = np.convolve(channel, (0.25, 0.5, 0.25), "same")
        answer: Samples = tail / np.sqrt(np.sum(tail**2, axis=1, keepdims=True))
        return answer

    def around(self, sound: Samples) -> Samples:
        """A mono sound as it comes back from the room: (2, frames), the tail included."""
        count = sound.size + self.response.shape[1] - 1
        size = fast_size(count)
        spectrum = np.fft.rfft(sound, size) * self._spectrum(size)
        return np.fft.irfft(spectrum, size)[:, :count].astype(np.float32)

    def _spectrum(self, size: int) -> np.ndarray[tuple[int, int], np.dtype[np.complex64]]:
        return np.fft.rfft(self.response, size).astype(np.complex64)
