"""How the robot hears: the stream that the sound driver writes, and figures from onset times alone."""

import os
from collections.abc import Sequence
from pathlib import Path
from select import select

import numpy as np
from numpy.typing import NDArray

from shared.figures import Figure
from tests.listening import EVERYTHING, Part, find_onsets

RATE = 48_000
FRAME = 4
"""Bytes in a frame: two channels of 16 bits."""

NEAR = 1 / 24
"""How far, in beats, a stroke may lie from its place: half-way between the nearest places of triplet and semiquaver."""


LONGEST = 60
"""The seconds within which a bar must have come to its end."""


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
        # On a busy machine the device is opened some time after the key: until then the pipe has nobody to write.
        if not self.seconds and not any(select([self._pipe], [], [], 0.1)[0] for _ in range(10 * LONGEST)):
            raise DeafError("the program has opened no sound device")
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


def beat_of(sticks: Sequence[float]) -> float:
    """The length of a beat, in seconds, from the sticks that count a bar in."""
    return (sticks[-1] - sticks[0]) / (len(sticks) - 1)


def figures_heard(
    sound: NDArray[np.int16], beats: int, choices: Sequence[Figure], part: Part = EVERYTHING
) -> tuple[Figure | None, ...]:
    """The figure of each beat of the last bar, after a counted-in bar; None for a beat that is none of the choices.

    ``part`` is where in the spectrum the figures are played.
    """
    sound = sound[: np.flatnonzero(frames(sound))[-1] + 1]
    onsets = find_onsets(sound)
    beat = beat_of(onsets[:beats])
    places = (onsets - onsets[0]) / beat
    bar = max(1, int((places[-1] + NEAR) // beats))
    if part != EVERYTHING:
        places = (find_onsets(sound, part=part) - onsets[0]) / beat
    starts = [bar * beats + k for k in range(beats)]
    return tuple(_figure([p - start for p in places if -NEAR <= p - start < 1 - NEAR], choices) for start in starts)


def _figure(places: list[float], choices: Sequence[Figure]) -> Figure | None:
    """The choice whose strokes are nearest to the places, in beats, if all are near."""
    fitting = [figure for figure in choices if len(figure.onsets) == len(places)]
    apart = {
        figure: max((abs(place - onset) for place, onset in zip(places, figure.onsets, strict=True)), default=0.0)
        for figure in fitting
    }
    nearest = min(fitting, key=apart.__getitem__, default=None)
    return nearest if nearest is not None and apart[nearest] < NEAR else None


def hear_bar(
    microphone: Microphone, beats: int, choices: Sequence[Figure], part: Part = EVERYTHING
) -> tuple[Figure | None, ...]:
    """Listen to a counted-in bar until it is over; say the figure of each beat."""
    return figures_heard(until_the_end(microphone, beats), beats, choices, part)


def until_the_end(microphone: Microphone, beats: int) -> NDArray[np.int16]:
    """All that sounds from now on, and the silence of a bar and a beat that tells that nothing more will come."""
    heard = np.empty((0, 2), np.int16)
    silence = np.inf
    while _silent_seconds(heard) < silence:
        if len(heard) > LONGEST * RATE:
            raise DeafError(f"{LONGEST} seconds without an end")
        heard = np.concatenate([heard, microphone.listen(2.0)])
        if silence == np.inf and len(sticks := find_onsets(heard)[:beats]) == beats:
            silence = (beats + 1) * beat_of(sticks)
    return heard


def _silent_seconds(heard: NDArray[np.int16]) -> float:
    """How long nothing has sounded."""
    silent = np.argmax(frames(heard)[::-1] != 0) if len(heard) else 0
    return float(silent) / RATE


def frames(heard: NDArray[np.int16]) -> NDArray[np.uint32]:
    """Each frame of two channels as one number: 0 where nothing sounds."""
    return heard.view(np.uint32)[:, 0]
