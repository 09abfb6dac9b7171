"""The grammar of the command line, and help where it is not kept to."""

import argparse
from collections.abc import Sequence
from typing import Any, NoReturn

from game.cli import check, demo, explain, history, levels, listen, window, write
from game.cli.errors import USAGE

COMMANDS = (listen, write, explain, levels, history, demo, check)
"""The modules of the commands, in the order of the help page; ``window`` is what opens without one."""


class Parser(argparse.ArgumentParser):
    """A parser that refuses in one line, names the nearest thing it knows, and accepts no shortened options."""

    def __init__(self, *args: Any, **keywords: Any) -> None:
        self.known: list[str] = []
        self.commands: list[str] = []
        self._given: list[str] = []
        super().__init__(*args, **{"allow_abbrev": False, **keywords})

    def add_argument(self, *args: Any, **keywords: Any) -> argparse.Action:
        """Declare an argument, as ever; its names are remembered for hints."""
        action = super().add_argument(*args, **keywords)
        self.known += action.option_strings
        return action

    def parse_known_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: Any = None
    ) -> tuple[Any, list[str]]:
        """Parse; what is not known is refused here, by the command it was given to."""
        self._given = list(args or ())
        options, unknown = super().parse_known_args(args, namespace)
        if unknown:
            self.error(f"not understood: {' '.join(unknown)}")
        return options, unknown

    def error(self, message: str) -> NoReturn:
        """Refuse in one line and exit with the code for wrong usage."""
        message = " ".join(message.split())
        self.exit(USAGE, f"{self.prog}: {message}{self._hint()}; see {self.prog} --help\n")

    def _hint(self) -> str:
        for word in self._given:
            name = word.partition("=")[0]
            if name.startswith("--") and name not in self.known:
                return _nearest(name, self.known)
            if self.commands and not name.startswith("-"):
                return "" if name in self.commands else _nearest(name, self.commands)
        return ""


def _nearest(word: str, known: Sequence[str]) -> str:
    from difflib import get_close_matches

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
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    for command in COMMANDS:
        command.add(commands)
    parser.commands = list(commands.choices)
    return parser
