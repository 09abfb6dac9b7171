"""``python -m game.release.pages``: writes man page, menu entry and icon anew from what the program says of itself.

They are kept in the repository, since installing the package puts them where the system looks; a test holds them to
the command line and the theme.
"""

import argparse
import re
from collections.abc import Callable, Iterator
from pathlib import Path

from game.cli.parser import COMMANDS, Parser, build
from game.widgets.icon import icon_svg

HERE = Path(__file__).parent

# The last line is the class that ``open_display`` gives its window: else a desktop shows it beside this entry, without
# the icon.
DESKTOP = """[Desktop Entry]
Type=Application
Name=Drumlin
GenericName=Ear training for drummers
Comment=Hear a bar, say which figure sits on each beat
Exec=drumlin
Icon=drumlin
Terminal=false
Categories=Education;Music;
Keywords=drums;rhythm;ear;practice;notation;
StartupWMClass=drumlin
"""
"""Desktop Entry Specification 1.5 (freedesktop)."""


def loaded() -> Parser:
    """The parser with the arguments of every command, which otherwise come when a command is used."""
    parser = build()
    for command in commands(parser).values():
        command.load()
    return parser


def commands(parser: Parser) -> dict[str, Parser]:
    """The parser of each command, by its name."""
    (found,) = (action for action in parser._actions if isinstance(action, argparse._SubParsersAction))
    return {name: found.choices[name] for name in COMMANDS}


def manual() -> str:
    """The manual page in the troff macros of man(7)."""
    parser = loaded()
    lines = [
        # No date: the page would differ each day, and the test that holds it to the program fail.
        '.TH DRUMLIN 1 "" "Drumlin" "User Commands"', ".SH NAME", r"drumlin \- ear training for drummers",
        ".SH SYNOPSIS", ".B drumlin", "[options] [command]", ".SH DESCRIPTION", _plain(parser.description or ""),
        _plain(parser.epilog or ""), "The README that comes with it says what is on each page of the window.",
        ".SH OPTIONS", *_options(parser), ".SH COMMANDS",
    ]  # fmt: skip
    for name, command in commands(parser).items():
        lines += [f".SS drumlin {name}", _plain(command.description or "") + ".", *_options(command)]
    lines += [
        ".SH EXIT STATUS", "0 done, 1 something that you can mend (one line says how), 2 wrong usage, 130 interrupted.",
        ".SH FILES", "One folder holds everything: `drumlin check` names it.",
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


def _options(parser: Parser) -> Iterator[str]:
    for action in parser._actions:
        if action.help == argparse.SUPPRESS or isinstance(action, argparse._SubParsersAction):
            continue
        name = ", ".join(action.option_strings) or str(action.metavar or action.dest)
        value = f" {action.metavar}" if action.option_strings and action.metavar else ""
        yield from (".TP", f".B {_plain(name + value)}", _plain(_helped(parser, action)))


def _helped(parser: Parser, action: argparse.Action) -> str:
    # This puts in defaults and choices where the help says %(default)s.
    return parser._get_formatter()._expand_help(action) if action.help else ""


def _plain(text: str) -> str:
    """Text in which troff sees no command of its own."""
    # A dot or an apostrophe that opens a line is a request, a bare hyphen a typographic one, which can't be copied out.
    return re.sub(r"^([.'])", r"\\&\1", text.replace("\\", r"\e").replace("-", r"\-"))


FILES: dict[str, Callable[[], str]] = {
    "drumlin.1": manual,
    "drumlin.desktop": lambda: DESKTOP,
    "drumlin.svg": icon_svg,
}
"""Each file, and what it says."""


def main() -> None:
    """Write every file anew."""
    for name, made in FILES.items():
        (HERE / name).write_text(made(), encoding="utf-8")


if __name__ == "__main__":
    main()
