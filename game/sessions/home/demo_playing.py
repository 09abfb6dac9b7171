"""Invented takes of the demo's pupils: bars that they played on two keys, with hands less sure than their ears."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from random import Random

from game.learning.marking import marked
from game.learning.question import Question, question_id
from game.records import Player, Records
from game.records.log import Logged
from game.records.takes import PlayedStroke, Take
from game.sessions.exam.paper import draw_paper
from game.sessions.home.demo_pupils import Pupil
from game.sessions.inputs import KEYS
from game.sessions.playing.report import ON_THE_BEAT, Deviation, timing_of
from shared.bars import Bar
from shared.levels import Level
from shared.sticking import natural

BARS = 8
"""How many bars a pupil plays on a day of playing."""

BEHIND = 0.6
"""How far the hands lie behind the ears, in log-odds of a right figure (our own assumption)."""

# Our own assumption: the last semiquaver dragged by as much as the page names, the quaver early by less than it does.
HABIT = {"a": 0.016, "&": -0.006}
"""How late a place is struck on average, in seconds; other places are even."""

# Human takes to a metronome, such as those of tests/trade/test_playing_people.py, have a median of about 21 ms.
SPREAD = 0.022
"""The standard deviation of a stroke, in seconds: that of a learner at middle tempi."""

BEFORE = 2
"""A take begins so many beats before its bar."""


def play_some(
    records: Records, player: Player, pupil: Pupil, level: Level, days: Sequence[float], random: Random
) -> None:
    """Keep what a pupil played on some days (seconds since the epoch): answers, and takes with their timing."""
    rows: list[Logged] = []
    for begins in days:
        for number, question in enumerate(draw_paper(level, random.getrandbits(32), BARS, begins)):
            # Only to keep the bars apart in the log, and in their order: about what one takes.
            at = begins + 40.0 * number
            said = [pupil.say(figure, level.figures, random, BEHIND) for figure in question.asked_figures]
            told = marked(question, said, at, level.name, ability="playing").answers
            rows += [Logged(question.id, place, answer) for place, answer in enumerate(told)]
            played = question.bar.with_figures(dict(zip(question.asked, said, strict=True)))
            strokes = list(_strokes(played, random))
            # As in a real take: a beat played as another figure has no written place to be late for.
            wrong = {beat for beat, figure in enumerate(played.figures) if figure != question.bar.figures[beat]}
            timing = timing_of(one for _, one in strokes if one.beat not in wrong)
            records.keep_take(player, replace(_take(question, strokes, at), timing=timing))
    records.append_all(player, rows)


def _strokes(bar: Bar, random: Random) -> Iterator[tuple[float, Deviation]]:
    """Each stroke: its place in the bar in beats, and how late it came."""
    for beat, (figure, hands) in enumerate(zip(bar.figures, natural(bar), strict=True)):
        words = dict(figure.counted_places())
        for at, hand in zip(figure.onsets, hands, strict=True):
            word = words[at] if at else ON_THE_BEAT
            yield beat + float(at), Deviation(beat, word, random.gauss(HABIT.get(word, 0.0), SPREAD), hand)


def _take(question: Question, strokes: Sequence[tuple[float, Deviation]], at: float) -> Take:
    tempo = question.setting.tempo
    kept = tuple(
        PlayedStroke((BEFORE + place) * 60 / tempo + one.late, one.hand, "snare", 0.7) for place, one in strokes
    )
    return Take(question_id("take", question.id), at, question.id, KEYS, tempo, kept)
