"""Writes files whole or not at all, and checks names that some system would not take."""

import errno
import os
import shutil
import signal
import threading
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from stat import S_ISDIR

from shared.errors import UserError


class FileError(UserError, OSError):
    """A file that could not be written; the message is one line: what, where, what would do."""

    def __str__(self) -> str:
        return str(self.args[0])


def write_beside(path: str | os.PathLike[str], data: bytes | Iterable[bytes]) -> None:
    """Write ``data``, which may come in parts, to ``path`` whole or not at all.

    The bytes go into a new file in the same folder, which then takes the name; a file that was there
    before stays as it was until that moment.  Raises ``FileError`` in one line where the folder is
    missing or read-only, the path is a folder, the name is no file's name or the disk is full.
    """
    write_together({Path(path): data})


def write_together(files: Mapping[Path, bytes | Iterable[bytes]]) -> None:
    """Write files that belong together, as ``write_beside`` does: all or none.

    None takes its name before all are on the disk, an interrupt waits while they do, and where one can't take its
    name the others give theirs up to what was there before.
    """
    # All places before any byte: a missing folder for the last file must not leave the first ones written.
    for target in files:
        check_place(target)
    # In the folder of the target, since a rename is whole only within one file system.
    spares = {target: _spare(target) for target in files}
    older = {target: _spare(target) for target in files if len(files) > 1}
    placed: list[Path] = []
    try:
        for target, data in files.items():
            _write(spares[target], data)
        with _uninterrupted():
            for target, spare in spares.items():
                # Kept aside until all have their names; a single file needs no such copy, its rename is the only one.
                if target in older and os.path.lexists(target):
                    shutil.copy2(target, older[target], follow_symlinks=False)
                spare.replace(target)
                placed.append(target)
    except OSError as error:
        for written in placed:
            _take_back(written, older.get(written))
        raise FileError(_reason(target, error)) from error
    finally:
        # Those that took their names are gone already, which is no fault.
        for spare in (*spares.values(), *older.values()):
            _forget(spare)


def _spare(target: Path) -> Path:
    # Random names, so that two programs can write the same file, and what a crash left is never in the way.
    return target.parent / f".{os.urandom(8).hex()}.part"


def _take_back(target: Path, older: Path | None) -> None:
    with suppress(OSError):
        if older is not None and os.path.lexists(older):
            older.replace(target)
        else:
            target.unlink()


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Let an interrupt come only when the block is over."""
    if threading.current_thread() is not threading.main_thread():  # no other is interrupted
        yield
        return
    came: list[int] = []
    # A signal that has no Python handler (ignored, or ending the process outright) is left as it is.
    kept = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}
    ours = {number: handler for number, handler in kept.items() if callable(handler)}
    try:
        for number in ours:
            signal.signal(number, lambda found, _: came.append(found))
        yield
    finally:
        for number, handler in ours.items():
            signal.signal(number, handler)
        if came:
            signal.raise_signal(came[0])


def _write(spare: Path, data: bytes | Iterable[bytes]) -> None:
    with spare.open("xb") as file:
        file.writelines((data,) if isinstance(data, bytes) else data)
        file.flush()
        # Else a power cut could leave the new name on an empty file, and the old file gone.
        os.fsync(file.fileno())


def check_place(target: Path) -> None:
    """Raise ``FileError`` where no file of that name can be: no folder, a folder's own name, no name at all."""
    if "\0" in str(target):
        raise FileError(f"{str(target)!r}: a file name cannot hold a zero character; choose another name")
    if not target.name:
        raise FileError(f"{shown(target)}: this names a folder; add a file name")
    if _is_folder(target):
        raise FileError(f"{shown(target)}: this is a folder; give the name of a file in it")
    if not _is_folder(target.parent):
        raise FileError(f"{shown(target)}: there is no folder {shown(target.parent)}; make it first")


def _is_folder(path: Path) -> bool:
    """Whether there is such a folder.  ``Path.is_dir`` would not tell a name that can't be from one that is not."""
    try:
        return S_ISDIR(path.stat().st_mode)
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        raise FileError(_reason(path, error)) from error


def shown(path: str | os.PathLike[str]) -> str:
    """A path as one line of printable text, whatever characters it holds."""
    text = os.fsdecode(path)
    return "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode("ascii") for sign in text)


def _reason(target: Path, error: OSError) -> str:
    name, folder = shown(target), shown(target.parent)
    known = {
        errno.EACCES: f"the folder {folder} may not be written to; choose another",
        errno.EPERM: f"the folder {folder} may not be written to; choose another",
        errno.EROFS: f"the folder {folder} may not be written to; choose another",
        errno.ENOSPC: "the disk is full; make room or choose another folder",
        errno.EDQUOT: "the disk is full; make room or choose another folder",
        errno.ENAMETOOLONG: "the name is too long; choose a shorter one",
        errno.EINVAL: "the name is not allowed here; choose another",
    }
    return f"{name}: {known.get(error.errno or 0, str(error.strerror or error))}; nothing was written"


def _forget(spare: Path) -> None:
    with suppress(OSError):
        spare.unlink()


DEVICES = {"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"} | {
    f"{port}{number}" for port in ("COM", "LPT") for number in "123456789¹²³"
}
"""Names that Windows keeps for devices, whatever the ending (Microsoft, "Naming Files, Paths, and Namespaces")."""

FORBIDDEN = frozenset('<>:"|?*\\')
"""Signs that a file name of Windows cannot hold (the same page); a slash can't be in a name anywhere."""


def check_portable(path: Path) -> None:
    """Raise ``FileError`` for a file name that some system does not take, or takes for another."""
    name = path.name
    bad = sorted(FORBIDDEN.intersection(name) | {sign for sign in name if ord(sign) < 32})
    if bad:
        raise FileError(f"{shown(path)}: Windows takes no file name with {shown(bad[0])} in it; choose another name")
    if _is_device(name):
        raise FileError(f"{shown(path)}: Windows keeps this name for a device; choose another name")
    if name.endswith((".", " ")):
        raise FileError(f"{shown(path)}: Windows drops a dot or a space at the end of a name; choose another name")


def _is_device(name: str) -> bool:
    # Up to the first dot: Windows takes NUL.tar.gz for the device too.
    return name.partition(".")[0].rstrip().upper() in DEVICES


def same_file_key(path: Path) -> tuple[str, str]:
    """A key that is the same for two paths which some system takes for one file.

    macOS and Windows look for names without regard to capitals; macOS also to how an accent is composed.
    """
    return os.path.realpath(path.parent), unicodedata.normalize("NFC", path.name).casefold()


def slug(name: str) -> str:
    """A name as a file name that every system takes: at most 60 letters and digits, in small letters, and hyphens.

    Empty where the name has neither letters nor digits.
    """
    words = "".join(sign if sign.isalnum() else " " for sign in name.lower()).split()
    # The cut may fall on a hyphen.
    found = "-".join(words)[:60].strip("-")
    return f"{found}-1" if _is_device(found) else found
