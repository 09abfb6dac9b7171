"""Why a bar was chosen, in one sentence that the log bears out."""

from itertools import combinations

from game.learning.diary import Diary
from shared.figures import Figure

DUE_DAYS = 0.5
"""A figure not heard for so long is said to be due."""


class Reasons:
    """Finds the words for a choice in the counts of the log."""

    def __init__(self, figures: tuple[Figure, ...], diary: Diary) -> None:
        self._figures = figures
        self._diary = diary

    def reason(self, chosen: list[int], days_away: list[float]) -> str:
        """Why the figures ``chosen`` (by places in the level, the most wanted first) are asked now.

        ``days_away`` are the days since each figure of the level was heard.
        """
        pairs = [(self._diary.mix_ups(*pair), pair) for pair in combinations(sorted(set(chosen)), 2)]
        counts, pair = max(pairs, default=(None, ()))
        if counts and counts.mixed:
            names = " and ".join(self._figures[figure].count for figure in pair)
            return f"{names} again: mixed up in {_times(counts.mixed)} of your last {counts.answers}."
        return self._for_figure(chosen[0], days_away[chosen[0]])

    def _for_figure(self, figure: int, days: float) -> str:
        name = self._figures[figure].count
        right, answers = self._diary.right(figure)
        if not answers:
            return f"{name} for the first time."
        if days >= DUE_DAYS:
            return f"{name} is due again: last heard {_ago(days)}."
        if _times(right) != _times(answers):
            return f"{name} again: right in {_times(right)} of your last {answers}."
        return f"{name} comes round again to stay fresh: right in {_times(right)} of your last {answers}."


def _times(number: float) -> str:
    """A number of answers: whole, or with one place for parts of a class."""
    return f"{number:.1f}".removesuffix(".0")


def _ago(days: float) -> str:
    if round(days) <= 1:
        return "a day ago" if days >= 0.75 else f"{round(days * 24)} hours ago"
    return f"{round(days)} days ago"
