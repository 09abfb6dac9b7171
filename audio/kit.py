"""The drum kits by name, and the bank that makes and keeps their one-shots: the sounds of single hits."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from audio.limiter import true_peaks
from audio.room import ROOMS, Room
from audio.store import Store
from shared.errors import UserError
from shared.instruments import CLICKS
from shared.passages import ACCENT_FROM

if TYPE_CHECKING:
    from audio.voices import Voice

FULL_SCALE = 32767
"""The sample value of full scale."""

# Eight layers of three hits bring a whole bank to some 54 MB, which is why each is made only when it is asked for.
LAYERS = 8
"""How many steps of velocity have a sound of their own."""

VARIANTS = 3
"""How many hits of one layer there are, to be taken in turn."""


class KitError(UserError, ValueError):
    """A kit or a room that does not exist."""


@dataclass(frozen=True)
class Kit:
    """A set of voices, and the room that it stands in unless another is asked for."""

    name: str
    about: str
    room: str = "dry"

    @property
    def voices(self) -> "dict[str, Voice]":
        """Every voice by name; ``..., accented`` where an accent has a voice of its own."""
        from audio.voicing import voices_of  # slow to load, and not needed for hits that are kept

        return voices_of(self.name)


KITS = {
    kit.name: kit
    for kit in (
        Kit("practice", "a small dry kit: every stroke stands alone"),
        Kit("stage", "a larger, deeper kit in a small room", "room"),
        Kit("click", "a plain click for every stroke, its pitch telling drums from cymbals"),
    )
}
"""Every kit, by name."""


def kit_named(name: str) -> Kit:
    """The kit of that name.  Raises ``KitError`` with the names there are."""
    try:
        return KITS[name]
    except KeyError:
        raise KitError(f"kit {name!r}: choose from {', '.join(KITS)}") from None


def room_named(name: str) -> Room | None:
    """The room of that name, None for none at all.  Raises ``KitError`` with the names there are."""
    try:
        return ROOMS[name]
    except KeyError:
        raise KitError(f"room {name!r}: choose from {', '.join(ROOMS)}") from None


class Shot(NamedTuple):
    """One hit, ready to be added.

    ``samples`` (frames, 2) int16; ``peaks`` (blocks + 1,) float32: what no true peak exceeds in
    each limiter block, full scale 1, wherever in a block the hit may start.
    """

    samples: NDArray[np.int16]
    peaks: NDArray[np.float32]


class Bank:
    """The one-shots of a kit in a room, each made when it is first asked for and then kept.

    ``room`` is the kit's own unless named.  Hits that an earlier run kept in ``folder`` are read from there, and new
    ones are written to it; without a folder all are made anew.  The same kit, room and seed give the same samples to
    the bit, read or made.
    """

    def __init__(self, kit: str = "practice", seed: int = 0, room: str = "", folder: Path | None = None) -> None:
        self.kit = kit_named(kit)
        self.room = room or self.kit.room
        room_named(self.room)
        self.seed = seed
        self._store = Store(folder) if folder else None
        self._shots: dict[tuple[str, int, int], Shot] = {}

    def shot(self, instrument: str, velocity: float, turn: int = 0) -> Shot:
        """The hit of an instrument at a velocity (0 to 1); ``turn`` counts its hits, each unlike the one before."""
        accented = velocity >= ACCENT_FROM and instrument in CLICKS
        key = f"{instrument}, accented" if accented else instrument, layer_of(velocity), variant_of(turn)
        if key not in self._shots:
            self._shots[key] = self._kept(*key)
        return self._shots[key]

    @property
    def nbytes(self) -> int:
        """How many bytes of samples and peaks are kept."""
        return sum(shot.samples.nbytes + shot.peaks.nbytes for shot in self._shots.values())

    def _kept(self, name: str, layer: int, variant: int) -> Shot:
        """The hit from the folder, or made and put there."""
        if not self._store:
            return self._made(name, layer, variant)
        label = f"{self.kit.name}-{self.room}-{self.seed}-{name.replace(', ', '-')}-{layer}-{variant}"
        kept = self._store.take(label)
        if kept is None:
            shot = self._made(name, layer, variant)
            self._store.keep(label, shot.peaks, shot.samples)
            return shot
        return Shot(kept[1], kept[0])

    def _made(self, name: str, layer: int, variant: int) -> Shot:
        from audio.voicing import hit_of, voices_of

        seed = self.seed, variant, *name.encode()
        sound = hit_of(voices_of(self.kit.name)[name], seed, layer / LAYERS, room_named(self.room))
        samples = _without_silent_end(np.rint(sound * FULL_SCALE).astype(np.int16))
        # Shared by every mix: a stray write into one would be heard in all bars to come.
        samples.flags.writeable = False
        return Shot(samples, true_peaks(samples.astype(np.float32) / np.float32(FULL_SCALE)))


def layer_of(velocity: float) -> int:
    """The layer, from 1 (softest) to ``LAYERS``, that plays a velocity from 0 to 1."""
    # Less a hair: 0.625 times 8 must stay in layer 5 whatever rounding made of it on the way.
    return min(LAYERS, max(1, int(np.ceil(velocity * LAYERS - 1e-9))))


def variant_of(turn: int) -> int:
    """The variant of an instrument's hit: never the one before, nor the same round every time."""
    return (turn + turn // VARIANTS) % VARIANTS


def _without_silent_end(samples: NDArray[np.int16]) -> NDArray[np.int16]:
    sounding = np.flatnonzero(np.abs(samples).max(axis=1) > 1)
    return samples[: int(sounding[-1]) + 1].copy() if sounding.size else samples[:1].copy()
