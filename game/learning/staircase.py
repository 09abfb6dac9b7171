"""Makes bars harder or easier to hear as beats come out right or wrong: tempo, kit, groove, feel, hearings from memory.

It is a weighted up-down staircase after C. Kaernbach, "Simple adaptive testing with the weighted up-down method",
Perception & Psychophysics 49, 1991: a right beat goes a little up, a wrong one a lot down, and it settles where
up x p = down x (1 - p), here at four right beats in five.  Which figures are asked is not decided here.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import groupby
from math import ceil
from operator import attrgetter
from random import Random

from game.learning.evidence import Answer
from shared.levels import Level
from shared.orchestration import ORCHESTRATIONS, Setting

RIGHT, WRONG = 0.25, -1.0
"""How far a right and a wrong beat move the player towards the next step (at +1 or -1); at most one step a bar."""

TEMPO_STEP = 3.0
"""Beats a minute of one step.  A bar also strays by up to a step, so that the ear learns the figure and not the tempo;
together never more than ``MOST_TEMPO_CHANGE`` from one bar to the next."""

MOST_TEMPO_CHANGE = 2 * TEMPO_STEP

FEELS = (0.0, 0.25, 0.5)
"""How loosely the strokes fall, step by step: see ``Setting.feel``."""

FREELY, ONCE, UNCOUNTED, TWO_BARS, REMEMBERED = range(5)
"""The steps of memory: a bar heard as often as wanted; heard once; once and without a count-in; two such bars in a row.
Whoever stands at the last step has held them all, and is asked as in the step before."""

MEMORY_PACE = 0.2
"""A step of memory takes so many times the ordinary rate: five bars without a mistake, since it is a stage of its own
and no small step."""


@dataclass(frozen=True)
class Staircase:
    """A player's place on each axis of one level, in steps from its plain end: a value, worked out from the log.

    ``kit`` and ``groove`` are how many more of the level's ways than the first are open; ``memory`` is one of the
    steps from ``FREELY`` to ``REMEMBERED``; ``on_the_way`` is how much of the next step is done, from -1 to 1;
    ``played`` the last bar's tempo.
    """

    level: Level
    tempo: int = 0
    kit: int = 0
    groove: int = 0
    feel: int = 0
    memory: int = FREELY
    on_the_way: float = 0.0
    played: float | None = None

    def after(self, answers: Iterable[Answer]) -> "Staircase":
        """The places after some answers.  What was answered on other levels, or in an exam, moves nothing."""
        stairs = self
        for _, bar in groupby(filter(self._counts, answers), key=attrgetter("at", "bar")):
            stairs = stairs._after_bar(list(bar))
        return stairs

    def _counts(self, row: Answer) -> bool:
        # An exam is played by its own rules, and a second try is known to be wrong: neither says how hard is right.
        usual = row.attempt == 1 and row.ability == "hearing" and row.kind != "exam"
        return usual and row.level == self.level.name

    def _after_bar(self, rows: list[Answer]) -> "Staircase":
        beats, way = len({row.beat for row in rows}), ORCHESTRATIONS.get(rows[0].orchestration)
        if way is None or beats < len(way.asked(self.level.meter)):
            # A bar with given beats belongs to a new figure: it says nothing of how hard the others may be.
            return replace(self, played=rows[-1].tempo)
        right = sum(row.share for row in rows if row.said == row.heard)
        # In a class somebody else decides how often a bar is heard.
        once = all(row.hearings == 1 and row.kind != "class" for row in rows)
        return self.answered(right, beats, rows[-1].tempo, once)

    def answered(self, right: float, beats: int, played: float, once: bool = True) -> "Staircase":
        """The places after a bar of which so many beats were right, played at a tempo and heard ``once`` or oftener."""
        # What is right when it was made plainer than the player's place, as for a new figure, earns no step.
        earned = RIGHT * (played >= self._tempo_at(self.tempo - 1)) * (once or not self.memory)
        pace = MEMORY_PACE if self.memory else 1.0
        done = self.on_the_way + pace * (earned * right + WRONG * (beats - right))
        if abs(done) < 1:
            return replace(self, on_the_way=done, played=played)
        # Back to 0, also past the step: what is left over of a long good run would make the next step too cheap.
        return replace(self._moved(1 if done > 0 else -1, once), on_the_way=0.0, played=played)

    def _moved(self, step: int, once: bool) -> "Staircase":
        """One step on one axis: up where least was climbed, down where most was; up in memory by one hearing alone."""
        places = {axis: getattr(self, axis) for axis in self._tops()}
        movable = [
            axis
            for axis, top in self._tops().items()
            if 0 <= places[axis] + step <= top and (axis != "memory" or once or step < 0)
        ]
        if not movable:
            return self
        if step > 0:
            axis = min(movable, key=lambda axis: self._climbed(axis, places[axis] + 1))
        else:
            # Reversed, since max takes the first of equals: going down undoes the steps in the order they were made.
            axis = max(reversed(movable), key=lambda axis: self._climbed(axis, places[axis]))
        return replace(self, **{axis: places[axis] + step})

    def _tops(self) -> dict[str, int]:
        """The number of steps on each axis."""
        tempo = self.level.tempo
        return {
            "tempo": ceil((tempo.high - tempo.low) / TEMPO_STEP),
            "kit": len(self.level.orchestrations) - 1,
            "groove": len(self.level.groove_bars) - 1,
            "feel": len(FEELS) - 1,
            "memory": REMEMBERED,
        }

    def _climbed(self, axis: str, place: int) -> float:
        """The share of an axis below a place.  Feel comes after the first three are climbed, memory after all."""
        return place / (self._tops()[axis] + 1) + {"feel": 1, "memory": 2}.get(axis, 0)

    def setting(self, random: Random, plain: bool, memory: int = FREELY) -> Setting:
        """How to play the next bar: one of the ways that are open, or the plainest, as for a new figure.

        ``memory`` is the step of memory that it is asked in.
        """
        level = self.level
        kits, grooves = level.orchestrations[: 1 + self.kit], sorted(level.groove_bars)[: 1 + self.groove]
        setting = Setting(
            orchestration=kits[0] if plain else random.choice(kits),
            tempo=self._tempo(random, plain),
            groove_bars=grooves[0] if plain else random.choice(grooves),
            seed=random.getrandbits(31),
            feel=0.0 if plain else FEELS[self.feel],
        )
        if memory < UNCOUNTED:
            return setting
        # Without any pulse a figure could be several: the groove leads in, or a click goes along.
        return replace(setting, count_in=False, groove_bars=max(grooves), click=not max(grooves))

    def paced(self, tempo: float) -> float:
        """A tempo that is asked for, but at most ``MOST_TEMPO_CHANGE`` quicker than the last bar; beats a minute."""
        # From below the level's tempos the way back is that of slowed pairs, and not limited here.
        return tempo if self.played is None else min(tempo, max(self.level.tempo.low, self.played) + MOST_TEMPO_CHANGE)

    def _tempo_at(self, place: int) -> float:
        return min(self.level.tempo.high, self.level.tempo.low + TEMPO_STEP * max(0, place))

    def _tempo(self, random: Random, plain: bool) -> float:
        low, high = self.level.tempo.low, self.level.tempo.high
        wanted = low if plain else random.uniform(self._tempo_at(self.tempo - 1), self._tempo_at(self.tempo))
        slowest, fastest = low, high
        # A bar of a slowed pair lies below the level's tempos: from there the way back is not limited here.
        if self.played is not None and low <= self.played <= high:
            slowest, fastest = max(low, self.played - MOST_TEMPO_CHANGE), min(high, self.played + MOST_TEMPO_CHANGE)
        return min(fastest, max(slowest, float(round(wanted))))
