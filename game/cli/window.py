"""``drumlin`` alone: the window."""

import argparse
import signal
import threading
from typing import Any

from game.cli.arguments import add_data_dir, add_level, add_player


class _Version(argparse.Action):
    """Prints the version and leaves."""

    def __init__(self, *args: Any, **keywords: Any) -> None:
        super().__init__(*args, **{**keywords, "nargs": 0})

    def __call__(self, parser: argparse.ArgumentParser, *_: Any) -> None:
        print(f"drumlin {own_version()}")
        parser.exit()


def add(parser: argparse.ArgumentParser) -> None:
    """Declare the options of the window."""
    add_player(parser)
    add_level(parser)
    add_data_dir(parser)
    parser.add_argument("--full-screen", action="store_true", help="open the window over the whole screen")
    parser.add_argument("--version", action=_Version, help="print the version and leave")
    parser.set_defaults(run=run, player=None, level=None, data_dir=None)


def run(options: argparse.Namespace) -> int:
    """Open the window and stay until it is closed."""
    # With pygame and every widget, which no other command wants.
    from game.app import open_window

    # SDL makes of this signal a closing of the window, but only where nobody else listens to it.
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
    return open_window(options)


def own_version() -> str:
    """Drumlin's version, as it was installed."""
    # Slow to load, where this module is loaded by every command.
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("drumlin")
    except PackageNotFoundError:
        return "as source, not installed"
