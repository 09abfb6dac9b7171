"""The sound of a worksheet: each bar is announced by its number in strokes, then played twice.

No voice: a floor tom counts five, a stick counts one, so 7 is one low and two high strokes.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from audio.synthesis import RATE
from audio.wav import wav_bytes
from game.learning import Question
from shared.bars import METERS
from shared.orchestration import arrange
from shared.passages import Passage, Stroke

FIVE, ONE = "floor-tom", "sticks"
NUMBER_TEMPO = 200.0
NUMBER_VELOCITY = 0.6

AFTER_NUMBER, TO_WRITE = 1.0, 5.0
"""Seconds of silence after the number, and after the second hearing."""

BETWEEN_HEARINGS = 2.0

Samples = NDArray[np.int16]


def sheet_sound(paper: Sequence[Question], bank: Bank | None = None) -> bytes:
    """The sheet as the bytes of a WAV file: number, count-in, bar, gap, the same again, time to write.

    One channel, which is half the size and all that a loudspeaker on a desk plays.
    """
    stereo = _playlist(paper, bank or Bank())
    mono = [samples.mean(axis=1, keepdims=True).round().astype(np.int16) for samples in stereo]
    return wav_bytes(np.concatenate(mono))


def _playlist(paper: Sequence[Question], bank: Bank) -> Iterator[Samples]:
    for number, question in enumerate(paper, 1):
        bar = mix(arrange(question.bar, replace(question.setting, count_in=True)), bank)
        yield mix(number_in_strokes(number), bank)
        yield _silence(AFTER_NUMBER)
        yield bar
        yield _silence(BETWEEN_HEARINGS)
        yield bar
        yield _silence(TO_WRITE)


def number_in_strokes(number: int) -> Passage:
    """A number as strokes: the fives on the floor tom, then the ones on the sticks."""
    drums = [FIVE] * (number // 5) + [ONE] * (number % 5)
    meter = METERS["4/4"]
    strokes = tuple(
        Stroke(place // meter.beats, place % meter.beats + 1, Fraction(0), drum, NUMBER_VELOCITY)
        for place, drum in enumerate(drums)
    )
    return Passage(meter, NUMBER_TEMPO, -(-len(drums) // meter.beats), 0, strokes)


def _silence(seconds: float) -> Samples:
    return np.zeros((round(seconds * RATE), 2), np.int16)
