"""``drumlin sheet``: a worksheet with its answer key, response cards and the sound to play, or a chart to read from."""

import argparse

from game.cli.arguments import add_data_dir, number, positive, whole
from game.cli.outputs import checked_outputs
from game.data_folder import data_folder, own_levels
from shared.errors import UserError
from shared.files import shown
from shared.levels import find_level
from shared.orchestration import orchestration_named


def add(parser: argparse.ArgumentParser) -> None:
    """Declare the command."""
    parser.add_argument("level", metavar="LEVEL", help="a level by its name, or a level file")
    parser.add_argument(
        "file", metavar="FILE.pdf", help="the pages to write; the sound, or a chart's score, goes beside"
    )
    add_data_dir(parser)
    parser.add_argument("--questions", type=positive, default=10, metavar="N", help="how many bars, 1 to 40 (10)")
    parser.add_argument("--versions", type=positive, default=1, metavar="N", help="1 to 3, under other letters (1)")
    parser.add_argument("--pupils", type=positive, default=1, metavar="N", help="how many sets of cards, 1 to 40 (1)")
    parser.add_argument("--tempo", type=number, metavar="N", help="beats a minute of all bars (the level's own)")
    parser.add_argument("--orchestration", metavar="NAME", help="the way round the kit of all bars (the level's own)")
    parser.add_argument("--no-counts", action="store_true", help="figures without their counts")
    parser.add_argument("--chart", action="store_true", help="the bars as drum music to read from, and a .musicxml")
    parser.add_argument("--tracks", action="store_true", help="a sound file for each bar as well")
    parser.add_argument("--seed", type=whole, default=0, metavar="N", help="the same seed gives the same sheet (0)")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Check every place, then write the pages and the sound."""
    (pages,) = checked_outputs([options.file], [".pdf"])
    checked_outputs([str(pages.with_suffix(".musicxml" if options.chart else ".wav"))])
    level = find_level(options.level, own_levels(data_folder(options.data_dir)))
    if options.orchestration is not None:
        orchestration_named(options.orchestration)
    if options.chart and (options.tracks or options.versions != 1 or options.pupils != 1):
        raise UserError("--chart: a chart has no tracks, versions or cards; leave these options out")
    # After all that is cheap to refuse, as numpy takes a while to load.
    from game.sessions.paper.worksheet import Worksheet
    from game.sheets import track_paths, write_chart, write_sheet

    if options.tracks:
        checked_outputs([str(path) for path in track_paths(pages, options.questions)])
    sheet = Worksheet(
        level, options.questions, options.seed, options.tempo, options.orchestration, not options.no_counts,
        options.versions, options.pupils,
    )  # fmt: skip
    for path in write_chart(sheet, pages) if options.chart else write_sheet(sheet, pages, options.tracks):
        print(shown(path))
    return 0
