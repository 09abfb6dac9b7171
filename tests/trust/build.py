"""The built program, made and tried: ``python -m tests.trust.build [--program FOLDER] [--keep FOLDER] [--short]``.

It installs the checkout into an environment of its own, builds the program there by ``drumlin.spec``, tries
what people do with it, and prints a table; ``--program`` tries one that was built before, whose environment is this
one.  ``--tool FILE`` lets the two robots alone use a program that was installed, by a bar each.  The exit code is 1
where something was wrong.  Without ``Xvfb`` and ``xdotool`` the window is left out.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median
from threading import Thread
from typing import Any

import numpy as np

from game.records import Records, Settings
from game.sessions.levels.writing import level_text
from shared.figures import Figure
from shared.levels import Level, Tempo, find_level
from tests.robot.drummer import PIECE, Stream, bar_to_play, places_to_strike
from tests.robot.ear import DeafError, Microphone, hear_bar
from tests.robot.player import BARS, TILES
from tests.trust.versions import ROOT, environment
from tests.window.display import Display, Program, missing, wait_for

BAR = "1 e a 2 & 3 e a 4 & a"
KINDS = ("wav", "mid", "musicxml", "svg", "png", "pdf")
NOW = 1_750_000_000.0

LONGEST_TAKE = 30.0
"""Seconds that a bar with its count-in takes at most, at the slowest tempo and on a busy machine."""

SLOWER = 1.3
"""How many times as long the built program may take to its first picture as the one in an environment."""


@dataclass(frozen=True)
class Tried:
    """A built program, the same as it runs in the environment that it was built in, and a folder to try both in."""

    program: Path
    python: Path
    scratch: Path
    bars: int = BARS
    pairs: int = 7

    @property
    def built(self) -> tuple[str, ...]:
        """The command of the built program."""
        return (str(self.program),)

    @property
    def installed(self) -> tuple[str, ...]:
        """The command of the one in the environment."""
        return str(self.python), "-m", "game"

    def run(self, command: tuple[str, ...], *words: str) -> str:
        """What a command prints, run far from the checkout, with no display and no sound device."""
        hidden = {"SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy"}
        ended = subprocess.run(
            [*command, *words, "--data-dir", "data"], cwd=self.scratch, env=_bare(os.environ) | hidden,
            capture_output=True, text=True, encoding="utf-8", timeout=120, check=False,
        )  # fmt: skip
        if ended.returncode:
            raise AssertionError(f"{words}: code {ended.returncode}\n{ended.stdout}{ended.stderr}")
        return ended.stdout


def _bare(environment: Mapping[str, str]) -> dict[str, str]:
    """An environment in which no Python is told where else to look, or not to keep its byte code."""
    return {name: value for name, value in environment.items() if not name.startswith("PYTHON")}


def finds_its_parts(tried: Tried) -> None:
    """Fonts, levels, library and files are all there."""
    found = {one["part"]: one["state"] for one in json.loads(tried.run(tried.built, "check", "--json"))}
    for part in ("versions", "own files", "pygame", "fonts", "levels", "data folder", "sound out"):
        assert found[part] == "ok", (part, found)


def writes_what_the_other_writes(tried: Tried) -> None:
    """All six formats and a sheet; sound, MIDI, MusicXML and drawing are those of the environment to the byte."""
    for command, name in ((tried.built, "built"), (tried.installed, "installed")):
        tried.run(command, "write", BAR, *(f"{name}.{kind}" for kind in KINDS))
    for kind in KINDS:
        ours, theirs = ((tried.scratch / f"{name}.{kind}").read_bytes() for name in ("built", "installed"))
        assert len(ours) > 100
        assert ours == theirs or kind in ("png", "pdf"), kind
    tried.run(tried.built, "sheet", "stage-3", "sheet.pdf", "--questions", "2")
    assert (tried.scratch / "sheet.pdf").read_bytes().startswith(b"%PDF-")


def reads_a_take(tried: Tried) -> None:
    """What it wrote as sound it reads back as the same figures; a file that is no sound is refused in a line."""
    read = json.loads(tried.run(tried.built, "hear", "built.wav", BAR, "--tempo", "80", "--json"))
    counts = [beat["count"] for bar in read["bars"] for beat in bar["beats"]]
    assert counts == ["1 e a", "2 &", "3 e a", "4 & a"], counts


def keeps_one_record_with_the_other(tried: Tried) -> None:
    """Answers of the one are known to the other, and both export the same history."""
    answers = tried.scratch / "answers.txt"
    answers.write_text("1 2 & 3 4\nnot sure\n", encoding="utf-8")
    exported = []
    for command, name in ((tried.built, "first"), (tried.installed, "second"), (tried.built, "third")):
        tried.run(
            command, "listen", "--level", "stage-1", "--questions", "2", "--begin", "at-once", "--seed", "3",
            "--answers", "answers.txt",
        )  # fmt: skip
        exported.append(tried.run(command, "history", "export", f"{name}.jsonl"))
    lengths = [(tried.scratch / f"{name}.jsonl").stat().st_size for name in ("first", "second", "third")]
    assert lengths[0] < lengths[1] < lengths[2], lengths
    tried.run(tried.installed, "history", "export", "fourth.jsonl")
    assert (tried.scratch / "third.jsonl").read_bytes() == (tried.scratch / "fourth.jsonl").read_bytes()


@contextmanager
def _display(tried: Tried) -> Iterator[Display]:
    shown = Display(tried.scratch / f"display-{time.monotonic_ns()}", (1280, 720))
    try:
        yield shown
    finally:
        shown.close()


def _lived_in(folder: Path, level: str) -> None:
    """A data folder whose player has met the window and is asked all figures of a level at once."""
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW)
        name = Path(level).stem
        settings = Settings(first_start_done=True, second_try=False, level=level, beginnings={name: "at once"})
        records.save_settings(wren, settings)


def _plain(folder: Path, **changes: Any) -> tuple[Level, Path]:
    """Stage 1 on the snare drum, without a groove, and its file."""
    level = replace(find_level("stage-1"), orchestrations=("snare",), groove_bars=(0,), **changes)
    file = folder / "plain.toml"
    file.write_text(level_text(level), encoding="utf-8")
    return level, file


def hears_everything(tried: Tried) -> None:
    """The robot that only hears: it opens the window by its keys, listens to the sound driver, and gets all right."""
    level, file = _plain(tried.scratch)
    keys, folder = dict(zip(level.figures, TILES, strict=False)), tried.scratch / "robot"
    _lived_in(folder, str(file))
    microphone = Microphone(tried.scratch)
    with _display(tried) as display:
        program = Program(
            display, folder, "--level", str(file), command=tried.built, environment=microphone.environment
        )
        try:
            program.press("p", "space")
            for number in range(1, tried.bars + 1):
                heard = hear_bar(microphone, level.meter.beats, level.figures)
                assert None not in heard, heard
                program.press(*(keys[figure] for figure in heard if figure))
                display.hands("key", "Return")
                wait_for(lambda number=number: _answers(folder) == 4 * number, f"the answers of bar {number}")
                display.hands("key", "Return")
        finally:
            # In the middle of a round it would ask whether to leave.
            program.process.kill()
            microphone.close()
            program.stop()
    with Records.open(folder, NOW) as records:
        rows = list(records.answers(records.players()[0]))
    assert [row for row in rows if row.said != row.heard] == []


def _answers(folder: Path) -> int:
    with Records.open(folder, NOW) as records:
        return records.count_answers(records.players()[0])


def plays_what_is_asked(tried: Tried) -> None:
    """The robot that plays: it hears a bar from the sound driver, plays it back on two keys, and is read right."""
    folder = tried.scratch / "playing"
    # So slow that the start of a process for each key is no matter.
    level, file = _plain(tried.scratch, tempo=Tempo(60, 60))
    _lived_in(folder, str(file))
    stream = Stream(folder)
    with _display(tried) as display:
        program = Program(display, folder, "--level", str(file), command=tried.built, environment=stream.environment)
        try:
            program.press("y")
            display.hands("key", *["Tab"] * 5, "Right")
            program.press("1")
            room = InTime(stream)
            program.press("space")
            wait_for(lambda: room.bar(level), "a bar to play back", LONGEST_TAKE)
            figures, beat, begins = room.bar(level)
            for k, place in enumerate(places_to_strike(figures)):
                room.wait_until(begins + place * beat)
                display.hands("key", "fj"[k % 2])
            wait_for(lambda: _answers(folder), "what was played in the records", LONGEST_TAKE)
        finally:
            program.process.kill()
            stream.close()
            program.stop()
    with Records.open(folder, NOW) as records:
        rows = list(records.answers(records.players()[0]))
    heard = [figure and figure.count for figure in figures]
    assert [(row.heard, row.said) for row in rows] == [(count, count) for count in heard], (heard, rows)


class InTime:
    """Hears a stream as it comes in truth, in a thread of its own, and knows how far it is."""

    def __init__(self, stream: Stream) -> None:
        self._stream, self._pieces, self._begun = stream, [], 0.0
        Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        # Until whoever opened the stream closes it.
        with suppress(DeafError, OSError, TypeError):
            while True:
                self._pieces.append(self._stream.piece())
                self._begun = self._begun or time.monotonic() - PIECE
                self.wait_until(self._stream.buffers * PIECE)

    def bar(self, level: Level) -> tuple[Sequence[Figure | None], float, float] | None:
        """What is asked for, once it was heard: see ``bar_to_play``."""
        time.sleep(0.5)
        return bar_to_play(np.concatenate(self._pieces), level.meter.beats, level.figures) if self._pieces else None

    def wait_until(self, seconds: float) -> None:
        """Wait until so many seconds of the stream were heard."""
        time.sleep(max(0.0, self._begun + seconds - time.monotonic()))


def first_picture_comes_soon(tried: Tried) -> None:
    """From the start to the first picture: at most 1.3 times the environment's, the median of runs in turns."""
    folder = tried.scratch / "started"
    _lived_in(folder, "stage-1")
    with _display(tried) as display:
        _first_picture(display, folder, tried.built), _first_picture(display, folder, tried.installed)
        ratios = [
            _first_picture(display, folder, tried.built) / _first_picture(display, folder, tried.installed)
            for _ in range(tried.pairs)
        ]
    print(f"first picture, built against installed: {median(ratios):.2f} (at most {SLOWER})")
    assert median(ratios) <= SLOWER, ratios


def _first_picture(display: Display, folder: Path, command: tuple[str, ...]) -> float:
    """Seconds until something is seen of a program on an empty display, which is empty again afterwards."""
    began = time.monotonic()
    running = subprocess.Popen(
        [*command, "--data-dir", str(folder)], env=_bare(display.environment()), cwd=folder,
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        wait_for(lambda: display.pixels()[..., :3].max() > 0, "the first picture")
        return time.monotonic() - began
    finally:
        running.terminate()
        running.wait(20)
        wait_for(lambda: not display.pixels()[..., :3].any(), "an empty display")


COMMANDS: tuple[Callable[[Tried], None], ...] = (
    finds_its_parts, writes_what_the_other_writes, reads_a_take, keeps_one_record_with_the_other,
)  # fmt: skip
ROBOTS: tuple[Callable[[Tried], None], ...] = (hears_everything, plays_what_is_asked)
WINDOW: tuple[Callable[[Tried], None], ...] = (*ROBOTS, first_picture_comes_soon)


def made(scratch: Path) -> tuple[Path, Path]:
    """The program, built in a fresh environment, and the Python of that environment."""
    python = environment(Path(sys.executable), scratch / "environment", f"{ROOT}[build]")
    subprocess.run(
        [python, "-m", "game.release.build", scratch / "built", "--no-archive"], cwd=ROOT, check=True,
        stdout=subprocess.DEVNULL, env={name: value for name, value in os.environ.items() if name != "PYTHONPATH"},
    )  # fmt: skip
    return scratch / "built" / "drumlin" / "drumlin", python


def report(tried: Tried, checks: Iterable[Callable[[Tried], None]]) -> Iterator[tuple[str, str]]:
    """A row for each check: what, and "ok" or what was wrong."""
    for check in checks:
        what = (check.__doc__ or "").split("\n")[0].rstrip(".")
        if check in WINDOW and missing():
            yield what, f"left out, for want of {' and '.join(missing())}"
            continue
        try:
            check(tried)
        except (AssertionError, OSError, subprocess.SubprocessError) as error:
            yield what, f"WRONG: {error}"
        else:
            yield what, "ok"


def main() -> None:
    """Print the table; exit code 1 where something was wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.trust.build", description=__doc__)
    parser.add_argument("--python", type=Path, default=Path(sys.executable), help="the environment to hold it against")
    parser.add_argument("--program", type=Path, help="the folder of a program that was built before")
    parser.add_argument("--keep", type=Path, help="build here and leave it there (default: a folder that goes)")
    parser.add_argument("--tool", type=Path, help="an installed program: the two robots alone, a bar each")
    parser.add_argument("--short", action="store_true", help="two bars by ear, and the start three times")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        scratch = options.keep or Path(folder)
        work = Path(folder) / "work"
        work.mkdir()
        if options.tool:
            rows = list(report(Tried(options.tool.absolute(), options.python, work, bars=1), ROBOTS))
        else:
            program, python = (options.program / "drumlin", options.python) if options.program else made(scratch)
            tried = Tried(program.absolute(), python, work, *((2, 3) if options.short else ()))
            rows = list(report(tried, (*COMMANDS, *WINDOW)))
    print("\n".join(f"{told:6}  {what}" for what, told in rows))
    raise SystemExit(any(told.startswith("WRONG") for _, told in rows))


if __name__ == "__main__":
    main()
