"""The look ahead at the end of a round: which figures have become firmer, and one aim for the next round."""

from collections.abc import Sequence
from dataclasses import dataclass

from game.learning.staircase import FREELY, ONCE, TWO_BARS, UNCOUNTED
from game.sessions.practice.round import PracticeRound
from shared.figures import Figure
from shared.levels import Level, find_level, ladder_names, ladder_place
from shared.orchestration import ORCHESTRATIONS

NOTICED = 0.02
"""The least rise of a chance that is shown: less rounds to nothing on the page."""

LOOSE = 0.25
"""The least feel (``Setting.feel``) that a player hears as loose."""

FROM_MEMORY = {
    FREELY: "Next, from memory: each bar heard once.",
    ONCE: "Next: heard once and without a count-in.",
    UNCOUNTED: "Next: two bars in a row, heard once.",
}
"""The aim after each step of memory."""


@dataclass(frozen=True)
class Firmer:
    """A figure that is more likely to be named right a day on than it was: chances from 0 to 1."""

    figure: Figure
    before: float
    after: float


@dataclass(frozen=True)
class RoundAim:
    """The one thing to aim at next, in a sentence, with the figures that it is about.

    ``level`` is the next level of the ladder, where that is the aim.
    """

    words: str
    figures: tuple[Figure, ...] = ()
    level: Level | None = None


TO_CLOSE = RoundAim("Every figure is firm. Next: the closing round, all of them, each bar heard once.")
"""The aim where a level's closing round is all that is left of it."""


def firmer(figures: Sequence[Figure], before: Sequence[float], after: Sequence[float]) -> tuple[Firmer, ...]:
    """The figures whose chances have risen, the most risen first."""
    rows = [Firmer(*row) for row in zip(figures, before, after, strict=True)]
    risen = [row for row in rows if row.after - row.before >= NOTICED]
    return tuple(sorted(risen, key=lambda row: row.before - row.after))


def next_aim(done: PracticeRound, level: Level) -> RoundAim:
    """The aim after a round: first a pair that was mixed up, then the full score, then bars that are harder to hear."""
    if done.passed:
        after = _next_level(level)
        new = tuple(figure for figure in after.figures if figure not in level.figures) if after else ()
        return RoundAim(f"This level holds. {_leads_to(after)}", new, after)
    mixed = next((one for one in done.mix_ups() if one.said), None)
    if mixed and mixed.said:
        return RoundAim("To tell these two apart. The next round brings them side by side.", (mixed.heard, mixed.said))
    if done.right < done.beats:
        unnamed = tuple(dict.fromkeys(one.heard for one in done.mix_ups()))
        return RoundAim("To name what you were not sure of: hear it alone, then in its bar.", unnamed)
    if done.earned < done.possible:
        return RoundAim(f"Every beat right at one hearing, for all {done.possible} points.")
    return RoundAim(f"All {done.possible} points. {_harder(done, level)}")


def _harder(done: PracticeRound, level: Level) -> str:
    """The next thing that makes the same figures harder to hear and that this round did not have."""
    settings = [result.question.setting for result in done.results]
    asked = {len(result.right) for result in done.results}
    # A level has its ways in order, the plainest first: one before the round's last would be a step back.
    had = {setting.orchestration for setting in settings}
    past = max((place for place, name in enumerate(level.orchestrations, 1) if name in had), default=0)
    ways = level.orchestrations[past:]
    # Feel and memory come last, as on the staircase, so that the coach brings what is promised here.
    fastest = max(setting.tempo for setting in settings)
    if max(asked) < level.meter.beats and not any(
        ORCHESTRATIONS[setting.orchestration].asked_beats for setting in settings
    ):
        return "Next: more beats asked in each bar."
    if ways:
        return f"Next, round the kit: {ORCHESTRATIONS[ways[0]].about}."
    # Within two steps of tempo of the top the next round would hardly sound faster.
    if fastest < level.tempo.high - 6:
        return f"Next, faster: this round reached {fastest:.0f} beats a minute of {level.tempo.high:.0f}."
    if max(level.groove_bars) > max(setting.groove_bars for setting in settings):
        return "Next: with a groove before the bar."
    if max(setting.feel for setting in settings) < LOOSE:
        return "Next: with a loose feel, as people play."
    memory = max(result.question.memory for result in done.results)
    if memory < TWO_BARS:
        return FROM_MEMORY[memory]
    return f"You hold this level as far as it goes. {_leads_to(_next_level(level))}"


def _next_level(level: Level) -> Level | None:
    place, names = ladder_place(level.name), ladder_names()
    return None if place is None or place == len(names) else find_level(names[place])


def _leads_to(after: Level | None) -> str:
    if after is None:
        return "Nothing on this level is harder: hear it again tomorrow, when it counts most."
    return f"Next: stage {ladder_place(after.name)}, {after.title}."
