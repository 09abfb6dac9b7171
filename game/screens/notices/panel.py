"""A panel over the page: the screen below stays visible around it."""

from pygame import Rect, Surface

from game.screens.base import Heading, Screen
from game.screens.context import Context
from game.widgets.look import Look

INSET = 40
"""The white space inside the panel, in units."""


class Panel(Screen):
    """A screen in a box in the middle of the window.  Subclasses say ``size`` and ``body``."""

    over = True

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._box = Rect(0, 0, 1, 1)

    def heading(self) -> Heading:
        return Heading("")

    def size(self, look: Look) -> tuple[int, int]:
        """Width and height of what is inside, in pixels."""
        raise NotImplementedError

    def lay_out(self, look: Look) -> None:
        inset = 2 * look.u(INSET)
        width, height = self.size(look)
        self._box = Rect(0, 0, width + inset, height + inset)
        # In the middle of the page, which is not that of a window across several screens.
        self._box.center = self.page(look).centerx, look.size[1] // 2
        self.widgets = self.body(look, self._box.inflate(-inset, -inset))
        self._settle_focus()
        # In place of the keys of the page below, which do nothing while the panel lies over it.
        self.widgets += self._foot(look, self.foot(look))

    def paint(self, canvas: Surface, look: Look) -> None:
        canvas.fill(look.theme.paper, self.foot(look))
        # A margin of paper sets the panel apart from the page below.
        look.box(canvas, self._box.inflate(look.u(16), look.u(16)), look.theme.paper)
        look.box(canvas, self._box, look.theme.paper, look.theme.ink, 2)
        self.paint_widgets(canvas, look)
