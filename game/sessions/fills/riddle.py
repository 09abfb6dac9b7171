"""A riddle: a fill that another player of this machine made, to be named beat by beat after hearing it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from shared.counting import parse_figure
from shared.figures import Figure
from shared.fills import Fill
from shared.likeness import likeness

FEWEST_CHOICES = 6
"""So many figures are offered at least: those of the fill, and what is most like them."""


@dataclass(frozen=True)
class RiddleAnswer:
    """The answers to a riddle: a figure or nothing yet for each of its asked beats; ``place`` is the one at hand.

    ``choices`` are the figures on offer.  Once ``handed_in`` nothing changes any more.
    """

    fill: Fill
    choices: tuple[Figure, ...]
    picks: tuple[Figure | None, ...]
    place: int = 0
    handed_in: bool = False

    @property
    def asked(self) -> tuple[int, ...]:
        """The beats of the fill, from 0, that are asked."""
        return asked_beats(self.fill)

    @property
    def complete(self) -> bool:
        """Whether every asked beat is answered."""
        return all(self.picks)

    @property
    def right(self) -> tuple[bool, ...]:
        """Whether each asked beat was said rightly."""
        return tuple(self.fill.figures[beat] == pick for beat, pick in zip(self.asked, self.picks, strict=True))

    def at(self, place: int) -> "RiddleAnswer":
        """At another of the asked beats, by its number from 0."""
        return replace(self, place=min(max(place, 0), len(self.picks) - 1))

    def pick(self, figure: Figure | None) -> "RiddleAnswer":
        """With a figure, or nothing, said to the beat at hand; the next beat without one is at hand then."""
        if self.handed_in:
            return self
        picks = tuple(figure if k == self.place else other for k, other in enumerate(self.picks))
        empty = [k for k, pick in enumerate(picks) if pick is None]
        after = next((k for k in empty if k > self.place), empty[0] if empty else self.place)
        return replace(self, picks=picks, place=after if figure else self.place)


def asked_beats(fill: Fill) -> tuple[int, ...]:
    """The beats of a fill, from 0, that a riddle asks: those with a figure of their own that has a stroke."""
    return tuple(place for place in fill.played if (figure := fill.figures[place]) and figure.onsets)


def riddle_answer(fill: Fill, known: Sequence[Figure], seed: str) -> RiddleAnswer:
    """A riddle with nothing said yet; ``known`` are figures from which choices are drawn beside the fill's own."""
    own = tuple(dict.fromkeys(fill.figures[place] for place in asked_beats(fill)))
    figures = [figure for figure in own if figure]
    # Once each: a figure of the level stands in the whole vocabulary, too.
    alike = [one for one in dict.fromkeys(known) if one.compound == fill.meter.compound and one.onsets]
    others = [one for one in alike if one not in figures]
    # Shorter notes than any in the fill come last: on the page they would be seen to be wrong, without an ear.
    finest = max((len(one.grid.places) for one in figures), default=0)
    others.sort(
        key=lambda one: (len(one.grid.places) <= finest, max(likeness(one, figure) for figure in figures)), reverse=True
    )
    # Two others at least, however many the fill has of its own: else every figure shown would be in it.
    choices = [*figures, *others[: max(2, FEWEST_CHOICES - len(figures))]]
    # In an order that tells nothing of which are the fill's own.
    Random(f"riddle/{seed}").shuffle(choices)
    return RiddleAnswer(fill, tuple(choices), (None,) * len(asked_beats(fill)))


def answered(fill: Fill, said: Sequence[str]) -> RiddleAnswer | None:
    """An answer as it was kept, by the counts that were said; None where they are not of this fill's beats."""
    asked = asked_beats(fill)
    if len(said) != len(asked):
        return None
    picks = tuple(parse_figure(count, fill.meter.compound) for count in said)
    return RiddleAnswer(fill, (), picks, handed_in=True)
