"""Chooses the one thing to do next, over all levels of the ladder, and says why.

In this order: what a teacher has set, bring back what has sunk, go on with the level at hand, close a level that
holds, begin the next.  Whoever looks at home sees one sentence and begins just that with one key.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from game.sessions.practice.scoring import ROUND_MINUTES
from game.sessions.progress.standing import Standing
from game.sessions.pupils.task import SetTask, task_words, until_words
from game.wording import in_words, number_word, since_words
from shared.levels import Level, ladder_place

AS_MANY_AS_A_BAR = 4
"""So many figures are shown with an aim."""

SUNK_ENOUGH = 2
"""So many sunk figures on another level are worth leaving the level at hand for."""


class AimKind(Enum):
    """The purpose of an aim."""

    TASK = "task"
    MEET = "meet"
    BRING_BACK = "bring back"
    GO_ON = "go on"
    CLOSE = "close"
    NEXT = "next"
    ALL_HOLD = "all hold"


@dataclass(frozen=True)
class Aim:
    """One next thing: on which level, the figures it is about (counts), and why, in a title and a sentence."""

    kind: AimKind
    level: str
    figures: tuple[str, ...]
    title: str
    why: str


def next_aim(
    levels: Sequence[Level],
    at_hand: Level,
    standings: Mapping[str, Standing],
    closed: Mapping[str, float],
    now: float,
    passed_by: Collection[str] = (),
) -> Aim:
    """The next thing to do; ``levels`` are all that there are, and of these the ladder leads from one to the next.

    ``standings`` are of the levels whose figures were answered, by name; ``closed`` says when a level's closing round
    was last passed (seconds since the epoch); nothing is brought back on the levels ``passed_by``.
    """
    # Before anything new: what has sunk is cheap to bring back now, and dear to learn again later.
    sunk = _most_sunk(at_hand, {name: one for name, one in standings.items() if name not in passed_by}, now)
    if sunk:
        elsewhere = next((level.title for level in levels if level.name == sunk != at_hand.name), "")
        return _bring_back(sunk, standings[sunk], now, elsewhere)
    standing = standings.get(at_hand.name)
    if standing is None or not any(standing.heard):
        return _begin(at_hand)
    if not standing.holds(now):
        return _go_on(at_hand, standing, now)
    if at_hand.name not in closed:
        return Aim(
            AimKind.CLOSE, at_hand.name, standing.figures[:AS_MANY_AS_A_BAR], "The closing round",
            f"{at_hand.title} holds: now every figure, each bar heard once.",
        )  # fmt: skip
    return _next([level for level in levels if ladder_place(level.name)], at_hand, standings, now)


def task_aim(level: Level, task: SetTask, right: int) -> Aim:
    """What a teacher has set on a level, of which so many answers were ``right`` by now."""
    figures = task.figures or tuple(figure.count for figure in level.figures)
    title = f"Your task: {task_words(task, level)}"
    return Aim(AimKind.TASK, level.name, figures[:AS_MANY_AS_A_BAR], title, until_words(task, right))


def _most_sunk(at_hand: Level, standings: Mapping[str, Standing], now: float) -> str | None:
    """The level with most to bring back; another one than that at hand only for enough figures."""
    sunk = {name: len(standing.sunk(now)) for name, standing in standings.items()}
    # Where two levels have as much to bring back, the one at hand.
    best = max(sunk, key=lambda name: (sunk[name], name == at_hand.name), default=None)
    if best is None or not sunk[best]:
        return None
    if best != at_hand.name and sunk[best] < SUNK_ENOUGH:
        return at_hand.name if sunk.get(at_hand.name) else None
    return best


def _bring_back(level: str, standing: Standing, now: float, elsewhere: str) -> Aim:
    """What has sunk on a level; ``elsewhere`` is its title where it is not the level at hand, else empty."""
    sunk = standing.sunk(now)
    many = len(sunk) > 1
    brings = f"one round brings {in_words(len(sunk), 'figure')} back, about {in_words(ROUND_MINUTES, 'minute')}."
    since = since_words(standing.last, now) if standing.last is not None else "today"
    return Aim(
        AimKind.BRING_BACK, level, sunk[:AS_MANY_AS_A_BAR],
        # What home tells of the level at hand has other numbers: hence the name of the one that is meant.
        f"Back to {elsewhere}" if elsewhere else "Bring them back" if many else "Bring it back",
        f"Not heard since {since}: {brings}" if since != "today" else f"O{brings[1:]}",
    )  # fmt: skip


def _begin(level: Level) -> Aim:
    # All of them: whoever begins further up the ladder has not met what earlier levels bring either.
    figures = tuple(figure.count for figure in level.figures)
    return Aim(
        AimKind.MEET, level.name, figures[:AS_MANY_AS_A_BAR], f"Begin {level.title}",
        f"{in_words(len(figures), 'figure').capitalize()} to meet, one or two at a time.",
    )  # fmt: skip


def _go_on(level: Level, standing: Standing, now: float) -> Aim:
    weak, unmet = standing.weakest(now), standing.unmet()
    if not weak:
        return Aim(
            AimKind.GO_ON, level.name, unmet[:AS_MANY_AS_A_BAR], f"Go on with {level.title}",
            f"What you have met is firm; {in_words(len(unmet), 'figure')} still to meet.",
        )  # fmt: skip
    rest = f", {number_word(len(unmet))} to meet" if unmet else ""
    return Aim(
        AimKind.GO_ON, level.name, weak[:AS_MANY_AS_A_BAR], f"Go on with {level.title}",
        f"{in_words(len(weak), 'figure').capitalize()} not firm yet{rest}.",
    )  # fmt: skip


def _next(ladder: Sequence[Level], at_hand: Level, standings: Mapping[str, Standing], now: float) -> Aim:
    """The first level after the one at hand that does not hold, else the first of all that does not.

    It is begun, or gone on with where its new figures were met before.
    """
    names = [level.name for level in ladder]
    place = names.index(at_hand.name) + 1 if at_hand.name in names else 0
    for level in (*ladder[place:], *ladder[:place]):
        standing = standings.get(level.name)
        if standing is None or not standing.holds(now):
            new = tuple(figure.count for figure in level.new) or tuple(figure.count for figure in level.figures)
            if standing and not set(new) <= set(standing.unmet()):
                sunk = standing.sunk(now)
                return _bring_back(level.name, standing, now, level.title) if sunk else _go_on(level, standing, now)
            return Aim(
                AimKind.NEXT, level.name, new[:AS_MANY_AS_A_BAR], f"Next: {level.title}",
                f"{at_hand.title} holds. To meet: {in_words(len(new), 'new figure')}.",
            )  # fmt: skip
    figures = tuple(figure.count for figure in at_hand.figures)[:AS_MANY_AS_A_BAR]
    return Aim(
        AimKind.ALL_HOLD, at_hand.name, figures, "Everything holds",
        "Nothing has to be done today. Play a round for the pleasure of it, or write a bar of your own.",
    )  # fmt: skip
