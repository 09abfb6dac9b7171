"""The voices of each kit, their gains, and their places between left and right and in the room."""

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from audio.room import Room
from audio.synthesis import RATE, Noise, Samples
from audio.voices import Voice, plain_click, practice_voices

# Long enough for the precedence effect (Wallach, Newman and Rosenzweig, 1949, from memory), too short for an echo.
APART_SECONDS = 0.009
"""The delay of a stroke's stereo width, in seconds: the ear places the stroke by what comes first."""

PRACTICE_GAINS = {
    "kick": -13.2, "snare": -13.5, "ghost": -18.2, "cross-stick": -18.1, "closed-hat": -32.1, "open-hat": -32.0,
    "foot-hat": -33.1, "ride": -31.3, "crash": -39.3, "high-tom": -17.5, "mid-tom": -18.0, "floor-tom": -16.1,
    "sticks": -8.8, "sticks, accented": -7.8, "click": -7.4, "click, accented": -6.7,
}  # fmt: skip
STAGE_GAINS = {
    "kick": -14.2, "snare": -14.0, "ghost": -17.8, "cross-stick": -18.6, "closed-hat": -30.5, "open-hat": -31.8,
    "foot-hat": -34.0, "ride": -30.6, "crash": -39.9, "high-tom": -18.8, "mid-tom": -19.2, "floor-tom": -17.6,
    "sticks": -8.8, "sticks, accented": -7.8, "click": -7.4, "click, accented": -6.7,
}  # fmt: skip
CLICK_GAINS = {
    "kick": 1.0, "snare": -0.6, "ghost": -7.3, "cross-stick": -5.1, "closed-hat": -15.6, "open-hat": -12.5,
    "foot-hat": -18.4, "ride": -12.2, "crash": -8.8, "high-tom": -1.4, "mid-tom": -1.2, "floor-tom": 0.7,
    "sticks": -5.2, "sticks, accented": -4.6, "click": -9.8, "click, accented": -9.3,
}  # fmt: skip
"""The gain of each voice in dB, found by measuring: what balances the kit by ITU-R BS.1770-4 weighting."""


# The gains stand apart from the voices, for they are measured on whole hits and change with any other number there.
@cache
def voices_of(kit: str) -> dict[str, Voice]:
    """Every voice of a kit, by name, at its gain."""
    voices, gains = {
        "practice": (practice_voices, PRACTICE_GAINS),
        "stage": (_stage_voices, STAGE_GAINS),
        "click": (lambda: plain_click(CLICK_HERTZ), CLICK_GAINS),
    }[kit]
    return {name: replace(voice, gain=gains[name]) for name, voice in voices().items()}


def hit_of(voice: Voice, seed: tuple[int, ...], velocity: float, room: Room | None) -> NDArray[np.float32]:
    """One hit of a voice where it stands: (frames, 2), full scale 1."""
    return placed(voice, voice.hit(np.random.default_rng(seed), velocity), room)


def _stage_voices() -> dict[str, Voice]:
    """The larger kit: lower drums that ring longer, brighter wires and cymbals."""
    voices = practice_voices()
    kick, snare = voices["kick"], voices["snare"]
    voices["kick"] = kick.scaled(pitch=0.9, ring=1.2, rattle=1.2)
    voices["snare"] = _with_body(snare.scaled(pitch=0.93, ring=1.2, rattle=0.95))
    voices["ghost"] = voices["ghost"].scaled(pitch=0.93, ring=1.1, rattle=1.05)
    voices["cross-stick"] = voices["cross-stick"].scaled(pitch=0.9)
    for hat in ("closed-hat", "foot-hat", "open-hat"):
        voices[hat] = voices[hat].scaled(pitch=0.86, ring=1.15, rattle=1.15)
    voices["ride"] = voices["ride"].scaled(pitch=0.88)
    voices["crash"] = voices["crash"].scaled(pitch=0.88, ring=1.15, rattle=1.15)
    for tom, pitch in (("high-tom", 0.9), ("mid-tom", 0.9), ("floor-tom", 0.88)):
        voices[tom] = voices[tom].scaled(pitch=pitch, ring=1.15, rattle=1.2)
    return voices


def _with_body(snare: Voice) -> Voice:
    """A deeper shell: more noise in the low middle."""
    return replace(snare, bands=(*snare.bands, Noise(350, 900, -18, 0.16)))


CLICK_HERTZ = {
    "kick": 620, "floor-tom": 760, "mid-tom": 880, "high-tom": 1020, "snare": 1240, "ghost": 1240,
    "cross-stick": 1240, "closed-hat": 2480, "open-hat": 2480, "foot-hat": 2100, "ride": 2900, "crash": 2900,
    "sticks": 1600, "click": 1840,
}  # fmt: skip
"""The pitch of each instrument as a plain click: drums low, the snare between, cymbals high."""


def placed(voice: Voice, sound: Samples, room: Room | None) -> Samples:
    """A mono hit at its place between left and right, with what the room adds: (frames, 2)."""
    angle = (voice.pan + 1) * np.pi / 4
    # Constant power from left to right; the factor leaves a hit in the middle at its own level.
    sides = np.sqrt(2) * np.array([[np.cos(angle)], [np.sin(angle)]], np.float32)
    stereo: Samples = sides * sound
    if voice.width:
        late = round(APART_SECONDS * RATE)
        # Added on the left and taken off on the right: where both are summed to mono, width colours nothing.
        side = np.float32(voice.width) * sound[: sound.size - late]
        stereo[0, late:] += side
        stereo[1, late:] -= side
    if room:
        stereo = _added(stereo, room.around(sound) * np.float32(10 ** (voice.room / 20)))
    return np.ascontiguousarray(stereo.T)


def _added(dry: Samples, wet: Samples) -> Samples:
    """Two sounds of (2, frames), the shorter one padded."""
    total = np.zeros((2, max(dry.shape[1], wet.shape[1])), np.float32)
    total[:, : dry.shape[1]] += dry
    total[:, : wet.shape[1]] += wet
    return total
