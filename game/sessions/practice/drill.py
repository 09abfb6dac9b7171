"""A drill of two figures: a short round in which every bar holds just these two."""

from random import Random

from game.learning import Question
from game.learning.coach import Coach
from game.learning.question import Reason, question_id
from game.sessions.practice.asker import MarkedByCoach
from game.sessions.progress.plan import way
from shared.bars import Bar
from shared.figures import Figure
from shared.orchestration import ORCHESTRATIONS, Setting, groove_bar

BARS = 5
"""How many bars make a drill."""


class PairDrill(MarkedByCoach):
    """Asks bars of two figures; all the level's figures stay on offer."""

    def __init__(self, coach: Coach, first: Figure, second: Figure, seed: int = 0) -> None:
        super().__init__(coach)
        self.pair = (first, second)
        self._random = Random(f"drill/{seed}")
        self._seed = seed
        self._asked = 0
        self._last: Bar | None = None

    def ask(self, now: float) -> Question:
        """A bar in which both figures occur, in an order that is not the last bar's."""
        level = self.coach.level
        recall = dict(zip(level.figures, self.coach.recall(now), strict=True))
        # As hard as the weaker of the two can bear: a contrast that is too quick to hear teaches nothing.
        orchestration, tempo = way(level, float(min(recall[figure] for figure in self.pair)))
        asked = ORCHESTRATIONS[orchestration].asked(level.meter)
        setting = Setting(orchestration, tempo, min(level.groove_bars), seed=self._random.getrandbits(31))
        reason = Reason("These two alone, one against the other.", "mixed up", self.pair)
        self._asked += 1
        name = question_id("drill", level.name, self._seed, self._asked, now)
        setting = self.coach.paced(setting, self.pair)
        return Question(self._bar(asked), asked, level.figures, setting, reason, name)

    def _bar(self, asked: tuple[int, ...]) -> Bar:
        plain = groove_bar(self.coach.level.meter)
        # Few orders exist where few beats are asked: after twenty draws a repeated bar is taken as it is.
        for _ in range(20):
            # Both are in every bar; only the beats beyond two are left to chance.
            chosen = [*self.pair, *self._random.choices(self.pair, k=max(0, len(asked) - 2))]
            self._random.shuffle(chosen)
            bar = plain.with_figures(dict(zip(asked, chosen, strict=False)))
            if bar != self._last:
                break
        self._last = bar
        return bar
