"""A mock exam by the level's rules: no help, and nothing told of right or wrong before the end."""

from dataclasses import asdict
from enum import Enum
from typing import Any

from game.learning import Answer, Question
from game.learning.marking import marked
from game.sessions import SessionError
from game.sessions.answering.sheet import Sheet
from game.sessions.exam.paper import draw_paper
from shared.figures import Figure
from shared.levels import Level


class ExamStage(Enum):
    """Where an exam stands."""

    ASKING = "asking"
    FINISHED = "finished"
    INTERRUPTED = "interrupted"


class ExamSession:
    """One mock exam of a level, sat at the time ``now``.  ``seed`` draws its paper.

    A bar is heard at most as often as the rules allow; a hearing counts from its first sound, and there is
    no pause.  A bar that was handed in is not opened again.  Every act that the rules forbid raises
    ``SessionError`` and changes nothing.
    """

    def __init__(self, level: Level, seed: int, now: float = 0.0) -> None:
        self.level = level
        self.seed = seed
        # Drawn whole at the start: no answer can change a later question.
        self.paper = draw_paper(level, seed, now=now)
        self.stage = ExamStage.ASKING
        self._detail: list[dict[str, Any]] = []
        self._open()

    @property
    def rules(self) -> dict[str, Any]:
        """The rules of this exam, as they are kept."""
        # With the level's title and meter, so that an old exam opens even when its level is gone or changed.
        return {**asdict(self.level.exam), "title": self.level.title, "compound": self.level.meter.compound}

    @property
    def number(self) -> int:
        """The number of the open question, from 1; after the last, the number of questions."""
        return min(len(self._detail) + 1, len(self.paper))

    @property
    def question(self) -> Question:
        """The open question; after the end, the last."""
        return self.paper[self.number - 1]

    @property
    def hearings(self) -> int:
        """How often the open question was heard."""
        return self.sheet.hearings

    @property
    def hearings_left(self) -> int:
        """How often the open question may still be heard."""
        return self.level.exam.hearings - self.hearings if self.stage is ExamStage.ASKING else 0

    @property
    def may_hand_in(self) -> bool:
        """Whether the open question was heard, so that it may be answered."""
        return self.stage is ExamStage.ASKING and self.hearings > 0

    @property
    def picks(self) -> list[Figure | None]:
        """The answers to the asked beats of the open question, in order; None where there is none yet."""
        return list(self.sheet.answers)

    def play(self, now: float = 0.0, until_end: float = 0.0) -> Question:
        """Count a hearing of the open question, which is to be played now and to its end, in so many seconds."""
        self._check_open()
        if not self.hearings_left:
            raise SessionError(f"bar {self.number} was heard {self.hearings} times, as often as the exam allows")
        self.sheet.hear(now, until_end)
        return self.question

    def pick(self, place: int, figure: Figure | None) -> None:
        """Write down a figure for one of the asked beats (from 0 among those asked), or take it back with None."""
        self._check_open()
        if figure is not None and figure not in self.question.choices:
            raise SessionError(f"{figure} is not a figure of this level; choose one of those shown")
        self.sheet.go_to(self.question.asked[place])
        if figure is not None:
            self.sheet.pick(figure)
        elif self.sheet.said(self.sheet.place):
            self.sheet.take_back()

    def hand_in(self, now: float) -> tuple[Answer, ...]:
        """Hand in the bar and open the next.  Returns the rows for the log; they are not for the candidate's eyes.

        A beat without a figure counts as not answered.
        """
        self._check_open()
        if not self.hearings:
            raise SessionError(f"bar {self.number} was not heard yet; play it first")
        how = self.sheet.how(now)
        # Marked without the coach: what it believes must not change between two bars of one exam.
        answers = marked(self.question, self.picks, now, self.level.name, kind="exam", **how).answers
        self._detail.append(self._kept())
        self._open()
        return answers

    def interrupt(self) -> None:
        """Break the exam off for good; what was handed in stays."""
        self._check_open()
        self.stage = ExamStage.INTERRUPTED

    @property
    def detail(self) -> list[dict[str, Any]]:
        """The bars that were handed in, as JSON can keep them."""
        return [dict(row) for row in self._detail]

    def _open(self) -> None:
        if len(self._detail) == len(self.paper):
            self.stage = ExamStage.FINISHED
            return
        self.sheet = Sheet(self.question.asked, self.question.choices)

    def _kept(self) -> dict[str, Any]:
        question = self.question
        # In words of the count and not as places in the level: an exam must read the same after the level was edited.
        return {
            "bar": question.bar.count,
            "asked": list(question.asked),
            "heard": [figure.count for figure in question.asked_figures],
            "said": [figure.count if figure else None for figure in self.picks],
            "hearings": self.hearings,
            "orchestration": question.setting.orchestration,
            "tempo": question.setting.tempo,
        }

    def _check_open(self) -> None:
        if self.stage is not ExamStage.ASKING:
            raise SessionError(f"this exam is {self.stage.value}; begin another")
