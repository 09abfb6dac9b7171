"""The sound of the screens: passages go in; where the sound is can be asked while it plays."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from audio.kit import Bank
    from shared.passages import Passage

    Samples = NDArray[np.int16]


class Output(Protocol):
    """What plays samples: the player of the sound device, its silent stand-in, or a test's."""

    silent: bool
    notice: str | None

    @property
    def playing(self) -> bool:
        """Whether something sounds now."""

    def play(self, samples: "Samples", start: float = 0.0) -> None:
        """Play (frames, 2) samples at 48 kHz from ``start`` seconds on, in place of what sounds now."""

    def stop(self) -> None:
        """Stop at once."""

    def position(self) -> float | None:
        """Seconds into the samples; None when nothing sounds."""

    def close(self) -> None:
        """Let go of the device."""


def device() -> Output:
    """The sound device of this machine, or the silent stand-in."""
    from audio.player import open_player  # numpy and the mixer are slow to import: after the first picture

    return open_player()


class Sound:
    """Plays passages on a kit.  The device is opened when first needed, or by ``open``.

    ``volume`` is in decibels below full (at most 0) and counts from the next ``play`` on.
    """

    def __init__(self, open_output: Callable[[], Output] = device, kit: str = "practice", volume: float = -12.0):
        self._open_output = open_output
        self._output: Output | None = None
        self._bank: Bank | None = None
        self._kept: tuple[Passage, Samples] | None = None
        self._length = 0.0
        self.kit = kit
        self.volume = volume

    def open(self) -> str | None:
        """Open the device if it is not open; returns what the player should be told about it, if anything."""
        if self._output is None:
            self._output = self._open_output()
        return self._output.notice

    def use_kit(self, kit: str) -> None:
        """Play on another kit from now on."""
        if kit != self.kit:
            self.kit, self._bank, self._kept = kit, None, None

    def play(self, passage: "Passage", start: float = 0.0) -> None:
        """Play a passage from ``start`` seconds on, in place of what sounds now."""
        self.open()
        assert self._output is not None
        samples = self._mixed(passage)
        self._length = passage.seconds
        self._output.play(_scaled(samples, self.volume), start)

    def stop(self) -> None:
        """Stop at once."""
        if self._output is not None:
            self._output.stop()

    @property
    def silent(self) -> bool:
        """Whether there is no sound device, as far as is known."""
        return self._output is not None and self._output.silent

    def position(self) -> float | None:
        """Seconds into the passage; None when nothing sounds or only its last strokes ring on."""
        where = self._output.position() if self._output is not None else None
        return where if where is not None and where < self._length else None

    def close(self) -> None:
        """Stop and let go of the device; it can be opened again."""
        if self._output is not None:
            self._output.close()
            self._output = None

    def _mixed(self, passage: "Passage") -> "Samples":
        """The passage as samples at full level; the last one is kept for hearing it again."""
        from audio.kit import Bank
        from audio.mixdown import mix

        if self._kept is None or self._kept[0] != passage:
            self._bank = self._bank or Bank(self.kit)
            self._kept = passage, mix(passage, self._bank)
        return self._kept[1]


def _scaled(samples: "Samples", volume: float) -> "Samples":
    import numpy as np

    scaled: Samples = np.rint(samples * np.float32(10 ** (min(0.0, volume) / 20))).astype(np.int16)
    return scaled
