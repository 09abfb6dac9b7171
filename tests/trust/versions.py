"""The program as users get it: built, installed and started on every Python that is here.

``python -m tests.trust.versions [--scratch FOLDER]`` builds wheel and sdist, installs them with wheels alone (no
compiler) in environments of their own, starts what a user starts from a foreign folder, and prints a table.  It
fetches the dependencies through pip, so it wants a network or pip's cache.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MINORS = range(11, 16)
"""The minor versions of Python 3 that the program should run on."""

FIRST_FRAME = """
import sys
from game.app import App, close_display, open_display
from game.screens.context import open_context
from game.screens.home.home import first_screens
context = open_context(lambda: 1.75e9, lambda: 7, folder=sys.argv[1])
app = App(context, first_screens(context), open_display((1024, 640)))
assert app.step(0.0)
assert len({tuple(app.canvas.get_at((x, y))) for x in range(0, 1024, 3) for y in range(0, 640, 3)}) > 2
close_display()
context.records.close()
print("painted")
"""
"""The window up to its first picture, with something in it."""

COMMANDS = (
    ("--version",),
    ("explain", "1 e a 2 & 3 e a 4 & a"),
    ("levels",),
    ("write", "1 e a 2 & 3 4", "bar.wav", "bar.pdf", "bar.musicxml"),
    ("check", "--data-dir", "data"),
)
"""What is started on every Python, from a foreign folder."""


def interpreters() -> dict[str, Path]:
    """The CPython interpreters of this machine that should do, by version: on the path, and pyenv's."""
    pyenv = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    found = [Path(sys.executable)]
    found += [Path(path) for minor in MINORS if (path := shutil.which(f"python3.{minor}"))]
    found += [path for minor in MINORS for path in sorted(pyenv.glob(f"3.{minor}.*/bin/python"))]
    named = {version: path for path in found if (version := _version(path))}
    return {version: named[version] for version in sorted(named, key=lambda v: [int(n) for n in v.split(".")])}


def _version(python: Path) -> str | None:
    asks = "import platform as p; print(p.python_implementation(), p.python_version())"
    told = subprocess.run([python, "-c", asks], capture_output=True, text=True, check=False).stdout.split()
    fits = len(told) == 2 and told[0] == "CPython" and told[1].split(".")[1].isdigit()
    return told[1] if fits and int(told[1].split(".")[1]) in MINORS else None


def environment(python: Path, folder: Path, *packages: str | Path) -> Path:
    """A fresh environment with packages, wheels alone; returns its Python."""
    subprocess.run([python, "-m", "venv", folder], check=True)
    inside = folder / ("Scripts" if os.name == "nt" else "bin") / "python"
    if packages:
        quiet = ("--quiet", "--disable-pip-version-check", "--only-binary=:all:")
        subprocess.run([inside, "-m", "pip", "install", *quiet, *packages], check=True, stderr=subprocess.PIPE)
    return inside


def built(scratch: Path) -> tuple[Path, Path]:
    """Wheel and sdist, built from the tracked files as they are now."""
    source, out = scratch / "source", scratch / "dist"
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).is_file():
            (source / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, source / name)
    tool = environment(Path(sys.executable), scratch / "tool", "hatchling")
    subprocess.run([tool, "-m", "hatchling", "build", "-d", out], cwd=source, check=True, capture_output=True)
    return next(out.glob("*.whl")), next(out.glob("*.tar.gz"))


def faults_of_contents(wheel: Path, sdist: Path) -> Iterator[str]:
    """What is missing from wheel and sdist, or too much."""
    names = zipfile.ZipFile(wheel).namelist()
    tops = {name.partition("/")[0] for name in names if ".dist-info/" not in name and ".data/" not in name}
    if tops != {"game", "audio", "shared", "levels"}:
        yield f"the wheel holds {sorted(tops)}"
    licences = [name for name in names if ".dist-info/licenses/" in name]
    for what, found, least in (
        ("levels", [name for name in names if name.startswith("levels/") and name.endswith(".toml")], 9),
        ("pages for the system", [name for name in names if ".data/data/share/" in name], 3),
        ("fonts", [name for name in names if name.endswith(".ttf")], 3),
        ("licences", licences, 3),
    ):
        if len(found) < least:
            yield f"the wheel lacks {what}: {found}"
    with tarfile.open(sdist) as packed:
        inside = {name.partition("/")[2] for name in packed.getnames()}
    wanted = {"pyproject.toml", "README.md", "LICENSE", "game/app.py", "levels/stage-8.toml", "tests/conftest.py"}
    yield from (f"the sdist lacks {name}" for name in sorted(wanted - inside))


def run(command: Sequence[str | Path], folder: Path) -> str:
    """What a command prints, run in a foreign folder without a display or a sound device."""
    hidden = {"SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy", "PYGAME_HIDE_SUPPORT_PROMPT": "1",
              "XDG_DATA_HOME": str(folder)}  # fmt: skip
    bare = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    ended = subprocess.run(
        command, cwd=folder, env=bare | hidden, capture_output=True, text=True, encoding="utf-8", timeout=120,
        check=False,
    )  # fmt: skip
    if ended.returncode:
        raise AssertionError(f"{command}: code {ended.returncode}\n{ended.stdout}{ended.stderr}")
    return ended.stdout


def check_starts(python: Path, folder: Path) -> None:
    """Everything in ``COMMANDS``, and the window, by the installed program; also through a link, as pipx makes one."""
    folder.mkdir()
    drumlin = python.with_name("drumlin" + python.suffix)
    for words in COMMANDS:
        run([drumlin, *words], folder)
    if "painted" not in run([python, "-c", FIRST_FRAME, folder / "data"], folder):
        raise AssertionError("the window was not painted")
    if os.name != "nt":
        link = folder / "linked-drumlin"
        link.symlink_to(drumlin)
        run([link, "explain", "1 & 2 3 4"], folder)


def report(scratch: Path) -> list[tuple[str, str]]:
    """A row for each check: what, and "ok" or what was wrong."""
    wheel, sdist = built(scratch)
    rows = [(f"contents of {wheel.name} and {sdist.name}", "; ".join(faults_of_contents(wheel, sdist)) or "ok")]
    for version, python in interpreters().items():
        rows.append((f"CPython {version}, wheel", _tried(python, wheel, scratch / version)))
    rows.append(("sdist", _tried(Path(sys.executable), sdist, scratch / "from-sdist")))
    missing = [f"3.{minor}" for minor in MINORS if not any(v.startswith(f"3.{minor}.") for v in interpreters())]
    return [*rows, *((f"CPython {version}", "not here") for version in missing)]


def _tried(python: Path, package: Path, scratch: Path) -> str:
    try:
        if package.suffix == ".gz":
            inside = environment(python, scratch)
            subprocess.run([inside, "-m", "pip", "install", "-q", package], check=True, capture_output=True)
        else:
            inside = environment(python, scratch, package)
        check_starts(inside, scratch / "elsewhere")
    except (AssertionError, subprocess.SubprocessError, OSError) as error:
        return f"{error} {getattr(error, 'stderr', None) or ''}"
    return "ok"


def main() -> None:
    """Print the table; exit code 1 where something was wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.trust.versions", description=__doc__)
    parser.add_argument("--scratch", type=Path, help="where the environments are made (default: a folder that goes)")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        rows = report(options.scratch or Path(scratch))
    print("\n".join(f"{what:50}  {told}" for what, told in rows))
    raise SystemExit(any(told not in ("ok", "not here") for _, told in rows))


if __name__ == "__main__":
    main()
