"""Arguments that several commands share, and the types of their values."""

import argparse
from json import dumps

from shared.bars import METERS, SINGLE_BEATS, Meter


def number(text: str) -> float:
    """A number of an option."""
    try:
        # Python would also read digits of other scripts, and underscores between digits: 8_0 is a slip for 80.
        if text.isascii() and "_" not in text:
            return float(text)
    except ValueError:
        pass
    raise argparse.ArgumentTypeError(f"{text!r} is no number; write one such as 80")


def whole(text: str) -> int:
    """A whole number of an option, from 0."""
    # Eighteen digits fit into SQLite's and numpy's 64 bits, where such numbers may end up.
    if not (text.isascii() and text.isdigit() and len(text) <= 18):
        raise argparse.ArgumentTypeError(f"{text!r} is no whole number; write one such as 7")
    return int(text)


def positive(text: str) -> int:
    """A whole number of an option, from 1."""
    found = whole(text)
    if not found:
        raise argparse.ArgumentTypeError("0 is too few; write 1 or more")
    return found


def folder(text: str) -> str:
    """A folder's name.  An empty one, as of an unset variable in a script, would mean the folder one is in."""
    if not text:
        raise argparse.ArgumentTypeError("the name is empty; write . for the folder you are in")
    return text


def meter(text: str) -> Meter:
    """A meter by its name."""
    known = METERS | SINGLE_BEATS
    if text not in known:
        raise argparse.ArgumentTypeError(f"{text!r} is no meter here; choose from {', '.join(known)}")
    return known[text]


def add_meter(parser: argparse.ArgumentParser) -> None:
    """``--meter``, for counts that leave it open, such as ``1 2``."""
    parser.add_argument("--meter", type=meter, help="the meter, where the count leaves it open: 4/4, 6/8 …")


def add_tempo(parser: argparse.ArgumentParser) -> None:
    """``--tempo``, 80 by default."""
    parser.add_argument("--tempo", type=number, default=80.0, metavar="N", help="beats a minute, 20 to 400 (80)")


def add_left_handed(parser: argparse.ArgumentParser) -> None:
    """``--left-handed``."""
    parser.add_argument("--left-handed", action="store_true", help="stickings for a leading left hand")


def add_json(parser: argparse.ArgumentParser, what: str) -> None:
    """``--json``; ``what`` names in the help the thing that is printed."""
    # As with --data-dir: a default here would undo a --json that stands before the word of an act.
    parser.add_argument("--json", action="store_true", default=argparse.SUPPRESS, help=f"print {what} as JSON")


def print_json(found: object, indent: int | None = 2) -> None:
    """Print as JSON what ``--json`` asks for; without an indent in one line, at once."""
    print(dumps(found, ensure_ascii=False, indent=indent), flush=True)


def add_data_dir(parser: argparse.ArgumentParser) -> None:
    """``--data-dir``, which may stand before or after the command."""
    # Without a default of its own: the command's would undo what was given before the command.
    parser.add_argument(
        "--data-dir", type=folder, metavar="DIR", default=argparse.SUPPRESS,
        help="keep records and levels in this folder",
    )  # fmt: skip


def add_player(parser: argparse.ArgumentParser) -> None:
    """``--player``, which may stand before or after the command."""
    parser.add_argument("--player", metavar="NAME", default=argparse.SUPPRESS, help="whose records")


def add_level(parser: argparse.ArgumentParser) -> None:
    """``--level``, which may stand before or after the command."""
    parser.add_argument(
        "--level", metavar="NAME|FILE", default=argparse.SUPPRESS, help="a level by its name, or a level file"
    )


def lead(options: argparse.Namespace) -> str:
    """The leading hand that was asked for."""
    return "L" if options.left_handed else "R"
