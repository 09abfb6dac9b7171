"""The view of progress that tells of playing: three abilities of each figure, what is played for what, timing."""

from collections.abc import Sequence

from pygame import Rect

from game.learning import Answer
from game.screens.context import Context
from game.screens.playing.ears import READERS
from game.screens.playing.playing import PlayBar
from game.screens.practice.question import open_drill
from game.screens.practice.reasons import figures_picture
from game.sessions.inputs import KEYS
from game.sessions.playing.playing import Playing
from game.sessions.playing.report import HANDS, ON_THE_BEAT
from game.sessions.progress.hands import Weeks, WeekTiming, abilities, names_of, played_for, weeks_of
from game.sessions.progress.progress import Row as TableRow
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.charts import SpreadWeeks
from game.widgets.controls import TARGET, Button
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Push
from game.widgets.pairs import figure_in_row
from game.widgets.texts import paragraphs
from shared.counting import parse_figure
from shared.figures import Figure
from shared.likeness import likeness

NONE_YET = "Nothing is played for another figure again and again."
NO_TIMING = "Timing over weeks comes here once a few bars were played."
SHOWN_WEEKS = 12
"""How many weeks of timing the page shows."""

SHOWN_PLACES = 5
"""Of how many places and hands at most the latest week is told, the most struck first."""

DRAWN = 76
"""The height of the two figures of a mix-up, in units."""


class HandsView:
    """The part of the page that tells of one player's hands on the level at hand, ``timing`` of all levels.

    With ``drills`` it leads on to what is played for what.
    """

    def __init__(self, context: Context, answers: Sequence[Answer], timing: Weeks, drills: bool = True) -> None:
        self._drilled = drills
        self._context = context
        self.figures = abilities(context.level.figures, answers)
        self.mixed = played_for(context.level, answers)
        self._timing = timing
        self._chosen = 0

    def body(self, look: Look, box: Rect) -> list[Widget]:
        """The widgets."""
        left, right = columns(box, [box.w * 0.55, None], look.u(32))
        level = self._context.level
        lines = [Row(level.as_shown(one.figure.count), one.words(), figure_in_row(level, one.figure))
                 for one in self.figures]  # fmt: skip
        mixed, title, timing = rows(right, [self._mixed_height(look, right.w), look.line("lead"), None], look.u(12))
        return [
            ListBox("hands", left, lines, self._chosen, self._choose, lambda: None, row_height(look)),
            *self._mixed(look, mixed),
            Label("timing title", title, "Timing: spread, and 95 % interval", bold=True, middle=True),
            *self._weeks(look, timing),
        ]

    def _mixed_height(self, look: Look, width: int) -> int:
        if not self.mixed:
            return look.height(NONE_YET, width, "body", True)
        words = look.height(self.mixed[0].words(), width, "body", True)
        return look.u(DRAWN) + words + look.u(TARGET) + 2 * look.u(8)

    def _mixed(self, look: Look, box: Rect) -> list[Widget]:
        """The largest mix-up by hand: the two figures, a sentence, and the drills."""
        if not self.mixed:
            return [Label("played for", box, NONE_YET, bold=True)]
        drawn, told, drill = rows(box, [look.u(DRAWN), None, look.u(TARGET)], look.u(8))
        return [
            figures_picture("mixed", drawn, self._context.level, (self.mixed[0].figure, self._other)),
            Label("played for", told, self.mixed[0].words(), bold=True),
            *(self._drills(look, drill) if self._drilled else []),
        ]

    def _drills(self, look: Look, box: Rect) -> list[Widget]:
        ear, hand = columns(box, [None, None], look.u(12))
        return [
            Button("by ear", ear, "First by ear", self.by_ear, key="e"),
            Button("by hand", hand, "Then by hand", self.by_hand, key="y"),
        ]

    def _weeks(self, look: Look, box: Rect) -> list[Widget]:
        """The weeks as a picture, and the latest of them in words."""
        weeks = weeks_of(self._timing)[-SHOWN_WEEKS:]
        if not weeks:
            return paragraphs(look, box, "timing", (NO_TIMING,))
        line = round(1.5 * look.line("body"))
        # Where the page is low the picture goes before the places struck least.
        texts = self._timing_words(weeks[-1])[: max(1, box.h * 3 // 5 // line)]
        picture, words = rows(box, [None, len(texts) * line], look.u(8))
        return [SpreadWeeks("weeks", picture, weeks), *paragraphs(look, words, "timing", texts)]

    def _timing_words(self, latest: WeekTiming) -> Sequence[str]:
        found = [f"Latest week: {latest.words()}"]
        # The first is all strokes together, which are told above.
        for name in names_of(self._timing)[1:SHOWN_PLACES]:
            found.append(f"{_where(name).capitalize()}: {weeks_of(self._timing, name)[-1].words()}")
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
        figures = [self.mixed[0].figure, self._other]
        settings = self._context.settings
        # Of these two alone: side by side hands learn the difference, as ears do.
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

    @property
    def _other(self) -> Figure:
        """The figure that is played in place of the one in the largest mix-up."""
        # Read from its count, for what is played may be no figure of the level.
        return parse_figure(self.mixed[0].played, self._context.level.meter.compound)

    def _pair(self) -> tuple[Figure, Figure] | None:
        """The two figures of the largest mix-up by hand; for one that is not the level's the likest that is."""
        if not self.mixed:
            return None
        figure, level, other = self.mixed[0].figure, self._context.level, self._other
        if other in level.figures:
            return figure, other
        others = [one for one in level.figures if one != figure]
        return figure, max(others, key=lambda one: likeness(figure, one))


def _where(name: str) -> str:
    """The strokes of one hand or place, in words."""
    if name in HANDS.values():
        return name
    return "on the beat" if name == ON_THE_BEAT else f"on the {name}"
