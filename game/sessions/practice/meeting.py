"""Meeting a new figure before it is asked: alone over a click, then beside the one that it is most like."""

from dataclasses import dataclass, replace

from game.learning.question import Question
from game.sessions.hearing.hearing import Hearing, in_turn, whole_bar
from shared.bars import Bar, Meter
from shared.difference import Difference, difference
from shared.figures import Figure
from shared.orchestration import Setting


@dataclass(frozen=True)
class Meeting:
    """A figure that is met and the one it is told from, as they sound in a meter."""

    figure: Figure
    rival: Figure
    meter: Meter

    @property
    def difference(self) -> Difference:
        """What to listen for: "this one" is the new figure."""
        return difference(self.figure, self.rival)

    def alone(self, setting: Setting) -> Hearing:
        """The figure on every beat of a bar, over a click."""
        return self._over_and_over(self.figure, setting)

    def beside(self, setting: Setting) -> Hearing:
        """A bar of the figure, then a bar of the other."""
        return in_turn(self.alone(setting), self._over_and_over(self.rival, setting))

    def _over_and_over(self, figure: Figure, setting: Setting) -> Hearing:
        bar = Bar(self.meter, (figure,) * self.meter.beats)
        plain = replace(setting, orchestration="snare", groove_bars=0, feel=0.0, swing=50, click=True)
        return whole_bar(bar, plain, figure.count)


def meetings(question: Question) -> tuple[Meeting, ...]:
    """The meetings that come before a question, each figure beside the other one on offer."""
    return tuple(
        Meeting(figure, next(other for other in question.choices if other != figure), question.bar.meter)
        for figure in question.meets
    )
