"""The parser of the command line, which answers a wrong one with one line that helps."""

import argparse
import sys
from collections.abc import Callable, Sequence
from difflib import get_close_matches
from importlib import import_module
from typing import Any, NoReturn

from game.cli import window
from game.cli.errors import USAGE

COMMANDS = {
    "listen": "the quiz in the terminal: plays each bar and reads your answer as a count",
    "write": "a bar as .wav .mid .musicxml .svg .png .pdf, by the files' endings",
    "explain": "a bar beat by beat: names, count, sticking, spellings, times",
    "sheet": "a class worksheet with answer key and cards as PDF, and the sound to play as WAV",
    "levels": "list the levels, check level files, list the orchestrations",
    "history": "a player's record: show, export, import, judge, back up, restore",
    "hear": "a recording or MIDI file of playing, read into figures",
    "demo": "the window with an invented drum room, apart from your own records",
    "check": "what works on this machine: sound, display, fonts, data folder, MIDI",
}
"""The commands, each with its line of help and a module of its name; ``window`` is what opens without one."""


class Parser(argparse.ArgumentParser):
    """A parser that refuses in one line, names the nearest thing it knows, and accepts no shortened options.

    ``module`` names the module that declares a command's arguments; it is imported when the command is used.
    """

    def __init__(self, *args: Any, module: str = "", **keywords: Any) -> None:
        self.known: list[str] = []
        self.commands: list[str] = []
        self._given: list[str] = []
        self._acts: argparse._SubParsersAction[Parser] | None = None
        self._module = module
        # Shortened options would break scripts the day that another option begins with the same letters.
        super().__init__(*args, **{"allow_abbrev": False, **keywords})

    def add_argument(self, *args: Any, **keywords: Any) -> argparse.Action:
        """Declare an argument, as ever; its names are remembered for hints."""
        action = super().add_argument(*args, **keywords)
        self.known += action.option_strings
        return action

    def act(self, name: str, what: str, run: Callable[[argparse.Namespace], int]) -> argparse.ArgumentParser:
        """Declare one of several things that the command does, with its line of help; returns the parser of it."""
        if self._acts is None:
            self._acts = self.add_subparsers(title="what to do")
        made = self._acts.add_parser(name, help=what, description=what)
        made.set_defaults(run=run)
        self.commands.append(name)
        self._acts.metavar = " | ".join(self.commands)
        return made

    def load(self) -> None:
        """Declare the command's arguments, if that has not been done."""
        if self._module:
            import_module(self._module).add(self)
            self._module = ""

    def parse_known_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: Any = None
    ) -> tuple[Any, list[str]]:
        """Parse; what is not known is refused here, by the command it was given to."""
        # Here and not where the tree is built: so only the command that is used imports its module.
        self.load()
        self._given = list(args or ())
        options, unknown = super().parse_known_args(args, namespace)
        if unknown:
            self.error(f"not understood: {' '.join(unknown)}")
        return options, unknown

    def error(self, message: str) -> NoReturn:
        """Refuse in one line and exit with the code for wrong usage."""
        message = " ".join(message.split())
        self.exit(USAGE, f"{self.prog}: {message}{self._hint()}; see {self.prog} --help\n")

    def _print_message(self, message: str, file: Any = None) -> None:
        # argparse's own swallows what a full disk says.
        if message and (stream := file or sys.stderr):
            stream.write(message)

    def _hint(self) -> str:
        for word in self._given:
            name = word.partition("=")[0]
            if name.startswith("--") and name not in self.known:
                return _nearest(name, self.known)
            if self.commands and not name.startswith("-"):
                return "" if name in self.commands else _nearest(name, self.commands)
        return ""


def _nearest(word: str, known: Sequence[str]) -> str:
    near = get_close_matches(word, known, n=1, cutoff=0.5)
    return f"; did you mean {near[0]}?" if near else ""


def build() -> Parser:
    """The parser of every command.  Parsed options hold ``run``, the function that does the command."""
    parser = Parser(
        prog="drumlin",
        description="Ear training for one-beat rhythm figures on the drum kit. Without a command the window opens.",
        epilog="Every command works with no display. `drumlin COMMAND --help` says more.",
    )
    window.add(parser)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", prog=parser.prog)
    for name, what in COMMANDS.items():
        commands.add_parser(name, help=what, description=what, module=f"game.cli.{name}")
    parser.commands = list(COMMANDS)
    return parser
