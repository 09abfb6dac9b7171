"""Finds a player's strokes in what the microphone recorded while a passage sounded, in seconds of that passage.

Sound out and sound in have no common clock, and their delays are unknown.  Where the loudspeaker can be heard in the
recording, the passage itself tells where it began, and its clicks are taken out; with headphones there is only a guess.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.click import CLICK_SECONDS, LEAST_LIKENESS, best_place, without
from audio.onsets import onsets
from audio.synthesis import RATE, Samples
from shared.strokes import Take, TakeStroke

# Further after than before: buffers and wireless headphones only ever add delay.
EARLIEST, LATEST = -0.3, 0.7
"""How many seconds before and after the guess the passage may have begun in the recording."""

NEAR = 0.006
"""An onset within so many seconds of a stroke of the passage is that stroke: no player keeps so close to it."""

LEAST_FOUND = 0.75
"""The least share of the passage's strokes that must lie on onsets of the recording for the passage to be in it.

It decides where the room has changed the waveform so much that the correlation does not tell.
"""

AHEAD, RESPONSE = 0.003, 0.25
"""How long before the passage's beginning the impulse response may begin, and how long it lasts, in seconds."""

FLOOR = 0.01
"""The share of the mean power that is added at each frequency: those without power tell nothing of the response."""


@dataclass(frozen=True)
class Along:
    """The player's strokes, in seconds of the passage's clock.

    ``exact`` is true where the passage was found in the recording: the times then hold no delay of the devices.
    """

    strokes: Take
    exact: bool


@dataclass(frozen=True)
class Sounded:
    """The passage that sounded: ``samples`` are its mix, one channel at 48 kHz, full scale 1.

    Up to ``alone``, in seconds from its beginning, the passage sounds without the player.  ``strokes`` are the times
    of its strokes up to there, ``clicks`` those of all its clicks, among the player's strokes too; both in seconds.
    """

    samples: Samples
    strokes: Sequence[float]
    clicks: Sequence[float]
    alone: float


def along(recorded: Samples, sounded: Sounded, guess: float) -> Along:
    """The player's strokes in a recording; ``guess`` is about when in it, in seconds, the passage began.

    Onsets up to ``sounded.alone`` are left out.
    """
    began = _began(recorded, sounded, guess)
    if began is None:
        return Along(_strokes(recorded, guess, sounded.alone), exact=False)
    heard = _as_recorded(recorded, sounded, began)
    length = round(CLICK_SECONDS * RATE)
    later = [at for at in sounded.clicks if at >= sounded.alone]
    clicks = [heard[round(at * RATE) :][:length] for at in later]
    places = [best_place(recorded, click, began - AHEAD + at) for at, click in zip(later, clicks, strict=True)]
    return Along(_strokes(without(recorded, clicks, places), began, sounded.alone), exact=True)


def _as_recorded(recorded: Samples, sounded: Sounded, began: float) -> Samples:
    """The whole passage as the microphone would take it down, a little later than it began: see ``AHEAD``.

    What loudspeaker, room and microphone make of it is the response that, from the part that sounds alone, turns the
    mixed samples into the recorded ones (a Wiener filter).
    """
    # A power of two is quick to transform; a second more than the passage, lest its end comes round to its beginning.
    size = 1 << (len(sounded.samples) + RATE).bit_length()
    first, alone = round((began - AHEAD) * RATE), round(sounded.alone * RATE)
    played = np.fft.rfft(sounded.samples[:alone], size)
    came = np.fft.rfft(recorded[max(0, first) :][:alone], size)
    power = np.abs(played) ** 2
    # Without the floor, frequencies that the passage does not have would be divided by next to nothing.
    response = np.fft.irfft(np.conj(played) * came / (power + FLOOR * power.mean()), size)
    # What lies beyond is noise of the reckoning, not of the room.
    response[round(RESPONSE * RATE) :] = 0
    found: Samples = np.fft.irfft(np.fft.rfft(sounded.samples, size) * np.fft.rfft(response), size).astype(np.float32)
    return found


def _strokes(samples: Samples, began: float, alone: float) -> Take:
    found = onsets(samples)
    return tuple(
        TakeStroke(onset.seconds - began, velocity=onset.strength) for onset in found if onset.seconds - began > alone
    )


def _began(recorded: Samples, sounded: Sounded, guess: float) -> float | None:
    """When in the recording the passage began; None where it is not in it."""
    model = sounded.samples[: round(sounded.alone * RATE)]
    first = max(0, round((guess + EARLIEST) * RATE))
    part = recorded[first : round((guess + LATEST + sounded.alone) * RATE)]
    if len(part) <= len(model) or not model.any():
        return None
    likeness = _likeness(part, model)
    best = int(likeness.argmax())
    if likeness[best] > LEAST_LIKENESS:
        return (first + best) / RATE
    return _by_onsets(recorded, sounded, guess)


def _likeness(part: Samples, model: Samples) -> NDArray[np.float64]:
    """The normalised correlation of a model with each stretch of a sound, over the samples where the model sounds."""
    size = 1 << (len(part) + len(model) - 1).bit_length()
    heard = (np.abs(model) > 0.01 * float(np.abs(model).max())).astype(np.float64)

    def slid(sound: NDArray[np.float64], over: NDArray[np.float64]) -> NDArray[np.float64]:
        spectrum = np.fft.rfft(sound, size) * np.conj(np.fft.rfft(over, size))
        found: NDArray[np.float64] = np.fft.irfft(spectrum, size)[: len(part) - len(model) + 1]
        return found

    dots = slid(part.astype(np.float64), model.astype(np.float64) * heard)
    energy = slid(part.astype(np.float64) ** 2, heard)
    own = float((model.astype(np.float64) ** 2 * heard).sum())
    # A floor for the energy: in digital silence rounding alone would look like the model.
    likeness: NDArray[np.float64] = dots / np.sqrt(np.maximum(energy, 1e-9 * len(model)) * own)
    return likeness


def _by_onsets(recorded: Samples, sounded: Sounded, guess: float) -> float | None:
    """The beginning that lets most strokes of the passage lie on onsets of the recording, if nearly all do."""
    wanted = np.array([at for at in sounded.strokes if at < sounded.alone])
    found = np.array([onset.seconds for onset in onsets(recorded)])
    if not len(wanted) or not len(found):
        return None
    shifts = (found[:, None] - wanted[None, :]).ravel()
    shifts = shifts[(shifts > guess + EARLIEST) & (shifts < guess + LATEST)]
    if not len(shifts):
        return None

    def away(shift: float) -> NDArray[np.float64]:
        return np.asarray(np.abs(found[None, :] - wanted[:, None] - shift).min(1))

    best = max(shifts.tolist(), key=lambda shift: (int((away(shift) < NEAR).sum()), -float(away(shift).sum())))
    if float((away(best) < NEAR).mean()) < LEAST_FOUND:
        return None
    near = shifts[np.abs(shifts - best) < NEAR]
    return float(np.median(near))
