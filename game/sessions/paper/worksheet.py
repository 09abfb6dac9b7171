"""A worksheet by a teacher's choices: the bars that a class hears, and the letter of each figure on each version."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from game.learning import Answer, Question
from game.sessions.exam.paper import draw_paper, evenly
from game.sessions.fills.keeping import fill_of_bar
from game.sessions.letters import LETTERS
from game.sessions.progress.mixups import mixed_pairs
from shared.bars import Bar
from shared.charts import Chart
from shared.figures import Figure
from shared.fills import Fill
from shared.level_table import Tempo
from shared.levels import Level
from shared.orchestration import Setting

MOST_BARS, MOST_PUPILS = 40, 40
"""The most bars of a sheet, and the most pupils that it has cards for."""

VERSIONS = "ABC"
"""The names of the versions of a sheet, as many as there can be."""

MOST_PAIRS = 3
"""How many of a class's mix-ups a sheet asks."""

PLAINEST = ("snare", "down-the-kit")
"""Ways round the kit that every level can be played in."""

SHUFFLES = 200
"""How often letters are dealt anew for a version in which no figure has the letter of another version."""


@dataclass(frozen=True)
class Worksheet:
    """The choices for a sheet; the same choices give the same sheet.

    ``bars`` is 1 to 40.  ``tempo`` in beats a minute and ``orchestration`` by name stand for all bars; the level's
    own take turns where they are left out.  ``counts`` writes the count under the figures.  ``versions``, 1 to 3,
    ask the same bars under different letters, so that neighbours can't copy.  There is a set of cards for each of so
    many ``pupils``.  ``pairs`` are mix-ups to be asked first, in up to half of the bars.
    """

    level: Level
    bars: int = 10
    seed: int = 0
    tempo: float | None = None
    orchestration: str | None = None
    counts: bool = True
    versions: int = 1
    pupils: int = 1
    pairs: tuple[tuple[Figure, Figure], ...] = ()

    def questions(self) -> tuple[Question, ...]:
        """The bars in the order in which they are heard."""
        level = self.level
        if self.tempo is not None:
            level = replace(level, tempo=Tempo(self.tempo, self.tempo))
        if self.orchestration is not None:
            level = replace(level, orchestrations=(self.orchestration,))
        # As an exam draws its bars: each figure about as often as any other.
        drawn = list(draw_paper(level, self.seed, self.bars))
        # Each pair twice, as once may be a lucky guess, and half of the bars stay for everything else.
        for place in range(min(len(drawn) // 2, 2 * len(self.pairs))):
            drawn[place] = self._contrasted(drawn[place], self.pairs[place % len(self.pairs)], place)
        return tuple(drawn)

    def _contrasted(self, question: Question, pair: tuple[Figure, Figure], place: int) -> Question:
        """The question with the two figures of a pair on its asked beats, each as often as the other."""
        figures = evenly(pair, len(question.asked), Random(f"pair/{self.seed}/{place}"))
        return replace(question, bar=question.bar.with_figures(dict(zip(question.asked, figures, strict=True))))

    def chart(self) -> Chart:
        """The bars as drum music: each as a fill after a bar of groove, and both once more."""
        bars: list[Bar] = []
        fills: list[Fill | None] = []
        for question in self.questions():
            silent = Figure((), question.bar.meter.compound)
            fill = fill_of_bar(question.bar, question.setting)
            bars += [question.bar.with_figures(dict.fromkeys(range(question.bar.meter.beats), silent)), *fill.bars]
            fills += [None, fill]
        return Chart(tuple(bars), fills=tuple(fills), repeats=tuple((k, k + 1) for k in range(0, len(bars), 2)))

    @property
    def chart_setting(self) -> Setting:
        """How the chart is played: at the sheet's tempo, without one at the slowest of the level, as it is read."""
        return Setting(tempo=self.tempo or float(round(self.level.tempo.low)))

    def letters(self, version: int) -> dict[Figure, str]:
        """The letter of each figure on a version, from 0; the first has them in the level's order.

        No figure has the same letter on two versions, if the level has figures enough.
        """
        names = LETTERS[: len(self.level.figures)]
        dealt = [list(names)]
        random = Random(f"letters/{self.level.name}/{self.seed}")
        # Every version up to this one, so that it can be kept apart from all before it.
        for _ in range(version):
            for _ in range(SHUFFLES):
                # Of many letters about 1 / e = 37 % of all orders share no place with a given one (derangements), and
                # some 14 % none with two: where there are figures enough, the tries never run out in practice.
                order = random.sample(names, len(names))
                if all(one != other for earlier in dealt for one, other in zip(order, earlier, strict=True)):
                    break
            dealt.append(order)
        # By letter, the order in which a pupil looks for one on the wall.
        return dict(sorted(zip(self.level.figures, dealt[version], strict=True), key=lambda item: item[1]))


def class_pairs(level: Level, answers: Sequence[Answer], now: float) -> tuple[tuple[Figure, Figure], ...]:
    """The pairs of a level that a class mixes up most, by what it answered so far."""
    return tuple((pair.first, pair.second) for pair in mixed_pairs(level, answers, now)[:MOST_PAIRS])


def ways_of(level: Level) -> tuple[str, ...]:
    """The ways round the kit that a sheet of a level can have: its own, and the two plainest."""
    return tuple(dict.fromkeys((*level.orchestrations, *PLAINEST)))
