"""Writing a file whole or not at all."""

import errno
import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
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
    """Write files that belong together, as ``write_beside`` does: none takes its name before all are on the disk."""
    for target in files:
        check_place(target)
    # Random names, so that two programs can write the same file, and what a crash left is never in the way.
    spares = {target: target.parent / f".{os.urandom(8).hex()}.part" for target in files}
    try:
        for target, data in files.items():
            _write(spares[target], data)
        for target, spare in spares.items():
            spare.replace(target)
    except OSError as error:
        raise FileError(_reason(target, error)) from error
    finally:
        for spare in spares.values():
            # Those that took their names are gone already, which is no fault.
            _forget(spare)


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


def slug(name: str) -> str:
    """A name as a file name that every system takes: at most 60 letters and digits, in small letters, and hyphens.

    Empty where the name has neither letters nor digits.
    """
    words = "".join(sign if sign.isalnum() else " " for sign in name.lower()).split()
    # The cut may fall on a hyphen.
    return "-".join(words)[:60].strip("-")
