"""Lets a new figure be heard before it is asked, alone over a click and beside one like it; and how a level begins."""

from dataclasses import dataclass, replace

from game.learning.introduction import BEGINNINGS, SOUND_OUT, STEP_BY_STEP, Steps
from game.learning.question import Question
from game.sessions.hearing.hearing import Hearing, in_turn, whole_bar
from shared.bars import Bar, Meter
from shared.difference import difference
from shared.figures import Figure
from shared.levels import Level
from shared.orchestration import Setting
from shared.swing import STRAIGHT


@dataclass(frozen=True)
class Meeting:
    """A figure that is met and the one it is told from, as they sound in a meter.

    ``first``: the other one is new as well, and met after this one, so that the two are not set side by side yet;
    ``again``: it was met before, and is heard once more because it stays mixed up.
    """

    figure: Figure
    rival: Figure
    meter: Meter
    first: bool = False
    again: bool = False

    def sentence(self, level: Level) -> str:
        """How the two differ, told of the new figure in the words of a level."""
        return difference(self.figure, self.rival, words=level.shown).sentence

    def alone(self, setting: Setting) -> Hearing:
        """The figure on every beat of a bar, over a click."""
        return on_every_beat(self.figure, self.meter, setting)

    def beside(self, setting: Setting) -> Hearing:
        """A bar of the figure, then a bar of the other."""
        return in_turn(self.alone(setting), on_every_beat(self.rival, self.meter, setting))


def on_every_beat(figure: Figure, meter: Meter, setting: Setting) -> Hearing:
    """A bar with a figure on every beat, over a click, however the level's bars are played."""
    # Loose strokes and swing would move just the places that a new figure is to be known by.
    plain = replace(setting, orchestration="snare", groove_bars=0, feel=0.0, swing=STRAIGHT, click=True)
    return whole_bar(Bar(meter, (figure,) * meter.beats), plain, figure.count)


def meetings(question: Question) -> tuple[Meeting, ...]:
    """The meetings that come before a question, each figure beside the other one on offer."""
    found = []
    for place, figure in enumerate((*question.meets, *question.again)):
        rival = next(other for other in question.choices if other != figure)
        first = rival in question.meets[place + 1 :]
        found.append(Meeting(figure, rival, question.bar.meter, first, figure in question.again))
    return tuple(found)


def beginning(chosen: str | None, steps: Steps) -> str | None:
    """How a level goes on for a player who chose one of the ``BEGINNINGS`` for it, or None yet.

    None where the player is to be asked: nothing of the level was asked yet.  Who was sounding it out goes on so.
    """
    if chosen in BEGINNINGS:
        return chosen
    if steps.untouched:
        return None
    return SOUND_OUT if steps.sounded and steps.sounding else STEP_BY_STEP
