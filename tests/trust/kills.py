"""Commands killed at any moment: import, backup, restore, the saving of a level, a sheet; and the keeping of takes.

``python -m tests.trust.kills [--kills N] [--seed N]``: each is started so many times as a child of this process and
killed after a random time; what is left must be whole: the older state or the newer one.
"""

import argparse
import io
import os
import random
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from game.__main__ import main as drumlin
from game.records import Records
from game.records.backups import is_sound
from game.records.takes import Take
from game.sessions.levels.writing import level_text
from shared.files import write_beside
from shared.levels import find_level, load_level
from tests.records.record_samples import NOW, TAKE, keep_bars, uuid

WREN = uuid(99_999)

BARS, LATER_BARS = 300, 400
"""How many bars the older and the newer record hold; each has four answers."""


@dataclass
class Place:
    """A folder in which commands are killed, and what they work with."""

    folder: Path

    def command(self, *words: str) -> None:
        """Carry out a command line on the records of the place."""
        code = drumlin([*words, "--data-dir", str(self.folder / "data")])
        if code:
            raise AssertionError(f"{words}: exit code {code}")

    def answers(self) -> int:
        """How many answers the records hold; they are whole."""
        with Records.open(self.folder / "data", NOW) as records:
            if records.opening.set_aside is not None:
                raise AssertionError(f"set aside: {records.opening.notice}")
            found = records.player_with_uuid(WREN)
            return records.count_answers(found) if found else 0


def made(folder: Path, bars: int) -> None:
    """A record of so many bars."""
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW, uuid=WREN)
        keep_bars(records, wren, bars)


def killed(act: Callable[[], None], seconds: float | None) -> bool:
    """Whether a child that does something was killed before it was done, after so many seconds or never.

    Raises where it failed by itself.
    """
    child = os.fork()
    if not child:
        code = 1
        try:
            act()
            code = 0
        finally:
            os._exit(code)
    if seconds is not None:
        time.sleep(seconds)
        os.kill(child, signal.SIGKILL)
    _, ending = os.waitpid(child, 0)
    if os.WIFEXITED(ending) and os.WEXITSTATUS(ending):
        raise AssertionError(f"exit code {os.WEXITSTATUS(ending)}")
    return os.WIFSIGNALED(ending)


def importing(place: Path) -> tuple[Callable[[], None], Callable[[], None]]:
    """A history read in: all or none of each part, and once more it is whole and nothing twice."""
    made(place / "data", LATER_BARS)
    there = Place(place)
    history = str(place / "wren.json")
    there.command("history", "export", history, "--player", "Wren")

    def act() -> None:
        there.command("history", "import", history)

    def check() -> None:
        if there.answers() > 4 * LATER_BARS:
            raise AssertionError("answers are kept twice")
        act()
        if there.answers() != 4 * LATER_BARS:
            raise AssertionError("answers are missing")
        for path in (place / "data").glob("records.sqlite*"):
            path.unlink()

    for path in (place / "data").glob("records.sqlite*"):
        path.unlink()
    return act, check


def backing_up(place: Path) -> tuple[Callable[[], None], Callable[[], None]]:
    """A backup written over an older one: what is there is sound."""
    made(place / "data", LATER_BARS)
    there = Place(place)
    copy = place / "all.sqlite"
    there.command("history", "backup", str(copy))

    def check() -> None:
        if not is_sound(copy):
            raise AssertionError("the backup is damaged")
        if there.answers() != 4 * LATER_BARS:
            raise AssertionError("answers are missing")

    return lambda: there.command("history", "backup", str(copy)), check


def restoring(place: Path) -> tuple[Callable[[], None], Callable[[], None]]:
    """A backup put back: the records are the older or the newer ones, whole."""
    copies = []
    for bars in (BARS, LATER_BARS):
        made(place / str(bars), bars)
        copies.append(place / f"{bars}.sqlite")
        drumlin(["history", "backup", str(copies[-1]), "--data-dir", str(place / str(bars))])
    there = Place(place)
    there.command("history", "restore", str(copies[0]))
    turns = iter(range(10**6))

    def act() -> None:
        there.command("history", "restore", str(copies[next(turns) % 2]))

    def check() -> None:
        next(turns)
        if there.answers() not in (4 * BARS, 4 * LATER_BARS):
            raise AssertionError(f"{there.answers()} answers are neither")

    return act, check


def saving_a_level(place: Path) -> tuple[Callable[[], None], Callable[[], None]]:
    """A level saved again and again: the file can always be read."""
    texts = [level_text(find_level(name)).encode() for name in ("stage-1", "stage-4")]
    path = place / "reeds.toml"
    write_beside(path, texts[0])

    def act() -> None:
        for _ in range(200):
            for text in texts:
                write_beside(path, text)

    def check() -> None:
        load_level(path)

    return act, check


def writing_a_sheet(place: Path) -> tuple[Callable[[], None], Callable[[], None]]:
    """A sheet and its sound: each file that is there is whole."""
    pages, sound = place / "sheet.pdf", place / "sheet.wav"

    def check() -> None:
        if pages.exists() and not pages.read_bytes().rstrip().endswith(b"%%EOF"):
            raise AssertionError("the pages are cut")
        if sound.exists() and int.from_bytes(sound.read_bytes()[4:8], "little") != sound.stat().st_size - 8:
            raise AssertionError("the sound is cut")

    def act() -> None:
        if drumlin(["sheet", "stage-1", str(pages), "--questions", "1", "--data-dir", str(place / "data")]):
            raise AssertionError("no sheet")

    return act, check


def keeping_takes(place: Path) -> tuple[Callable[[], None], Callable[[], None]]:
    """Takes kept one after another: each that was kept before the kill is there, whole and once."""
    made(place / "data", 1)
    kept = place / "kept"
    kept.touch()

    def takes() -> list[Take]:
        with Records.open(place / "data", NOW) as records:
            wren = records.player_with_uuid(WREN)
            return records.takes(wren) if wren else []

    def act() -> None:
        first = len(takes())
        with Records.open(place / "data", NOW) as records, kept.open("ab", buffering=0) as told:
            wren = records.player_with_uuid(WREN)
            assert wren is not None
            for number in range(first, first + 100):
                records.keep_take(wren, replace(TAKE, uuid=uuid(number), at=NOW + number))
                told.write(b".")

    def check() -> None:
        found = takes()
        if len(found) < kept.stat().st_size:
            raise AssertionError("takes are missing")
        if found != [replace(TAKE, uuid=uuid(number), at=NOW + number) for number in range(len(found))]:
            raise AssertionError("takes are not what was kept")

    return act, check


ACTS = {
    "import": importing,
    "backup": backing_up,
    "restore": restoring,
    "level": saving_a_level,
    "sheet": writing_a_sheet,
    "takes": keeping_takes,
}


def tried(name: str, kills: int, seed: int, folder: Path) -> int:
    """Kill an act so often at a moment of its run, and look at what is left; how often it was not done yet."""
    act, check = ACTS[name](folder)
    chance = random.Random(seed)
    began = time.monotonic()
    killed(act, None)
    whole = time.monotonic() - began
    check()
    unfinished = 0
    for _ in range(kills):
        unfinished += killed(act, chance.uniform(0, whole))
        check()
    return unfinished


def main() -> None:
    """Kill every command and print what came of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.trust.kills", description=__doc__)
    parser.add_argument("--kills", type=int, default=50)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--only", choices=ACTS, nargs="+")
    options = parser.parse_args()
    wrong, told = 0, sys.stdout
    sys.stdout = sys.stderr = io.StringIO()  # what the commands say
    for name in options.only or ACTS:
        with tempfile.TemporaryDirectory() as scratch:
            try:
                unfinished = tried(name, options.kills, options.seed, Path(scratch))
            except AssertionError as error:
                wrong += 1
                print(f"{name}: {error}", file=told, flush=True)
                continue
        print(
            f"{name}: killed {unfinished} of {options.kills} times before its end, nothing lost", file=told, flush=True
        )
    raise SystemExit(wrong > 0)


if __name__ == "__main__":
    main()
