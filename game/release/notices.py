"""The licences of everything that a built program holds, gathered from what is installed here."""

import re
import subprocess
import sysconfig
from collections.abc import Iterator
from importlib.metadata import Distribution, distribution
from pathlib import Path

from packaging.requirements import Requirement

LICENCE = re.compile(r"licen[cs]e|copying|notice|authors", re.IGNORECASE)

BUILDER = "pyinstaller"
"""Its start code is part of every program that it builds (GPL with an exception for just that)."""

COPYRIGHTS = Path("/usr/share/doc")
"""Where Debian keeps the licences of its packages."""


def notices(program: Path) -> str:
    """All licences as one text; ``program`` is the folder that was built.

    Raises ``LookupError`` for a package that brings no licence: it must not be passed on without.
    """
    parts = [_headed("Python", _python_licence())]
    parts += [_headed(one.metadata["Name"], licence_of(one)) for one in _closure("drumlin")]
    parts += [_headed(BUILDER, licence_of(distribution(BUILDER)))]
    parts += [_headed(f"system library: {name}", text) for name, text in _system_licences(program)]
    return "What this program is made of, and the licences of its parts.\n\n" + "\n".join(parts)


def _headed(name: str, text: str) -> str:
    return f"{'=' * 78}\n{name}\n{'=' * 78}\n\n{text.strip()}\n"


def _python_licence() -> str:
    for folder in (sysconfig.get_path("stdlib"), sysconfig.get_config_var("installed_base") or ""):
        for path in (Path(folder) / "LICENSE.txt", Path(folder) / "LICENSE"):
            if path.is_file():
                return path.read_text(encoding="utf-8", errors="replace")
    return "Python Software Foundation License, version 2: docs.python.org/3/license.html"


def _closure(name: str) -> list[Distribution]:
    """A distribution and all that it needs here, by name."""
    found: dict[str, Distribution] = {}
    waiting = [name]
    while waiting:
        one = waiting.pop().lower().replace("_", "-")
        if one not in found:
            found[one] = distribution(one)
            # Without extras: what tests and builders need is not passed on.
            wanted = map(Requirement, found[one].requires or [])
            waiting += [need.name for need in wanted if need.marker is None or need.marker.evaluate({"extra": ""})]
    return [found[one] for one in sorted(found)]


def licence_of(one: Distribution) -> str:
    files = [file for file in one.files or [] if LICENCE.search(file.name) and ".dist-info" in str(file)]
    texts = [Path(str(file.locate())).read_text(encoding="utf-8", errors="replace") for file in sorted(set(files))]
    said = one.metadata["License-Expression"] or one.metadata["License"] or ""
    if not texts and not said:
        raise LookupError(f"{one.metadata['Name']} says nothing of its licence: look it up before passing it on")
    return "\n\n".join([f"{one.version}, {said.splitlines()[0] if said else 'see below'}", *texts])


def _system_licences(program: Path) -> Iterator[tuple[str, str]]:
    """The Debian packages whose libraries came along, with their copyright files; none on other systems."""
    # By their names, since the builder keeps no note of where it took a library from.
    names = {path.name for path in (program / "_internal").glob("*.so*")}
    owners: set[str] = set()
    for name in sorted(names):
        try:
            told = subprocess.run(["dpkg-query", "-S", f"*/{name}"], capture_output=True, text=True, check=False)
        except OSError:
            return
        # A line is "package: path", or "package:architecture: path".
        owners |= {line.partition(":")[0] for line in told.stdout.splitlines()}
    for owner in sorted(owners):
        path = COPYRIGHTS / owner / "copyright"
        if path.is_file():
            yield owner, path.read_text(encoding="utf-8", errors="replace")
