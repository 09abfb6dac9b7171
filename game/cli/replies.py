"""Reads what was typed for a question: figures for the asked beats."""

import re

from game.learning.question import Question
from shared.bars import Bar
from shared.counting import CountError, parse_bar, parse_figure
from shared.figures import Figure


def read_figures(text: str, question: Question) -> tuple[Figure, ...]:
    """One figure for each asked beat, in order.

    The whole bar will do, or only the asked beats, or, where one beat is asked, its figure counted on beat 1.
    Raises ``CountError``.
    """
    meter = question.bar.meter
    first = question.asked[0] + 1
    numbers = re.findall(r"[0-9]+", text)
    if len(question.asked) == 1 and len(numbers) <= 1:
        return (parse_figure(re.sub(rf"\b{first}\b", "1", text, count=1), meter.compound),)
    if first > 1 and numbers and numbers[0] == str(first):
        bar = _parse_from(first, text, question)
    else:
        bar = parse_bar(text, meter)
    return tuple(bar.figures[place] for place in question.asked)


def _parse_from(first: int, text: str, question: Question) -> Bar:
    before = " ".join(f"({beat})" for beat in range(1, first)) + " "
    try:
        return parse_bar(before + text, question.bar.meter)
    except CountError as error:
        raise CountError(error.reason, error.word, max(0, error.position - len(before))) from None


def strangers(figures: tuple[Figure, ...], question: Question) -> tuple[Figure, ...]:
    """The figures that are not among the question's choices."""
    return tuple(figure for figure in figures if figure not in question.choices)


def counts(figures: tuple[Figure, ...]) -> str:
    """Figures as a list for the reader."""
    return "; ".join(figure.count for figure in figures)
