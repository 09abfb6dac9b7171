"""A drill of two figures, from wherever they were chosen."""

from game.screens.base import Screen
from game.screens.context import Context
from game.screens.practice.question import open_practice
from game.sessions.practice.drill import BARS, PairDrill
from shared.figures import Figure


def drill(context: Context, first: Figure, second: Figure) -> Screen:
    """The screen of a short round with the two figures; every answer is kept before it is revealed."""
    return open_practice(context, PairDrill(context.coach(), first, second, context.seed()), BARS)
