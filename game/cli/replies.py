"""Reads a typed answer to a question: a figure for each asked beat."""

import re
from collections.abc import Iterable, Iterator

from game.learning.question import Question
from shared.bars import Bar
from shared.counting import CountError, parse_bar, parse_figure
from shared.figures import Figure
from shared.levels import Level

NUMBER = re.compile(r"[0-9]{1,9}")


Said = tuple[Figure | None, ...]
"""The answer to each asked beat; None for "not sure"."""


def read_answer(text: str, question: Question) -> Said:
    """Read an answer to each asked beat: as ``read_figures`` does, with a ``?`` in a beat for "not sure"."""
    unsure = {
        int(numbers[-1]) for mark in re.finditer(r"\?", text) if (numbers := NUMBER.findall(text[: mark.start()]))
    }
    # The rest is read with the mark left out; what then stands on an unsure beat is no answer.
    figures = read_figures(text.replace("?", " "), question)
    return tuple(None if place + 1 in unsure else figure for place, figure in zip(question.asked, figures, strict=True))


def read_figures(text: str, question: Question) -> tuple[Figure, ...]:
    """One figure for each asked beat, in order.

    The whole bar will do, or only the asked beats, or, where one beat is asked, its figure counted on beat 1.
    Raises ``CountError``.
    """
    meter = question.bar.meter
    first = question.asked[0] + 1
    starts = list(re.finditer(r"\(?\s*([0-9]+)", text))
    # Nine digits are enough to be no beat; thousands of them Python would refuse to read.
    numbers = [int(start[1][:9]) for start in starts]
    # One figure alone may be counted on its own beat or, as in the list of figures, on beat 1.
    if len(question.asked) == 1 and len(numbers) <= 1:
        return (parse_figure(re.sub(rf"\b{first}\b", "1", text, count=1), meter.compound),)
    asked = [place + 1 for place in question.asked]
    if len(asked) < meter.beats and numbers and numbers == asked[: len(numbers)]:
        bar = _with_given_beats(text, starts, numbers, question)
    else:
        bar = parse_bar(text, meter)
    return tuple(bar.figures[place] for place in question.asked)


def _with_given_beats(text: str, starts: list[re.Match[str]], numbers: list[int], question: Question) -> Bar:
    """The asked beats in a bar whose other beats, which were left out, are silent."""
    meter = question.bar.meter
    ends = [*(start.start() for start in starts[1:]), len(text)]
    filled, moved, beat = "", [], 1
    for number, start, end in zip(numbers, [0, *ends], ends, strict=False):
        filled += "".join(f" ({left_out}) " for left_out in range(beat, number))
        # Remembered, so that a fault points into the text as it was typed.
        moved.append((len(filled), len(filled) - start))
        filled += text[start:end]
        beat = number + 1
    # Only once all asked beats are there: else the fault is that one is missing, not the silent beats after it.
    if len(numbers) == len(question.asked):
        filled += "".join(f" ({left_out})" for left_out in range(beat, meter.beats + 1))
    try:
        return parse_bar(filled, meter)
    except CountError as error:
        shift = max((by for place, by in moved if place < error.position), default=0)
        raise CountError(error.reason, error.word, max(0, error.position - shift)) from None


def strangers(said: Said, question: Question) -> tuple[Figure, ...]:
    """The figures that are not among the question's choices."""
    return tuple(figure for figure in said if figure is not None and figure not in question.choices)


def counts(figures: Iterable[Figure], level: Level) -> str:
    """Figures as a list for the reader, in the words of a level."""
    return "; ".join(map(level.named, figures))


def words_told(level: Level) -> Iterator[str]:
    """A line on the words shown for those of the count, and that either will do; none where they are the same.

    The count is typed as ever: where a word of the level is one of the count too, that one is meant.
    """
    if level.shown:
        pairs = ", ".join(f"{other} for {own}" for own, other in level.shown)
        yield f"Counted here: {pairs}. Answer in these words or in e & a, trip let, la li: where both fit, the latter."
