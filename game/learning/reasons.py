"""Words for why a bar comes: a short sentence, from the figures chosen and from counts of the player's last answers."""

from collections.abc import Iterator, Sequence
from itertools import chain, combinations

from game.learning.question import Reason
from game.learning.recent import MixUps, RecentAnswers
from game.learning.staircase import FREELY, ONCE, TWO_BARS, UNCOUNTED
from game.wording import counted
from shared.difference import difference
from shared.figures import Figure
from shared.levels import Level

AWAY_DAYS = 0.5
"""Days after which a figure that was not heard is said to have been away."""

SLOWED = ("These two, slower: louder where they differ.", "These two, slower: listen for the louder strokes.")
"""The words, in turn, for two figures whose difference is brought out."""

PLAIN = ("Figures that you know, in a new order.", "Figures that you know, once more.")
"""The words where every other reason was given for the last two bars already, in turn."""


ALIKE = ("These two are alike: listen for what differs.", "Two that are alike: which one is it?")
APART = ("One of these two, which are easy to tell apart.", "One of two that differ clearly.")
AMONG = ("It can be any figure that you have met.", "Another one of those that you have met.")
"""The words, in turn, where a reason that shows its figures would show the answer: for two choices that are alike,
two that are not, and for more."""


DEMANDS = {
    ONCE: "You hold all of this level: now each bar sounds once.",
    UNCOUNTED: "One hearing holds: now without a count-in as well.",
    TWO_BARS: "Now two bars in a row, heard once, both named from memory.",
}
"""The words with which each step of memory begins."""

EASED = {
    FREELY: "Back to bars that you may hear as often as you like.",
    ONCE: "Back to one hearing with a count-in.",
    UNCOUNTED: "Back to one bar at a time, heard once without a count-in.",
}
"""The words where mistakes led back to a step of memory."""


class Reasons:
    """Finds the words for a choice in the counts of the log."""

    def __init__(self, level: Level, recent: RecentAnswers) -> None:
        self._figures, self._words = level.figures, level.shown
        self._recent = recent

    def reason(
        self,
        chosen: Sequence[int],
        days_away: Sequence[float],
        before: Sequence[Reason] = (),
        contrast: tuple[Figure, ...] = (),
    ) -> Reason:
        """Why the figures ``chosen`` (by places in the level, the most wanted first) are asked now.

        ``days_away`` are the days since each figure of the level was heard.  ``before`` are the reasons of the last
        two bars: what both of them said is not said a third time.  ``contrast`` are two figures that are slowed, with
        what differs accented.
        """
        # Said three times running, even a true reason is read no more.
        worn = before[0] if len(before) == 2 and before[0] == before[1] else None
        slowed = (Reason(words, "mixed up", contrast) for words in SLOWED if contrast)
        return next(reason for reason in chain(slowed, self._fitting(chosen, days_away)) if reason != worn)

    @staticmethod
    def untold(reason: Reason, choices: Sequence[Figure], turn: int, apart: bool = False) -> Reason:
        """A reason in place of another that would give the answer away, as it does where one beat is asked.

        It is of the same kind, and tells no more than the ``choices`` do, which are alike or ``apart`` where they are
        two; its words change from ``turn`` to turn.
        """
        words, figures = (APART if apart else ALIKE, tuple(choices)) if len(choices) == 2 else (AMONG, ())
        return Reason(words[turn % 2], reason.kind, figures)

    @staticmethod
    def of_memory(memory: int, before: int) -> Reason:
        """The reason for a bar with which another step of memory begins than was asked ``before``."""
        return Reason(DEMANDS[memory] if memory > before else EASED[memory], "known")

    def _fitting(self, chosen: Sequence[int], days_away: Sequence[float]) -> Iterator[Reason]:
        """The reasons that are true, the weightiest first."""
        pairs = [(self._recent.mix_ups(*pair), pair) for pair in combinations(sorted(set(chosen)), 2)]
        # Tuples compare by their first entry: the pair that was mixed up most often.
        counts, pair = max(pairs, default=(None, ()))
        if counts and counts.mixed:
            first, second = (self._figures[figure] for figure in pair)
            yield Reason(_mixed_up(counts), "mixed up", (first, second))
            apart = difference(first, second, words=self._words).sentence
            yield Reason(f"Still these two. {apart}", "mixed up", (first, second))
        for figure in dict.fromkeys(chosen):
            yield self._for_figure(figure, days_away[figure])
        for words in PLAIN:
            yield Reason(words, "known", tuple(self._figures[figure] for figure in dict.fromkeys(chosen))[:2])

    def _for_figure(self, figure: int, days: float) -> Reason:
        right, answers = self._recent.right(figure)
        # Compared below as they are written: "3 of your last 3" may stand for 2.96 in a class, and is then no mistake.
        named = f"You named it in {_times(right)} of your last {answers}."
        if not answers:
            kind, words = "new", "One that you have not named yet."
        elif days >= AWAY_DAYS:
            kind, words = "away", f"You last heard this one {_ago(days)}."
        elif not right:
            kind, words = "unsteady", "This one again. You have not named it yet."
        elif _times(right) != _times(answers):
            kind, words = "unsteady", f"This one again. {named}"
        elif answers == 1:
            kind, words = "known", "One that you named the first time it came."
        else:
            kind, words = (
                "known",
                f"One that you know, to keep it so. {named}",
            )
        return Reason(words, kind, (self._figures[figure],))


def _mixed_up(counts: MixUps) -> str:
    if counts.answers == 1:
        return "These two again. You took one for the other the first time it came."
    words = f"These two again. You took one for the other in {_times(counts.mixed)} of your last {counts.answers}"
    if not counts.since:
        return f"{words}."
    return f"{words}; since then {counted(counts.since, 'right answer')}."


def _times(number: float) -> str:
    """A number of answers: whole, or with one place for parts of a class."""
    return f"{number:.1f}".removesuffix(".0")


def _ago(days: float) -> str:
    if round(days) <= 1:
        return "a day ago" if days >= 0.75 else f"{round(days * 24)} hours ago"
    return f"{round(days)} days ago"
