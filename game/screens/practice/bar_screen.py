"""The base of the pages of a round of practice: how its bars are heard, its heading, and how it is left."""

from game.learning.question import Question
from game.screens.base import Heading
from game.screens.context import Context
from game.screens.hearing.listening_screen import ListeningScreen, pace_words
from game.screens.notices.dialog import Dialog
from game.sessions.hearing.listening import USUAL
from game.sessions.practice.round import PracticeRound, State
from game.widgets.moves import Next, Pop, Push
from game.wording import counted
from shared.levels import ladder_place
from shared.orchestration import Setting


class BarScreen(ListeningScreen):
    """A bar of a round."""

    def __init__(self, context: Context, practice: PracticeRound) -> None:
        super().__init__(context)
        self.round = practice

    @property
    def stops(self) -> bool:
        return self.sounds

    @property
    def setting(self) -> Setting:
        """How the bar is played, as this player wants it; what is heard once is heard as it is asked."""
        return self.played_as(self.round.question)

    def played_as(self, question: Question) -> Setting:
        """How a question of the round is played."""
        alone = self.round.closing or self.round.once
        return self.context.heard(question.setting) if alone else self.context.as_chosen(question.setting)

    def heading(self) -> Heading:
        once = self.round.closing or self.round.once
        listening = USUAL if once else self.context.listening
        tempo, level = self.context.tempo_words(self.setting.tempo), level_title(self.context.level.name)
        points = f", {self.round.earned} of {self.round.possible} points" if self.round.results else ""
        pace = pace_words(listening, self.round.question.setting.tempo)
        return Heading(
            f"{self.context.level.title}: closing round" if self.round.closing else self.context.level.title,
            f"{pace or level + tempo}\n{listening.told()}".strip(),
            f"{self.round.place}{points}",
            stress=bool(pace),
        )

    def leave_round(self) -> Next:
        """Leave; where bars were answered only once that is confirmed."""
        # The answers to a bar that is tried again, and to the first of two, are in the records though they have no
        # result.
        answered = len(self.round.results) + (self.round.state is State.AGAIN) + self.round.second
        if not answered:
            return Pop()
        bars = counted(answered, "bar")
        question = f"Leave this round? The answers to {bars} are kept; the round itself gets no score."
        return Push(Dialog(self.context, question, "Stay", "Leave the round", lambda: Pop(self)))


def level_title(name: str) -> str:
    """A level's number in the ladder, to stand before something else; nothing for a level outside it."""
    place = ladder_place(name)
    return f"Stage {place}, " if place else ""
