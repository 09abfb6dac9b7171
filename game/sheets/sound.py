"""The sound of a worksheet: a track for each bar, and all of them one after the other in one file.

No voice: in the whole file each bar is announced by a tone that swells and dies away.  It has no attack, so it
can't be taken for a stroke, and comes once, so it can't be taken for a rhythm.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from audio.synthesis import RATE
from game.learning import Question
from shared.orchestration import arrange
from shared.passages import Passage

SIGN_SECONDS, SIGN_FROM, SIGN_TO = 1.6, 330.0, 440.0
"""The sign: how long it lasts, and the frequencies in hertz between which it glides, an E and the A above."""

SIGN_LEVEL = 0.12
"""Its peak, full scale 1: well under the drums."""

AFTER_SIGN, BETWEEN_HEARINGS, TO_WRITE = 1.0, 2.0, 5.0
"""Seconds of silence after the sign, between the hearings and after the second one."""

Samples = NDArray[np.int16]


def sheet_tracks(paper: Sequence[Question], bank: Bank | None = None) -> list[Samples]:
    """A track for each bar, (frames, 1) int16: count-in and bar, a gap, the same again, time to write.

    One channel, which is half the size and all that a loudspeaker on a desk plays.
    """
    bank = bank or Bank()
    return [_track(_counted_in(question), bank) for question in paper]


def whole_sheet(tracks: Sequence[Samples]) -> Samples:
    """The tracks one after the other, each announced by the sign."""
    return np.concatenate([part for track in tracks for part in (sign(), _silence(AFTER_SIGN), track)])


def starts(paper: Sequence[Question]) -> list[float]:
    """The seconds from the start of the whole file at which the sign of each bar sounds."""
    found, at = [], 0.0
    for question in paper:
        found.append(at)
        # Worked out and not measured: the pages tell these times before a single bar has been mixed.
        at += SIGN_SECONDS + AFTER_SIGN + _track_frames(_counted_in(question)) / RATE
    return found


def sign() -> Samples:
    """The tone before a bar."""
    share = np.arange(round(SIGN_SECONDS * RATE)) / (SIGN_SECONDS * RATE)
    # The frequency rises evenly, so the phase is its integral.
    cycles = SIGN_SECONDS * (SIGN_FROM * share + (SIGN_TO - SIGN_FROM) * share**2 / 2)
    swell = np.sin(np.pi * share) ** 2
    tone = SIGN_LEVEL * swell * np.sin(2 * np.pi * cycles)
    return np.rint(tone * np.iinfo(np.int16).max).astype(np.int16)[:, None]


def _counted_in(question: Question) -> Passage:
    return arrange(question.bar, replace(question.setting, count_in=True))


def _track_frames(passage: Passage) -> int:
    return round((2 * passage.seconds + BETWEEN_HEARINGS + TO_WRITE) * RATE)


def _track(passage: Passage, bank: Bank) -> Samples:
    sound = mix(passage, bank).mean(axis=1, keepdims=True)
    # In floating point: with the decay of the first hearing, a sum could go over the end of 16-bit numbers.
    track = np.zeros((_track_frames(passage), 1))
    for start in (0, round((passage.seconds + BETWEEN_HEARINGS) * RATE)):
        # What rings on dies away in the gap that follows.
        part = sound[: len(track) - start]
        track[start : start + len(part)] += part
    limits = np.iinfo(np.int16)
    return np.clip(np.rint(track), limits.min, limits.max).astype(np.int16)


def _silence(seconds: float) -> Samples:
    return np.zeros((round(seconds * RATE), 1), np.int16)
