"""The kits, and the bank that keeps their one-shots."""

from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from audio.limiter import true_peaks
from audio.room import Room
from audio.synthesis import Noise, Samples
from audio.voices import Voice, plain_click, practice_voices
from shared.errors import UserError
from shared.passages import ACCENT

FULL_SCALE = 32767
"""The sample value of full scale."""

LAYERS = 8
"""How many steps of velocity have a sound of their own."""

VARIANTS = 4
"""How many hits of one layer there are, to be taken in turn."""


class KitError(UserError, ValueError):
    """A kit that does not exist."""


@dataclass(frozen=True)
class Kit:
    """A set of voices in a room (None: no room at all)."""

    name: str
    about: str
    voices: dict[str, Voice] = field(repr=False)
    room: Room | None = None

    def voice(self, instrument: str, velocity: float) -> tuple[str, Voice]:
        """The voice of an instrument and its name: an accent may have one of its own."""
        accented = f"{instrument}, accented"
        name = accented if velocity >= ACCENT and accented in self.voices else instrument
        return name, self.voices[name]


PRACTICE_GAINS = {
    "kick": -9.6, "snare": -12.2, "ghost": -11.2, "cross-stick": -11.7, "closed-hat": -30.1, "open-hat": -34.5,
    "foot-hat": -30.2, "ride": -30.5, "crash": -33.4, "high-tom": -14.7, "mid-tom": -15.0, "floor-tom": -14.2,
    "sticks": -7.8, "sticks, accented": -8.0, "click": -7.5, "click, accented": -6.8,
}  # fmt: skip
STAGE_GAINS = {
    "kick": -10.8, "snare": -13.7, "ghost": -11.5, "cross-stick": -12.5, "closed-hat": -27.3, "open-hat": -33.6,
    "foot-hat": -29.1, "ride": -29.8, "crash": -35.3, "high-tom": -16.0, "mid-tom": -16.6, "floor-tom": -14.6,
    "sticks": -7.8, "sticks, accented": -8.1, "click": -7.5, "click, accented": -6.9,
}  # fmt: skip
CLICK_GAINS = {
    "kick": 0.6, "snare": -1.3, "ghost": -9.3, "cross-stick": -5.3, "closed-hat": -15.5, "open-hat": -12.3,
    "foot-hat": -18.2, "ride": -12.2, "crash": -8.7, "high-tom": -2.0, "mid-tom": -1.6, "floor-tom": 0.2,
    "sticks": -5.1, "sticks, accented": -5.1, "click": -9.5, "click, accented": -9.7,
}  # fmt: skip
"""The gain of each voice in dB, found by measuring: what balances the kit by ITU-R BS.1770-4 weighting."""


def _balanced(voices: dict[str, Voice], gains: dict[str, float]) -> dict[str, Voice]:
    return {name: replace(voice, gain=gains[name]) for name, voice in voices.items()}


def _stage_voices() -> dict[str, Voice]:
    """The larger kit: lower drums that ring longer, brighter wires and cymbals."""
    voices = practice_voices()
    kick, snare = voices["kick"], voices["snare"]
    voices["kick"] = kick.scaled(pitch=0.87, ring=1.25, rattle=1.3)
    voices["snare"] = _with_body(snare.scaled(pitch=0.93, ring=1.3, rattle=1.3))
    voices["ghost"] = voices["ghost"].scaled(pitch=0.93, ring=1.2, rattle=1.1)
    voices["cross-stick"] = voices["cross-stick"].scaled(pitch=0.9, ring=1.2)
    for hat in ("closed-hat", "foot-hat", "open-hat"):
        voices[hat] = voices[hat].scaled(pitch=0.86, ring=1.15, rattle=1.15)
    voices["ride"] = voices["ride"].scaled(pitch=0.88)
    voices["crash"] = voices["crash"].scaled(pitch=0.88, ring=1.15, rattle=1.15)
    for tom, pitch in (("high-tom", 0.84), ("mid-tom", 0.82), ("floor-tom", 0.82)):
        voices[tom] = voices[tom].scaled(pitch=pitch, ring=1.3, rattle=1.2)
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


KITS = {
    kit.name: kit
    for kit in (
        Kit("practice", "a small dry kit: every stroke stands alone", _balanced(practice_voices(), PRACTICE_GAINS)),
        Kit(
            "stage",
            "a larger, deeper kit in a small room",
            _balanced(_stage_voices(), STAGE_GAINS),
            Room(t60=0.34, gap=0.007),
        ),
        Kit(
            "click",
            "a plain click for every stroke, its pitch telling drums from cymbals",
            _balanced(plain_click(CLICK_HERTZ), CLICK_GAINS),
        ),
    )
}
"""Every kit, by name."""


def kit_named(name: str) -> Kit:
    """The kit of that name.  Raises ``KitError`` with the names there are."""
    try:
        return KITS[name]
    except KeyError:
        raise KitError(f"kit {name!r}: choose from {', '.join(KITS)}") from None


class Shot(NamedTuple):
    """One hit, ready to be added.

    ``samples`` (frames, 2) int16; ``peaks`` (blocks + 1,) float32: what no true peak exceeds in
    each limiter block, full scale 1, wherever in a block the hit may start.
    """

    samples: NDArray[np.int16]
    peaks: NDArray[np.float32]


class Bank:
    """The one-shots of a kit, each made when it is first asked for and then kept.

    The same kit and seed give the same samples to the bit.
    """

    def __init__(self, kit: str = "practice", seed: int = 0) -> None:
        self.kit = kit_named(kit)
        self.seed = seed
        self._shots: dict[tuple[str, int, int], Shot] = {}

    def shot(self, instrument: str, velocity: float, turn: int = 0) -> Shot:
        """The hit of an instrument at a velocity (0 to 1); ``turn`` counts its hits, each unlike the one before."""
        name, voice = self.kit.voice(instrument, velocity)
        key = name, layer_of(velocity), variant_of(turn)
        if key not in self._shots:
            self._shots[key] = self._made(voice, *key)
        return self._shots[key]

    @property
    def nbytes(self) -> int:
        """How many bytes of samples and peaks are kept."""
        return sum(shot.samples.nbytes + shot.peaks.nbytes for shot in self._shots.values())

    def _made(self, voice: Voice, name: str, layer: int, variant: int) -> Shot:
        rng = np.random.default_rng([self.seed, variant, *name.encode()])
        sound = placed(voice, voice.hit(rng, layer / LAYERS), self.kit.room)
        samples = _without_silent_end(np.rint(sound * FULL_SCALE).astype(np.int16))
        samples.flags.writeable = False
        return Shot(samples, true_peaks(samples.astype(np.float32) / np.float32(FULL_SCALE)))


def layer_of(velocity: float) -> int:
    """The layer, from 1 (softest) to ``LAYERS``, that plays a velocity from 0 to 1."""
    return min(LAYERS, max(1, int(np.ceil(velocity * LAYERS - 1e-9))))


def variant_of(turn: int) -> int:
    """The variant of an instrument's hit: never the one before, nor the same round every time."""
    return (turn + turn // VARIANTS) % VARIANTS


def placed(voice: Voice, sound: Samples, room: Room | None) -> Samples:
    """A mono hit at its place between left and right, with what the room adds: (frames, 2)."""
    angle = (voice.pan + 1) * np.pi / 4
    sides = np.sqrt(2) * np.array([[np.cos(angle)], [np.sin(angle)]], np.float32)
    stereo: Samples = sides * sound
    if room:
        stereo = _added(stereo, room.around(sound) * np.float32(10 ** (voice.room / 20)))
    return np.ascontiguousarray(stereo.T)


def _added(dry: Samples, wet: Samples) -> Samples:
    """Two sounds of (2, frames), the shorter one padded."""
    total = np.zeros((2, max(dry.shape[1], wet.shape[1])), np.float32)
    total[:, : dry.shape[1]] += dry
    total[:, : wet.shape[1]] += wet
    return total


def _without_silent_end(samples: NDArray[np.int16]) -> NDArray[np.int16]:
    sounding = np.flatnonzero(np.abs(samples).max(axis=1) > 1)
    return samples[: int(sounding[-1]) + 1].copy() if sounding.size else samples[:1].copy()
