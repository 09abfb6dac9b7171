"""``drumlin levels``: the levels there are, whether level files are good, and the ways round the kit."""

import argparse
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

from game.cli.arguments import add_data_dir, add_json, print_json
from game.cli.errors import DONE, say
from game.cli.parser import Parser
from game.data_folder import data_folder, own_levels
from game.start import MENDABLE
from shared.files import shown
from shared.levels import (
    Level,
    LevelError,
    kept_names,
    ladder_place,
    load_level,
    read_own,
    shipped_levels,
    word_remarks,
)
from shared.orchestration import ORCHESTRATIONS


def add(parser: Parser) -> None:
    """Declare the command and what it can do."""
    add_data_dir(parser)
    add_json(parser, "the levels")
    parser.set_defaults(run=run_list, json=False)
    listing = parser.act("list", "every level with its figures; this is also what `levels` alone does", run_list)
    add_data_dir(listing)
    add_json(listing, "the levels")
    checking = parser.act("check", "read level files and report every fault", run_check)
    checking.add_argument("files", metavar="FILE", nargs="+", help="a level file")
    add_json(checking, "the faults")
    ways = parser.act("orchestrations", "each way round the kit, with one line of what it does", run_orchestrations)
    add_json(ways, "the orchestrations")


def run_list(options: argparse.Namespace) -> int:
    """Print the ladder, the levels kept beside it and the player's own; a faulty one is told on the error stream."""
    levels = list(_all_levels(getattr(options, "data_dir", None)))
    if options.json:
        print_json([level_facts(level) for level in levels])
    else:
        print("\n\n".join(_entry(level) for level in levels))
    return DONE


def _all_levels(data_dir: str | None) -> Iterator[Level]:
    yield from shipped_levels()
    own = own_levels(data_folder(data_dir))
    for name, found in read_own(own):
        if isinstance(found, LevelError):
            number = len(found.faults)
            many = f"with {number} faults: drumlin levels check {own / name}.toml"
            # One fault in full, several by the command that lists them: here is a list of levels, not of faults.
            say(f"{shown(name)} is left out, {many if number > 1 else f'for a fault: {found}'}")
        else:
            yield found


def level_facts(level: Level) -> dict[str, Any]:
    """A level as JSON holds it, its figures as counts."""

    return {
        "name": level.name,
        "ladder": ladder_place(level.name),
        "title": level.title,
        "about": level.about,
        "meter": level.meter.name,
        "figures": [figure.count for figure in level.figures],
        "new": [figure.count for figure in level.new],
        "order": [figure.count for figure in level.order],
        "orchestrations": list(level.orchestrations),
        "groove_bars": list(level.groove_bars),
        "tempo": asdict(level.tempo),
        "exam": asdict(level.exam),
    }


def _entry(level: Level) -> str:
    figures = "; ".join(figure.count for figure in level.figures)
    new = "; ".join(figure.count for figure in level.new)
    tempo = f"{level.tempo.low:g} to {level.tempo.high:g} beats a minute"
    place = ladder_place(level.name)
    number = f"{place}. " if place else ""
    kept = "  outside the ladder; kept for old records and exams" if level.name in kept_names() else ""
    lines = [f"{number}{level.name}: {level.title}", kept, f"  {level.about}" if level.about else ""]
    lines += [f"  {level.meter}, {tempo}"]
    lines += [f"  {len(level.figures)} figures: {figures}", f"  new: {new}" if new else ""]
    lines += [f"  played as: {', '.join(level.orchestrations)}"]
    return "\n".join(line for line in lines if line)


def run_check(options: argparse.Namespace) -> int:
    """Read each file; a line for each good one and for what is odd about it, and one for each fault of the others."""
    # All of them, and only then the exit code: a teacher mends twenty files in one go.
    checked = {file: _check(file) for file in options.files}
    if options.json:
        print_json([
            {"file": file, "good": not faults, "faults": faults, "remarks": remarks}
            for file, (faults, remarks) in checked.items()
        ])  # fmt: skip
    for file, (faults, remarks) in checked.items():
        if faults:
            say("\n".join(faults))
        elif not options.json:
            print("\n".join([f"{file}: good", *remarks]))
    return MENDABLE if any(faults for faults, _ in checked.values()) else DONE


def _check(file: str) -> tuple[list[str], list[str]]:
    """The faults of a level file, and where it has none what may be odd about it."""
    try:
        level = load_level(file)
    except LevelError as error:
        return [str(fault) for fault in error.faults], []
    return [], [str(remark) for remark in word_remarks(level, file, Path(file).read_text("utf-8-sig"))]


def run_orchestrations(options: argparse.Namespace) -> int:
    """Print each orchestration with what it does."""
    if options.json:
        print_json([{"name": way.name, "about": way.about} for way in ORCHESTRATIONS.values()])
    else:
        for way in ORCHESTRATIONS.values():
            print(f"{way.name}: {way.about}")
    return DONE
