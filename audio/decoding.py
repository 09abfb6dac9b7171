"""Decodes sound files by the mixer's own decoders, in a process of their own, since a damaged file can end it."""

import subprocess
import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from audio.decoder import WORD
from audio.synthesis import RATE
from shared.errors import UserError

PATIENCE = 60.0
"""How many seconds a file of the longest take may need on a slow machine."""


class DecodeError(UserError):
    """A sound file that cannot be decoded."""


def decoded(path: Path) -> NDArray[np.int16]:
    """A sound file of any kind the mixer reads, as (frames, 2) int16 at 48 kHz.  Raises ``DecodeError``."""
    # A built program has no interpreter to call: it calls itself, and ``game.__main__`` knows the word.
    decoder = [WORD] if getattr(sys, "frozen", False) else ["-P", str(Path(__file__).with_name("decoder.py"))]
    # With -P Python does not look for libraries in our folder first, where ``click`` and others have names of their
    # own.
    command = [sys.executable, *decoder, str(path.absolute()), str(RATE)]
    try:
        done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, timeout=PATIENCE, check=False)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise DecodeError(str(error)) from error
    if done.returncode:
        raise DecodeError(f"the decoder ended with code {done.returncode}")
    # A frame is four bytes: two channels of 16 bits.
    return np.frombuffer(done.stdout[: len(done.stdout) // 4 * 4], np.int16).reshape(-1, 2)
