"""``drumlin demo``: an invented drum room, to see class, progress and plan before there is any data."""

import argparse
import time

from game.cli import window
from game.cli.arguments import add_data_dir
from game.data_folder import data_folder
from game.sessions.home.demo import demo_folder, open_demo


def add(parser: argparse.ArgumentParser) -> None:
    """Declare the command."""
    add_data_dir(parser)
    parser.add_argument("--no-window", action="store_true", help="only make the demo's folder and say where it is")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Make the demo's records where there are none yet, and open the window on them."""
    home = data_folder(options.data_dir)
    # Opened only to be made where it is not: the window opens it as it opens any records.
    open_demo(home, time.time()).close()
    folder = demo_folder(home)
    print(f"The demo is in {folder}: every pupil and every answer in it is invented.")
    if options.no_window:
        print(f"Look at it with: drumlin history --data-dir {folder}")
        return 0
    options.data_dir = str(folder)
    return window.run(options)
