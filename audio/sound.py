"""Plays passages for the window and the terminal, and tells how far the sound is; opens the device when needed."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from pathlib import Path

    import numpy as np
    import pygame
    from numpy.typing import NDArray

    from audio.kit import Bank
    from shared.passages import Passage

    Samples = NDArray[np.int16]


class Device(Protocol):
    """A player of samples: that of the sound device, its silent stand-in, or a test's."""

    volume: float
    latency: float
    notice: str | None

    @property
    def silent(self) -> bool:
        """Whether no device sounds."""

    def play(self, samples: "Samples", start: float = 0.0) -> None:
        """Play (frames, 2) samples at 48 kHz from ``start`` seconds on, in place of what sounds now."""

    def go_on(self, samples: "Samples", first: float = 0.0) -> None:
        """Let what sounds go on as other samples, which begin ``first`` seconds into the present ones."""

    def stop(self) -> None:
        """Stop at once."""

    def position(self) -> float | None:
        """Seconds into the samples; None when nothing sounds."""

    def handle_event(self, event: "pygame.Event") -> bool:
        """Follow a device that goes or comes back; says whether it did."""

    def close(self) -> None:
        """Let go of the device."""


def this_machine() -> Device:
    """The sound device of this machine, or the silent stand-in."""
    from audio.player import open_player  # numpy and the mixer are slow to load: after the first picture

    return open_player()


class Sound:
    """Plays passages on a kit.  The device is opened when first needed, or by ``open``.

    ``volume`` is in decibels, 0 or less; ``latency`` in seconds.  Both count from the next ``play`` on.
    ``folder`` is where hits of the drums are kept between runs: see ``Bank``.
    """

    def __init__(
        self, open_device: Callable[[], Device] = this_machine, kit: str = "practice", volume: float = -12.0,
        latency: float = 0.0, room: str = "", folder: "Path | None" = None,
    ) -> None:  # fmt: skip
        self._open_device = open_device
        self._device: Device | None = None
        self._bank: Bank | None = None
        self._kept: tuple[Passage, Samples] | None = None
        self._length = 0.0
        self._told = ""
        self.kit = kit
        self.room = room
        self._folder = folder
        self.volume = volume
        self.latency = latency

    @property
    def notice(self) -> str:
        """A sentence for the player about the device; empty when all is well or nothing is known."""
        return (self._device.notice or "") if self._device is not None else ""

    @property
    def passage(self) -> "Passage | None":
        """The passage that was played last on this kit; None before the first."""
        return self._kept[0] if self._kept else None

    def news(self) -> str:
        """A sentence about a change of the device since this was last asked; empty when there was none."""
        before, self._told = self._told, self.notice
        return "" if self._told == before else self._told or "The sound is back."

    def open(self) -> Device:
        """Open the device, if it is not open."""
        # Only when it is wanted: opening can take a second, and some commands never play.
        if self._device is None:
            self._device = self._open_device()
        return self._device

    def use_kit(self, kit: str, room: str = "") -> None:
        """Play on another kit from now on, or in another room; without a name the kit's own."""
        if (kit, room) != (self.kit, self.room):
            self.kit, self.room, self._bank, self._kept = kit, room, None, None

    def play(self, passage: "Passage", start: float = 0.0) -> None:
        """Play a passage from ``start`` seconds on, in place of what sounds now."""
        device, samples = self.open(), self.mixed(passage)
        # Whoever sets it: nothing may make the sound louder than it was mixed, for the sake of ears.
        device.volume, device.latency = min(0.0, self.volume), self.latency
        self._length = passage.seconds
        device.play(samples, start)

    def go_on(self, passage: "Passage", first: float = 0.0) -> None:
        """Let what sounds go on as another passage, with no gap; it begins ``first`` seconds into the present one.

        The two may differ only a tenth of a second or more ahead.  Where nothing sounds it plays from its beginning.
        """
        device, samples = self.open(), self.mixed(passage)
        self._length = passage.seconds
        # The volume stays that of the last ``play``: a step in it would be heard in the middle of a bar.
        device.go_on(samples, first)

    def replay(self, samples: "NDArray[np.float32]") -> None:
        """Play a recording, one channel at full scale 1, in place of what sounds now."""
        import numpy as np  # as in ``mixed``

        from audio.synthesis import RATE

        device = self.open()
        device.volume, device.latency = min(0.0, self.volume), self.latency
        whole = (np.clip(samples, -1, 1) * 32_767).astype(np.int16)
        self._length = len(whole) / RATE
        device.play(np.ascontiguousarray(np.stack([whole, whole], axis=1)))

    def stop(self) -> None:
        """Stop at once."""
        if self._device is not None:
            self._device.stop()

    def position(self) -> float | None:
        """Seconds into the passage; None when nothing sounds or only its last strokes ring on."""
        where = self._device.position() if self._device is not None else None
        return where if where is not None and where < self._length else None

    def handle_event(self, event: "pygame.Event") -> bool:
        """Follow a device that goes or comes back; says whether it did."""
        return self._device is not None and self._device.handle_event(event)

    def close(self) -> None:
        """Stop and let go of the device; it can be opened again."""
        if self._device is not None:
            self._device.close()
            self._device = None

    def mixed(self, passage: "Passage") -> "Samples":
        """The passage as samples; the last one is kept for hearing it again."""
        from audio.kit import Bank  # numpy again
        from audio.mixdown import mix

        if self._kept is None or self._kept[0] != passage:
            self._bank = self._bank or Bank(self.kit, room=self.room, folder=self._folder)
            self._kept = passage, mix(passage, self._bank)
        return self._kept[1]
