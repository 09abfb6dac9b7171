"""``python -m tests.bench.learning.beginnings``: how learners fare as a level begins, step by step or at once.

A meeting is heard as a bar of its own: the new figure and the one it is nearest to, each twice.  A player's minutes
are made of what the window plays, at its real length: bars with their count-in, what a meeting plays once through, and
the first mistake of a bar in turn with what it was; and of the learner's own response times.  How long a page is looked
at is judgement, no source.
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from game.learning.coach import Coach
from game.learning.introduction import AT_ONCE, SOUND_OUT, STEP_BY_STEP
from game.learning.question import Question
from game.sessions.hearing.hearing import beats_in_turn, whole_bar
from game.sessions.practice.meeting import meetings
from shared.figures import Figure
from shared.orchestration import Setting
from tests.bench.learning.figures import FIGURES, LEVEL
from tests.bench.learning.learners import Learner, Playing
from tests.bench.learning.suite import FIRST_NAMES, FURTHER_NAMES, make_learner
from tests.bench.learning.trial import BAR_SECONDS, HOUR, MOST_BARS, playing, time_of

PLACES = {figure: place for place, figure in enumerate(FIGURES)}
LOOK, READ = 2.0, 5.0
"""How many seconds a reveal and a meeting are looked at beside what they play."""

MOST_KNOWN = 0.9
"""The share of figures at 90 % up to which a player counts as a novice."""


@dataclass
class Course:
    """A learner's way through a level: ``right`` and ``asked`` beats of each bar, and when what was known.

    ``bars`` until every figure was at 90 % an hour later; ``novice`` until nine in ten were; ``meetings`` how many
    figures were met, and ``sounded`` the bars before the first of them; ``seconds`` what all of it took a player.
    """

    right: list[int] = field(default_factory=list)
    asked: list[int] = field(default_factory=list)
    bars: int = MOST_BARS
    novice: int = MOST_BARS
    meetings: int = 0
    sounded: int = 0
    seconds: float = 0.0

    def windows(self, size: int = 10) -> list[float]:
        """The share of right beats in any ten bars from bar 3 on, while the player is a novice."""
        right, asked = self.right[2 : self.novice], self.asked[2 : self.novice]
        starts = range(len(right) - size + 1)
        return [sum(right[start : start + size]) / sum(asked[start : start + size]) for start in starts]

    def mean(self) -> float:
        """The share of right beats from bar 3 on, while the player is a novice."""
        return sum(self.right[2 : self.novice]) / max(1, sum(self.asked[2 : self.novice]))

    def bad_in_a_row(self) -> int:
        """The most bars running with less than half right, from bar 3 on, while the player is a novice."""
        most = run = 0
        for right, asked in zip(self.right[2 : self.novice], self.asked[2 : self.novice], strict=True):
            run = run + 1 if right < asked / 2 else 0
            most = max(most, run)
        return most


def begin(learner: Learner, way: str, seed: int, most: int = MOST_BARS) -> Course:
    """A learner plays a level that begins in some way, until every figure is known."""
    coach, course = Coach(LEVEL, seed, way), Course()
    for turn in range(most):
        now = time_of(turn)
        course.sounded += way == SOUND_OUT and coach.steps.sounding
        question = coach.ask(now)
        bar = [PLACES[figure] for figure in question.bar.figures]
        if question.meets or question.again:
            pair = [PLACES[figure] for figure in question.choices]
            learner.hear([*pair, *pair], now)
            course.meetings += len(question.meets) + len(question.again)
        asked = [PLACES[figure] for figure in question.asked_figures]
        choices = [PLACES[figure] for figure in question.choices]
        said, seconds = _answers(learner, asked, choices, now, playing(question.setting))
        learner.hear(bar, now)
        course.seconds += sum(seconds) + _played(question, [FIGURES[place] for place in said])
        coach.mark(question, [FIGURES[place] for place in said], now + BAR_SECONDS / 2, seconds)
        course.right.append(sum(heard == answer for heard, answer in zip(asked, said, strict=True)))
        course.asked.append(len(asked))
        known = learner.table(now + HOUR).diagonal() >= learner.goal
        if known.mean() >= MOST_KNOWN:
            course.novice = min(course.novice, turn + 1)
        if known.all():
            course.bars = turn + 1
            break
    return course


def _played(question: Question, said: Sequence[Figure]) -> float:
    """The seconds of what is played of a bar, of the meetings before it and of its first mistake, each looked at."""
    whole = whole_bar(question.bar, question.setting, "").passage.seconds + LOOK
    plain = Setting(tempo=LEVEL.tempo.low)
    for meeting in meetings(question):
        whole += READ + meeting.alone(plain).passage.seconds
        whole += 0.0 if meeting.first else meeting.beside(plain).passage.seconds
    wrong = [pair for pair in zip(question.asked, said, strict=True) if question.bar.figures[pair[0]] != pair[1]]
    for place, figure in wrong[:1]:
        answered = question.bar.with_figures({place: figure})
        whole += beats_in_turn(question.bar, answered, question.setting, place).passage.seconds
    return whole


def _answers(
    learner: Learner, asked: Sequence[int], choices: Sequence[int], now: float, played: Playing
) -> tuple[list[int], list[float]]:
    """What a learner says where only some figures are on offer: as likely as it is to say each of those."""
    rows = np.zeros((len(asked), len(FIGURES)))
    rows[:, choices] = learner.rows(asked, now, played, 1)[:, choices]
    return learner.say(rows / rows.sum(axis=1, keepdims=True))


def courses(name: str, known: float, way: str, seeds: int, first: int = 0) -> list[Course]:
    """So many learners of a mechanism, who know a share of the figures."""
    return [begin(make_learner(name, known, seed), way, seed) for seed in range(first, first + seeds)]


def main() -> None:
    """Print how novices fare, and what knowing some costs."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.learning.beginnings", description=__doc__)
    parser.add_argument("--seeds", type=int, default=12)
    parser.add_argument("--first", type=int, default=0, help="the first seed: from 1000 on, to tune (0)")
    parser.add_argument("--known", type=float, nargs="+", default=[0.0, 0.4, 1.0], help="the shares known (all)")
    parser.add_argument("--learners", nargs="+", default=[*FIRST_NAMES, *FURTHER_NAMES], help="mechanisms (all)")
    options = parser.parse_args()
    seeds, names = (options.seeds, options.first), options.learners
    if 0.0 in options.known:
        _print_novices(names, seeds)
    for known in (share for share in options.known if share):
        _print_knowers(names, known, seeds)


def _print_novices(names: Sequence[str], seeds: tuple[int, int]) -> None:
    print("novices, step by step    mean right  least of ten bars (5 %)  below 60 %  most bad bars  bars  at once")
    for name in names:
        found = courses(name, 0.0, STEP_BY_STEP, *seeds)
        once = courses(name, 0.0, AT_ONCE, *seeds)
        windows = np.concatenate([course.windows() for course in found])
        bad = [course.bad_in_a_row() for course in found]
        print(
            f"{name:24} {np.mean([c.mean() for c in found]):.2f}        {windows.min():.2f} "
            f"({np.quantile(windows, 0.05):.2f})       {np.mean(windows < 0.6):.3f}       "
            f"{max(bad)} ({sum(b > 2 for b in bad)}/{len(bad)})      {np.mean([c.bars for c in found]):.0f}   "
            f"{np.mean([c.bars for c in once]):.0f} ({np.mean([c.mean() for c in once]):.2f})", flush=True,
        )  # fmt: skip


def _print_knowers(names: Sequence[str], known: float, seeds: tuple[int, int]) -> None:
    print(f"who know {known:.0%}: bars sounded out, meetings, bars till all known; at once; ratio; of minutes")
    ratios = []
    for name in names:
        found, once = courses(name, known, SOUND_OUT, *seeds), courses(name, known, AT_ONCE, *seeds)
        bars, minutes = (
            (np.mean([getattr(c, what) for c in found]), np.mean([getattr(c, what) for c in once]))
            for what in ("bars", "seconds")
        )
        ratios.append((bars[0] / bars[1], minutes[0] / minutes[1]))
        print(
            f"{name:24} {np.mean([c.sounded for c in found]):.1f} (most {max(c.sounded for c in found)})  "
            f"{np.mean([c.meetings for c in found]):.1f}  {bars[0]:.0f}  {bars[1]:.0f}  {ratios[-1][0]:.2f}  "
            f"{minutes[0] / 60:.0f} of {minutes[1] / 60:.0f} min  {ratios[-1][1]:.2f}", flush=True,
        )  # fmt: skip
    means = np.exp(np.mean(np.log(ratios), axis=0))
    print(f"geometric means {means[0]:.2f} of the bars, {means[1]:.2f} of the minutes")


if __name__ == "__main__":
    main()
