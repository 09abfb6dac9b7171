"""A figure outside a question: the figures that it is likeliest mixed up with, and the ways to hear it."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import cycle, islice

import numpy as np
from numpy.typing import NDArray

from game.sessions.hearing.hearing import Hearing, one_beat, whole_bar
from shared.bars import METERS, Bar, Meter
from shared.figures import Figure
from shared.likeness import likeness
from shared.orchestration import Setting

FEW = 3


def neighbours(
    figure: Figure,
    figures: Sequence[Figure],
    confusion: NDArray[np.float64] | None = None,
) -> tuple[Figure, ...]:
    """Up to ``FEW`` other figures that are likeliest taken for ``figure`` or it for them, the likeliest first.

    ``confusion`` is the coach's table (K, K) in the order of ``figures``: P(said g | heard f).  Without it,
    or for a figure that is not among them, how alike they sound decides.  Only figures that fill the same
    kind of beat are named.
    """
    places = [k for k, other in enumerate(figures) if other != figure and other.compound == figure.compound]
    if confusion is not None and figure in figures:
        here = figures.index(figure)
        # Both ways round: whoever learns to tell two apart learns both.
        mixed = confusion[here] + confusion[:, here]
        places.sort(key=lambda k: -mixed[k])
    else:
        places.sort(key=lambda k: -likeness(figure, figures[k]))
    return tuple(figures[k] for k in places[:FEW])


GROOVE = "kick-and-snare"
ROUND = "down-the-kit"


def meter_of(figure: Figure, meter: Meter) -> Meter:
    """The meter itself where the figure fits its beats, else one of four beats that it fits."""
    return meter if meter.compound == figure.compound else METERS["12/8" if figure.compound else "4/4"]


def bar_of(meter: Meter, *figures: Figure) -> Bar:
    """A bar in which the figures take turns."""
    return Bar(meter, tuple(islice(cycle(figures), meter.beats)))


def alone(bar: Bar, setting: Setting, caption: str) -> Hearing:
    """The first beat, between sticks."""
    return one_beat(bar, setting, 0, caption)


def round_the_kit(bar: Bar, setting: Setting, caption: str) -> Hearing:
    """Each beat on the next drum."""
    return whole_bar(bar, replace(setting, orchestration=ROUND), caption)


def in_a_groove(bar: Bar, setting: Setting, caption: str) -> Hearing:
    """Shared by kick and snare, after one bar of groove."""
    return whole_bar(bar, replace(setting, orchestration=GROOVE, groove_bars=1), caption)


WAYS: dict[str, tuple[str, Callable[[Bar, Setting, str], Hearing]]] = {
    "alone": ("Alone", alone),
    "bar": ("Full bar", whole_bar),
    "round": ("Round the kit", round_the_kit),
    "groove": ("In a groove", in_a_groove),
}
"""The ways to hear a figure: a title, and the function from bar, setting and caption to a hearing."""
