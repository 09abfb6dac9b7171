"""``drumlin sheet``: a worksheet with its answer key, response cards and the sound to play."""

import argparse

from game.cli.arguments import add_data_dir, positive, whole
from game.cli.outputs import checked_outputs
from game.data_folder import data_folder, own_levels
from shared.files import shown
from shared.levels import find_level


def add(parser: argparse.ArgumentParser) -> None:
    """Declare the command."""
    parser.add_argument("level", metavar="LEVEL", help="a level by its name, or a level file")
    parser.add_argument("file", metavar="FILE.pdf", help="the pages to write; the sound goes beside them as .wav")
    add_data_dir(parser)
    parser.add_argument("--questions", type=positive, default=10, metavar="N", help="how many bars, 1 to 40 (10)")
    parser.add_argument("--seed", type=whole, default=0, metavar="N", help="the same seed gives the same sheet (0)")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Check both places, then write the pages and the sound."""
    (pages,) = checked_outputs([options.file], [".pdf"])
    checked_outputs([str(pages.with_suffix(".wav"))])
    level = find_level(options.level, own_levels(data_folder(options.data_dir)))
    from game.sheets import write_sheet  # fpdf takes a while: after what is cheap to refuse

    for path in write_sheet(level, pages, options.questions, options.seed):
        print(shown(path))
    return 0
