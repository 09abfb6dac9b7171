"""``drumlin`` alone: the window."""

import argparse

from game.cli.arguments import add_data_dir, add_level, add_player


def add(parser: argparse.ArgumentParser) -> None:
    """Declare what the window takes."""
    add_player(parser)
    add_level(parser)
    add_data_dir(parser)
    parser.add_argument("--full-screen", action="store_true", help="open the window over the whole screen")
    parser.set_defaults(run=run, player=None, level=None, data_dir=None)


def run(options: argparse.Namespace) -> int:
    """Open the window and stay until it is closed."""
    from game.app import open_window

    return open_window(options)
