"""Answers and questions written out by hand, for the tests of sessions."""

from collections.abc import Sequence
from typing import Any

from game.learning import Answer, Mark, Question
from game.learning.marking import Pick, marked
from game.learning.question import Reason, question_id
from shared.counting import parse_bar, parse_figure
from shared.figures import Figure
from shared.levels import Level, find_level
from shared.orchestration import Setting

DAY = 86400.0
NOW = 1_000 * DAY

STAGE_3 = find_level("stage-3")


def figure(count: str) -> Figure:
    """A figure by its count."""
    return parse_figure(count, compound=False)


def answer(heard: str, said: str | None, at: float = NOW, share: float = 1.0, **told: Any) -> Answer:
    """One answered beat."""
    return Answer(at, "stage-3", "4/4", "1 2 3 4", 0, heard, said, None, "snare", 80.0, share=share, **told)


class Asker:
    """Asks written-out bars in turn, and marks as the coach does, without learning."""

    def __init__(self, *bars: str, asked: tuple[int, ...] = (0, 1, 2, 3), level: Level = STAGE_3) -> None:
        self.level = level
        self.questions = [
            Question(parse_bar(bar, level.meter), asked, level.figures, Setting(), Reason("by hand"), question_id(bar))
            for bar in bars
        ]
        self.marked: list[Mark] = []
        self._next = 0

    def ask(self, now: float) -> Question:  # noqa: ARG002 - the coach's signature
        """The next bar, then round again."""
        self._next += 1
        return self.questions[(self._next - 1) % len(self.questions)]

    def mark(
        self, question: Question, picks: list[Pick], now: float, seconds: None = None, hearings: int = 1,
        kind: str = "practice", unsure: Sequence[bool] = (),
    ) -> Mark:  # fmt: skip
        """What became of the question."""
        self.marked.append(marked(question, picks, now, self.level.name, seconds, hearings, kind, unsure=unsure))
        return self.marked[-1]
