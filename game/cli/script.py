"""Answers from a file: one bar's answer a line."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from game.cli.errors import say
from game.cli.replies import Said, counts, read_answer, strangers
from game.learning.question import Question
from game.sessions.practice.meeting import Meeting
from game.sessions.practice.round import PracticeRound
from shared.counting import CountError, put_back
from shared.files import FileError, shown
from shared.levels import Level

LARGEST_FILE = 1_000_000
"""Bytes of a file of answers that are read: tens of thousands of bars."""

SKIP = "skip"


class Script:
    """Answers each bar by the next line: the asked beats, or the whole bar.

    ``not sure`` is an answer, and so is a ``?`` in a beat.  A line that is empty or says ``skip``, and every bar after
    the last line, gets no answer; a line that is no count is told of and gets none either.
    """

    def __init__(self, path: Path, lines: Iterable[str], level: Level) -> None:
        """The ``lines`` of the file ``path``, for bars of a level."""
        self._level = level
        self._name = shown(path)
        self._lines: Iterator[tuple[int, str]] = iter(enumerate(lines, 1))
        self._over = False

    def answer(self, practised: PracticeRound) -> Said | None:
        """The figures said for the question at hand; None where it is skipped."""
        # Lines count from 1: the number 0 says that there are no more.
        number, line = next(self._lines, (0, ""))
        if not number and not self._over:
            self._over = True
            say(f"{self._name}: no more lines at bar {practised.number}; this bar and the rest are skipped")
        if line.strip().lower() in ("", SKIP):
            return None
        if line.strip().lower() in ("not sure", "?"):
            return (None,) * len(practised.question.asked)
        return self._figures(number, line, practised.question)

    def knows_some(self) -> bool:
        """A file says nothing of what is known."""
        return False

    def meet(self, meeting: Meeting) -> bool:  # noqa: ARG002
        """A meeting takes no line."""
        return False

    def again(self, practised: PracticeRound) -> Said | None:
        """A file holds one answer a bar."""

    def revealed(self, practised: PracticeRound) -> None:
        """Nothing is to be heard or said between two bars."""

    def _figures(self, number: int, line: str, question: Question) -> Said | None:
        try:
            figures = read_answer(put_back(line, self._level.shown, self._level.meter.compound), question)
        except CountError as error:
            say(f"{self._name}, line {number}: {error}; this bar is skipped")
            return None
        if others := strangers(figures, question):
            told = f"{counts(others, self._level)} is not one of the figures to choose from and counts as no answer"
            say(f"{self._name}, line {number}: {told}")
        return figures


def answers_in(path: Path) -> list[str]:
    """The lines of a file of answers.  Raises ``FileError``."""
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise FileError(f"{shown(path)}: larger than {LARGEST_FILE} bytes; write one bar's answer a line")
        # With the mark of UTF-8 taken off, which some editors put first: it would be part of the first count.
        return path.read_text(encoding="utf-8-sig").splitlines()
    except UnicodeDecodeError as error:
        raise FileError(f"{shown(path)}: byte {error.start + 1} is not UTF-8 text; save it as UTF-8") from None
    except FileError:
        raise
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise FileError(f"{shown(path)}: cannot be read ({reason}); check the name and the folder") from None
