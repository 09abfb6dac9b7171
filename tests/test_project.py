"""The project as it is packed and installed: what comes with it, and what must not."""

import importlib.metadata
import re
import shutil
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def wanted_by(requirements: list[str], extra: str = "") -> Iterator[str]:
    """The names of distributions that requirements ask for on this machine."""
    for requirement in map(Requirement, requirements):
        if requirement.marker is None or requirement.marker.evaluate({"extra": extra}):
            yield canonicalize_name(requirement.name)


def pulled_in() -> set[str]:
    """Every distribution that installing the program with its tests brings along."""
    found: set[str] = set()
    waiting = list(wanted_by([*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]]))
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += wanted_by(importlib.metadata.distribution(name).requires or [])
    return found


def test_nothing_pulls_in_the_old_pygame() -> None:
    """pygame-ce owns the import name; the older distribution would overwrite it file by file."""
    names = pulled_in()
    assert "pygame-ce" in names
    assert "pygame" not in names


def test_pygame_is_the_community_edition() -> None:
    """What ``import pygame`` loads belongs to pygame-ce alone."""
    records = {one.name: one.read_text("RECORD") or "" for one in importlib.metadata.distributions()}
    assert {name for name, record in records.items() if f"\n{record}".count("\npygame/")} == {"pygame-ce"}


def tracked() -> list[Path]:
    """The files of the checkout, as git knows them."""
    if shutil.which("git") is None or not (ROOT / ".git").exists():
        pytest.skip("this is no git checkout")
    command = ["git", "-c", "safe.directory=*", "ls-files", "-z"]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


def texts() -> Iterator[tuple[str, str]]:
    """The tracked text files, with their names."""
    for path in tracked():
        content = path.read_bytes()
        if b"\0" not in content:
            yield path.relative_to(ROOT).as_posix(), content.decode("utf-8", errors="replace")


HOMES = re.compile(r"(?<![\w./])/(?:home|Users|root|work)/[A-Za-z.]")
REGISTRIES = re.compile("|".join(["pypi" + r"\.org", "pythonhosted" + r"\.org", "npmjs" + r"\.(?:com|org)"]))


@pytest.mark.parametrize("pattern", [HOMES, REGISTRIES], ids=["machine paths", "package registries"])
def test_no_file_names_our_machines(pattern: re.Pattern[str]) -> None:
    """No tracked file holds a path of somebody's machine or the host of a package registry."""
    assert [name for name, text in texts() if pattern.search(text)] == []


def test_tracked_files_are_small() -> None:
    """No tracked file is larger than 2 MB: what can be made is not kept."""
    assert [path.name for path in tracked() if path.stat().st_size > 2_000_000] == []


def test_the_licence_is_there() -> None:
    """The licence stands where the project says, and each font has its own beside it."""
    assert PROJECT["license"] == "MIT"
    assert (ROOT / "LICENSE").read_text(encoding="utf-8").startswith("MIT License\n")
    fonts = ROOT / "game" / "engraving" / "fonts"
    families = {path.stem.partition("-")[0] for path in fonts.glob("*.ttf")}
    assert families == {path.stem.partition("-")[0] for path in fonts.glob("*OFL.txt")}


@pytest.fixture(scope="module")
def installed() -> set[str]:
    """The files of the installed program, unless it runs from the checkout."""
    try:
        files = importlib.metadata.files("drumlin") or []
    except importlib.metadata.PackageNotFoundError:
        pytest.skip("the program is not installed here")
    names = {file.as_posix() for file in files}
    if "game/app.py" not in names:
        pytest.skip("the program is installed as a link to the checkout")
    return names


def test_all_that_runs_is_installed(installed: set[str]) -> None:
    """Every module, level and font of the checkout is in the installed program, but for what builds it."""
    shipped = {
        path.relative_to(ROOT).as_posix()
        for path in tracked()
        if path.relative_to(ROOT).parts[0] in ("game", "audio", "shared", "levels")
        and path.relative_to(ROOT).parts[:2] != ("game", "release")
    }
    assert shipped <= installed


def test_nothing_else_is_installed(installed: set[str]) -> None:
    """No test, tool or note of the developers comes along."""
    tops = {name.partition("/")[0] for name in installed if not name.startswith(("..", "drumlin-"))}
    assert tops == {"game", "audio", "shared", "levels"}
    assert not [name for name in installed if name.startswith("game/release")]


def test_licences_are_installed(installed: set[str]) -> None:
    """The licence of the program and those of the fonts come with it."""
    licences = {name.rpartition("/")[2] for name in installed if ".dist-info/licenses/" in name}
    assert "LICENSE" in licences
    assert len([name for name in licences if name.endswith("OFL.txt")]) == 2


def test_the_command_is_installed(installed: set[str]) -> None:
    """``drumlin`` is a command of the console."""
    points = importlib.metadata.entry_points(group="console_scripts", name="drumlin")
    assert [point.value for point in points] == ["game.__main__:run"]
    assert any(name.startswith("../") and name.endswith(("/drumlin", "/drumlin.exe")) for name in installed)
