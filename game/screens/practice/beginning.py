"""A level's first visit: how it is to begin for whoever plays."""

from collections.abc import Callable, Sequence
from functools import partial

from pygame import Rect

from game.learning.introduction import AT_ONCE, SOUND_OUT, STEP_BY_STEP
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import rows
from game.widgets.controls import Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Replace
from game.widgets.notation import figure_line
from shared.levels import ladder_place

WAYS = (
    (STEP_BY_STEP, "New to me", "Each figure is shown and heard before it is asked, two at a time at most."),
    (
        SOUND_OUT,
        "I know some of these",
        "A few bars of everything find out which; the others are then shown.",
    ),
    (AT_ONCE, "All at once", "Every figure is asked from the first bar on, and none is shown before."),
)
"""The ways to begin: each with its words and what it means."""


class Beginning(Screen):
    """Asks once how a level begins; ``following`` makes the page that comes next, from the answer."""

    def __init__(self, context: Context, following: Callable[[str], Screen]) -> None:
        super().__init__(context)
        self._following = following
        self.focus = STEP_BY_STEP

    def heading(self) -> Heading:
        place = ladder_place(self.context.level.name)
        return Heading(self.context.level.title, f"Stage {place}" if place else "", self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (
            *(
                # Not at the foot: each button shows its own key.
                Key(str(k), words, partial(self._choose, begin), shown=False)
                for k, (begin, words, _) in enumerate(WAYS, 1)
            ),
            Key("return", "choose", self._enter),
            Key("escape", "back", Pop),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        level = self.context.level
        button = look.u(84)
        ask, figures, *ways, later = rows(
            box, [look.line("title"), None, button, button, button, look.line()], look.u(16)
        )
        return [
            Label("ask", ask, "Have you heard these figures before?", "title", bold=True, middle=True),
            Picture("figures", figures, lambda canvas, look, box: figure_line(canvas, look, box, level)),
            *(self._way(way, k) for k, way in enumerate(ways)),
            Label("later", later, "You can choose anew for each level in the settings.", colour="quiet", middle=True),
        ]

    def _enter(self) -> Next:
        focused = self.focused()
        return focused.press() if focused else None

    def _way(self, box: Rect, place: int) -> Button:
        begin, words, about = WAYS[place]
        choose = partial(self._choose, begin)
        # Step by step is the main one: it asks nothing that a beginner could not know.
        return Button(begin, box, words, choose, main=place == 0, about=about, key=str(place + 1))

    def _choose(self, begin: str) -> Next:
        self.context.choose_beginning(begin)
        return Replace(self._following(begin))
