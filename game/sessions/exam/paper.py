"""Draws the bars of a mock exam: at random, and every figure as often as any other.

The coach has no hand in it: bars chosen for what a player mixes up would not measure what the player knows.
"""

from itertools import cycle, islice
from random import Random
from typing import TypeVar

from game.learning import Question
from game.learning.question import Reason, question_id
from game.sessions.lesson.duration import hearing_seconds
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import Level
from shared.orchestration import ORCHESTRATIONS, Setting, groove_bar

DRAWN = Reason("Drawn at random, every figure as often as any other.")

NAMING = 4.0
"""Seconds in which a beat is named (judged by trying, no source)."""

T = TypeVar("T")


def exam_seconds(level: Level) -> float:
    """The seconds of an exam by the level's rules at its middle tempo, every hearing used and every beat named."""
    rules, hearing = level.exam, hearing_seconds(level)
    heard = rules.questions * (rules.hearings * hearing + level.meter.beats * NAMING)
    # A bar that is played back is heard before; at sight it is read for about as long.
    return heard + rules.playing * 2 * hearing


def draw_paper(level: Level, seed: int, questions: int | None = None, now: float = 0.0) -> tuple[Question, ...]:
    """The questions of a mock exam: as many as the level's rules say, or so many.

    Of any two figures neither is asked more than once more often than the other; the same holds for the
    level's orchestrations and numbers of groove bars.  The same seed draws the same bars; ``now``, the time at which
    they are asked, makes them questions of their own, whose answers are kept beside those of another time.
    """
    # Seeded by a text, which ``Random`` digests alike on every machine and in every start; the built-in hash() of a
    # text differs from start to start.  The words before it keep this row of draws apart from all others.
    random = Random(f"exam/{level.name}/{seed}")
    number = questions or level.exam.questions
    names = evenly(level.orchestrations, number, random)
    grooves = evenly(level.groove_bars, number, random)
    asked = [ORCHESTRATIONS[name].asked(level.meter) for name in names]
    # Dealt over the whole paper: within a bar a figure may well come twice, or not at all.
    pool = iter(evenly(level.figures, sum(map(len, asked)), random))
    return tuple(
        Question(
            bar=_bar(level, places, list(islice(pool, len(places)))),
            asked=places,
            choices=level.figures,
            setting=Setting(name, drawn_tempo(level, random), groove, seed=random.getrandbits(31)),
            reason=DRAWN,
            id=question_id("exam", level.name, seed, now, place),
        )
        for place, (name, groove, places) in enumerate(zip(names, grooves, asked, strict=True))
    )


def evenly(things: tuple[T, ...], number: int, random: Random) -> list[T]:
    """So many of the things in random order, each as often as any other, or once more."""
    order = list(things)
    random.shuffle(order)
    # Shuffled before dealing too, so that chance decides which of them come once more than others.
    dealt = list(islice(cycle(order), number))
    # Again after dealing: else the things would come round in one fixed order.
    random.shuffle(dealt)
    return dealt


def _bar(level: Level, asked: tuple[int, ...], figures: list[Figure]) -> Bar:
    """The figures on the asked beats, the groove on the others."""
    return groove_bar(level.meter).with_figures(dict(zip(asked, figures, strict=True)))


def drawn_tempo(level: Level, random: Random) -> float:
    """A tempo of the level, in beats a minute, each as likely as any other."""
    # In whole beats a minute: a teacher can set it on any metronome.
    return float(round(random.uniform(level.tempo.low, level.tempo.high)))
