"""The manual says what is true: every command, option and level key is in it, and shown output is what is printed."""

import argparse
import re
import tomllib
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

from game.__main__ import main
from game.cli.parser import COMMANDS, Parser
from shared.level_table import ExamRules, Level
from shared.levels import level_from_text

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
TEACHERS = (ROOT / "levels" / "TEACHERS.md").read_text(encoding="utf-8")

SHOWN = re.compile(r"^\$ drumlin (.+)\n((?:(?!\$ |```).*\n)*)", re.MULTILINE)
"""A command of the manual and the lines it prints."""


def options_of(parser: argparse.ArgumentParser) -> Iterator[str]:
    """The options that a parser, and the parsers under it, declare."""
    for action in parser._actions:
        yield from (option for option in action.option_strings if option not in ("-h", "--help"))
        if isinstance(action, argparse._SubParsersAction):
            for under in action.choices.values():
                yield from options_of(under)


def declared(command: str) -> argparse.ArgumentParser:
    """The parser of one command, its options declared."""
    parser = Parser()
    import_module(f"game.cli.{command or 'window'}").add(parser)
    return parser


def row(command: str) -> str:
    """The row of the README's table for a command."""
    starts = f"| `{' '.join(['drumlin', command]).strip()}"
    return next((line for line in README.splitlines() if line.startswith((starts + "`", starts + " "))), "")


def words(shown: str) -> list[str]:
    """The words of a shown command; a text in double quotes is one word."""
    return [quoted or plain for quoted, plain in re.findall(r'"([^"]*)"|(\S+)', shown)]


@pytest.mark.parametrize(("shown", "printed"), SHOWN.findall(README) + SHOWN.findall(TEACHERS))
def test_shown_output_is_printed(
    shown: str, printed: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A command of the manual prints just what the manual shows."""
    monkeypatch.chdir(tmp_path)
    main(words(shown))
    out, err = capsys.readouterr()
    assert out + err == printed


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_every_command_and_option_is_in_the_readme(command: str) -> None:
    """Each command has its row, and in it stand its options and no others."""
    assert set(re.findall(r"--[a-z-]+", row(command))) == set(options_of(declared(command)))


def test_commands_of_commands_are_in_the_readme() -> None:
    """What ``levels`` and ``history`` can do is named in their rows."""
    for command in COMMANDS:
        for action in declared(command)._actions:
            if isinstance(action, argparse._SubParsersAction):
                assert not [name for name in action.choices if f"`{name}" not in row(command)]


def test_every_level_key_is_in_the_teachers_page() -> None:
    """Each key of a level file and of its exam is explained."""
    keys = {"format", "low", "high", *Level.__dataclass_fields__, *ExamRules.__dataclass_fields__} - {"name"}
    assert not [key for key in keys if f"`{key}`" not in TEACHERS and f"`[{key}]`" not in TEACHERS]


def test_the_shown_level_is_a_level() -> None:
    """The teacher's example reads without a fault and shows every key."""
    text = TEACHERS.split("```toml\n")[1].split("```")[0]
    assert level_from_text(text, "example").words
    assert set(tomllib.loads(text)) == {"format", *Level.__dataclass_fields__} - {"name"}


def test_pictures_are_there() -> None:
    """Every picture and page that the manual links lies in the project."""
    for page in (README, TEACHERS):
        for link in re.findall(r"\]\(([^)]+)\)", page):
            assert (ROOT / link).is_file(), link
