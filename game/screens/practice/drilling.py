"""A drill of two figures, from wherever they were chosen."""

from game.screens.base import Screen
from game.screens.context import Context
from game.screens.practice.question import Practice
from game.sessions.practice.drill import BARS, PairDrill
from game.sessions.practice.round import PracticeRound
from shared.figures import Figure


def drill(context: Context, first: Figure, second: Figure) -> Screen:
    """The screen of a short round with the two figures; every answer is kept before it is revealed."""
    asker = PairDrill(context.coach(), first, second, context.seed())
    return Practice(context, PracticeRound(asker, context.keep, context.now(), bars=BARS))
