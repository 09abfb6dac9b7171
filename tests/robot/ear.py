"""How the robot hears: the stream that the sound driver writes, and figures from onset times alone."""

import os
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from shared.figures import Figure
from tests.listening import find_onsets

RATE = 48_000
FRAME = 4
"""Bytes in a frame: two channels of 16 bits."""

NEAR = 1 / 24
"""How far, in beats, a stroke may lie from its place: half-way between the nearest places of triplet and semiquaver."""


class DeafError(AssertionError):
    """Nothing was heard that could be a bar."""


class Microphone:
    """Reads what SDL's ``disk`` driver writes, through a pipe, so that sound passes only as fast as it is heard.

    ``environment`` is what the program must find in its environment before it opens its sound device.
    """

    def __init__(self, folder: Path) -> None:
        path = folder / "stream"
        os.mkfifo(path)
        self._pipe: int | None = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
        os.set_blocking(self._pipe, True)
        self.environment = {
            "SDL_AUDIODRIVER": "disk",
            "SDL_DISKAUDIOFILE": str(path),
            "SDL_DISKAUDIODELAY": "0",
        }
        self.seconds = 0.0

    def listen(self, seconds: float) -> NDArray[np.int16]:
        """The next seconds of the stream: (frames, 2)."""
        if self._pipe is None:
            raise DeafError("the microphone is closed")
        wanted = round(seconds * RATE) * FRAME
        heard = bytearray()
        while len(heard) < wanted:
            piece = os.read(self._pipe, wanted - len(heard))
            if not piece:
                raise DeafError("the program has closed its sound device")
            heard += piece
        self.seconds += seconds
        return np.frombuffer(bytes(heard), np.int16).reshape(-1, 2)

    def close(self) -> None:
        """Stop listening; whoever writes is not kept waiting."""
        if self._pipe is not None:
            os.close(self._pipe)
            self._pipe = None


def beat_and_start(onsets: Sequence[float], beats: int) -> tuple[float, float]:
    """The length of a beat and the start of the bar, in seconds, from the sticks that count a bar in."""
    sticks = onsets[:beats]
    beat = (sticks[-1] - sticks[0]) / (beats - 1)
    return beat, sticks[0] + beats * beat


def figures_heard(onsets: Sequence[float], beats: int, choices: Sequence[Figure]) -> tuple[Figure | None, ...]:
    """The figure of each beat of the bar that follows a counted-in bar; None for a beat that is none of the choices."""
    beat, start = beat_and_start(onsets, beats)
    places = [(onset - start) / beat for onset in onsets[beats:]]
    return tuple(
        _figure([place - k for place in places if -NEAR <= place - k < 1 - NEAR], choices) for k in range(beats)
    )


def _figure(places: list[float], choices: Sequence[Figure]) -> Figure | None:
    """The choice whose strokes are nearest to the places, in beats, if all are near."""
    fitting = [figure for figure in choices if len(figure.onsets) == len(places)]
    apart = {
        figure: max((abs(place - onset) for place, onset in zip(places, figure.onsets, strict=True)), default=0.0)
        for figure in fitting
    }
    nearest = min(fitting, key=apart.__getitem__, default=None)
    return nearest if nearest is not None and apart[nearest] < NEAR else None


def hear_bar(microphone: Microphone, beats: int, choices: Sequence[Figure]) -> tuple[Figure | None, ...]:
    """Listen to a counted-in bar to its end and until it has died away; say the figure of each beat."""
    heard = _until_the_end(microphone, beats)
    figures = figures_heard(list(find_onsets(heard)), beats, choices)
    while microphone.listen(0.25).any():
        pass
    return figures


def _until_the_end(microphone: Microphone, beats: int) -> NDArray[np.int16]:
    """All that sounds from now until the end of the bar after the count-in."""
    heard = np.empty((0, 2), np.int16)
    while len(heard) < 30 * RATE:
        heard = np.concatenate([heard, microphone.listen(2.0)])
        onsets = find_onsets(heard)
        if len(onsets) > beats:
            beat, start = beat_and_start(list(onsets), beats)
            end = start + beats * beat
            return np.concatenate([heard, microphone.listen(max(0.0, end - len(heard) / RATE))])
    raise DeafError("30 seconds without a bar")
