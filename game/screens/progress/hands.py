"""The view of progress that tells of playing: three abilities of each figure, what is played for what, timing."""

from collections.abc import Sequence

from pygame import Rect

from game.learning import Answer
from game.screens.context import Context
from game.screens.playing.ears import READERS
from game.screens.playing.playing import PlayBar
from game.screens.practice.question import open_drill
from game.sessions.inputs import KEYS
from game.sessions.playing.playing import Playing
from game.sessions.progress.hands import abilities, names_of, played_for, weeks_of
from game.sessions.progress.progress import Row as TableRow
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Push
from game.widgets.texts import paragraphs
from game.wording import date_words
from shared.counting import parse_figure
from shared.figures import Figure
from shared.likeness import likeness

NONE_YET = "Nothing is played for another figure again and again."
NO_TIMING = "Timing over weeks comes here once a few bars were played."
SHOWN_WEEKS = 4
"""How many weeks of timing the page shows."""


class HandsView:
    """The part of the page that tells of one player's hands on the level at hand.

    ``timing`` is what the records keep under ``TIMING``.
    """

    def __init__(self, context: Context, answers: Sequence[Answer], timing: object) -> None:
        self._context = context
        self.figures = abilities(context.level.figures, answers)
        self.mixed = played_for(context.level, answers)
        self._timing = timing if isinstance(timing, dict) else None
        self._chosen = 0

    def body(self, look: Look, box: Rect) -> list[Widget]:
        """The widgets."""
        left, right = columns(box, [box.w * 0.55, None], look.u(32))
        lines = [Row(one.figure.count, one.words()) for one in self.figures]
        words = self.mixed[0].words() if self.mixed else NONE_YET
        told, drill, title, timing = rows(
            right,
            [look.height(words, right.w, "body", True), 2 * look.u(TARGET) + look.u(8), look.line("lead"), None],
            look.u(12),
        )
        return [
            ListBox("hands", left, lines, self._chosen, self._choose, lambda: None, look.u(TARGET - 4)),
            Label("played for", told, words, bold=True),
            *self._drills(look, drill),
            Label("timing title", title, "Timing: spread, and 95 % interval", bold=True, middle=True),
            *paragraphs(look, timing, "timing", self._timing_words()),
        ]

    def _drills(self, look: Look, box: Rect) -> list[Widget]:
        if not self.mixed:
            return []
        ear, hand = rows(box, [look.u(TARGET)] * 2, look.u(8))
        return [
            Button("by ear", ear, "First by ear", self.by_ear, key="e"),
            Button("by hand", hand, "Then by hand", self.by_hand, key="y"),
        ]

    def _timing_words(self) -> Sequence[str]:
        weeks = weeks_of(self._timing)[-SHOWN_WEEKS:]
        if not weeks:
            return (NO_TIMING,)
        # The latest first: the others are looked at only to compare it.
        found = [f"Week of {date_words(week.begins)}: {week.words()}" for week in reversed(weeks)]
        for name in names_of(self._timing)[1:6]:
            latest = weeks_of(self._timing, name)[-1]
            found.append(f"Latest week, {name}: {latest.words()}")
        return found

    def _choose(self, place: int) -> None:
        self._chosen = place

    def by_ear(self) -> Next:
        """A short round of the two figures, where the ear can tell them on this level."""
        pair = self._pair()
        if pair is None:
            return None
        return Push(open_drill(self._context, *pair))

    def by_hand(self) -> Next:
        """The two figures to be played back, step by step."""
        if not self.mixed:
            return None
        compound = self._context.level.meter.compound
        figures = [self.mixed[0].figure, parse_figure(self.mixed[0].played, compound)]
        settings = self._context.settings
        playing = Playing(
            self._context.level, figures, READERS[KEYS], self._context.seed(), settings.hand, in_steps=True
        )
        return Push(PlayBar(self._context, playing))

    def rows(self) -> list[TableRow]:
        """The abilities as a table with a header."""
        body: list[TableRow] = [
            [one.figure.count, each.name, each.right, each.total] for one in self.figures for each in one.abilities
        ]
        return [["figure", "ability", "right", "answers"], *body]

    def _pair(self) -> tuple[Figure, Figure] | None:
        """The two figures of the largest mix-up by hand; for one that is not the level's the likest that is."""
        if not self.mixed:
            return None
        figure, level = self.mixed[0].figure, self._context.level
        other = parse_figure(self.mixed[0].played, level.meter.compound)
        if other in level.figures:
            return figure, other
        others = [one for one in level.figures if one != figure]
        return figure, max(others, key=lambda one: likeness(figure, one))
