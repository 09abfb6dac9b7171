"""The closing round of a level: all of its figures, each bar heard once, in the level's orchestrations and tempi.

It confirms that the player knows the level.  The bars are drawn as an exam's are, so that the coach's choice
neither helps nor hinders, and the coach learns from the answers as from any others.
"""

from dataclasses import replace

from game.learning import Question
from game.learning.coach import Coach
from game.sessions.exam.paper import draw_paper
from game.sessions.practice.asker import MarkedByCoach

EACH = 2
"""How often each figure is asked at least: once could be a lucky guess."""

PASSED = 0.9
"""The share of beats that must be right."""


class Closing(MarkedByCoach):
    """Asks the bars of a closing round."""

    def __init__(self, coach: Coach, seed: int, now: float) -> None:
        super().__init__(coach)
        beats = coach.level.meter.beats
        # Minus twice: floor division of the negative rounds up.
        bars = -(-EACH * len(coach.level.figures) // beats)
        paper = draw_paper(coach.level, seed, bars, now)
        # Where an orchestration asks fewer beats, the round is longer by as much.
        asked = sum(len(question.asked) for question in paper)
        self.paper = draw_paper(coach.level, seed, -(-bars * bars * beats // asked), now) if asked else paper
        self._number = 0

    def ask(self, now: float) -> Question:  # noqa: ARG002 - the paper was drawn when the round began
        """The next bar of the paper; after the last one the first again.

        Its tempo is as drawn, or as near as the bar before leads up to.
        """
        question = self.paper[self._number % len(self.paper)]
        self._number += 1
        # The tempo alone: strokes brought out in an accent would help.
        tempo = self.coach.paced(question.setting, question.asked_figures).tempo
        return replace(question, setting=replace(question.setting, tempo=tempo))
