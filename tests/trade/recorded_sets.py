"""Recorded drum sets to judge the kits against: nine of them, from two packages of Debian.

``apt-get install --no-install-recommends avldrums.lv2-soundfont hydrogen-drumkits`` brings them (free licences, each
in the package's own copyright file).  Nothing of them is kept here: only where to find which stroke.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray
from scipy.signal import resample_poly

Floats = NDArray[np.float64]
RATE = 48_000
FOLDERS, BANKS = Path("/usr/share/hydrogen/data/drumkits"), Path("/usr/share/sounds/sf2")
SOFT, FIRM = 0.3, 0.8
"""The velocities of a ghost note and of every other stroke that is measured."""


@dataclass(frozen=True)
class RecordedSet:
    """A folder of sound files, or a bank; ``strokes`` tells which of its samples play a voice, softest first.

    In a folder a sample is a file name, whose ``*`` stands for the layers in order; in a bank it is the number of
    its first and its last sample.
    """

    place: str
    strokes: dict[str, tuple[str, ...] | tuple[int, int]]

    @property
    def path(self) -> Path:
        """Where the set lies once its package is installed."""
        return BANKS / self.place if self.place.endswith(".sf2") else FOLDERS / self.place

    def layers(self, voice: str) -> tuple[Floats, ...]:
        """Every layer of a voice, softest first, each (frames, 2) at 48 kHz from its first sample that sounds."""
        return _layers(self, "snare" if voice == "ghost" else voice)

    def stroke(self, voice: str) -> Floats | None:
        """The stroke that is measured: a soft one for the ghost, where the set has soft ones, else a firm one."""
        layers = self.layers(voice)
        if not layers or (voice == "ghost" and len(layers) < 3):
            return None
        return layers[min(len(layers) - 1, int((SOFT if voice == "ghost" else FIRM) * len(layers)))]

    def __hash__(self) -> int:
        return hash(self.place)


FIVE = tuple(f"-{force}.wav" for force in ("Softest", "Soft", "Med", "Hard", "Hardest"))


def _five(stem: str) -> tuple[str, ...]:
    return tuple(f"*{stem}{ending}" for ending in FIVE)


def _numbered(stem: str, first: int, last: int, ending: str = ".flac") -> tuple[str, ...]:
    return tuple(f"{stem}{number:02d}{ending}" for number in range(first, last + 1))


def _tenths(stem: str, count: int = 5) -> tuple[str, ...]:
    return tuple(f"{stem}-{number}.wav" for number in range(count))


_BANK = {
    "kick": (0, 4), "cross-stick": (5, 9), "snare": (10, 14), "floor-tom": (25, 29), "high-tom": (45, 49),
    "crash": (65, 69), "ride": (71, 75),
}  # fmt: skip

TUNED = (
    RecordedSet(
        "Black_Pearl_4_LV2.sf2", {**_BANK, "closed-hat": (30, 34), "foot-hat": (40, 44), "open-hat": (60, 64)}
    ),
    RecordedSet("Red_Zeppelin_4_LV2.sf2", _BANK),  # its hi-hat is that of the other bank
    RecordedSet(
        "The Black Pearl 1.0",
        {
            "kick": _five("Kick"), "cross-stick": _five("SideStick"), "snare": _five("lSnare"),
            "high-tom": _five("Tom1"), "mid-tom": _five("Tom2"), "floor-tom": _five("TomFloor"),
            "open-hat": _five("HatOpen"), "ride": _five("Ride"), "crash": _five("Crash"),
        },  # its hi-hat is that of the first bank, where it is closed
    ),
    RecordedSet(
        "BJA_Pacific",
        {
            name: _numbered(stem, 1, last, ".aiff")
            for name, (stem, last) in {
                "kick": ("BD_", 8), "snare": ("SN_", 8), "closed-hat": ("HH_", 8), "open-hat": ("HH2_", 8),
                "mid-tom": ("TM_", 8), "floor-tom": ("TM2_", 8), "crash": ("CB_", 3), "ride": ("RD_", 6),
            }.items()
        },
    ),
    RecordedSet(
        "ColomboAcousticDrumkit",
        {
            "kick": tuple(f"bassdrum-4mics-br-stereo-{name}.flac" for name in ("soft2", "soft4", "normal3")),
            "snare": tuple(f"snare-opaque-normal-mic-normal_shot{k}.flac" for k in (2, 3)),
            "closed-hat": tuple(f"hihat-closed-{k}.flac" for k in (1, 4, 6)),
            "open-hat": tuple(f"hihat-open-{k}.flac" for k in (1, 4, 5)),
            "high-tom": ("tom-hi-1.flac",), "mid-tom": ("tom-mid-1.flac",), "floor-tom": ("tom-low-1.flac",),
            "crash": ("crash16i__crash1.flac",), "ride": ("crash20i__ride4.flac",),
            "cross-stick": ("stick-rim-9.flac",),
        },
    ),
)  # fmt: skip
"""The sets that the voices may be tuned on: those of three makers."""

HELD_OUT = (
    RecordedSet(
        "ForzeeStereo",
        {
            "kick": _tenths("Kick"), "snare": _tenths("Snare"), "cross-stick": _tenths("RimClick"),
            "closed-hat": _tenths("HiHatClosed"), "open-hat": _tenths("HiHatOpen", 4), "foot-hat": _tenths("HiHatFoot"),
            "high-tom": _tenths("TomHigh"), "mid-tom": _tenths("TomMid"), "floor-tom": _tenths("TomLow"),
            "ride": _tenths("Ride", 3), "crash": _tenths("Crash18", 4), "sticks": _tenths("Stick", 4),
        },
    ),
    RecordedSet(
        "Millo-Drums_v.1",
        {
            "kick": ("bd1.flac",), "snare": ("snare3.flac",), "closed-hat": ("closehihat3.flac",),
            "open-hat": ("openhat2.flac",), "foot-hat": ("pedalhihat.flac",), "high-tom": ("tom1_a.flac",),
            "mid-tom": ("tom1_1.flac",), "floor-tom": ("tom2_1.flac",), "ride": ("ride1.flac",),
            "crash": ("cra_Rock_a.flac",), "cross-stick": ("stick_Woody.flac",),
        },
    ),
    RecordedSet(
        "Millo_MultiLayered2",
        {
            "kick": _numbered("bd_", 1, 5), "snare": _numbered("rsnare_", 1, 5), "cross-stick": _numbered("rim_", 1, 4),
            "closed-hat": _numbered("hhclosed_", 1, 5), "open-hat": _numbered("hhopen_", 0, 3),
            "foot-hat": _numbered("hhpedal_", 1, 2), "mid-tom": _numbered("tom_", 1, 4),
            "floor-tom": _numbered("floortom_", 1, 4), "ride": _numbered("ride_", 1, 5),
            "crash": _numbered("crash_", 1, 5),
        },
    ),
    RecordedSet(
        "Millo_MultiLayered3",
        {
            "kick": _numbered("bd_", 1, 4), "snare": _numbered("sd_", 1, 6), "cross-stick": _numbered("rs_", 1, 3),
            "closed-hat": _numbered("hh_", 1, 4), "open-hat": _numbered("ho_", 1, 3), "foot-hat": ("hh_p.flac",),
            "high-tom": _numbered("t1_", 1, 3), "mid-tom": _numbered("t2_", 1, 3), "floor-tom": _numbered("ft_", 1, 3),
            "ride": _numbered("rc_", 1, 3), "crash": _numbered("cc_", 1, 3),
        },
    ),
)  # fmt: skip
"""The sets that no number of the voices was ever fitted to: those of two other makers."""


def installed() -> bool:
    """Whether every set is there."""
    return all(one.path.exists() for one in (*TUNED, *HELD_OUT))


@cache
def _layers(recorded: RecordedSet, voice: str) -> tuple[Floats, ...]:
    found = recorded.strokes.get(voice, ())
    if recorded.place.endswith(".sf2"):
        return tuple(_from_start(sound, rate) for sound, rate in _bank_samples(recorded.path, *found)) if found else ()
    return tuple(_from_start(*_file(recorded.path, str(name))) for name in found)


def _file(folder: Path, pattern: str) -> tuple[Floats, int]:
    (path,) = folder.glob(pattern)
    return soundfile.read(path, always_2d=True)


def _bank_samples(path: Path, first: int, last: int) -> Iterator[tuple[Floats, int]]:
    """Samples of a SoundFont bank: sixteen bits in its ``smpl`` chunk, told of in ``shdr`` by rows of 46 bytes.

    SoundFont Technical Specification 2.04, sections 6 and 7.10.
    """
    data = path.read_bytes()
    chunks = dict(_chunks(data, 12, len(data)))
    for number in range(first, last + 1):
        row = chunks[b"shdr"][0] + 46 * number
        start, end, _, _, rate = struct.unpack_from("<5I", data, row + 20)
        sound = np.frombuffer(data, "<i2", end - start, chunks[b"smpl"][0] + 2 * start)
        yield sound[:, np.newaxis] / 32768, rate


def _chunks(data: bytes, start: int, end: int) -> Iterator[tuple[bytes, tuple[int, int]]]:
    while start + 8 <= end:
        name, length = data[start : start + 4], int.from_bytes(data[start + 4 : start + 8], "little")
        if name == b"LIST":
            yield from _chunks(data, start + 12, start + 8 + length)
        yield name, (start + 8, length)
        start += 8 + length + length % 2


def _from_start(sound: Floats, rate: int) -> Floats:
    """The sound at 48 kHz in two channels, from where it first reaches a thirtieth of its peak."""
    sound = sound if rate == RATE else resample_poly(sound, RATE, rate)
    sound = sound if sound.shape[1] == 2 else np.repeat(sound, 2, axis=1)
    loud = np.abs(sound).max(axis=1)
    return sound[int(np.argmax(loud > loud.max() / 30)) :]
