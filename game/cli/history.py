"""``drumlin history``: shows, exports, imports, judges and backs up the records of a player."""

import argparse
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any

from game.cli.arguments import add_data_dir, add_json, add_player, print_json
from game.cli.errors import say
from game.cli.keeping import chosen_player, existing_records, opened_records
from game.cli.parser import Parser
from game.data_folder import data_folder, own_levels
from game.learning.evidence import Answer, first_tries
from game.records import Player, Records
from game.sessions.progress.mixups import mix_ups, tally
from game.wording import counted, day_words, local_day
from shared.counting import parse_figure
from shared.figures import Figure
from shared.files import check_place
from shared.levels import LevelError, find_level

TOLD_AFTER = 2.0
"""Seconds after which it is told how far a long file is read."""

WORST_SHOWN = 5
"""How many mix-ups are shown for each level."""


def add(parser: Parser) -> None:
    """Declare the command and what it can do."""
    add_player(parser)
    add_data_dir(parser)
    add_json(parser, "the record")
    parser.set_defaults(run=run_show, json=False)
    showing = parser.act("show", "what is kept, level by level; this is also what `history` alone does", run_show)
    exporting = parser.act("export", "write a player's history to a file (.csv: a table of the answers)", run_export)
    importing = parser.act("import", "bring in a history file; doing so twice changes nothing", run_import)
    judging = parser.act("judge", "what the coach's choice of figures does for a player, against chance", run_judge)
    backing = parser.act("backup", "write a copy of everybody's records", run_backup)
    restoring = parser.act("restore", "bring a backup back; what was there is kept beside it", run_restore)
    for act in (showing, exporting, importing, judging, backing, restoring):
        add_data_dir(act)
    for act in (showing, exporting, importing, judging):
        add_player(act)
    for act in (exporting, importing, backing, restoring):
        act.add_argument("file", metavar="FILE", type=Path)
    add_json(showing, "the record")
    add_json(judging, "the judgement")
    judging.add_argument("file", metavar="FILE", type=Path, nargs="?", help="an exported history, in place of a record")


def run_show(options: argparse.Namespace) -> int:
    """Print what is kept of one player, and who else there is."""
    with existing_records(options) as records:
        player = chosen_player(records, options.player)
        told = described(records, player, data_folder(options.data_dir))
        others = [other.name for other in records.players() if other.uuid != player.uuid]
    if options.json:
        print_json(told)
    else:
        print("\n".join(_lines(told)))
        if others:
            print(f"\nOther records: {', '.join(others)} (--player NAME)")
    return 0


def described(records: Records, player: Player, folder: Path) -> dict[str, Any]:
    """A player's record in numbers, as JSON holds it: first tries by ear.  Times are in epoch seconds.

    The mix-ups of a level are those of its figures wherever they were asked, as on the page of progress.
    ``folder`` is the data folder, which holds the player's own levels.
    """
    answers = list(first_tries(records.answers(player)))
    levels = dict.fromkeys([answer.level for answer in answers])
    return {
        "player": player.name,
        "kind": player.kind,
        "answers": len(answers),
        "days": len({local_day(answer.at) for answer in answers}),
        "levels": [_level(records, player, name, answers, folder) for name in levels],
    }


def _level(records: Records, player: Player, name: str, record: list[Answer], folder: Path) -> dict[str, Any]:
    answers = [one for one in record if one.level == name]
    rounds = records.rounds(player, name)
    # Best of those like the last round: points of other lengths, or by an older rule, can't be set beside it.
    best = records.best(player, name, like=rounds[-1]) if rounds else None
    return {
        "level": name,
        "answers": len(answers),
        "right": round(sum(one.share for one in answers if one.said == one.heard), 2),
        "heard": round(sum(one.share for one in answers), 2),
        "first": answers[0].at,
        "last": answers[-1].at,
        "rounds": len(rounds),
        "best": best.score if best else None,
        "exams": [{"state": exam.state, "mark": exam.mark, "at": exam.started} for exam in records.exams(player, name)],
        "mix_ups": [
            {"heard": mixed.heard.count, "said": mixed.said.count, "times": round(mixed.times, 2)}
            for mixed in mix_ups(_figures(name, folder, answers), record)[:WORST_SHOWN]
        ],
    }


def _figures(name: str, folder: Path, answers: list[Answer]) -> list[Figure]:
    """The figures of a level, in its order, and any others that were heard or said on it: levels change, and go."""
    own: tuple[Figure, ...] = ()
    # A level that is gone, or damaged by now, still has a record worth reading.
    with suppress(LevelError):
        own = find_level(name, own_levels(folder)).figures
    counts = dict.fromkeys(count for one in answers for count in (one.heard, one.said) if count)
    known = {figure.count for figure in own}
    return [*own, *(parse_figure(count) for count in counts if count not in known)]


def run_judge(options: argparse.Namespace) -> int:
    """Print by how much the coach's choice helps this player, with an interval, or how much is wanting to tell."""
    # Here and not above: numpy is slow to load, and no other act of the command wants it.
    from game.learning.coach_effect import judged

    if options.file is not None:
        # Into records that nobody keeps: to judge a pupil's file must not add the pupil to the teacher's records.
        with Records.in_memory() as records:
            came = records.import_history(options.file, time.time(), None, _teller())
            judgement = judged(records.answers(came.player))
    else:
        with existing_records(options) as records:
            judgement = judged(records.answers(chosen_player(records, options.player)))
    if options.json:
        print_json(asdict(judgement))
        return 0
    print(
        "The coach leaves one place in ten to chance, to be compared with what it chose. "
        f"{counted(judgement.answers, 'answer')} can be compared so far: the figure came again later."
    )
    if judgement.wanting:
        print(f"Too few to tell what the coach does: about {judgement.wanting} more are wanting.")
    # Bounds as wide as can be say that nothing is known yet.
    if judgement.high - judgement.low < 2:
        effect, low, high = (100 * value for value in (judgement.effect, judgement.low, judgement.high))
        print(
            f"A figure that the coach chose is right next time in {effect:+.0f} of 100 more than one that chance chose "
            f"({low:+.0f} to {high:+.0f} with 95% probability)."
        )
    return 0


def _lines(told: dict[str, Any]) -> Iterator[str]:
    yield f"{told['player']}: {counted(told['answers'], 'answer')} on {counted(told['days'], 'day')}"
    for level in told["levels"]:
        yield ""
        yield f"{level['level']}: {_share(level)} right, last on {day_words(level['last'])}"
        if level["best"] is not None:
            yield f"  rounds: {level['rounds']}, best {level['best']} points"
        for exam in level["exams"]:
            mark = "no mark" if exam["mark"] is None else f"{exam['mark']:.0%}"
            yield f"  mock exam on {day_words(exam['at'])}: {exam['state']}, {mark}"
        for mix_up in level["mix_ups"]:
            yield f"  {mix_up['heard']} taken for {mix_up['said']}: {tally(mix_up['times'])}"


def _share(level: dict[str, Any]) -> str:
    return f"{tally(level['right'])} of {level['heard']:g} beats ({level['right'] / level['heard']:.0%})"


def run_export(options: argparse.Namespace) -> int:
    """Write a player's history, or a table of the answers where the file's name ends in .csv."""
    # Before the records are read: years of answers take a while, and a wrong place should be told at once.
    check_place(options.file)
    with existing_records(options) as records:
        player = chosen_player(records, options.player)
        as_table = options.file.suffix.lower() == ".csv"
        write = records.export_csv if as_table else records.export_history
        print(f"{options.file}: {counted(write(options.file, player), 'answer')} of {player.name}")
    return 0


def run_import(options: argparse.Namespace) -> int:
    """Bring in a history file, for the player it belongs to or for the one that was named."""
    with opened_records(options) as records:
        into = records.find_player(options.player) if options.player else None
        came = records.import_history(options.file, time.time(), into, _teller())
    known_as = f" (in the file: {came.known_as})" if came.known_as else ""
    answers, rounds = counted(came.answers, "new answer"), counted(came.rounds, "new round")
    made = [counted(many, noun) for many, noun in ((came.fills, "new fill"), (came.riddles, "new riddle")) if many]
    print(f"{came.player.name}{known_as}: " + ", ".join([answers, f"{came.known} known already", rounds, *made]))
    return 0


def _teller() -> Callable[[float], None]:
    """Says on the error stream how far a long file is read, every few seconds."""
    told = time.monotonic()

    def tell(share: float) -> None:
        nonlocal told
        if time.monotonic() - told >= TOLD_AFTER:
            told = time.monotonic()
            say(f"{share:.0%} is read")

    return tell


def run_backup(options: argparse.Namespace) -> int:
    """Write a copy of everybody's records."""
    check_place(options.file)
    with existing_records(options) as records:
        records.backup(options.file)
    print(f"{options.file}: a copy of all records")
    return 0


def run_restore(options: argparse.Namespace) -> int:
    """Bring a backup back."""
    with opened_records(options) as records:
        kept = records.restore(options.file, time.time())
    print(f"The records are those of {options.file}" + (f"; what was there is kept as {kept}" if kept else ""))
    return 0
