"""``drumlin check``: looks whether each part works on this machine, and says how to mend one that does not."""

import argparse
import hashlib
import os
import sys
import time
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import numpy
import pygame
from fontTools.ttLib import TTFont, TTLibError
from pygame._sdl2 import audio

from audio.microphone import Microphone, MicrophoneError
from audio.pads import Pads
from audio.player import open_player
from game.cli.arguments import add_data_dir, add_json, print_json
from game.cli.errors import DONE
from game.cli.window import own_version
from game.data_folder import data_folder, kept_sounds
from game.engraving import MUSIC_FONT, PLAIN_FONT, TEXT_FONT
from game.records import DamagedRecordsError, RecordsError
from game.records.backups import dated_ahead, look_through, newest_backup
from game.records.folders import RECORDS_NAME
from game.start import MENDABLE, OWN_ENVIRONMENT, PACKAGES
from shared.errors import REINSTALL
from shared.levels import LevelError, shipped_levels

OK, MISSING, BROKEN = "ok", "missing", "broken"
"""The states of a part.  Something missing can be done without; something broken can't."""

LONGEST_PART = 255
"""Bytes of a folder's name that file systems take."""


OWN_PACKAGES = ("game", "levels", *PACKAGES)
"""The packages whose files are compared with those that were installed."""


@dataclass(frozen=True)
class Finding:
    """One part of the machine: what it is, its state, what was found, and what would do."""

    part: str
    state: str
    found: str
    advice: str = ""

    @property
    def line(self) -> str:
        """The finding as a sentence."""
        return f"{self.part}: {self.state}, {self.found}" + (f"; {self.advice}" if self.advice else "")


def add(parser: argparse.ArgumentParser) -> None:
    """Declare the command."""
    add_data_dir(parser)
    add_json(parser, "the findings")
    parser.set_defaults(run=run, json=False)


def run(options: argparse.Namespace) -> int:
    """Look at every part and print a line for each."""
    found = list(findings(data_folder(options.data_dir)))
    if options.json:
        print_json([asdict(finding) for finding in found])
    else:
        print("\n".join(finding.line for finding in found))
    return MENDABLE if any(finding.state == BROKEN for finding in found) else DONE


def findings(folder: Path) -> Iterator[Finding]:
    """Every part in turn; ``folder`` is the data folder."""
    # First what everything else stands on: of several broken parts the first is mostly the cause of the others.
    yield versions()
    yield own_files()
    yield library()
    yield display()
    yield sound()
    yield fonts()
    yield levels()
    yield data(folder)
    yield records(folder)
    yield backups(folder, time.time())
    yield sounds(folder)
    yield pads()
    yield microphones()


def sounds(folder: Path) -> Finding:
    """How much of the drums' sound is kept between runs, and where."""
    place = kept_sounds(folder)
    size = 0
    # Where the folder can't be looked into, its own line tells.
    with suppress(OSError):
        size = sum(path.stat().st_size for path in place.rglob("*") if path.is_file()) if place.is_dir() else 0
    kept = f"{size / 1e6:.0f} MB of drum hits in {place}; they may be deleted at any time"
    return Finding("kept sounds", OK, kept if size else "none yet")


def versions() -> Finding:
    """The versions of Drumlin, of Python and of the libraries in use."""
    sdl = ".".join(map(str, pygame.get_sdl_version()))
    python = ".".join(map(str, sys.version_info[:3]))
    used = f"Python {python}, pygame-ce {pygame.ver}, SDL {sdl}, numpy {numpy.__version__}"
    return Finding("versions", OK, f"Drumlin {own_version()}, {used}")


def own_files() -> Finding:
    """Whether every file of Drumlin is as it was installed: other distributions may have packages of the same names."""
    changed = list(_changed_files())
    if not changed:
        return Finding("own files", OK, "as they were installed")
    more = f" and {len(changed) - 1} more" if len(changed) > 1 else ""
    return Finding("own files", BROKEN, f"{changed[0]}{more} not as installed", OWN_ENVIRONMENT)


def _changed_files() -> Iterator[str]:
    """The files that differ from the record of the installation; none where Drumlin runs from its source.

    A built program holds its modules in one file, which no other distribution can change.
    """
    if getattr(sys, "frozen", False):
        return
    try:
        files = distribution("drumlin").files or []
    except PackageNotFoundError:
        return
    for file in files:
        # Without a hash stand what installers write themselves, the record and compiled modules: nothing to compare.
        if file.hash and file.parts[0] in OWN_PACKAGES:
            place = Path(str(file.locate()))
            try:
                digest = hashlib.new(file.hash.mode, place.read_bytes()).digest()
            except OSError:
                yield str(file)
                continue
            # Base64 for URLs without padding, as the specification "Recording installed projects" has it.
            if urlsafe_b64encode(digest).decode().rstrip("=") != file.hash.value:
                yield str(file)


def library() -> Finding:
    """Whether pygame is the community edition, alone."""
    if getattr(pygame, "IS_CE", False):
        return Finding("pygame", OK, "the community edition")
    return Finding("pygame", BROKEN, "the older pygame", "uninstall pygame, then install pygame-ce again")


def display() -> Finding:
    """Whether a window can be opened."""
    without = "`drumlin listen` and the other commands need none"
    asked = os.environ.get("SDL_VIDEODRIVER")
    try:
        with _quiet():
            pygame.display.init()
    except pygame.error as error:
        return Finding("display", MISSING, str(error), without)
    try:
        driver, sizes = pygame.display.get_driver(), pygame.display.get_desktop_sizes()
    finally:
        pygame.display.quit()
    # SDL's last resort where there is no display at all: it opens, and nobody sees it.
    if driver == "offscreen" and asked != driver:
        return Finding("display", MISSING, "there is none", without)
    return Finding("display", OK, f"{driver}, {' and '.join(f'{wide} x {high}' for wide, high in sizes)}")


def sound() -> Finding:
    """Whether a sound device can be opened, and which there are."""
    with _quiet():
        # Opened and closed again, as names alone would not tell that another program holds the device.
        player = open_player()
        names = [] if player.silent else device_names()
        player.close()
    if player.silent:
        return Finding("sound out", MISSING, (player.notice or "no device").rstrip("."), "`drumlin write` needs none")
    return Finding("sound out", OK, ", ".join(names) or "the usual device")


def device_names() -> list[str]:
    try:
        return list(audio.get_audio_device_names(False))
    # Pygame's own error, or that of its SDL part, which is another.
    except RuntimeError:
        return []


def fonts() -> Finding:
    """Whether the music and text fonts are there and can be read."""
    for path in (MUSIC_FONT, TEXT_FONT, PLAIN_FONT):
        try:
            # Its table of characters, too: to open a font reads only where its tables lie, and a file cut short would
            # pass.
            TTFont(path).getBestCmap()
        except (OSError, TTLibError) as error:
            return Finding("fonts", BROKEN, f"{path} can't be read ({error})", REINSTALL)
    return Finding("fonts", OK, "music and text")


def levels() -> Finding:
    """Whether the vocabulary and the levels that come with the program can be read."""
    try:
        number = len(shipped_levels())
    except LevelError as error:
        # Without the error's own advice, which is to mend the file: that is for a teacher's levels, not for ours.
        return Finding("levels", BROKEN, str(error).rpartition("; ")[0], REINSTALL)
    return Finding("levels", OK, f"{number} levels and the vocabulary")


def data(folder: Path) -> Finding:
    """Whether the data folder can be written to; it is not made here."""
    # The nearest folder above that is there: where the data folder will be made, if it is not yet.
    there = next(place for place in (folder, *folder.parents) if os.path.lexists(place))
    if there.is_symlink() and not there.exists():
        found = f"{there} is a link to {there.readlink()}, which is not there"
        return Finding("data folder", BROKEN, found, "make that folder, or choose another with --data-dir")
    if not there.is_dir():
        return Finding("data folder", BROKEN, f"{there} is no folder", "choose another with --data-dir")
    if any(len(os.fsencode(part)) > LONGEST_PART for part in folder.parts):
        return Finding("data folder", BROKEN, "its name is too long", "choose another with --data-dir")
    # To make a file in a folder takes leave to enter it as well as to write.
    if not os.access(there, os.W_OK | os.X_OK):
        return Finding("data folder", BROKEN, f"{there} may not be written to", "choose another with --data-dir")
    return Finding("data folder", OK, str(folder) + ("" if there == folder else ", made when first needed"))


def records(folder: Path) -> Finding:
    """Whether the records are sound, damaged or held by another program; nothing is changed."""
    path = folder / RECORDS_NAME
    if not os.path.lexists(path):
        return Finding("records", OK, "none yet")
    try:
        found = look_through(path)
    except DamagedRecordsError as error:
        backup = newest_backup(folder, time.time())
        advice = f"drumlin history restore {backup}" if backup else "Drumlin sets them aside when it next starts"
        return Finding("records", BROKEN, str(error).partition("; ")[0], advice)
    except RecordsError as error:
        said, _, advice = str(error).partition("; ")
        return Finding("records", BROKEN, said, advice)
    return Finding("records", OK, str(path) if found else f"{path} is empty and will be filled")


def backups(folder: Path, now: float) -> Finding:
    """The newest daily backup, and those that a wrong clock made."""
    newest = newest_backup(folder, now)
    if newest is None:
        return Finding("backups", MISSING, "none yet", "Drumlin makes one on each day it is used")
    ahead = ", ".join(path.name for path in dated_ahead(folder, now))
    return Finding("backups", OK, str(newest), f"made while the clock was wrong: {ahead}" if ahead else "")


def pads() -> Finding:
    """Which MIDI inputs there are, and which of them can't be opened."""
    with _quiet():
        found = Pads()
        try:
            names = found.names()
            held = [name for name in names if not found.use(name)]
        except (pygame.error, RuntimeError):
            names, held = (), []
        found.close()
    if not names:
        return Finding("MIDI pads", MISSING, "none", "none is needed")
    advice = f"{', '.join(held)} can't be opened: close what else uses it" if held else ""
    return Finding("MIDI pads", OK, ", ".join(names), advice)


def microphones() -> Finding:
    """Which microphones there are; none is opened, for a check should switch none on."""
    with _quiet():
        try:
            names = Microphone().names()
        except (MicrophoneError, pygame.error, RuntimeError) as error:
            said = str(error).partition(". ")[0]
            return Finding("microphone", MISSING, said or "none", "none is needed")
    return (
        Finding("microphone", OK, ", ".join(names))
        if names
        else Finding("microphone", MISSING, "none", "none is needed")
    )


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep what the system's sound and MIDI libraries say to themselves off the error stream."""
    sys.stderr.flush()
    try:
        # These libraries write past Python, to the stream's own number.
        kept = os.dup(2)
    except OSError:
        # There is no error stream, and nothing to keep off it.
        yield
        return
    try:
        with Path(os.devnull).open("wb") as nowhere:
            os.dup2(nowhere.fileno(), 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
