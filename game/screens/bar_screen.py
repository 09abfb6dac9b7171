"""What the screens of a round share: the bar on its staff, its sound, and the mark that follows it."""

from dataclasses import replace
from math import floor

from pygame import Rect

from game.screens.base import Heading, Screen
from game.screens.context import Context
from game.screens.playing import Playing
from game.screens.stave import Stave
from game.sessions.practice import PracticeRound
from game.widgets.look import Look
from game.widgets.ruler import Ruler
from shared.bars import Meter
from shared.engraved import Layout
from shared.names import NAMES
from shared.orchestration import Setting
from shared.passages import Passage


class BarScreen(Screen):
    """A bar of a round, on one staff, with the ruler over it."""

    def __init__(self, context: Context, practice: PracticeRound) -> None:
        super().__init__(context)
        self.round = practice
        self.playing = Playing(context.sound)
        self._on_page: tuple[Stave, Layout, Rect] | None = None
        self._mark: tuple[str, int | None] = ("", None)

    @property
    def setting(self) -> Setting:
        """How the bar is played, by this player's leading hand."""
        return replace(self.round.question.setting, lead=self.context.settings.hand)

    def heading(self) -> Heading:
        meter, terms = self.context.level.meter, self.context.settings.terms
        tempo = f"{beat_name(meter, terms)} = {self.setting.tempo:.0f}"
        level = level_title(self.context.level.name)
        number, bars = self.round.number, self.round.bars
        return Heading(
            self.context.level.title, f"{level}{tempo}", f"Bar {number} of {bars}, {self.round.score} points"
        )

    def left(self) -> None:
        self.playing.stop()

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002
        mark = self._where()
        if mark == self._mark or self._on_page is None:
            return []
        self._mark = mark
        return [self._on_page[2]]

    def ruler(self, look: Look, stave: Stave, layout: Layout, box: Rect) -> Ruler:
        """The ruler over the bar, whose mark follows what sounds."""
        self._on_page = stave, layout, box.inflate(2 * look.u(10), 0)
        return stave.ruler(layout, box, self._where)

    def play(self, passage: Passage, caption: str, beat: int | None = None) -> None:
        """Play a passage under a word or two; ``beat`` (from 0) where it is one beat alone."""
        self.playing.play(passage, caption, beat)

    def _where(self) -> tuple[str, int | None]:
        """What sounds, and the column of the mark; with little movement it rests at each beat's start."""
        moment = self.playing.moment()
        if moment is None or self._on_page is None:
            return "", None
        if moment.beats is None:
            return moment.caption, None
        stave, layout, _ = self._on_page
        beats = floor(moment.beats) if self.context.settings.reduced_motion else moment.beats
        return moment.caption, stave.column(layout, beats)


def level_title(name: str) -> str:
    """A shipped level's number, to stand before something else; nothing for a teacher's own level."""
    number = name.removeprefix("stage-")
    return f"Stage {number}, " if number.isdigit() else ""


def beat_name(meter: Meter, terms: str) -> str:
    """The beat of a meter in UK or US terms, such as ``dotted crotchet``."""
    name = NAMES[terms]["q"]
    return f"dotted {name}" if meter.compound else name
