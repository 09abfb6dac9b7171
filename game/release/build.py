"""``python -m game.release.build FOLDER``: the program for people who have no Python, as a folder and an archive.

It is made of what is installed in this environment, so of the checkout after ``pip install ".[build]"``, and runs on
systems like this one: on Linux on those with the same or a newer C library.
"""

import argparse
import platform
import shutil
import subprocess
import sys
from pathlib import Path

import pygame
import shtab

from game.release.notices import notices
from game.release.pages import FILES, HERE, loaded
from game.widgets.icon import icon

ICON_SIZE = 256

SHELLS = {"bash": "drumlin.bash", "zsh": "_drumlin"}
"""The shells whose completion comes along, each with the name of the file that it looks for."""


def built(folder: Path) -> Path:
    """Build the program into a folder; the folder in it that is the whole program."""
    scratch = folder / "scratch"
    scratch.mkdir(parents=True, exist_ok=True)
    # The spec wants its icon beside itself, and nothing may be written into the installed package.
    spec = shutil.copy2(HERE / "drumlin.spec", scratch)
    pygame.image.save(icon(ICON_SIZE), scratch / "drumlin.png")
    freeze = [sys.executable, "-m", "PyInstaller", "--noconfirm", "--log-level", "ERROR"]
    subprocess.run([*freeze, "--distpath", folder, "--workpath", scratch / "work", spec], check=True, cwd=scratch)
    top = "Drumlin.app" if sys.platform == "darwin" else "drumlin"
    program = folder / top / ("Contents/Resources" if sys.platform == "darwin" else "")
    _add_pages(program, scratch)
    (program / "NOTICES.txt").write_text(notices(program), encoding="utf-8")
    shutil.rmtree(scratch)
    return folder / top


def archived(program: Path) -> Path:
    """The archive of a built program, which it lies beside."""
    name = f"drumlin-{platform.system().lower()}-{platform.machine().lower()}"
    kind = "zip" if sys.platform == "win32" else "gztar"
    # With the folder's own name in it: who unpacks it gets one folder, not a hundred files.
    return Path(shutil.make_archive(str(program.parent / name), kind, program.parent, program.name))


def _add_pages(program: Path, scratch: Path) -> None:
    """Add icon, licence and README beside the program; on Linux also man page, menu entry and completion of shells."""
    shutil.copy2(scratch / "drumlin.png", program)
    shutil.copy2(HERE.parents[1] / "LICENSE", program)
    shutil.copy2(HERE.parents[1] / "README.md", program)
    if sys.platform.startswith("linux"):
        for name in FILES:
            shutil.copy2(HERE / name, program)
        for shell, name in SHELLS.items():
            (program / name).write_text(completion(shell), encoding="utf-8")
        shutil.copy2(HERE / "add-to-menu.sh", program)


def completion(shell: str) -> str:
    """The completion script of a shell: commands, options and their values, files and folders where they are wanted."""
    parser = loaded()
    _complete_paths(parser)
    return str(shtab.complete(parser, shell))


def _complete_paths(parser: argparse.ArgumentParser) -> None:
    # argparse lists its arguments under a private name alone; a value's name in the help says whether it is a path.
    for action in parser._actions:
        wanted = str(action.metavar or "")
        if isinstance(action, argparse._SubParsersAction):
            for command in action.choices.values():
                _complete_paths(command)
        elif "FILE" in wanted or wanted == "TAKE":
            action.complete = shtab.FILE  # type: ignore[attr-defined]
        elif wanted == "DIR":
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]


def main() -> None:
    """Build and say where the archive is."""
    parser = argparse.ArgumentParser(prog="python -m game.release.build", description=__doc__)
    parser.add_argument("folder", type=Path, help="where the program and its archive are put")
    parser.add_argument("--no-archive", action="store_true", help="the folder alone, to be tried here")
    options = parser.parse_args()
    program = built(options.folder.absolute())
    if options.no_archive:
        print(program)
        return
    archive = archived(program)
    print(f"{archive}: {archive.stat().st_size / 1e6:.0f} MB")


if __name__ == "__main__":
    main()
