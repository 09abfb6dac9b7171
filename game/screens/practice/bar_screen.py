"""What the screens of a round of practice share: how its bars are heard."""

from pygame import Rect

from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.listening_panel import ListeningPanel
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.notices.dialog import Dialog
from game.sessions.hearing.hearing import Hearing, repeated
from game.sessions.hearing.listening import PACES, USUAL, Listening
from game.sessions.practice.round import PracticeRound, State
from game.widgets.moves import Next, Pop, Push
from game.wording import counted
from shared.bars import Meter
from shared.levels import ladder_place
from shared.names import NAMES
from shared.orchestration import Setting


class BarScreen(RulerScreen):
    """A bar of a round."""

    def __init__(self, context: Context, practice: PracticeRound) -> None:
        super().__init__(context)
        self.round = practice
        self._looped = False

    @property
    def setting(self) -> Setting:
        """How the bar is played, as this player wants it; a closing round is heard as the level has it."""
        asked = self.round.question.setting
        return self.context.heard(asked) if self.round.closing else self.context.as_chosen(asked)

    def heading(self) -> Heading:
        meter, terms = self.context.level.meter, self.context.settings.terms
        listening = USUAL if self.round.closing else self.context.listening
        tempo = f"{beat_name(meter, terms)} = {self.setting.tempo:.0f}"
        level = level_title(self.context.level.name)
        points = f", {self.round.earned} of {self.round.possible} points" if self.round.results else ""
        pace = pace_words(listening, self.round.question.setting.tempo)
        return Heading(
            f"{self.context.level.title}: closing round" if self.round.closing else self.context.level.title,
            f"{pace or level + tempo}\n{listening.told()}".strip(),
            f"{self.round.place}{points}",
            stress=bool(pace),
        )

    def hear(self) -> Next:
        """Play the bar."""
        raise NotImplementedError

    def listening_keys(self) -> tuple[Key, ...]:
        """The keys for how bars are heard."""
        bindings = self.context.bindings
        slower = PACES[self.context.listening.slower.pace]
        return (
            Key(bindings.key("slower"), slower, self._hear_slower),
            Key(bindings.key("listening"), "how it is heard", self._open_choices),
        )

    def _open_choices(self) -> Next:
        return Push(ListeningPanel(self.context, self.hear, self.hear_words))

    def hear_words(self) -> str:
        """What the key that plays the bar does now."""
        return "Stop" if self.looping else "Hear it again"

    def _hear_slower(self) -> Next:
        self.context.listening = self.context.listening.slower
        self.loudspeaker.stop()
        return self.hear()

    @property
    def looping(self) -> bool:
        """Whether a bar sounds over and over, which can be stopped."""
        return self.loudspeaker.loops

    def tick(self, now: float) -> list[Rect]:
        if self.looping != self._looped:
            self._looped, self.stale = self.looping, True
        return super().tick(now)

    def leave_round(self) -> Next:
        """Leave; where bars were answered only once that is confirmed."""
        answered = len(self.round.results) + (self.round.state is State.AGAIN)
        if not answered:
            return Pop()
        bars = counted(answered, "bar")
        question = f"Leave this round? The answers to {bars} are kept; the round itself gets no score."
        return Push(Dialog(self.context, question, "Stay", "Leave the round", lambda: Pop(self)))

    def repeated(self, once: Hearing) -> Hearing:
        """What is heard over and over, where that was chosen."""
        return repeated(once) if self.context.listening.loop else once


def pace_words(listening: Listening, tempo: float) -> str:
    """That bars are heard slower than they are asked, and by how much; nothing where they aren't."""
    if listening.pace == 1.0:
        return ""
    return f"{PACES[listening.pace].capitalize()}: {tempo * listening.pace:.0f} of {tempo:.0f}"


def level_title(name: str) -> str:
    """A level's number in the ladder, to stand before something else; nothing for a level outside it."""
    place = ladder_place(name)
    return f"Stage {place}, " if place else ""


def beat_name(meter: Meter, terms: str) -> str:
    """The beat of a meter in UK or US terms, such as ``dotted crotchet``."""
    name = NAMES[terms]["q"]
    return f"dotted {name}" if meter.compound else name
