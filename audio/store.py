"""One-shots kept on disk between runs, so that the first bar comes sooner; never needed, and never trusted.

A file is a checksum (CRC-32 of what follows), the number of peaks, the peaks and the samples.  The folder's name
is a checksum of the sources that make the sound: another version of the program makes its own and forgets the old.
"""

import os
import struct
import zlib
from contextlib import suppress
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

MOST_BYTES = 128_000_000
"""The most that the folder may hold, in bytes: two whole banks; beyond it the oldest files go."""

SOURCES = ("kit", "limiter", "room", "store", "synthesis", "voices", "voicing")
"""The modules beside this one that make the sound."""

HEAD = struct.Struct("<II")
"""The head of a file: checksum and number of peaks."""


def _is_folder(path: Path) -> bool:
    """Whether there is such a folder; a name that no folder can have is no fault."""
    try:
        return path.is_dir()
    except OSError:
        return False


class Store:
    """A folder of one-shots.  No fault of the disk is ever raised: what cannot be kept is made again."""

    def __init__(self, folder: Path) -> None:
        # A folder is made in the program's own data folder, not where none has been made yet.
        self._folder = folder / version() if version() and _is_folder(folder.parent) else None
        self._room: int | None = None

    def take(self, label: str) -> tuple[NDArray[np.float32], NDArray[np.int16]] | None:
        """The peaks and the samples (frames, 2) kept under a label; None where there are none, or damaged ones."""
        if self._folder is None:
            return None
        try:
            # Whole and checked: a file that a full disk cut short would be played as noise.
            data = (self._folder / label).read_bytes()
            checksum, count = HEAD.unpack_from(data)
            # A view, since a slice would copy the whole file.
            if zlib.crc32(memoryview(data)[4:]) != checksum:
                return None
            start = HEAD.size + 4 * count
            peaks = np.frombuffer(data, np.float32, count, HEAD.size)
            return peaks, np.frombuffer(data, np.int16, offset=start).reshape(-1, 2)
        except (OSError, ValueError, struct.error):
            return None

    def keep(self, label: str, peaks: NDArray[np.float32], samples: NDArray[np.int16]) -> None:
        """Keep peaks and samples under a label, whole or not at all, as far as there is room."""
        if self._folder is None:
            return
        # Peaks and samples as this machine holds them: the folder never leaves it.
        body = struct.pack("<I", peaks.size) + peaks.tobytes() + samples.tobytes()
        spare = self._folder / f".{os.urandom(8).hex()}.part"
        try:
            if self._room is None:
                self._make_room(self._folder)
            if len(body) > (self._room or 0):
                # Half at once: else each further hit would look through the whole folder again.
                self._room = _emptied(self._folder, MOST_BYTES // 2)
            spare.write_bytes(struct.pack("<I", zlib.crc32(body)) + body)
            spare.replace(self._folder / label)
            self._room = (self._room or 0) - len(body)
        except OSError:
            with suppress(OSError):
                spare.unlink()

    def _make_room(self, folder: Path) -> None:
        """The folder, made if need be; those of other versions go."""
        folder.mkdir(parents=True, exist_ok=True)
        for other in folder.parent.iterdir():
            if other != folder and other.is_dir():
                _emptied(other, 0)
                with suppress(OSError):
                    other.rmdir()
        self._room = _emptied(folder, MOST_BYTES)


def _emptied(folder: Path, most: int) -> int:
    """Remove the oldest files of a folder until it holds ``most`` bytes or fewer; how many more it may then hold."""
    # By when they were written: many systems do not note when a file was read.
    files = sorted(((path.stat(), path) for path in folder.iterdir()), key=lambda one: one[0].st_mtime)
    held = sum(about.st_size for about, _ in files)
    for about, path in files:
        if held <= most:
            break
        with suppress(OSError):
            path.unlink()
            held -= about.st_size
    return MOST_BYTES - held


@cache
def version() -> str:
    """A checksum of the sources of the sound and of numpy's version; empty where the sources are not to be had."""
    checksum = zlib.crc32(np.__version__.encode())
    try:
        for name in SOURCES:
            checksum = zlib.crc32(Path(__file__).with_name(f"{name}.py").read_bytes(), checksum)
    except OSError:
        return ""
    return f"{checksum:08x}"
