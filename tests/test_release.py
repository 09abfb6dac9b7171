"""What goes with the program to those who have no Python: man page, menu entry, icon, licences."""

import os
import re
import shutil
import subprocess
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import numpy as np
import pygame
import pytest

from game.release.notices import licence_of
from game.release.pages import DESKTOP, FILES, HERE, commands, loaded, manual
from game.widgets.icon import icon, icon_svg
from game.widgets.theme import THEMES, contrast
from tests.test_project import PROJECT, wanted_by


@pytest.mark.parametrize("name", FILES)
def test_pages_say_what_the_program_says(name: str) -> None:
    """What is kept is what the program would write now: else run ``python -m game.release.pages``."""
    assert (HERE / name).read_text(encoding="utf-8") == FILES[name](), "run python -m game.release.pages"


def test_manual_tells_every_command_and_option() -> None:
    """No command and no option of it is left out."""
    said = manual().replace("\\-", "-")
    for name, command in commands(loaded()).items():
        part = said[said.index(f".SS drumlin {name}\n") :].split("\n.S")[0]
        assert all(option in part for option in command._option_string_actions)


@pytest.mark.skipif(not shutil.which("groff"), reason="groff is not installed")
def test_manual_is_troff_without_a_warning() -> None:
    """The typesetter of man pages understands every line of it."""
    ended = subprocess.run(
        ["groff", "-man", "-Tutf8", "-ww", "-Kutf8", HERE / "drumlin.1"], capture_output=True, text=True, check=True
    )
    assert ended.stderr == ""
    assert "One folder holds everything" in ended.stdout


def test_menu_entry_has_what_the_standard_wants() -> None:
    """Type, Name and Exec, and categories that are registered (Desktop Entry and Desktop Menu Specification)."""
    entry = dict(line.split("=", 1) for line in DESKTOP.splitlines()[1:])
    assert DESKTOP.startswith("[Desktop Entry]\n")
    assert {"Type", "Name", "Exec", "Icon", "Categories"} <= set(entry)
    assert {"Education", "Music"} <= set(entry["Categories"].split(";"))
    assert entry["Exec"] == entry["Icon"] == "drumlin"


@pytest.mark.parametrize("theme", THEMES)
def test_icon_is_drawn_in_the_colours_of_a_theme(theme: str) -> None:
    """Corners that let the desktop through, a hill below and strokes above it that stand out from the ground."""
    colours = THEMES[theme]
    picture = icon(64, colours)
    found = {tuple(picture.get_at(place)) for place in ((32, 2), (32, 60))}
    assert picture.get_at((0, 0)).a == 0
    assert found == {tuple(pygame.Color(colours.accent)), tuple(pygame.Color(colours.wash))}
    assert contrast(colours.accent, colours.on_accent) >= 4.5
    assert contrast(colours.accent, colours.wash) >= 4.5


def test_icon_is_one_in_both_kinds(tmp_path: Path) -> None:
    """The drawing, painted by another program, is the picture."""
    if not shutil.which("rsvg-convert"):
        pytest.skip("rsvg-convert is not installed")
    (tmp_path / "icon.svg").write_text(icon_svg(), encoding="utf-8")
    subprocess.run(["rsvg-convert", "-w", "128", "icon.svg", "-o", "icon.png"], cwd=tmp_path, check=True)
    theirs = pygame.surfarray.array3d(pygame.image.load(tmp_path / "icon.png")).astype(int)
    ours = pygame.surfarray.array3d(icon(128)).astype(int)
    inside = pygame.surfarray.array_alpha(icon(128)) == 255
    assert np.abs(theirs - ours)[inside].mean() < 3


@pytest.mark.parametrize("name", sorted(wanted_by(PROJECT["dependencies"])))
def test_every_dependency_brings_its_licence(name: str) -> None:
    """Whatever goes into a built program says under what terms it may be passed on."""
    try:
        assert len(licence_of(distribution(name))) > 3
    except PackageNotFoundError:
        pytest.skip(f"{name} is not installed here")


def _menu(program: Path, home: Path, *words: str) -> str:
    """What the script of an unpacked program says, run in somebody's home."""
    return subprocess.run(
        ["sh", program / "add-to-menu.sh", *words], env={"HOME": str(home), "PATH": os.environ["PATH"]},
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip


@pytest.mark.skipif(not shutil.which("sh"), reason="there is no shell")
def test_the_menu_entry_starts_a_program_in_any_folder(tmp_path: Path) -> None:
    """Its path is quoted as the Desktop Entry Specification 1.5 has it; other programs' files stay as they are."""
    home, program = tmp_path / "home", tmp_path / 'Rain & "Reed" $x%y'
    shutil.copytree(HERE, program, ignore=lambda _, names: {name for name in names if name.endswith(".py")})
    (home / ".local/bin").mkdir(parents=True)
    other = home / ".local/bin/drumlin"
    other.write_text("of another program")
    assert str(other) in _menu(program, home)
    assert other.read_text() == "of another program"
    entry = home / ".local/share/applications/drumlin.desktop"
    lines = dict(line.split("=", 1) for line in entry.read_text().splitlines() if "=" in line)
    # Unescaped as a reader does it: first as a string of the file, then the quoted argument, then %%.
    argument = lines["Exec"].replace("\\\\", "\\").strip('"')
    assert re.sub(r"\\(.)", r"\1", argument).replace("%%", "%") == str(program / "drumlin")
    other.unlink()
    _menu(program, home)
    assert other.readlink() == program / "drumlin"
    _menu(program, home, "--remove")
    assert [path for path in home.rglob("*") if not path.is_dir()] == []
