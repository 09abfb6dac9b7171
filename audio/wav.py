"""Samples and passages as the bytes of WAV files: 16-bit PCM."""

import io
import wave
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from audio.synthesis import RATE
from shared.passages import Passage


def passage_wav(passage: Passage, folder: Path | None = None) -> bytes:
    """A passage, played on the practice kit, as the bytes of a WAV file.

    ``folder`` is where hits of the drums are kept between runs: see ``Bank``.
    """
    return wav_bytes(mix(passage, Bank(folder=folder)))


def wav_bytes(samples: NDArray[np.int16], rate: int = RATE) -> bytes:
    """The samples, (frames, channels) int16, as the bytes of a WAV file.  Raises ``ValueError`` for any others."""
    if samples.dtype != np.int16 or samples.ndim != 2:
        raise ValueError(f"a WAV file takes (frames, channels) int16; found {samples.shape} {samples.dtype}")
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(samples.shape[1])
        file.setsampwidth(2)
        file.setframerate(rate)
        # WAV stores the low byte first, whatever this machine does.
        file.writeframes(samples.astype("<i2").tobytes())
    return buffer.getvalue()
