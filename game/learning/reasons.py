"""Why a bar was chosen, in one sentence that the log bears out."""

from game.learning.diary import Diary
from shared.figures import Figure

DAY_SECONDS = 86400.0


class Reasons:
    """Finds the words for a choice from the counts of the log."""

    def __init__(self, figures: tuple[Figure, ...], diary: Diary) -> None:
        self._figures = figures
        self._diary = diary

    def for_pair(self, first: int, second: int) -> str:
        """Why two figures are set against each other."""
        names = self._names(first, second)
        if not (self._diary.heard[first] and self._diary.heard[second]):
            return f"{names} side by side: alike to the ear, so hear them together from the start."
        counts = self._diary.mix_ups(first, second)
        if counts.mixed:
            return f"{names} again: mixed up in {counts.mixed} of your last {counts.answers}."
        return f"{names} side by side: alike to the ear, not mixed up in your last {counts.answers}."

    def for_figure(self, figure: int, days: float | None = None) -> str:
        """Why a figure is asked; ``days`` since it was last heard where its review is due."""
        name = self._figures[figure].count
        right, answers = self._diary.right(figure)
        if not answers:
            return f"{name} for the first time."
        if days is not None:
            return f"{name} is due again: last heard {_ago(days)}."
        if right < answers:
            return f"{name} again: right in {right} of your last {answers}."
        return f"{name} comes round again, to keep it fresh: right in {right} of your last {answers}."

    def _names(self, *figures: int) -> str:
        return " and ".join(self._figures[figure].count for figure in sorted(figures))


def _ago(days: float) -> str:
    if days < 1:
        hours = max(1, round(days * 24))
        return "an hour ago" if hours == 1 else f"{hours} hours ago"
    return "a day ago" if round(days) == 1 else f"{round(days)} days ago"
