"""Says in one sentence how two figures sound different: which strokes to listen for.

The sentence is worked out from the onsets.  Places are called by the words of the count, which name one place of
the beat each, so that whoever knows one figure and the sentence can rebuild the other where few strokes differ.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, partial
from itertools import pairwise

from shared.counting import Words, as_shown
from shared.figures import BETWEEN, Figure, Grid, Onsets

Listing = Callable[[Onsets, Figure], str]

MOST_WORDS = 20
"""The most words of a sentence: what a player takes in between two bars."""

FEW = 2
"""Up to so many strokes on either side, the sentence names every one of them."""

LITTLE = Fraction(1, 8)
"""A stroke that moves by no more of a beat comes only a little sooner or later."""

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


@dataclass(frozen=True)
class Difference:
    """How ``first`` sounds different from ``other``.

    ``name`` is what the sentence calls the first; empty: by its count.  Of two figures side by side only a name says
    which one is spoken of, and then "the other" does as well.  ``words`` are those shown for words of the count.
    """

    first: Figure
    other: Figure
    name: str = ""
    words: Words = ()

    @property
    def only_first(self) -> Onsets:
        """The places in the beat where only the first has a stroke."""
        return _without(self.first, self.other)

    @property
    def only_other(self) -> Onsets:
        """The places in the beat where only the other has a stroke."""
        return _without(self.other, self.first)

    @property
    def is_small(self) -> bool:
        """Whether so few strokes differ that the sentence names them all."""
        return max(len(self.only_first), len(self.only_other)) <= FEW

    @property
    def _it(self) -> str:
        return self.name or f"“{as_shown(self.first.count, self.words)}”"

    @cached_property
    def sentence(self) -> str:
        """The difference as one sentence: the fullest wording that has at most ``MOST_WORDS`` words."""
        # A long count leaves no room for what is told: then the figure is called by its place before the other.
        named = (self, replace(self, name="the first"))
        ways = (text for one in named for text in one._ways_to_say_it())
        told = next(text for text in ways if len(text.split()) <= MOST_WORDS)
        return f"{told[0].upper()}{told[1:]}."

    def _ways_to_say_it(self) -> Iterator[str]:
        """The same difference in ever fewer words."""
        if self.first.onsets == self.other.onsets:
            yield "both sound the same"
            return
        # With single words for places, then with fewer; each time what both share goes first, which is heard anyway.
        for way in (_each, _grouped):
            listed = partial(way, self.words)
            for clause in self._clauses(listed):
                opening = self._shared_start(listed)
                ending = self._ending(clause)
                yield f"{opening}{clause}{ending}"
                yield f"{clause}{ending}"
                yield f"{opening}{clause}"
                yield clause

    def _clauses(self, listed: Listing) -> Iterator[str]:
        """The difference in one clause, in several ways; the first that is short enough will do."""
        if self.first.is_rest or self.other.is_rest:
            yield self._against_silence(listed)
        elif self.is_small:
            yield from self._moves(listed)
            yield self._named(listed)
        else:
            yield self._clearest(listed)

    def _shared_start(self, listed: Listing) -> str:
        if self.first.is_rest or self.first.onsets[:1] != self.other.onsets[:1]:
            return ""
        return f"both begin on {listed(self.first.onsets[:1], self.first)}; "

    def _against_silence(self, listed: Listing) -> str:
        silent = self.first.is_rest
        figure = self.other if silent else self.first
        strokes = len(figure.onsets)
        played = f"plays {listed(figure.onsets, figure)}" if self.is_small else f"has {NUMBERS[strokes]} strokes"
        return f"{self._it} is silent; the other {played}" if silent else f"{self._it} {played}; the other is silent"

    # Where few strokes differ: every one of them

    def _named(self, listed: Listing) -> str:
        more, less = self.only_first, self.only_other
        if not less and more[0] == 0:
            begins = listed(self.other.onsets[:1], self.other)
            return f"only {self._it} plays {listed(more, self.first)}; the other begins on {begins}"
        if not less:
            return f"{self._it} adds {listed(more, self.first)}"
        if not more:
            return f"{self._it} leaves {listed(less, self.other)} silent"
        return f"{self._it} plays {listed(more, self.first)}, not {listed(less, self.other)}"

    def _moves(self, listed: Listing) -> Iterator[str]:
        """The strokes that come sooner or later, where each keeps its number in the row."""
        if len(self.first.onsets) != len(self.other.onsets):
            return
        moved = self._displaced()
        # A stroke that lands where the other figure has one too is not heard as moved: the places are named instead.
        if len(moved) != len(self.only_first):
            return
        if len({self._way(stroke) for stroke in moved}) == 1:
            yield self._moved_together(moved, listed)
        else:
            yield self._moved_apart(moved, listed)

    def _displaced(self) -> list[int]:
        """The strokes, by their number from 0, that fall on other places than in the other figure."""
        pairs = zip(self.first.onsets, self.other.onsets, strict=True)
        return [stroke for stroke, (mine, its) in enumerate(pairs) if mine != its]

    def _way(self, stroke: int) -> str:
        return "sooner" if self.first.onsets[stroke] < self.other.onsets[stroke] else "later"

    def _moved_together(self, strokes: list[int], listed: Listing) -> str:
        named = " and ".join(self._ordinal(stroke) for stroke in strokes)
        noun, verb = ("strokes", "come") if len(strokes) > 1 else ("stroke", "comes")
        apart = [abs(self.first.onsets[stroke] - self.other.onsets[stroke]) for stroke in strokes]
        little = "a little " if max(apart) <= LITTLE else ""
        return (
            f"{self._it}'s {named} {noun} {verb} {little}{self._way(strokes[0])}, on {self._from_to(strokes, listed)}"
        )

    def _moved_apart(self, strokes: list[int], listed: Listing) -> str:
        # Two exactly: no more than ``FEW`` strokes are told one by one, and a single one goes one way only.
        one, other = (f"{self._way(stroke)}: {self._from_to([stroke], listed)}" for stroke in strokes)
        return f"{self._it}'s {self._ordinal(strokes[0])} comes {one}; its {self._ordinal(strokes[1])} {other}"

    def _from_to(self, strokes: list[int], listed: Listing) -> str:
        mine, its = (tuple(figure.onsets[stroke] for stroke in strokes) for figure in (self.first, self.other))
        return f"{listed(mine, self.first)}, not {listed(its, self.other)}"

    def _ordinal(self, stroke: int) -> str:
        if len(self.first.onsets) == 1:
            return "only"
        return "last" if stroke == len(self.first.onsets) - 1 else ORDINALS[stroke]

    # Where many differ: the clearest of it

    def _clearest(self, listed: Listing) -> str:
        # A different beginning is easiest to hear, then the number of strokes; a single place comes last.
        mine, its = self.first.onsets, self.other.onsets
        if mine[0] != its[0]:
            early, late = (self._it, "the other") if mine[0] < its[0] else ("the other", self._it)
            starts = sorted((self.first, self.other), key=lambda figure: figure.onsets[0])
            begins, waits = (listed(figure.onsets[:1], figure) for figure in starts)
            return f"{early} begins on {begins}; {late} waits until {waits}"
        if len(mine) != len(its):
            more = "more" if len(mine) > len(its) else "fewer"
            return f"{self._it} has {more} strokes: {NUMBERS[len(mine)]}, not {NUMBERS[len(its)]}"
        farthest = max(self._displaced(), key=lambda stroke: abs(mine[stroke] - its[stroke]))
        return self._moved_together([farthest], listed)

    # What follows from it

    def _ending(self, clause: str) -> str:
        """Where the first one's long gap lies, if that sets the two apart; else that nothing more differs."""
        # After a clause about the other figure, "its long gap" would be taken for the other's.
        if clause.rpartition("; ")[2].startswith("the other"):
            return ""
        mine = _shape(self.first)
        if mine and mine != _shape(self.other):
            return f", so {mine}"
        shared = set(self.first.onsets) & set(self.other.onsets)
        told = set(self.first.onsets[:1]) & set(self.other.onsets[:1])
        return "; the rest is the same" if self.is_small and shared - told else ""


def difference(first: Figure, other: Figure, name: str = "", words: Words = ()) -> Difference:
    """How ``first``, called by its ``name`` or else its count, differs from ``other``; of whatever grids they are."""
    return Difference(first, other, name, words)


def _without(figure: Figure, other: Figure) -> Onsets:
    return tuple(onset for onset in figure.onsets if onset not in other.onsets)


def _shape(figure: Figure) -> str:
    """Where the one long gap lies, or that there is none; nothing where neither can be said."""
    # The last gap runs to the next beat: a stroke on it is what ends the figure for the ear.
    bounds = (*figure.onsets, Fraction(1))
    lead = bounds[0]
    gaps = [after - before for before, after in pairwise(bounds)]
    if len(figure.onsets) < 2:
        return ""
    if not lead and len(set(gaps)) == 1:
        return "its strokes are even"
    longest = max(lead, *gaps)
    # Of two gaps that are equally long neither sets the figure apart.
    if [lead, *gaps].count(longest) > 1:
        return ""
    if longest == lead:
        return "its long gap comes first"
    if longest == gaps[-1]:
        return "its long gap comes last"
    return f"its long gap comes after the {ORDINALS[gaps.index(longest)]} stroke"


def _each(words: Words, places: Onsets, figure: Figure) -> str:
    """Places of a figure in the words of its count, in time order: ``the e and the ta after &``."""
    return _joined([f"the {name}" for name in _names(words, places, figure)])


def _grouped(words: Words, places: Onsets, figure: Figure) -> str:
    """The same in fewer words, what lies between two counted places last: ``the e and ta before e and after &``."""
    between = as_shown(BETWEEN, words)
    names = _names(words, places, figure)
    tas = [name.removeprefix(f"{between} ") for name in names if name.startswith(f"{between} ")]
    plain = [name for name in names if not name.startswith(f"{between} ")]
    return f"the {_joined([*plain, *([f'{between} {_joined(tas)}'] if tas else [])])}"


def _names(words: Words, places: Onsets, figure: Figure) -> list[str]:
    grid = figure.grid
    return [_name(words, int(place * grid.divisions), grid) for place in places]


def _name(words: Words, slot: int, grid: Grid) -> str:
    """The word for a place.  The first ``ta`` is named by the word after it: "after 1" would fit two grids."""
    shown = [as_shown(word, words) if word else "" for word in grid.words]
    word = shown[slot]
    if not word:
        return "beat"
    if grid.words[slot] == BETWEEN:
        return f"{word} before {_name(words, 2, grid)}" if slot == 1 else f"{word} after {_name(words, slot - 1, grid)}"
    if shown.count(word) == 1:
        return word
    # One word is shown for two places: the word beside it, which is shown for one alone, says which.
    counted = [place for place, other in enumerate(grid.words) if other != BETWEEN]
    here = counted.index(slot)
    before = shown[counted[here - 1]]
    if shown.count(before) == 1 and before:
        return f"{word} after {before}"
    after = shown[counted[here + 1]] if here + 1 < len(counted) else ""
    return f"{word} before {after}" if after and shown.count(after) == 1 else f"{ORDINALS[here - 1]} {word}"


def _joined(names: list[str]) -> str:
    return " and ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)
