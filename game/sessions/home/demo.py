"""A demo record: an invented drum room, so that class, progress and plan can be seen before there is any data.

It lies in a folder of its own, which says what it is, and never touches anybody's records.
"""

import shutil
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from random import Random
from uuid import UUID

from game.learning import Answer, Question
from game.learning.marking import marked
from game.records import Player, Records, RecordsError, Round
from game.records.errors import explaining
from game.records.folders import RECORDS_NAME, made_folder
from game.records.log import Logged
from game.sessions.exam.exam import ExamSession
from game.sessions.exam.paper import draw_paper
from game.sessions.exam.result import result_of
from game.sessions.home.demo_playing import play_some
from game.sessions.home.demo_pupils import Pupil
from game.sessions.practice.round import BARS
from game.sessions.practice.scoring import BEAT_POINTS, RULE_NUMBER, beat_points, score
from game.wording import DAY_SECONDS
from shared.figures import Figure
from shared.files import shown, write_beside
from shared.levels import Level, find_level

FOLDER = "demo"
ROOM = "Millrace Drum Room (demo)"
DAYS = 90

NOTE = """This folder is a demo of Drumlin.
The drum room, its pupils and every answer in it are invented. Nothing here is about a real person.
You can delete the whole folder at any time; your own records lie elsewhere and stay as they are.
"""

PUPILS = (
    ("Wren (demo)", -0.2, 0.09, 0.7),
    ("Ash (demo)", -0.9, 0.05, 0.5),
    ("Rowan (demo)", 0.5, 0.06, 0.35),
    ("Hazel (demo)", -0.7, 0.08, 0.55),
)
"""Each pupil's name, start, gain, and the chance of practising on a day."""

PLAYING_DAYS = 30
"""In the last so many days the pupils play, too, every third evening."""

CLASS_SIZE = 14
"""How many pupils sit in a lesson: so many still raise hands that are counted at a glance."""

WEEK = 7


def demo_folder(data_folder: Path) -> Path:
    """Where the demo of a data folder lies."""
    return data_folder / FOLDER


def is_demo(folder: Path) -> bool:
    """Whether a folder holds a demo rather than anybody's records."""
    return (folder / "DEMO.txt").is_file()


def open_demo(data_folder: Path, now: float, seed: int = 0) -> Records:
    """Open the demo records of a data folder, made first where there are none.

    They are made beside and renamed, so a demo is there whole or not at all; where its records were deleted or damaged
    since, they are made anew.  Raises ``RecordsError`` where the folder can't be written, or something else has the
    demo's name in it.
    """
    folder, draft = demo_folder(data_folder), data_folder / f"{FOLDER}.part"
    with explaining(folder):
        if not is_demo(folder):
            if folder.exists():
                raise RecordsError(f"{shown(folder)} is there already and is no demo; move it away or rename it")
            made_folder(data_folder)
            _make(draft, now, seed).rename(folder)
    records = Records.open(folder, now)
    try:
        if not records.players("player"):
            records.restore(_make(draft, now, seed) / RECORDS_NAME, now)
            shutil.rmtree(draft, ignore_errors=True)
    except BaseException:
        records.close()
        raise
    return records


def _make(draft: Path, now: float, seed: int) -> Path:
    """A demo in a folder of its own, made anew."""
    # What a crash may have left of an earlier attempt.
    shutil.rmtree(draft, ignore_errors=True)
    draft.mkdir()
    write_beside(draft / "DEMO.txt", NOTE.encode())
    # In memory and then copied out: three months of answers, one by one, would each wait for the disk.
    with Records.in_memory() as records:
        fill(records, now, seed)
        records.backup(draft / RECORDS_NAME)
    return draft


def fill(records: Records, now: float, seed: int = 0, days: int = DAYS) -> None:
    """Write three months, or so many days, of an invented drum room, up to yesterday, into empty records."""
    levels = find_level("stage-3"), find_level("stage-4")
    # Whole days before today, so that nothing in the demo lies in the future whenever it is opened.
    first = _midnight(now) - days * DAY_SECONDS
    room = records.add_player(ROOM, first, "class")
    _teach_class(records, room, levels, first, days // WEEK, Random(f"demo/{seed}/class"))
    # The last one added counts as the most recent: Wren then leads the list.
    for name, start, gain, often in reversed(PUPILS):
        random = Random(f"demo/{seed}/{name}")
        player = records.add_player(name, first)
        records.save_settings(player, replace(records.settings(player), level=levels[1].name))
        pupil = Pupil(name, start, gain)
        _practise(records, player, pupil, levels, first, days, often, random)
        # Drawn apart, so that what is heard stays the same whatever is played.  Only now: hands come after ears.
        evenings = [first + day * DAY_SECONDS + 19 * 3600 for day in range(max(0, days - PLAYING_DAYS), days, 3)]
        play_some(records, player, pupil, levels[1], evenings, Random(f"demo/{seed}/{name}/playing"))
        # At half past six: the last round of a day, begun by six, is over by then, and the log runs in order.
        _sit_exam(records, player, pupil, levels[1], first + (days - 1) * DAY_SECONDS + 18.5 * 3600, random)


def _practise(
    records: Records, player: Player, pupil: Pupil, levels: tuple[Level, Level], first: float, days: int,
    often: float, random: Random,
) -> None:  # fmt: skip
    rows: list[Logged] = []
    for day in range(days):
        pupil.sleep()
        if random.random() < often:
            begins = first + day * DAY_SECONDS + random.uniform(16, 18) * 3600
            # The first half of the days on the lower level, the second on the higher: progress has a change to show.
            level = levels[day * 2 // days]
            played = list(_round(pupil, level, begins, random))
            rows += [row for bar in played for row in bar]
            records.save_round(player, _summed_up(level, begins, played), _uuid(random))
    records.append_all(player, rows)


def _round(pupil: Pupil, level: Level, begins: float, random: Random) -> Iterator[list[Logged]]:
    """One round of practice, bar by bar, as rows of the log."""
    at = begins
    for question in draw_paper(level, random.getrandbits(32), BARS, begins):
        hearings = random.choice((1, 1, 2))
        seconds = [pupil.seconds(figure, random) for figure in question.asked_figures]
        # About eight seconds a hearing: count-in and bar at a middle tempo.
        at += sum(seconds) + 8.0 * hearings
        picks = [pupil.say(figure, level.figures, random) for figure in question.asked_figures]
        answers = marked(question, picks, at, level.name, seconds, hearings).answers
        for figure in question.asked_figures:
            pupil.hear(figure)
        yield [Logged(question.id, place, answer) for place, answer in enumerate(answers)]


def _summed_up(level: Level, begins: float, bars: list[list[Logged]]) -> Round:
    right = [[row.answer.said == row.answer.heard for row in bar] for bar in bars]
    hearings = [bar[0].answer.hearings for bar in bars]
    return Round(
        level=level.name,
        started=begins,
        finished=bars[-1][0].answer.at,
        beats=sum(map(len, right)),
        right=sum(map(sum, right)),
        hearings=sum(hearings),
        score=score(sum(map(_points, right, hearings)), BEAT_POINTS * sum(map(len, right))),
        bars=len(bars),
        rule=RULE_NUMBER,
    )


def _points(right: list[bool], hearings: int) -> int:
    return sum(beat_points(good, False, hearings - 1) for good in right)


def _sit_exam(records: Records, player: Player, pupil: Pupil, level: Level, now: float, random: Random) -> None:
    session = ExamSession(level, random.getrandbits(32), now)
    exam = records.start_exam(player, level.name, session.rules, now)
    for number, question in enumerate(session.paper, 1):
        session.play()
        for place, figure in enumerate(question.asked_figures):
            session.pick(place, pupil.say(figure, level.figures, random))
        records.append(player, question.id, session.hand_in(now + 30 * number))
    mark = result_of(session.rules, session.detail).mark
    records.finish_exam(player, exam, mark, session.detail, now + 30 * len(session.paper))


def _teach_class(
    records: Records, room: Player, levels: tuple[Level, Level], first: float, weeks: int, random: Random
) -> None:
    """A lesson a week, eight bars each, answered by a show of hands."""
    pupils = [Pupil(str(k), random.gauss(0.2, 0.5), random.uniform(0.1, 0.3)) for k in range(CLASS_SIZE)]
    # The third day of each week at three in the afternoon: a lesson has its hour.
    for week in range(weeks):
        begins = first + (week * WEEK + 2) * DAY_SECONDS + 15 * 3600
        level = levels[week * 2 // weeks]
        for number, question in enumerate(draw_paper(level, random.getrandbits(32), 8, begins)):
            hands = [_hands(pupils, figure, level, random) for figure in question.asked_figures]
            answers = _class_answers(question, hands, begins + 75 * number, level)
            records.append(room, question.id, answers)
        # Seven nights without practice: between two lessons the class forgets, as the coach is to show.
        for pupil in pupils:
            for _ in range(WEEK):
                pupil.sleep()


def _hands(pupils: list[Pupil], heard: Figure, level: Level, random: Random) -> dict[Figure | None, int]:
    votes: Counter[Figure | None] = Counter(pupil.say(heard, level.figures, random) for pupil in pupils)
    for pupil in pupils:
        pupil.hear(heard)
    return dict(votes)


def _class_answers(
    question: Question, hands: list[dict[Figure | None, int]], at: float, level: Level
) -> tuple[Answer, ...]:
    return marked(question, hands, at, level.name, hearings=2, kind="class").answers


def _midnight(now: float) -> float:
    return datetime.fromtimestamp(now).replace(hour=0, minute=0, second=0, microsecond=0).timestamp()


def _uuid(random: Random) -> str:
    return str(UUID(int=random.getrandbits(128), version=4))
